"""Rules about what leads from one place to another."""
