"""The clock of the bench ends with the build, and what a gap was can be put right later."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import Refused
from bench.log import events as ev
from bench.log.fold import fold
from bench.session.build import Build
from bench.session.folders import open_build
from bench.session.under_way import latest_under_way
from bench.settings import Settings
from bench.tui.app import BenchApp
from tests.support.samples import HandClock, small_build
from tests.support.screens import drive, screen_text


def to_the_end(build: Build, clock: HandClock) -> None:
    while build.next_step is not None:
        clock.work(20)
        if build.view().wants_reading or build.view().danger:
            build.override_hold("no meter here")
        build.done()


def test_the_clock_stands_still_once_nothing_is_left_to_do(build: Build, clock: HandClock) -> None:
    build.opened()
    to_the_end(build, clock)
    spent = build.progress.bench_seconds
    clock.work(600)
    assert build.timer.bench_seconds() == pytest.approx(spent)
    clock.work(3600)
    assert build.timer.gap() == 0
    build.note("looks well")
    clock.work(600)
    build.close()
    assert fold(build.log.events).bench_seconds == pytest.approx(spent)
    assert not build.progress.gaps


def test_it_runs_again_when_the_last_step_is_undone(build: Build, clock: HandClock) -> None:
    build.opened()
    to_the_end(build, clock)
    assert build.progress.completed
    build.undo()
    assert not build.progress.completed
    spent = build.timer.bench_seconds()
    clock.work(60)
    assert build.timer.bench_seconds() == pytest.approx(spent + 60)
    to_the_end(build, clock)
    assert build.progress.completed


def test_a_finished_build_of_an_earlier_program_stands_still_once_it_is_opened(
    build: Build, clock: HandClock
) -> None:
    build.opened()
    while build.next_step is not None:
        build.writer.record(ev.Done(**build._here(), items=build.next_step.items))
    build.log.close()
    again = small_build(build.log.folder, clock)
    again.opened()
    spent = again.progress.bench_seconds
    clock.work(600)
    assert again.timer.bench_seconds() == pytest.approx(spent)


@pytest.mark.parametrize(("minutes", "work", "rest"), [("20", 20, 20), ("0", 0, 40), ("40", 40, 0)])
def test_a_gap_is_split_in_the_log(build: Build, clock: HandClock, minutes: str, work: int, rest: int) -> None:
    build.opened()
    build.note("before")
    spent = build.progress.bench_seconds
    clock.work(40 * 60)
    build.settle_gap(worked=False)
    gap = build.events[-1]
    build.correct(gap.n, "minutes_worked", minutes)
    assert build.progress.bench_seconds - spent == pytest.approx(60 * work)
    assert sum(each.seconds for each in build.progress.breaks) == pytest.approx(60 * rest)


@pytest.mark.parametrize("minutes", ["45", "-1", "some", "nan"])
def test_no_more_of_a_gap_is_work_than_there_was(build: Build, clock: HandClock, minutes: str) -> None:
    build.opened()
    clock.work(40 * 60)
    build.settle_gap(worked=True)
    with pytest.raises(Refused):
        build.correct(build.events[-1].n, "minutes_worked", minutes)


def test_the_log_screen_asks_how_much_of_a_gap_was_work(build: Build, clock: HandClock, tmp_path: Path) -> None:
    build.opened()
    clock.work(40 * 60)
    build.settle_gap(worked=False)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("l")
        await pilot.pause()
        await pilot.press("up")
        await pilot.press("c")
        await pilot.pause()
        assert "Of 40 min without a key, how many minutes were work?" in " ".join(screen_text(app).split())
        await pilot.press(*"20", "enter")
        await pilot.pause()
        assert "20 of 40 minutes at the bench, the rest a break" in screen_text(app)

    drive(build, tmp_path, act)
    assert build.progress.breaks[0].seconds == pytest.approx(1200)


def finished(data: Path, kit: str, clock: HandClock) -> Build:
    build = open_build(data, kit, Settings(), clock)
    build.opened()
    for step in build.outline.steps:
        build.writer.record(ev.Done(**build._here(step), items=step.items))
    build.note("done")
    build.close()
    assert build.progress.completed
    return build


def test_nothing_under_way_opens_the_shelf_and_an_unfinished_build_comes_before_a_finished_one(
    tmp_path: Path, clock: HandClock
) -> None:
    assert latest_under_way(tmp_path, Settings(), clock) is None
    finished(tmp_path, "passive-splitter", clock)
    assert latest_under_way(tmp_path, Settings(), clock) is None
    open_build(tmp_path, "fog-filter", Settings(), clock).close()
    finished(tmp_path, "first-evening-metronome", clock)
    build = latest_under_way(tmp_path, Settings(), clock)
    assert build is not None
    assert build.log.folder.name == "fog-filter-rev-a"
