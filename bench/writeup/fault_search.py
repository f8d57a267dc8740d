"""The section about looking for faults: what was wrong, what was looked into, what it was. Pure."""

from __future__ import annotations

from bench.writeup import words
from bench.writeup.blocks import Block, Run, Strong, listing, paragraph
from bench.writeup.sections import place_of
from bench.writeup.story_model import Story, SuspicionRow


def looking(story: Story) -> list[Block]:
    """Every search by its symptom, in order; empty when nothing was looked for."""
    by_symptom: dict[str, list[SuspicionRow]] = {}
    for row in story.suspicions:
        by_symptom.setdefault(words.one_line(row.symptom), []).append(row)
    blocks: list[Block] = []
    for symptom, told in by_symptom.items():
        blocks.append(paragraph(Strong(symptom or "Something was wrong"), f"({place_of(story, told[0])})"))
        blocks.append(listing([*_cleared(told), *_causes(told)]))
    return blocks


def _cleared(rows: list[SuspicionRow]) -> list[Run]:
    cleared = [row for row in rows if not row.found]
    plain = [words.one_line(row.suspicion) for row in cleared if not words.one_line(row.said)]
    told = [
        f"{words.one_line(row.suspicion)}: {words.sentence(row.said)}" for row in cleared if row.said.strip()
    ]
    return [*([f"Looked into, and all right: {'; '.join(plain)}."] if plain else []), *told]


def _causes(rows: list[SuspicionRow]) -> list[list[Run]]:
    found = [row for row in rows if row.found]
    if not found:
        return [[Strong("Not found yet.")]]
    return [
        [
            Strong("This was it:"),
            words.one_line(row.suspicion) + (f": {words.sentence(row.said)}" if row.said else "."),
        ]
        for row in found
    ]
