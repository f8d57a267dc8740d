"""Spectral peaks of a short piece of audio (FFT), and the harmonic comb that fits them."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from functools import lru_cache
from operator import add, mul, sub

from msgspec import Struct

LOWEST_LINE, LOWEST_TONE = 4.0, 15.0
"""Hertz; what lies below the first is drift, and a faint line below the second is rumble, not tone."""
FAINTEST_LINE = 10**-3.5
"""Power of the faintest line looked at, relative to the strongest."""
FAINTEST_FUNDAMENTAL = 1 / 400
"""Power below which a line is no fundamental but a leak, relative to the strongest: -26 dB."""
ABOVE_FLOOR = 30.0
"""How many times the floor's power a line must have; noise alone gets there once in 1e9 bins."""
HUM_POWER = 0.16
"""Power up to which a line at a multiple of the mains counts as hum, relative to the strongest."""
WINDOW_BINS = 2.0044
"""Noise bandwidth of the window, bins."""
LOWEST_IMPLIED = 4
"""A missing fundamental is looked for below a line that may be this harmonic at most."""
MAINS = (50.0, 60.0)
"""Mains frequencies, hertz."""


class SpectralPeak(Struct, frozen=True, kw_only=True):
    """One line of a spectrum."""

    hertz: float
    power: float
    """In the square of the samples' unit, up to a factor common to one spectrum."""


class Spectrum(Struct, frozen=True, kw_only=True):
    """The lines of one piece of sound."""

    lines: tuple[SpectralPeak, ...]
    """Lowest first."""
    onset: float
    """Where the spectrum first comes within 10 dB of its top, hertz, lines or not."""
    power: float
    """All power from `LOWEST_LINE` upwards, in the unit of the lines' powers."""
    bin_hertz: float
    """Reciprocal of the piece's length: two lines closer than eight of these run together."""


class Comb(Struct, frozen=True, kw_only=True):
    """A tone: its frequency as the lines give it, and its harmonics."""

    hertz: float
    """Good to about a tenth of a bin."""
    score: float
    """Share of the lines' power that its harmonics hold, 0 to 1; mains hum is left out."""
    share: float
    """Share of all power that its harmonics hold, 0 to 1."""
    stray: SpectralPeak | None
    """The strongest line that is neither harmonic nor hum."""
    harmonics: dict[int, float]
    """Power of each harmonic found, by its number."""


def find_lines(samples: Sequence[float], rate: float) -> Spectrum:
    """Find the sharp lines of a piece of sound sampled at `rate` hertz, strongest 35 dB deep.

    Looks through a four-term Blackman-Harris window, whose side lobes lie 92 dB down (Harris 1978, from
    memory), and puts each line at the top of the parabola through three points of the log spectrum. Takes
    any length from 16 samples; time and memory grow with it, so pass a short piece.
    """
    count = len(samples)
    size = 1 << max(5, (count - 1).bit_length())
    mean = sum(samples) / count
    windowed = [(sample - mean) * weight for sample, weight in zip(samples, _window(count), strict=True)]
    power = _power_spectrum(windowed + [0.0] * (size - count))
    step, bin_hertz = rate / size, rate / count
    least = ABOVE_FLOOR * sorted(power)[len(power) // 2]
    first = max(2, math.ceil(LOWEST_LINE / step))
    peaks = [
        k for k in range(first, len(power) - 2) if power[k] > least and power[k - 1] < power[k] >= power[k + 1]
    ]
    strongest = max((power[k] for k in peaks), default=0.0)
    lines = (_line_at(power, k, step) for k in peaks if power[k] > FAINTEST_LINE * strongest)
    top = 0.1 * max(power[1:])
    onset = next(k for k, p in enumerate(power) if k and p >= top) * step
    total = sum(power[math.ceil(LOWEST_LINE / step) :]) * count / size / WINDOW_BINS
    return Spectrum(lines=tuple(lines), onset=onset, power=total, bin_hertz=bin_hertz)


def best_comb(spectrum: Spectrum) -> Comb | None:
    """The tone whose harmonics explain the lines best; None when there are no lines.

    The fundamental itself must be there. Of several that explain the lines almost equally well the highest
    is taken, so a faint leak at half the frequency does not shift the tone by an octave.
    """
    combs = _combs(spectrum)
    good = max((comb.score for comb in combs), default=0.0)
    return max((c for c in combs if c.score >= 0.95 * good), key=lambda c: c.hertz, default=None)


def implied_comb(spectrum: Spectrum, least_score: float) -> Comb | None:
    """The tone that the lines would be harmonics of if its fundamental were missing; None when there is none.

    The highest that holds `least_score` of the lines' power, its lowest harmonic the fourth at most.
    """
    strongest = max(spectrum.lines, key=lambda line: line.power, default=None)
    if strongest is None:
        return None
    hum = _hum(spectrum, strongest)
    strong = (line for line in spectrum.lines if line.power > 0.01 * strongest.power and line not in hum)
    lowest = next(strong, strongest)
    for number in range(2, LOWEST_IMPLIED + 1):
        comb = _fit_comb(lowest.hertz / number, spectrum, hum)
        if comb.hertz >= max(LOWEST_TONE, 3.0 * spectrum.bin_hertz) and comb.score >= least_score:
            return comb if 1 not in comb.harmonics else None
    return None


def own_numbers(comb: Comb) -> list[int]:
    """Numbers of harmonics that are multiples of no lower one that is there, lowest first."""
    strong = sorted(n for n, power in comb.harmonics.items() if power > 0.003 * max(comb.harmonics.values()))
    return [n for n in strong if not any(n % lower == 0 for lower in strong if lower < n)]


def near_mains(hertz: float, width: float) -> bool:
    """Whether a frequency is a low multiple of a mains frequency, to within `width` hertz and 0.3 %.

    >>> near_mains(150.2, 0.1), near_mains(440.0, 1.0)
    (True, False)
    """
    return any(
        abs(hertz - number * mains) <= width + 0.003 * hertz for mains in MAINS for number in range(1, 9)
    )


def _combs(spectrum: Spectrum) -> list[Comb]:
    lines = spectrum.lines
    if not lines:
        return []
    strongest = max(lines, key=lambda line: line.power)
    hum = _hum(spectrum, strongest)
    return [
        _fit_comb(start.hertz, spectrum, hum)
        for start in lines
        if start.hertz <= strongest.hertz and start.power >= FAINTEST_FUNDAMENTAL * strongest.power
    ]


def _hum(spectrum: Spectrum, strongest: SpectralPeak) -> set[SpectralPeak]:
    return {
        line
        for line in spectrum.lines
        if line.power <= HUM_POWER * strongest.power
        and (line.hertz < LOWEST_TONE or near_mains(line.hertz, 1.5 * spectrum.bin_hertz))
    }


def _fit_comb(hertz: float, spectrum: Spectrum, hum: set[SpectralPeak]) -> Comb:
    """Take lines upwards into the comb, sharpening its frequency on the way."""
    harmonics: dict[int, float] = {}
    outside: list[SpectralPeak] = []
    weighted = weight = 0.0
    for line in spectrum.lines:
        number = round(line.hertz / hertz)
        slack = min(1.5 * spectrum.bin_hertz + 0.004 * line.hertz, 0.2 * hertz)
        if number >= 1 and abs(line.hertz - number * hertz) <= slack:
            harmonics[number] = harmonics.get(number, 0.0) + line.power
            weighted += line.power * number * line.hertz
            weight += line.power * number * number
            hertz = weighted / weight
        elif line not in hum:
            outside.append(line)
    inside = sum(harmonics.values())
    return Comb(
        hertz=hertz,
        score=inside / (inside + sum(line.power for line in outside)),
        share=min(1.0, inside / spectrum.power),
        stray=max(outside, key=lambda line: line.power, default=None),
        harmonics=harmonics,
    )


def _line_at(power: Sequence[float], k: int, step: float) -> SpectralPeak:
    below, top, above = (math.log(power[i] or 1e-300) for i in (k - 1, k, k + 1))
    bend = below - 2 * top + above
    shift = 0.5 * (below - above) / bend if bend else 0.0
    return SpectralPeak(hertz=(k + shift) * step, power=math.exp(top - 0.25 * (below - above) * shift))


@lru_cache(maxsize=8)
def _window(count: int) -> tuple[float, ...]:
    """Four-term Blackman-Harris window of `count` points."""
    turn, cos = math.tau / count, math.cos
    return tuple(
        0.35875 - 0.48829 * cos(x) + 0.14128 * cos(2 * x) - 0.01168 * cos(3 * x)
        for x in (turn * i for i in range(count))
    )


@lru_cache(maxsize=8)
def _twiddles(size: int) -> tuple[list[list[complex]], list[complex], list[int]]:
    """Factors of each stage, factors that part two real series, and the order of the results."""
    half, stages = size // 2, size.bit_length() - 1
    turns = [cmath.exp(-1j * math.pi * i / size) for i in range(size)]
    factors = [[turns[2 * ((i >> stage) << stage)] for i in range(half)] for stage in range(stages)]
    return factors, turns, _flip(stages)


def _flip(bits: int) -> list[int]:
    """The numbers of `bits` bits, each read backwards.

    >>> _flip(3)
    [0, 4, 2, 6, 1, 5, 3, 7]
    """
    flipped = [0]
    for _ in range(bits):
        flipped = [2 * i for i in flipped] + [2 * i + 1 for i in flipped]
    return flipped


def _power_spectrum(samples: Sequence[float]) -> list[float]:
    """Squared modulus of the first half of the discrete Fourier transform of a real series.

    The length must be a power of two, 8 at least. Each stage works on whole lists, so that the arithmetic
    runs inside `map` (constant geometry after Pease 1968, from memory).

    >>> [round(p, 9) for p in _power_spectrum([1.0, 0.0, -1.0, 0.0] * 2)]
    [0.0, 0.0, 16.0, 0.0]
    """
    series = list(map(complex, samples[0::2], samples[1::2]))
    size = len(series)
    half = size // 2
    factors, turns, order = _twiddles(size)
    for stage in factors:
        low, high = series[:half], series[half:]
        series[0::2] = list(map(add, low, high))
        series[1::2] = list(map(mul, stage, map(sub, low, high)))
    ahead = [series[i] for i in order]
    behind = [value.conjugate() for value in (ahead[0], *ahead[:0:-1])]
    even = map(add, ahead, behind)
    odd = map(mul, turns, map(sub, ahead, behind))
    return [abs(0.5 * e - 0.5j * o) ** 2 for e, o in zip(even, odd, strict=True)]
