"""Kits to identify parts of, and short ways to ask what was found."""

from __future__ import annotations

from bench.kit.kit import Board, Kit, PartLine
from bench.measure.identify.candidates import Candidate, Identified
from bench.measure.identify.match_kit import identify


def kit(*boards: tuple[PartLine, ...]) -> Kit:
    names = ("main", "front", "back")
    return Kit(name="Test", boards=tuple(Board(name=n, parts=p) for n, p in zip(names, boards, strict=False)))


def first(text: str, of: Kit | None = None) -> Candidate:
    return identify(text, of).candidates[0]


def refs(found: Identified) -> list[list[str]]:
    """Designators of each candidate, in order."""
    return [[ref for _, ref in each.refs] for each in found.candidates]


def remarks(found: Identified) -> str:
    return "\n".join(found.remarks)
