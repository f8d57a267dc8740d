"""Time left and the record on screen, and a word when a rest is due."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.log.clock import utc_seconds
from bench.session.build import Build
from bench.session.folders import build_folders, open_build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.pages import Page
from bench.tui.screens.work import WorkScreen
from tests.support.recorded_builds import record_builds
from tests.support.samples import HandClock
from tests.support.screens import SIZES, drive, screen_text

pytestmark = pytest.mark.usefixtures("own_data")


async def learned(pilot: Pilot[None], app: BenchApp) -> None:
    """Wait until the builds have been read, which begins half a second after the first step is on screen."""
    assert isinstance(app.screen, WorkScreen)
    for _ in range(400):
        await pilot.pause(0.05)
        if app.screen._known is not None:
            return
    raise AssertionError("the builds were not read")


def under_way(data: Path) -> Build:
    last = record_builds(data, "sss", last=0.32)[-1][-1]
    folder = max(build_folders(data), key=lambda each: each.name)
    return open_build(data, folder.name, Settings(), HandClock(utc=utc_seconds(last.at) or 0.0))


@pytest.mark.parametrize("size", SIZES)
def test_time_left_stands_in_the_rail_where_there_is_one(tmp_path: Path, size: tuple[int, int]) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await learned(pilot, app)
        text = screen_text(app)
        assert ("Time left: about" in text) == (size[0] >= 100)
        app.screen._clocks()  # type: ignore[attr-defined]
        bar = screen_text(app).splitlines()[0]
        assert bool(re.search(r"about \d.*? left  bench", bar)) == (size[0] < 100), (
            "the bar, where there is no rail"
        )
        assert bool(re.search(r"\d(?: s| min)?–\d+ (?:s|min|h)", text)) == (size[0] >= 100)
        app.screen.do_done()  # type: ignore[attr-defined]
        app.screen._keep_time()  # type: ignore[attr-defined]
        await app.workers.wait_for_complete()

    drive(under_way(tmp_path), tmp_path, act, size)


def test_the_record_is_a_key_away_from_the_shelf(tmp_path: Path) -> None:
    record_builds(tmp_path, "ss")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("y")
        await pilot.pause()
        assert isinstance(app.screen, Page)
        text = screen_text(app)
        assert "Your record: 2 builds" in text.replace("\n", " ")
        await pilot.press("escape")
        assert "Ready to build" in screen_text(app)

    for size in ((40, 12), (120, 40)):
        drive(None, tmp_path, act, size)


def test_what_the_record_says_stands_among_the_cautions_of_such_parts(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        build.equipment.reminders = {"resistor": "3 of your last 5 snags were resistors [/b]"}
        await pilot.press("space")
        assert "▲ Your record: 3 of your last 5 snags were resistors [/b]" in screen_text(app)
        await pilot.press("space")
        assert build.view().step.kind == "diode"  # type: ignore[union-attr]
        assert "Your record" not in screen_text(app)

    drive(build, tmp_path, act, (100, 30))


def test_a_rest_is_suggested_once_after_a_long_sitting(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        screen, clock = app.screen, build.clock
        assert isinstance(screen, WorkScreen)
        assert isinstance(clock, HandClock)
        for _ in range(8):
            clock.work(600)
            build.note("still at it")
            screen._keep_time()
        assert "without a break" not in screen_text(app)
        clock.work(720)
        screen._keep_time()
        await pilot.pause()
        assert "1 h 32 min at the bench without a break" in screen_text(app)
        await pilot.press("space")
        screen._keep_time()
        await pilot.pause()
        assert "without a break" not in screen_text(app)
        build.break_begin()
        clock.work(600)
        build.break_end()
        screen._keep_time()
        assert not screen._rest._told

    drive(build, tmp_path, act)


def test_no_rest_is_suggested_to_somebody_who_wants_none(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        for _ in range(20):
            build.clock.work(600)  # type: ignore[attr-defined]
            build.note("still at it")
        app.screen._keep_time()  # type: ignore[attr-defined]
        await pilot.pause()
        assert "without a break" not in screen_text(app)

    drive(build, tmp_path, act, rest_after_minutes=0.0)


def test_a_run_of_snags_gets_one_calm_line(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        screen = app.screen
        assert isinstance(screen, WorkScreen)
        for _ in range(3):
            build.clock.work(300)  # type: ignore[attr-defined]
            build.snag("bridge")
            screen._keep_time()
        await pilot.pause()
        assert "Three snags in a short time" in screen_text(app)
        await pilot.press("space")
        screen._keep_time()
        await pilot.pause()
        assert "Three snags" not in screen_text(app)

    drive(build, tmp_path, act)
