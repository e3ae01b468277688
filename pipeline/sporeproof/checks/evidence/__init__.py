"""Rules about what a statement rests on."""
