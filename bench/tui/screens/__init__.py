"""One module for each place a builder can be."""
