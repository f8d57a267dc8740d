"""PDFs: the list or the drawing in them, recovered from glyphs in their places."""
