"""Look-alikes that a build met: parts on one board that can be mistaken for one another. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set

from bench.parts.designators import shorten
from bench.plan.plan import Plan
from bench.writeup import words
from bench.writeup.blocks import Block, grid, paragraph
from bench.writeup.moments import AlikeRow
from bench.writeup.story_model import SnagRow, Story

_WORD = re.compile(r"[\w.]+")


def alike_rows(plan: Plan, done: Set[str], snags: Sequence[SnagRow]) -> tuple[AlikeRow, ...]:
    """Each pair of which both sides have gone in, those that were mixed up first, then the worst first."""
    placed = _placed(plan, done)
    mixed = [
        (row.board, frozenset(_WORD.findall(f"{row.what} {row.part}".upper())))
        for row in snags
        if row.kind in ("wrong value", "wrong place")
    ]
    pairs: dict[tuple[str, frozenset[_Sort]], AlikeRow] = {}
    for step in plan.steps:
        here = placed.get((step.board, step.value, step.kind), ())
        for each in step.alike if here else ():
            there = placed.get((step.board, each.value, each.kind), ())
            key = step.board, frozenset({(step.value, step.kind), (each.value, each.kind)})
            if there and key not in pairs:
                sides = ({step.value, *here}, {each.value, *there})
                pairs[key] = AlikeRow(
                    board=step.board,
                    value=step.value,
                    refs=here,
                    other=each.value,
                    other_refs=there,
                    reason=each.reason,
                    rank=each.rank,
                    mixed_up=_mixed_up(step.board, sides, mixed),
                )
    return tuple(sorted(pairs.values(), key=lambda row: (-row.mixed_up, row.rank)))


_Sort = tuple[str, str]
"""Value and kind."""


def _placed(plan: Plan, done: Set[str]) -> dict[tuple[str, str, str], tuple[str, ...]]:
    """Designators that have gone in, by board, value and kind."""
    placed: dict[tuple[str, str, str], tuple[str, ...]] = {}
    for step in plan.steps:
        refs = [ref for ref in step.refs if f"{step.board}/{ref}" in done]
        if refs:
            key = step.board, step.value, step.kind
            placed[key] = tuple(dict.fromkeys((*placed.get(key, ()), *refs)))
    return placed


def _mixed_up(board: str, sides: tuple[set[str], set[str]], mixed: Sequence[tuple[str, frozenset[str]]]) -> int:
    """How many snags (board and words, in capitals) name both sides of a pair."""
    names = [{name.upper() for name in side} for side in sides]
    return sum(where in (board, "") and all(side & said for side in names) for where, said in mixed)


def alikes_met(story: Story) -> list[Block]:
    """Pairs that were mixed up, and parts of pairs that only the meter told apart; nothing where none was."""
    blocks: list[Block] = []
    if caught := _caught(story):
        blocks.append(paragraph(f"The meter found another part in hand for {words.join(caught)}."))
    rows = [
        [
            _with(row.value, row.refs),
            _with(row.other, row.other_refs),
            words.sentence(words.capital(row.reason)),
        ]
        for row in story.alikes
        if row.mixed_up
    ]
    return [*blocks, *([grid("Mixed up in this build.", ["Value", "Taken for", "Why"], rows)] if rows else [])]


def _caught(story: Story) -> list[str]:
    """Values of pairs for which the meter told that another part was in hand."""
    sides = {value for row in story.alikes for value in (row.value, row.other)}
    ahead = [row.value for row in story.measured_ahead if row.said.startswith("NOT ")]
    placed = [row.point for row in story.readings if row.verdict == "out"]
    return [words.one_line(value) for value in dict.fromkeys((*ahead, *placed)) if value in sides]


def _with(value: str, refs: Sequence[str]) -> str:
    return f"{words.one_line(value)} ({shorten(refs)})" if refs else words.one_line(value)
