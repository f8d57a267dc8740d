"""Any of a maker's papers, told apart by what stands in it. Pure but for what a PDF needs."""

from __future__ import annotations

from collections.abc import Mapping

from bench.errors import SoldersideError
from bench.papers.boards import is_board_file, read_board
from bench.papers.boards.as_list import placement_of, reading_of
from bench.papers.lists import ListReading, read_list
from bench.papers.lists.draft import PlacementFile
from bench.papers.pdf.read import is_pdf, places_in_pdf, read_pdf
from bench.papers.placement import read_placement


def read_paper(data: bytes, name: str, known: Mapping[str, str] | None = None) -> ListReading:
    """The parts in a maker's paper: a list in any form, a PDF, a board file or a schematic.

    `known` settles the roles of a list's columns, as in `read_list`. Raises SoldersideError when nothing can be
    read from it.
    """
    if is_board_file(data):
        return reading_of(read_board(data, name))
    if is_pdf(data):
        return read_pdf(data, name, known)
    return read_list(data, name, known)


def read_places(data: bytes, name: str, size: tuple[float, float] | None = None) -> PlacementFile:
    """Where parts sit, from a placement file, a board file or a drawing.

    `size`, the board's width and height in mm, scales a drawing. Raises SoldersideError when it does not say.
    """
    if is_board_file(data):
        board = read_board(data, name)
        if not board.placed:
            hint = "name a placement file, a drawing or the board file"
            raise SoldersideError("this file says what is connected, not where parts sit", name, hint)
        return placement_of(board)
    if is_pdf(data):
        return places_in_pdf(data, name, size)
    return read_placement(data, name)
