"""The Python package that a release carries; the house reads its files and never imports it."""
