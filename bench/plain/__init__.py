"""The bench as plain lines, for a screen reader, a braille line or a very small terminal."""
