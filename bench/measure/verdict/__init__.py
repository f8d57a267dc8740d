"""Readings: what was typed, which meter took it, and whether it is within its limits."""
