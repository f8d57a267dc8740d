"""The section about snags: what kinds there were and what they cost. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from bench.writeup import words
from bench.writeup.blocks import Block, Run, Strong, grid
from bench.writeup.snag_kinds import KINDS
from bench.writeup.story_model import SnagRow, Story


def by_kind(story: Story) -> list[tuple[str, list[SnagRow]]]:
    """Snags by kind, the kind that cost most first; in each kind in order."""
    groups = {kind: [row for row in story.snags if row.kind == kind] for kind in KINDS}
    return sorted(
        ((kind, rows) for kind, rows in groups.items() if rows),
        key=lambda group: (-minutes_lost(group[1]), -len(group[1]), KINDS.index(group[0])),
    )


def minutes_lost(rows: Sequence[SnagRow]) -> float:
    """Minutes that these cost, as told, without a rounding error."""
    return float(sum((Decimal(repr(row.minutes)) for row in rows), Decimal()))


def told(story: Story) -> list[Block]:
    """A table of kinds where there are several; each snag stands in the story."""
    groups = by_kind(story)
    return [_table(story, groups)] if len(groups) > 1 else []


def _table(story: Story, groups: list[tuple[str, list[SnagRow]]]) -> Block:
    rows = [[words.capital(kind), str(len(rows)), _cost(minutes_lost(rows))] for kind, rows in groups]
    total: list[Run] = [Strong("All"), str(len(story.snags)), Strong(_cost(story.snag_minutes))]
    head = ["Kind", "Snags", "Time lost"]
    return grid("Snags by kind, sorted by the builder's own words.", head, rows, right=head[1:], total=total)


def _cost(minutes: float) -> str:
    return words.lost(minutes) if minutes else "not recorded"
