"""A kit: the model, reading it and writing it."""
