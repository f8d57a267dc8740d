"""Which kit of a batch to build first, and why. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from msgspec import Struct

from bench.batch.difficulty import Difficulty

ORDERS = ("easiest", "shortest", "needs")
"""`easiest`: for a beginner, single boards first, tracking late; `shortest`: hours left; `needs`: what another
module needs for its test comes before it."""


class KitCandidate(Struct, frozen=True, kw_only=True):
    """One kit or build of a batch, as far as the order is concerned."""

    key: str
    """What tells it from the others."""
    title: str
    difficulty: Difficulty
    seconds: float | None = None
    """Bench time still to come, None when nobody knows."""
    gives: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    finished: bool = False


class Placed(Struct, frozen=True, kw_only=True):
    """A kit in its place."""

    key: str
    title: str
    place: int
    """From 1."""
    why: str
    """Why here, in words."""
    pinned: bool = False


class Order(Struct, frozen=True, kw_only=True):
    """The kits of a batch in the order of the work."""

    by: str
    """One of `ORDERS`."""
    placed: tuple[Placed, ...]
    remarks: tuple[str, ...] = ()
    """Needs that nobody meets, circles, pins that stand against them."""


def order_batch(batch: Sequence[KitCandidate], by: str, pins: Mapping[str, int] | None = None) -> Order:
    """The batch in order; `pins` holds places, from 1, by key.

    What is built already comes first. A pin beyond the end means the last place; of two pins on one place the
    one earlier in `batch` has it. Neither needs in a circle nor a pin against them is an error: a remark
    says so.
    """
    count = len(batch)
    pinned = _fixed(batch, pins or {})
    left = [each for each in batch if each.key not in pinned.values()]
    if by == "needs":
        left.sort(key=_easiest)
    else:
        left.sort(key=_easiest if by == "easiest" else _shortest)
    left.sort(key=lambda each: not each.finished)
    by_key = {each.key: each for each in batch}
    placed: list[Placed] = []
    remarks: list[str] = _unmet(batch) if by == "needs" else []
    done: list[KitCandidate] = []
    for place in range(1, count + 1):
        key = pinned.get(place)
        if key is not None:
            chosen, why = by_key[key], f"you chose place {place}"
            if by == "needs" and (waits := _waits_for(chosen, done, batch)):
                remarks.append(f"{chosen.title} stands ahead of what it needs, as you chose: {_said(waits)}.")
        elif by == "needs":
            chosen, why, said = _next_by_need(left, done, batch)
            remarks += [said] if said else []
            left.remove(chosen)
        else:
            chosen = left.pop(0)
            why = _why(chosen, left, by)
        done.append(chosen)
        placed.append(Placed(key=chosen.key, title=chosen.title, place=place, why=why, pinned=key is not None))
    return Order(by=by, placed=tuple(placed), remarks=tuple(remarks))


def moved(order: Order, pins: Mapping[str, int], key: str, by: int) -> dict[str, int]:
    """The pins after one kit went `by` places down (negative: up) and stays there.

    Whoever was pinned to that place takes the place that became free.
    """
    here = next(each.place for each in order.placed if each.key == key)
    there = max(1, min(here + by, len(order.placed)))
    kept = dict(pins)
    for other, place in pins.items():
        if place == there and other != key:
            kept[other] = here
    kept[key] = there
    return kept


def _fixed(batch: Sequence[KitCandidate], pins: Mapping[str, int]) -> dict[int, str]:
    """Key by place; a place that is taken or too late gives way to the nearest free one before it."""
    fixed: dict[int, str] = {}
    for each in batch:
        if each.key in pins:
            wanted = max(1, min(pins[each.key], len(batch)))
            free = [*range(wanted, len(batch) + 1), *range(wanted - 1, 0, -1)]
            fixed[next(place for place in free if place not in fixed)] = each.key
    return fixed


# -- by difficulty or hours -----------------------------------------------------------------------
def _easiest(each: KitCandidate) -> tuple[Any, ...]:
    return (each.difficulty.level, each.difficulty.points, *_shortest(each))


def _shortest(each: KitCandidate) -> tuple[Any, ...]:
    unknown = each.seconds is None
    return (unknown, each.seconds or 0.0, each.difficulty.points, each.title.casefold())


def _why(chosen: KitCandidate, left: Sequence[KitCandidate], by: str) -> str:
    """Why it comes before the rest, in words."""
    if chosen.finished:
        return "built already"
    after = left[0] if left else None
    if by == "shortest":
        own = "hours unknown" if chosen.seconds is None else f"{_hours(chosen.seconds)} left"
        if after is not None and after.seconds == chosen.seconds:
            return f"{own}, the same as {after.title}; {_tie(chosen, after)}"
        return own if after is None or after.seconds is None else f"{own} (next: {_hours(after.seconds)})"
    own = f"{chosen.difficulty.level_words}; difficulty {chosen.difficulty.points}"
    if after is None:
        return own
    if after.difficulty.level != chosen.difficulty.level:
        return f"{own}; before {_LATER[after.difficulty.level]}"
    if after.difficulty.points == chosen.difficulty.points:
        return f"{own}, the same as {after.title}; {_tie(chosen, after)}"
    return f"{own} (next: {after.difficulty.points})"


_LATER = ("single-board kits", "kits with boards to join", "kits with tracking to adjust", "kits that can kill")


def _tie(chosen: KitCandidate, after: KitCandidate) -> str:
    if chosen.seconds != after.seconds and None not in (chosen.seconds, after.seconds):
        return "shorter"
    if chosen.difficulty.points != after.difficulty.points:
        return "easier"
    return "in order of title"


def _hours(seconds: float) -> str:
    """Hours for people.

    >>> _hours(5400), _hours(600)
    ('1.5 h', '10 min')
    """
    return f"{seconds / 3600:.1f} h" if seconds >= 3570 else f"{seconds / 60:.0f} min"


# -- by need --------------------------------------------------------------------------------------
def _plain(word: str) -> str:
    return " ".join(word.casefold().split())


def _givers(need: str, taker: KitCandidate, batch: Sequence[KitCandidate]) -> list[KitCandidate]:
    wanted = _plain(need)
    return [each for each in batch if each is not taker and wanted in map(_plain, each.gives)]


def _waits_for(
    each: KitCandidate, done: Sequence[KitCandidate], batch: Sequence[KitCandidate]
) -> list[tuple[str, KitCandidate]]:
    """Needs that the batch could meet but has not yet, each with the easiest kit that gives it."""
    waits = []
    for need in each.needs:
        givers = _givers(need, each, batch)
        if givers and not any(giver in done for giver in givers):
            waits.append((need, min(givers, key=_easiest)))
    return waits


def _said(waits: Sequence[tuple[str, KitCandidate]]) -> str:
    return ", ".join(f"{need} from {giver.title}" for need, giver in waits)


def _next_by_need(
    left: Sequence[KitCandidate], done: Sequence[KitCandidate], batch: Sequence[KitCandidate]
) -> tuple[KitCandidate, str, str]:
    """The next kit, why it, and a remark when the rest waits in a circle; `left` is easiest first."""
    for each in left:
        if each.finished:
            return each, "built already", ""
    waiting = [(each, _waits_for(each, done, batch)) for each in left]
    ready = [each for each, waits in waiting if not waits]
    if ready:
        chosen = ready[0]
        why = _why_ready(chosen, done, left, batch)
        return chosen, f"{why}; easiest of {len(ready)} that can be tested now" if ready[1:] else why, ""
    walk = _walk(left, done, batch)
    chosen = min(
        [each for each in walk if each in left] or left[:1],
        key=lambda each: (len(_waits_for(each, done, batch)), _easiest(each)),
    )
    waits = _waits_for(chosen, done, batch)
    missing = _said(waits)
    if walk[-1] is not walk[0] or chosen not in walk:
        said = f"{chosen.title} needs {missing}, for which you chose a later place."
        return chosen, f"needs {missing}, for which you chose a later place", said
    names = " -> ".join(each.title for each in walk)
    needs = ", ".join(need for need, _ in waits)
    said = (
        f"These kits need each other ({names}): {chosen.title} is built first, so borrow {needs} for its test."
    )
    return chosen, f"one of kits that need each other: borrow {needs} for its test", said


def _why_ready(
    chosen: KitCandidate,
    done: Sequence[KitCandidate],
    left: Sequence[KitCandidate],
    batch: Sequence[KitCandidate],
) -> str:
    words = []
    met = [
        f"{need} from {giver.title}"
        for need in chosen.needs
        for giver in [next((each for each in done if each in _givers(need, chosen, batch)), None)]
        if giver is not None
    ]
    words += [f"has {', '.join(met)}"] if met else ["needs nothing from the batch"]
    for gift in chosen.gives:
        takers = [
            each
            for each in batch
            if each is not chosen and each not in done and _plain(gift) in map(_plain, each.needs)
        ]
        if takers and not any(_plain(gift) in map(_plain, each.gives) for each in done):
            words.append(
                f"provides {gift} for {takers[0].title if len(takers) == 1 else f'{len(takers)} others'}"
            )
    return ", ".join(words)


def _walk(
    left: Sequence[KitCandidate], done: Sequence[KitCandidate], batch: Sequence[KitCandidate]
) -> list[KitCandidate]:
    """From kit to the kit it waits for, and on: a circle that ends where it began, or a way that ends at a
    kit which waits for nobody (one that is pinned to a later place)."""
    walk = [left[0]]
    while waits := _waits_for(walk[-1], done, batch):
        there = waits[0][1]
        if there in walk:
            return [*walk[walk.index(there) :], there]
        walk.append(there)
    return walk


def _unmet(batch: Sequence[KitCandidate]) -> list[str]:
    """Needs that nothing in the batch meets."""
    missing: dict[str, list[str]] = {}
    for each in batch:
        for need in each.needs if not each.finished else ():
            if not _givers(need, each, batch):
                missing.setdefault(need, []).append(each.title)
    return [
        f"No kit in this batch provides {need}, which {_many(titles)}: you need another source."
        for need, titles in missing.items()
    ]


def _many(titles: Sequence[str]) -> str:
    return f"{titles[0]} needs" if len(titles) == 1 else f"{', '.join(titles)} need"
