"""Rules about months."""
