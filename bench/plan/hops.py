"""Short hops: an order of places in which the hand moves little. Pure, deterministic, in bounded time.

The shortest way through more than a few places is a famous hard problem; a way that is nearly as short is not:
nearest neighbour first, then pieces of the way turned round (2-opt) and moved (or-opt) while that helps.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise

Place = tuple[float, float]
"""x and y in mm."""

MOST_MOVED = 24
"""Up to so many places, single places and short pieces are moved as well."""
MOST_COMPARED = 100
"""More places than this are walked in lanes, up one and down the next: no time for each against each."""
MOST_ROUNDS = 30
"""Rounds of turning and moving pieces; two or three are usual."""
_NOTHING = 1e-9
"""A difference in mm that is none."""

_Far = Sequence[Sequence[float]]
"""Distances in mm between all places."""


def length(places: Sequence[Place]) -> float:
    """Length in mm of the way through these places in this order.

    >>> length([(0, 0), (3, 4), (3, 0)])
    9.0
    """
    return sum(math.dist(here, there) for here, there in pairwise(places))


def short_path(places: Sequence[Place]) -> tuple[int, ...]:
    """Numbers of the places in an order with a short way; its ends are free.

    Never longer than the order given, and that order itself where nothing is shorter; of the two directions
    the one that begins with the end named first.

    >>> short_path([(0, 0), (30, 0), (10, 0), (20, 0)])
    (0, 2, 3, 1)
    """
    given = list(range(len(places)))
    if len(places) < 3:
        return tuple(given)
    order, best = given, length(places)
    for way in _ways(places):
        total = length([places[at] for at in way])
        if total < best - _NOTHING:
            order, best = way, total
    return tuple(order if order[0] <= order[-1] else order[::-1])


def _ways(places: Sequence[Place]) -> Iterator[list[int]]:
    """Ways that may be short."""
    count = len(places)
    if count > MOST_COMPARED:
        yield _lanes(places)
        return
    far = [[math.dist(here, there) for there in places] for here in places]
    remotest = max(range(count * count), key=lambda pair: far[pair // count][pair % count])
    for way in (_nearest_first(remotest // count, far), list(range(count))):
        for _ in range(MOST_ROUNDS):
            if not (_turn(way, far) or (count <= MOST_MOVED and _move(way, far))):
                break
        yield way


def _nearest_first(start: int, far: _Far) -> list[int]:
    """The way that always goes on to the nearest place left."""
    left = [at for at in range(len(far)) if at != start]
    way = [start]
    while left:
        nearest = min(left, key=far[way[-1]].__getitem__)
        left.remove(nearest)
        way.append(nearest)
    return way


def _turn(way: list[int], far: _Far) -> bool:
    """Turn pieces of the way round where that shortens it; whether one was."""
    last, turned = len(way) - 1, False
    for first in range(last):
        for end in range(first + 1, last + 1):
            here, there = way[first], way[end]
            gain = 0.0
            if first:
                gain += far[way[first - 1]][here] - far[way[first - 1]][there]
            if end < last:
                gain += far[there][way[end + 1]] - far[here][way[end + 1]]
            if gain > _NOTHING:
                way[first : end + 1] = way[first : end + 1][::-1]
                turned = True
    return turned


def _move(way: list[int], far: _Far) -> bool:
    """Move one piece of up to three places to where it shortens the way most; whether one was."""
    best, moved = _NOTHING, None
    for size in (1, 2, 3):
        for first in range(len(way) - size + 1):
            piece = way[first : first + size]
            rest = way[:first] + way[first + size :]
            if not rest:
                continue
            head, tail = far[piece[0]], far[piece[-1]]
            saved = (head[way[first - 1]] if first else 0.0) + (
                tail[way[first + size]] if first + size < len(way) else 0.0
            )
            if 0 < first < len(way) - size:
                saved -= far[way[first - 1]][way[first + size]]
            if saved <= best:
                continue
            for gap in range(len(rest) + 1):
                before = rest[gap - 1] if gap else None
                after = rest[gap] if gap < len(rest) else None
                joined = far[before][after] if before is not None and after is not None else 0.0
                for reverse, one, other in ((False, head, tail), (True, tail, head)):
                    cost = (one[before] if before is not None else 0.0) - joined
                    cost += other[after] if after is not None else 0.0
                    if saved - cost > best:
                        best = saved - cost
                        moved = [*rest[:gap], *(piece[::-1] if reverse else piece), *rest[gap:]]
    if moved is None:
        return False
    way[:] = moved
    return True


def _lanes(places: Sequence[Place]) -> list[int]:
    """Up one lane and down the next; as wide as makes a lane about as long as the board is wide."""
    xs, ys = [x for x, _ in places], [y for _, y in places]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    lane = math.sqrt(3 * max(wide, _NOTHING) * max(high, _NOTHING) / len(places)) or 1.0
    left = min(xs)
    numbers = [math.floor((x - left) / lane) for x in xs]
    return sorted(
        range(len(places)),
        key=lambda at: (numbers[at], ys[at] if numbers[at] % 2 == 0 else -ys[at], xs[at]),
    )
