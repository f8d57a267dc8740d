"""Exact limits of counts against published values and a reference library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from bench.estimate.poisson import gamma_p, gamma_quantile, garwood

GARWOOD = {0: (0, 3.6889), 1: (0.0253, 5.5716), 2: (0.2422, 7.2247), 3: (0.6187, 8.7673),
           5: (1.6235, 11.6683), 10: (4.7954, 18.3904)}  # fmt: skip
"""95 % limits (F. Garwood, Biometrika 28, 1936; from memory, and calculated)."""


@pytest.mark.parametrize("count", GARWOOD)
def test_the_limits_are_garwoods(count: int) -> None:
    assert garwood(count) == pytest.approx(GARWOOD[count], abs=5e-5)


def test_a_library_manual_s_example_comes_out_alike() -> None:
    """NAG Library, g07abf: 98 observations, mean 3.0204, so 296 in all; 95 % and 99 % limits of the mean."""
    assert [limit / 98 for limit in garwood(296)] == pytest.approx([2.6861, 3.3848], abs=5e-5)
    assert [limit / 98 for limit in garwood(296, 0.99)] == pytest.approx([2.5874, 3.5027], abs=5e-5)


@given(st.integers(0, 20_000), st.floats(0.5, 0.999))
def test_the_limits_agree_with_scipy(count: int, level: float) -> None:
    tail = (1 - level) / 2
    low, high = garwood(count, level)
    assert low == pytest.approx(stats.chi2.ppf(tail, 2 * count) / 2 if count else 0.0, rel=1e-8)
    assert high == pytest.approx(stats.chi2.ppf(1 - tail, 2 * count + 2) / 2, rel=1e-8)


@given(st.floats(0.1, 5000), st.floats(0, 10_000))
def test_the_incomplete_gamma_function_agrees_with_scipy(shape: float, x: float) -> None:
    assert gamma_p(shape, x) == pytest.approx(special.gammainc(shape, x), abs=1e-10)


@given(st.floats(0.5, 500), st.floats(0.001, 0.999))
def test_a_quantile_is_undone_by_the_share_below_it(shape: float, share: float) -> None:
    assert gamma_p(shape, gamma_quantile(shape, share)) == pytest.approx(share, abs=1e-9)


@pytest.mark.parametrize(("count", "level"), [(-1, 0.95), (3, 0.0), (3, 1.0)])
def test_what_is_no_count_or_no_level_is_refused(count: int, level: float) -> None:
    with pytest.raises(ValueError, match="count"):
        garwood(count, level)
