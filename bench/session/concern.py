"""Which substitutions and items are about a step, and what is in hand then; pure, and quick to import."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from bench.log.events import Substituted
from bench.log.progress import Progress
from bench.plan.cautions import Caution
from bench.plan.plan import Step


class InHand(Struct, frozen=True, kw_only=True):
    """What goes in at a step, where that is not what the list says."""

    part: Step
    """The step as it would be for the substitute, where that goes in for all of its parts; else the step."""
    ways: tuple[str, ...]
    """Which way round, one text for each sort of part that goes in."""
    cautions: tuple[Caution, ...]
    """What to say in place of the step's own cautions."""
    cautions_before: tuple[Caution, ...]
    """Those of them that an earlier step has said."""


def concern(step: Step, progress: Progress) -> Iterator[Substituted]:
    """The substitutions that are about a step's parts."""
    names = {ref.casefold() for ref in step.refs} | {step.value.casefold()}
    for each in progress.substitutions:
        if same_parts(step, each.items) if each.items else names & names_in(each.part):
            yield each


def names_in(typed: str) -> set[str]:
    """What somebody may have meant by a part: the whole text, and each word of it."""
    return {word.strip(" ,;").casefold() for word in (typed, *typed.replace(",", " ").split())}


def same_parts(step: Step, items: tuple[str, ...]) -> bool:
    """Whether a step is about one of these items."""
    return not {item.removesuffix("#placed") for item in step.items}.isdisjoint(items)
