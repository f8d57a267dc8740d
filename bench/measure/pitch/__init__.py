"""The frequency of a steady tone in a recording."""
