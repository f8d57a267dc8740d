"""What a step is about and warns of as the build stands: substitutes, cautions, look-alikes; pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from bench.log.events import Substituted
from bench.log.progress import Progress
from bench.plan.cautions import Caution, FirstOfKind
from bench.plan.plan import Alike, Step


class Warned(Struct, frozen=True, kw_only=True):
    """A look-alike of the step on screen."""

    alike: Alike
    placed: int
    """How many of it are on the board already, soldered or set in place."""
    neighbour: bool
    """True when it is the step just before or just after."""

    @property
    def where(self) -> str:
        """Whether it is on the board, in words."""
        if not self.placed:
            return "still to come"
        return "in already" if self.placed >= len(self.alike.refs) else "partly in"


def held_items(progress: Progress) -> frozenset[str]:
    """All items that are held back."""
    return frozenset(item for held in progress.held for item in held.items)


def cautions_at(
    steps: Sequence[Step], cautions: FirstOfKind, progress: Progress, position: int
) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
    """The cautions to say at a step, and those said before: as it was when done, as it will be otherwise.

    A step that is held back has said nothing yet: the next one of its kind says it.
    """
    done_at, held = progress.done_at, held_items(progress)

    def begun(at: int) -> int | None:
        return min((done_at[item] for item in steps[at].items if item in done_at), default=None)

    own = begun(position)

    def said_before(other: int) -> bool:
        theirs = begun(other)
        if theirs is not None:
            return own is None or theirs < own
        return own is None and other < position and not held.issuperset(steps[other].items)

    return cautions.split(position, said_before)


def warned_of(
    steps: Sequence[Step], progress: Progress, position: int, after: int | None
) -> tuple[Warned, ...]:
    """The look-alikes of a step, neighbours first; `after` is the position of the step that comes next."""
    step = steps[position]
    if not step.alike:
        return ()
    near = [steps[at] for at in (position - 1, after) if at is not None and at >= 0]
    board = step.items[0].partition("/")[0]
    done = progress.done
    warned = [
        Warned(
            alike=each,
            placed=sum(f"{board}/{ref}" in done or f"{board}/{ref}#placed" in done for ref in each.refs),
            neighbour=any((other.value, other.kind) == (each.value, each.kind) for other in near),
        )
        for each in step.alike
    ]
    return tuple(sorted(warned, key=lambda each: (not each.neighbour, each.alike.rank)))


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
