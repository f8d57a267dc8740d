"""How an oscillator tracked at first and at last: from the log to the section of an article; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from bench.kit.kit import Kit, Trim
from bench.log.events import PassMeasured
from bench.measure.tuning.learn import Turn
from bench.session.trimmers import is_tracking
from bench.session.trimming import PassLine, amount, tracking_view
from bench.writeup import words
from bench.writeup.blocks import Block, Grid, grid, paragraph
from bench.writeup.story_model import Story, TrackingRow, TrackPoint


def tracking_rows(kit: Kit, passes: Sequence[PassMeasured]) -> tuple[TrackingRow, ...]:
    """One row for each trim that has passes, in the order of their first ones."""
    trims = {trim.name: trim for trim in kit.trims if is_tracking(trim)}
    names = dict.fromkeys(done.trim for done in passes)
    return tuple(
        _row(kit, trims.get(name) or Trim(name=name, kind="volts per octave"), passes) for name in names
    )


def tracking(story: Story) -> list[Block]:
    """Volts, hertz and cents of the first and the last pass."""
    blocks: list[Block] = []
    for row in story.tracking:
        blocks += [paragraph(_said(row)), *_table(row)]
    return blocks


def _row(kit: Kit, trim: Trim, passes: Sequence[PassMeasured]) -> TrackingRow:
    view = tracking_view(kit, trim, passes)
    usable = [done for done in view.passes if done.worst is not None]
    first, last = (usable[0], usable[-1]) if usable else (None, None)
    return TrackingRow(
        trim=trim.name,
        passes=len(view.passes),
        close_enough=view.close_enough,
        done=view.done,
        first=_points(first),
        last=_points(last),
        turned=_in_all([turn for done in view.passes for turn in done.turned]),
    )


def _points(done: PassLine | None) -> tuple[TrackPoint, ...]:
    if done is None:
        return ()
    return tuple(
        TrackPoint(volts=point.volts, hertz=point.hertz, cents=round(point.cents, 2) + 0.0)
        for point in done.points
        if point.cents is not None
    )


def _in_all(turned: Sequence[Turn]) -> tuple[tuple[str, float], ...]:
    """Turns of each trimmer together, rounded to a hundredth; what came to nothing is left out."""
    sums: dict[str, float] = {}
    for turn in turned:
        sums[turn.trimmer] = sums.get(turn.trimmer, 0.0) + turn.turns
    return tuple(
        (name, round(turns, 2)) for name, turns in sums.items() if math.isfinite(turns) and round(turns, 2)
    )


def _said(row: TrackingRow) -> str:
    name = words.one_line(row.trim) or "A trim without a name"
    count = words.spelt(row.passes, "pass")
    if not row.last:
        return f"{name}: {count} measured, but none of them is usable."
    first, last = (max(abs(point.cents) for point in points) for points in (row.first, row.last))
    allowed = f"{amount(row.close_enough)} allowed"
    if row.first == row.last and row.passes == 1:
        return f"{name}: one pass; the worst point is {last:.1f} cents off ({allowed})."
    came = "the worst point came" if row.done else "the worst point went"
    return f"{name}: in {count} {came} from {first:.1f} to {last:.1f} cents off ({allowed})."


def _table(row: TrackingRow) -> list[Grid]:
    if not row.last:
        return []
    caption = f"{words.one_line(row.trim)}: cents above what each voltage should give."
    if row.passes == 1:
        cells = [[f"{point.volts:g}", *_figures(point)] for point in row.last]
        head = ["Volts", "Hertz", "Cents"]
        return [grid(caption, head, cells, right=head)]
    head = ["Volts", "Hertz at first", "Cents at first", "Hertz at last", "Cents at last"]
    first, last = ({point.volts: point for point in points} for points in (row.first, row.last))
    cells = [
        [f"{volts:g}", *_figures(first.get(volts)), *_figures(last.get(volts))]
        for volts in sorted({*first, *last})
    ]
    return [grid(caption, head, cells, right=head)]


def _figures(point: TrackPoint | None) -> list[str]:
    return ["", ""] if point is None else [f"{point.hertz:.2f}", f"{round(point.cents, 1) + 0.0:+.1f}"]
