"""Doubts of a list that was read: what they are, the answers there can be, and settling them."""
