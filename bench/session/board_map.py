"""Where the parts of a step sit on their board, as one frozen value; pure."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from bench.errors import SoldersideError
from bench.kit.kit import Board, Kit
from bench.plan.plan import Step
from bench.plan.zones import ZoneGrid, ZoneSpot, grid_of, spots_of, zone_words


class MapMark(Struct, frozen=True, kw_only=True):
    """One part to be placed."""

    ref: str
    across: float
    """In mm from the left edge of the board, as seen from the side it sits on."""
    down: float
    """In mm from the upper edge."""


class WhereView(Struct, frozen=True, kw_only=True):
    """A board with the places of one step's parts."""

    value: str
    """What the step places."""
    board: str
    side: str
    """The side that is looked at, `front` or `back`; empty where the kit does not say: then it is the front."""
    grid: ZoneGrid
    marks: tuple[MapMark, ...]
    """In the order of the work."""
    next_ref: str
    """The part that comes next; empty when all of them are in."""
    words: str
    """The designators with their zones."""
    others: tuple[tuple[float, float], ...] = ()
    """Across and down of all other parts on this side, in mm."""
    unplaced: tuple[str, ...] = ()
    """Designators of the step without a position."""


def where_view(kit: Kit, step: Step | None, refs_left: Sequence[str]) -> WhereView:
    """Where the designators of a step that are left sit, or all of them when none is left.

    Raises SoldersideError, which says what to do, when the step has no designators or the kit no positions.
    """
    if step is None or not step.refs:
        raise SoldersideError(
            "this step has no designator, so there is no place to show", "", "look at another step"
        )
    board, grid = _grid_for(kit, step)
    spots = {spot.ref: spot for spot in spots_of(board)}
    wanted = tuple(refs_left) or step.refs
    shown = [spots[ref] for ref in wanted if ref in spots]
    if not shown:
        hint = "add `at: [x, y]` in mm to their line of the kit file"
        raise SoldersideError(f"the kit file gives no position for {', '.join(wanted)}", "", hint)
    side = step.side
    places = {
        spot.ref: _place(spot, grid, side) for spot in spots.values() if not side or spot.side in ("", side)
    }
    marks = tuple(_mark(spot, grid, side) for spot in shown)
    return WhereView(
        value=step.value,
        board=board.name,
        side=side,
        grid=grid,
        marks=marks,
        next_ref=marks[0].ref if refs_left else "",
        words=zone_words([spot.ref for spot in shown], [grid.zone_at(spot.x, spot.y) for spot in shown]),
        others=tuple(place for ref, place in places.items() if ref not in wanted),
        unplaced=tuple(ref for ref in wanted if ref not in spots),
    )


def _grid_for(kit: Kit, step: Step) -> tuple[Board, ZoneGrid]:
    """The board of a step and its grid; raises SoldersideError where the kit gives no positions for it."""
    board = _board_of(kit, step)
    grid = grid_of(board) if board else None
    if board is None or grid is None:
        where = f"board {board.name}" if board else "the kit"
        hint = "add `at: [x, y]` in mm to its parts, or `solderside read LIST --placement FILE --kit OUT.yaml`"
        raise SoldersideError(f"the kit file gives no positions for {where}", "", hint)
    return board, grid


def _board_of(kit: Kit, step: Step) -> Board | None:
    """The board that the step's parts sit on; for an adjustment the only one that has its trimmer."""
    name, _, _ = step.items[0].partition("/")
    boards = [board for board in kit.boards if board.name == name]
    if boards and step.action != "adjust":
        return boards[0]
    found = [board for board in kit.boards if any(step.refs[0] in part.refs for part in board.parts)]
    return found[0] if len(found) == 1 else None


def _mark(spot: ZoneSpot, grid: ZoneGrid, side: str) -> MapMark:
    across, down = _place(spot, grid, side)
    return MapMark(ref=spot.ref, across=across, down=down)


def _place(spot: ZoneSpot, grid: ZoneGrid, side: str) -> tuple[float, float]:
    """Across and down in mm, within the zone that words name even for a part on the line between two zones."""
    across, down = grid.seen(spot.x, spot.y, side)
    zone = grid.zone_at(spot.x, spot.y)
    column, row = grid.letters(side).index(zone[0]), int(zone[1:]) - 1
    return _within(across, column, grid.column_width), _within(down, row, grid.row_height)


def _within(place: float, zone: int, length: float) -> float:
    """A place in mm, moved off the edge of its zone by a millionth of the zone's `length` in mm."""
    return min(max(place, (zone + 1e-6) * length), (zone + 1 - 1e-6) * length)
