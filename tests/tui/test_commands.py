"""The commands of the screens: their table, the keys chosen for them, and keys that are held down."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.work import WorkScreen
from bench.tui.widgets.lines import Lines
from bench.ui.commands import COMMANDS
from tests.support.screens import drive, places, screen_text


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
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act)
    found = places()
    for command in COMMANDS:
        assert command.keys
        for place in command.places:
            assert callable(getattr(found[place], f"do_{command.name}")), (place, command.name)


def test_each_command_has_a_name_of_its_own() -> None:
    assert len({command.name for command in COMMANDS}) == len(COMMANDS)


def test_no_two_commands_of_a_place_share_a_key() -> None:
    given = [(place, key) for command in COMMANDS for place in command.places for key in command.keys]
    assert len(given) == len(set(given)), sorted(each for each in set(given) if given.count(each) > 1)


def test_keys_can_be_chosen_and_the_foot_line_shows_them(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "f5 done" in screen_text(app)
        await pilot.press("space")
        assert build.view().step_number == 1
        await pilot.press("f5")
        assert build.view().step_number == 2

    drive(build, tmp_path, act, keys={"done": "f5"})


def test_a_key_that_is_held_down_counts_once(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("space", "space", "space")
        assert build.view().step_number == 2

    drive(build, tmp_path, act, repeat_milliseconds=2000)


def test_the_palette_offers_the_commands_of_the_table(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, WorkScreen)
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
