"""Sporeproof: a checked, versioned checklist of fungi for people who teach foraging."""

__version__ = "0.1.0"
