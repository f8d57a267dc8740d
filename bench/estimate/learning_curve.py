"""The learning curve, as the UNIT model: the n-th unit takes t1 * n**b, with b = log2(rate).

Each doubling of the number built brings the time of the single unit to `rate` of what it was. The other model
of the same name (Wright 1936), in which the average of all units so far falls so, gives other figures: a
third unit at 80 % takes 70.2 % of the first here, and 50.6 % there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct


def exponent(rate: float) -> float:
    """b of a learning rate, such as 0.8 for 80 %.

    >>> round(exponent(0.8), 10)
    -0.3219280949
    """
    return math.log2(rate)


def unit_factor(n: int, rate: float) -> float:
    """Time of the n-th unit, as a share of the first.

    >>> [round(unit_factor(n, 0.8), 4) for n in (1, 2, 3, 4)]
    [1.0, 0.8, 0.7021, 0.64]
    """
    return float(n ** exponent(rate))


class LearningFit(Struct, frozen=True, kw_only=True):
    """A unit curve through measured times."""

    first: float
    """Time of the first unit by the curve: its median, in the unit of the times."""
    rate: float
    """What each doubling brings the time to: 0.8 for 80 %."""
    sigma: float
    """Scatter about the curve on the scale of natural logarithms; 0 with two units only."""

    def median(self, n: int) -> float:
        """What the n-th unit takes at most in half of all cases."""
        return self.first * unit_factor(n, self.rate)

    def mean(self, n: int) -> float:
        """What the n-th unit takes on average: exp(sigma^2 / 2) above the median."""
        return self.median(n) * math.exp(self.sigma**2 / 2)


def fit_curve(times: Sequence[float]) -> LearningFit | None:
    """Least squares of ln t on ln n through the times of units 1, 2, ...; None for fewer than two.

    >>> fit = fit_curve([100, 80, 70.21, 64])
    >>> round(fit.first, 1), round(fit.rate, 4)
    (100.0, 0.8)
    """
    if len(times) < 2 or min(times) <= 0:
        return None
    xs = [math.log(n) for n in range(1, len(times) + 1)]
    ys = [math.log(time) for time in times]
    x_mean, y_mean = math.fsum(xs) / len(xs), math.fsum(ys) / len(ys)
    spread = math.fsum((x - x_mean) ** 2 for x in xs)
    b = math.fsum((x - x_mean) * (y - y_mean) for x, y in zip(xs, ys, strict=True)) / spread
    a = y_mean - b * x_mean
    rest = math.fsum((y - a - b * x) ** 2 for x, y in zip(xs, ys, strict=True))
    sigma = math.sqrt(rest / (len(xs) - 2)) if len(xs) > 2 else 0.0
    return LearningFit(first=math.exp(a), rate=2.0**b, sigma=sigma)
