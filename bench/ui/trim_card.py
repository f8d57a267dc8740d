"""Layout of the trim screen for any size; pure, cells only.

The figures come first, then what to do; the plot stands beside them where there is room for it. What does not
fit can be scrolled to.
"""

from __future__ import annotations

from collections.abc import Sequence

from bench.measure.tuning.plot import LEAST_HEIGHT, LEAST_WIDTH
from bench.session.adjusting import AdjustView, Judged
from bench.session.trimmers import roles_in_words
from bench.session.trimming import PassLine, TrackingView, amount, plot_rows, turn_words
from bench.ui.card_blocks import GLYPHS, StyledRow, lines
from bench.ui.text import cells, clean, cut, rows_of

_VOLTS, _HERTZ, _CENTS = 7, 11, 8
"""Widths of the columns of figures."""
_GAP = 3
"""Cells between figures and plot."""
_PLOT = 34
"""Cells that the table leaves to the plot where there are so many."""
_TALLEST = 21
"""Rows of a plot at most."""
_MOST_PASSES = 8
"""Passes in the table at most."""


def lay_trim(
    view: TrackingView | AdjustView, width: int, height: int, place: str, enter_key: str
) -> tuple[StyledRow, ...]:
    """A trim in `width` by `height` cells: all its rows, more than fit where it must be.

    `place` says which of the kit's trims it is; `enter_key` is the key that takes a pass or a reading.
    """
    if width < 4 or height < 1:
        return ()
    if isinstance(view, AdjustView):
        return tuple(_adjusting(view, width, place, enter_key))
    return tuple(_tracking(view, width, height, place, enter_key))


def _head(name: str, kind: str, width: int, place: str) -> StyledRow:
    right = cut(place, width)
    left = cut(f"{clean(name, 80)} · {kind}" if kind else clean(name, 80), max(0, width - cells(right) - 1))
    return ((left, "head"), (" " * max(1, width - cells(left) - cells(right)), "plain"), (right, "head"))


# -- tracking ----------------------------------------------------------------------------------------
def _tracking(view: TrackingView, width: int, height: int, place: str, enter_key: str) -> list[StyledRow]:
    head = [_head(view.trim.name, view.trim.kind, width, place)]
    about = _about(view, width)
    advice = _advice(view, width, enter_key)
    later = _later(view, width)
    if not view.passes:
        return _joined([head, about, advice, later], air=len(about + advice + later) + 5 <= height)
    table = _table(view, width)
    beside = width - _table_width(table) - _GAP
    room = height - 1 - len(about) - len(advice) - len(later) - 4
    if beside >= LEAST_WIDTH and max(room, len(table)) >= LEAST_HEIGHT and height >= len(table) + 6:
        plot = plot_rows(view, beside, min(_TALLEST, max(len(table), room)))
        middle = _side_by_side(table, plot, _table_width(table) + _GAP)
        return _joined([head, about, middle, advice, later], air=room >= len(middle))
    if 1 + len(table) + len(advice) >= height:
        table = _flowing(view.passes, width)
    parts = [head, table, advice, about, later]
    spare = height - sum(map(len, parts))
    plot = plot_rows(view, min(width, 72), min(_TALLEST, max(LEAST_HEIGHT + 2, spare - 1)))
    return _joined([*parts, [((line, "plain"),) for line in plot]], air=False)


def _about(view: TrackingView, width: int) -> list[StyledRow]:
    rows: list[StyledRow] = []
    if view.trim.target:
        rows += lines(f"Target: {clean(view.trim.target, 300)}", "way", width)
    if view.wanted:
        rows += lines(f"Wanted: {clean(view.wanted, 300)}, to {amount(view.close_enough)}", "plain", width)
    return rows + lines(f"Trimmers: {clean(roles_in_words(view.trimmers), 300)}", "faint", width)


def _advice(view: TrackingView, width: int, enter_key: str) -> list[StyledRow]:
    if not view.passes:
        rows = lines(
            f"No pass yet. {enter_key} takes one: the pitch at 0 V, 1 V, 2 V and so on.", "loud", width
        )
        return rows + lines(
            "All in one line, or one by one; a WAV recording can give the pitch.", "plain", width
        )
    rows = lines(clean(view.headline, 300), "refs" if view.done else "loud", width) if view.headline else []
    for word in view.todo:
        rows += lines(clean(word, 600), "way", width, mark="> ")
    for word in view.suspects:
        rows += lines(clean(word[:1].upper() + word[1:], 600), "caution", width, mark="▲ ")
    return rows


def _later(view: TrackingView, width: int) -> list[StyledRow]:
    rows: list[StyledRow] = []
    if view.fitted:
        rows += lines("Fitted: " + clean("; ".join(view.fitted), 300), "plain", width)
    turned = [f"before pass {p.number} {clean(turn_words(p.turned), 200)}" for p in view.passes if p.turned]
    if turned:
        rows += lines("Turned: " + "; ".join(turned), "plain", width)
    for word in view.warm_up:
        rows += lines(clean(word, 600), "faint", width)
    if not view.passes and view.trim.how:
        rows += lines(clean(view.trim.how, 2000), "plain", width)
    return rows


def _table(view: TrackingView, width: int) -> list[StyledRow]:
    """Volts, hertz of the last pass, and the cents of the last passes, as many as fit."""
    room = width - _VOLTS - _HERTZ
    beside = (room - _PLOT - _GAP) // _CENTS
    shown = view.passes[-max(1, min(_MOST_PASSES, beside if beside >= 2 else room // _CENTS)) :]
    last = shown[-1]
    titles = "".join(f"pass {each.number}".rjust(_CENTS) for each in shown)
    rows: list[StyledRow] = [((f"{'volts':>{_VOLTS}}{'hertz':>{_HERTZ}}", "head"), (titles, "head"))]
    hertz = {point.volts: point.hertz for point in last.points}
    for volts in sorted({point.volts for each in shown for point in each.points}):
        figures = f"{volts:>{_VOLTS}g}" + (f"{hertz[volts]:>{_HERTZ}.2f}" if volts in hertz else " " * _HERTZ)
        before = "".join(_cents_at(each, volts) for each in shown[:-1])
        rows.append(((figures, "plain"), (before, "faint"), (_cents_at(last, volts), "value")))
    worst = "".join("-".rjust(_CENTS) if each.worst is None else f"{each.worst:{_CENTS}.1f}" for each in shown)
    rows.append(((f"{'worst, cents':>{_VOLTS + _HERTZ}}", "head"), (worst, "head")))
    return rows


def _cents_at(done: PassLine, volts: float) -> str:
    found = next((point for point in done.points if point.volts == volts), None)
    if found is None:
        return " " * _CENTS
    return "?".rjust(_CENTS) if found.cents is None else f"{round(found.cents, 1) + 0.0:+{_CENTS}.1f}"


def _table_width(table: Sequence[StyledRow]) -> int:
    return max(sum(cells(text) for text, _ in row) for row in table)


def _flowing(passes: Sequence[PassLine], width: int) -> list[StyledRow]:
    """The figures of the last pass in as few rows as may be."""
    last = passes[-1]
    worst = [f"{each.worst:.1f}" for each in passes[-4:] if each.worst is not None]
    words = [f"{point.volts:g}V {_cents_at(last, point.volts).strip()}" for point in last.points]
    rows: list[StyledRow] = [((row, "value"),) for row in rows_of(words, width)]
    return [((cut(f"Cents, pass {last.number}; worst {', '.join(worst)}", width), "plain"),), *rows]


def _side_by_side(left: Sequence[StyledRow], right: Sequence[str], column: int) -> list[StyledRow]:
    rows: list[StyledRow] = []
    for number in range(max(len(left), len(right))):
        row = left[number] if number < len(left) else ()
        if number < len(right):
            used = sum(cells(text) for text, _ in row)
            row = (*row, (" " * (column - used), "plain"), (right[number], "plain"))
        rows.append(row)
    return rows


def _joined(parts: Sequence[list[StyledRow]], *, air: bool) -> list[StyledRow]:
    rows: list[StyledRow] = []
    for part in parts:
        if air and rows and part:
            rows.append(())
        rows += part
    return rows


# -- until it is right -------------------------------------------------------------------------------
def _adjusting(view: AdjustView, width: int, place: str, enter_key: str) -> list[StyledRow]:
    rows = [_head(view.trim.name, clean(view.trim.trimmer, 20), width, place)]
    if view.trim.target:
        rows += lines(f"Target: {clean(view.trim.target, 300)}", "way", width)
    headline = view.headline if view.readings else f"{view.headline} {enter_key} takes a reading."
    rows += lines(clean(headline, 300), "refs" if view.done else "loud", width)
    for number, judged in reversed(list(enumerate(view.readings, 1))):
        rows += lines(
            _reading(judged), "value" if number == len(view.readings) else "faint", width, f"{number}: "
        )
    if view.trim.turns:
        turns = f"{view.trim.turns} turns" if view.trim.turns > 1 else "1 turn"
        rows += lines(
            f"{clean(view.trim.trimmer or 'The trimmer', 40)} has {turns} from stop to stop.", "faint", width
        )
    return rows + (lines(clean(view.trim.how, 2000), "plain", width) if view.trim.how else [])


def _reading(judged: Judged) -> str:
    verdict = GLYPHS.get(judged.answer, "")
    words = f"{verdict}: {judged.words}" if verdict and judged.words else judged.words
    return clean(". ".join([f"{judged.text}  {words}".strip(), *judged.notes]), 400)
