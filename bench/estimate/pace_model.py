"""Bayesian model of a builder's speed: linear in the logarithm of time over guess.

For work of group g, in build j, the n-th of its kit and the m-th of all:

    ln(time / guess) = builder + group g + build j + learning * ln n + practice * ln m + beside * b + noise

where b is 1 for the later ones of units built side by side, which share n, m and j with the first, else 0.

All terms but the noise are parameters with normal priors about the starting guess; each stage that is done is
one observation for each group in it, and the measurement update of a Kalman filter (R. E. Kalman 1960; the
state does not move, so this is recursive least squares) gives the posterior. A new builder gets the guess
with a wide range, which the own data soon outweigh (hierarchical shrinkage). How much builds differ from each
other is unknown too: one filter for each of `SPREADS`, weighted by its likelihood.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

Terms = Mapping[str, float]
"""Name of a parameter -> its coefficient."""

SPREADS = {0.04: 0.75, 0.38: 0.25}
"""How much whole builds may differ, as deviation of ln time -> how likely that is at first (own guess).

A steady builder and an uneven one: a few builds cannot tell sizes between them apart.
"""

BUILDER, LEARNING, PRACTICE, BESIDE = "builder", "learning", "practice", "beside"
GROUP, BUILD = "group ", "build "
"""What the names of parameters begin with."""

PRIORS: dict[str, tuple[float, float]] = {
    BUILDER: (0.0, 0.62),
    LEARNING: (-0.10, 0.06),
    PRACTICE: (-0.03, 0.03),
    BESIDE: (-0.25, 0.18),
    GROUP: (-0.08, 0.4),
    GROUP + "tasks": (-0.15, 0.55),
}
"""Mean and standard deviation of each sort of parameter (own guess); learning -0.10 is a 93 % curve.

A group's mean is half its variance below nothing, so that the guess is what a group takes on average.
"""

STAGE_SPREAD = 0.1
"""How much one group in one stage differs, as standard deviation of ln time, apart from its steps' noise."""

NOISE = {"parts": (0.25, 12.0), "tasks": (0.5, 12.0)}
"""Squared coefficient of variation of one step's time, and how many steps this guess is worth (own guess)."""

CHANCE = {"parts": 1.0, "tasks": 0.6}
"""Share of the scatter of steps about their guess that is chance (own guess).

The rest is in the steps: one task is longer than another each time, which does no harm once all are done.
"""


class Component(Struct, frozen=True, kw_only=True):
    """Posterior of the parameters for one of `SPREADS`."""

    spread: float
    log_weight: float
    """Logarithm of how well it foretold, up to a constant."""
    mean: list[float]
    covariance: list[list[float]]
    """Its lower half: row i has the covariances of parameter i with 0 to i."""

    def moments(self, entries: Sequence[tuple[int, float]]) -> tuple[float, float]:
        """Mean and variance of a sum of parameters, each (place, coefficient)."""
        level = spread = 0.0
        for at, factor in entries:
            level += self.mean[at] * factor
            for other, more in entries:
                row, column = (at, other) if at >= other else (other, at)
                spread += factor * more * self.covariance[row][column]
        return level, spread


class Belief(Struct, frozen=True, kw_only=True):
    """A mixture over `SPREADS`; the parameters of each component are in the order of `names`."""

    names: dict[str, int]
    """Name of a parameter -> its place."""
    components: tuple[Component, ...]
    noise: dict[str, tuple[float, float]]
    """Parts or tasks -> sum of squared relative deviations, number of steps; the guess counted in."""

    def noise_of(self, group: str) -> float:
        """Squared coefficient of variation of a single step's time that is chance."""
        total, steps = self.noise[_sort(group)]
        return CHANCE[_sort(group)] * total / steps

    def weights(self) -> list[float]:
        """How much each component counts; the sum is 1."""
        top = max(each.log_weight for each in self.components)
        raw = [math.exp(each.log_weight - top) for each in self.components]
        return [each / sum(raw) for each in raw]


def initial() -> Belief:
    """The priors alone: nothing is known of this builder yet."""
    components = tuple(Component(spread=spread, log_weight=0.0, mean=[], covariance=[]) for spread in SPREADS)
    noise = {sort: (guess * worth, worth) for sort, (guess, worth) in NOISE.items()}
    return Belief(names={}, components=components, noise=noise)


def prior(name: str, spread: float) -> tuple[float, float]:
    """Prior mean and variance of a parameter; `spread` between builds."""
    if name.startswith(BUILD):
        return 0.0, spread * spread
    if name.startswith(GROUP):
        mean, deviation = PRIORS[GROUP + "tasks" if name.startswith(GROUP + "tasks") else GROUP]
    else:
        mean, deviation = PRIORS[name]
    return mean, deviation * deviation


def _sort(group: str) -> str:
    return "tasks" if group.startswith("tasks") else "parts"


def with_parameters(belief: Belief, names: list[str]) -> Belief:
    """The belief with these parameters added, at their priors."""
    new = [name for name in names if name not in belief.names]
    if not new:
        return belief
    table = belief.names | {name: len(belief.names) + at for at, name in enumerate(new)}
    components = []
    for each in belief.components:
        priors = [prior(name, each.spread) for name in new]
        old = len(each.mean)
        rows = list(each.covariance)
        rows += [[0.0] * (old + at) + [variance] for at, (_, variance) in enumerate(priors)]
        components.append(replace(each, mean=each.mean + [mean for mean, _ in priors], covariance=rows))
    return replace(belief, names=table, components=tuple(components))


def without_parameter(belief: Belief, name: str) -> Belief:
    """Marginalise out a parameter no longer needed, such as a finished build's own."""
    if name not in belief.names:
        return belief
    at = belief.names[name]
    names = {other: place - (place > at) for other, place in belief.names.items() if other != name}
    components = tuple(
        replace(
            each,
            mean=each.mean[:at] + each.mean[at + 1 :],
            covariance=[row[:at] + row[at + 1 :] for row in each.covariance[:at] + each.covariance[at + 1 :]],
        )
        for each in belief.components
    )
    return replace(belief, names=names, components=components)


def observe(
    belief: Belief, terms: Terms, group: str, ratio: float, effective: float, pieces: int, scatter: float
) -> Belief:
    """The belief after work of one group in one stage took `ratio` times its guess.

    `effective` is how many equal steps its steps count as, `scatter` the squared relative deviation of its
    `pieces` from their common ratio, summed.
    """
    belief = with_parameters(belief, list(terms))
    noise = math.log1p(belief.noise_of(group) / effective)
    seen = math.log(ratio) + noise / 2  # what is linear is the mean time; the logarithm of a sum lies below it
    entries = [(belief.names[name], factor) for name, factor in terms.items()]
    components = tuple(
        _updated(each, entries, seen, noise + STAGE_SPREAD * STAGE_SPREAD) for each in belief.components
    )
    total, steps = belief.noise[_sort(group)]
    noises = belief.noise | {_sort(group): (total + scatter, steps + max(0, pieces - 1))}
    return replace(belief, components=components, noise=noises)


def _updated(component: Component, entries: list[tuple[int, float]], seen: float, variance: float) -> Component:
    """One measurement update: Kalman gain, innovation `off` with its variance `spread`, log likelihood."""
    covariance = component.covariance
    size = len(component.mean)
    gain = [0.0] * size
    for at, factor in entries:
        row = covariance[at]
        for place in range(at + 1):
            gain[place] += row[place] * factor
        for place in range(at + 1, size):
            gain[place] += covariance[place][at] * factor
    spread = variance
    off = seen
    for at, factor in entries:
        spread += gain[at] * factor
        off -= component.mean[at] * factor
    share = [each / spread for each in gain]
    return replace(
        component,
        log_weight=component.log_weight - (math.log(spread) + off * off / spread) / 2,
        mean=[old + each * off for old, each in zip(component.mean, share, strict=True)],
        covariance=[
            [old - each * other for old, other in zip(row, gain, strict=False)]
            for row, each in zip(covariance, share, strict=True)
        ],
    )
