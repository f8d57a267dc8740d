"""What recordings and passes of an oscillator tell, case by case, as it was read through and found good.

The sounds are of known frequency by construction (`tests/support/tones.py`), the oscillators of known error.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator, Sequence

import pytest

from bench.errors import SoldersideError
from bench.measure.pitch.pitch import Pitch
from bench.measure.tuning.learn import Pass, Turn
from bench.measure.tuning.plot import plot_cents
from bench.measure.tuning.points import Point
from bench.measure.tuning.thermal_drift import drift_words
from bench.measure.tuning.tracking import analyse as track
from bench.measure.tuning.tracking import analyse_linear
from tests.support.simulated_oscillator import TARGET, points_with
from tests.support.told import held
from tests.support.tones import analyse

RATE = 16_000
Wave = Callable[[float], float]


def wave(hertz: float, *sizes: float) -> Wave:
    """Harmonics of these sizes, the first the fundamental."""
    return lambda t: sum(
        size * math.sin(math.tau * hertz * n * t + n) for n, size in enumerate(sizes, 1) if size
    )


def noisy(of: Wave, size: float, seed: int = 1) -> Wave:
    chance = random.Random(seed)
    return lambda t: of(t) + chance.gauss(0.0, size)


def both(*parts: Wave) -> Wave:
    return lambda t: sum(part(t) for part in parts)


def switched(first: Wave, after: float, second: Wave) -> Wave:
    return lambda t: first(t) if t < after else second(t)


def swept(hertz: float, cents_a_second: float) -> Wave:
    law = cents_a_second / 1200 * math.log(2)
    return lambda t: 0.5 * math.sin(math.tau * hertz * math.expm1(law * t) / law)


def shaken(hertz: float, cents: float, rate: float = 3.0) -> Wave:
    """A tone whose frequency moves so far to either side, so often a second."""
    depth = hertz * (2 ** (cents / 1200) - 1) / rate
    return lambda t: 0.5 * math.sin(math.tau * hertz * t + depth * math.sin(math.tau * rate * t))


SAW = tuple(0.5 / n for n in range(1, 12))
SQUARE = tuple(0.5 / n * (n % 2) for n in range(1, 12))
NONE: Wave = lambda t: 0.0  # noqa: E731
SOUNDS: dict[str, tuple[Wave, float] | tuple[Wave, float, int]] = {
    "440 Hz, a sine": (wave(440, 0.5), 1),
    "440 Hz, hardly there": (wave(440, 5e-5), 0.5),
    "440 Hz, fainter than silence": (wave(440, 3e-5), 0.5),
    "nothing": (NONE, 0.5),
    "no samples": (NONE, 0),
    "0.02 s": (wave(440, 0.5), 0.02),
    "0.03 s": (wave(1000, 0.5), 0.03),
    "0.04 s": (wave(1000, 0.5), 0.04),
    "five periods of 55 Hz": (wave(55, 0.5), 0.09),
    "eight periods of 55 Hz": (wave(55, 0.5), 0.15),
    "55 Hz, a saw on an offset": (both(wave(55, *SAW), lambda t: 0.2), 1),
    "65.4 Hz, a square": (wave(65.4, *SQUARE), 1),
    "16.35 Hz, a saw": (wave(16.35, *SAW), 2),
    "15 Hz, too low": (wave(15, *SAW), 2),
    "5 kHz": (wave(5000, 0.5), 0.5),
    "second harmonic loudest": (wave(220, 0.1, 0.6, 0.2), 0.5),
    "fundamental at -25 dB": (wave(220, 0.03, 0.5, 0.3), 0.5),
    "fundamental at -27 dB": (wave(220, 0.02, 0.5, 0.3), 0.5),
    "harmonics 2, 3 and 5 alone": (wave(100, 0, 0.4, 0.3, 0, 0.2), 0.5),
    "harmonics 3, 4 and 5 alone": (wave(150, 0, 0, 0.4, 0.3, 0.3), 0.5),
    "harmonics 5, 6 and 7 alone": (wave(150, 0, 0, 0, 0, 0.4, 0.3, 0.3), 0.5),
    "two tones": (both(wave(440, 0.4), wave(700, 0.3)), 0.5),
    "two tones that beat": (both(wave(440, 0.4), wave(442, 0.3)), 1),
    "a faint stray": (both(wave(440, 0.4), wave(700, 0.05)), 0.5),
    "a fainter stray": (both(wave(440, 0.4), wave(700, 0.02)), 0.5),
    "a harmonic that is none": (both(wave(440, 0.4), wave(886, 0.2)), 0.5),
    "hum under 440 Hz": (both(wave(440, 0.4), wave(50, 0.1, 0.03, 0.05)), 1),
    "hum of 60 Hz under 445 Hz": (both(wave(445, 0.4), wave(60, 0.1, 0.03, 0.05)), 1),
    "120 Hz, twice the mains": (wave(120, *SAW), 1),
    "hum alone": (wave(50, 0.1, 0.03, 0.05), 1),
    "98.5 Hz, near the mains": (wave(98.5, *SAW), 1),
    "97 Hz": (wave(97, *SAW), 1),
    "noise 26 dB below": (noisy(wave(440, 0.5), 0.018), 0.5),
    "noise 9 dB below": (noisy(wave(440, 0.5), 0.125), 0.5),
    "noise 3 dB below": (noisy(wave(440, 0.5), 0.25), 0.5),
    "noise alone": (noisy(NONE, 0.3), 0.5),
    "a pitch that rises by 20 cents a second": (swept(440, 20), 1),
    "a pitch that rises by 2 cents a second": (swept(440, 2), 3),
    "a pitch that falls by an octave": (swept(440, -1200), 1),
    "shaken by 3 cents": (shaken(440, 3), 1),
    "shaken by 6 cents": (shaken(440, 6), 1),
    "shaken by 12 cents": (shaken(440, 12), 1),
    "silence, then 440 Hz": (switched(NONE, 1.0, wave(440, 0.5)), 3),
    "440 Hz for five eighths of a second, then silence": (switched(wave(440, 0.5), 0.625, NONE), 1),
    "440 Hz, then silence": (switched(wave(440, 0.5), 1.0, NONE), 1.5),
    "440 Hz, then 443 Hz": (switched(wave(440, 0.5), 2.0, wave(443, 0.4)), 4),
    "440 Hz, then 440.5 Hz": (switched(wave(440, 0.5), 2.0, wave(440.5, 0.4)), 4),
    "440 Hz, a click, and on": (
        both(wave(440, 0.3), switched(NONE, 0.5, switched(wave(90, 0.6), 0.51, NONE))),
        1.5,
    ),
    "330 Hz, a saw, by 48,000 samples": (wave(330, *SAW), 0.25, 48_000),
    "2.2 kHz, a square, by 96,000 samples": (wave(2200, *SQUARE), 0.125, 96_000),
    "10.4 kHz": (wave(10_400, 0.5), 0.125, 48_000),
    "10.6 kHz": (wave(10_600, 0.5), 0.125, 48_000),
    "440 Hz dying away": (lambda t: 0.8 * math.exp(-2 * t) * math.sin(math.tau * 440 * t), 2),
}


def _heard(of: Wave, seconds: float, rate: int = RATE) -> str:
    found = analyse([of(i / rate) for i in range(round(seconds * rate))], rate)
    if not isinstance(found, Pitch):
        return found.why
    size = (
        f"{found.hertz:.4f} Hz ± {found.hertz_uncertainty:.4f}, {found.cents_uncertainty:.3f} cents, "
        f"scatter {found.scatter_cents:.3f}, "
        f"{found.seconds_used:.3f} s from {found.starts_at:.3f}"
    )
    return " | ".join((size, *found.remarks))


@pytest.mark.parametrize("part", range(1, 5))
def test_what_is_heard_in_a_sound_is_told_as_it_was(part: int) -> None:
    held(
        __file__,
        f"sounds-{part}",
        lambda name: _heard(*SOUNDS[name]),
        [name for name in SOUNDS if sum(map(ord, name)) % 4 + 1 == part],
    )


OSCILLATORS: dict[str, list[Point]] = {
    "right": points_with(0, 0),
    "1 cent an octave wide": points_with(1, -3),
    "scattered": [
        Point(volts=p.volts, hertz=p.hertz * (1 + 3e-4 * (-1) ** n)) for n, p in enumerate(points_with(2, 5))
    ],
    "bent as by dead time": points_with(1, 5, bend=-12),
    "hardly bent": points_with(0, 0, bend=-1.3),
    "bent at the top alone": [*points_with(1, 5)[:-1], Point(volts=5, hertz=TARGET.hertz * 31.6)],
    "three points": points_with(4, 2, (0, 1, 2)),
    "two points": points_with(4, 2, (0, 3)),
    "upside down": [Point(volts=-p.volts, hertz=p.hertz) for p in points_with(0, 0)],
    "one reading falls": [*points_with(0, 0)[:3], Point(volts=3.0, hertz=TARGET.hertz * 3.8)],
    "falls by half a semitone": [
        Point(volts=v, hertz=h) for v, h in ((0, 100), (1, 200), (1.5, 195), (2, 400), (3, 800))
    ],
    "300 cents wide": points_with(299, 0),
    "301 cents wide": points_with(301, 0),
    "by the volt": [Point(volts=v, hertz=110.0 * v) for v in (0.5, 1, 2, 4, 8)],
}


def _figures(*figures: float | None) -> str:
    return " ".join("-" if each is None else f"{round(each, 3) + 0.0:g}" for each in figures)


def _tracked(points: Sequence[Point]) -> Iterator[str]:
    for target in (TARGET, None):
        said = track(points, target)
        yield _figures(said.scale, said.offset, said.top, said.mean_offset, said.worst, said.bent)
        yield _figures(said.scale_uncertainty, said.offset_uncertainty, said.top_uncertainty)
        yield " ".join((_figures(*(each.cents for each in said.points)), said.gross, *said.remarks))
    for slope in (None, 110.0, 112.0):
        try:
            linear = analyse_linear([p for p in points if p.volts > 0], slope)
        except SoldersideError as error:
            yield error.what
            continue
        yield _figures(linear.hertz_per_volt, linear.hertz_at_zero, linear.scale_cents)
        yield _figures(linear.hertz_per_volt_uncertainty, linear.hertz_at_zero_uncertainty)
        yield "; ".join(linear.advice)


def _drawn() -> Iterator[str]:
    sizes = ((20.0, 90.0), (-4.0, 10.0), (0.3, -0.5))
    for width, height, count in ((24, 6, 3), (60, 9, 3), (41, 10, 1), (60, 8, 12)):
        passes = [Pass(points=tuple(points_with(s / n, o / n))) for n in range(1, 5) for s, o in sizes][:count]
        yield from (f"{line}|" for line in plot_cents(passes, width, height, TARGET))
    for most in (1, 2, 5, 5.01, 10.1, 20.1, 50.1, 99, 1001):
        yield plot_cents([Pass(points=tuple(points_with(0, most)))], 40, 7, TARGET)[1]
    still = [Pass(points=tuple(points_with(0, off))) for off in (0, 1, 2.01, -5)]
    yield from (" ".join(drift_words(still[:count])) for count in range(5))
    yield " ".join(drift_words([*still, Pass(points=still[0].points, turned=(Turn(trimmer="RV1", turns=1),))]))


def test_what_points_say_of_an_oscillator_is_told_and_drawn_as_it_was() -> None:
    held(__file__, "tracking", lambda name: " | ".join(_tracked(OSCILLATORS[name])), OSCILLATORS)
    drawn = list(_drawn())
    held(
        __file__, "drawn", lambda number: drawn[int(number) - 1], [f"{n:02}" for n in range(1, len(drawn) + 1)]
    )
