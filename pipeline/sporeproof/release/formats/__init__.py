"""One file a format: the bytes of a table."""
