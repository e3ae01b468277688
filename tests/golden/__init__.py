"""Texts letter by letter. ``python -m tests.golden`` writes them anew and prints the difference."""
