"""Entries to rows, and names to entries."""
