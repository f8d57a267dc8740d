"""The first hour: from nothing to a kit at the bench, and help that shows how."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.cli import parser
from bench.tui.app import BenchApp
from bench.tui.screens.lists import ListPane
from bench.tui.screens.shelf import ShelfScreen
from bench.tui.screens.work import WorkScreen
from tests.support.screens import drive, screen_text


def sub_commands() -> dict[str, argparse.ArgumentParser]:
    action = next(each for each in parser()._actions if isinstance(each, argparse._SubParsersAction))
    return dict(action.choices)


def test_the_help_of_the_program_and_of_every_sub_command_carries_an_example() -> None:
    assert "Example: solderside build" in parser().format_help()
    for name, sub in sub_commands().items():
        said = " ".join(sub.format_help().split())
        assert f"Example: solderside {name}" in said, name


def test_an_empty_start_says_what_to_do_and_shows_the_easiest_kit_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, ShelfScreen)
        await pilot.pause()
        seen = screen_text(app)
        assert "enter starts the kit on this line" in seen
        rows = seen.split("\n")
        head = next(at for at, row in enumerate(rows) if "Ready to build" in row)
        assert "parts" in rows[head]
        assert "joints" in rows[head]
        assert "Passive splitter" in rows[head + 1]

    drive(None, tmp_path / "data", act)


def test_a_kit_written_by_hand_stands_on_the_shelf_and_can_be_begun(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    data = tmp_path / "data"

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n", *"moth", "enter", "enter")
        await pilot.pause()
        await pilot.pause()
        assert (data / "kits" / "moth.yaml").is_file()
        seen = screen_text(app)
        assert "Written:" in seen
        assert "> " in seen
        await pilot.press("space")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        assert app.screen.build.kit.name == "moth"

    drive(None, data, act, (120, 40))


def test_a_faulty_kit_file_stands_last_with_the_number_of_its_faults(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "broken.yaml").write_text("kit: 1\nboards: 7\n", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        rows = app.screen.query_one(ListPane).texts
        assert "broken.yaml" in rows[-1]
        assert "fault" in rows[-1]

    drive(None, tmp_path / "data", act, (120, 40))
