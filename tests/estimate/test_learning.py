"""The learning curve against published tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.estimate.learning_curve import exponent, fit_curve, unit_factor

EIGHTY = (1, 0.8000, 0.7021, 0.6400, 0.5956, 0.5617, 0.5345, 0.5120, 0.4929, 0.4765)
EIGHTY_TOTALS = (1, 1.800, 2.502, 3.142, 3.738, 4.299, 4.834, 5.346, 5.839, 6.315)
"""Unit model, 80 %: Heizer & Render, Operations Management, Module E (from memory, and calculated)."""


def total(n: int) -> float:
    """Time of the first n units at 80 % together, as a multiple of the first."""
    return math.fsum(unit_factor(each, 0.8) for each in range(1, n + 1))


@pytest.mark.parametrize("n", range(1, 11))
def test_an_eighty_per_cent_curve_is_that_of_the_textbook(n: int) -> None:
    assert unit_factor(n, 0.8) == pytest.approx(EIGHTY[n - 1], abs=5e-5)
    assert total(n) == pytest.approx(EIGHTY_TOTALS[n - 1], abs=5e-4)


def test_twenty_units_take_ten_and_a_half_times_the_first() -> None:
    assert total(20) == pytest.approx(10.485, abs=5e-4)
    assert exponent(0.8) == pytest.approx(-0.3219280949, abs=1e-10)


def test_it_is_the_unit_model_and_not_that_of_cumulative_averages() -> None:
    """The third unit of 100 h at 80 %: 70.21 h here; 50.63 h where the average falls so (Wright 1936)."""
    assert 100 * unit_factor(3, 0.8) == pytest.approx(70.21, abs=0.005)
    average = [100 * n ** exponent(0.8) for n in (2, 3)]
    assert 3 * average[1] - 2 * average[0] == pytest.approx(50.63, abs=0.005)
    assert 100 * total(4) == pytest.approx(314.21, abs=0.005)


@given(st.floats(1, 1e5), st.floats(0.6, 1.2), st.integers(2, 12))
def test_a_curve_without_scatter_is_found_again(first: float, rate: float, units: int) -> None:
    fit = fit_curve([first * unit_factor(n, rate) for n in range(1, units + 1)])
    assert fit is not None
    assert fit.first == pytest.approx(first, rel=1e-6)
    assert fit.rate == pytest.approx(rate, rel=1e-6)
    assert fit.sigma == pytest.approx(0, abs=1e-6)


def test_the_mean_lies_above_the_median_by_half_the_variance() -> None:
    """Log-normal identities: median exp(mu), mean exp(mu + sigma^2 / 2)."""
    fit = fit_curve([100.0, 90.0, 70.0, 75.0])
    assert fit is not None
    assert fit.sigma > 0
    assert math.log(fit.mean(5) / fit.median(5)) == pytest.approx(fit.sigma**2 / 2)


@pytest.mark.parametrize("times", [[], [5.0], [5.0, 0.0], [5.0, -1.0]])
def test_one_time_or_an_impossible_one_makes_no_curve(times: list[float]) -> None:
    assert fit_curve(times) is None
