"""What several test files need: records, builds and models that share no formula with the package."""
