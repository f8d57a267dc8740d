"""The steady tone in one stretch of sound: found by its lines, checked, then followed by phase."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from operator import add, mul

from msgspec import Struct

from bench.measure.pitch.phase import Track, follow
from bench.measure.pitch.spectrum import (
    Comb,
    Spectrum,
    best_comb,
    find_lines,
    implied_comb,
    near_mains,
    own_numbers,
)

LOWEST, HIGHEST = 15.5, 10_500.0
"""Tones looked for, hertz: 16 Hz to 10 kHz and a little over."""
LEAST_SECONDS = 0.03
"""Shorter sounds are not looked at."""
LEAST_PERIODS = 7
"""Fewer periods than this do not make a tone that can be measured."""
MOST_WOBBLE = 5.0
"""Greatest movement of a steady tone's frequency, root mean square, cents."""
MOST_DISAGREEMENT = 3.0
"""Greatest difference between two harmonics' ideas of the fundamental, cents."""
LEAST_SCORE, LEAST_SHARE, LEAST_AMPLITUDE = 0.92, 0.7, 0.25
"""What a steady tone must reach: share of the lines' power in its harmonics, share of all power in them,
weakest amplitude over the strongest."""
PIECE = 4096
"""Samples in one spectrum, for each 50 kHz of sample rate."""
SAMPLES_FOLLOWED = 50_000
"""Up to three harmonics are followed while they need no more samples than this together."""
LOW_TONE, MIDDLE_TONE = 240.0, 1500.0
"""Tones below these, hertz, are measured at about 3 and about 12 kHz sample rate."""


class Tone(Struct, frozen=True, kw_only=True):
    """A steady tone as one stretch of sound shows it."""

    hertz: float
    scatter_hertz: float
    """Half-width of the 95 % range, from the scatter within the stretch."""
    remarks: tuple[str, ...] = ()


class _View(Struct, frozen=True, kw_only=True):
    """A stretch at one sample rate, with the lines seen at that rate."""

    samples: Sequence[float]
    rate: float
    spectrum: Spectrum


def find_tone(samples: Sequence[float], rate: float) -> Tone | str:
    """Measure the steady tone in a stretch of a few seconds at most, or say why there is none.

    The samples' unit does not matter, nor does an offset. The reason is one sentence without a full stop.
    """
    if len(samples) < LEAST_SECONDS * rate:
        return f"too short: {len(samples) / rate:.3f} s of sound"
    why = ""
    for view in _views(samples, rate):
        found = _judge(view, samples, rate)
        if isinstance(found, Tone):
            return found
        why = why or found
    return why


def _views(samples: Sequence[float], rate: float) -> Iterator[_View]:
    """The ways to look at a stretch that its lines call for, the most promising first."""
    size = PIECE << max(0, math.ceil(math.log2(rate / 50_000)))
    spectrum = find_lines(_middle(samples, size), rate)
    strongest = max((line.power for line in spectrum.lines), default=0.0)
    lowest = min((line.hertz for line in spectrum.lines if line.power >= 0.1 * strongest), default=0.0)
    if min(lowest, spectrum.onset) < LOW_TONE:
        slowed, slow_rate = _slow_down(samples, rate, 3_200)
        yield _View(samples=slowed, rate=slow_rate, spectrum=find_lines(_middle(slowed, PIECE), slow_rate))
    if lowest < MIDDLE_TONE:
        samples, rate = _slow_down(samples, rate, 24_000)
    yield _View(samples=samples, rate=rate, spectrum=spectrum)


def _judge(view: _View, samples: Sequence[float], rate: float) -> Tone | str:
    """Take the tone that the lines of a view suggest, and let it prove that it is one and steady."""
    comb = best_comb(view.spectrum)
    if comb is None:
        return "no clear tone: noise, or a pitch that moves"
    hertz = comb.hertz
    missing = comb.score < LEAST_SCORE
    if missing:
        implied = implied_comb(view.spectrum, LEAST_SCORE)
        if implied is None or not _is_one_tone(implied):
            return _several(view.spectrum, implied)
        comb, hertz = implied, implied.hertz
    if not LOWEST <= hertz <= HIGHEST:
        return f"the tone, near {_said(hertz)}, lies outside 16 Hz to 10 kHz"
    if len(view.samples) / view.rate * hertz < LEAST_PERIODS:
        return f"too short: fewer than {LEAST_PERIODS} periods of a tone near {_said(hertz)}"
    track = follow(view.samples, view.rate, hertz, _chosen(comb, view))
    share = min(comb.share, _repeat(samples, rate, track.hertz))
    if doubt := _unsteady(track, share, _said(hertz)):
        return doubt
    remarks = tuple(_remarks(track, comb, share))
    if missing:
        remarks = (f"the fundamental is missing; {_harmonics(comb)} imply {_said(track.hertz)}", *remarks)
    return Tone(hertz=track.hertz, scatter_hertz=track.spread_hertz, remarks=remarks)


def _unsteady(track: Track, share: float, near: str) -> str:
    """Why what was followed is no steady tone; empty when it is one."""
    if track.weakest < LEAST_AMPLITUDE:
        return f"the sound near {near} comes and goes: two tones that beat, or a pitch that moves"
    if track.wobble_cents > MOST_WOBBLE:
        return f"the pitch near {near} wobbles by {track.wobble_cents:.0f} cents (root mean square)"
    if track.disagreement_cents > MOST_DISAGREEMENT:
        return f"a second tone is almost, but not quite, a harmonic of the one near {near}"
    if share < LEAST_SHARE:
        return (
            f"only {max(0.0, share):.0%} of the power is a tone near {near}; the rest is noise or other tones"
        )
    return ""


def _is_one_tone(implied: Comb) -> bool:
    """Whether lines are the harmonics of one missing fundamental rather than two tones with their harmonics.

    Two tones in a simple ratio make the multiples of two numbers; a third number of its own tells one tone.
    """
    own = own_numbers(implied)
    return len(own) >= 3 and own[0] <= 3


def _several(spectrum: Spectrum, implied: Comb | None) -> str:
    """Lines that no tone explains which is there itself, and the one that would explain them."""
    first, second, *_ = sorted(spectrum.lines, key=lambda line: -line.power)
    said = (
        f"the components do not belong to one tone; the strongest are near {_said(first.hertz)}"
        f" and {_said(second.hertz)}: two tones, or a pitch that moves"
    )
    if implied is None:
        return said
    doubt = 0.1 * spectrum.bin_hertz / max(implied.harmonics)
    return (
        f"{said}, or {_harmonics(implied)} of {_said(implied.hertz)} (give or take {doubt:.1g} Hz) with the "
        "fundamental missing: type that if it is the note you played"
    )


def _harmonics(comb: Comb) -> str:
    """The harmonics that are there, for people."""
    strong = sorted(n for n, power in comb.harmonics.items() if power > 0.003 * max(comb.harmonics.values()))
    shown = [f"{number}" for number in strong[:5]]
    return f"harmonics {', '.join(shown[:-1])} and {shown[-1]}" if len(shown) > 1 else f"harmonic {shown[0]}"


def _remarks(track: Track, comb: Comb, share: float) -> Iterator[str]:
    if track.wobble_cents > 1.5:
        yield f"the pitch moves by {track.wobble_cents:.1f} cents from moment to moment (root mean square)"
    if share < 0.97:
        yield f"up to {100 * (1 - share):.0f} % of the power is noise or other tones"
    if comb.stray and comb.stray.power > 0.003 * max(comb.harmonics.values()):
        yield f"there is another component near {_said(comb.stray.hertz)}"
    if track.hertz < 130 and near_mains(track.hertz, 2.0):
        yield "close to the mains frequency or twice it: hum may shift the result"


def _said(hertz: float) -> str:
    """A frequency for people.

    >>> _said(16.349), _said(12_003.7)
    ('16.35 Hz', '12004 Hz')
    """
    return f"{hertz:.0f} Hz" if hertz >= 1000 else f"{hertz:.4g} Hz"


def _chosen(comb: Comb, view: _View) -> dict[int, float]:
    """The harmonics that tell most about the frequency, clear of mains hum when there is a choice."""
    usable = {
        number: power for number, power in comb.harmonics.items() if number * comb.hertz < 0.25 * view.rate
    } or comb.harmonics
    strongest = max(usable.values())
    clear = {
        number: power
        for number, power in usable.items()
        if power > 0.003 * strongest and not near_mains(number * comb.hertz, min(comb.hertz / 4, 4.0))
    } or usable
    best = sorted(clear, key=lambda number: clear[number] * number**2, reverse=True)
    most = max(1, min(3, SAMPLES_FOLLOWED // len(view.samples)))
    return {number: clear[number] for number in best[:most]}


def _repeat(samples: Sequence[float], rate: float, hertz: float) -> float:
    """Correlation of the sound with itself some periods later: 1 for a pure tone, about 0 for noise.

    The least of three, so that a second tone does not pass because it happens to repeat as well. Each lag is
    a number of periods that comes close to a whole number of samples, so that high harmonics count too.
    """
    period = rate / hertz
    choice = max(3, min(12, math.ceil(60 / period)))
    found = 1.0
    for fewest in (1, 1 + choice, 1 + 2 * choice):
        if (fewest + choice) * period > len(samples) / 2:
            break
        periods = min(range(fewest, fewest + choice), key=lambda n: abs(n * period - round(n * period)))
        lag = round(periods * period)
        if fewest == 1 or abs(periods * period - lag) < 0.02 * period:
            found = min(found, _correlation(samples, lag, max(4096, round(2 * period))))
    return found


def _correlation(samples: Sequence[float], lag: int, count: int) -> float:
    """Correlation of the first `count` samples with those `lag` later.

    >>> _correlation([1.0, 2.0, 3.0, 1.0, 2.0, 3.0], 3, 3)
    1.0
    """
    count = min(count, len(samples) - lag)
    here, later = samples[:count], samples[lag : lag + count]
    mean, later_mean = sum(here) / count, sum(later) / count
    power = sum(map(mul, here, here)) / count - mean * mean
    later_power = sum(map(mul, later, later)) / count - later_mean * later_mean
    together = sum(map(mul, here, later)) / count - mean * later_mean
    return together / math.sqrt(power * later_power) if power > 0 and later_power > 0 else 0.0


def _middle(samples: Sequence[float], count: int) -> Sequence[float]:
    start = max(0, (len(samples) - count) // 2)
    return samples[start : start + count]


def _slow_down(samples: Sequence[float], rate: float, most: float) -> tuple[Sequence[float], float]:
    """Lower the sample rate to `most` hertz at most; the unit of the samples changes on the way.

    From a high rate four at a time, through the filter 1 1 2 2 1 1, which has a double zero where low tones
    would be disturbed; below that in pairs, through the binomial filter 1 4 6 4 1.
    """
    while rate > max(most, 24_000):
        pairs: Sequence[float] = list(map(add, samples[0::2], samples[1::2]))
        even, odd = pairs[0::2], pairs[1::2]
        samples = [a + b + b + c for a, b, c in zip(even, odd, even[1:], strict=False)]
        rate /= 4
    while rate > most:
        even, odd = samples[0::2], samples[1::2]
        samples = [
            0.0625 * (a + c) + 0.25 * (p + q) + 0.375 * b
            for a, b, c, p, q in zip(even, even[1:], even[2:], odd, odd[1:], strict=False)
        ]
        rate /= 2
    return samples, rate
