"""Ranges hold about as often as they promise, on a few simulated builders.

`python -m tests.benchmarks forecast` measures it on 500 others, of another simulation, for each seed.
"""

from __future__ import annotations

import functools
import math
import statistics

import pytest

from bench.estimate.base_times import stages_left
from bench.estimate.forecast import Work, pieces_of, time_left, within_range, z_score
from bench.estimate.scoring import Score, learn
from tests.benchmarks.forecast import FACTOR, career, factor, fast_or_slow, modules
from tests.support.forecast_plans import built, modules_of
from tests.support.simulated_builders import Builder
from tests.support.simulated_builders import career as of_plans

BUILDERS = 24
SCORED = 96
"""Builders whose ranges are scored: fewer give a share that says little of 0.7 or 0.8."""


@functools.cache
def scores() -> tuple[tuple[Score, ...], ...]:
    return tuple(learn(built(seed)).scores for seed in range(1, 1 + SCORED))


def share(module: int, what: str, *, at_start: bool | None = None) -> float:
    """How often ranges of this sort held in this module of each builder, from 1."""
    chosen = [
        score.held
        for each in scores()
        for score in each
        if score.build == f"build-{module}"
        and score.what == what
        and (at_start is None or (score.at == 0) == at_start)
    ]
    return sum(chosen) / len(chosen)


def test_after_three_modules_ranges_of_the_rest_of_a_module_hold() -> None:
    assert 0.7 <= share(4, "rest") <= 0.9


def test_on_the_first_module_ranges_never_hold_less_than_seven_times_out_of_ten() -> None:
    assert share(1, "rest", at_start=True) >= 0.70
    assert share(1, "rest") >= 0.70


@pytest.mark.parametrize("module", [1, 2, 3, 4])
def test_ranges_of_single_stages_hold_about_as_often(module: int) -> None:
    assert 0.74 <= share(module, "stage") <= 0.9


def test_a_builder_three_times_faster_or_slower_than_the_guess_is_known_after_one_module() -> None:
    factors = []
    for seed in range(BUILDERS):
        kits = modules(f"far {seed}")
        factors.append(factor(career(fast_or_slow(f"far {seed}", kits), kits[:2]).before[1]))
    assert statistics.median(factors) <= FACTOR


def test_ranges_grow_narrow_as_the_own_data_outweigh_the_guess() -> None:
    def breadth(seed: int, known: int) -> float:
        plan = modules_of(Builder(seed))[known]
        pace = learn(built(seed)[:known]).pace
        work = Work(build="next", begun=pace.begun("next", plan.kit), stages=stages_left(plan, frozenset()))
        found = time_left([work], pace)
        return found.high / found.low

    at_first, later = (statistics.median(breadth(seed, known) for seed in range(1, 16)) for known in (0, 3))
    assert math.log(later) < 2 / 3 * math.log(at_first)


def test_a_range_from_the_plan_is_the_one_that_was_scored() -> None:
    """The replay knows a module by what was done of it; a builder asks by plan and progress: both agree."""
    builder = Builder(3)
    built_one_by_one = of_plans(builder, modules_of(builder))
    done = built(3)
    name, plan, _ = built_one_by_one[3]
    pace = learn(done[:3]).pace
    begun = pace.begun(name, plan.kit)
    pieces = pieces_of(
        [Work(build=name, begun=begun, stages=stages_left(plan, frozenset()))], pace.belief, pace.snags
    )
    seconds = sum(stage.seconds for stage in done[3].stages)
    off = z_score(pieces, seconds)
    scored = next(
        score for score in learn(done).scores if score.build == name and score.what == "rest" and score.at == 0
    )
    assert off == pytest.approx(scored.z_score, abs=0.01)  # steps recorded together count as one piece
    assert within_range(off) == scored.held
    found = time_left([Work(build=name, begun=begun, stages=stages_left(plan, frozenset()))], pace)
    assert (found.low <= seconds <= found.high) == scored.held
