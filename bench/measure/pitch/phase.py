"""Frequency of a tone from its phase advance over a long stretch (the phase-vocoder method)."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from operator import add, mul
from statistics import stdev

from msgspec import Struct

SEGMENT_PERIODS, SEGMENT_SECONDS = 6, 0.012
"""A segment is as long as the longer of these, but at most a third of the stretch."""
OVERLAP = math.sqrt(4 / 3)
"""Half-overlapping Hann windows share a sixth of their noise power with either neighbour: 1 + 2/6."""


class Track(Struct, frozen=True, kw_only=True):
    """A tone followed through a stretch of sound."""

    hertz: float
    """Mean frequency."""
    spread_hertz: float
    """Half-width of the 95 % range of the mean, from the scatter between segments."""
    wobble_cents: float
    """Root mean square of the frequency's movement from segment to segment."""
    weakest: float
    """Amplitude of the weakest segment over that of the strongest, 0 to 1."""
    disagreement_cents: float
    """The most by which one harmonic's own frequency, divided by its number, differs from `hertz`."""


def follow(samples: Sequence[float], rate: float, hertz: float, weights: Mapping[int, float]) -> Track:
    """Follow a tone near `hertz` by the phases of its harmonics.

    `weights` gives the power of each harmonic to use, by its number. Segments of a whole number of periods
    are seen through a Hann window and set apart by a whole number of periods, so that what leaks in from
    the other harmonics turns every phase alike and drops out. They overlap by half: a pitch that moves so
    far that its phase could be lost by a whole turn also leaves the window, and the amplitude shows it.

    The line through the phases gives the frequency. Its 95 % range is the greater of two: what the scatter
    about the line allows, and what the differences between the four quarters of the stretch allow. The
    stretch must hold 7 periods; `hertz` must be good to 1 % and to 10 Hz.
    """
    period = rate / hertz
    in_segment = max(SEGMENT_PERIODS, math.ceil(SEGMENT_SECONDS * hertz))
    in_segment = min(in_segment, int(len(samples) / period / 3))
    hop = in_segment // 2
    length = round(in_segment * period)
    count = int((len(samples) - length) / (hop * period)) + 1
    starts = [round(i * hop * period) for i in range(count)]
    times = [start / rate for start in starts]
    shares = {number: power * number * number for number, power in weights.items()}
    total = sum(shares.values())
    phases, amplitudes = [0.0] * count, [0.0] * count
    own_slopes: list[float] = []
    for number, share in shares.items():
        angles, sizes = _phases(samples, starts, length, math.tau * number / period)
        own = [angle / number for angle in angles]
        own_slopes.append(_slope(times, own)[0])
        phases = [phase + share / total * angle for phase, angle in zip(phases, own, strict=True)]
        amplitudes = list(map(add, amplitudes, sizes))
    slope, error = _slope(times, phases)
    mean = hertz + slope / math.tau
    to_cents = 1200 / math.log(2) / math.tau / mean
    steps = [rise - slope for rise in _rises(times, phases, 2 if count > 10 else 1, 1)]
    quarter = max(1, (count - 1) // 4)
    quarters = _rises(times, phases, quarter, quarter)
    error = max(error, stdev(quarters) / math.sqrt(len(quarters)))
    return Track(
        hertz=mean,
        spread_hertz=_cover(count - 2) * error / math.tau,
        wobble_cents=to_cents * math.sqrt(sum(map(mul, steps, steps)) / len(steps)),
        weakest=min(amplitudes) / (max(amplitudes) or 1.0),
        disagreement_cents=to_cents * max(abs(own_slope - slope) for own_slope in own_slopes),
    )


def _phases(
    samples: Sequence[float], starts: Sequence[int], length: int, turn: float
) -> tuple[list[float], list[float]]:
    """Phase of each segment against a reference that turns by `turn` radians a sample, and its amplitude."""
    hann = [1 - math.cos(math.tau * i / length) for i in range(length)]
    real = [weight * math.cos(turn * i) for i, weight in enumerate(hann)]
    imaginary = [-weight * math.sin(turn * i) for i, weight in enumerate(hann)]
    angles: list[float] = []
    sizes: list[float] = []
    for start in starts:
        segment = samples[start : start + length]
        x, y = sum(map(mul, segment, real)), sum(map(mul, segment, imaginary))
        angle = math.atan2(y, x) - turn * start
        before = angles[-1] if angles else angle
        angles.append(before + math.remainder(angle - before, math.tau))
        sizes.append(math.hypot(x, y))
    return angles, sizes


def _slope(times: Sequence[float], values: Sequence[float]) -> tuple[float, float]:
    """Least-squares slope and its standard error; neighbouring segments overlap by half.

    >>> _slope([0, 1, 2, 3], [1, 3, 5, 7])
    (2.0, 0.0)
    """
    count = len(times)
    middle, mean = sum(times) / count, sum(values) / count
    length = sum((time - middle) ** 2 for time in times)
    slope = sum((time - middle) * value for time, value in zip(times, values, strict=True)) / length
    misses = (v - mean - slope * (t - middle) for t, v in zip(times, values, strict=True))
    return slope, OVERLAP * math.sqrt(sum(miss * miss for miss in misses) / (count - 2) / length)


def _rises(times: Sequence[float], values: Sequence[float], length: int, every: int) -> list[float]:
    """Slope from each `every`-th point to the one `length` points on.

    >>> _rises([0, 1, 2, 3, 4], [0, 1, 4, 9, 16], 2, 2)
    [2.0, 6.0]
    """
    marks = range(0, len(times) - length, every)
    return [(values[i + length] - values[i]) / (times[i + length] - times[i]) for i in marks]


def _cover(freedom: int) -> float:
    """Factor from a standard error to a 95 % range: Student's t, rounded up to a simple formula.

    >>> [round(_cover(n), 2) for n in (3, 10, 1000)]
    [3.27, 2.33, 1.96]
    """
    return 1.96 + 3.6 / freedom + 1.0 / freedom**2
