"""How far the readings of an oscillator scatter, and whether its pitch stays when nothing is turned."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from bench.measure.fit import least_squares
from bench.measure.tuning.learn import Frame, Pass

NOISE_CENTS, NOISE_FREEDOM = 0.6, 2
"""Scatter of one frequency reading before any is known, cents, and how many readings that is worth."""
SCATTER_PASSES = 3
"""Last passes that the scatter of the readings is taken from."""
LEAST_NOISE = 0.15
"""No counter at a bench reads a live oscillator better than this, cents (our assumption)."""


def scatter_of(passes: Sequence[Pass], frame: Frame) -> tuple[float, int]:
    """Scatter of the readings about the line or bend of their pass: root mean square in cents, and freedom.

    Pooled over the last passes only: how carefully someone reads may change.
    """
    squares, freedom = 0.0, 0
    for done in passes[-SCATTER_PASSES:]:
        width = 3 if len({point.volts for point in done.points}) >= 4 else 2
        if len(done.points) > width:
            rows = [frame.row(point.volts)[:width] for point in done.points]
            fit = least_squares(rows, [frame.above(point) for point in done.points])
            squares += math.fsum(each * each for each in fit.residuals)
            freedom += fit.freedom
    return math.sqrt(squares / freedom) if freedom else 0.0, freedom


def noise_of(scatter: float, freedom: int) -> float:
    """Standard uncertainty of one reading, cents: what is usual and the scatter seen, each as it weighs."""
    squares = NOISE_FREEDOM * NOISE_CENTS**2 + freedom * scatter**2
    return max(LEAST_NOISE, math.sqrt(squares / (NOISE_FREEDOM + freedom)))


def quiet_moves(passes: Sequence[Pass]) -> list[tuple[Pass, Pass]]:
    """Pairs of passes with nothing turned between them."""
    return [(a, b) for a, b in pairwise(passes) if not any(turn.turns for turn in b.turned)]


def moved_alone(passes: Sequence[Pass], frame: Frame, noise: float) -> bool | None:
    """Whether the pitch moved between passes with nothing turned, beyond chance; None where there are none."""
    pairs = quiet_moves(passes)
    for before, after in pairs:
        earlier = {point.volts: frame.above(point) for point in before.points}
        moved = [frame.above(p) - earlier[p.volts] for p in after.points if p.volts in earlier]
        if not moved:
            continue
        count, spread = len(moved), 2.0 * noise * noise
        together = abs(sum(moved)) / math.sqrt(count * spread)
        squares = sum(each * each for each in moved) / spread
        if together > 4.0 or squares > count + 4.5 * math.sqrt(2.0 * count):
            return True
    return False if pairs else None
