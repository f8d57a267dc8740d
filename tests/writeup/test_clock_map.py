"""Two clocks and the line between them, against published figures.

Sources: NBS Monograph 140 and NIST SP 1065 (the nine-point set, and the 1000-point set of 12.4); RFC 5905
section 8; JCGM 100:2008 H.3; NIST StRD Norris. The data of the nine-point set are from memory, its slope and
intercept from memory and calculated.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.writeup.film.clock_map import (
    ClockError,
    ClockMap,
    Pair,
    doubts,
    from_start,
    how_found,
    map_clock,
    mean_offset,
)
from tests.measure.test_fit import NORRIS

BENCH = 1_927_820_005.0
"""Some bench time, seconds since 1970."""
EXACT = 1e-3
"""Seconds by which a map through exact claps may be off."""


def from_errors(x: list[float], error: list[float]) -> ClockMap:
    """The map between a clock that shows x and one that is ahead of it by `error`."""
    return map_clock([Pair(bench=each, clip=each + ahead) for each, ahead in zip(x, error, strict=True)])


def offset_at_zero(found: ClockMap) -> float:
    return found.clip(0.0)


# -- published figures -------------------------------------------------------------------------------
def test_the_drift_of_the_nine_point_set_is_the_published_slope() -> None:
    # NBS Monograph 140 / NIST SP 1065: slope -10.2000, intercept 839.8889, counted from 1. In thousandths here,
    # so that the clock runs forwards.
    readings = [892, 809, 823, 798, 671, 644, 883, 903, 677]
    found = from_errors([float(n) for n in range(1, 10)], [each * 1e-3 for each in readings])
    assert found.drift * 1e3 == pytest.approx(-10.2, abs=5e-5)
    assert offset_at_zero(found) * 1e3 == pytest.approx(839.8889, abs=5e-5)


def test_the_drift_of_the_thousand_point_set_is_the_published_slope() -> None:
    # NIST SP 1065 12.4: n(0) = 1234567890, n(i+1) = 16807 n(i) mod 2147483647, divided by the modulus.
    # Slope 6.490910e-06, intercept 0.4865258.
    number, series = 1234567890, []
    for _ in range(1000):
        series.append(number / 2147483647)
        number = 16807 * number % 2147483647
    found = from_errors([float(n) for n in range(1, 1001)], series)
    assert found.drift == pytest.approx(6.490910e-06, rel=1e-6)
    assert offset_at_zero(found) == pytest.approx(0.4865258, abs=5e-8)


@pytest.mark.parametrize(
    ("there", "back", "theta"),
    [((0.0, 0.05), (0.06, 0.11), 0.0), ((0.0, 3.05), (3.06, 0.11), 3.0), ((0.0, 0.12), (0.13, 0.15), 0.05)],
)
def test_the_mean_offset_of_an_exchange_is_theta_of_ntp(
    there: tuple[float, float], back: tuple[float, float], theta: float
) -> None:
    # RFC 5905 section 8: theta = ((T2 - T1) + (T3 - T4)) / 2. Clocks that agree, 50 ms each way, give 0
    # (rejected erratum 5020 would have it 50 ms).
    (t1, t2), (t3, t4) = there, back
    assert ((t2 - t1) + (t3 - t4)) / 2 == pytest.approx(theta)
    found = mean_offset([Pair(bench=t1, clip=t2), Pair(bench=t4, clip=t3)])
    assert offset_at_zero(found) == pytest.approx(theta, abs=1e-12)
    assert found.drift == 0.0


def test_the_uncertainty_of_a_map_is_that_of_the_thermometer_of_gum_h3() -> None:
    # JCGM 100:2008 H.3: correction at 30 °C -0.1494, u 0.0041; slope 0.00218, u 0.00067; s 0.0035.
    t = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
    b = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
    found = from_errors([each - 20.0 for each in t], list(b))
    assert round(found.clip(10.0) - 10.0, 4) == -0.1494
    assert round(found.uncertainty(10.0) or 0.0, 4) == 0.0041
    assert round(found.drift, 5) == 0.00218
    assert round(found.drift_uncertainty or 0.0, 5) == 0.00067
    assert found.fit is not None
    assert round(found.fit.scatter or 0.0, 4) == 0.0035


def test_a_map_through_norris_has_the_certified_line_and_uncertainties() -> None:
    # NIST StRD Norris: certified values; a clap at x is seen at y.
    found = map_clock([Pair(bench=x, clip=y) for x, y in NORRIS])
    assert 1.0 + found.drift == pytest.approx(1.00211681802045, rel=1e-11)
    assert offset_at_zero(found) == pytest.approx(-0.262323073774029, rel=1e-9)
    assert found.drift_uncertainty == pytest.approx(0.429796848199937e-03, rel=1e-9)
    assert found.uncertainty(0.0) == pytest.approx(0.232818234301152, rel=1e-9)


# -- how many marks ----------------------------------------------------------------------------------
def test_one_clap_gives_an_offset_and_says_that_it_tells_no_drift() -> None:
    found = map_clock([Pair(bench=BENCH, clip=12.48, mark="clap 1")])
    assert found.clip(BENCH + 100.0) == pytest.approx(112.48)
    assert (found.drift, found.drift_uncertainty, found.uncertainty(BENCH)) == (0.0, None, None)
    assert "its drift is not known" in how_found(found)
    assert doubts(found) == ()


def test_two_claps_give_an_exact_line_and_no_uncertainty() -> None:
    found = map_clock([Pair(bench=BENCH, clip=12.48), Pair(bench=BENCH + 1800, clip=1812.48 + 0.054)])
    assert found.residuals == pytest.approx((0.0, 0.0), abs=1e-9)
    assert found.drift * 1e6 == pytest.approx(30.0, abs=1e-6)
    assert (found.drift_uncertainty, found.uncertainty(BENCH)) == (None, None)
    assert "a third would show" in how_found(found)
    assert "±" not in how_found(found)


def test_three_claps_have_an_uncertainty_and_residuals() -> None:
    found = map_clock(
        [Pair(bench=BENCH + x, clip=x + off) for x, off in ((0.0, 0.0), (900.0, 0.02), (1800.0, 0.0))]
    )
    assert found.drift_uncertainty is not None
    assert sum(found.residuals) == pytest.approx(0.0, abs=1e-6)
    assert "±" in how_found(found)
    assert doubts(found) == ()


def test_a_start_needs_no_mark() -> None:
    found = from_start(BENCH)
    assert (found.clip(BENCH), found.clip(BENCH + 5), found.bench(5.0)) == (0.0, 5.0, BENCH + 5)
    assert doubts(found) == ()


def test_no_mark_two_marks_of_one_moment_and_a_clip_that_runs_backwards_are_refused() -> None:
    for pairs in (
        [],
        [Pair(bench=BENCH, clip=1.0), Pair(bench=BENCH, clip=2.0)],
        [Pair(bench=BENCH, clip=100.0), Pair(bench=BENCH + 60, clip=10.0)],
        [Pair(bench=BENCH, clip=1.0), Pair(bench=BENCH + 60, clip=200.0)],
    ):
        with pytest.raises(ClockError) as refused:
            map_clock(pairs)
        assert refused.value.hint


# -- what is doubtful --------------------------------------------------------------------------------
def marks(*clips: float, every: float = 600.0) -> list[Pair]:
    """Claps ten minutes apart, seen at these seconds."""
    return [
        Pair(bench=BENCH + every * number, clip=clip, mark=f"clap {number + 1}")
        for number, clip in enumerate(clips)
    ]


def test_a_drift_that_no_clock_has_is_told() -> None:
    (said,) = doubts(map_clock(marks(0.0, 603.0)))
    assert "+5,000 ppm" in said


@pytest.mark.parametrize("ratio", [1000 / 1001, 1001 / 1000])
def test_frames_counted_at_the_wrong_rate_are_named(ratio: float) -> None:
    # 30 frames a second taken for 30 * 1000 / 1001 (common practice, no source).
    (said,) = doubts(map_clock(marks(0.0, 600.0 * ratio)))
    assert "29.97" in said


def test_claps_close_together_are_warned_of_with_what_a_frame_costs() -> None:
    (said,) = doubts(map_clock(marks(0.0, 20.0, every=20.0)))
    assert "20 s apart" in said
    assert "7.2 s" in said  # 0.04 s in 20 s, over an hour
    assert doubts(map_clock(marks(0.0, 600.01))) == ()


def test_a_residual_beyond_two_frames_is_told_and_a_smaller_one_is_not() -> None:
    assert doubts(map_clock(marks(0.0, 600.06, 1200.0))) == ()
    (said,) = doubts(map_clock(marks(0.0, 600.3, 1200.0)))
    assert said.startswith("Clap 2 is off by 0.20 s")


def test_of_four_claps_the_one_read_wrong_is_found_although_the_line_leans_to_it() -> None:
    pairs = marks(0.0, 600.0, 1200.01, 1801.0)
    (said,) = doubts(map_clock(pairs))
    assert said.startswith("Clap 4 is off by 0.99 s from all the others")
    assert doubts(map_clock(pairs[:3])) == ()


def test_four_claps_of_which_two_are_wrong_blame_no_single_one() -> None:
    said = " ".join(doubts(map_clock(marks(0.0, 601.0, 1200.0, 1803.0))))
    assert "from all the others" not in said
    assert "over two frames" in said


def test_marks_in_no_order_at_all_are_refused_whatever_their_number() -> None:
    with pytest.raises(ClockError):
        map_clock(marks(1900.0, 1200.0, 600.0, 0.0))
    assert doubts(map_clock(marks(0.0, 5.0, 1200.0, 1210.0)))


# -- properties --------------------------------------------------------------------------------------
PPM = st.floats(-300, 300)


@given(
    start=st.floats(1.8e9, 2.2e9),
    ppm=PPM,
    claps=st.lists(st.floats(0, 6 * 3600), min_size=2, max_size=8).filter(lambda x: max(x) - min(x) > 60),
    moment=st.floats(0, 6 * 3600),
)
def test_exact_claps_place_any_moment_to_better_than_a_millisecond(
    start: float, ppm: float, claps: list[float], moment: float
) -> None:
    rate = 1.0 + ppm * 1e-6
    found = map_clock([Pair(bench=start + each, clip=each * rate) for each in claps])
    assert abs(found.clip(start + moment) - moment * rate) < EXACT
    assert abs(found.bench(moment * rate) - (start + moment)) < EXACT


@given(ppm=PPM, offset=st.floats(-3600, 3600), moment=st.floats(-1e4, 1e4))
def test_there_and_back_is_where_it_began(ppm: float, offset: float, moment: float) -> None:
    found = ClockMap(reference=BENCH, offset=offset, drift=ppm * 1e-6)
    assert math.isclose(found.clip(found.bench(moment)), moment, abs_tol=1e-6)
