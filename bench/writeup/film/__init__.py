"""Film of a build: the camera's clock against the bench clock, clips, chapters."""
