"""A board on paper: its outline with the zones that the bench names, and where each part sits. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.kit.kit import Board
from bench.plan.zones import ZoneGrid, grid_of, spots_of
from bench.writeup.sheets.sheet_model import BoardOnPaper, SheetMark
from bench.writeup.sheets.texts import tidy

MOST_WIDE, MOST_HIGH = 165.0, 140.0
"""Room on the page for the board, in mm."""
ROW_MM, NAME_MM = 2.5, 9.0
"""Parts are neighbours when their names, so high and so long on paper, would touch."""
MOST_TIMES = 2.5
"""A board is drawn so many times its size at most."""


def boards_on_paper(boards: tuple[Board, ...]) -> tuple[BoardOnPaper, ...]:
    """A drawing for each side of each board that carries parts whose places are known."""
    return tuple(drawn for board in boards for drawn in _sides(board))


def _sides(board: Board) -> Iterator[BoardOnPaper]:
    grid = grid_of(board)
    if grid is None:
        return
    spots = list(spots_of(board))
    times = min(MOST_WIDE / grid.width, MOST_HIGH / grid.height, MOST_TIMES)
    for side in dict.fromkeys("back" if spot.side == "back" else "front" for spot in spots):
        here = [spot for spot in spots if (spot.side == "back") == (side == "back")]
        seen = [(spot.ref, *grid.seen(spot.x, spot.y, side)) for spot in here]
        yield _drawn(board, grid, side, times, _marks([(ref, x * times, y * times) for ref, x, y in seen]))


def _marks(places: Sequence[tuple[str, float, float]]) -> tuple[SheetMark, ...]:
    """Crosses with their names; of neighbours in a row every other name stands below."""
    marks: list[SheetMark] = []
    for ref, x, y in sorted(places, key=lambda place: (round(place[2] / ROW_MM), place[1])):
        before = marks[-1] if marks else None
        near = before is not None and abs(before.y - y) < ROW_MM and x - before.x < NAME_MM
        below = near and before is not None and not before.below
        marks.append(SheetMark(name=tidy(ref), x=round(x, 2), y=round(y, 2), below=below))
    return tuple(marks)


def _drawn(board: Board, grid: ZoneGrid, side: str, times: float, marks: tuple[SheetMark, ...]) -> BoardOnPaper:
    wide, high = grid.column_width * times, grid.row_height * times
    return BoardOnPaper(
        name=tidy(board.name),
        side=side,
        width=round(grid.width * times, 2),
        height=round(grid.height * times, 2),
        columns=tuple((letter, round((at + 0.5) * wide, 2)) for at, letter in enumerate(grid.letters(side))),
        rows=tuple((str(at + 1), round((at + 0.5) * high, 2)) for at in range(grid.rows)),
        across=tuple(round(at * wide, 2) for at in range(1, grid.columns)),
        down=tuple(round(at * high, 2) for at in range(1, grid.rows)),
        marks=marks,
    )
