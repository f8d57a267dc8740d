"""The learning curve against published tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.estimate.stats import learning_rate

EIGHTY = (1, 0.8000, 0.7021, 0.6400, 0.5956, 0.5617, 0.5345, 0.5120, 0.4929, 0.4765)
"""Unit model, 80 %: Heizer & Render, Operations Management, Module E (from memory, and calculated)."""
CUMULATIVE = (100.0, 60.0, 50.63)
"""Hours of the first units at 80 % where the average of all so far falls so (Wright 1936)."""


@pytest.mark.parametrize("units", range(2, 11))
def test_an_eighty_per_cent_curve_is_that_of_the_textbook(units: int) -> None:
    assert learning_rate(EIGHTY[:units]) == pytest.approx(0.8, abs=5e-5)


def test_it_is_the_unit_model_and_not_that_of_cumulative_averages() -> None:
    assert learning_rate(CUMULATIVE) == pytest.approx(0.64, abs=0.02)


@given(st.floats(1, 1e5), st.floats(0.6, 1.2), st.integers(2, 12))
def test_a_curve_without_scatter_is_found_again(first: float, rate: float, units: int) -> None:
    times = [first * rate ** math.log2(n) for n in range(1, units + 1)]
    assert learning_rate(times) == pytest.approx(rate, rel=1e-6)


@pytest.mark.parametrize("times", [[], [5.0], [5.0, 0.0], [5.0, -1.0]])
def test_one_time_or_an_impossible_one_makes_no_curve(times: list[float]) -> None:
    assert learning_rate(times) is None
