"""Rows of a table without lines whose cells are wrapped: each row is a band across the page. Pure.

A cell is lines of one column that follow each other as closely as lines of writing do; cells that lie beside
one another, at the top, in the middle or at the bottom of their row, are a row.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

_AS_CLOSE = 1.06
"""Times the closest leading: lines of one cell stand no further apart."""
_LEAST = 0.8
"""Of the size of the font: no leading is smaller."""
_OFTEN = 3
"""So many lines follow others that closely where cells are wrapped at all."""
_HIGH = 0.6
"""Of the size of the font: the height of a line of writing, without what hangs below."""


class Piece(Struct, frozen=True, kw_only=True):
    """One line of one cell."""

    column: int
    text: str
    base: float
    """How far up its line of writing is, in points."""
    size: float
    number: int
    """Of its line in the whole text."""
    page: int


class Band(Struct, frozen=True, kw_only=True):
    """One row."""

    cells: tuple[str, ...]
    number: int
    """Of its first line in the whole text."""
    first: bool
    """Whether it is the first one of its page."""


class _Cell(Struct, frozen=True, kw_only=True):
    pieces: tuple[Piece, ...]

    @property
    def top(self) -> float:
        return self.pieces[0].base + _HIGH * self.pieces[0].size

    @property
    def bottom(self) -> float:
        return self.pieces[-1].base


def bands(pieces: Sequence[Piece], columns: int) -> tuple[Band, ...]:
    """The rows of a table with so many columns; none when no cell of it is wrapped."""
    leading = _leading(pieces)
    if leading is None:
        return ()
    found: list[Band] = []
    stacked = 0
    for page in sorted({piece.page for piece in pieces}):
        rows = list(_rows(_cells([piece for piece in pieces if piece.page == page], leading)))
        stacked += sum(len(cell.pieces) for row in rows if _is_stack(row) for cell in row)
        found += [_band(row, columns, at == 0) for at, row in enumerate(rows)]
    return tuple(_continued(found)) if stacked * 4 <= len(pieces) else ()


def _in_order(pieces: Sequence[Piece]) -> Iterator[list[Piece]]:
    """The pieces of each column of each page from top to bottom."""
    grouped: dict[tuple[int, int], list[Piece]] = defaultdict(list)
    for piece in pieces:
        grouped[piece.page, piece.column].append(piece)
    for group in grouped.values():
        yield sorted(group, key=lambda piece: -piece.base)


def _leading(pieces: Sequence[Piece]) -> float | None:
    """From line to line within a cell, in points: the smallest distance that is met often and not always."""
    gaps = sorted(
        a.base - b.base
        for group in _in_order(pieces)
        for a, b in pairwise(group)
        if a.base - b.base > _LEAST * b.size
    )
    for at, gap in enumerate(gaps):
        alike = sum(other <= gap * _AS_CLOSE for other in gaps[at:])
        if alike >= _OFTEN:
            return gap if at + alike < len(gaps) else None
    return None


def _cells(pieces: Sequence[Piece], leading: float) -> Iterator[_Cell]:
    for group in _in_order(pieces):
        cell = [group[0]]
        for piece in group[1:]:
            if cell[-1].base - piece.base > leading * _AS_CLOSE:
                yield _Cell(pieces=tuple(cell))
                cell = []
            cell.append(piece)
        yield _Cell(pieces=tuple(cell))


def _rows(cells: Iterator[_Cell]) -> Iterator[list[_Cell]]:
    """Cells that lie beside one another, row by row."""
    row: list[_Cell] = []
    bottom = 0.0
    for cell in sorted(cells, key=lambda cell: -cell.top):
        if row and cell.top < bottom:
            yield row
            row = []
        bottom = min(bottom, cell.bottom) if row else cell.bottom
        row.append(cell)
    if row:
        yield row


def _is_stack(row: Sequence[_Cell]) -> bool:
    """Whether all columns have several lines: these are rows that follow closely."""
    lines = Counter(piece.column for cell in row for piece in cell.pieces)
    return len(lines) > 1 and min(lines.values()) > 1


def _band(row: Sequence[_Cell], columns: int, first: bool) -> Band:
    cells = [""] * columns
    for cell in row:
        for piece in cell.pieces:
            cells[piece.column] = wrapped(cells[piece.column], piece.text)
    return Band(cells=tuple(cells), number=min(cell.pieces[0].number for cell in row), first=first)


def wrapped(text: str, more: str) -> str:
    """A text with the next line of its cell; a word cut behind a hyphen is joined.

    >>> wrapped("R1,", "R2"), wrapped("non-", "polarised"), wrapped("R1 -", "R5")
    ('R1, R2', 'non-polarised', 'R1 - R5')
    """
    cut = len(text) > 1 and text[-1] == "-" and text[-2].isalnum() and more[:1].isalnum()
    return f"{text}{more}" if cut else f"{text} {more}".strip()


def _goes_on(before: Band, band: Band) -> bool:
    """Whether a cell ends with a comma, and a row with less in it has more for that cell."""
    pairs = list(zip(before.cells, band.cells, strict=True))
    less = sum(bool(more) for _, more in pairs) < sum(bool(mine) for mine, _ in pairs)
    return less and any(mine.endswith(",") and more for mine, more in pairs)


def _continued(found: Sequence[Band]) -> Iterator[Band]:
    """The rows, one that a page cuts in two as one row."""
    before: Band | None = None
    for band in found:
        if before is None:
            before = band
        elif band.first and _goes_on(before, band):
            joined = tuple(
                wrapped(mine, more) if more else mine
                for mine, more in zip(before.cells, band.cells, strict=True)
            )
            before = Band(cells=joined, number=before.number, first=before.first)
        else:
            yield before
            before = band
    if before is not None:
        yield before
