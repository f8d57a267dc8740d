"""Pieces of screen, each showing one value."""
