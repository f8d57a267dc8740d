"""Keys that come faster than the screen: nothing is done that was not meant, nothing typed is thrown away."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot
from textual.widgets import Input

from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.screens.work import WorkScreen
from bench.tui.typed import PRESSED, REPEATED, mark_burst, mark_stroke
from tests.benchmarks.bursts import measure
from tests.support.screens import drive, screen_text

QUIET = ("Started", "Opened", "Closed")
NAMED = {"\r": "enter", "\x1b": "escape", "\n": "ctrl+j"}


def key_of(char: str) -> events.Key:
    """The key event of a character as a terminal sends it."""
    return events.Key(NAMED.get(char) or (char if char.isalnum() else _character_to_key(char)), char)


async def write(app: BenchApp, *texts: str, gap: float = 0.0, settle: float = 0.25) -> None:
    """Bytes as a terminal would bring them: each text in one write, stamped `gap` seconds apart."""
    pilot, start = Pilot(app), time.monotonic()
    for number, text in enumerate(texts):
        keys = [key_of(char) for char in text]
        mark_burst(keys)
        for key in keys:
            if gap:
                key.time = start + number * gap
            app._driver.send_message(key)  # type: ignore[union-attr]
        if gap:
            await pilot.pause(0.01)
    await pilot.pause(settle)
    for _ in range(100):
        if app.gate.is_open:
            return
        await pilot.pause(0.05)
    raise AssertionError("no key goes through any more")


async def hold(app: BenchApp, char: str, first: int, then: int, many: int) -> None:
    """A press, and after `first` milliseconds `many` repeats that come every `then` milliseconds."""
    pilot = Pilot(app)
    next_at = time.monotonic()
    for number in range(many + 1):
        app._driver.send_message(key_of(char))  # type: ignore[union-attr]
        next_at += (then if number else first) / 1000
        await pilot.pause(max(0.0, next_at - time.monotonic()))
    await pilot.pause(0.2)


def kinds(build: Build) -> list[str]:
    """What stands in the log, without what the program records of itself."""
    return [type(each).__name__ for each in build.events if type(each).__name__ not in QUIET]


def line_of(app: BenchApp) -> str:
    """What stands in the box that is up."""
    assert isinstance(app.screen, Ask)
    return app.screen.query_one(Input).value


def test_two_keys_in_one_write_tick_one_step(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        for burst in ("  ", "\r ", ". .", "   "):
            while isinstance(app.screen, Ask):  # a stage is done: its joints are asked for
                await pilot.press("escape")
            before = len(kinds(build))
            await write(app, burst)
            assert len(kinds(build)) == before + 1, repr(burst)

    drive(build, tmp_path, act)


def test_enter_twice_in_one_write_ends_the_question_and_ticks_nothing(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n")
        await write(app, "old joint", "\r\r")
        assert kinds(build) == ["Noted"]
        await write(app, "\r")
        assert kinds(build) == ["Noted"], "Enter once more, in a hurry"
        assert "That Enter closed the question" in screen_text(app)
        await write(app, " ")
        assert kinds(build) == ["Noted", "Done"]

    drive(build, tmp_path, act)


def test_enter_is_done_again_when_the_question_is_past(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n", "x", "enter")
        await pilot.press("v", "escape", "enter")
        assert kinds(build) == ["Noted", "Done"]

    drive(build, tmp_path, act)


@pytest.mark.parametrize(
    "burst", ["kk", "yk", "ck", "/k", "zss", "ll\x1b", "?\x1b?", "k\r\r", "oq", "n\x1b\x1b"]
)
def test_a_key_that_finds_its_screen_mounting_or_closing_is_dropped(
    build: Build, tmp_path: Path, burst: str
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await write(app, burst)
        assert not kinds(build)
        assert app.is_running

    drive(build, tmp_path, act)


def test_text_typed_before_its_box_is_painted_stands_in_it(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await write(app, "n", "old joint\r")
        assert line_of(app) == "old joint"
        assert not kinds(build)
        await write(app, "\r")
        assert kinds(build) == ["Noted"]

    drive(build, tmp_path, act)


def test_text_for_the_next_question_stands_in_its_box(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("s")
        await write(app, "a\rb\r")
        assert "2 of 4" in screen_text(app)
        assert line_of(app).endswith("b")

    drive(build, tmp_path, act)


@pytest.mark.parametrize("place", ["", "l", "c", "k"])
def test_what_is_pasted_without_a_box_is_text_and_no_commands(build: Build, tmp_path: Path, place: str) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        if place:
            await pilot.press(place)
        was = app.screen
        await write(app, "  bc. .xu\r\r  hold on, solder\r  the rest\r")
        assert app.screen is was
        assert not kinds(build)
        said = screen_text(app)
        assert "none was used as a command" in said
        if place == "k":
            assert "hold on, solder the rest" in (tmp_path / "drafts.json").read_text(encoding="utf-8")
        else:
            await pilot.press(*(["escape"] if place else []), "n")
            assert line_of(app) == "bc. .xu hold on, solder the rest"

    drive(build, tmp_path, act, (120, 40))


@pytest.mark.parametrize("bracketed", [True, False])
def test_every_line_of_a_paste_is_kept(build: Build, tmp_path: Path, bracketed: bool) -> None:
    text = "R4 was lifted\rthe pad too\r\rseen at 19:40\r"

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n")
        if bracketed:
            app._driver.send_message(events.Paste(text))  # type: ignore[union-attr]
            await pilot.pause(0.2)
        else:
            await write(app, text)
        assert line_of(app).split() == text.split()
        assert not kinds(build)

    drive(build, tmp_path, act)


@pytest.mark.parametrize("milliseconds", [30, 40, 66, 92])
def test_a_held_key_makes_one_step_at_any_rate_of_repeat(
    build: Build, tmp_path: Path, milliseconds: int
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await write(app, *" " * 12, gap=milliseconds / 1000)
        assert kinds(build) == ["Done"]
        await pilot.pause(milliseconds * 0.012 + 0.3)
        await write(app, " ")
        assert kinds(build) == ["Done", "Done"]

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize(
    ("first", "milliseconds"),
    [(250, 30), (250, 92), (400, 66), (500, 40), (660, 30), (660, 92), (1000, 30), (1000, 92)],
)
def test_a_held_key_makes_one_step_whenever_it_begins_to_repeat(
    build: Build, tmp_path: Path, first: int, milliseconds: int
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await hold(app, " ", first, milliseconds, 8)
        assert kinds(build) == ["Done"]

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize("milliseconds", [30, 92])
def test_a_keyboard_that_begins_to_repeat_like_a_finger_still_makes_one_step_and_is_remembered(
    build: Build, tmp_path: Path, milliseconds: int
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await hold(app, " ", 310, milliseconds, 8)
        assert kinds(build) == ["Done", "Done", "Undone"]
        assert build.view().step_number == 2
        assert "held down: one step counted" in screen_text(app)
        await pilot.pause(1.2)
        await hold(app, " ", 310, milliseconds, 8)
        assert kinds(build)[3:] == ["Done"], "now that the keyboard is known"

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize(("apart", "known"), [(300, False), (300, True), (700, True)])
def test_a_second_press_of_a_quick_finger_counts_at_once(
    build: Build, tmp_path: Path, apart: int, known: bool
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        if known:
            app.gate._repeat.delay = 0.5
        await write(app, " ", settle=0.0)
        await pilot.pause(apart / 1000)
        app._driver.send_message(key_of(" "))  # type: ignore[union-attr]
        await pilot.pause()
        assert app.gate._doubtful is None, "no 120 ms to see whether it is held down"
        await pilot.pause(0.2)
        assert kinds(build) == ["Done", "Done"]

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize("apart", [130, 260, 400, 900, 1200])
def test_a_key_pressed_twice_by_a_finger_counts_twice_but_for_those_too_close(
    build: Build, tmp_path: Path, apart: int
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await hold(app, " ", apart, apart, 1)
        await pilot.pause(0.2)
        assert kinds(build) == ["Done"] * (2 if apart > 250 else 1)

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize("first", [250, 500, 660])
def test_undo_held_down_takes_back_one_step(build: Build, tmp_path: Path, first: int) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        for _ in range(3):
            build.done()
        await hold(app, "u", first, 40, 8)
        assert kinds(build) == ["Done", "Done", "Done", "Undone"]

    drive(build, tmp_path, act, repeat_milliseconds=250)


def test_another_key_ends_the_doubt_at_once_and_keeps_the_order(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await hold(app, "n", 400, 400, 0)
        await write(app, "n", settle=0.0)
        await write(app, "o", settle=0.0)
        await pilot.pause(0.3)
        assert line_of(app) == "no"

    drive(build, tmp_path, act, repeat_milliseconds=250)


def test_where_the_terminal_tells_what_repeats_no_time_is_needed(build: Build, tmp_path: Path) -> None:
    async def press(app: BenchApp, stroke: str) -> None:
        key = key_of(" ")
        mark_stroke([key], stroke)
        app._driver.send_message(key)  # type: ignore[union-attr]
        await Pilot(app).pause(0.3)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await press(app, PRESSED)
        for _ in range(3):
            await press(app, REPEATED)
        assert kinds(build) == ["Done"]
        await press(app, PRESSED)
        assert kinds(build) == ["Done", "Done"], "300 ms later, without a doubt"

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize("first", [250, 500, 660])
def test_a_held_key_that_begins_late_types_nothing_into_the_box_it_opens(
    build: Build, tmp_path: Path, first: int
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await hold(app, "n", first, 40, 6)
        assert line_of(app) == ""

    drive(build, tmp_path, act, repeat_milliseconds=250)


def test_a_held_key_types_nothing_into_the_box_it_opens(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await write(app, *"nnnnnnnn", gap=0.04)
        assert line_of(app) == ""
        await pilot.pause(0.5)
        await write(app, *"nine", gap=0.15)
        assert line_of(app) == "nine"

    drive(build, tmp_path, act, repeat_milliseconds=250)


@pytest.mark.parametrize("seconds", [0.3, 1.0])
def test_keys_typed_while_the_disk_is_slow_are_no_commands_and_their_text_is_kept(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, seconds: float
) -> None:
    def slow(handle: int, sync: object = os.fsync) -> None:
        time.sleep(seconds)
        sync(handle)  # type: ignore[operator]

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        monkeypatch.setattr("os.fsync", slow)
        await write(app, " ", "n", *"old joint dull and dry", "\r", settle=seconds + 0.8)
        assert kinds(build) == ["Done"]
        assert isinstance(app.screen, WorkScreen)
        await write(app, "n")
        assert line_of(app) == "nold joint dull and dry"
        await write(app, "\r", " ", " ", settle=seconds + 0.5)
        assert kinds(build) == ["Done", "Noted"]

    drive(build, tmp_path, act)


def test_caps_lock_is_no_hindrance(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await write(app, "L")
        assert isinstance(app.screen, CommandScreen)
        assert app.screen.place == "log"
        await pilot.press("escape", "N")
        assert isinstance(app.screen, Ask)

    drive(build, tmp_path, act)


def test_a_capital_with_a_command_of_its_own_keeps_it(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await write(app, "N")
        assert isinstance(app.screen, CommandScreen)
        assert app.screen.place == "log"

    drive(build, tmp_path, act, keys={"log": "N"})


def test_bursts_in_every_place_break_tick_and_lose_nothing() -> None:
    found = measure(seed=7, bursts=60)
    assert found.bursts == 60
    assert not found.words
