"""Waiting: counted down on both clocks, kept in the log, said on screen and, where wanted, by the bell."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import FileFaults, Refused, SoldersideError
from bench.session.build import Build
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
    assert build.timer.wait_left() is None
    build.wait(20, "warming up")
    clock.work(60)
    assert build.timer.wait_left() == pytest.approx(19 * 60)
    clock.work(20 * 60)
    assert build.timer.wait_left() == pytest.approx(-60)


def test_a_wait_goes_on_after_the_program_was_killed(build: Build, clock: HandClock) -> None:
    build.wait(20)
    build.log.close()
    clock.work(300)
    again = small_build(build.log.folder, clock)
    assert again.writer.run != build.writer.run
    assert again.timer.wait_left() == pytest.approx(15 * 60)


def test_a_wait_can_be_undone_and_a_later_one_takes_its_place(build: Build) -> None:
    build.wait(20)
    build.wait(5, "drying")
    assert build.progress.wait is not None
    assert build.progress.wait.about == "drying"
    assert build.undo() == "wait of 5 minutes: drying"
    assert build.timer.wait_left() == pytest.approx(20 * 60)


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
        bench._tick()
        bench._tick()
        await pilot.pause()
        assert "Wait over: drying" in screen_text(app)

    drive(build, tmp_path, act)
    assert len(rung) == PATTERNS["wait over"]


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
