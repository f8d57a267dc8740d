"""The shelf: groups, search by typing, builds put away and deleted with undo, and many of them at once."""

from __future__ import annotations

from contextlib import nullcontext
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.log import events as ev
from bench.session.folders import build_folders, open_build
from bench.session.put_away import deleted_builds, is_put_away
from bench.session.summaries import summaries
from bench.session.under_way import latest_under_way
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.shelf import AT_ONCE, ShelfScreen
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text

KIT = """\
kit: 1
name: Lamp {}
boards:
  - name: main
    parts:
      - {{refs: R1, value: 47R}}
"""


@pytest.fixture
def data(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """One build under way and one that is done."""
    monkeypatch.chdir(tmp_path)
    done = open_build(tmp_path, "passive-splitter", Settings(), HandClock())
    for step in done.outline.steps:
        done.writer.record(ev.Done(**done._here(step), items=step.items))
    done.close()
    open_build(tmp_path, "fog-filter", Settings(), HandClock()).close()
    return tmp_path


def shelf(app: BenchApp) -> ShelfScreen:
    assert isinstance(app.screen, ShelfScreen)
    return app.screen


def heads(app: BenchApp) -> list[str]:
    return [head[0][0].strip() for head in shelf(app).pane._heads.values()]


def test_builds_and_kits_stand_in_groups_with_the_names_of_their_columns(data: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        assert heads(app) == ["Under way", "Ready to build", "Built"]
        rows = screen_text(app).split("\n")
        under_way = next(row for row in rows if "Under way" in row)
        assert "done" in under_way
        assert "at the bench" in under_way
        assert rows[rows.index(under_way) + 1].startswith(">   Fog filter rev. A")

    drive(None, data, act, (120, 40))


def test_the_foot_line_offers_only_what_the_line_under_the_cursor_has(data: Path) -> None:
    def foot(app: BenchApp) -> str:
        return screen_text(app).rstrip("\n").split("\n")[-1]

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        assert {"o article", "x put away"} <= {
            f"{k} {v}" for k, v in app.keymap.foot("shelf") if v in foot(app)
        }
        assert "undo" not in foot(app), "nothing was done here"
        await pilot.press("down")
        assert "> " in screen_text(app)
        assert not [word for word in ("article", "put away", "rename", "undo") if word in foot(app)]
        assert "r read a parts list" in foot(app)
        await pilot.press("up", "x")
        await pilot.pause()
        assert "u undo" in foot(app)

    drive(None, data, act, (200, 40))


def test_the_cursor_is_on_the_build_that_the_builder_comes_from(data: Path) -> None:
    build = open_build(data, "passive-splitter", Settings(), HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("k")
        await pilot.pause()
        assert shelf(app).pane.texts[shelf(app).pane.chosen].strip().startswith("Passive splitter")
        assert "Built" in heads(app)

    drive(build, data, act, (120, 40))


def test_typing_shows_only_what_holds_it_and_escape_shows_all_again(data: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        many = len(shelf(app).pane.texts)
        await pilot.press("slash", *"fog q")
        await pilot.pause()
        assert shelf(app).pane.texts == []
        assert "Find: fog q_" in screen_text(app)
        await pilot.press("backspace", "backspace", "enter")
        await pilot.pause()
        assert all("Fog" in text for text in shelf(app).pane.texts)
        assert len(shelf(app).pane.texts) == 2
        await pilot.press("escape")
        await pilot.pause()
        assert len(shelf(app).pane.texts) == many

    drive(None, data, act, (120, 40))


def test_home_and_end_go_to_the_first_and_last_line(data: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("end")
        assert shelf(app).pane.chosen == len(shelf(app).pane.texts) - 1
        await pilot.press("home")
        assert shelf(app).pane.chosen == 0

    drive(None, data, act, (120, 40))


def test_a_build_is_put_away_and_comes_back_with_undo(data: Path) -> None:
    folder = data / "builds" / "fog-filter-rev-a"

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.press("x")
        await pilot.pause()
        assert is_put_away(folder)
        assert heads(app)[-1] == "Put away"
        assert latest_under_way(data, Settings(), HandClock()) is None
        await pilot.press("u")
        await pilot.pause()
        assert not is_put_away(folder)
        assert heads(app)[0] == "Under way"

    drive(None, data, act, (120, 40))


def test_a_deleted_build_is_kept_and_comes_back_with_undo(data: Path) -> None:
    log = (data / "builds" / "fog-filter-rev-a" / "log.jsonl").read_bytes()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.press("d")
        await pilot.pause()
        assert [each.name for each in build_folders(data)] == ["passive-splitter-rev-a"]
        assert [each.name for each in deleted_builds(data)] == ["fog-filter-rev-a"]
        assert "u undoes it" in screen_text(app)
        await pilot.press("u")
        await pilot.pause()
        assert not deleted_builds(data)

    drive(None, data, act, (120, 40))
    assert (data / "builds" / "fog-filter-rev-a" / "log.jsonl").read_bytes() == log


def test_a_build_that_is_open_in_another_window_is_not_deleted(data: Path) -> None:
    other = open_build(data, "fog-filter", Settings(), HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.press("d")
        await pilot.pause()
        assert "another window" in screen_text(app)

    drive(None, data, act, (120, 40))
    assert other.log.path.is_file()


def test_many_builds_and_kits_show_their_names_at_once_and_fill_in(data: Path) -> None:
    (data / "kits").mkdir()
    for number in range(AT_ONCE):
        (data / "kits" / f"lamp-{number}.yaml").write_text(KIT.format(number), encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert len(shelf(app).pane.texts) > AT_ONCE
        for _ in range(200):
            await pilot.pause(0.02)
            if not any("..." in text for text in shelf(app).pane.texts):
                break
        assert not any("..." in text for text in shelf(app).pane.texts)
        assert any("Lamp 7" in text for text in shelf(app).pane.texts)

    drive(None, data, act, (120, 40))


def test_a_summary_from_the_cache_follows_the_log_and_the_kit_file(data: Path) -> None:
    def filter_build() -> tuple[int, tuple[str, ...]]:
        found = next(each for each in summaries(data, Settings()) if each.name.startswith("fog"))
        return found.items_done, found.edits

    kit = data / "my.yaml"
    kit.write_text(KIT.format(1), encoding="utf-8")
    before = filter_build()
    assert filter_build() == before
    build = open_build(data, "fog-filter", Settings(), HandClock())
    build.done()
    build.close()
    assert filter_build()[0] > before[0]

    build = open_build(data, str(kit), Settings(), HandClock())
    while not any("R1" in item for item in build.progress.done):
        build.done()
    build.close()
    assert not next(each for each in summaries(data, Settings()) if each.name == "lamp-1").edits
    kit.write_text(KIT.format(1).replace("47R", "51R"), encoding="utf-8")
    assert next(each for each in summaries(data, Settings()) if each.name == "lamp-1").edits


def test_a_kit_is_edited_in_the_builders_editor_and_read_again(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (data / "kits").mkdir()
    kit = data / "kits" / "zz.yaml"
    kit.write_text(KIT.format("old"), encoding="utf-8")
    script = data / "edit.sh"
    script.write_text("#!/bin/sh\nsed -i 's/Lamp old/Lamp new/' \"$2\"\n", encoding="utf-8")
    script.chmod(0o755)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        monkeypatch.setattr(app, "suspend", nullcontext)
        await pilot.pause()
        await pilot.press("slash", *"lamp old", "enter", "e")
        await pilot.pause()
        assert "no editor is set" in screen_text(app).casefold()
        monkeypatch.setenv("EDITOR", f"'{script}' --wait")
        await pilot.press("e", "escape")
        await pilot.pause()
        assert any("Lamp new" in text for text in shelf(app).pane.texts)

    monkeypatch.delenv("EDITOR", raising=False)
    monkeypatch.delenv("VISUAL", raising=False)
    drive(None, data, act, (120, 40))


def test_a_page_is_opened_in_the_browser_and_a_path_copied(data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []

    def browse(address: str) -> bool:
        opened.append(address)
        return True

    monkeypatch.setattr("webbrowser.open", browse)
    folder = data / "builds" / "fog-filter-rev-a"

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.press("g")
        await pilot.pause()
        assert "not written yet" in screen_text(app)
        (folder / "article.html").write_text("<p>", encoding="utf-8")
        await pilot.press("g", "c")
        await pilot.pause()
        assert opened == [(folder / "article.html").as_uri()]
        assert app.clipboard == str(folder)

    drive(None, data, act, (120, 40))


def test_a_build_is_exported_and_imported_from_the_shelf(data: Path, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.press("p")
        await pilot.pause()
        archive = data / "exports" / "fog-filter-rev-a.solderside.zip"
        assert archive.is_file()
        await pilot.press("i", *str(archive), "enter")
        await pilot.pause()
        await pilot.pause()
        assert "fog-filter-rev-a-2 is on the shelf" in screen_text(app)
        assert (data / "builds" / "fog-filter-rev-a-2" / "log.jsonl").is_file()

    drive(None, data, act, (120, 40))
