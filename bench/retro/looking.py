"""The section about looking for faults: what was wrong, what was looked into, what it was."""

from __future__ import annotations

from bench.retro import words
from bench.retro.commonmark import bullets, inert
from bench.retro.model import Story, SuspicionRow
from bench.retro.sections import place_of


def looking(story: Story) -> list[str]:
    """Every search by its symptom, in order; empty when nothing was looked for."""
    by_symptom: dict[str, list[SuspicionRow]] = {}
    for row in story.suspicions:
        by_symptom.setdefault(words.one_line(row.symptom), []).append(row)
    blocks = []
    for symptom, told in by_symptom.items():
        blocks.append(f"**{inert(symptom) or 'Something was wrong'}** ({place_of(story, told[0])})")
        blocks.append(bullets([*_cleared(told), *_causes(told)]))
    return blocks


def _cleared(rows: list[SuspicionRow]) -> list[str]:
    cleared = [row for row in rows if not row.found]
    plain = [inert(row.suspicion) for row in cleared if not words.one_line(row.said)]
    told = [f"{inert(row.suspicion)}: {inert(words.sentence(row.said))}" for row in cleared if row.said.strip()]
    return [*([f"Looked into, and all right: {'; '.join(plain)}."] if plain else []), *told]


def _causes(rows: list[SuspicionRow]) -> list[str]:
    found = [row for row in rows if row.found]
    if not found:
        return ["**Not found yet.**"]
    return [
        f"**This was it:** {inert(row.suspicion)}"
        + (f": {inert(words.sentence(row.said))}" if row.said else ".")
        for row in found
    ]
