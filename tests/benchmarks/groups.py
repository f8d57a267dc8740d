"""How often the range of time left for units side by side holds, on builders who work both ways.

Each builds three kits, alone or three units side by side, then one kit side by side, which is forecast before
it begins. `hands` knows nothing of the forecast's model: a later unit is spared looking things up, and its
handling is quicker by a share of the builder's own.
"""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Iterator

from msgspec.structs import replace

from bench.estimate.base_times import stages_left
from bench.estimate.forecast import Interval, Work, time_left
from bench.estimate.log_observations import observations_of
from bench.estimate.observations import BuildDone
from bench.estimate.scoring import learn
from tests.benchmarks import Figure
from tests.benchmarks.forecast import factor, modules
from tests.benchmarks.hands import Hands, side_by_side

BUILDERS, QUICK, UNITS = 500, 60, 3


def before_a_group(seed: str) -> tuple[Interval, float, float]:
    """The range before the fourth kit, three units side by side, and the seconds it took; what it saved."""
    hands, chance = Hands(seed), random.Random(f"ways {seed}")
    ways = [1, 1, 1]
    for at in chance.sample(range(3), chance.choice((1, 2))):
        ways[at] = UNITS
    done: list[BuildDone] = []
    met: dict[str, int] = {}
    for number, (plan, units) in enumerate(zip(modules(seed), (*ways, UNITS), strict=True), 1):
        before = met.get(plan.kit, 0)
        met[plan.kit] = before + 1
        if number == 4:
            pace = learn(done).pace
            places = pace.begun_beside(plan.kit, "next", UNITS)
            left = stages_left(plan, frozenset())
            works = [Work(build="next", begun=place, stages=left) for place in places]
            found = time_left(works, pace)
        took = []
        for unit, events in enumerate(side_by_side(hands, plan, before, number, units)):
            name = f"module-{number}-{unit}"
            one = observations_of(events, plan, name)[0]
            done.append(replace(one, group=f"group-{number}" if units > 1 else "", place=unit))
            took.append(sum(stage.seconds for stage in one.stages))
    return found, sum(took), 1 - statistics.mean(took[1:]) / took[0]


def run(seed: int, quick: bool = False) -> Iterator[Figure]:
    """The share of ranges for three units side by side that hold."""
    many = QUICK if quick else BUILDERS
    slack = 2 * (math.sqrt(0.16 / many) - math.sqrt(0.16 / BUILDERS))
    found = [before_a_group(f"{seed} {number}") for number in range(many)]
    share = sum(each.low <= seconds <= each.high for each, seconds, _ in found) / many
    off = statistics.median(factor((each, seconds)) for each, seconds, _ in found)
    saved = statistics.median(each for _, _, each in found)
    yield Figure(
        what="share of ranges before three units side by side that hold",
        value=share,
        goal=f"0.80 +- {0.03 + slack:.2f}",
        met=abs(share - 0.8) <= 0.03 + slack,
        detail=f"{many} builders; median factor off {off:.2f}; a later unit saved {saved:.0%} in the median",
    )
