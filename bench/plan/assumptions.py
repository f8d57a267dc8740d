"""What the builder should know before starting: what was guessed, what is misprinted, what is left out."""

from __future__ import annotations

from collections.abc import Iterator

from bench.kit.danger import danger_of
from bench.kit.kit import Kit, PartLine
from bench.kit.rails import high_rail
from bench.parts.designators import natural_key, shorten
from bench.plan.default_checks import rails_of
from bench.plan.grouping import sections_of
from bench.plan.rules import Procedure


def remarks_on(kit: Kit, procedure: Procedure) -> tuple[str, ...]:
    """Remarks on a kit under a procedure, one sentence each."""
    return tuple(_remarks(kit, procedure))


def _remarks(kit: Kit, procedure: Procedure) -> Iterator[str]:
    for erratum in kit.errata:
        yield f"Known erratum: {erratum}"
    if guessed := _named(kit, "kind_guessed"):
        yield f"Kind of part guessed from designator and value: {guessed}"
    if guessed := _named(kit, "joints_guessed"):
        yield f"Number of joints guessed from kind and package: {guessed}"
    if empty := [f"{board.name} {shorten(board.not_fitted)}" for board in kit.boards if board.not_fitted]:
        yield f"Places that stay empty: {'; '.join(empty)}"
    if optional := _named(kit, "optional"):
        yield f"Optional: {optional}"
    if any(rule.each_section for rule in procedure.stages) and not sections_of(kit):
        yield "The kit names no sections: its parts come in the stages for parts without a section"
    if omission := danger_of(kit).omission:
        yield omission.removesuffix(".")
    for rail in rails_of(kit):
        asked = any(rail.name in check.where for point in kit.hold_points for check in point.checks)
        shut = high_rail(rail) or (danger_of(kit).hands_off and not asked)
        if shut and any(rule.hold for rule in procedure.stages):
            yield f"Nothing is proposed for {rail.name}: the maker's own steps and local codes apply there"


def _named(kit: Kit, flag: str) -> str:
    """Designators of all lines with this flag, by board."""
    said = []
    for board in kit.boards:
        lines: list[PartLine] = [line for line in board.parts if getattr(line, flag)]
        refs = sorted((ref for line in lines for ref in line.refs), key=natural_key)
        unlettered = [line.value or line.kind for line in lines if not line.refs]
        if lines:
            names = ", ".join((*([shorten(refs)] if refs else ()), *unlettered))
            said.append(f"{board.name} {names}")
    return "; ".join(said)
