"""Tracking of an oscillator: scale error, offset and what bends at the top, each with its uncertainty.

An octave is a doubling of frequency; 'ideal' is one octave for each volt through the wanted pitch. Cents
are counted from there. With no wanted pitch, the equal-tempered note nearest to the lowest point serves. An
oscillator may be hertz per volt instead: its frequency is proportional to its control voltage.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from bench.measure.fit import Fit, fit_line, least_squares
from bench.measure.tuning.points import Point, PointResult, TrackingError, cents, check_points, nearest_note

_STUDENT_95 = (12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23)
"""Two-sided 95 % points of Student's t for 1 to 10 degrees of freedom."""
NOTABLE_BEND = 1.0
"""A bend at the top smaller than this, in cents, is not spoken of."""
SLIP = 50.0
"""A pitch that is lower by more than this, in cents, than that of a lower voltage is no matter of trimming."""


class Tracking(Struct, frozen=True, kw_only=True):
    """What a set of points says about an oscillator that should give one octave a volt."""

    points: tuple[PointResult, ...]
    """In order of voltage."""
    reference: Point
    """The wanted pitch and its voltage; offset holds there."""
    scale: float
    """Scale error, cents per octave; above zero when octaves are too wide."""
    scale_uncertainty: float | None
    """Standard uncertainty from the scatter of the points; None when there are too few points."""
    offset: float
    """Cents above the wanted pitch at the reference voltage."""
    offset_uncertainty: float | None
    top: float
    """How far the highest point leaves the line of the lower octaves, cents; 0 with fewer than 4 points."""
    top_uncertainty: float | None
    bent: bool
    """True when `top` is too large for chance; scale and offset then hold for the lower octaves."""
    mean_offset: float
    """Offset of one straight line through all points, cents."""
    gross: str = ""
    """What makes every turn pointless until it is found, in words; empty when nothing does."""
    remarks: tuple[str, ...] = ()

    @property
    def worst(self) -> float:
        """Greatest distance of a point from the ideal, cents."""
        return max(abs(point.cents) for point in self.points)


def analyse(points: Sequence[Point], target: Point | None = None) -> Tracking:
    """Compare 2 to 12 points with one octave a volt; raises TrackingError when they cannot be used.

    >>> found = analyse([Point(volts=v, hertz=55.0 * 2 ** (v * 1.005)) for v in range(6)])
    >>> f"{found.scale:.4f}", f"{found.offset + 1:.4f}", found.bent
    ('6.0000', '1.0000', False)
    """
    check_points(points)
    ordered = sorted(points, key=lambda point: point.volts)
    reference = target or _nearest_reference(ordered[0])
    octaves = [point.volts - reference.volts for point in ordered]
    above = [cents(p.hertz, reference.hertz) - 1200.0 * n for p, n in zip(ordered, octaves, strict=True)]
    line = fit_line(octaves, above)
    bend = _bend(octaves, above)
    bent = bend is not None and _stands_out(bend, 2)
    used = bend if bend is not None and bent else line
    return Tracking(
        points=tuple(
            PointResult(volts=point.volts, hertz=point.hertz, cents=value)
            for point, value in zip(ordered, above, strict=True)
        ),
        reference=reference,
        scale=used.coefficients[1],
        scale_uncertainty=used.uncertainty(1),
        offset=used.coefficients[0],
        offset_uncertainty=used.uncertainty(0),
        top=bend.coefficients[2] if bend else 0.0,
        top_uncertainty=bend.uncertainty(2) if bend else None,
        bent=bent,
        mean_offset=line.coefficients[0],
        gross=_gross(ordered, used),
        remarks=_remarks(used, bent),
    )


def _nearest_reference(lowest: Point) -> Point:
    _, above = nearest_note(lowest.hertz)
    return Point(volts=lowest.volts, hertz=lowest.hertz * 2.0 ** (-above / 1200.0))


def _bend(octaves: list[float], above: list[float]) -> Fit | None:
    """Line plus a departure that is 1 at the top point: growing as the frequency, or at the top alone.

    A fixed dead time in each cycle flattens in proportion to frequency; slew limits strike the top alone.
    The shape that fits clearly better is taken, else the first.
    """
    if len(set(octaves)) < 4:
        return None
    top = max(octaves)
    dead_time = least_squares([(1.0, n, 2.0 ** (n - top)) for n in octaves], above)
    top_alone = least_squares([(1.0, n, 1.0 if n == top else 0.0) for n in octaves], above)
    squares = [math.fsum(e * e for e in fit.residuals) for fit in (dead_time, top_alone)]
    return top_alone if squares[1] < 0.25 * squares[0] else dead_time


def _stands_out(fit: Fit, index: int) -> bool:
    """Whether a coefficient is larger than both NOTABLE_BEND and 95 % of chance."""
    size, doubt = abs(fit.coefficients[index]), fit.uncertainty(index) or 0.0
    return size > NOTABLE_BEND and size > _STUDENT_95[min(fit.freedom, len(_STUDENT_95)) - 1] * doubt


def _gross(ordered: Sequence[Point], fit: Fit) -> str:
    if fit.coefficients[1] < -1200.0:
        return (
            "the pitch falls as the volts rise: the volts were typed the wrong way round, or the control "
            "voltage is inverted; turn nothing before that is found"
        )
    for low, high in pairwise(ordered):
        if high.hertz < low.hertz * 2.0 ** (-SLIP / 1200.0):
            return (
                f"the pitch falls from {low.volts:g} V to {high.volts:g} V: read both again. If it stays so, "
                "no trimmer is at fault: turn nothing before the fault is found"
            )
    if abs(fit.coefficients[1]) > 300.0:
        return (
            "the octaves are off by more than a quarter: this may be a hertz-per-volt oscillator, "
            "or the volts are not what was typed; turn nothing before that is clear"
        )
    return ""


def _remarks(fit: Fit, bent: bool) -> tuple[str, ...]:
    remarks: list[str] = []
    if fit.freedom == 0:
        remarks.append("these points fit any line exactly, so no uncertainty can be given: measure more")
    if bent:
        remarks.append("the top leaves the line of the lower octaves: the scale trimmer cannot correct that")
    return tuple(remarks)


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
