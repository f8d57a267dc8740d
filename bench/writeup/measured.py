"""The section about hold points, readings and adjustments. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from bench.writeup import words
from bench.writeup.blocks import Block, grid, listing, paragraph
from bench.writeup.readings import with_unit
from bench.writeup.sections import named, place_of
from bench.writeup.story_model import HoldRow, ReadingRow, Story


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
        blocks.append(_readings(story))
    return blocks + _trims(story)


def _checks(story: Story, holds: Sequence[HoldRow]) -> str:
    if all(row.done == row.checks for row in holds):
        told = [f"{named(story, row.name, row.board)} ({row.checks})" for row in holds]
        return f"All checks were made: {words.join(told)}."
    told = [f"{named(story, row.name, row.board)} ({row.done} of {row.checks})" for row in holds]
    return f"Checks made: {words.join(told)}."


def _trims(story: Story) -> list[Block]:
    """Adjustments; the target of one that was read stands in the table of readings already."""
    read = {(row.point, row.expect) for row in story.readings}
    told, any_target = [], False
    for trim in story.trims:
        said = named(story, trim.name, trim.board)
        said += f" ({words.one_line(trim.trimmer)})" if words.one_line(trim.trimmer) else ""
        if words.one_line(trim.target) and (trim.name, trim.target) not in read:
            said, any_target = f"{said}: {trim.target}", True
        told.append(said)
    if any_target:
        return [paragraph("Adjusted:"), listing(told)]
    return [paragraph(f"Adjusted: {words.join(told)}.")] if told else []


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
