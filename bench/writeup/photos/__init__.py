"""Photos of a build: matched to moments by their time, copied for the web, set under their stage."""
