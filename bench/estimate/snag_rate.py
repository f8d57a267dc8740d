"""How many snags to expect and what they cost: over-dispersed counts (negative binomial).

Two rates for each joint: snags met at the iron, and those that come to light later, when the work is looked
at, measured and tried. Builds differ more than chance alone would have it, so counts are negative binomial
with a size that is not known either; both are weighed on a grid by what the log shows. Costs are log-normal.
"""

from __future__ import annotations

import math

from msgspec import Struct, field

MAKING, TRYING = "making joints", "looking and trying"

_GUESS = {MAKING: math.log(0.008), TRYING: math.log(0.006)}
"""Logarithm of snags for each joint (own guess)."""
_GUESS_SPREAD = 1.0
_RATES = [math.exp(-8.5 + 0.4 * step) for step in range(17)]
_SIZES = (0.7, 1.8, 6.0)
_COST, _COST_WORTH = math.log(300.0), 1.5
"""A snag that costs time costs five minutes in half of all cases (own guess), worth so many snags."""
_COST_VARIANCE, _VARIANCE_WORTH = 0.8, 4.0


class Tally(Struct, frozen=True, kw_only=True):
    """Snags in one build so far, at the iron or later."""

    count: int
    joints: float
    """Joints, or joints' worth of hidden faults, so far."""


class Snags(Struct, frozen=True, kw_only=True):
    """What the log knows of snags that cost time."""

    tallies: dict[str, dict[str, Tally]] = field(default_factory=lambda: {MAKING: {}, TRYING: {}})
    """Making joints, or looking and trying -> build -> its tally."""
    costs: int = 0
    log_sum: float = 0.0
    log_squares: float = 0.0
    """Sums of ln seconds and of its square."""

    def with_stage(self, build: str, joints: float, late: float, costs: tuple[float, ...]) -> Snags:
        """With one more stage; a stage that makes joints counts as at the iron."""
        tallies = dict(self.tallies)
        count = len(costs)
        making = count if joints else 0
        for where, worth, many in ((MAKING, joints, making), (TRYING, late, count - making)):
            if not worth:
                continue
            old = tallies[where].get(build, Tally(count=0, joints=0.0))
            tallies[where] = tallies[where] | {build: Tally(count=old.count + many, joints=old.joints + worth)}
        logs = [math.log(max(1.0, cost)) for cost in costs]
        return Snags(
            tallies=tallies,
            costs=self.costs + count,
            log_sum=self.log_sum + math.fsum(logs),
            log_squares=self.log_squares + math.fsum(each * each for each in logs),
        )

    def expected(self, where: str, build: str, joints: float) -> tuple[float, float]:
        """Mean and variance of the number still to come in a build, for so many joints' worth of work."""
        if not joints:
            return 0.0, 0.0
        here = self.tallies[where].get(build, Tally(count=0, joints=0.0))
        counts = [(each.count, each.joints) for each in self.tallies[where].values()]
        logs: list[float] = []
        moments: list[tuple[float, float]] = []
        for size in _SIZES:
            for rate in _RATES:
                weight = -((math.log(rate) - _GUESS[where]) ** 2) / (2 * _GUESS_SPREAD**2)
                for count, worth in counts:
                    weight += _log_chance(count, rate * worth, size)
                logs.append(weight)
                more = rate * joints * (size + here.count) / (size + rate * here.joints)
                moments.append((more, more + more * more / (size + here.count)))
        top = max(logs)
        shares = [math.exp(each - top) for each in logs]
        total = sum(shares)
        mean = sum(share * each for share, (each, _) in zip(shares, moments, strict=True)) / total
        square = sum(share * (v + m * m) for share, (m, v) in zip(shares, moments, strict=True)) / total
        return mean, square - mean * mean

    def cost(self) -> tuple[float, float, float]:
        """Mean of one snag's cost in seconds, its variance, and the variance of that mean."""
        worth = _COST_WORTH + self.costs
        centre = (_COST * _COST_WORTH + self.log_sum) / worth
        scatter = max(
            0.0,
            self.log_squares
            - 2 * centre * self.log_sum
            + self.costs * centre * centre
            + _COST_WORTH * (_COST - centre) ** 2,
        )
        variance = (_COST_VARIANCE * _VARIANCE_WORTH + scatter) / (_VARIANCE_WORTH + self.costs)
        doubt = variance / worth
        mean = math.exp(centre + (variance + doubt) / 2)
        return mean, mean * mean * math.expm1(variance), mean * mean * math.expm1(doubt)


def _log_chance(count: int, mean: float, size: float) -> float:
    """Logarithm of the negative binomial chance of a count, without the term that only the count decides."""
    chance = -(size + count) * math.log1p(mean / size)
    if count:
        chance += count * math.log(mean / size) + math.lgamma(count + size) - math.lgamma(size)
    return chance


def chances(mean: float, variance: float, most: int = 60) -> list[float]:
    """Chances of 0, 1, 2 ... of a count with this mean and variance, until hardly anything is left.

    >>> [round(chance, 4) for chance in chances(1.0, 1.0)][:3]
    [0.3679, 0.3679, 0.1839]
    """
    if mean <= 0:
        return [1.0]
    over = (variance - mean) / (mean * mean)
    found: list[float] = []
    if over < 1e-6:
        chance = math.exp(-mean)
        step = [mean / n for n in range(1, most + 1)]
    else:
        size = 1 / over
        chance = (1 + mean * over) ** -size
        share = mean * over / (1 + mean * over)
        step = [share * (size + n - 1) / n for n in range(1, most + 1)]
    left = 1.0
    for factor in step:
        found.append(chance)
        left -= chance
        if left < 1e-4:
            break
        chance *= factor
    found[-1] += max(0.0, left)
    return found
