"""Film on screen, driven by keys: claps, the clock, clips and their chapters."""

from __future__ import annotations

from datetime import UTC, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.pilot import Pilot

from bench.log import events as ev
from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.camera import CameraScreen
from bench.tui.screens.clock import ClockScreen
from bench.tui.screens.work import WorkScreen
from bench.ui.clock_face import digits, face_of, lay_face, lay_mark, until_next
from bench.ui.text import cells
from tests.support.samples import START, HandClock, small_build
from tests.support.screens import HOSTILE, SIZES, drive, screen_text


def claps(build: Build) -> list[int]:
    return [clap.number for clap in build.progress.claps]


# -- claps -------------------------------------------------------------------------------------------
def test_one_key_claps_undo_takes_it_back_and_its_number_is_not_given_again(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("0")
        assert "CLAP 1 at" in screen_text(app)
        await pilot.press("0")
        assert claps(build) == [1, 2]
        await pilot.press("u")
        assert claps(build) == [1]
        assert "Undone: clap 2" in screen_text(app)
        await pilot.press("0")
        assert claps(build) == [1, 3]
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act)


def test_a_clap_is_in_the_log_and_leaves_the_step_alone(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        step = build.next_step
        await pilot.press("0")
        assert build.next_step == step
        assert [event.number for event in build.log.events if isinstance(event, ev.SyncMarked)] == [1]

    drive(build, tmp_path, act)


def test_where_nothing_can_be_kept_a_clap_says_so(tmp_path: Path) -> None:
    small_build(tmp_path / "builds" / "one").opened()
    reading = small_build(tmp_path / "builds" / "one", read_only=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("0")
        assert "read only" in screen_text(app).lower()
        await pilot.press("slash", "c", "space")
        assert "cannot be recorded" in screen_text(app) or "nothing can be recorded" in screen_text(app).lower()
        assert reading.progress.claps == ()

    drive(reading, tmp_path, act)


# -- the clock ---------------------------------------------------------------------------------------
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("frames", [0, 25, 30])
def test_the_clock_shows_time_date_offset_and_build_at_every_size(
    build: Build, tmp_path: Path, size: tuple[int, int], frames: int
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("slash", "c")
        await pilot.pause(0.05)
        assert isinstance(app.screen, ClockScreen)
        text = screen_text(app)
        face = face_of(START, frames=frames)
        assert face.offset in text
        assert face.date in text
        assert "Lamp wobbler" in text
        rows = text.splitlines()
        scale = next(scale for scale in range(12, 0, -1) if digits(face.time, scale)[0].strip() in text)
        assert all(any(row.strip() in shown for shown in rows) for row in digits(face.time, scale))
        assert all(any(row.strip() in shown for shown in rows) for row in digits(face.part, scale))
        assert scale >= min((size[0] - 2) // 39, (size[1] - 6) // 8)

    drive(build, tmp_path, act, size, clock_frames=frames)


@pytest.mark.parametrize("size", SIZES)
def test_a_clap_at_the_clock_fills_the_screen_with_its_number_and_then_the_clock_is_back(
    build: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("slash", "c", "space")
        text = screen_text(app)
        assert claps(build) == [1]
        assert "CLAP" in text
        big = (digits("1", scale) for scale in range(2, 13))
        assert any(all(row.strip() in text for row in rows) for rows in big)
        assert "UTC" not in text
        assert isinstance(build.clock, HandClock)
        build.clock.work(1.5)
        await pilot.pause(0.25)
        assert "UTC" in screen_text(app)
        assert "CLAP 1 at" in screen_text(app)

    drive(build, tmp_path, act, size)


def test_the_clock_ticks_only_while_it_is_on_screen(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("slash", "c")
        screen = app.screen
        assert isinstance(screen, ClockScreen)
        assert screen._timer is not None
        await pilot.press("question_mark")
        await pilot.pause()
        assert screen._timer is None
        await pilot.press("escape")
        await pilot.pause()
        assert screen._timer is not None
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, CameraScreen)
        assert screen._timer is None

    drive(build, tmp_path, act)


def test_the_face_changes_with_the_clock(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("slash", "c")
        before = screen_text(app)
        assert isinstance(build.clock, HandClock)
        build.clock.work(7.3)
        await pilot.pause(0.25)
        assert screen_text(app) != before

    drive(build, tmp_path, act)


@given(st.integers(0, 4_000_000_000_000), st.sampled_from([0, 24, 25, 30, 50, 60]))
def test_frames_and_tenths_count_up_through_a_second_and_never_past_it(milliseconds: int, frames: int) -> None:
    seconds = milliseconds / 1000
    zone = timezone(timedelta(hours=5, minutes=30))
    face = face_of(seconds, zone, frames)
    told = int(face.part.lstrip("."))
    assert 0 <= told < (frames or 10)
    assert abs(told / (frames or 10) - milliseconds % 1000 / 1000) < 1 / (frames or 10) + 1e-3
    assert face.offset == "UTC+05:30"
    assert 0 < until_next(seconds, frames) <= 1 / (frames or 10) + 1e-3


@given(st.integers(1, 220), st.integers(1, 70), st.integers(1, 9999))
def test_clock_and_mark_fit_any_room(width: int, height: int, number: int) -> None:
    face = face_of(START, UTC)
    for rows in (
        lay_face(face, "Lamp wobbler", "said", width, height),
        lay_mark(number, "18:20:05.12", width, height),
    ):
        assert len(rows) <= height
        if width >= 12:
            assert all(sum(cells(text) for text, _ in row) <= width for row in rows)


def test_all_digits_are_as_wide_as_one_another() -> None:
    for scale in (1, 2, 3):
        assert {len(digits(char, scale)[0]) for char in "0123456789"} == {5 * scale}


# -- clips -------------------------------------------------------------------------------------------
async def worked(pilot: Pilot[None], build: Build) -> None:
    """A clap, some work, another clap."""
    assert isinstance(build.clock, HandClock)
    await pilot.press("0")
    for _ in range(4):
        build.clock.work(200)
        build.done()
    await pilot.press("0")


@pytest.mark.parametrize("size", SIZES)
def test_a_clip_is_named_by_keys_and_its_map_and_chapters_are_shown(
    build: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await worked(pilot, build)
        await pilot.press("slash", "n", *"one.mov", "enter", *"1=12.48 2=13:32.48", "enter")
        await pilot.press(*"15:00", "enter")
        await pilot.pause()
        text = screen_text(app)
        assert "one.mov" in text
        assert "fitted through two marks" in " ".join(text.split())
        (clip,) = build.progress.clips
        assert (clip.claps, clip.length) == (((1, 12.48), (2, 812.48)), 900.0)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, CameraScreen)
        text = screen_text(app)
        assert "clap 1" in text
        assert "> clip one.mov" in text

    drive(build, tmp_path, act, size)


def test_a_clip_and_a_clap_are_taken_out_by_a_key_and_the_log_keeps_them(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await worked(pilot, build)
        await pilot.press("slash", "n", *"one.mov", "enter", *"1=12.48", "enter", *"15:00", "enter", "escape")
        await pilot.pause()
        lines = len(build.log.events)
        await pilot.press("x")
        await pilot.pause()
        assert "one.mov is taken out" in screen_text(app)
        assert build.progress.clips == ()
        await pilot.press("x")
        await pilot.pause()
        assert "Clap 2 is taken back" in screen_text(app)
        assert [clap.number for clap in build.progress.claps] == [1]
        assert len(build.log.events) == lines + 2

    drive(build, tmp_path, act)


def test_the_film_kit_of_a_clip_from_before_the_first_step_is_written_at_the_bench(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await worked(pilot, build)
        build.name_clip("unboxing.mp4", "2026-01-01T00:00:00Z", length=180.0)
        await pilot.press("f9")
        await pilot.pause(0.2)
        assert "none of the work was filmed" in " ".join(screen_text(app).split())
        assert (build.log.folder / "film" / "description.txt").is_file()

    drive(build, tmp_path, act)


def test_a_clip_that_cannot_be_is_refused_and_nothing_is_recorded(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await worked(pilot, build)
        for when in ("9=1", "soon", "1=x"):
            await pilot.press("slash", "n", *"one", "enter", *when, "enter", "enter")
            await pilot.pause()
            assert isinstance(app.screen, Ask), "what was typed stands in the box again"
            assert build.progress.clips == ()
            assert {"9=1": "clap"}.get(when, "not a time") in screen_text(app)
            await pilot.press(*["backspace"] * 20, "escape", "escape")

    drive(build, tmp_path, act)


def test_a_clap_can_be_labelled_and_undone_in_its_place(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("slash", "0", "e", *"tape on", "enter")
        await pilot.pause()
        assert build.progress.claps[0].label == "tape on"
        assert "tape on" in screen_text(app)
        await pilot.press("u")
        assert claps(build) == []

    drive(build, tmp_path, act)


def test_the_film_kit_is_written_beside_the_log(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await worked(pilot, build)
        build.name_clip("one.mov", claps=((1, 12.48),), length=900.0)
        build.name_clip("../One.mov", claps=((2, 700.0),), length=900.0)
        await pilot.press("slash", "f9")
        await pilot.pause()
        folder = build.log.folder / "film"
        assert {path.name for path in folder.iterdir()} == {
            "captions.srt", "captions.vtt", "chapters.csv", "chapters.txt", "chapters.vtt", "clips",
            "cut-list.txt", "description.txt", "timeline.edl", "timeline.otio", "worth-showing.csv",
        }  # fmt: skip
        assert {path.name.partition(".")[0] for path in (folder / "clips").iterdir()} == {
            "one-mov",
            "one-mov-2",
        }
        assert "files written" in screen_text(app)

    drive(build, tmp_path, act)


def test_the_film_kit_can_be_written_from_the_bench(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("f9")
        await pilot.pause()
        assert [path.name for path in (build.log.folder / "film").iterdir()] == ["description.txt"]
        assert "1 file written" in screen_text(app)

    drive(build, tmp_path, act)


@pytest.mark.parametrize("hostile", HOSTILE)
@pytest.mark.parametrize("size", [(40, 12), (120, 40)])
def test_no_name_or_label_breaks_the_screen(
    build: Build, tmp_path: Path, hostile: str, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await worked(pilot, build)
        build.clap(hostile)
        build.name_clip(hostile, claps=((1, 12.48),), length=900.0)
        await pilot.press("slash")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        await pilot.press("escape", "c")
        await pilot.pause(0.05)
        text = screen_text(app)
        assert "\x1b" not in text
        assert "\u202e" not in text

    drive(build, tmp_path, act, size)
