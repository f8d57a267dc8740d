"""Exact limits for counts: the Garwood interval of a Poisson mean (F. Garwood, Biometrika 28, 1936)."""

from __future__ import annotations

import math


def garwood(count: int, level: float = 0.95) -> tuple[float, float]:
    """Lower and upper limit of the mean of a Poisson count, two-sided and equal-tailed.

    For none the upper limit is that of both sides, 3.69 at 95 %, not the one-sided 3.00. Raises ValueError for
    a negative count or a level outside 0 to 1.

    >>> [round(limit, 4) for limit in garwood(3)]
    [0.6187, 8.7673]
    """
    if count < 0 or not 0 < level < 1:
        raise ValueError("a count from 0 on and a level between 0 and 1 are needed")
    tail = (1 - level) / 2
    low = gamma_quantile(count, tail) if count else 0.0
    return low, gamma_quantile(count + 1, 1 - tail)


def gamma_quantile(shape: float, share: float) -> float:
    """x with P(shape, x) = share: half the chi-square quantile at 2 * shape degrees of freedom."""
    low, high = 0.0, shape + 10.0
    while gamma_p(shape, high) < share:
        low, high = high, 2 * high
    while high - low > 1e-13 * high:
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if gamma_p(shape, middle) < share:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def gamma_p(shape: float, x: float) -> float:
    """The regularised lower incomplete gamma function P(shape, x), shape > 0.

    Its series below shape + 1, the continued fraction (Lentz's way) above: Abramowitz & Stegun 6.5.29, 6.5.31.

    >>> round(gamma_p(1, 1), 10) == round(1 - math.exp(-1), 10)
    True
    """
    if x <= 0:
        return 0.0
    front = math.exp(shape * math.log(x) - x - math.lgamma(shape))
    if x < shape + 1:
        term = total = 1 / shape
        above = shape
        while abs(term) > abs(total) * 1e-16:
            above += 1
            term *= x / above
            total += term
        return min(1.0, front * total)
    b = x + 1 - shape
    c, d = 1e300, 1 / b
    fraction = d
    for step in range(1, 100_000):
        a = -step * (step - shape)
        b += 2
        d = 1 / _not_zero(a * d + b)
        c = _not_zero(b + a / c)
        fraction *= c * d
        if abs(c * d - 1) < 1e-16:
            break
    return max(0.0, 1 - front * fraction)


def _not_zero(value: float) -> float:
    return value if abs(value) > 1e-300 else 1e-300
