"""Rules about what one entry says of itself."""
