"""Searches for faults as they are told: what was wrong, what was looked into, what it was. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from bench.writeup import words
from bench.writeup.story_model import Story, SuspicionRow


def search_sentences(story: Story) -> Iterable[tuple[Sequence[SuspicionRow], str]]:
    """Every search by its symptom, in order, in a few sentences."""
    by_symptom: dict[str, list[SuspicionRow]] = {}
    for row in story.suspicions:
        by_symptom.setdefault(words.one_line(row.symptom), []).append(row)
    for symptom, rows in by_symptom.items():
        cleared = [row for row in rows if not row.found]
        began = words.sentence(
            f"Then came a fault. {words.capital(symptom)}" if symptom else "Then there was a fault to find"
        )
        yield rows, " ".join(filter(None, (began, _cleared(cleared), _causes(rows))))


def _cleared(rows: Sequence[SuspicionRow]) -> str:
    if not rows:
        return ""
    told = [_small(words.one_line(row.suspicion)) + _seen(row) for row in rows]
    return f"Checked and fine: {words.join(told)}."


def _seen(row: SuspicionRow) -> str:
    said = words.one_line(row.said).rstrip(".")
    return f" ({said})" if said else ""


def _causes(rows: Sequence[SuspicionRow]) -> str:
    found = [_small(words.one_line(row.suspicion)) + _seen(row) for row in rows if row.found]
    if not found:
        return "The cause has not been found yet."
    return f"The {'cause' if len(found) == 1 else 'causes'}: {words.join(found)}."


def _small(text: str) -> str:
    """A headline inside a sentence; an abbreviation keeps its capitals."""
    return text if text[1:2].isupper() or not text[1:2].isalpha() else text[:1].lower() + text[1:]
