"""How long: pace learned from the log, time left as a range, the builder's record."""
