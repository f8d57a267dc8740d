"""Short hops: the outside check is the shortest way of all, found by trying every order."""

from __future__ import annotations

import random
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.plan.path import MOST_COMPARED, Point, length, short_path

MM = st.integers(0, 200).map(float)
PLACES = st.lists(st.tuples(MM, MM), max_size=30)


def way(places: list[Point]) -> float:
    """What the hand moves in mm in the order found."""
    return length([places[at] for at in short_path(places)])


def shortest(places: list[Point]) -> float:
    """The shortest way through all places: every order is tried."""
    return min(length([places[at] for at in order]) for order in permutations(range(len(places))))


def boards(many: int, parts: int) -> list[list[Point]]:
    """Places by chance on boards of 60 mm by 100 mm."""
    chance = random.Random(many * 100 + parts)
    return [[(chance.uniform(0, 60), chance.uniform(0, 100)) for _ in range(parts)] for _ in range(many)]


@pytest.mark.parametrize("parts", [2, 3, 4, 5])
def test_up_to_five_places_are_walked_the_shortest_way_there_is(parts: int) -> None:
    for places in boards(40, parts):
        assert way(places) == pytest.approx(shortest(places))


@pytest.mark.parametrize(("parts", "many"), [(6, 40), (7, 20), (8, 3)])
def test_a_few_more_are_walked_the_shortest_way_nearly_always_and_never_much_longer(
    parts: int, many: int
) -> None:
    ratios = [way(places) / shortest(places) for places in boards(many, parts)]
    assert sum(ratio < 1 + 1e-9 for ratio in ratios) >= 0.9 * many
    assert max(ratios) < 1.1


@given(PLACES)
def test_every_place_is_walked_once_and_the_way_is_never_longer_than_the_order_given(
    places: list[Point],
) -> None:
    assert sorted(short_path(places)) == list(range(len(places)))
    assert way(places) <= length(places) + 1e-9


@given(PLACES)
def test_the_same_places_give_the_same_way_and_what_is_found_cannot_be_bettered_by_asking_again(
    places: list[Point],
) -> None:
    assert short_path(places) == short_path(list(places))
    again = [places[at] for at in short_path(places)]
    assert way(again) <= length(again) + 1e-9


@pytest.mark.parametrize("parts", [24, 60, MOST_COMPARED, MOST_COMPARED + 1, 3000])
def test_many_places_are_walked_without_crossing_the_board_each_time(parts: int) -> None:
    """A way through n chance places on an area A is about 0.71 * sqrt(n * A) long at best, and one in lanes
    about 0.92 (Beardwood, Halton and Hammersley 1959 and later estimates, from memory): well below the
    mean distance of two places, times n."""
    places = boards(1, parts)[0]
    assert sorted(short_path(places)) == list(range(parts))
    assert way(places) < 1.1 * (parts * 60 * 100) ** 0.5 + 60
    assert way(places) <= length(places)


def test_places_in_a_row_are_walked_from_one_end_to_the_other() -> None:
    assert short_path([(30.0, 0.0), (0.0, 0.0), (20.0, 0.0), (10.0, 0.0)]) == (0, 2, 3, 1)
    assert short_path([]) == ()
    assert short_path([(1.0, 1.0)]) == (0,)
    assert short_path([(5.0, 5.0)] * 4) == (0, 1, 2, 3)


@pytest.mark.parametrize("seed", range(5))
def test_where_a_board_lies_does_not_change_the_order_of_many_places(seed: int) -> None:
    chance = random.Random(seed)
    places = [(float(chance.randint(0, 90)), float(chance.randint(0, 60))) for _ in range(MOST_COMPARED + 20)]
    for across in (7.0, 33.0, 200.0):
        assert short_path([(x + across, y) for x, y in places]) == short_path(places)
