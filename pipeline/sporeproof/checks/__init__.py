"""Judges: one rule a file, found by looking into the folders, never listed."""
