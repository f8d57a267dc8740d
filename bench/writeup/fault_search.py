"""Searches for faults as they are told: what was wrong, what was ruled out, what it was. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from bench.writeup import words
from bench.writeup.story_model import Story, SuspicionRow

_DESIGNATOR = re.compile(r"\b[A-Z]{1,4}\d+\b")


def search_sentences(story: Story) -> Iterable[tuple[Sequence[SuspicionRow], str]]:
    """Every search by its symptom, in order, in a few sentences.

    What a reading or a snag tells of it as well is left to that: both stand beside it.
    """
    by_symptom: dict[str, list[SuspicionRow]] = {}
    for row in story.suspicions:
        by_symptom.setdefault(words.one_line(row.symptom), []).append(row)
    for symptom, rows in by_symptom.items():
        points = tuple(
            words.one_line(row.point)
            for row in story.readings
            if row.verdict == "out" and row.point and (row.stage, row.board) == (rows[0].stage, rows[0].board)
        )
        said = [] if symptom.startswith(points) else [words.sentence(words.capital(symptom))]
        ruled_out = words.join([_row(row) for row in rows if not row.found])
        said += [f"Ruled out: {ruled_out}."] if ruled_out else []
        found = [row for row in rows if row.found]
        if told := words.join([_row(row) for row in found if not _told_by_snag(story, row)]):
            said.append(f"The fault: {told}.")
        elif not found:
            said.append("The cause has not been found yet.")
        yield rows, " ".join(filter(None, said))


def _told_by_snag(story: Story, row: SuspicionRow) -> bool:
    """Whether a snag that was noted after it, in the same stage, names the same part."""
    names = {*_DESIGNATOR.findall(f"{row.suspicion} {row.said}")}
    return any(
        snag.n > row.n
        and snag.stage == row.stage
        and names & {*_DESIGNATOR.findall(f"{snag.part} {snag.what}")}
        for snag in story.snags
    )


def _row(row: SuspicionRow) -> str:
    """What was looked into and what was seen; an abbreviation keeps its capitals."""
    text, said = words.one_line(row.suspicion), words.one_line(row.said).rstrip(".")
    small = text if text[1:2].isupper() or not text[1:2].isalpha() else text[:1].lower() + text[1:]
    return f"{small} ({said})" if said else small
