"""Several kits: which to build first, whether all fit one case, the shelf they are chosen from."""
