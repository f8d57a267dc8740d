"""What units built side by side save is learned, and the range for a group holds."""

from __future__ import annotations

from bench.estimate.base_times import stages_left
from bench.estimate.forecast import Work, time_left
from bench.estimate.observations import BuildDone, GroupDone, StageDone
from bench.estimate.scoring import learn
from tests.benchmarks.forecast import modules
from tests.benchmarks.groups import before_a_group

BUILDERS = 40


def test_the_range_for_three_units_side_by_side_holds_about_as_often_as_it_says() -> None:
    """The goal, 77 to 83 in 100, is measured on 500: `python -m tests.benchmarks groups`."""
    found = [before_a_group(f"9 {number}")[:2] for number in range(BUILDERS)]
    held = sum(each.low <= seconds <= each.high for each, seconds in found)
    assert 0.65 <= held / BUILDERS <= 0.95


def unit(number: int, place: int, share: float) -> BuildDone:
    """A build whose three stages took this share of what was guessed."""
    stages = tuple(
        StageDone(
            place=(f"Stage {at}", ""),
            ended=f"2031-01-{number:02}T1{at}:0{place}:00.000Z",
            groups=(
                GroupDone(
                    group="resistors", guess=900, squares=27_000, seconds=900 * share,
                    time_squares=27_000 * share * share, products=27_000 * share, pieces=30,
                ),
            ),
            seconds=900 * share,
            joints=60,
            late=0,
        )
        for at in range(3)
    )  # fmt: skip
    return BuildDone(
        build=f"b{number}-{place}", kit=f"kit {number}", started=f"2031-01-{number:02}T09:0{place}:00.000Z",
        stages=stages, finished=True, group=f"g{number}", place=place,
    )  # fmt: skip


def likely(builds: list[BuildDone], units: int) -> float:
    plan = modules("any")[0]
    pace = learn(builds).pace
    places = pace.begun_beside(plan.kit, "next", units)
    left = stages_left(plan, frozenset())
    return time_left([Work(build="next", begun=each, stages=left) for each in places], pace).likely


def test_what_later_units_save_is_learned() -> None:
    saving = [unit(number, place, 0.5 if place else 1.0) for number in range(1, 6) for place in range(3)]
    equal = [unit(number, place, 1.0) for number in range(1, 6) for place in range(3)]
    much = likely(saving, 3) / likely(saving, 1)
    little = likely(equal, 3) / likely(equal, 1)
    assert 1.8 < much < 2.4
    assert 2.7 < little < 3.1


def test_units_side_by_side_are_one_repeat_and_not_three() -> None:
    pace = learn([unit(1, place, 1.0) for place in range(3)]).pace
    assert {each.of_kit for each in pace.builds.values()} == {1}
    assert [pace.builds[f"b1-{place}"].later for place in range(3)] == [False, True, True]
    assert pace.begun("", "kit 1").of_kit == 2
