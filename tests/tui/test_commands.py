"""The commands of the screens: their table, the keys chosen for them, and keys that are held down."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.build_screen import OPENS, BuildScreen
from bench.tui.screens.keys import KeysScreen
from bench.tui.screens.work import WorkScreen
from bench.tui.widgets.lines import Lines
from bench.ui.commands import COMMANDS, TITLES, by_name, keymap_faults
from bench.ui.form_table import FORMS
from bench.ui.forms import table
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
    screens = places()
    assert screens.keys() == TITLES.keys()
    for command in COMMANDS:
        assert command.keys or command.name == "print_out"
        for place in command.places:
            asks = command.name in {*FORMS, *OPENS} and issubclass(screens[place], BuildScreen)
            own = callable(getattr(screens[place], f"do_{command.name}", None))
            assert asks != own, (place, command.name)


def test_a_second_command_or_form_of_one_name_is_refused_at_once() -> None:
    with pytest.raises(ValueError, match="two commands are called 'note'"):
        by_name((*COMMANDS, next(command for command in COMMANDS if command.name == "note")))
    with pytest.raises(ValueError, match="'note' has two forms"):
        table(*FORMS.values(), FORMS["note"])


def test_every_form_belongs_to_a_command_and_has_no_second_way_in_plain_lines() -> None:
    assert FORMS.keys() <= by_name(COMMANDS).keys()
    assert not [name for name in FORMS if hasattr(PlainSession, f"do_{name}")]


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


def test_a_command_is_found_by_typing_and_done_from_the_list_of_keys(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("ctrl+p")
        assert isinstance(app.screen, WorkScreen), "the toolkit's own list is off"
        await pilot.press("question_mark", "slash", *"one", "space", *"part", "enter")
        assert isinstance(app.screen, KeysScreen)
        assert app.screen.pane.texts[0].startswith(". or f10")
        assert len(app.screen.pane.texts) < 4
        await pilot.press("enter")
        await pilot.pause(0.1)
        assert isinstance(app.screen, WorkScreen)
        assert build.progress.done == {"main/R1"}

    drive(build, tmp_path, act)


def test_the_list_of_keys_begins_with_what_space_does_and_its_columns_are_straight(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("question_mark")
        assert isinstance(app.screen, KeysScreen)
        rows = app.screen.pane.texts
        assert rows[0].startswith("enter or space open ")
        assert {row[14] for row in rows[:20]} == {" "}
        assert all(row[34].isupper() for row in rows[:20])

    drive(None, tmp_path, act, (120, 40))


def test_what_is_typed_for_a_command_of_the_list_of_keys_is_kept(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("question_mark", "slash", *"write", "space", "a", "space", *"note", "enter", "enter")
        await pilot.pause(0.1)
        await pilot.press(*"hello", "enter")
        await pilot.pause(0.1)
        assert [note.text for note in build.progress.notes] == ["hello"]

    drive(build, tmp_path, act)


def test_the_menu_of_marks_offers_each_command_behind_its_key(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("m")
        await pilot.pause()
        said = screen_text(app)
        for command in COMMANDS:
            if " ".join(command.keys).startswith("m ") or command.name == "note":
                assert command.label in said

    drive(build, tmp_path, act)


def test_a_command_that_was_renamed_is_named_where_settings_have_the_old_name() -> None:
    for old, new in (("pass_hold", "override"), ("unpin", "let_go")):
        (fault,) = keymap_faults({old: "f4"}, "settings.toml")
        assert new in fault.hint
