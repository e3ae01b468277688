"""Rules about the dataset and the schema as a whole."""
