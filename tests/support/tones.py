"""Tones of exactly known frequency, and sounds that are none, for the pitch tests.

Truth by construction: sums of harmonics below half the sample rate, `turns` periods of which fill `length`
samples exactly, so that the frequency is a known fraction of the sample rate.
"""

from __future__ import annotations

import math
import random
import statistics
import struct
from collections.abc import Callable, Sequence
from itertools import cycle, islice
from pathlib import Path

from msgspec import Struct

from bench.measure.pitch.pitch import LONGEST_SECONDS, NoTone, Pitch, search
from bench.measure.pitch.stretch import block_levels

SHAPES = ("sine", "triangle", "saw", "square", "pulse")
RATES = (8_000, 11_025, 16_000, 22_050, 32_000, 44_100, 48_000, 88_200, 96_000, 192_000)
MOST_HARMONICS = 150
RATE = 48_000


class Signal(Struct, frozen=True, kw_only=True):
    """A band-limited periodic signal of known frequency."""

    shape: str
    rate: int
    hertz: float
    samples: list[float]


def analyse(samples: Sequence[float], rate: float) -> Pitch | NoTone:
    """Frequency of the steady tone in samples taken `rate` times a second, full scale being 1."""
    looked_at = min(len(samples), int(LONGEST_SECONDS * rate))
    samples = samples[:looked_at]
    levels = block_levels(samples, rate)
    return search(levels, looked_at, rate, 1.0, lambda start, count: samples[start : start + count])


def amplitude(shape: str, number: int, duty: float) -> float:
    """Fourier series of the classic shapes, each about as large as a sine of amplitude 1."""
    if shape == "sine":
        return float(number == 1)
    if shape == "triangle":
        return 8 / math.pi**2 * (-1) ** (number // 2) / number**2 if number % 2 else 0.0
    if shape == "saw":
        return 2 / math.pi / number
    return 4 / math.pi / number * math.sin(math.pi * number * (0.5 if shape == "square" else duty))


def signal(
    shape: str, hertz: float, rate: int = RATE, *, seconds: float = 2.0, duty: float = 0.5, phase: float = 0.3
) -> Signal:
    """The signal at the fraction of the sample rate nearest to `hertz`, which is then its exact frequency."""
    turns = max(1, round(hertz / 20))
    length = round(turns * rate / hertz)
    exact = turns * rate / length
    wave = math.cos if shape in ("square", "pulse") else math.sin
    period = [0.0] * length
    for number in range(1, min(MOST_HARMONICS, int(0.49 * rate / exact)) + 1):
        size = amplitude(shape, number, duty)
        if size:
            step, start = math.tau * number * turns / length, number * phase
            period = [value + size * wave(start + step * i) for i, value in enumerate(period)]
    samples = list(islice(cycle(period), round(seconds * rate)))
    return Signal(shape=shape, rate=rate, hertz=exact, samples=samples)


def spoilt(
    made: Signal, chance: random.Random, *, noise_db: float, hum: float = 0.0, offset: float = 0.0
) -> list[float]:
    """The signal with white noise so many decibels below it, hum of a share of its level, and an offset."""
    level = statistics.pstdev(made.samples)
    sigma = level * 10 ** (-noise_db / 20)
    samples = [value + chance.gauss(offset, sigma) for value in made.samples]
    mains = chance.choice((50.0, 60.0)) * (1 + chance.uniform(-0.002, 0.002))
    turn, size = math.tau * mains / made.rate, hum * level * math.sqrt(2)
    if size:
        for number, part in ((1, 1.0), (2, 0.5), (3, 0.3)):
            phase = chance.uniform(0, math.tau)
            samples = [v + size * part * math.sin(number * turn * i + phase) for i, v in enumerate(samples)]
    return samples


def mixed(*parts: tuple[float, float], seconds: float = 2.0) -> list[float]:
    return [
        sum(size * math.sin(math.tau * hertz * i / RATE) for hertz, size in parts)
        for i in range(round(seconds * RATE))
    ]


def moving(hertz_at: Callable[[float], float], seconds: float = 2.0) -> list[float]:
    samples: list[float] = []
    turn = 0.0
    for i in range(round(seconds * RATE)):
        turn += hertz_at(i / RATE) / RATE
        samples.append(0.5 * math.sin(math.tau * turn))
    return samples


def vibrato(hertz: float, cents: float, rate: float) -> list[float]:
    return moving(lambda t: hertz * 2 ** (cents / 1200 * math.sin(math.tau * rate * t)))


def white(seed: int) -> list[float]:
    chance = random.Random(seed)
    return [chance.gauss(0, 0.1) for _ in range(2 * RATE)]


def brown(seed: int) -> list[float]:
    chance, value, samples = random.Random(seed), 0.0, []
    for _ in range(2 * RATE):
        value = 0.999 * value + chance.gauss(0, 0.01)
        samples.append(value)
    return samples


def write_wav(path: Path, samples: list[int], rate: int) -> None:
    data = struct.pack(f"<{len(samples)}h", *samples)
    fmt = struct.pack("<HHIIHH", 1, 1, rate, 2 * rate, 2, 16)
    head = struct.pack("<4sI4s4sI", b"RIFF", 36 + len(data), b"WAVE", b"fmt ", len(fmt))
    path.write_bytes(head + fmt + struct.pack("<4sI", b"data", len(data)) + data)
