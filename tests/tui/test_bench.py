"""The screens, driven by keys as a builder would."""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from bench.log.file import LogFile
from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.work import WorkScreen
from tests.support.samples import HandClock, small_kit, small_plan
from tests.support.screens import SIZES, drive, screen_text


def notes_of(build: Build) -> list[str]:
    """Texts of the notes that stand."""
    return [note.text for note in build.progress.notes]


@pytest.mark.parametrize("size", SIZES)
def test_the_bench_shows_value_designators_and_place_at_every_size(
    build: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", "space")
        text = screen_text(app)
        assert "step 3 of 3" in text
        assert "stripe to stripe" in text.replace("\n", " ")
        assert "Flat parts" in text
        assert ("1N4148" in text) or "█" in text

    drive(build, tmp_path, act, size)


def test_one_key_does_a_step_and_another_takes_it_back(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space")
        assert build.view().step_number == 2
        assert "was 4k7" in screen_text(app)
        await pilot.press("u")
        assert build.view().step_number == 1
        assert "Undone: 4k7" in screen_text(app)

    drive(build, tmp_path, act)


def test_a_resize_in_the_middle_of_a_step_loses_nothing(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", ".")
        for size in [*SIZES, (20, 5), (1, 1), (80, 24)]:
            await pilot.resize_terminal(*size)
            await pilot.pause()
        assert "Flat parts" in screen_text(app)
        assert build.progress.done == {"main/R1", "main/R2", "main/R3", "main/R4"}

    drive(build, tmp_path, act)


def test_a_snag_is_four_short_lines(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("s")
        for answer in ("bridge q?", "R2", "wick", "many", "\b"):
            if answer == "\b":
                assert "number" in screen_text(app)
                for _ in "many":
                    await pilot.press("backspace")
                await pilot.press("7", "enter")
                continue
            await pilot.press(
                *answer.replace(" ", "_")[:0], *[("space" if c == " " else c) for c in answer], "enter"
            )
        snag = build.progress.snags[0]
        assert (snag.what, snag.part, snag.minutes, snag.fix) == ("bridge q?", "R2", 7.0, "wick")

    drive(build, tmp_path, act)


def test_escape_gives_a_question_up_and_records_nothing(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        before = build.progress.events
        await pilot.press("n", "a", "b", "escape")
        assert build.progress.events == before
        await pilot.press("space")
        assert build.progress.events == before + 1

    drive(build, tmp_path, act)


def test_joints_are_asked_for_at_the_end_of_a_stage_without_telling_how_many(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", "space", "space")
        text = screen_text(app)
        asked = text[text.index("Joints") :]
        assert "10" not in asked
        await pilot.press("9", "enter")
        assert "there should be 10" in screen_text(app)
        assert build.progress.counts[0].counted == 9

    drive(build, tmp_path, act)


def test_a_long_time_without_a_key_asks_before_anything_else_happens(
    build: Build, tmp_path: Path, clock: HandClock
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        clock.work(3600)
        before = build.next_step
        await pilot.press("space")
        assert "What was it?" in screen_text(app)
        await pilot.press("x", "b")
        assert build.next_step == before
        assert build.progress.breaks[0].noticed
        await pilot.press("space")
        assert build.next_step != before

    drive(build, tmp_path, act)


def test_looking_back_changes_nothing(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", "space")
        done = build.progress.done
        await pilot.press("v")
        assert "Looking back" in screen_text(app)
        await pilot.press("space", "space")
        assert "Looking back" not in screen_text(app)
        assert build.progress.done == done

    drive(build, tmp_path, act)


def test_a_hold_point_is_passed_only_with_a_reason(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("h", "enter")
        await pilot.press("space", "space", "4", "enter", "space", "4", "enter")
        assert "HOLD POINT" in screen_text(app)
        assert "not done yet" in screen_text(app)
        await pilot.press("space")
        assert build.view().stage_number == 3
        await pilot.press("g", "o", "k", "enter", "space")
        assert "What does the meter show?" in screen_text(app)
        await pilot.press("1", "2", "R", "enter")
        assert "is below the limits" in screen_text(app)
        assert build.view().stage_number == 3
        await pilot.press("space", "1", "k", "2", "enter")
        assert build.view().stage_number == 4

    drive(build, tmp_path, act)


def test_the_log_tells_where_each_stage_begins(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", "l")
        await pilot.pause()
        begins = [row for row in screen_text(app).splitlines() if f"> {build.plan.stages[0].name}" in row]
        assert len(begins) == 1
        assert "opened" in begins[0]

    drive(build, tmp_path, act)


def test_the_log_takes_back_brings_back_and_corrects(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n", "t", "y", "p", "o", "enter", "l")
        await pilot.pause()
        await pilot.press("x")
        assert notes_of(build) == []
        assert "undone: note: typo" in screen_text(app)
        await pilot.press("x")
        assert notes_of(build) == ["typo"]
        await pilot.press("c", "s", "enter")
        assert notes_of(build) == ["typos"]
        await pilot.press("escape")
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act)


def test_what_can_kill_is_not_passed_with_one_key(tmp_path: Path, clock: HandClock) -> None:
    kit = replace(small_kit(), hazards=("mains",))
    build = Build(kit, small_plan(), LogFile(tmp_path / "one"), clock)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        for _ in range(4):
            build.done()
        await pilot.press("escape", "space")
        assert "MAINS CAN KILL" in screen_text(app)
        await pilot.press("enter", "space", "enter", "escape")
        assert build.progress.danger_owned is None
        await pilot.press("space", "m", "e", "enter", "enter", "n", "o", "enter")
        assert build.progress.danger_owned is None
        await pilot.press("backspace", "backspace", *"off", "space", *"and", "space", *"measured", "enter")
        assert build.progress.danger_owned is not None
        assert build.progress.danger_owned.text == "me"

    drive(build, tmp_path, act)


def test_the_meter_shows_every_check_takes_readings_and_marks_drift(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("f5")
        await pilot.pause()
        assert "> 200 ohm" in screen_text(app)
        await pilot.press("enter", *"1k2", "enter")
        assert "in" in screen_text(app)
        await pilot.press("enter", *"5k6", "enter")
        assert "DRIFTED" in screen_text(app)
        await pilot.press("u", "escape")
        assert [reading.text for reading in build.progress.readings] == ["1k2"]

    drive(build, tmp_path, act, (140, 30))


def test_the_bag_is_counted_off_with_single_keys(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("c")
        await pilot.pause()
        assert "0 of" in screen_text(app)
        await pilot.press("space", "n", "0", "enter")
        await pilot.pause()
        text = screen_text(app)
        assert "all there" in text
        assert "1 MISSING" in text
        await pilot.press("o", "escape")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        assert (build.log.folder / "shortage.txt").is_file()

    drive(build, tmp_path, act, (120, 30))


def test_value_and_designators_are_on_the_first_screen_of_the_smallest_card(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, WorkScreen)
        app.screen.refresh_view("You were here. " * 6)
        await pilot.pause()
        text = screen_text(app)
        for word in ("4k7", "R1", "R2", "R3"):
            assert word in text

    drive(build, tmp_path, act, (40, 12))
