"""A pedal that sends Space answers the usual questions; what stands in a line already is replaced by typing."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Input

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask, Choose
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text

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
        assert screen_text(app).splitlines()[-1].startswith("j count again  space done")

    drive(build, tmp_path, act, (80, 24))


def test_the_pedal_says_that_a_long_gap_was_a_break(tmp_path: Path) -> None:
    clock = HandClock()
    build = on_to_parts(tmp_path / "data", clock)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        clock.work(40 * 60)
        here = build.current
        await pilot.press("space")
        assert isinstance(app.screen, Choose)
        assert "Space: a break" in screen_text(app)
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
