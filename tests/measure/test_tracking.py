"""Tracking of oscillators with known faults, and points as people write them."""

from __future__ import annotations

import math
import random
from statistics import linear_regression

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import t as student

from bench.errors import FileFaults
from bench.measure.fit import fit_line
from bench.measure.tuning.advice import advise
from bench.measure.tuning.learn import Pass, can_bend
from bench.measure.tuning.points import Point, TrackingError, parse_points
from bench.measure.tuning.tracking import _STUDENT_95, analyse, analyse_linear
from tests.support.simulated_oscillator import TARGET, VOLTS
from tests.support.simulated_oscillator import points_with as _points


@given(st.floats(-100, 100), st.floats(-400, 400), st.integers(2, 12))
def test_scale_and_offset_put_in_are_found_again(scale: float, offset: float, count: int) -> None:
    found = analyse(_points(scale, offset, [0.5 * n for n in range(count)]), TARGET)
    assert found.scale == pytest.approx(scale, abs=1e-6)
    assert found.offset == pytest.approx(offset, abs=1e-6)
    assert not found.bent
    assert (found.scale_uncertainty is None) == (count == 2)
    assert found.points[-1].cents == pytest.approx(offset + scale * 0.5 * (count - 1), abs=1e-6)


@given(st.floats(-20, 20), st.floats(-50, 50), st.floats(3, 60))
def test_flattening_at_the_top_is_told_from_scale(scale: float, offset: float, flat: float) -> None:
    found = analyse(_points(scale, offset, bend=-flat), TARGET)
    assert found.bent
    assert found.scale == pytest.approx(scale, abs=1e-6)
    assert found.top == pytest.approx(-flat, abs=1e-6)
    assert any("top" in remark for remark in found.remarks)


def test_a_top_point_that_alone_breaks_away_does_not_spoil_the_scale() -> None:
    points = _points(2.0, 0.0)
    points[-1] = Point(volts=5.0, hertz=points[-1].hertz * 2 ** (-30 / 1200))
    found = analyse(points, TARGET)
    assert found.bent
    assert found.scale == pytest.approx(2.0, abs=1e-6)
    assert found.top == pytest.approx(-30.0, abs=1e-6)


def test_noise_alone_is_rarely_called_a_bend_and_the_uncertainty_is_honest() -> None:
    chance = random.Random(8)
    bent, within = 0, 0
    for _ in range(400):
        points = [
            Point(volts=p.volts, hertz=p.hertz * 2 ** (chance.gauss(0.0, 2.0) / 1200))
            for p in _points(3.0, 10.0)
        ]
        found = analyse(points, TARGET)
        bent += found.bent
        line = fit_line(VOLTS, [p.cents for p in found.points])
        assert line.uncertainty(1) is not None
        # Student's t for 4 degrees of freedom, 95 %: 2.776
        within += abs(line.coefficients[1] - 3.0) <= 2.776 * (line.uncertainty(1) or 0.0)
    # At 5 % error each, 400 trials give 20 ± 4.4; four of those either way.
    assert bent <= 45
    assert 380 - 18 <= within <= 380 + 18


def test_a_bend_within_chance_leaves_the_scale_to_the_line_through_all_points() -> None:
    # The least squares of Python's own library stand for the line.
    wiggle = (1.0, -2.0, 2.0, -2.0, 1.0, 0.5)
    points = [
        Point(volts=p.volts, hertz=p.hertz * 2 ** (cents / 1200))
        for p, cents in zip(_points(3.0, 10.0), wiggle, strict=True)
    ]
    found = analyse(points, TARGET)
    slope, offset = linear_regression(VOLTS, [p.cents for p in found.points])
    assert not found.bent
    assert (found.scale, found.offset) == pytest.approx((slope, offset), abs=1e-9)
    assert found.mean_offset == pytest.approx(offset, abs=1e-9)


def test_without_a_wanted_pitch_the_nearest_note_serves() -> None:
    points = [Point(volts=v, hertz=110.0 * 2 ** (v + (10 + 2 * v) / 1200)) for v in VOLTS]
    found = analyse(points)
    assert found.reference.hertz == pytest.approx(110.0)
    assert found.offset == pytest.approx(10.0)
    assert found.scale == pytest.approx(2.0)
    assert found.worst == pytest.approx(20.0)


def test_a_linear_oscillator_is_not_mistaken_for_a_bad_one() -> None:
    found = analyse([Point(volts=v, hertz=100.0 * v) for v in (1.0, 2.0, 4.0, 8.0)])
    assert "hertz-per-volt" in found.gross


@given(st.floats(20, 2000), st.floats(-0.05, 0.2))
def test_a_linear_law_put_in_is_found_again(slope: float, share: float) -> None:
    volts = (0.5, 1.0, 2.0, 4.0, 8.0)
    found = analyse_linear([Point(volts=v, hertz=slope * (v + share)) for v in volts], slope)
    assert found.hertz_per_volt == pytest.approx(slope)
    assert found.hertz_at_zero == pytest.approx(slope * share, abs=1e-6 * slope)
    assert found.scale_cents == pytest.approx(0.0, abs=1e-3)
    assert found.points[0].cents == pytest.approx(1200 * math.log2(1 + share / 0.5), abs=1e-6)


def test_linear_advice_followed_puts_a_linear_oscillator_right() -> None:
    slope, at_zero = 93.0, 6.0
    volts = (0.5, 1.0, 2.0, 4.0, 8.0)
    found = analyse_linear([Point(volts=v, hertz=slope * v + at_zero) for v in volts], 100.0)
    assert "46.50 Hz" in found.advice[0]
    at_zero += 46.50 - (slope * 0.5 + at_zero)
    assert "800.00 Hz" in found.advice[1]
    slope += (800.00 - (slope * 8.0 + at_zero)) / 8.0
    again = analyse_linear([Point(volts=v, hertz=slope * v + at_zero) for v in volts], 100.0)
    assert max(abs(point.cents) for point in again.points) < 0.1
    assert "leave it" in again.advice[0]


def test_linear_points_that_make_no_sense_are_refused() -> None:
    with pytest.raises(TrackingError, match="below 0 V"):
        analyse_linear([Point(volts=0.0, hertz=10.0), Point(volts=1.0, hertz=100.0)])
    with pytest.raises(TrackingError, match="does not rise"):
        analyse_linear([Point(volts=v, hertz=h) for v, h in ((1.0, 100.0), (4.0, 10.0), (8.0, 5.0))])
    for slope in (-1.0, 0.0, math.inf, math.nan):
        with pytest.raises(TrackingError, match="not a slope"):
            analyse_linear([Point(volts=1.0, hertz=100.0), Point(volts=4.0, hertz=400.0)], slope)


def test_linear_points_off_any_line_are_not_blamed_on_the_trimmers() -> None:
    # Errors of hertz per volt at 1, 2 and 4 V in proportion -1 : 3 : -2 leave the fit at 100 Hz/V and 0.
    crooked = analyse_linear(
        [Point(volts=v, hertz=h) for v, h in ((1.0, 99.5), (2.0, 203.0), (4.0, 396.0))], 100.0
    )
    assert crooked.hertz_per_volt == pytest.approx(100.0)
    assert crooked.hertz_at_zero == pytest.approx(0.0, abs=1e-9)
    assert "do not lie on a line" in crooked.advice[0]


def test_a_linear_oscillator_with_a_wrong_slope_alone_needs_the_scale_trimmer_alone() -> None:
    found = analyse_linear([Point(volts=v, hertz=103.0 * v) for v in (0.5, 1.0, 4.0)], 100.0)
    assert "scale trimmer" in found.advice[0]
    assert "400.00 Hz" in found.advice[0]
    assert len(found.advice) == 2


def test_points_are_read_in_the_ways_people_write_them() -> None:
    text = (
        "# volts hertz\n0 65.406\n1 V\t130.81 Hz\n2; 261,63\n3,5 740.0\n"
        "4, 1046.5 # top\n5 = 2.093 kHz\n-1 32.7\n"
    )
    assert [(p.volts, p.hertz) for p in parse_points(text)] == [
        (0.0, 65.406), (1.0, 130.81), (2.0, 261.63), (3.5, 740.0), (4.0, 1046.5), (5.0, 2093.0), (-1.0, 32.7),
    ]  # fmt: skip


def test_all_bad_lines_of_points_are_reported_at_once_with_their_numbers() -> None:
    with pytest.raises(FileFaults) as caught:
        parse_points("0 65.4\nhello\n1 0\n2\n1,130,8\n", "points.txt")
    assert [fault.where for fault in caught.value.faults] == [f"points.txt:{n}" for n in (2, 3, 4, 5)]


@pytest.mark.parametrize("text", ["", "0 65.4", "0 65.4\n0.1 70", "\n".join(f"{n} 100" for n in range(13))])
def test_too_few_too_many_or_too_close_points_are_refused(text: str) -> None:
    with pytest.raises(TrackingError):
        parse_points(text)


def test_points_that_are_no_numbers_are_refused() -> None:
    with pytest.raises(TrackingError, match="is not a point"):
        analyse([Point(volts=0.0, hertz=math.nan), Point(volts=1.0, hertz=100.0)])


def test_a_pitch_that_falls_is_no_matter_of_trimming() -> None:
    """An octave down for each volt, by hand: 1200 cents below the ideal and 1200 more."""
    rising = [65.4, 130.8, 261.6, 523.2]
    for hertz, word in (
        (rising[::-1], "falls as the volts rise"),
        ([65.4, 130.8, 261.6, 250.0], "falls from 2 V to 3 V"),
        ([110.0, 220.0, 330.0, 440.0], "off by more than a quarter"),
    ):
        points = [Point(volts=float(volt), hertz=each) for volt, each in enumerate(hertz)]
        said = advise([Pass(points=tuple(points))])
        assert word in analyse(points).gross
        assert said.words == (analyse(points).gross,)
        assert (said.turnings, said.repeat, said.done) == ((), False, False)
        assert "turn nothing" in said.words[0]
    assert not analyse([Point(volts=float(volt), hertz=each) for volt, each in enumerate(rising)]).gross


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("1 −130.81", "−130.81 is not a frequency"),
        ("1 -130.81", "-130.81 is not a frequency"),
        ("1,130,8", "'1,130,8' can be read in two ways"),
        ("hello", "'hello' is not a point"),
    ],
)
def test_each_line_that_cannot_be_read_is_one_fault(line: str, what: str) -> None:
    with pytest.raises(FileFaults) as caught:
        parse_points(f"0 65.4\n{line}\n2 261.6\n", "points.txt")
    (found,) = caught.value.faults
    assert (found.what, found.where) == (what, "points.txt:2")


def test_the_table_of_students_t_is_that_of_the_distribution() -> None:
    # Two-sided 95 % points; the reference is scipy's distribution.
    assert [*_STUDENT_95] == [pytest.approx(student.ppf(0.975, free), abs=0.006) for free in range(1, 11)]


@pytest.mark.parametrize(("volts", "bends"), [((1, 2, 3), False), ((1, 2, 3, 4), True), ((1, 2, 3, 3), False)])
def test_a_bend_takes_four_voltages(volts: tuple[float, ...], bends: bool) -> None:
    points = tuple(Point(volts=each, hertz=100 * 2**each) for each in volts)
    assert can_bend([Pass(points=points[:2]), Pass(points=points)]) is bends


@pytest.mark.parametrize("many", [0, 1, 13])
def test_linear_points_too_few_or_too_many_are_refused_in_words(many: int) -> None:
    with pytest.raises(TrackingError, match="given"):
        analyse_linear([Point(volts=1.0 + each, hertz=100.0 * each + 100) for each in range(many)])
