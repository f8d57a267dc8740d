"""Least squares, temperament and temperature against published figures.

Sources: NIST StRD (Norris, NoInt1, NoInt2); JCGM 100:2008 H.3; ISO 16:1975; OEIS A320304; SI constants.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import SoldersideError
from bench.measure.fit import FitError, fit_line, least_squares
from bench.measure.tuning.points import cents, nearest_note
from bench.measure.tuning.thermal_drift import thermal_voltage, warm_up_cents

NORRIS = (
    (0.2, 0.1), (337.4, 338.8), (118.2, 118.1), (884.6, 888.0), (10.1, 9.2), (226.5, 228.1),
    (666.3, 668.5), (996.3, 998.5), (448.6, 449.1), (777.0, 778.9), (558.2, 559.2), (0.4, 0.3),
    (0.6, 0.1), (775.5, 778.1), (666.9, 668.8), (338.0, 339.3), (447.5, 448.9), (11.6, 10.8),
    (556.0, 557.7), (228.1, 228.3), (995.8, 998.0), (887.6, 888.8), (120.2, 119.6), (0.3, 0.3),
    (0.3, 0.6), (556.8, 557.6), (339.1, 339.3), (887.2, 888.0), (999.0, 998.5), (779.0, 778.9),
    (11.1, 10.2), (118.3, 117.6), (229.2, 228.9), (669.1, 668.4), (448.9, 449.2), (0.5, 0.2),
)  # fmt: skip
"""x and y of the data set."""


def nine_digits(value: float) -> object:
    return pytest.approx(value, rel=5e-10)


def test_the_line_fit_gives_the_certified_values_of_norris_to_nine_digits() -> None:
    # NIST StRD Norris: certified values.
    fit = fit_line([x for x, _ in NORRIS], [y for _, y in NORRIS])
    assert fit.coefficients[0] == nine_digits(-0.262323073774029)
    assert fit.coefficients[1] == nine_digits(1.00211681802045)
    assert fit.uncertainty(0) == nine_digits(0.232818234301152)
    assert fit.uncertainty(1) == nine_digits(0.429796848199937e-03)
    assert fit.scatter == nine_digits(0.884796396144373)
    assert math.fsum(e * e for e in fit.residuals) == nine_digits(26.6173985294224)
    assert fit.covariance[0][1] == nine_digits(-7.74327536339570e-05)


@pytest.mark.parametrize(
    # NIST StRD NoInt1 and NoInt2: certified values of a line through the origin.
    ("x", "y", "slope", "uncertainty", "scatter"),
    [
        (range(60, 71), range(130, 141), 2.07438016528926, 0.0165289256198347, 3.56753034006338),
        ((4, 5, 6), (3, 4, 4), 0.727272727272727, 0.0420827318078432, None),
    ],
)
def test_a_fit_without_offset_gives_the_certified_values(
    x: Sequence[int], y: Sequence[int], slope: float, uncertainty: float, scatter: float | None
) -> None:
    fit = least_squares([(float(each),) for each in x], [float(each) for each in y])
    assert fit.coefficients[0] == nine_digits(slope)
    assert fit.uncertainty(0) == nine_digits(uncertainty)
    if scatter is not None:
        assert fit.scatter == nine_digits(scatter)


def test_the_line_fit_reproduces_the_thermometer_of_gum_h3_with_its_prediction() -> None:
    # JCGM 100:2008 H.3: calibration of a thermometer, and the correction predicted at 30 °C.
    t = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
    b = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
    fit = fit_line([each - 20.0 for each in t], b)
    printed = (
        (fit.coefficients[0], 4, -0.1712), (fit.uncertainty(0), 4, 0.0029),
        (fit.coefficients[1], 5, 0.00218), (fit.uncertainty(1), 5, 0.00067),
        (fit.scatter, 4, 0.0035), (fit.coefficients[0] + 10.0 * fit.coefficients[1], 4, -0.1494),
        (fit.uncertainty_at((1.0, 10.0)), 4, 0.0041),
    )  # fmt: skip
    for found, digits, published in printed:
        assert found is not None
        assert round(found, digits) == published
    correlation = fit.covariance[0][1] / math.sqrt(fit.covariance[0][0] * fit.covariance[1][1])
    assert round(correlation, 3) == -0.930


def test_two_points_give_an_exact_line_and_no_uncertainty() -> None:
    fit = fit_line([0.0, 2.0], [1.0, 5.0])
    assert fit.coefficients == pytest.approx((1.0, 2.0))
    assert fit.uncertainty(0) is None
    assert fit.uncertainty_at((1.0, 9.0)) is None
    assert fit.scatter is None


def test_points_that_do_not_settle_a_fit_are_refused() -> None:
    with pytest.raises(FitError, match="cannot determine"):
        fit_line([1.0], [1.0])
    with pytest.raises(FitError, match="do not determine"):
        fit_line([1.0, 1.0, 1.0], [1.0, 2.0, 3.0])


@given(st.lists(st.tuples(st.floats(-50, 50), st.floats(-50, 50)), min_size=4, max_size=12))
def test_the_fitted_line_is_the_one_with_the_least_squares(points: list[tuple[float, float]]) -> None:
    x, y = [a for a, _ in points], [b for _, b in points]
    if max(x) - min(x) < 1:
        return
    fit = fit_line(x, y)

    def squares(offset: float, slope: float) -> float:
        return math.fsum((b - offset - slope * a) ** 2 for a, b in points)

    best = squares(*fit.coefficients)
    for nudge in (-0.01, 0.01):
        assert squares(fit.coefficients[0] + nudge, fit.coefficients[1]) >= best
        assert squares(fit.coefficients[0], fit.coefficients[1] + nudge) >= best


def test_cents_and_note_names() -> None:
    # 702 cents for the pure fifth is published widely; 445 Hz as A4 + 20 is what another library prints.
    assert cents(3, 2) == pytest.approx(701.955, abs=5e-4)
    assert cents(445, 440) == pytest.approx(19.5622, abs=5e-5)
    assert nearest_note(445)[0] == "A4"
    name, above = nearest_note(261.6256 * 2 ** (-30 / 1200))
    assert name == "C4"
    assert above == pytest.approx(-30, abs=1e-3)
    # OEIS A320304, f = 6.875 * 2^(n/12 + 1/4), and as commonly published for A4 = 440 Hz (ISO 16).
    for hertz, named in ((8.1758, "C-1"), (27.5, "A0"), (65.406, "C2"), (4186.009, "C8"), (12543.854, "G9")):
        name, above = nearest_note(hertz)
        assert name == named
        assert above == pytest.approx(0, abs=0.02)  # the figures are rounded
    for wrong in (0.0, -5.0, math.inf, math.nan):
        with pytest.raises(SoldersideError):
            cents(wrong, 440)


@pytest.mark.parametrize(
    ("celsius", "millivolts"),
    # kT/q with the exact constants of the SI
    [(20, 25.2617), (25, 25.6926), (26.85, 25.8520), (30, 26.1234), (40, 26.9852)],
)
def test_the_thermal_voltage_follows_from_the_si(celsius: float, millivolts: float) -> None:
    assert round(1000 * thermal_voltage(celsius), 4) == millivolts


def test_warm_up_drift_agrees_with_the_published_ratios() -> None:
    # synth-diy mailing list, November 1998: (303 + 0.5) / (303 - 0.5) = 1.003306, 1.003200 at 313 K.
    for kelvin, ratio in ((303.0, 1.003306), (313.0, 1.003200)):
        low, high = kelvin - 273.15 - 0.5, kelvin - 273.15 + 0.5
        assert round(thermal_voltage(high) / thermal_voltage(low), 6) == ratio
    assert warm_up_cents(1, 25, 26) == pytest.approx(-4.011, abs=5e-4)
    assert warm_up_cents(5, 25, 26) == pytest.approx(-20.06, abs=5e-3)
    for celsius, drift in ((0, 1.77), (20, 0.33), (30, -0.32), (40, -0.93), (50, -1.50)):
        assert warm_up_cents(1, 25, celsius, 3300) == pytest.approx(drift, abs=5e-3)
    with pytest.raises(SoldersideError, match="absolute zero"):
        thermal_voltage(-300)
