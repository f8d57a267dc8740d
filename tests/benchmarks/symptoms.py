"""What share of symptoms told in other words is taken for what it is."""

from __future__ import annotations

from collections.abc import Iterable

from bench.suspects.complaint import complaints_in
from tests.benchmarks import Figure
from tests.support.symptom_samples import HELD_OUT, OTHER_WORDS, TABLE

GOAL = 0.85


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """All sets whole: there is no chance in them, and they are quick."""
    told = (*((row.words, row.complaint) for row in TABLE), *OTHER_WORDS)
    for what, rows in (("that the patterns were made with", told), ("held out", HELD_OUT)):
        missed = [words for words, complaint in rows if complaint not in complaints_in(words)]
        leading = sum(complaints_in(words)[:1] == (complaint,) for words, complaint in rows)
        share = 1 - len(missed) / len(rows)
        yield Figure(
            what=f"symptoms {what}: share whose complaint is recognised",
            value=share,
            goal=f">= {GOAL if rows is HELD_OUT else 1.0}",
            met=share >= (GOAL if rows is HELD_OUT else 1.0),
            detail=f"{len(rows)} symptoms, {leading} as the leading complaint; missed: {missed or 'none'}",
        )
