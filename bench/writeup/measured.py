"""The section about hold points, readings and adjustments. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from bench.writeup import words
from bench.writeup.blocks import Block, grid, listing, paragraph
from bench.writeup.readings import with_unit
from bench.writeup.sections import named, place_of
from bench.writeup.story_model import HoldRow, ReadingRow, Story, TrimRow
from bench.writeup.tracking import tracking


def measured(story: Story) -> list[Block]:
    """Hold points, what was overridden with a reason, readings and adjustments."""
    blocks: list[Block] = []
    holds = [row for row in story.holds if row.done]
    if holds:
        blocks.append(paragraph(_checks(story, holds)))
    for close, about in (
        (False, "Overridden (a check was not met):"),
        (True, "Too close to call with this meter, and accepted:"),
    ):
        reasons = [
            f"{words.one_line(row.hold) or 'no name'}{', ' + row.point if row.point else ''}: "
            f"{words.sentence(row.reason) or 'no reason given.'}"
            for row in story.passed
            if row.close is close
        ]
        blocks += [paragraph(about), listing(reasons)] if reasons else []
    if story.readings:
        blocks.insert(0, paragraph(_how_many(story)))
    return [*blocks, *_trims(story), *tracking(story)]


def readings(story: Story) -> list[Block]:
    """The table of all readings."""
    return [_readings(story)] if story.readings else []


def _how_many(story: Story) -> str:
    """How the readings came out, by the last one at each place."""
    last: dict[tuple[str, str], ReadingRow] = {(row.point, row.expect): row for row in story.readings}
    judged = [row for row in last.values() if row.verdict]
    out = [row for row in judged if row.verdict == "out"]
    close = sum(row.verdict == "too close to call" for row in judged)
    mended = sum(
        any(row.verdict == "out" and (row.point, row.expect) == key for row in story.readings)
        for key, final in last.items()
        if final.verdict == "in"
    )
    said = f"Readings were taken at {words.spelt(len(last), 'place')}"
    if not judged:
        return f"{said}."
    if out:
        told = [f"{words.one_line(row.point)} ({with_unit(row.read, row.expect)})" for row in out]
        return f"{said}; out of limits to the last: {words.join(told)}."
    if len(judged) < len(last):
        fine = f"{said}; where there are limits, none was out"
    else:
        fine = f"{said}, {'and it' if len(last) == 1 else 'and all'} came out within limits"
    if mended:
        fine += f", {words.number(mended)} only at a second try"
    if close:
        fine += f", except for {words.number(close)} too close to call"
    return f"{fine}."


def _checks(story: Story, holds: Sequence[HoldRow]) -> str:
    if all(row.done == row.checks for row in holds):
        checks = sum(row.checks for row in holds)
        if len(holds) == 1:
            return f"All checks of {named(story, holds[0].name, holds[0].board)} were made ({checks})."
        return f"All {checks} checks at the {words.spelt(len(holds), 'hold point')} were made."
    told = [f"{named(story, row.name, row.board)} ({row.done} of {row.checks})" for row in holds]
    return f"Checks made: {words.join(told)}."


def _trims(story: Story) -> list[Block]:
    """Adjustments with what they were set to and what was read last; tracking has its own words."""
    tracked = {row.trim for row in story.tracking}
    rows = [trim for trim in story.trims if trim.name not in tracked]
    if not rows:
        return []
    if not any(words.one_line(trim.target) or trim.result for trim in rows):
        return [paragraph(f"Set without a figure: {words.join([_trim(story, trim) for trim in rows])}.")]
    cells = [[_trim(story, trim), trim.target, trim.result or "not noted"] for trim in rows]
    return [grid("Trimmers, as they were left.", ["Trim", "Wanted", "Read last"], cells)]


def _trim(story: Story, trim: TrimRow) -> str:
    said = named(story, trim.name, trim.board)
    return said + (f" ({words.one_line(trim.trimmer)})" if words.one_line(trim.trimmer) else "")


def _readings(story: Story) -> Block:
    def same(row: ReadingRow) -> tuple[str, str, str, str]:
        return row.stage, row.board, row.point, row.expect

    expected = any(words.one_line(row.expect) for row in story.readings)
    judged = any(row.verdict for row in story.readings)
    head = ["Where", *(["Expected"] if expected else []), "Reading", *(["Verdict"] if judged else []), "During"]
    cells = []
    for (_, _, point, expect), rows in groupby(story.readings, same):
        told = list(rows)
        read = ", then ".join(with_unit(row.read, row.expect) for row in told)
        said = [", then ".join(row.verdict or "not judged" for row in told)] if judged else []
        cells.append([point, *([expect] if expected else []), read, *said, place_of(story, told[0])])
    return grid("Readings in order; 'then' means measured again.", head, cells)
