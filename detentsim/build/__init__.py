"""Builds and their files: what the maker typed, checked, beside its SI values; knows no results."""
