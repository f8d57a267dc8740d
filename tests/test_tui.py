"""The screens, driven by keys as a builder would."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot

from bench.build.session import Build
from bench.log.file import LogFile
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.commands import COMMANDS
from bench.tui.screens.bench import BenchScreen
from bench.tui.widgets.lines import Lines
from tests.samples import HandClock, small_build, small_kit, small_plan

Act = Callable[[Pilot[None], BenchApp], Awaitable[None]]
SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]


def screen_text(app: BenchApp) -> str:
    """What stands on screen, row by row."""
    width, height = app.size
    return "\n".join(
        "".join(segment.text for segment in strip)
        for strip in app.screen._compositor.render_strips(app.size)[:height]
        if width
    )


def notes_of(build: Build) -> list[str]:
    """Texts of the notes that stand."""
    return [note.text for note in build.progress.notes]


def drive(
    build: Build | None, data: Path, act: Act, size: tuple[int, int] = (80, 24), **chosen: object
) -> None:
    """Run the app without a terminal and let `act` press keys."""

    async def run() -> None:
        settings = Settings(**{"repeat_milliseconds": 0, **chosen})  # type: ignore[arg-type]
        app = BenchApp(data, settings, HandClock() if build is None else build.clock, build)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await act(pilot, app)

    asyncio.run(run())


@pytest.fixture
def clock() -> HandClock:
    return HandClock()


@pytest.fixture
def build(tmp_path: Path, clock: HandClock) -> Build:
    return small_build(tmp_path / "builds" / "one", clock)


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
        assert "no longer 4k7" in screen_text(app)
        await pilot.press("u")
        assert build.view().step_number == 1
        assert "Taken back: done: 4k7" in screen_text(app)

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
        for answer in ("bridge q?", "R2", "many", "\b", "wick"):
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
        await pilot.press("space", "b")
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
        assert "still open" in screen_text(app)
        await pilot.press("space")
        assert build.view().stage_number == 3
        await pilot.press("g", "o", "k", "enter", "space")
        assert "what does the meter show?" in screen_text(app)
        await pilot.press("1", "2", "enter")
        assert "OUT" in screen_text(app)
        assert build.view().stage_number == 3
        await pilot.press("space", "1", "k", "2", "enter")
        assert build.view().stage_number == 4

    drive(build, tmp_path, act)


HOSTILE = [
    "[/b]",
    "[$x] [red]",
    "\x1b[31mred\x1b]0;title\x07",
    "x" * 5000,
    "日本語" * 50,
    "a\u202eb\u200bc",
    "é" + "\u0301" * 50,
]


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("size", [(40, 12), (120, 40)])
def test_any_text_shows_as_text_and_breaks_nothing(
    build: Build, tmp_path: Path, text: str, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        build.note(text)
        build.snag(text, text, 1.0, text)
        build.substitute("R1 R2 R3 4k7", text, text)
        build.hold_back(text)
        assert isinstance(app.screen, BenchScreen)
        app.screen.paint(text)
        await pilot.press("t", "l")
        await pilot.pause()
        seen = screen_text(app)
        assert "\x1b" not in seen
        assert "\u202e" not in seen
        await pilot.press("up", "up", "c", "escape", "escape")
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)

    drive(build, tmp_path, act, size)


def test_a_text_in_brackets_is_read_to_the_letter(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        build.note("see [/b] and [$x] there")
        await pilot.press("l")
        await pilot.pause()
        assert "see [/b] and [$x] there" in screen_text(app)

    drive(build, tmp_path, act, (120, 40))


def test_the_log_takes_back_brings_back_and_corrects(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n", "t", "y", "p", "o", "enter", "l")
        await pilot.pause()
        await pilot.press("x")
        assert notes_of(build) == []
        assert "taken back: note: typo" in screen_text(app)
        await pilot.press("x")
        assert notes_of(build) == ["typo"]
        await pilot.press("c", "s", "enter")
        assert notes_of(build) == ["typos"]
        await pilot.press("escape")
        assert isinstance(app.screen, BenchScreen)

    drive(build, tmp_path, act)


def test_every_command_of_the_table_has_its_action_a_key_and_a_line_in_help(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("question_mark")
        await pilot.pause()
        rows = app.screen.query_one("#body", Lines)._rows
        said = " ".join(text for row in rows for text, _ in row)
        for command in COMMANDS:
            if "bench" in command.places:
                assert command.label in said
        await pilot.press("escape")
        assert isinstance(app.screen, BenchScreen)

    drive(build, tmp_path, act)
    from bench.tui.screens import bag, bench, fault, log, meter, pages, shelf, trim

    places = {
        "bench": bench.BenchScreen,
        "log": log.LogScreen,
        "shelf": shelf.ShelfScreen,
        "text": pages.Page,
        "meter": meter.MeterScreen,
        "bag": bag.BagScreen,
        "fault": fault.FaultScreen,
        "trim": trim.TrimScreen,
    }
    for command in COMMANDS:
        assert command.keys
        for place in command.places:
            assert callable(getattr(places[place], f"do_{command.name}")), (place, command.name)


def test_keys_can_be_chosen_and_the_foot_line_shows_them(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "f5 done" in screen_text(app)
        await pilot.press("space")
        assert build.view().step_number == 1
        await pilot.press("f5")
        assert build.view().step_number == 2

    drive(build, tmp_path, act, keys={"done": "f5"})


def test_a_key_that_repeats_as_fast_as_a_keyboard_does_is_a_held_key(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, BenchScreen)
        times = iter([10.0, 10.5, 10.53, 10.56, 10.59, 11.5])
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr("bench.tui.screens.place.time.monotonic", lambda: next(times))
            held = [app.screen._held_down("space") for _ in range(6)]
        assert held == [False, False, False, True, True, False]

    drive(build, tmp_path, act)


def test_a_key_that_is_held_down_counts_once(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", "space", "space")
        assert build.view().step_number == 2

    drive(build, tmp_path, act, repeat_milliseconds=2000)


def test_a_second_window_says_that_nothing_is_kept(build: Build, tmp_path: Path, clock: HandClock) -> None:
    second = small_build(build.log.folder, clock)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "Reading only" in screen_text(app)
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


def test_the_palette_offers_the_commands_of_the_table(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, BenchScreen)
        offered = {command.title for command in app.get_system_commands(app.screen)}
        assert "hold back (h)" in offered
        await pilot.press("ctrl+p")
        await pilot.pause()
        await pilot.press(*"one", "space", *"part")
        await pilot.pause(0.3)
        await pilot.press("enter")
        await pilot.pause(0.3)
        assert build.progress.done == {"main/R1"}

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
        await pilot.press("space", "m", "e", "enter", "n", "o", "enter")
        assert build.progress.danger_owned is None
        await pilot.press("backspace", "backspace", *"off", "space", *"and", "space", *"measured", "enter")
        assert build.progress.danger_owned is not None
        assert build.progress.danger_owned.text == "me"

    drive(build, tmp_path, act)


def test_the_meter_shows_every_check_takes_readings_and_marks_drift(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("y")
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
        assert "not counted" in screen_text(app)
        await pilot.press("space", "n", "0", "enter")
        await pilot.pause()
        text = screen_text(app)
        assert "all there" in text
        assert "1 MISSING" in text
        await pilot.press("o", "escape")
        await pilot.pause()
        assert isinstance(app.screen, BenchScreen)
        assert (build.log.folder / "shortage.txt").is_file()

    drive(build, tmp_path, act, (120, 30))


def test_value_and_designators_are_on_the_first_screen_of_the_smallest_card(
    build: Build, tmp_path: Path
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, BenchScreen)
        app.screen.paint("You were here. " * 6)
        await pilot.pause()
        text = screen_text(app)
        for word in ("4k7", "R1", "R2", "R3"):
            assert word in text

    drive(build, tmp_path, act, (40, 12))
