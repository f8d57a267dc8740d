"""Which part of a recording to measure: the steadiest two seconds, by level."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from operator import mul
from statistics import fmean, pvariance

from msgspec import Struct

BLOCKS_A_SECOND = 8
"""Blocks are an eighth of a second: two periods of the lowest tone."""
STOPPED = 400
"""The sound stops where its power falls below one part in this: -26 dB."""
MOST_SCALE = 1e6
"""Samples greater than this many times full scale are no sound."""
STRETCH_BLOCKS = 16
"""A stretch is two seconds at most."""


def block_length(rate: float) -> int:
    """Samples in a block."""
    return int(rate / BLOCKS_A_SECOND)


def is_sound(samples: Sequence[float]) -> bool:
    """Whether all samples are finite and none is a million times full scale, full scale being 1.

    >>> is_sound([1e6, -1e6]), is_sound([0.5, float("nan")]), is_sound([0.0, 1.1e6]), is_sound([-1.1e6])
    (True, False, False, False)
    """
    if not math.isfinite(sum(samples)):
        return False
    return min(samples, default=0.0) >= -MOST_SCALE and max(samples, default=0.0) <= MOST_SCALE


class Level(Struct, frozen=True, kw_only=True):
    """How strong one block is, in the samples' own unit."""

    mean: float
    square: float
    """Mean square, offset and all."""


def block_levels(samples: Sequence[float], rate: float) -> list[Level]:
    """Level of each block; a rest shorter than a block counts as one.

    Looks at some 44,000 samples per second, in pairs a quarter period of 12 kHz apart, which is enough for
    every tone up to there.
    """
    block = block_length(rate)
    step, offset = 2 * max(1, int(rate / 22_000)), max(1, round(rate / 48_000))
    levels: list[Level] = []
    for start in range(0, len(samples), block):
        part = samples[start : start + block]
        some = [*part[::step], *part[offset::step]]
        levels.append(Level(mean=sum(some) / len(some), square=sum(map(mul, some, some)) / len(some)))
    return levels


def alternating_power(levels: Sequence[Level]) -> float:
    """Mean square of blocks taken together, without their common offset.

    >>> alternating_power([Level(mean=3.0, square=10.0), Level(mean=3.0, square=12.0)])
    2.0
    """
    return max(0.0, fmean(level.square for level in levels) - fmean(level.mean for level in levels) ** 2)


def steady_stretches(levels: Sequence[Level]) -> list[tuple[int, int]]:
    """Runs of blocks with steady sound, as first block and number of blocks, the best first.

    A block is loud when it has a quarter of the power that the loudest half second keeps up; fainter blocks
    between loud ones are taken along unless the sound stops there. At a run's start and end one block is
    left out where the sound sets in or stops.

    >>> steady_stretches([Level(mean=0, square=s) for s in (0, 0, 0, 0, 5, 9, 9, 9, 9, 9, 9, 0)])
    [(5, 5)]
    """
    powers = [alternating_power([level]) for level in levels]
    held = min(4, len(powers))
    level = max(min(powers[i : i + held]) for i in range(len(powers) - held + 1))
    loud = [i for i, power in enumerate(powers) if power >= level / 4]
    windows: list[tuple[int, int]] = []
    for first, last in _runs(loud, [power < level / STOPPED for power in powers]):
        ragged = last - first >= 5
        first += ragged and first > 0
        last -= ragged and last < len(powers) - 1
        count = last - first + 1
        offsets = range(0, max(1, count - STRETCH_BLOCKS + 1), STRETCH_BLOCKS // 2)
        windows += [(first + offset, min(count, STRETCH_BLOCKS)) for offset in offsets]

    def unsteadiness(window: tuple[int, int]) -> tuple[int, float]:
        part = powers[window[0] : window[0] + window[1]]
        return -window[1], pvariance(part) / (fmean(part) ** 2 or 1.0)

    return sorted(windows, key=unsteadiness)


def disjoint(stretches: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Those stretches that share no block with one before them.

    >>> disjoint([(4, 4), (6, 4), (2, 4), (8, 4), (0, 4)])
    [(4, 4), (8, 4), (0, 4)]
    """
    found: list[tuple[int, int]] = []
    for first, count in stretches:
        if all(first + count <= other or other + many <= first for other, many in found):
            found.append((first, count))
    return found


def _runs(loud: Sequence[int], stops: Sequence[bool]) -> list[tuple[int, int]]:
    """First and last of each run of loud blocks that no stop interrupts."""
    runs: list[tuple[int, int]] = []
    for block in loud:
        if runs and not any(stops[runs[-1][1] : block]):
            runs[-1] = (runs[-1][0], block)
        else:
            runs.append((block, block))
    return runs
