"""The rail beside the card: stages under their boards, the time they took or will take; pure, cells only."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from bench.session.view import StageLine
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, cut, wrap

Ranges = Mapping[tuple[str, str], str]
"""Stage and board -> the range of the time left, in words."""
FILLED, EMPTY = "━", "─"


def rail_columns(width: int) -> int:
    """Columns of the rail beside the card in a terminal so wide; 0 where there is none.

    >>> rail_columns(80), rail_columns(120), rail_columns(200)
    (0, 32, 44)
    """
    return 44 if width >= 160 else 32 if width >= 100 else 0


def rail_rows(
    stages: Sequence[StageLine], width: int, ranges: Ranges, whole: str = "the module"
) -> tuple[list[StyledRow], int]:
    """The rows of all stages, those of one board together, and the number of the row at work."""
    rows: list[StyledRow] = []
    now = 0
    for board, heading, of_board in _groups(stages, whole):
        done = sum(stage.state == "done" for stage in of_board)
        if rows:
            rows.append(())
        tally = f" {done}/{len(of_board)} "
        name = cut(f" {heading} ", width - len(tally) - 2)
        rows.append(((name, "head"), ("─" * (width - cells(name) - len(tally)) + tally, "faint")))
        for stage in of_board:
            if stage.state == "now":
                now = len(rows)
            rows += _stage(stage, ranges.get((stage.name, board), ""), width)
    return rows, now


def _groups(stages: Sequence[StageLine], whole: str) -> list[tuple[str, str, list[StageLine]]]:
    """Board, heading and stages: what comes before the boards, each board, what comes after."""
    found: dict[tuple[bool, str], list[StageLine]] = {}
    boards = any(stage.board for stage in stages)
    begun = False
    for stage in stages:
        begun = begun or bool(stage.board)
        found.setdefault((begun and not stage.board, stage.board), []).append(stage)
    order = sorted(found, key=lambda key: (key[0], bool(key[1])))
    return [
        (board, clean(board, 60) or (whole if after or not boards else "to begin with"), found[after, board])
        for after, board in order
    ]


def _stage(stage: StageLine, left: str, width: int) -> list[StyledRow]:
    name = clean(stage.name, 100)
    mark = "▸" if stage.state == "now" else "◇" if stage.hold and stage.state != "done" else " "
    if stage.state == "done":
        return _line(f" {mark} {name}", f"{spent(stage.seconds)} ", width, "faint", "faint")
    if stage.state == "held":
        return _line(f" {mark} {name}", "held back ", width, "caution", "caution")
    if stage.state != "now":
        return _line(f" {mark} {name}", f"{left} ", width, "plain", "faint")
    rows = _line(f" {mark} {name}", f"{stage.steps_done}/{stage.steps} ", width, "here", "here")
    filled = (width - 2) * stage.steps_done // max(1, stage.steps)
    rows.append(((f" {FILLED * filled}", "refs"), (EMPTY * (width - 2 - filled), "faint")))
    took, to_come = spent(stage.seconds), f"{left} left" if left else ""
    if took or to_come:
        gap = " " * max(1, width - 4 - cells(took) - cells(to_come))
        rows.append(((f"   {took}{gap}{to_come}", "plain"),))
    return rows


def spent(seconds: float) -> str:
    """Time spent, short; nothing for next to none.

    >>> spent(0), spent(42), spent(1020), spent(7500)
    ('', '42 s', '17 min', '2 h 05')
    """
    minutes = round(seconds / 60)
    if seconds < 95:
        return f"{seconds:.0f} s" if seconds >= 5 else ""
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d}"


def _line(left: str, right: str, width: int, look: str, right_look: str) -> list[StyledRow]:
    """A name, wrapped where it must be, with a word at the right of its first row."""
    room = width - cells(right) - 1
    first, *more = wrap(left.strip(), max(8, room - 3), hang=0)
    lead = left[: len(left) - len(left.lstrip())]
    texts = [lead + first, *["   " + text for text in more]]
    gap = " " * max(1, width - cells(texts[0]) - cells(right))
    if look == right_look:
        top: StyledRow = ((texts[0] + gap + right, look),)
    else:
        top = ((texts[0] + gap, look), (right, right_look))
    fill = width if look == "here" else 0
    return [top, *[((text.ljust(fill), look),) for text in texts[1:]]]
