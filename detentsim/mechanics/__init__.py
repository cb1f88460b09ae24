"""Formulas of the detent and its spring: SI floats and arrays in, SI floats and arrays out."""
