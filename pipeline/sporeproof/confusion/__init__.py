"""Compares taxa, never judges them: what they look like, and what separates two of them."""
