"""A pedal that sends Space answers the usual questions; what stands in a line already is replaced by typing."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask, Choose
from bench.tui.screens.work import WorkScreen
from tests.benchmarks.pedal import GOAL, on_screen
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text
from tests.tui.test_gate import key_of

KIT = shipped_kits_folder() / "first-evening-metronome.yaml"


def on_to_parts(folder: Path, clock: HandClock) -> Build:
    build = open_build(folder, str(KIT), Settings(), clock)
    build.opened()
    while (step := build.next_step) is not None and not (step.kind and len(step.refs) == 1):
        build.done()
    return build


def test_the_pedal_counts_the_joints_up(tmp_path: Path) -> None:
    build = on_to_parts(tmp_path / "data", HandClock())
    while build.view().count_for is None:
        build.done()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("j")
        assert isinstance(app.screen, Ask)
        for _ in range(3):
            await pilot.pause(0.15)
            await pilot.press("space")
        assert app.screen.query_one(Input).value == "3"
        await pilot.press("enter")
        assert build.progress.counts[-1].counted == 3
        assert "3, not 20" in screen_text(app) or "there should be" in screen_text(app)
        await pilot.press("space")
        assert isinstance(app.screen, Ask), "the pedal counts again"
        await pilot.press("4", "enter", "k")
        assert [each.counted for each in build.progress.counts] == [4], "the second count replaces the first"
        assert screen_text(app).splitlines()[-1].startswith("j count again  space all 2 done")

    drive(build, tmp_path, act, (80, 24))


def test_the_pedal_says_that_a_long_gap_was_a_break(tmp_path: Path) -> None:
    clock = HandClock()
    build = on_to_parts(tmp_path / "data", clock)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        clock.work(40 * 60)
        here = build.current
        await pilot.press("space")
        assert isinstance(app.screen, Choose)
        assert "Space a break" in screen_text(app)
        await pilot.press("space")
        assert "counted as a break" in " ".join(screen_text(app).split())
        assert build.current == here, "the press that answers ticks nothing"

    drive(build, tmp_path, act, (80, 24))


def test_typing_replaces_a_designator_that_stands_there(tmp_path: Path) -> None:
    build = on_to_parts(tmp_path / "data", HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("s", "c", "o", "l", "d", "enter")
        line = app.screen.query_one(Input)
        assert line.value == (build.next_step.refs[0] if build.next_step else "")
        await pilot.press("d", "2")
        assert line.value == "d2"
        await pilot.press("escape")

    drive(build, tmp_path, act, (80, 24))


def test_a_letter_of_another_script_says_why_it_does_nothing(tmp_path: Path) -> None:
    build = on_to_parts(tmp_path / "data", HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("ф")
        assert "switch the keyboard to Latin letters" in " ".join(screen_text(app).split())

    drive(build, tmp_path, act, (80, 24))


def at_the_count(folder: Path) -> Build:
    """A build one key before its joints are counted."""
    build = on_to_parts(folder, HandClock())
    while (step := build.next_step) is not None:
        view = build.view()
        if (step.stage, step.board) in build.outline.counted_at and view.step_number == view.steps_in_stage:
            return build
        build.done()
    raise AssertionError("no joints to count")


def test_a_pedal_held_down_ends_the_count_and_ticks_nothing(tmp_path: Path) -> None:
    build = at_the_count(tmp_path / "data")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space")
        assert isinstance(app.screen, Ask)
        here, expected = build.current, build.joints_waiting
        app.screen.query_one(Input).value = str(expected - 1)
        await pilot.pause(0.4)
        await pilot.press("space")
        await pilot.pause(1.3)
        began = time.monotonic()
        for number in range(61):  # 400 ms, then a repeat every 30 ms, by their stamps
            key = key_of(" ")
            key.time = began + (0.37 + 0.03 * number if number else 0.0)
            app._driver.send_message(key)  # type: ignore[union-attr]
            await pilot.pause(0.005)
        await pilot.pause(0.4)
        assert isinstance(app.screen, WorkScreen)
        assert build.progress.counts[-1].counted == expected, "the press that ends the count is no joint"
        assert build.current == here, "nor does it tick a step"

    drive(build, tmp_path, act, repeat_milliseconds=250)


def test_space_takes_what_stands_in_the_line_and_passes_what_may_be_empty(tmp_path: Path) -> None:
    build = on_to_parts(tmp_path / "data", HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("s", *"cold joint".replace(" ", "_"), "enter")
        await pilot.press("space", "space", "space")
        snag = build.progress.snags[-1]
        assert (snag.part, snag.fix, snag.minutes) == (
            build.next_step.refs[0] if build.next_step else "",
            "",
            0,
        )

    drive(build, tmp_path, act, (80, 24))


def test_space_never_stands_first_in_what_is_needed(tmp_path: Path) -> None:
    build = on_to_parts(tmp_path / "data", HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n", "space", "space")
        assert isinstance(app.screen, Ask)
        assert not app.screen.query_one(Input).value
        assert not build.progress.notes

    drive(build, tmp_path, act, (80, 24))


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (40, 12)])
@pytest.mark.parametrize("key", ["s", "-", "m", "h", "n"])
def test_a_question_stands_in_the_place_of_the_card_and_names_the_step(
    key: str, size: tuple[int, int], tmp_path: Path
) -> None:
    build = on_to_parts(tmp_path / "data", HandClock())
    step = build.next_step
    assert step is not None

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        card = app.screen.query_one("#card").region
        await pilot.press(key)
        box = app.screen.query_one("#ask").region
        assert (box.y, box.right >= card.right) == (card.y, True)
        text = screen_text(app).splitlines()
        assert f"{step.value} {step.refs[0]}" in text[1]
        assert "Escape" in text[-1]
        assert any("▀" in line for line in text) == (size[1] > 12), "one size of large type where it has room"

    drive(build, tmp_path, act, size)


def test_a_build_takes_at_most_25_extra_keys_for_100_parts_and_hides_nothing() -> None:
    tally = on_screen("twin-board-oscillator", (120, 40))
    assert tally.parts == 162
    assert not tally.hidden
    assert tally.a_hundred(tally.extra) <= GOAL


def test_on_the_smallest_screen_nothing_that_must_be_seen_is_passed() -> None:
    assert not on_screen("first-evening-metronome", (40, 12)).hidden
