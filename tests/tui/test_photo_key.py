"""The key at the bench that says: a photo is taken now."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.log import events as ev
from bench.log.amend import with_corrections
from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.settings import Settings
from bench.tui.app import BenchApp
from tests.support.samples import HandClock, small_build
from tests.support.screens import SIZES, drive, screen_text


def marks(build: Build) -> list[ev.PhotoTaken]:
    return [event for event in with_corrections(build.events) if isinstance(event, ev.PhotoTaken)]


@pytest.mark.parametrize("size", SIZES)
def test_the_moment_is_that_of_the_key_and_the_caption_follows(
    build: Build, clock: HandClock, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        before = clock.now().at
        await pilot.press("m", "p")
        await pilot.pause()
        assert "leave it empty" in screen_text(app)
        clock.work(40)
        await pilot.press(*"C5 leans", "enter")
        await pilot.pause()
        assert [(mark.at, mark.caption) for mark in marks(build)] == [(before, "C5 leans")]
        assert marks(build)[0].stage == "Flat parts"
        assert "Photo marked" in screen_text(app)

    drive(build, tmp_path, act, size)


def test_escape_keeps_the_mark_and_says_so_and_undo_takes_it_back(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("m", "p", "escape")
        await pilot.pause()
        assert [mark.caption for mark in marks(build)] == [""]
        assert "Photo marked, without a caption." in screen_text(app)
        await pilot.press("u")
        await pilot.pause()
        assert "Undone: photo taken" in screen_text(app)

    drive(build, tmp_path, act)


def test_a_build_opened_for_reading_marks_nothing(build: Build, tmp_path: Path) -> None:
    watching = small_build(build.log.folder, read_only=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("m", "p")
        await pilot.pause()
        assert "nothing can be recorded" in screen_text(app).casefold()
        assert not marks(watching)

    drive(watching, tmp_path, act)


def test_in_plain_lines_it_is_the_same(build: Build) -> None:
    said: list[str] = []
    typed = iter(["m p", "C5 leans", "m", "p", ".", "q"])
    PlainSession(build, Settings(), lambda _: next(typed), said.append).run()
    assert [mark.caption for mark in marks(build)] == ["C5 leans", ""]
    assert "Photo marked, with its caption." in said
