"""The section about hold points, readings and adjustments. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby

from bench.writeup import words
from bench.writeup.blocks import Block, grid, paragraph
from bench.writeup.readings import with_unit
from bench.writeup.sections import named
from bench.writeup.story_model import HoldRow, ReadingRow, Story, TrimRow
from bench.writeup.summary import subject
from bench.writeup.tracking import tracking

MOST_NAMED = 3
"""Readings named in one sentence; more are counted."""


def measured(story: Story) -> list[Block]:
    """How readings came out, what was overridden or accepted, adjustments."""
    holds = [row for row in story.holds if row.done]
    said = [_how_many(story), *_accepted(story), _draws(story)] if story.readings else _accepted(story)
    if holds and any(row.done < row.checks for row in holds):
        said.append(_checks(story, holds))
    blocks: list[Block] = [paragraph(" ".join(filter(None, said)))] if any(said) else []
    return [*blocks, *_trims(story), *tracking(story)]


def _accepted(story: Story) -> list[str]:
    """Readings too close to call that were accepted, by reason; what was overridden is told in the story."""
    by_reason: dict[str, list[str]] = {}
    for row in story.passed:
        if row.close:
            reason = words.one_line(row.reason).rstrip(".")
            reason = "" if reason.endswith("accepted as too close to call") else f": {reason}"
            by_reason.setdefault(reason, []).append(words.one_line(row.point or row.hold) or "One check")
    said = []
    for reason, places in by_reason.items():
        was, them = ("was", "it") if len(places) == 1 else ("were", "them")
        named = words.join(places) if len(places) <= MOST_NAMED else words.spelt(len(places), "reading")
        close = f"{words.capital(named)} {was} too close for the meter to call"
        said.append(f"{close}, and {subject(story)} accepted {them}{reason}.")
    return said


def _draws(story: Story) -> str:
    """The current that it draws from each rail, by the last readings."""
    last = {}
    for row in story.readings:
        if found := re.fullmatch(r"current from (\S+ V)", row.point):
            last[found[1]] = with_unit(row.read, row.expect)
    return f"It draws {words.join([f'{read} from {rail}' for rail, read in last.items()])}." if last else ""


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
    said = f"{words.capital(subject(story))} took {words.spelt(len(last), 'reading')}"
    if not judged:
        return f"{said}."
    if out:
        told = [f"{words.one_line(row.point)} ({with_unit(row.read, row.expect)})" for row in out]
        return f"{said}; out of limits to the last: {words.join(told)}."
    if len(judged) < len(last):
        fine = f"{said}; where there are limits, none was out"
    elif close:
        fine = f"{said}: all but {words.number(close)} were inside their limits"
    else:
        fine = f"{said}, {'inside its limits' if len(judged) == 1 else 'all inside their limits'}"
    if close > sum(row.close for row in story.passed):
        fine += ", and the rest too close for the meter to call"
    return f"{fine}; {words.number(mended)} came right only at a second try." if mended else f"{fine}."


def _checks(story: Story, holds: Sequence[HoldRow]) -> str:
    """How far hold points are, where not all of them are met."""
    overridden = {row.hold for row in story.passed if not row.close}
    met = [
        f"‘{named(story, row.name, row.board)}’"
        for row in holds
        if row.done == row.checks and row.name not in overridden
    ]
    told = [f"All checks of {words.join(met)} are done."] if met else []
    for row in holds:
        if row.done < row.checks:
            so_far = (
                f"{row.done} of {words.counted(row.checks, 'check')} {'is' if row.done == 1 else 'are'} done"
            )
            told.append(f"Of ‘{named(story, row.name, row.board)}’ {so_far}.")
    return " ".join(told)


def _trims(story: Story) -> list[Block]:
    """Adjustments with what they were set to and what was read last; tracking has its own words."""
    tracked = {row.trim for row in story.tracking}
    rows = [trim for trim in story.trims if trim.name not in tracked]
    if not rows:
        return []
    told = [trim for trim in rows if trim.result]
    rest = words.join([_trim(story, trim) for trim in rows if not trim.result])
    blocks: list[Block] = []
    if told:
        cells = [[_trim(story, trim), trim.target, trim.result] for trim in told]
        blocks.append(grid("Trimmers, as they were left.", ["Trim", "Wanted", "Read last"], cells))
    return [
        *blocks,
        *([paragraph(f"{words.capital(subject(story))} wrote no figure down for {rest}.")] if rest else []),
    ]


def _trim(story: Story, trim: TrimRow) -> str:
    said = named(story, trim.name, trim.board)
    return said + (f" ({words.one_line(trim.trimmer)})" if words.one_line(trim.trimmer) else "")


def _readings(story: Story) -> Block:
    def same(row: ReadingRow) -> tuple[str, str, str, str]:
        return row.stage, row.board, row.point, row.expect

    expected = any(words.one_line(row.expect) for row in story.readings)
    judged = any(row.verdict for row in story.readings)
    head = ["Where", *(["Expected"] if expected else []), "Reading", *(["Verdict"] if judged else [])]
    cells = []
    for (_, _, point, expect), rows in groupby(story.readings, same):
        told = list(rows)
        read = ", then ".join(with_unit(row.read, row.expect) for row in told)
        said = [", then ".join(row.verdict or "not judged" for row in told)] if judged else []
        cells.append([point, *([expect] if expected else []), read, *said])
    return grid("Readings in order; 'then' means measured again.", head, cells)
