"""A short path through places on a board: nearest neighbour, then 2-opt. Pure, deterministic, in bounded time.

The shortest open path is the travelling salesman's problem: up to `MOST_TRIED` places every order is tried,
above `MOST_COMPARED` a boustrophedon does.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import pairwise, permutations

Point = tuple[float, float]
"""x and y in mm."""

MOST_TRIED = 5
"""Up to so many places every order is tried."""
MOST_COMPARED = 100
"""More places than this are walked in lanes, up one and down the next: no time for each against each."""
MOST_ROUNDS = 30
"""Rounds of 2-opt; two or three are usual."""
_NOTHING = 1e-9
"""A difference in mm that is none."""

_Far = Sequence[Sequence[float]]
"""Distances in mm between all places."""


def length(places: Sequence[Point]) -> float:
    """Length in mm of the way through these places in this order.

    >>> length([(0, 0), (3, 4), (3, 0)])
    9.0
    """
    return sum(math.dist(here, there) for here, there in pairwise(places))


def short_path(places: Sequence[Point]) -> tuple[int, ...]:
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
    for way in _candidates(places):
        total = length([places[at] for at in way])
        if total < best - _NOTHING:
            order, best = way, total
    return tuple(order if order[0] <= order[-1] else order[::-1])


def _candidates(places: Sequence[Point]) -> Iterator[list[int]]:
    """Yield paths that may be short."""
    count = len(places)
    if count > MOST_COMPARED:
        yield _lanes(places)
        return
    far = [[math.dist(here, there) for there in places] for here in places]
    if count <= MOST_TRIED:
        orders = (order for order in permutations(range(count)) if order[0] < order[-1])
        yield list(min(orders, key=lambda order: sum(far[here][there] for here, there in pairwise(order))))
        return
    remotest = max(range(count * count), key=lambda pair: far[pair // count][pair % count])
    for way in (_nearest_first(remotest // count, far), list(range(count))):
        for _ in range(MOST_ROUNDS):
            if not _two_opt(way, far):
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


def _two_opt(way: list[int], far: _Far) -> bool:
    """One round of 2-opt: reverse pieces where that shortens the path; whether one was."""
    last, turned = len(way) - 1, False
    for first in range(last):
        before = far[way[first - 1]] if first else None
        for end in range(first + 1, last + 1 if first else last):
            here, there = way[first], way[end]
            gain = before[here] - before[there] if before else 0.0
            if end < last:
                after = way[end + 1]
                gain += far[there][after] - far[here][after]
            if gain > _NOTHING:
                way[first : end + 1] = way[first : end + 1][::-1]
                turned = True
    return turned


def _lanes(places: Sequence[Point]) -> list[int]:
    """Boustrophedon: up one lane and down the next; a square as wide as a lane holds three places."""
    xs, ys = [x for x, _ in places], [y for _, y in places]
    wide, high = max(xs) - min(xs), max(ys) - min(ys)
    lane = math.sqrt(3 * max(wide, _NOTHING) * max(high, _NOTHING) / len(places)) or 1.0
    left = min(xs)
    numbers = [math.floor((x - left) / lane) for x in xs]
    return sorted(
        range(len(places)),
        key=lambda at: (numbers[at], ys[at] if numbers[at] % 2 == 0 else -ys[at], xs[at]),
    )
