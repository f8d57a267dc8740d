"""A build at the bench: actions, refusals, resuming."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.errors import LogError, Refused, SoldersideError
from bench.kit.kit import Rail
from bench.log.file import LogFile
from bench.session.build import Build
from tests.support.samples import HandClock, small_build, small_kit, small_plan


def make_build(folder: Path, clock: HandClock) -> Build:
    made = small_build(folder, clock)
    made.opened()
    return made


def reopened(build: Build, clock: HandClock) -> Build:
    folder = build.log.folder
    build.log.close()
    return small_build(folder, clock)


def do_steps(build: Build, count: int) -> None:
    for _ in range(count):
        build.done()


def test_done_goes_to_the_next_step_and_counts_joints(build: Build) -> None:
    assert build.view().step_number == 1
    build.done()
    view = build.view()
    assert view.step is not None
    assert (view.step.value, view.step_number, view.joints_done) == ("47k", 2, 6)
    assert view.value_changed


def test_one_part_at_a_time_keeps_the_place_inside_a_step(build: Build, clock: HandClock) -> None:
    build.done(1)
    again = reopened(build, clock)
    view = again.view()
    assert (view.refs_done, view.refs_left, view.joints_done) == (("R1",), ("R2", "R3"), 2)
    again.done()
    assert again.view().joints_done == 6


def test_two_boards_may_use_the_same_designators(build: Build) -> None:
    do_steps(build, 3)
    view = build.view()
    assert view.step is not None
    assert (view.step.board, view.refs_left) == ("control", ("R1", "R2"))


def test_a_build_opens_again_at_the_same_step(build: Build, clock: HandClock) -> None:
    do_steps(build, 2)
    step = build.next_step
    again = reopened(build, clock)
    assert again.next_step == step
    assert again.progress.done == build.progress.done


def test_undo_returns_to_the_step_and_says_what_it_took_back(build: Build) -> None:
    first = build.next_step
    build.done()
    assert build.undo() == "4k7 R1 R2 R3"
    assert build.next_step == first
    with pytest.raises(Refused, match="nothing to undo"):
        build.undo()


def test_what_is_held_back_waits_and_comes_back(build: Build) -> None:
    build.hold_back("bent leg")
    assert build.next_step is not None
    assert build.next_step.value == "47k"
    build.take_up()
    assert build.next_step.value == "4k7"


def test_a_hold_point_waits_for_what_was_held_back_unless_a_reason_is_given(build: Build) -> None:
    build.hold_back("missing")
    do_steps(build, 3)
    assert [held.value for held in build.view().held_up_by] == ["4k7"]
    with pytest.raises(Refused, match="held back"):
        build.done()
    with pytest.raises(Refused, match="reason"):
        build.override_hold("  ")
    build.override_hold("not on this rail")
    with pytest.raises(Refused, match="reading"):
        build.done()
    build.reading("1k2")
    build.done()
    assert build.next_step is not None
    assert build.next_step.stage == "Trim"


def test_a_check_of_a_hold_point_cannot_be_put_off(build: Build) -> None:
    do_steps(build, 4)
    with pytest.raises(Refused, match="hold point"):
        build.hold_back()


def test_joints_are_asked_for_once_and_the_answer_is_compared(build: Build) -> None:
    do_steps(build, 2)
    assert build.view().count_for is None
    build.done()
    assert build.view().count_for == ("Flat parts", "main")
    expected, _ = build.count_joints(9)
    assert expected == 10
    assert build.view().count_for is None
    assert build.progress.counts[0].counted == 9
    build.undo()
    assert build.view().count_for == ("Flat parts", "main")


def test_joints_of_held_back_parts_are_not_expected(build: Build) -> None:
    build.hold_back()
    do_steps(build, 2)
    expected, _ = build.count_joints(4)
    assert expected == 4


def test_the_whole_build_ends_and_says_so(build: Build) -> None:
    do_steps(build, 4)
    build.reading("1k2")
    do_steps(build, 2)
    view = build.view()
    assert view.finished
    assert view.step is None
    assert all(stage.state == "done" for stage in view.stages)
    with pytest.raises(Refused):
        build.done()


def test_bench_time_runs_between_keys_and_stops_on_a_break(build: Build, clock: HandClock) -> None:
    clock.work(90)
    assert build.timer.bench_seconds() == pytest.approx(90)
    build.break_begin()
    clock.work(600)
    assert build.timer.bench_seconds() == pytest.approx(90)
    with pytest.raises(Refused, match="break"):
        build.done()
    build.break_end()
    clock.work(10)
    build.done()
    assert build.progress.bench_seconds == pytest.approx(100)


@pytest.mark.parametrize(("worked", "bench"), [(True, 2000.0), (False, 0.0)])
def test_a_long_time_without_a_key_is_asked_about(
    build: Build, clock: HandClock, worked: bool, bench: float
) -> None:
    clock.work(800)
    assert build.timer.gap() == 0
    clock.work(1200)
    assert build.timer.gap() == pytest.approx(2000)
    build.settle_gap(worked=worked)
    assert build.timer.gap() == 0
    assert build.progress.bench_seconds == pytest.approx(bench)


def test_a_closed_lid_is_asked_about_too(build: Build, clock: HandClock) -> None:
    clock.work(20)
    clock.sleep(7200)
    assert build.timer.gap() == pytest.approx(7220)
    build.settle_gap(worked=False)
    assert build.progress.bench_seconds == pytest.approx(0)


def test_a_second_window_shows_and_records_nothing(build: Build, clock: HandClock) -> None:
    build.done()
    second = small_build(build.log.folder, clock)
    assert second.view().read_only
    assert second.next_step == build.next_step
    with pytest.raises(LogError):
        second.done()
    assert second.progress == build.progress


def test_nothing_is_shown_as_done_that_could_not_be_written(
    build: Build, monkeypatch: pytest.MonkeyPatch
) -> None:
    step = build.next_step

    def broken(_: int) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patch:
        patch.setattr("os.fsync", broken)
        with pytest.raises(LogError):
            build.done()
    assert build.next_step == step
    build.done()
    assert build.next_step != step


def test_notes_snags_and_the_rest_are_kept(build: Build) -> None:
    build.note("R1 is hard to reach")
    build.snag("cold joint", "R2", 4.0)
    build.mend(build.progress.snags[0].n, "reflowed", 6.0)
    build.substitute("R4", "43k", "out of 47k")
    build.erratum("R1 is printed R7")
    build.reading("4k69")
    progress = build.progress
    assert progress.snags[0].fix == "reflowed"
    assert progress.snags[0].minutes == 6.0
    assert progress.substitutions[0].instead == "43k"
    build.done()
    assert build.view().substitutes == ("43k instead of R4 (out of 47k)",)


@pytest.mark.parametrize("text", ["", "   ", "x" * 30_000])
def test_empty_and_endless_texts_are_refused_with_a_word(build: Build, text: str) -> None:
    before = build.progress
    with pytest.raises(Refused):
        build.note(text)
    assert build.progress == before


@pytest.mark.parametrize("minutes", [float("nan"), float("inf"), -1.0, 1e9])
def test_minutes_must_be_a_sensible_number(build: Build, minutes: float) -> None:
    with pytest.raises(Refused, match="minutes"):
        build.snag("x", minutes=minutes)


def test_corrections_are_checked(build: Build) -> None:
    build.snag("x", minutes=3.0)
    n = build.progress.snags[0].n
    with pytest.raises(Refused, match="number"):
        build.correct(n, "minutes", "soon")
    with pytest.raises(Refused):
        build.correct(n, "at", "yesterday")
    build.correct(n, "minutes", "8")
    assert build.progress.snags[0].minutes == 8


def at_the_hold_point(build: Build) -> Build:
    do_steps(build, 4)
    return build


@pytest.mark.parametrize(
    ("typed", "answer"), [("1k2", "in"), ("OL", "in"), ("12 ohm", "out"), ("200", "too close to call")]
)
def test_a_hold_point_opens_for_a_reading_within_its_limits_and_for_no_other(
    build: Build, typed: str, answer: str
) -> None:
    verdict = at_the_hold_point(build).reading(typed)
    assert verdict is not None
    assert verdict.answer == answer
    assert build.progress.readings[-1].verdict == answer
    if answer == "in":
        build.done()
    else:
        with pytest.raises(Refused, match="reading"):
            build.done()
        build.override_hold("the meter is borrowed")
        build.done()
    assert build.next_step is not None
    assert build.next_step.stage == "Trim"


@pytest.mark.parametrize("typed", ["many", "5 V", "", "1.2.3", "x" * 30_000])
def test_a_reading_that_cannot_be_read_says_so_and_is_not_kept(build: Build, typed: str) -> None:
    at_the_hold_point(build)
    with pytest.raises(SoldersideError):
        build.reading(typed)
    assert build.progress.readings == ()


def test_the_latest_reading_counts_and_undo_brings_the_one_before_back(build: Build) -> None:
    at_the_hold_point(build).reading("1k2")
    assert not build.view().wants_reading
    build.reading("12 ohm")
    assert build.view().wants_reading
    build.undo()
    assert not build.view().wants_reading


def test_a_kit_that_looks_deadly_and_does_not_say_so_has_its_gate_all_the_same(tmp_path: Path) -> None:
    kit = replace(small_kit(), supply=(Rail(name="230 V AC", current="20 mA"),))
    build = Build(kit, small_plan(), LogFile(tmp_path), HandClock())
    at_the_hold_point(build)
    assert build.view().danger == ("mains", "non-isolated supply")
    build.reading("1k2")
    with pytest.raises(Refused, match="kill"):
        build.done()


def test_what_can_kill_has_to_be_answered_for_before_its_hold_point_opens(tmp_path: Path) -> None:
    kit = replace(small_kit(), hazards=("mains", "stored charge"))
    build = Build(kit, small_plan(), LogFile(tmp_path), HandClock())
    at_the_hold_point(build)
    assert build.view().danger == ("mains", "stored charge")
    build.reading("1k2")
    with pytest.raises(Refused, match="kill"):
        build.done()
    build.own_danger("the electrician of the house")
    build.done()
