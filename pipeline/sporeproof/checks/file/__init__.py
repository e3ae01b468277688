"""Rules about the form of a file."""
