"""Tracking of an oscillator whose frequency is proportional to its control voltage (hertz per volt)."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from bench.measure.fit import fit_line
from bench.measure.tuning.points import Point, PointResult, TrackingError, cents, check_points


class LinearTracking(Struct, frozen=True, kw_only=True):
    """What a set of points says about a hertz-per-volt oscillator."""

    points: tuple[PointResult, ...]
    """In order of voltage."""
    hertz_per_volt: float
    """Fitted slope."""
    hertz_per_volt_uncertainty: float | None
    """Standard uncertainty; None with two points."""
    hertz_at_zero: float
    """Fitted frequency at 0 V; ideally zero. It spoils low notes most."""
    hertz_at_zero_uncertainty: float | None
    scale_cents: float
    """Fitted slope above the wanted one, cents, the same for every note; 0 when none is wanted."""
    advice: tuple[str, ...]
    """What to turn, in order."""


def analyse_linear(
    points: Sequence[Point], hertz_per_volt: float | None = None, close_enough: float = 2.0
) -> LinearTracking:
    """Compare 2 to 12 points, all above 0 V, with `hertz = hertz_per_volt * volts`.

    Each point weighs by what it costs in cents, so the fit is of hertz over volts against 1 over volts.
    Raises TrackingError.

    >>> found = analyse_linear([Point(volts=v, hertz=100.0 * v + 2.0) for v in (0.5, 1.0, 2.0, 4.0)])
    >>> round(found.hertz_per_volt, 6), round(found.hertz_at_zero, 6)
    (100.0, 2.0)
    """
    check_points(points)
    if min(point.volts for point in points) <= 0:
        raise TrackingError(
            "a hertz-per-volt oscillator has no pitch at or below 0 V",
            hint="measure at voltages above zero, low notes included",
        )
    if hertz_per_volt is not None and not (hertz_per_volt > 0 and math.isfinite(hertz_per_volt)):
        raise TrackingError(f"{hertz_per_volt} is not a slope", hint="give hertz per volt, above zero")
    ordered = sorted(points, key=lambda point: point.volts)
    fit = fit_line([1.0 / p.volts for p in ordered], [p.hertz / p.volts for p in ordered])
    slope, at_zero = fit.coefficients
    if slope <= 0:
        raise TrackingError("the frequency does not rise with the voltage", hint="check the points")
    wanted = hertz_per_volt or slope
    compared = tuple(
        PointResult(volts=p.volts, hertz=p.hertz, cents=cents(p.hertz, wanted * p.volts)) for p in ordered
    )
    return LinearTracking(
        points=compared,
        hertz_per_volt=slope,
        hertz_per_volt_uncertainty=fit.uncertainty(0),
        hertz_at_zero=at_zero,
        hertz_at_zero_uncertainty=fit.uncertainty(1),
        scale_cents=cents(slope, wanted),
        advice=_advice(compared, slope, at_zero, wanted, close_enough),
    )


def _advice(
    points: tuple[PointResult, ...], slope: float, at_zero: float, wanted: float, close_enough: float
) -> tuple[str, ...]:
    if max(abs(point.cents) for point in points) <= close_enough:
        return (f"all points are within {close_enough:g} cents: leave it",)
    low, high = points[0], points[-1]
    said: list[str] = []
    share = at_zero / (slope * low.volts)
    offset_cents = cents(1.0 + share, 1.0) if share > -1.0 else -math.inf
    if abs(offset_cents) > close_enough / 2:
        said.append(
            f"at {low.volts:g} V turn the offset trimmer until the frequency is {slope * low.volts:.2f} Hz "
            f"(it is {low.hertz:.2f} Hz); this moves low notes most"
        )
    if abs(cents(slope, wanted)) > close_enough / 2:
        said.append(
            f"{'then ' if said else ''}at {high.volts:g} V turn the scale trimmer until the frequency is "
            f"{wanted * high.volts:.2f} Hz; this moves all notes by the same cents"
        )
    if not said:
        return ("the points do not lie on a line: measure them again, and the voltages too",)
    said.append("measure all points again")
    return tuple(said)
