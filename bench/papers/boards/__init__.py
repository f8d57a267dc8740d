"""Board files of drawing programs: which parts sit where, their values, pads and nets."""

from __future__ import annotations

from bench.papers.boards.drawn import BoardFile, DrawnPart, Pad
from bench.papers.boards.formats import is_board_file, read_board

__all__ = ["BoardFile", "DrawnPart", "Pad", "is_board_file", "read_board"]
