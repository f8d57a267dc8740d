"""Several units of one kit side by side: turns, time, undo, hold points, and what each log holds."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import Refused, SoldersideError
from bench.log import events as ev
from bench.plan.bag import bag_lines
from bench.session.build import Build
from bench.session.folders import open_build, reopen
from bench.session.side_by_side import SideBySide, unit_names
from bench.session.together import gone, join, open_bench, take_back
from bench.settings import Settings, shipped_kits_folder
from bench.ui.agree_words import change_words
from bench.writeup.sheets.maker_pages import shortage_letter
from bench.writeup.shortage import shortage_text
from tests.support.samples import HandClock

KIT = str(shipped_kits_folder() / "first-evening-metronome.yaml")


def opened(
    data: Path, clock: HandClock, names: tuple[str, ...] = ("A", "B", "C"), **more: object
) -> SideBySide:
    build = open_bench(data, KIT, Settings(**more), clock, units=names)  # type: ignore[arg-type]
    assert build.beside is not None
    build.opened()
    return build.beside


def at(bench: SideBySide, name: str) -> Build:
    return next(each for each in bench.builds if each.unit == name)


def tick(bench: SideBySide, clock: HandClock, times: int, seconds: float = 10.0) -> list[str]:
    """Do so many steps, whoever's turn it is; the names of the units in the order of their turns."""
    order = []
    for _ in range(times):
        clock.work(seconds)
        build = bench.at_work
        order.append(build.unit)
        build.done()
    return order


def to_hold_point(bench: SideBySide, clock: HandClock) -> None:
    """Until every unit that is in line stands at its first hold point."""
    for _ in range(1000):
        build = bench.at_work
        step = build.next_step
        assert step is not None
        if build.outline.stage_at(build.outline.index[step.key]).hold:
            return
        clock.work(5)
        build.done()


@pytest.fixture
def bench(tmp_path: Path, clock: HandClock) -> SideBySide:
    return opened(tmp_path, clock)


def test_each_step_is_placed_on_all_units_before_the_next(bench: SideBySide, clock: HandClock) -> None:
    assert tick(bench, clock, 6) == ["A", "B", "C", "A", "B", "C"]
    marks = bench.at_work.view().units
    assert [(each.name, each.state) for each in marks] == [("A", "open"), ("B", "open"), ("C", "open")]
    tick(bench, clock, 1)
    assert [each.state for each in bench.at_work.view().units] == ["done", "open", "open"]


def test_by_stage_a_unit_does_its_whole_stage_first(tmp_path: Path, clock: HandClock) -> None:
    bench = opened(tmp_path, clock, units_by="stage")
    first = bench.builds[0].plan.stages[0]
    order = tick(bench, clock, 3 * len(first.steps) + 1)
    count = len(first.steps)
    assert order == ["A"] * count + ["B"] * count + ["C"] * count + ["A"]


def test_the_clock_is_dealt_out_and_nothing_is_counted_twice(bench: SideBySide, clock: HandClock) -> None:
    began = clock.mono
    for number in range(12):
        clock.work(7 + number)
        bench.at_work.done()
    spent = clock.mono - began
    seconds = [build.progress.bench_seconds for build in bench.builds]
    assert sum(seconds) == pytest.approx(spent)
    assert seconds == [pytest.approx(sum(7 + n for n in range(12) if n % 3 == unit)) for unit in range(3)]


def test_a_long_time_without_a_key_is_asked_about_once(bench: SideBySide, clock: HandClock) -> None:
    tick(bench, clock, 4)
    clock.work(3600)
    build = bench.at_work
    assert build.timer.gap() == pytest.approx(3600)
    build.settle_gap(worked=False)
    assert bench.at_work.timer.gap() == 0
    clock.work(20)
    tick(bench, clock, 3)
    total = sum(each.progress.bench_seconds for each in bench.builds)
    assert total == pytest.approx(4 * 10 + 20 + 3 * 10)
    assert not any(each.progress.gaps for each in bench.builds)


def test_a_sleep_of_the_machine_is_no_work_of_any_unit(bench: SideBySide, clock: HandClock) -> None:
    tick(bench, clock, 3)
    clock.sleep(7200)
    bench.at_work.settle_gap(worked=False)
    tick(bench, clock, 6)
    assert sum(each.progress.bench_seconds for each in bench.builds) == pytest.approx(90)
    assert [len(each.progress.gaps) for each in bench.builds] == [0, 0, 0]


def test_undo_takes_back_what_the_last_key_did_in_whatever_unit(bench: SideBySide, clock: HandClock) -> None:
    tick(bench, clock, 4)
    assert [len(each.progress.done) for each in bench.builds] == [2, 1, 1]
    assert bench.at_work.unit == "B"
    assert bench.at_work.undo().startswith("unit A, ")
    assert [len(each.progress.done) for each in bench.builds] == [1, 1, 1]
    assert bench.at_work.undo().startswith("unit C, ")
    assert bench.at_work.undo().startswith("unit B, ")
    assert bench.at_work.undo().startswith("unit A, ")
    with pytest.raises(Refused):
        bench.at_work.undo()


def test_a_unit_set_aside_falls_behind_and_catches_up_when_it_is_called_back(
    bench: SideBySide, clock: HandClock
) -> None:
    tick(bench, clock, 1)
    bench.at_work.set_aside("its board is being washed")
    assert tick(bench, clock, 5) == ["C", "A", "C", "A", "C"]
    assert bench.at_work.view().units[1].state == "aside"
    bench.choose(at(bench, "B"))
    assert tick(bench, clock, 4) == ["B", "B", "B", "A"]


def test_another_unit_can_be_chosen_for_one_step(bench: SideBySide, clock: HandClock) -> None:
    bench.choose(at(bench, "C"))
    assert tick(bench, clock, 3) == ["C", "A", "B"]


def test_one_places_one_part_in_the_unit_at_work(tmp_path: Path, clock: HandClock) -> None:
    bench = opened(tmp_path, clock, ("A", "B"))
    while len(bench.at_work.next_step.items) < 2:  # type: ignore[union-attr]
        tick(bench, clock, 1)
    build = bench.at_work
    build.done(1)
    assert bench.at_work is build
    assert build.view().items_left == len(build.next_step.items) - 1  # type: ignore[union-attr]


def test_a_hold_point_holds_its_own_unit_only_and_opens_no_others(bench: SideBySide, clock: HandClock) -> None:
    to_hold_point(bench, clock)
    a = bench.at_work
    assert a.unit == "A"
    while a.next_step and a.outline.stage_at(a.outline.index[a.next_step.key]).hold:
        if a.view().wants_reading:
            a.override_hold("measured by eye")
        a.done()
        if a.view().stage and not a.view().stage.hold:  # type: ignore[union-attr]
            break
    b = bench.at_work
    assert b.unit == "B"
    assert not b.progress.holds_overridden
    if b.view().wants_reading:
        with pytest.raises(Refused):
            b.done()
    done = len(b.progress.done)
    b.set_aside("reads 4 ohm")
    assert bench.at_work.unit == "C"
    assert len(b.progress.done) == done


def test_near_power_a_unit_does_its_whole_stage_whatever_the_order_of_work(
    bench: SideBySide, clock: HandClock
) -> None:
    to_hold_point(bench, clock)
    stage = bench.at_work.view().stage
    assert stage is not None
    assert stage.steps > 1
    build = bench.at_work
    if build.view().wants_reading:
        build.override_hold("by eye")
    build.done()
    assert bench.at_work is build


def test_a_unit_taken_out_goes_on_alone_and_the_others_without_it(
    tmp_path: Path, bench: SideBySide, clock: HandClock
) -> None:
    tick(bench, clock, 5)
    out = at(bench, "B")
    bench.leave(out)
    assert [each.unit for each in bench.builds] == ["A", "C"]
    assert tick(bench, clock, 3) == ["C", "A", "C"]
    bench.builds[0].close()
    alone = open_bench(tmp_path, out.name, Settings(), clock)
    assert alone.beside is None
    assert alone.unit == "B"
    alone.done()
    alone.close()
    again = open_bench(tmp_path, bench.builds[0].name, Settings(), clock)
    assert again.beside is not None
    assert [each.unit for each in again.beside.builds] == ["A", "C"]
    again.close()


def test_a_unit_taken_out_comes_back_until_it_has_gone_further_than_the_next_step(
    tmp_path: Path, bench: SideBySide, clock: HandClock
) -> None:
    tick(bench, clock, 5)
    out = at(bench, "B")
    bench.leave(out)
    tick(bench, clock, 6)
    name = bench.builds[0].name
    ((folder, unit),) = gone(bench.at_work, Settings())
    assert (folder, unit) == (out.name, "B")
    seconds = out.progress.bench_seconds
    now = take_back(bench.at_work, folder, Settings(), clock)
    assert now.beside is not None
    assert [each.unit for each in now.beside.builds] == ["A", "B", "C"]
    assert now.unit == "B", "it is furthest behind"
    assert tick(now.beside, clock, 3, 10.0)[:2] == ["B", "B"]
    assert at(now.beside, "B").progress.bench_seconds == pytest.approx(seconds + 30)
    now.close()
    again = open_bench(tmp_path, name, Settings(), clock)
    assert again.beside is not None
    assert [each.unit for each in again.beside.builds] == ["A", "B", "C"]
    again.close()


def test_a_unit_that_has_gone_further_alone_does_not_come_back(
    tmp_path: Path, bench: SideBySide, clock: HandClock
) -> None:
    tick(bench, clock, 5)
    out = at(bench, "B")
    bench.leave(out)
    alone = open_bench(tmp_path, out.name, Settings(), clock)
    alone.opened()
    for _ in range(3):
        clock.work(5)
        alone.done()
    alone.close()
    assert gone(bench.at_work, Settings()) == []
    bench.builds[0].close()


def test_the_last_two_of_a_group_find_each_other_again(tmp_path: Path, clock: HandClock) -> None:
    build = open_bench(tmp_path, KIT, Settings(), clock, units=("A", "B"))
    assert build.beside is not None
    bench = build.beside
    bench.builds[0].opened()
    tick(bench, clock, 4)
    left = bench.leave(at(bench, "B"))
    ((folder, _),) = gone(left, Settings())
    now = take_back(left, folder, Settings(), clock)
    assert now.beside is not None
    assert [each.unit for each in now.beside.builds] == ["A", "B"]
    now.close()


def test_an_edit_of_the_kit_is_told_for_every_unit(tmp_path: Path, clock: HandClock) -> None:
    kit = tmp_path / "kit.yaml"
    kit.write_text(Path(KIT).read_text())
    build = open_bench(tmp_path, str(kit), Settings(), clock, units=("A", "B"))
    assert build.beside is not None
    build.opened()
    while min(len(each.progress.done) for each in build.beside.builds) < 14:
        clock.work(5)
        build.at_work.done()
    step = build.progress.last_done
    assert step is not None
    build.close()
    kit.write_text(kit.read_text().replace(step.value, "1M23"))
    again = open_bench(tmp_path, str(kit), Settings(), clock, unit="A", go_on=True)
    changed = again.kit_changes
    assert {unit.unit for unit, _ in changed} == {"A", "B"}
    words = [change_words(unit, change) for unit, change in changed]
    assert any(each.startswith("unit B: ") for each in words)
    for unit, change in changed:
        unit.kit_watch.right_as_it_is(change)
    assert again.kit_changes == []
    again.close()


def test_any_unit_brings_the_others_along_when_it_is_opened(
    tmp_path: Path, bench: SideBySide, clock: HandClock
) -> None:
    tick(bench, clock, 4)
    bench.builds[0].close()
    for folder in [each.name for each in bench.builds]:
        build = open_bench(tmp_path, folder, Settings(), clock)
        assert build.unit == "B"
        assert build.beside is not None
        assert [each.unit for each in build.beside.builds] == ["A", "B", "C"]
        build.close()


def test_each_log_stands_alone(tmp_path: Path, bench: SideBySide, clock: HandClock) -> None:
    tick(bench, clock, 4)
    bench.builds[0].close()
    alone = reopen(tmp_path, bench.builds[2].log.folder, Settings(), clock, read_only=True)
    assert len(alone.progress.done) == 1
    assert alone.progress.bench_seconds == pytest.approx(10)
    turns = sorted(each.turn for build in bench.builds for each in build.writer.events if each.turn)
    assert turns == list(range(1, len(turns) + 1))


def test_a_unit_that_is_missing_or_cannot_be_read_is_told(
    tmp_path: Path, bench: SideBySide, clock: HandClock
) -> None:
    tick(bench, clock, 4)
    bench.builds[0].close()
    (bench.builds[2].log.folder).rename(tmp_path / "elsewhere")
    build = open_bench(tmp_path, bench.builds[0].name, Settings(), clock)
    assert build.beside is not None
    assert [each.unit for each in build.beside.builds] == ["A", "B"]
    assert any("not here" in remark for remark in bench_remarks(build))
    build.close()


def bench_remarks(build: Build) -> list[str]:
    assert build.beside is not None
    return [remark for each in build.beside.builds for remark in each.log.remarks]


def test_another_unit_can_join_until_the_first_joint(tmp_path: Path, clock: HandClock) -> None:
    build = open_build(tmp_path, KIT, Settings(), clock)
    build.opened()
    build.done()
    join(tmp_path, build, Settings(), clock, ["A", "B"])
    assert build.beside is not None
    bench = build.beside
    assert bench.at_work.unit == "B"
    while not bench.at_work.progress.joints:
        tick(bench, clock, 1)
        if any(each.progress.joints for each in bench.builds):
            break
    with pytest.raises(Refused, match="first joint"):
        join(tmp_path, bench.at_work, Settings(), clock, ["C"])
    bench.builds[0].close()


def test_the_builders_word_on_the_clock_goes_into_every_log(bench: SideBySide, clock: HandClock) -> None:
    tick(bench, clock, 3)
    bench.at_work.tell_clock("2031-02-03T18:20:05.120Z")
    for build in bench.builds:
        assert isinstance(build.writer.events[-1], ev.ClockTold)
    clock.work(60)
    bench.at_work.done()
    told = bench.builds[0].events[-1]
    assert told.at.startswith("2031-02-03T18:21:05")
    assert told.after is not None
    assert told.after.at.startswith("2031-02-03T18:20:05")


@pytest.mark.parametrize("given", ["1", "0", "10", "A,A", "left", ",", "a/b,c", "x" * 13 + ",y"])
def test_names_of_units_that_cannot_be(given: str) -> None:
    with pytest.raises(SoldersideError):
        unit_names(given)


def test_a_break_stays_with_the_unit_it_began_at(bench: SideBySide, clock: HandClock) -> None:
    tick(bench, clock, 2)
    resting = bench.at_work
    resting.break_begin()
    clock.work(1200)
    assert bench.at_work is resting
    resting.break_end()
    tick(bench, clock, 3)
    assert sum(each.progress.bench_seconds for each in bench.builds) == pytest.approx(50)


def test_the_bags_are_counted_together_and_the_shortage_adds_up(bench: SideBySide, clock: HandClock) -> None:
    build = bench.at_work
    line = next(each for each in bag_lines(build.kit) if len(each.items) > 2)
    many = len(line.items)
    build.count_bag(line, 3 * many - 2)
    assert [each.progress.bag[0].found for each in bench.builds] == [many, many, many - 2]
    assert build.bag_counts == {line.items: 3 * many - 2}
    text = shortage_text(build.kit, bench.with_bags(build.progress))
    assert f"- 2 x {line.value}" in text
    assert f"{3 * many - 2} of {3 * many} in the bag" in text
    (short,) = shortage_letter(build.kit, bench.with_bags(build.progress)).blocks
    assert short.rows[0][0] == "2"
    assert short.rows[0][2] == f"{3 * many - 2} of {3 * many}"
    assert build.undo().startswith("unit A, unit B, unit C, in the bag")
    assert not any(each.progress.bag for each in bench.builds)


def test_labels_are_printed_for_each_unit(
    tmp_path: Path, bench: SideBySide, capsys: pytest.CaptureFixture[str]
) -> None:
    name = bench.builds[1].name
    bench.builds[0].close()
    assert main(["sheet", name, "--what", "labels", "--out", "-", "--data", str(tmp_path)]) == 0
    page = capsys.readouterr().out
    assert all(page.count(f"unit {letter}") > 3 for letter in "ABC")


def test_a_wait_of_one_unit_counts_down_while_another_is_at_work(bench: SideBySide, clock: HandClock) -> None:
    bench.at_work.wait(5, "discharging")
    tick(bench, clock, 1, seconds=60)
    ((wait, left),) = bench.at_work.timer.waits_left()
    assert wait.about == "discharging"
    assert left == pytest.approx(240)
    assert bench.at_work.unit == "B"


def test_the_meter_and_the_record_go_for_all_units(bench: SideBySide, clock: HandClock) -> None:
    first = bench.at_work
    first.equipment.meter, first.equipment.reminders = {"accuracy": "good"}, {"resistor": "look twice"}
    tick(bench, clock, 1)
    assert bench.at_work is not first
    assert bench.at_work.equipment.meter == {"accuracy": "good"}
    assert bench.at_work.equipment.reminders == {"resistor": "look twice"}


def test_the_first_step_of_a_stage_says_what_the_record_knows(bench: SideBySide, clock: HandClock) -> None:
    bench.at_work.equipment.reminders = {
        "stage Parts that lie flat": "in stages like this, 3 of your last 40 joints were bridged"
    }
    while (view := bench.at_work.view()).step and view.step.stage != "Parts that lie flat":
        tick(bench, clock, 1)
    assert "3 of your last 40 joints were bridged" in view.reminder
    tick(bench, clock, 3)
    assert not bench.at_work.view().reminder
