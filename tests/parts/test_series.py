"""Preferred numbers against IEC 60063:2015 as others print and compute it."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise

import eseries
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.series import (
    SERIES,
    SeriesError,
    is_preferred,
    nearest,
    next_higher,
    next_lower,
    series_of,
    sold_at,
)

NAMES = tuple(SERIES)
VALUES = st.decimals(min_value="0.001", max_value="99999999", places=3)

# Sums of one decade, computed from eseries 1.2.1 (MIT), a library that prints IEC 60063 as tables.
SUMS = {"E3": 79, "E6": 195, "E12": 429, "E24": 901, "E48": 18_313, "E96": 37_070, "E192": 74_599}


def library(name: str) -> eseries.ESeries:
    return eseries.ESeries[name]


@pytest.mark.parametrize("name", NAMES)
def test_one_decade_of_each_series_is_the_one_another_library_prints(name: str) -> None:
    assert SERIES[name] == tuple(eseries.series(library(name)))
    assert sum(SERIES[name]) == SUMS[name]
    assert len(SERIES[name]) == int(name[1:])


def test_e24_is_the_table_as_printed() -> None:
    # IEC 60063:2015, table of E24, from memory.
    printed = "10 11 12 13 15 16 18 20 22 24 27 30 33 36 39 43 47 51 56 62 68 75 82 91"
    assert SERIES["E24"] == tuple(map(int, printed.split()))


def test_e192_departs_from_the_rounded_series_once_at_920() -> None:
    # IEC 60063, from memory: step 185 would be 919, the table has 920.
    rounded = [round(100 * 10 ** (step / 192)) for step in range(192)]
    departures = [
        (step, got) for step, (got, want) in enumerate(zip(SERIES["E192"], rounded, strict=True)) if got != want
    ]
    assert departures == [(185, 920)]


def test_fine_series_nest_and_e24_does_not_lie_in_them() -> None:
    # Computed from the printed tables of IEC 60063: 6 numbers shared with E96, 11 with E192, 3 with E48.
    e24 = {number * 10 for number in SERIES["E24"]}
    assert set(SERIES["E48"]) < set(SERIES["E96"]) < set(SERIES["E192"])
    assert e24 & set(SERIES["E96"]) == {100, 110, 130, 150, 200, 750}
    assert len(e24 & set(SERIES["E192"])) == 11
    assert e24 & set(SERIES["E48"]) == {100, 110, 750}


@pytest.mark.parametrize(
    ("series", "value", "expected"),
    [  # Midpoints computed from the tables of IEC 60063; by difference the lower number would be nearer.
        ("E3", "15.5", "22"),
        ("E3", "33", "47"),
        ("E6", "83", "100"),
        ("E12", "42.9", "47"),
        ("E24", "95.45", "100"),
    ],
)
def test_nearest_is_by_ratio(series: str, value: str, expected: str) -> None:
    assert nearest(Decimal(value), series) == Decimal(expected)


@pytest.mark.parametrize(
    ("series", "value", "expected"),
    [
        # README of eseries: nearest to 319 in E24, and around 5000.
        ("E24", "319", "330"),
        ("E24", "5000", "5100"),
        ("E12", "5000", "4700"),
    ],
)
def test_nearest_gives_the_published_answers(series: str, value: str, expected: str) -> None:
    assert nearest(Decimal(value), series) == Decimal(expected)


def test_an_exact_tie_by_ratio_goes_to_the_lower_number() -> None:
    # Neighbours whose product is a square have an exact middle by ratio; few pairs do, so all are tried.
    ties = 0
    for name in NAMES:
        numbers = [Decimal(number) for number in SERIES[name]] + [Decimal(SERIES[name][0] * 10)]
        for lower, upper in pairwise(numbers):
            root = (lower * upper).sqrt()
            if root * root == lower * upper:
                ties += 1
                assert nearest(root, name) == lower
    assert ties > 0


def test_next_higher_is_at_least_the_value_as_published() -> None:
    # README of eseries: the next E96 value that is not below 184 is 187.
    assert next_higher(Decimal(184), "E96") == 187
    assert next_higher(Decimal(5000), "E24") == 5100
    assert next_lower(Decimal(5000), "E24") == 4700


@given(VALUES, st.sampled_from(NAMES))
def test_every_search_agrees_with_another_library(value: Decimal, name: str) -> None:
    other = library(name)
    number = float(value)

    def same(ours: Decimal, theirs: float | None) -> bool:
        if theirs is None:
            # The library scales the value to 1..10 in floating point; where that rounds a preferred value
            # past its neighbour (0.102 in E192) it finds nothing, and there is nothing to compare with.
            return ours in (value, next_lower(value, name, strict=True), next_higher(value, name, strict=True))
        return abs(float(ours) - theirs) <= 1e-9 * theirs

    assert same(next_higher(value, name), eseries.find_greater_than_or_equal(other, number))
    assert same(next_higher(value, name, strict=True), eseries.find_greater_than(other, number))
    assert same(next_lower(value, name), eseries.find_less_than_or_equal(other, number))
    assert same(next_lower(value, name, strict=True), eseries.find_less_than(other, number))


@given(st.sampled_from(NAMES), st.integers(0, 191), st.integers(-12, 9))
def test_every_number_of_a_series_is_its_own_nearest(name: str, place: int, decade: int) -> None:
    numbers = SERIES[name]
    value = Decimal(numbers[place % len(numbers)]).scaleb(decade)
    assert is_preferred(value, name)
    assert name in series_of(value)
    assert nearest(value, name) == value
    assert next_higher(value, name) == next_lower(value, name) == value
    below, above = next_lower(value, name, strict=True), next_higher(value, name, strict=True)
    assert below < value < above
    assert next_higher(below, name, strict=True) == next_lower(above, name, strict=True) == value


@given(VALUES, st.sampled_from(NAMES))
def test_a_value_is_preferred_exactly_when_the_next_higher_is_itself(value: Decimal, name: str) -> None:
    assert is_preferred(value, name) == (next_higher(value, name) == value)


def test_values_with_more_than_three_digits_are_in_no_series() -> None:
    assert series_of(Decimal("1001")) == ()
    assert series_of(Decimal("0")) == series_of(Decimal("-4700")) == series_of(Decimal("NaN")) == ()


@pytest.mark.parametrize(
    ("name", "tolerance"),
    # IEC 60063, from memory, in per cent; tables disagree on E3
    [("E6", "20"), ("E12", "10"), ("E24", "5"), ("E48", "2"), ("E96", "1"), ("E192", "0.5"), ("E192", "0.25"),
     ("E192", "0.1")],
)  # fmt: skip
def test_each_series_is_sold_at_its_own_tolerance(name: str, tolerance: str) -> None:
    assert name in sold_at(Decimal(tolerance))


@pytest.mark.parametrize("value", ["0", "-1", "NaN", "Infinity"])
def test_a_value_that_is_not_above_zero_is_refused_with_a_hint(value: str) -> None:
    with pytest.raises(SeriesError, match="give a value above 0"):
        nearest(Decimal(value), "E24")


def test_an_unknown_series_is_refused_with_the_list_of_series() -> None:
    with pytest.raises(SeriesError, match="E3, E6, E12, E24, E48, E96, E192"):
        is_preferred(Decimal(1), "E36")
