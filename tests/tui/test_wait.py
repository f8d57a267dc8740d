"""Waiting: counted down on both clocks, kept in the log, said on screen and, where wanted, by the bell."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import FileFaults, Refused, SoldersideError
from bench.session.build import Build
from bench.session.waits import WaitWatch
from bench.settings import Settings, load_settings, parse_settings
from bench.tui.app import BenchApp
from bench.tui.screens.work import WorkScreen
from bench.tui.signals import APART_SECONDS, PATTERNS, Signals
from bench.ui.commands import Keymap
from bench.ui.form_table import FORMS, minutes_in
from bench.ui.forms import Situation
from tests.support.samples import HandClock, small_build
from tests.support.screens import drive, screen_text


def test_a_wait_counts_down_and_goes_below_zero(build: Build, clock: HandClock) -> None:
    assert build.timer.waits_left() == []
    build.wait(20, "warming up")
    clock.work(60)
    assert build.timer.waits_left()[0][1] == pytest.approx(19 * 60)
    clock.work(20 * 60)
    assert build.timer.waits_left()[0][1] == pytest.approx(-60)


def test_a_wait_goes_on_after_the_program_was_killed(build: Build, clock: HandClock) -> None:
    build.wait(20)
    build.log.close()
    clock.work(300)
    again = small_build(build.log.folder, clock)
    assert again.writer.run != build.writer.run
    assert again.timer.waits_left()[0][1] == pytest.approx(15 * 60)


def test_waits_run_side_by_side_and_the_latest_can_be_undone(build: Build) -> None:
    build.wait(20, "warming up")
    build.wait(5, "drying")
    left = [(wait.about, round(seconds)) for wait, seconds in build.timer.waits_left()]
    assert left == [("drying", 5 * 60), ("warming up", 20 * 60)]
    assert build.undo() == "wait of 5 minutes: drying"
    assert [wait.about for wait, _ in build.timer.waits_left()] == ["warming up"]


def test_each_wait_is_told_once_by_its_name(build: Build, clock: HandClock) -> None:
    watch = WaitWatch()
    build.opened()
    build.wait(5, "drying")
    build.wait(7)
    clock.work(301)
    assert watch.due(build) == ["Wait over: drying."]
    assert watch.due(build) == []
    clock.work(300)
    assert watch.due(build) == ["Wait over (3 min 01 s ago): wait of 7 minutes."]
    assert watch.due(build) == []


def test_a_wait_of_a_build_that_was_left_is_told_with_the_build_it_is_of(
    build: Build, clock: HandClock
) -> None:
    watch = WaitWatch()
    build.wait(5, "drying")
    assert watch.due(build) == []
    build.close()
    clock.work(301)
    assert watch.due(None) == [f"Wait over in {build.title}: drying."]
    assert watch.due(small_build(build.log.folder, clock)) == []


def test_a_wait_that_ended_while_the_program_was_closed_is_told_at_the_next_opening_only(
    build: Build, clock: HandClock
) -> None:
    build.wait(5, "drying")
    build.close()
    clock.work(3600)
    again = small_build(build.log.folder, clock)
    assert WaitWatch().due(again) == ["Wait over (55 min ago): drying."]
    again.opened()
    again.close()
    assert WaitWatch().due(small_build(build.log.folder, clock)) == []


@pytest.mark.parametrize("minutes", [0, -1, float("nan"), float("inf"), 2000])
def test_no_time_and_endless_time_are_refused(build: Build, minutes: float) -> None:
    with pytest.raises(Refused, match="no time to wait"):
        build.wait(minutes)


def test_the_form_proposes_the_minutes_that_the_step_names(build: Build) -> None:
    at = Situation(build=build, step=None, settings=Settings(), keymap=Keymap(), data=None)
    form = FORMS["wait"].form(at, None)
    assert form.record(("20", "warming up")) == "Waiting 20 minutes; the bar counts down."
    assert minutes_in("Leave it for fifteen minutes, then 5 min more") == "15"


def test_the_screen_counts_down_and_says_once_that_it_is_over(
    build: Build, clock: HandClock, tmp_path: Path
) -> None:
    rung: list[int] = []

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        app.signals = Signals(True, lambda: rung.append(1), lambda seconds, call: call())
        await pilot.press("minus", "1", "enter", *"drying", "enter")
        bench = app.screen
        assert isinstance(bench, WorkScreen)
        bench._tick()
        await pilot.pause()
        assert "wait 0:01:00" in screen_text(app)
        clock.work(61)
        app.tell_waits()
        app.tell_waits()
        await pilot.pause()
        assert "Wait over: drying" in screen_text(app)

    drive(build, tmp_path, act)
    assert len(rung) == PATTERNS["wait over"]


@pytest.mark.parametrize("key", ["l", "c", "y", "question_mark", "n", "k", "slash"])
def test_the_end_of_a_wait_is_told_on_every_screen(
    build: Build, clock: HandClock, tmp_path: Path, key: str
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("minus", "1", "enter", *"drying", "enter")
        app.tell_waits()
        await pilot.press(key)
        await pilot.pause()
        clock.work(61)
        app.tell_waits()
        await pilot.pause()
        assert "drying" in screen_text(app)
        assert "Wait over" in screen_text(app)

    drive(build, tmp_path, act)


def test_the_end_of_a_wait_does_not_hide_where_the_builder_was(
    build: Build, clock: HandClock, tmp_path: Path
) -> None:
    build.opened()
    build.wait(1, "drying")
    build.done()
    build.close()
    clock.work(61)
    again = small_build(build.log.folder, clock)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        app.screen.show_message("You were here.")  # type: ignore[attr-defined]
        app.tell_waits()
        await pilot.pause()
        assert "Wait over" in screen_text(app)
        assert "You were here." in screen_text(app)

    drive(again, tmp_path, act)


def test_signals_differ_and_are_silent_by_default() -> None:
    assert len(set(PATTERNS.values())) == len(PATTERNS)
    assert Settings().sound is False
    heard: list[float] = []
    Signals(False, lambda: heard.append(0.0), lambda seconds, call: heard.append(seconds)).give("done")
    assert heard == []
    Signals(True, lambda: heard.append(0.0), lambda seconds, call: heard.append(seconds)).give("wait over")
    assert heard == [0.0, APART_SECONDS, 2 * APART_SECONDS]


def test_a_keymap_file_is_read_and_own_keys_stand_above_it(tmp_path: Path) -> None:
    (tmp_path / "pedal.toml").write_text('done = "f5"\nundo = "f6"\n', encoding="utf-8")
    (tmp_path / "settings.toml").write_text('keymap = "pedal.toml"\n[keys]\nundo = "z"\n', encoding="utf-8")
    settings, warnings = load_settings(tmp_path)
    assert (settings.keys, warnings) == ({"done": "f5", "undo": "z"}, ())


@pytest.mark.parametrize("text", [None, "done = f5", "[keys]\ndone = 'f5'", "done = 5", "\x00"])
def test_a_keymap_file_that_cannot_be_used_is_named(tmp_path: Path, text: str | None) -> None:
    if text is not None:
        (tmp_path / "pedal.toml").write_text(text, encoding="utf-8")
    (tmp_path / "settings.toml").write_text('keymap = "pedal.toml"\n', encoding="utf-8")
    with pytest.raises(SoldersideError) as told:
        load_settings(tmp_path)
    assert "pedal.toml" in str(told.value)


def test_sound_is_on_or_off() -> None:
    assert parse_settings("sound = true", "s")[0].sound
    with pytest.raises(FileFaults, match="neither on nor off"):
        parse_settings('sound = "loud"', "s")
