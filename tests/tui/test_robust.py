"""The screens with any text, a second window and a failing disk."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.work import WorkScreen
from tests.support.samples import HandClock, small_build
from tests.support.screens import drive, hostile_at, screen_text


@hostile_at((40, 12), (120, 40))
def test_any_text_shows_as_text_and_breaks_nothing(
    build: Build, tmp_path: Path, text: str, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        build.note(text)
        build.snag(text, text, 1.0, text)
        build.substitute("R1 R2 R3 4k7", text, text)
        build.hold_back(text)
        assert isinstance(app.screen, WorkScreen)
        app.screen.refresh_view(text)
        await pilot.press("m", "h", "l")
        await pilot.pause()
        seen = screen_text(app)
        assert "\x1b" not in seen
        assert "\u202e" not in seen
        await pilot.press("up", "up", "c", "escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act, size)


def test_a_text_in_brackets_is_read_to_the_letter(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        build.note("see [/b] and [$x] there")
        await pilot.press("l")
        await pilot.pause()
        assert "see [/b] and [$x] there" in screen_text(app)

    drive(build, tmp_path, act, (120, 40))


def test_a_second_window_says_that_nothing_is_kept(build: Build, tmp_path: Path, clock: HandClock) -> None:
    second = small_build(build.log.folder, clock)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "Read only" in screen_text(app)
        for key in ("space", "u", "n", "b", "h", "s", "x"):
            await pilot.press(key)
            await pilot.press("escape")
        assert second.progress == build.progress

    drive(second, tmp_path, act, (100, 30))


def test_a_failing_disk_is_said_at_once_and_the_step_stays(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        def broken(_: int) -> None:
            raise OSError(28, "No space left on device")

        with monkeypatch.context() as patch:
            patch.setattr("os.fsync", broken)
            await pilot.press("space")
            assert "No space left" in screen_text(app)
            assert build.view().step_number == 1
        await pilot.press("space")
        assert build.view().step_number == 2

    drive(build, tmp_path, act)
