"""Where parts sit: the outline of a board with marks, and lines from marks to names; pure, cells only.

The names stand in the margin, in the row of their marks and in the order of the marks from left to right;
names joined by a plus share one cell. Letters and numbers of the zones stand in the edges. A cell is taken to
be twice as high as wide.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from itertools import groupby

from msgspec import Struct

from bench.session.board_map import MapMark, WhereView
from bench.ui.card_blocks import Span, StyledRow, lines
from bench.ui.text import cells, clean, cut

MARK = "█"
LONGEST_NAME = 12
"""Cells of one name."""
LINE = 2
"""Least cells of a line beside a name."""
LEAST_MARGIN = LINE + 4
"""Cells beside the outline in any case: a line and the number of names that had no room."""
NARROW = 24
"""Width below which there is no map, only words."""
ROOMY = 22
"""Height from which the order of the work stands in words below the map."""


class _Fit(Struct, frozen=True, kw_only=True):
    """Size of the drawn board and of the margins for labels."""

    wide: int
    high: int
    left: int
    """Cells left of the outline."""
    right: int


class _Names(Struct, frozen=True, kw_only=True):
    """The names of one row."""

    left: tuple[int, ...]
    """Columns of the marks whose names stand to the left, from left to right."""
    right: tuple[int, ...]
    lost: bool = False
    """True when a name had no room."""


_Marks = Mapping[int, Mapping[int, Sequence[MapMark]]]
"""Marker in each cell: row -> column -> marker."""


def lay_map(view: WhereView, width: int, height: int) -> tuple[StyledRow, ...]:
    """The map in `width` by `height` cells: all its rows, more than `height` where it must be."""
    if width < 1 or height < 1:
        return ()
    top = _head(view, width)
    words = lines(clean(view.words), "refs", width, "> " if view.next_ref else "")
    if width < NARROW:
        return (*top, *words)
    below = words if height >= ROOMY else []
    room = max(3, height - len(top) - len(below) - 2)
    fit, marks, names = _fitted(view, width, room)
    rows = [*top, *_board(view, fit, marks, names)]
    lost = any(each.lost for each in names.values())
    return tuple([*rows, *(words if below or lost else [])])


def _head(view: WhereView, width: int) -> list[StyledRow]:
    side = "back, board turned over like a page" if view.side == "back" else view.side or "front"
    rows: list[StyledRow] = [
        ((cut(f"{clean(view.value, 60)} · {clean(view.board, 60)}, {side}", width), "head"),)
    ]
    if view.unplaced:
        rows += lines(clean(", ".join(view.unplaced)), "caution", width, "No position: ")
    return rows


def _fitted(view: WhereView, width: int, room: int) -> tuple[_Fit, _Marks, dict[int, _Names]]:
    """The largest map whose names find room beside it; else the smallest that was tried."""
    longest = max(cells(_name(mark.ref, view)) for mark in view.marks)
    for many, lower in ((1, 0), (2, 0), (3, 0), (2, 1), (2, 2), (3, 3)):
        margin = max(LEAST_MARGIN, min(many * (longest + 1) + LINE, width // 3))
        fit = _fit(view, width, max(3, room - lower), margin)
        marks = _marks(view, fit)
        names = {row: _names(cells_of, fit, view) for row, cells_of in marks.items()}
        if not any(each.lost for each in names.values()):
            break
    return fit, marks, names


def _fit(view: WhereView, width: int, room: int, margin: int) -> _Fit:
    """The board's outline as large as it can be with this margin at each side."""
    free = max(1, width - 2 * margin - 2)
    cell = max(view.grid.height / room, 2 * view.grid.width / free)
    wide = max(1, min(free, round(2 * view.grid.width / cell)))
    high = max(1, min(room, round(view.grid.height / cell)))
    left = (width - wide - 2) // 2
    return _Fit(wide=wide, high=high, left=left, right=width - wide - 2 - left)


def _cell(part: float, whole: float, many: int) -> int:
    return max(0, min(many - 1, int(part / whole * many)))


def _marks(view: WhereView, fit: _Fit) -> _Marks:
    found: dict[int, dict[int, list[MapMark]]] = defaultdict(lambda: defaultdict(list))
    for mark in view.marks:
        row = _cell(mark.down, view.grid.height, fit.high)
        found[row][_cell(mark.across, view.grid.width, fit.wide)].append(mark)
    return found


def _name(ref: str, view: WhereView) -> str:
    return (">" if ref == view.next_ref else "") + cut(clean(ref, 40), LONGEST_NAME)


def _named(marks: Sequence[MapMark], view: WhereView) -> str:
    return "+".join(_name(mark.ref, view) for mark in marks)


def _names(row: Mapping[int, Sequence[MapMark]], fit: _Fit, view: WhereView) -> _Names:
    """Assign labels of a row to the nearer margin, while there is room."""
    columns = sorted(row)
    nearer = sum(column < fit.wide / 2 for column in columns)
    for many in sorted(range(len(columns) + 1), key=lambda many: abs(many - nearer)):
        left, right = tuple(columns[:many]), tuple(columns[many:])
        if _long(left, row, view) <= fit.left and _long(right, row, view) <= fit.right:
            return _Names(left=left, right=right)
    return _Names(left=tuple(columns[:nearer]), right=tuple(columns[nearer:]), lost=True)


def _long(columns: Sequence[int], row: Mapping[int, Sequence[MapMark]], view: WhereView) -> int:
    """Cells that these names and their line take."""
    return sum(cells(_named(row[column], view)) + 1 for column in columns) + LINE * bool(columns)


# -- drawing ----------------------------------------------------------------------------------------
def _board(view: WhereView, fit: _Fit, marks: _Marks, names: Mapping[int, _Names]) -> list[StyledRow]:
    inside = _inside(view, fit, marks, names)
    numbers = _numbers(view, fit, names)
    edge_rows = _ticks(view.grid.rows, fit.high)
    rows = [_edge(view, fit, "┌┬┐")]
    for row in range(fit.high):
        here = names.get(row, _Names(left=(), right=()))
        edges = ("├", "┤") if row in edge_rows else ("│", "│")
        left = _side(here.left, marks.get(row, {}), fit.left, view)
        right = _side(here.right, marks.get(row, {}), fit.right, view, after=True)
        middle = [(inside.get((row, column), (" ", "plain"))) for column in range(fit.wide)]
        rows.append(
            _joined(
                [
                    *left,
                    _post(numbers[0].get(row, ""), edges[0], bool(here.left)),
                    *middle,
                    _post(numbers[1].get(row, ""), edges[1], bool(here.right)),
                    *right,
                ]
            )
        )
    return [*rows, _edge(view, fit, "└┴┘")]


def _inside(
    view: WhereView, fit: _Fit, marks: _Marks, names: Mapping[int, _Names]
) -> dict[tuple[int, int], Span]:
    """Contents of each cell of the board."""
    found: dict[tuple[int, int], Span] = {}
    for across, down in view.others:
        found[_cell(down, view.grid.height, fit.high), _cell(across, view.grid.width, fit.wide)] = (
            "·",
            "faint",
        )
    if fit.wide >= 4 * view.grid.columns and fit.high >= 2 * view.grid.rows:
        for row in _ticks(view.grid.rows, fit.high):
            for column in _ticks(view.grid.columns, fit.wide):
                found[row, column] = ("+", "faint")
    for row, columns in marks.items():
        left, right = names[row].left, names[row].right
        drawn = [*range(max(left, default=-1) + 1), *range(min(right, default=fit.wide), fit.wide)]
        found.update(((row, column), ("─", "next")) for column in drawn)
        for column, here in columns.items():
            is_next = any(mark.ref == view.next_ref for mark in here)
            if len(here) > 1:
                found[row, column] = (f"{min(9, len(here))}", "loud" if is_next else "here")
            else:
                found[row, column] = (MARK, "value" if is_next else "refs")
    return found


def _ticks(zones: int, many: int) -> dict[int, int]:
    """The cells at which zones after the first begin, and their numbers; none where they are too small."""
    if many < 3 * zones:
        return {}
    return {_cell(zone, zones, many): zone for zone in range(1, zones)}


def _middle(zone: int, zones: int, many: int) -> int:
    """The cell in the middle of a zone."""
    return _cell(zone + 0.5, zones, many)


def _numbers(view: WhereView, fit: _Fit, names: Mapping[int, _Names]) -> tuple[dict[int, str], dict[int, str]]:
    """The numbers of the rows of zones in the left and in the right edge, by row of the map.

    Each stands near the middle of its zone, where no line to a name crosses the edge; where every row is
    crossed it stands in the other edge alone.
    """
    zones = view.grid.rows
    found: tuple[dict[int, str], dict[int, str]] = ({}, {})
    for zone in range(zones):
        middle = _middle(zone, zones, fit.high)
        rows = sorted(range(fit.high), key=lambda row: (abs(row - middle), row))
        inside = [row for row in rows if _cell(row + 0.5, fit.high, zones) == zone] or [middle]
        free = [
            next((row for row in inside if row not in names or not names[row].left), None),
            next((row for row in inside if row not in names or not names[row].right), None),
        ]
        if free == [None, None]:
            free[0] = middle
        for numbers, row in zip(found, free, strict=True):
            if row is not None:
                numbers.setdefault(row, f"{zone + 1}")
    return found


def _post(number: str, edge: str, crossed: bool) -> Span:
    """One cell of the left or right edge."""
    if number:
        return (number[-1], "head")
    return ("┼", "next") if crossed else (edge, "plain")


def _edge(view: WhereView, fit: _Fit, corners: str) -> StyledRow:
    """The upper or lower edge with the letters of the columns."""
    ticks = _ticks(view.grid.columns, fit.wide)
    letters = view.grid.letters(view.side)
    middles = {_middle(zone, len(letters), fit.wide): letter for zone, letter in enumerate(letters)}
    cells_of = [
        (middles[column], "head") if column in middles else (corners[1] if column in ticks else "─", "plain")
        for column in range(fit.wide)
    ]
    blank = (" " * fit.left, "plain")
    return _joined([blank, (corners[0], "plain"), *cells_of, (corners[2], "plain")])


def _side(
    columns: Sequence[int],
    row: Mapping[int, Sequence[MapMark]],
    room: int,
    view: WhereView,
    *,
    after: bool = False,
) -> list[Span]:
    """The names of a row in one margin and the line that leads to them."""
    if not columns:
        return [] if after else [(" " * room, "plain")]
    spans: list[Span] = []
    most = room - LINE
    if _long(columns, row, view) > room:
        most -= len(f"+{len(columns)} ")
    used = 0
    for number, column in enumerate(columns):
        name = _named(row[column], view)
        used += cells(name) + 1
        if used > most:
            spans.append((f"+{len(columns) - number}", "caution"))
            break
        is_next = any(mark.ref == view.next_ref for mark in row[column])
        spans += [(name, "value" if is_next else "refs"), (" ", "plain")]
    if spans[-1][0] == " ":
        spans.pop()
    used = sum(cells(text) for text, _ in spans)
    if after:
        return [("─" * LINE, "next"), (" ", "plain"), *spans]
    line = min(LINE, max(1, room - used - 1))
    return [(" " * max(0, room - used - 1 - line), "plain"), *spans, (" ", "plain"), ("─" * line, "next")]


def _joined(spans: Sequence[Span]) -> StyledRow:
    """The spans with neighbours of one look made one."""
    return tuple(
        ("".join(text for text, _ in group), look)
        for look, group in groupby((span for span in spans if span[0]), key=lambda span: span[1])
    )


# -- small ------------------------------------------------------------------------------------------
NAMED = 4
"""Designators that a small map names: the next ones."""


def small_map(view: WhereView, width: int, height: int) -> list[StyledRow]:
    """The board with the next parts named inside it, in at most `width` by `height` cells.

    The part that comes next stands out; a name stands beside its mark, on the side where there is room. No
    cell lies in two zones and each row has the number of its zone; without room for all zones there is no map.
    """
    fit, zones = _fit(view, width, max(1, height - 3), 0), view.grid
    high, wide = fit.high // zones.rows, fit.wide // zones.columns
    if not high or not wide:
        return []
    fit = _Fit(wide=wide * zones.columns, high=high * zones.rows, left=0, right=0)
    marks = _marks(view, fit)
    inside = _inside(view, fit, marks, {row: _Names(left=(), right=()) for row in marks})
    for mark in reversed(view.marks[:NAMED]):
        _write_beside(inside, mark, view, fit)
    side = f", {view.side}" if view.side else ""
    rows: list[StyledRow] = [
        ((cut(f"{clean(view.board, 60)}{side}", width), "faint"),),
        _edge(view, fit, "┌┬┐"),
    ]
    for row in range(fit.high):
        middle = [inside.get((row, column), (" ", "plain")) for column in range(fit.wide)]
        rows.append(_joined([_post(f"{row // high + 1}", "│", False), *middle, ("│", "plain")]))
    return [*rows, _edge(view, fit, "└┴┘")]


def _write_beside(inside: dict[tuple[int, int], Span], mark: MapMark, view: WhereView, fit: _Fit) -> None:
    """Put the name of a mark into the cells after it, or before it near the right edge."""
    row, column = _cell(mark.down, view.grid.height, fit.high), _cell(mark.across, view.grid.width, fit.wide)
    name = cut(clean(mark.ref, 40), LONGEST_NAME)
    first = column + 1 if column + 1 + cells(name) <= fit.wide else column - cells(name)
    if first < 0 or cells(name) != len(name):
        return
    look = "value" if mark.ref == view.next_ref else "refs"
    for number, char in enumerate(name):
        at = (row, first + number)
        if inside.get(at, ("", ""))[0] in (MARK,) and look != "value":
            return
        inside[at] = (char, look)
