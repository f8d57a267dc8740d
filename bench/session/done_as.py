"""What the kit said of each part when it was done, and a quick look whether it says so still; pure.

Nothing here reads values: `agreement` does, and is imported only where something differs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.facts import Facts
from bench.log.progress import Progress
from bench.plan.plan import Plan, Step, part_of

CHANGED, GONE, RENAMED, BOARD = "changed", "gone", "renamed", "board"

Position = tuple[float, float]


class Change(Struct, frozen=True, kw_only=True):
    """Something done that no longer agrees with the kit, and is settled with one answer."""

    sort: str
    """`changed` (open again), `gone` (no longer in the kit), `renamed`, `board` (another name, it seems)."""
    words: str
    items: tuple[str, ...]
    """Items done, by the names in the log."""
    becomes: tuple[tuple[str, str], ...] = ()
    """For another name: old and new board, or old and new part."""


class Said(Struct, frozen=True, kw_only=True):
    """What a kit says of one item."""

    value: str
    facts: Facts | None
    """None where only the value is known."""
    place: Position | None = None


def positions_of(kit: Kit) -> dict[str, Position]:
    """The position of each part that has one, by item."""
    return {
        f"{board.name}/{ref}": place
        for board in kit.boards
        for part in board.parts
        for ref, place in zip(part.refs, part.positions, strict=False)
    }


def facts_of(step: Step, items: Sequence[str], places: Mapping[str, Position]) -> Facts:
    """What the kit says of these items of a step."""
    found = [places.get(part_of(item)) for item in items] if places else []
    return Facts(
        kind=step.kind,
        tolerance=step.tolerance,
        voltage=step.voltage,
        package=step.package,
        marking=step.marking,
        side=step.side,
        seat="socket" if step.action == "insert" else "",
        expect=step.expect,
        places=tuple(place for place in found if place is not None) if found and None not in found else (),
    )


def as_done(events: Iterable[ev.AnyEvent], gone: frozenset[int]) -> dict[str, Said]:
    """What the kit said of each item when it was last done or said to be right; `events` as they are read."""
    found: dict[str, Said] = {}
    for event in events:
        if isinstance(event, ev.Done | ev.Confirmed) and event.n not in gone:
            facts = event.facts
            if facts is None and isinstance(event, ev.Confirmed):
                continue  # no longer in the kit: what it was stands
            places = facts.places if facts and len(facts.places) == len(event.items) else ()
            for at, item in enumerate(event.items):
                found[item] = Said(value=event.value, facts=facts, place=places[at] if places else None)
    return found


def all_agree(plan: Plan, places: Mapping[str, Position], progress: Progress, done: Mapping[str, Said]) -> bool:
    """Whether the kit says word for word what it said when things were done; False: look closer."""
    if progress.reopened:
        return False
    left = set(progress.done) - progress.settled
    for step in plan.steps:
        now: Facts | None = None
        for item in step.items:
            if item not in progress.done:
                continue
            left.discard(item)
            then = done.get(item)
            if then is None:
                continue
            now = now or facts_of(step, (), {})
            if then.value != step.value or (
                then.facts is not None
                and (replace(then.facts, places=()) != now or then.place != places.get(part_of(item)))
            ):
                return False
    return not left
