"""Times to come are told no finer than anybody would promise, and lose nothing in the rounding."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.estimate.forecast import Interval
from bench.estimate.hours import about, between


def seconds_of(said: str) -> int:
    number, unit, *minutes = said.split()
    return int(number) * {"s": 1, "min": 60, "h": 3600}[unit] + 60 * int("".join(minutes) or 0)


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (4.9, "0 min"), (5, "10 s"), (94, "90 s"), (95, "2 min"), (89, "90 s"), (19.4 * 60, "19 min"),
        (20 * 60, "20 min"), (22 * 60, "20 min"), (23 * 60, "25 min"), (57 * 60, "55 min"), (58 * 60, "1 h"),
        (179 * 60, "3 h"), (176 * 60, "2 h 55"), (184 * 60, "3 h"), (186 * 60, "3 h 10"), (716 * 60, "12 h"),
        (749 * 60, "12 h"), (751 * 60, "13 h"),
    ],
)  # fmt: skip
def test_a_time_is_rounded_at_its_boundaries(seconds: float, said: str) -> None:
    assert about(seconds) == said


@given(st.floats(5, 500_000))
def test_a_rounded_time_is_near_the_time(seconds: float) -> None:
    allowed = 5 if seconds < 95 else 30 if seconds < 1200 else 150 if seconds < 10_800 else 300
    allowed = 1800 if seconds >= 43_200 else allowed
    assert abs(seconds_of(about(seconds)) - seconds) <= max(allowed, 25 if 90 < seconds < 100 else 0) + 1e-6


def of(low: float, high: float) -> Interval:
    return Interval(likely=(low + high) / 2, low=low, high=high, mean=(low + high) / 2)


@given(st.floats(5, 500_000), st.floats(5, 500_000))
def test_both_ends_of_a_range_can_be_read_back(one: float, other: float) -> None:
    low, high = sorted((one, other))
    first, _, last = between(of(low, high)).partition(" to ")
    last = last or first
    assert last == about(high)
    assert (first if " " in first else f"{first} {last.split()[1]}") == about(low)


@pytest.mark.parametrize(
    ("low", "high", "said"),
    [(60, 60, "60 s"), (60, 80, "60 to 80 s"), (60, 180, "60 s to 3 min"), (120, 300, "2 to 5 min"),
     (3600, 7200, "1 to 2 h"), (3900, 7200, "1 h 05 to 2 h")],
)  # fmt: skip
def test_a_range_says_its_unit_once_where_both_ends_have_it(low: float, high: float, said: str) -> None:
    assert between(of(low, high)) == said
