"""The section about hold points, readings and adjustments. Pure."""

from __future__ import annotations

import re
from itertools import groupby

from bench.writeup import words
from bench.writeup.blocks import Block, grid, paragraph
from bench.writeup.readings import what_it_read, with_signs, with_unit
from bench.writeup.sections import named
from bench.writeup.story_model import ReadingRow, Story, TrimRow
from bench.writeup.summary import overridden
from bench.writeup.tracking import tracking

CLOSE = "too close to call"
OURS = f"accepted as {CLOSE}"
"""How a reason ends that the program wrote."""


def measured(story: Story) -> list[Block]:
    """What is out, what was accepted, how far hold points are; then currents and trims as they were left."""
    said = [*_out(story), *_accepted(story), *_checks(story)]
    blocks: list[Block] = [paragraph(*said)] if said else []
    return [*blocks, *_as_left(story), *tracking(story)]


def _last(story: Story) -> list[ReadingRow]:
    """The last reading at each place."""
    return list({(row.point, row.expect): row for row in story.readings}.values())


def _out(story: Story) -> list[str]:
    told = {row.point for row in overridden(story)}
    rows = [row for row in _last(story) if row.verdict == "out" and row.point not in told]
    out = [what_it_read(row.point, row.read, row.expect) for row in rows]
    return [f"Out of limits to the last: {'; '.join(out)}."] if out else []


def _accepted(story: Story) -> list[str]:
    """Readings too close to call that were accepted, by reason; what was overridden is told in the story."""
    by_reason: dict[str, list[str]] = {}
    for row in story.passed:
        reason = words.one_line(row.reason).rstrip(".")
        if row.close and reason and not reason.endswith(OURS):
            by_reason.setdefault(reason, []).append(words.one_line(row.point or row.hold) or "one check")
    return [
        f"{words.capital(words.join(points))} {'was' if len(points) == 1 else 'were'} too close to call and "
        f"accepted: {reason}."
        for reason, points in by_reason.items()
    ]


def readings(story: Story) -> list[Block]:
    """The table of all readings."""
    return [_readings(story)] if story.readings else []


def _checks(story: Story) -> list[str]:
    """Hold points that are begun and not through."""
    return [
        f"{row.done} of the {words.counted(row.checks, 'check')} of ‘{named(story, row.name, row.board)}’ "
        f"{'is' if row.done == 1 else 'are'} done."
        for row in story.holds
        if 0 < row.done < row.checks
    ]


def _as_left(story: Story) -> list[Block]:
    """The current from each rail and the trims, as they were read last; tracking has its own words."""
    tracked = {row.trim for row in story.tracking}
    cells = [
        [words.capital(row.point), with_signs(row.expect), with_unit(row.read, row.expect)]
        for row in _last(story)
        if re.fullmatch(r"current from \S+ V", row.point)
    ]
    cells += [
        [_trim(story, row), with_signs(row.target), row.result]
        for row in story.trims
        if row.result and row.name not in tracked
    ]
    return [grid("As it was left.", ["Measured", "Wanted", "Read last"], cells)] if cells else []


def _trim(story: Story, trim: TrimRow) -> str:
    said = named(story, trim.name, trim.board)
    return said + (f" ({words.one_line(trim.trimmer)})" if words.one_line(trim.trimmer) else "")


def _readings(story: Story) -> Block:
    def same(row: ReadingRow) -> tuple[str, str, str, str]:
        return row.stage, row.board, row.point, row.expect

    expected = any(words.one_line(row.expect) for row in story.readings)
    judged = any(row.verdict for row in story.readings)
    close = {row.point for row in story.passed if row.close}
    head = ["Where", *(["Expected"] if expected else []), "Reading", *(["Verdict"] if judged else [])]
    cells = []
    for (_, _, point, expect), rows in groupby(story.readings, same):
        told = dict.fromkeys((with_unit(row.read, row.expect), row.verdict or "not judged") for row in rows)
        read, verdicts = (", then ".join(each) for each in zip(*told, strict=True))
        accepted = ", accepted" if verdicts.endswith(CLOSE) and point in close else ""
        said = [verdicts + accepted] if judged else []
        cells.append([point, *([with_signs(expect)] if expected else []), read, *said])
    return grid("Readings in order; 'then' means measured again.", head, cells)
