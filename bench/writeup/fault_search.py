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
    return [*([f"Checked, fine: {'; '.join(map(_small, plain))}."] if plain else []), *told]


def _small(text: str) -> str:
    """A headline inside a sentence; an abbreviation keeps its capitals."""
    return text if text[1:2].isupper() or not text[1:2].isalpha() else text[:1].lower() + text[1:]


def _causes(rows: list[SuspicionRow]) -> list[list[Run]]:
    found = [row for row in rows if row.found]
    if not found:
        return [[Strong("Not found yet.")]]
    return [
        [
            Strong("Cause:"),
            words.one_line(row.suspicion) + (f": {words.sentence(row.said)}" if row.said else "."),
        ]
        for row in found
    ]
