"""Rules about the names of taxa."""
