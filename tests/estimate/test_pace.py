"""What a build's log tells of speed, from events to seconds by kind."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from bench.estimate.base_times import COUNTING, guess_seconds, guesses, late_exposures, stages_left, step_left
from bench.estimate.log_observations import observations_of
from bench.estimate.observations import AT_HOLD, AT_IRON, LATER, LOOKING, BuildDone, GroupDone
from bench.log import events as ev
from bench.log.fold import fold
from tests.support.forecast_plans import built, modules_of, plans
from tests.support.simulated_builders import Builder, career
from tests.support.story_bench import DIODES, FLAT, HOLD, LAST, PLAN, RESISTORS, TALL, Bench, whole_build


def told(bench: Bench) -> BuildDone:
    return observations_of(bench.events, PLAN, "a")[0]


def group(done: BuildDone, name: str) -> GroupDone:
    return next(each for stage in done.stages for each in stage.groups if each.group == name)


def counted(bench: Bench, after: float, **fields: Any) -> None:
    bench.add(ev.JointsCounted, after, step=RESISTORS.key, counted=20, expected=20, **fields)


def do(bench: Bench, step: Any, seconds: float) -> int:
    bench.at(step.stage, step.board)
    return bench.add(
        ev.Done, seconds, items=step.items, value=step.value, refs=step.refs, joints=step.joints, step=step.key
    )


def test_time_goes_to_the_kind_of_the_step_on_screen() -> None:
    bench = Bench()
    do(bench, DIODES, 100)
    do(bench, RESISTORS, 250)
    done = told(bench)
    assert (group(done, "diode").seconds, group(done, "resistor").seconds) == (100, 250)
    assert {kind.kind: (kind.seconds, kind.parts, kind.joints) for kind in done.kinds} == {
        "diode": (100, 3, 6),
        "resistor": (250, 5, 10),
    }
    assert not done.finished
    assert not done.stages[0].whole


def test_kinds_are_counted_by_what_was_soldered_in_time_of_its_own() -> None:
    bench = Bench()
    do(bench, DIODES, 100)
    do(bench, RESISTORS, 0)
    pushed = next(step for step in PLAN.steps if step.kind == "IC" and step.action != "solder")
    do(bench, pushed, 60)
    (only,) = told(bench).kinds
    assert (only.kind, only.parts, only.joints) == (DIODES.kind, len(DIODES.items), DIODES.joints)
    assert only.seconds == pytest.approx(100)


def test_readings_and_counts_are_told_with_how_many_were_off() -> None:
    bench = Bench()
    for verdict in ("in", "out", ""):
        bench.add(ev.ReadingTaken, 10, point="TP1", text="5", expect="5 V", verdict=verdict)
    counted(bench, 10)
    bench.at(TALL, "main")
    bench.add(ev.JointsCounted, 10, step=RESISTORS.key, counted=19, expected=20)
    done = told(bench)
    assert (done.readings, done.readings_out, done.counts, done.counts_off) == (2, 1, 2, 1)
    assert not done.finished


def test_breaks_are_no_work_and_a_long_silence_is_none_until_it_is_settled() -> None:
    bench = Bench()
    bench.at(FLAT, "main")
    bench.add(ev.BreakBegan, 60, step=DIODES.key)
    bench.add(ev.BreakEnded, 3000, step=DIODES.key)
    bench.add(ev.Noted, 40, text="x", step=DIODES.key)
    do(bench, DIODES, 2000)
    assert group(told(bench), "diode").seconds == 100


def test_what_a_snag_cost_is_taken_from_its_step_and_kept_apart() -> None:
    bench = Bench()
    bench.at(FLAT, "main")
    snag = bench.add(ev.Snagged, 30, what="bridge", part="D2", step=DIODES.key)
    bench.add(ev.Mended, 300, of=snag, fix="wick", minutes=5, step=DIODES.key)
    do(bench, DIODES, 70)
    done = told(bench)
    assert group(done, "diode").seconds == pytest.approx(100)
    assert done.stages[0].costs == (300.0,)
    assert done.stages[0].seconds == 400
    assert [(each.kind, each.where, each.minutes) for each in done.snags] == [("diode", AT_IRON, 5.0)]


def test_a_snag_cannot_cost_more_than_was_spent() -> None:
    bench = Bench()
    bench.at(FLAT, "main")
    bench.add(ev.Snagged, 30, what="lost the part", minutes=600, fix="found", step=DIODES.key)
    do(bench, DIODES, 70)
    done = told(bench)
    assert group(done, "diode").seconds == pytest.approx(10)
    assert list(done.stages[0].costs) == pytest.approx([90])


def test_steps_recorded_together_share_their_time() -> None:
    bench = Bench()
    do(bench, DIODES, 300)
    do(bench, RESISTORS, 1)
    done = told(bench)
    guess = guesses(PLAN)
    share = guess[DIODES.key] / (guess[DIODES.key] + guess[RESISTORS.key])
    assert group(done, "diode").seconds == pytest.approx(301 * share)
    assert group(done, "resistor").seconds == pytest.approx(301 * (1 - share))


def test_counting_joints_is_work_of_its_own() -> None:
    bench = Bench()
    do(bench, DIODES, 100)
    counted(bench, 45)
    assert group(told(bench), COUNTING).seconds == 45


def test_joints_that_nobody_counted_teach_nothing_of_counting() -> None:
    bench = Bench()
    do(bench, DIODES, 100)
    do(bench, RESISTORS, 60)
    assert [each.group for stage in told(bench).stages for each in stage.groups] == ["diode", "resistor"]


def test_what_is_taken_back_teaches_nothing() -> None:
    bench = Bench()
    n = do(bench, DIODES, 100)
    bench.add(ev.Undone, 5, of=n, step=RESISTORS.key)
    assert told(bench).stages == ()


def test_bench_time_is_that_of_the_progress() -> None:
    for events, plan in ((whole_build(), PLAN), *((e, p) for _, p, e in career(Builder(5), plans()))):
        done, progress = observations_of(events, plan, "a")
        assert progress == fold(events)
        assert done.seconds == progress.bench_seconds
    in_stages = sum(stage.seconds for stage in done.stages)
    assert in_stages == pytest.approx(done.seconds)
    assert done.finished


@pytest.mark.parametrize(
    ("place", "where"),
    [((FLAT, "main"), AT_IRON), ((HOLD, ""), AT_HOLD), ((LAST, "front"), LOOKING), (None, LATER)],
)
def test_where_a_snag_came_to_light(place: tuple[str, str] | None, where: str) -> None:
    bench = Bench()
    step = next((each for each in PLAN.steps if (each.stage, each.board) == place), None)
    bench.at(*(place or ("", "")))
    bench.add(ev.Snagged, 10, what="x", part="no such part", step=step.key if step else "")
    (snag,) = told(bench).snags
    assert (snag.where, snag.kind) == (where, "")


def test_a_snag_without_a_part_is_of_the_kind_at_work() -> None:
    bench = Bench()
    step = next(each for each in PLAN.steps if each.kind == "box header")
    bench.at(TALL, "main")
    bench.add(ev.Snagged, 10, what="crooked", step=step.key)
    bench.add(ev.Snagged, 10, what="both", part="see R31, and C5", step=step.key)
    assert [snag.kind for snag in told(bench).snags] == ["box header", "resistor"]


# -- what is left -------------------------------------------------------------------------------
def test_what_is_left_shrinks_to_nothing() -> None:
    for plan in (PLAN, *plans()):
        everything = stages_left(plan, frozenset())
        assert sum(stage.joints for stage in everything) == plan.joints
        guess = guesses(plan)
        total = sum(group.guess for stage in everything for group in stage.groups if group.group != COUNTING)
        assert total == pytest.approx(sum(guess.values()))
        done = {item for step in plan.steps for item in step.items}
        assert stages_left(plan, done) == ()
        last = plan.steps[-1]
        (rest,) = stages_left(plan, done - set(last.items))
        assert rest.place == (last.stage, last.board)
        assert step_left(last, done, 10.0) is None


def test_twice_as_many_parts_take_twice_as_long_beyond_what_the_step_itself_takes() -> None:
    for step in PLAN.steps:
        one, two, four = (
            guess_seconds(replace(step, items=step.items[:1] * many, refs=(), joints=2 * many))
            for many in (1, 2, 4)
        )
        assert two > one > 0, step.action
        assert four - two == pytest.approx(2 * (two - one)), step.action


def test_half_a_step_is_half_its_guess() -> None:
    left = step_left(DIODES, {DIODES.items[0]}, 90.0)
    assert left is not None
    assert (left.groups[0].guess, left.groups[0].squares, left.joints) == (60.0, 3600.0, 4.0)


def test_every_joint_s_hidden_faults_come_to_light_after_the_first_was_made() -> None:
    for plan in plans():
        late = late_exposures(plan)
        assert sum(late) == pytest.approx(plan.joints)
        first = next(at for at, stage in enumerate(plan.stages) if stage.joints)
        assert not any(late[: first + 1])


def test_a_simulated_build_is_what_its_log_says() -> None:
    plan = modules_of(Builder(2))[0]
    done = built(2)[0]
    assert done.finished
    assert sum(stage.joints for stage in done.stages) == plan.joints
    assert sum(kind.joints for kind in done.kinds) == plan.joints
    assert all(stage.whole for stage in done.stages)


def test_a_part_that_the_kit_opened_again_is_no_longer_open_once_it_is_done_again() -> None:
    bench = Bench()
    do(bench, DIODES, 100)
    item = DIODES.items[0]
    bench.add(ev.KitChanged, 10, opens=(item,), why=("another value",))
    assert set(fold(bench.events).reopened) == {item}
    do(bench, DIODES, 50)
    assert not fold(bench.events).reopened
    assert fold(bench.events).done.issuperset(DIODES.items)
