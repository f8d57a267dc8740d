"""Zones: the grid of letters and numbers that names a place on a board, as on a printed map. Pure.

Seen from the front of the board, columns have letters from the left and rows have numbers from the top. The
letters I and O are left out, as in the reference grid of drawing sheets (ISO 5457, from memory): they read as
1 and 0. A zone belongs to the board, so it keeps its name when the board is turned over.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import groupby

from msgspec import Struct

from bench.kit.kit import Board

CELL_MM = 20.0
"""Length of a zone's sides that is aimed at, in mm."""
SMALL_MM = 60.0
"""A board whose longer side is shorter than this, in mm, gets zones of half the size."""
EDGE_MM = 5.0
"""What is taken to lie around the outermost parts, in mm, where a kit does not give the size of its board."""
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"
"""Letters of columns; there are no more columns than these."""
MOST_ROWS = 99


class ZoneSpot(Struct, frozen=True, kw_only=True):
    """Where one part sits."""

    ref: str
    x: float
    """In mm from the kit's origin, to the right as seen from the front of the board."""
    y: float
    """In mm from the kit's origin, upwards."""
    side: str
    """`front`, `back`, or empty where the kit does not say."""


class ZoneGrid(Struct, frozen=True, kw_only=True):
    """A board's outline cut into zones."""

    left: float
    """x of the left edge in mm, seen from the front."""
    bottom: float
    """y of the lower edge in mm."""
    width: float
    """Of the board, in mm."""
    height: float
    """Of the board, in mm."""
    columns: int
    rows: int

    @property
    def column_width(self) -> float:
        """Width of a zone in mm."""
        return self.width / self.columns

    @property
    def row_height(self) -> float:
        """Height of a zone in mm."""
        return self.height / self.rows

    def letters(self, side: str = "") -> tuple[str, ...]:
        """The columns' letters from left to right as seen from a side; from the back they run backwards."""
        letters = tuple(LETTERS[: self.columns])
        return letters[::-1] if side == "back" else letters

    def zone_at(self, x: float, y: float) -> str:
        """The zone of a place given in mm; one beyond the edge counts to the zone beside it.

        >>> grid = ZoneGrid(left=0, bottom=0, width=60, height=80, columns=3, rows=4)
        >>> grid.zone_at(1, 79), grid.zone_at(45, 5), grid.zone_at(60, 0)
        ('A1', 'C4', 'C4')
        """
        column = _cell(x - self.left, self.column_width, self.columns)
        row = _cell(self.bottom + self.height - y, self.row_height, self.rows)
        return f"{LETTERS[column]}{row + 1}"

    def seen(self, x: float, y: float, side: str = "") -> tuple[float, float]:
        """Distance in mm from the left and the upper edge for somebody who looks at this side.

        >>> grid = ZoneGrid(left=0, bottom=0, width=60, height=80, columns=3, rows=4)
        >>> grid.seen(10, 80), grid.seen(10, 80, "back")
        ((10, 0), (50, 0))
        """
        across = x - self.left
        return (self.width - across if side == "back" else across, self.bottom + self.height - y)


def spots_of(board: Board) -> Iterator[ZoneSpot]:
    """Where the parts of a board sit, in the order of the kit; parts without a position are passed over."""
    for part in board.parts:
        sides = part.sides or ("",) * len(part.refs)
        for ref, (x, y), side in zip(part.refs, part.positions, sides, strict=False):
            yield ZoneSpot(ref=ref, x=x, y=y, side=side)


def grid_of(board: Board) -> ZoneGrid | None:
    """The zones of a board; None when none of its parts has a position.

    The outline is the size that the kit gives, from its origin, when all parts lie within; else what lies
    around the parts and `EDGE_MM` beyond.
    """
    return _grid([at for part in board.parts if part.refs for at in part.positions], board.size)


def zone_words(refs: Sequence[str], zones: Sequence[str]) -> str:
    """Designators with their zones, in the order given; empty when no zone is known.

    >>> zone_words(("R12", "R15", "R9"), ("C2", "C2", "C3"))
    'R12, R15 in C2; R9 in C3'
    """
    if not any(zones):
        return ""
    said = []
    for zone, group in groupby(zip(refs, zones, strict=True), key=lambda pair: pair[1]):
        names = ", ".join(ref for ref, _ in group)
        said.append(f"{names} in {zone}" if zone else f"{names} somewhere")
    return "; ".join(said)


def _grid(places: Sequence[tuple[float, float]], size: tuple[float, float] | None) -> ZoneGrid | None:
    if not places:
        return None
    xs, ys = [x for x, _ in places], [y for _, y in places]
    if size and min(xs) >= 0 and min(ys) >= 0 and max(xs) <= size[0] and max(ys) <= size[1]:
        left, bottom, (width, height) = 0.0, 0.0, size
    else:
        left, bottom = min(xs) - EDGE_MM, min(ys) - EDGE_MM
        width, height = max(xs) + EDGE_MM - left, max(ys) + EDGE_MM - bottom
    cell = CELL_MM if max(width, height) >= SMALL_MM else CELL_MM / 2
    return ZoneGrid(
        left=left,
        bottom=bottom,
        width=width,
        height=height,
        columns=_many(width / cell, len(LETTERS)),
        rows=_many(height / cell, MOST_ROWS),
    )


def _many(wanted: float, most: int) -> int:
    return max(1, min(most, math.floor(wanted + 0.5)))


def _cell(distance: float, length: float, many: int) -> int:
    """Which of `many` cells of this length a distance from their common edge falls into."""
    return max(0, min(many - 1, math.floor(distance / length)))
