"""How often ranges of time left hold, and how far off they are, on builders of `hands`.

What is expected of builds and the ends of ranges were set on seeds 101, 102 and 103; 1 to 6 were kept out.
"""

from __future__ import annotations

import functools
import math
import random
import statistics
from collections.abc import Iterator

from msgspec import Struct

from bench.estimate.base_times import guesses, stages_left
from bench.estimate.forecast import Interval, Work, time_left
from bench.estimate.log_observations import observations_of
from bench.estimate.observations import BuildDone
from bench.estimate.scoring import Score, learn
from bench.kit.load import load_kit
from bench.plan.plan import Plan
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from tests.benchmarks import Figure
from tests.benchmarks.hands import Hands, builds, usual_seconds
from tests.support.plans import LOW

KITS = ("first-evening-metronome", "cue-listener", "fog-filter", "thunder-sheet-pedal", "twin-board-oscillator")
ORDERS = ((0, 0, 0, 0), (0, 0, 1, 1), (0, 1, 2, 3), (0, 1, 0, 1), (0, 1, 1, 2), (0, 1, 2, 0))
"""Which of some kits are built one after the other."""
BUILDERS = 500
QUICK = 40
ROUGH = 0.3
FACTOR = 1.35


@functools.cache
def plans() -> tuple[Plan, ...]:
    """Plans of the shipped kits that are built here."""
    return tuple(make_plan(load_kit(shipped_kits_folder() / f"{kit}.yaml"), LOW) for kit in KITS)


def modules(seed: str) -> list[Plan]:
    """Four kits, alike or not."""
    chance = random.Random(f"kits {seed}")
    mixed = chance.sample(plans(), len(KITS))
    return [mixed[at] for at in chance.choice(ORDERS)]


class Career(Struct, frozen=True, kw_only=True):
    """Four modules of one builder."""

    before: tuple[tuple[Interval, float], ...]
    """For each module the time as it was forecast before it, and as it was, in seconds."""
    scores: tuple[Score, ...]
    """Every forecast on the way."""


def career(hands: Hands, kits: list[Plan]) -> Career:
    """Build four modules, each forecast from those before it."""
    found = []
    done: list[BuildDone] = []
    known = learn(done)
    for name, plan, events in builds(hands, kits):
        work = Work(build=name, begun=known.pace.begun(name, plan.kit), stages=stages_left(plan, frozenset()))
        done.append(observations_of(events, plan, name)[0])
        found.append((time_left([work], known.pace), sum(stage.seconds for stage in done[-1].stages)))
        known = learn(done, known.settled)
    return Career(before=tuple(found), scores=known.scores)


def fast_or_slow(seed: str, kits: list[Plan]) -> Hands:
    """A builder who takes a third of the starting guess for the first kit, or three times as long."""
    guess = sum(guesses(kits[0]).values())
    wanted = 3.0 if random.Random(seed).random() < 0.5 else 1 / 3
    return Hands(seed, speed=wanted * guess / usual_seconds(kits[0]))


def held(careers: list[Career], module: int) -> float:
    """Share of the ranges before a module, from 1, that held."""
    pairs = [each.before[module - 1] for each in careers]
    return sum(found.low <= seconds <= found.high for found, seconds in pairs) / len(pairs)


def factor(pair: tuple[Interval, float]) -> float:
    """By what factor a forecast was off, either way."""
    found, seconds = pair
    return math.exp(abs(math.log(seconds / found.likely)))


def run(seed: int, quick: bool = False) -> Iterator[Figure]:
    """Four modules each of ordinary builders, of uneven ones, and of very fast and slow ones."""
    many = QUICK if quick else BUILDERS
    seeds = [f"{seed} {number}" for number in range(many)]
    slack = 2 * (math.sqrt(0.16 / many) - math.sqrt(0.16 / BUILDERS))
    for what, uneven in (("3 to 25 %", None), ("30 %", ROUGH)):
        careers = [career(Hands(each, uneven=uneven), modules(each)) for each in seeds]
        share, bound = held(careers, 4), 0.03 + slack
        off = statistics.median(factor(each.before[3]) for each in careers)
        others = ", ".join(f"{held(careers, module):.3f}" for module in (1, 2, 3))
        yield Figure(
            what=f"share of ranges before module 4 that hold, builds differ by {what}",
            value=share,
            goal=f"0.80 +- {bound:.2f}",
            met=abs(share - 0.8) <= bound,
            detail=f"{many} builders; median factor off {off:.2f}; before modules 1 to 3: {others}",
        )
        for kind, where in (("rest", "of what is left, in the middle of module 4"), ("stage", "of its stages")):
            scores = [
                score
                for each in careers
                for score in each.scores
                if score.build == "module-4" and score.what == kind and (score.at > 0 or kind == "stage")
            ]
            share = sum(score.held for score in scores) / len(scores)
            yield Figure(
                what=f"share of ranges {where} that hold, builds differ by {what}",
                value=share,
                goal="0.75 to 0.90",
                met=0.75 <= share <= 0.9,
                detail=f"{len(scores)} ranges",
            )
    factors = []
    for each in seeds:
        kits = modules(each)
        factors.append(factor(career(fast_or_slow(each, kits), kits[:2]).before[1]))
    median = statistics.median(factors)
    yield Figure(
        what="factor by which the forecast of module 2 is off for the very fast and slow, median",
        value=median,
        goal=f"<= {FACTOR}",
        met=median <= FACTOR,
        detail=f"{sum(each <= FACTOR for each in factors) / many:.0%} within it",
    )
