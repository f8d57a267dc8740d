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
MOST_TOLD = 6
"""Pairs in the table of a write-up; the data has all."""


def alike_rows(plan: Plan, done: Set[str], snags: Sequence[SnagRow]) -> tuple[AlikeRow, ...]:
    """Each pair of which both sides have gone in, those that were mixed up first, then the worst first."""
    placed: dict[tuple[str, str, str], dict[str, None]] = {}
    for step in plan.steps:
        if step.alike or step.refs:
            refs = [ref for ref in step.refs if f"{step.board}/{ref}" in done]
            if refs:
                placed.setdefault((step.board, step.value, step.kind), {}).update(dict.fromkeys(refs))
    mixed = [
        (row.board, frozenset(_WORD.findall(f"{row.what} {row.part}".upper())))
        for row in snags
        if row.kind == "wrong value"
    ]
    pairs: dict[tuple[str, frozenset[tuple[str, str]]], AlikeRow] = {}
    for step in plan.steps:
        here = placed.get((step.board, step.value, step.kind))
        for each in step.alike if here else ():
            there = placed.get((step.board, each.value, each.kind))
            key = step.board, frozenset({(step.value, step.kind), (each.value, each.kind)})
            if not here or not there or key in pairs:
                continue
            sides = [
                {value.upper(), *map(str.upper, refs)}
                for value, refs in ((step.value, here), (each.value, there))
            ]
            pairs[key] = AlikeRow(
                board=step.board,
                value=step.value,
                refs=tuple(here),
                other=each.value,
                other_refs=tuple(there),
                reason=each.reason,
                rank=each.rank,
                mixed_up=sum(
                    board in (step.board, "") and all(side & said for side in sides) for board, said in mixed
                ),
            )
    return tuple(sorted(pairs.values(), key=lambda row: (-row.mixed_up, row.rank)))


def alikes_met(story: Story) -> list[Block]:
    """What could be taken for what, and whether it was."""
    if not story.alikes:
        return []
    told = story.alikes[:MOST_TOLD]
    boards = len({row.board for row in story.alikes}) > 1
    mixed = sum(1 for row in story.alikes if row.mixed_up)
    amount = len(story.alikes)
    many = f"The build has {words.spelt(amount, 'look-alike pair')}"
    swapped = f"{words.number(mixed) if mixed else 'none'} {'were' if mixed > 1 else 'was'} mixed up"
    said = f"{many}; {swapped}"
    head = ["Value", "Looks like", *(["Board"] if boards else []), "Why"]
    rows = [
        [
            _with(row.value, row.refs),
            _with(row.other, row.other_refs),
            *([row.board] if boards else []),
            words.sentence(row.reason) + (" Mixed up in this build." if row.mixed_up else ""),
        ]
        for row in told
    ]
    blocks: list[Block] = [paragraph(f"{said}."), grid("Look-alikes on one board.", head, rows)]
    if amount > len(told):
        blocks.append(paragraph(f"Not listed: {words.spelt(amount - len(told), 'pair')} less alike."))
    return blocks


def _with(value: str, refs: Sequence[str]) -> str:
    return f"{words.one_line(value)} ({shorten(refs)})" if refs else words.one_line(value)
