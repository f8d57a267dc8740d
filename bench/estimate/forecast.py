"""Time left as a range: what is likely, and between what it lies four times out of five.

The total is a sum of log-normal pieces whose speeds hang together (one builder, one build), plus the snags
still to be expected. For each number of snags the sum is matched by a log-normal with the same mean and
variance (L. F. Fenton 1960); the mixture of those is the forecast. `likely` is its median: the mean lies
above it.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from bench.estimate.observations import StageLeft
from bench.estimate.pace_model import (
    BESIDE,
    BUILD,
    BUILDER,
    GROUP,
    LEARNING,
    PRACTICE,
    STAGE_SPREAD,
    Belief,
    Component,
    Terms,
    prior,
)
from bench.estimate.snag_rate import MAKING, TRYING, Snags, chances

if TYPE_CHECKING:
    from statistics import NormalDist

BEYOND = 0.12
"""Share of a forecast beyond each end of a range that is to hold four times out of five.

More than a tenth: on simulated builders, ranges between the tenths held 84 times in 100.
"""
_Z = 1.1749867920660904
"""Standard deviations either way beyond which so much of a normal lies."""
_MANY_SNAGS = 3.0
"""Above this many expected, their sum is taken as one piece instead of number by number."""


class Interval(Struct, frozen=True, kw_only=True):
    """A time that is still to come, in seconds at the bench, breaks apart."""

    likely: float
    """Median: as often longer as shorter."""
    low: float
    """About one time out of ten it is less."""
    high: float
    """About one time out of ten it is more."""
    mean: float
    """What to add up when many are planned."""


class BuildOrdinal(Struct, frozen=True, kw_only=True):
    """What the log knows of one build that matters for its speed."""

    kit: str
    """Title of the kit."""
    of_kit: int
    """Which build of this kit it is, from 1."""
    of_all: int
    """Which build of all, from 1."""
    group: str = ""
    """What units built side by side have in common; empty for a build alone."""
    later: bool = False
    """True for all of them but the first."""


class StagePace(Struct, frozen=True, kw_only=True):
    """A builder's pace and snag rate, as known at one moment."""

    belief: Belief
    snags: Snags
    builds: dict[str, BuildOrdinal]
    """Builds so far, by name."""
    of_kit: dict[str, int]
    """How often each kit was begun."""

    def begun(self, build: str, kit: str) -> BuildOrdinal:
        """A build's place among all; one that is not known would be the next."""
        return self.builds.get(build) or BuildOrdinal(
            kit=kit, of_kit=self.of_kit.get(kit, 0) + 1, of_all=len(self.builds) + 1
        )

    def begun_beside(self, kit: str, group: str, many: int) -> tuple[BuildOrdinal, ...]:
        """The places of so many units that would be built side by side next."""
        first = replace(self.begun("", kit), group=group)
        return (first, *(replace(first, later=True) for _ in range(many - 1)))

    def with_begun(self, build: str, begun: BuildOrdinal) -> StagePace:
        """The same, with one more build begun."""
        return replace(
            self, builds=self.builds | {build: begun}, of_kit=self.of_kit | {begun.kit: begun.of_kit}
        )


class Work(Struct, frozen=True, kw_only=True):
    """What is left of one build."""

    build: str
    begun: BuildOrdinal
    stages: tuple[StageLeft, ...]


class Piece(Struct, frozen=True, kw_only=True):
    """One log-normal of the mixture that a forecast is."""

    weight: float
    mu: float
    """Mean of the logarithm of seconds."""
    sigma: float


def terms_of(build: str, begun: BuildOrdinal, group: str) -> dict[str, float]:
    """The parameters that decide the speed of one sort of work in one build."""
    terms = {
        BUILDER: 1.0,
        GROUP + group: 1.0,
        BUILD + (begun.group or build): 1.0,
        LEARNING: math.log(begun.of_kit),
        PRACTICE: math.log(begun.of_all),
    }
    return terms | {BESIDE: 1.0} if begun.later else terms


def pieces_of(works: Iterable[Work], belief: Belief, snags: Snags) -> list[Piece]:
    """The forecast for the sum of all that is left in these builds, as a mixture; empty for nothing left."""
    listed = [work for work in works if work.stages]
    sums: dict[tuple[int, str], tuple[float, float]] = {}
    count = variance = 0.0
    for number, work in enumerate(listed):
        for where, joints in (
            (MAKING, sum(stage.joints for stage in work.stages)),
            (TRYING, sum(stage.late for stage in work.stages)),
        ):
            mean, spread = snags.expected(where, work.build, joints)
            count, variance = count + mean, variance + spread
        for stage in work.stages:
            for group in stage.groups:
                guess, noise = sums.get((number, group.group), (0.0, 0.0))
                step_noise = belief.noise_of(group.group) * group.squares
                stage_noise = (STAGE_SPREAD * group.guess) ** 2
                sums[number, group.group] = (guess + group.guess, noise + step_noise + stage_noise)
    if not sums:
        return []
    parts = [
        (terms_of(listed[number].build, listed[number].begun, group), guess, noise / (guess * guess))
        for (number, group), (guess, noise) in sums.items()
    ]
    found: list[Piece] = []
    for at, weight in enumerate(belief.weights()):
        if weight > 0.01:
            mean, square = _sum_of(parts, belief, at)
            found += _with_snags(weight, mean, square, snags.cost(), count, variance)
    return found


def _sum_of(parts: Sequence[tuple[Terms, float, float]], belief: Belief, at: int) -> tuple[float, float]:
    """Mean, and variance of the logarithm, of the sum of parts (parameters, guess, squared relative noise)."""
    component = belief.components[at]
    means: list[float] = []
    for terms, guess, _ in parts:
        level, spread = _moments(terms, belief.names, component)
        means.append(guess * math.exp(level + spread / 2))
    total = math.fsum(means)
    slope: dict[str, float] = {}
    noise = 0.0
    for (terms, _, squared), each in zip(parts, means, strict=True):
        share = each / total
        noise += share * share * squared
        for name, factor in terms.items():
            slope[name] = slope.get(name, 0.0) + share * factor
    return total, math.log1p(noise) + _moments(slope, belief.names, component)[1]


def _moments(terms: Terms, names: Mapping[str, int], component: Component) -> tuple[float, float]:
    """Mean and variance of a sum of parameters, those included that nothing was seen of yet."""
    level, spread = component.moments(
        [(names[name], factor) for name, factor in terms.items() if name in names]
    )
    for name, factor in terms.items():
        if name not in names:
            mean, variance = prior(name, component.spread)
            level += mean * factor
            spread += variance * factor * factor
    return level, spread


def _with_snags(
    weight: float, mean: float, spread: float, cost: tuple[float, float, float], count: float, variance: float
) -> list[Piece]:
    """Log-normals for each number of snags, or one for all together when many are to be expected."""
    each, each_variance, mean_doubt = cost
    own = mean * mean * math.expm1(spread)
    if count > _MANY_SNAGS:
        extra = count * each_variance + variance * each * each + count * count * mean_doubt
        return [_matched(weight, mean + count * each, own + extra)]
    return [
        _matched(weight * chance, mean + n * each, own + n * each_variance + n * n * mean_doubt)
        for n, chance in enumerate(chances(count, variance))
    ]


def _matched(weight: float, mean: float, variance: float) -> Piece:
    """The log-normal with this mean and variance."""
    square = math.log1p(variance / (mean * mean))
    return Piece(weight=weight, mu=math.log(mean) - square / 2, sigma=math.sqrt(square))


def share_below(pieces: Sequence[Piece], seconds: float) -> float:
    """How likely it is to take at most so long."""
    if seconds <= 0:
        return 0.0
    return _share(_curves(pieces), math.log(seconds))


def _curves(pieces: Sequence[Piece]) -> list[tuple[float, float, float]]:
    """Half its share of the whole, mu, and sigma times the root of two, for each piece."""
    total = 2 * math.fsum(piece.weight for piece in pieces)
    return [(piece.weight / total, piece.mu, piece.sigma * math.sqrt(2)) for piece in pieces]


def _share(curves: Sequence[tuple[float, float, float]], log: float) -> float:
    """How likely it is that the logarithm of the seconds is at most so great."""
    return math.fsum([half * math.erfc((mu - log) / width) for half, mu, width in curves])


def quantile(pieces: Sequence[Piece], share: float) -> float:
    """The seconds that it takes at most with this likelihood."""
    normal = _normal().inv_cdf(share) if share != 0.5 else 0.0
    ends = [piece.mu + normal * piece.sigma for piece in pieces]
    low, high = min(ends), max(ends)
    curves = _curves(pieces)
    for _ in range(40):
        if high - low < 1e-4:
            break
        middle = (low + high) / 2
        if _share(curves, middle) < share:
            low = middle
        else:
            high = middle
    return math.exp((low + high) / 2)


@functools.cache
def _normal() -> NormalDist:
    from statistics import NormalDist  # with much in its wake, and not needed to show a list

    return NormalDist()


NOTHING = Interval(likely=0.0, low=0.0, high=0.0, mean=0.0)


def range_of(pieces: Sequence[Piece]) -> Interval:
    """A mixture as a range."""
    if not pieces:
        return NOTHING
    total = math.fsum(piece.weight for piece in pieces)
    return Interval(
        likely=quantile(pieces, 0.5),
        low=quantile(pieces, BEYOND),
        high=quantile(pieces, 1 - BEYOND),
        mean=math.fsum(p.weight * math.exp(p.mu + p.sigma**2 / 2) for p in pieces) / total,
    )


def time_left(works: Iterable[Work], pace: StagePace) -> Interval:
    """Time left for all of these together."""
    return range_of(pieces_of(works, pace.belief, pace.snags))


def likely(works: Iterable[Work], pace: StagePace) -> float:
    """The seconds that `time_left` calls likely, without the ends of the range."""
    pieces = pieces_of(works, pace.belief, pace.snags)
    return quantile(pieces, 0.5) if pieces else 0.0


def z_score(pieces: Sequence[Piece], seconds: float) -> float:
    """The z-score of a time in a forecast: of its quantile, in standard deviations; clipped to 4 either way."""
    share = min(max(share_below(pieces, seconds), 4e-5), 1 - 4e-5)
    return _normal().inv_cdf(share)


def within_range(deviated: float) -> bool:
    """Whether a time with this z-score lies in the range."""
    return abs(deviated) <= _Z
