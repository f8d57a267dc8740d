"""solderside: a terminal companion for the bench of someone who solders kits."""

__version__ = "0.1.0"
