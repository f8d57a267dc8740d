"""Ranges of time left: the distributions behind them, against reference libraries."""

from __future__ import annotations

import math
import random
import statistics

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from scipy import linalg, stats

from bench.estimate.forecast import (
    BEYOND,
    BuildOrdinal,
    Interval,
    Piece,
    StagePace,
    Work,
    pieces_of,
    quantile,
    range_of,
    share_below,
    terms_of,
    time_left,
    within_range,
    z_score,
)
from bench.estimate.hours import about, in_words
from bench.estimate.observations import BuildDone, GroupDone, GroupLeft, StageDone, StageLeft
from bench.estimate.pace_model import (
    BUILD,
    BUILDER,
    GROUP,
    SPREADS,
    STAGE_SPREAD,
    initial,
    observe,
    prior,
    without_parameter,
)
from bench.estimate.scoring import learn
from bench.estimate.snag_rate import MAKING, TRYING, Snags, chances

NOBODY = learn([]).pace
FIRST = BuildOrdinal(kit="Lamp wobbler", of_kit=1, of_all=1)


def stage_left(seconds: float, steps: int = 10, joints: float = 0.0, group: str = "resistor") -> StageLeft:
    return StageLeft(
        place=("Flat parts", "main"),
        groups=(GroupLeft(group=group, guess=seconds, squares=seconds * seconds / steps),),
        joints=joints,
        late=0.0,
    )


# -- log-normals --------------------------------------------------------------------------------
@given(st.floats(2, 12), st.floats(0.05, 1.2), st.floats(0.01, 0.99))
def test_one_piece_is_a_log_normal(mu: float, sigma: float, share: float) -> None:
    piece = [Piece(weight=0.7, mu=mu, sigma=sigma)]
    known = stats.lognorm(s=sigma, scale=math.exp(mu))
    assert quantile(piece, share) == pytest.approx(known.ppf(share), rel=2e-4)
    assert share_below(piece, known.ppf(share)) == pytest.approx(share, abs=1e-9)
    found = range_of(piece)
    assert (found.low, found.high) == pytest.approx((known.ppf(BEYOND), known.ppf(1 - BEYOND)), rel=2e-4)
    assert found.likely == pytest.approx(math.exp(mu), rel=2e-4)
    assert found.mean == pytest.approx(math.exp(mu + sigma**2 / 2))


def test_where_a_time_lies_is_told_in_standard_deviations() -> None:
    piece = [Piece(weight=1.0, mu=5.0, sigma=0.3)]
    assert z_score(piece, math.exp(5.3)) == pytest.approx(1.0)
    assert z_score(piece, 0.0) == pytest.approx(-z_score(piece, 1e30))
    assert within_range(1.17)
    assert not within_range(-1.18)


def test_nothing_left_takes_no_time() -> None:
    assert time_left([], NOBODY) == Interval(likely=0.0, low=0.0, high=0.0, mean=0.0)
    assert time_left([Work(build="a", begun=FIRST, stages=())], NOBODY).high == 0.0


# -- sums ---------------------------------------------------------------------------------------
def test_the_range_of_a_sum_is_that_of_many_sums_drawn_by_chance() -> None:
    """Two groups of one builder and one build, drawn from the belief itself, no snags."""
    chance = random.Random(4)
    works = [
        Work(build="a", begun=FIRST, stages=(stage_left(3000, 40), stage_left(1500, 6, group="tasks: Trim")))
    ]
    belief = initial()
    pieces = pieces_of(works, belief, Snags())
    drawn = []
    for _ in range(40_000):
        spread = chance.choices([*SPREADS], belief.weights())[0]
        total = 0.0
        shared: dict[str, float] = {}
        for guess, steps, group in ((3000, 40, "resistor"), (1500, 6, "tasks: Trim")):
            level = 0.0
            for name, factor in terms_of("a", FIRST, group).items():
                mean, variance = prior(name, spread)
                level += factor * shared.setdefault(name, chance.gauss(mean, math.sqrt(variance)))
            noise = math.log1p(belief.noise_of(group) / steps + STAGE_SPREAD**2)
            total += guess * math.exp(level + chance.gauss(-noise / 2, math.sqrt(noise)))
        drawn.append(total)
    drawn.sort()
    for share in (0.1, 0.5, 0.9):
        assert share_below(pieces, drawn[int(share * len(drawn))]) == pytest.approx(share, abs=0.025)
    assert range_of(pieces).mean == pytest.approx(sum(drawn) / len(drawn), rel=0.03)


def test_modules_of_one_builder_do_not_even_out_as_strangers_would() -> None:
    def breadth(many: int) -> float:
        works = [
            Work(
                build=f"b{n}",
                begun=BuildOrdinal(kit="k", of_kit=n + 1, of_all=n + 1),
                stages=(stage_left(5000),),
            )
            for n in range(many)
        ]
        found = time_left(works, NOBODY)
        return math.log(found.high / found.low)

    assert breadth(4) > 0.8 * breadth(1)


def test_a_repeat_takes_less_than_the_first() -> None:
    def likely(n: int) -> float:
        begun = BuildOrdinal(kit="k", of_kit=n, of_all=n)
        return time_left([Work(build="b", begun=begun, stages=(stage_left(5000),))], NOBODY).likely

    assert likely(1) > likely(2) > likely(4)


# -- belief -------------------------------------------------------------------------------------
def test_step_by_step_the_belief_becomes_that_of_least_squares_all_at_once() -> None:
    """Bayesian linear regression with the same priors, solved by scipy."""
    chance = random.Random(8)
    seen = []
    belief = initial()
    for number in range(30):
        group = chance.choice(("resistor", "diode", "tasks: Trim"))
        terms = terms_of(
            f"b{number % 4}", BuildOrdinal(kit="k", of_kit=1 + number % 4, of_all=1 + number % 4), group
        )
        ratio = chance.lognormvariate(0.2, 0.3)
        noise = math.log1p(belief.noise_of(group) / 5)
        seen.append((terms, math.log(ratio) + noise / 2, noise + STAGE_SPREAD**2))
        belief = observe(belief, terms, group, ratio, 5.0, 5, 0.4)
    names = list(belief.names)
    for component in belief.components:
        precision = [[0.0] * len(names) for _ in names]
        right = [0.0] * len(names)
        for at, name in enumerate(names):
            mean, variance = prior(name, component.spread)
            precision[at][at] += 1 / variance
            right[at] += mean / variance
        for terms, value, variance in seen:
            for name, factor in terms.items():
                right[names.index(name)] += factor * value / variance
                for other, more in terms.items():
                    precision[names.index(name)][names.index(other)] += factor * more / variance
        assert component.mean == pytest.approx(list(linalg.solve(precision, right)), abs=1e-9)
        covariance = linalg.inv(precision)
        for row, line in enumerate(component.covariance):
            assert line == pytest.approx(list(covariance[row][: row + 1]), abs=1e-9)


@pytest.mark.parametrize("group", ["resistor", "tasks: Trim"])
def test_the_chance_in_a_step_is_the_more_the_more_the_steps_were_seen_to_scatter(group: str) -> None:
    """A thousand steps that scatter by a fifth outweigh the guess: at most 0.2 squared of it is chance."""

    def seen(scatter: float, steps: int) -> float:
        terms = terms_of("a", FIRST, group)
        return observe(initial(), terms, group, 1.0, steps, steps, scatter).noise_of(group)

    assert seen(0.0, 10) < seen(1.0, 10) < seen(4.0, 10) < seen(40.0, 10)
    assert 0.5 * 0.2**2 < seen(0.2**2 * 1000, 1000) < 1.1 * 0.2**2


def test_a_finished_build_is_forgotten_and_the_rest_stays() -> None:
    terms = terms_of("b", FIRST, "resistor")
    before = observe(initial(), terms, "resistor", 1.5, 8.0, 8, 0.5)
    after = without_parameter(before, BUILD + "b")
    assert BUILD + "b" not in after.names
    for old, new in zip(before.components, after.components, strict=True):
        for name in (BUILDER, GROUP + "resistor"):
            here, there = [(before.names[name], 1.0)], [(after.names[name], 1.0)]
            assert old.moments(here) == pytest.approx(new.moments(there))
    assert without_parameter(after, BUILD + "b") is after


# -- snags --------------------------------------------------------------------------------------
@given(st.floats(0.01, 15), st.floats(1.0, 6.0))
def test_chances_of_a_count_are_the_negative_binomial_s(mean: float, over: float) -> None:
    """scipy's nbinom has p = size / (size + mean)."""
    found = chances(mean, mean * over, most=400)
    if over > 1.001:
        size = mean / (over - 1)
        known = stats.nbinom(size, size / (size + mean))
    else:
        known = stats.poisson(mean)
    assert math.fsum(found) == pytest.approx(1.0)
    assert found[:-1] == pytest.approx([known.pmf(n) for n in range(len(found) - 1)], abs=1e-4)


def test_snags_seen_outweigh_the_guess() -> None:
    often, never = Snags(), Snags()
    for number in range(4):
        often = often.with_stage(f"b{number}", 100, 0, (600.0,) * 8)
        never = never.with_stage(f"b{number}", 100, 0, ())
    assert often.expected(MAKING, "next", 100)[0] == pytest.approx(8, rel=0.2)
    assert never.expected(MAKING, "next", 100)[0] < 0.45 < Snags().expected(MAKING, "next", 100)[0]
    assert often.cost()[0] == pytest.approx(600, rel=0.25)


def test_a_build_with_many_snags_so_far_lets_more_be_expected() -> None:
    snags = Snags()
    for number in range(3):
        snags = snags.with_stage(f"b{number}", 100, 0, (300.0,) * 3)
    snags = snags.with_stage("bad", 100, 0, (300.0,) * 12)
    assert snags.expected(MAKING, "bad", 100)[0] > 1.3 * snags.expected(MAKING, "next", 100)[0]


def test_no_work_brings_no_snags_and_counts_scatter_more_than_by_chance_alone() -> None:
    """A negative binomial's variance is above its mean."""
    snags = Snags().with_stage("a", 100, 0, (300.0, 300.0))
    for where in (MAKING, TRYING):
        assert snags.expected(where, "a", 0) == (0.0, 0.0)
        for joints in (1, 100, 1000):
            mean, variance = snags.expected(where, "a", joints)
            assert 0 < mean < variance


def test_a_stage_without_joints_tells_of_snags_found_by_looking_and_one_with_joints_of_the_iron() -> None:
    looked, made = (Snags().with_stage("a", *joints, (300.0,) * 5) for joints in ((0, 50), (50, 0)))
    for snags, where, other in ((looked, TRYING, MAKING), (made, MAKING, TRYING)):
        assert snags.expected(where, "a", 50)[0] > 2.0
        assert snags.expected(other, "a", 50) == Snags().expected(other, "a", 50)


def test_what_many_snags_cost_is_told_as_the_log_normal_that_they_came_from() -> None:
    """Mean and variance by scipy; the doubt about the mean becomes that of a mean of so many."""
    drawn = stats.lognorm(0.7, scale=240.0).rvs(2000, random_state=5)
    mean, variance, doubt = Snags().with_stage("a", 100, 0, tuple(map(float, drawn))).cost()
    known, spread = stats.lognorm(0.7, scale=240.0).stats("mv")
    assert mean == pytest.approx(known, rel=0.05)
    assert variance == pytest.approx(spread, rel=0.2)
    assert doubt == pytest.approx((0.7 * known) ** 2 / 2000, rel=0.2)


def moments(pieces: list[Piece]) -> tuple[float, float]:
    """Mean and variance of a mixture of log-normals, by scipy."""
    total = math.fsum(piece.weight for piece in pieces)
    mean = square = 0.0
    for piece in pieces:
        first, spread = stats.lognorm(piece.sigma, scale=math.exp(piece.mu)).stats("mv")
        mean += piece.weight / total * first
        square += piece.weight / total * (spread + first * first)
    return mean, square - mean * mean


@pytest.mark.parametrize("joints", [30, 100, 300, 3000])
def test_snags_add_the_mean_and_the_variance_of_a_compound_sum(joints: int) -> None:
    """Laws of total expectation and of total variance; all costs share the doubt about their mean."""
    snags = Snags()
    for number in range(4):
        snags = snags.with_stage(f"b{number}", 100, 0, (200.0, 500.0))
    count, variance = snags.expected(MAKING, "a", joints)
    each, scatter, doubt = snags.cost()
    bare, whole = (
        moments(
            pieces_of([Work(build="a", begun=FIRST, stages=(stage_left(600, joints=many),))], initial(), snags)
        )
        for many in (0, joints)
    )
    assert whole[0] - bare[0] == pytest.approx(count * each, rel=0.02)
    added = count * scatter + variance * each**2 + (count**2 + variance) * doubt
    assert whole[1] - bare[1] == pytest.approx(added, rel=0.1)


# -- learning from what was done ----------------------------------------------------------------
def build_done(name: str, seconds: float, *, day: int = 1, finished: bool = True) -> BuildDone:
    stages = tuple(
        StageDone(
            place=(f"Stage {number}", "main"),
            ended=f"2031-02-{day:02d}T1{number}:00:00.000Z",
            groups=(
                GroupDone(
                    group="resistor", guess=600, squares=36_000, seconds=seconds, time_squares=seconds**2 / 10,
                    products=seconds * 60, pieces=10,
                ),
            ),
            seconds=seconds,
            joints=20,
            late=0,
        )
        for number in range(4)
    )  # fmt: skip
    return BuildDone(
        build=name, kit="k", started=f"2031-02-{day:02d}T09:00:00.000Z", stages=stages, finished=finished
    )


def test_a_builder_twice_as_slow_as_the_guess_is_known_for_it_after_one_module() -> None:
    known = learn([build_done("a", 1200)])
    begun = BuildOrdinal(kit="another", of_kit=1, of_all=2)
    found = time_left([Work(build="b", begun=begun, stages=(stage_left(6000),))], known.pace)
    assert found.low < 12_000 < found.high
    assert found.likely == pytest.approx(12_000, rel=0.2)
    assert known.modules == 1


def test_keys_pressed_without_work_teach_nothing() -> None:
    pressed = learn([build_done("a", 8)])
    assert not pressed.scores
    assert pressed.pace.belief == NOBODY.belief


def test_after_three_builds_that_differ_much_a_range_is_nearly_that_of_student_s_t() -> None:
    """Prediction interval for one new observation, mean and deviation unknown: t s sqrt(1 + 1/n) (Hahn 1969).

    Three builds alone would give that; the starting guess makes it narrower.
    """
    logs = (-0.3, 0.0, 0.3)
    known = learn([build_done(f"b{n}", 600 * math.exp(each), day=n + 1) for n, each in enumerate(logs)])
    begun = BuildOrdinal(kit="another", of_kit=1, of_all=4)
    found = time_left([Work(build="next", begun=begun, stages=(stage_left(20_000, 400),))], known.pace)
    students = stats.t(2).ppf(0.9) * statistics.stdev(logs) * math.sqrt(1 + 1 / 3)
    assert 0.7 < math.log(found.high / found.low) / 2 / students < 1.1


def test_a_steady_builder_soon_gets_narrow_ranges() -> None:
    even = learn([build_done(f"b{n}", 600, day=n + 1) for n in range(6)])
    assert sum(score.held for score in even.scores) / len(even.scores) > 0.9
    begun = BuildOrdinal(kit="another", of_kit=1, of_all=7)
    found = time_left([Work(build="next", begun=begun, stages=(stage_left(20_000, 400),))], even.pace)
    assert found.high / found.low < 1.5


@pytest.mark.parametrize("pace", [0.4, 2.0])
def test_how_wide_a_range_is_depends_on_how_even_the_work_was_and_not_on_how_fast(pace: float) -> None:
    """Noise is relative: another unit of the guess changes no ratio."""

    def width(pace: float) -> float:
        known = learn([build_done(f"b{n}", 600 * pace, day=n + 1) for n in range(3)])
        begun = BuildOrdinal(kit="another", of_kit=1, of_all=4)
        found = time_left([Work(build="next", begun=begun, stages=(stage_left(600),))], known.pace)
        return math.log(found.high / found.low)

    assert width(pace) == pytest.approx(width(1.0), rel=0.1)


def test_forecasts_use_nothing_that_came_later() -> None:
    early = [build_done("a", 900, day=1), build_done("b", 700, day=2)]
    later = [*early, build_done("c", 200, day=3), build_done("d", 4000, day=4)]
    before, after = learn(early).scores, learn(later).scores
    assert after[: len(before)] == before


def test_what_is_settled_need_not_be_gone_through_again() -> None:
    early = [build_done("a", 900, day=1), build_done("b", 700, day=2)]
    later = [*early, build_done("c", 200, day=3), build_done("d", 4000, day=4, finished=False)]
    settled = learn(early).settled
    assert len(settled.stages) == 8
    assert learn(later, settled) == learn(later)
    assert len(learn(later).settled.stages) == 12


def test_what_is_settled_is_not_used_when_a_log_was_corrected() -> None:
    settled = learn([build_done("a", 900)]).settled
    corrected = [build_done("a", 1200)]
    assert learn(corrected, settled) == learn(corrected)


@pytest.mark.parametrize("day", [1, 3])
def test_what_is_settled_is_not_used_when_an_earlier_build_turns_up(day: int) -> None:
    early = [build_done("a", 900, day=2), build_done("b", 700, day=4)]
    settled = learn(early).settled
    assert learn([*early, build_done("c", 200, day=day)], settled) == learn(
        [*early, build_done("c", 200, day=day)]
    )


def test_a_build_under_way_counts_and_what_is_left_of_it_is_its_own() -> None:
    slow = learn([build_done("a", 600, day=1), build_done("b", 1500, day=2, finished=False)]).pace
    here, other = (
        time_left([Work(build=name, begun=slow.begun(name, "k"), stages=(stage_left(600),))], slow)
        for name in ("b", "c")
    )
    assert here.likely > other.likely
    assert isinstance(slow, StagePace)


# -- words --------------------------------------------------------------------------------------
@given(st.floats(0, 1e6))
@example(90.0)
@example(95.0)
def test_a_time_in_words_is_short_and_near(seconds: float) -> None:
    words = about(seconds)
    assert len(words) <= 8
    amount, unit, *more = words.split()
    told = float(amount) * {"s": 1, "min": 60, "h": 3600}[unit] + 60 * float(more[0] if more else 0)
    assert told == pytest.approx(seconds, rel=0.28, abs=6)


def test_a_range_in_words_names_its_middle_and_its_ends() -> None:
    hours = Interval(likely=12_000, low=9_000, high=17_000, mean=12_500)
    assert in_words(hours) == "about 3 h 20 (2 h 30 to 4 h 40)"
