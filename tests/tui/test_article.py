"""The article on screen: a preview, where it goes, and the keys that write it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.article import ArticleScreen
from bench.tui.screens.shelf import ShelfScreen
from bench.tui.screens.work import WorkScreen
from bench.ui.article_rows import article_spans
from tests.support.samples import HandClock, small_build
from tests.support.screens import SIZES, drive, hostile_at, screen_text


async def still(pilot: Pilot[None], app: BenchApp) -> None:
    """Wait for what goes on beside the screen."""
    await app.workers.wait_for_complete()
    await pilot.pause()


async def opened(pilot: Pilot[None], app: BenchApp) -> None:
    await pilot.press("o")
    await still(pilot, app)


@pytest.mark.parametrize("size", SIZES)
def test_it_shows_where_it_goes_and_what_it_will_say_at_every_size(
    build: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    build.done()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        assert isinstance(app.screen, ArticleScreen)
        seen = screen_text(app)
        for _ in range(60):
            await pilot.press("pagedown" if size[1] < 30 else "down")
            seen += screen_text(app)
        said = " ".join(seen.split())
        for words in (
            "article.html: new",
            "Building the Lamp wobbler",
            "still in progress",
            "a write all",
        ):
            assert words in said
        await pilot.press("escape")
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act, size)
    assert not (build.log.folder / "article.html").exists()


@pytest.mark.parametrize(
    ("key", "names"),
    [
        ("m", ["article.md"]),
        ("h", ["article.html"]),
        ("a", ["article.html", "article.json", "article.md", "article.post.md"]),
    ],
)
def test_a_key_writes_and_the_paths_are_shown(build: Build, tmp_path: Path, key: str, names: list[str]) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        await pilot.press(key)
        await still(pilot, app)
        text = screen_text(app).replace("\n", " ")
        assert "Written; see below." in text
        for name in names:
            assert str(build.log.folder / name) in " ".join(text.split()).replace("  ", "")

    drive(build, tmp_path, act, (200, 60))
    assert sorted(path.name for path in build.log.folder.glob("article*")) == names


def test_a_file_changed_by_hand_is_asked_about_kept_or_replaced_with_the_old_one_beside(
    build: Build, tmp_path: Path
) -> None:
    page = build.log.folder / "article.html"

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        await pilot.press("h")
        await still(pilot, app)
        page.write_text("mine")
        await pilot.press("h")
        await pilot.pause()
        assert "article.html" in screen_text(app)
        await pilot.press("escape")
        await still(pilot, app)
        assert "Nothing written." in screen_text(app)
        assert page.read_text() == "mine"
        await pilot.press("a", "k")
        await still(pilot, app)
        assert page.read_text() == "mine"
        assert (build.log.folder / "article.json").exists()
        await pilot.press("h", "r")
        await still(pilot, app)
        assert "article.before.html" in screen_text(app).replace("\n", "")
        assert page.read_text().startswith("<!DOCTYPE html>")
        assert page.with_name("article.before.html").read_text() == "mine"

    drive(build, tmp_path, act, (200, 40))


def test_the_words_typed_into_the_markdown_are_in_the_preview(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        await pilot.press("m")
        await still(pilot, app)
        path = build.log.folder / "article.md"
        text = path.read_text(encoding="utf-8")
        mark = "<!-- your words: opening -->"
        path.write_text(text.replace(mark, f"{mark}\nFor the van."), encoding="utf-8")
        await pilot.press("escape")
        await opened(pilot, app)
        assert "For the van." in screen_text(app)

    drive(build, tmp_path, act, (120, 40))


def test_places_that_are_broken_are_said_and_nothing_is_lost(build: Build, tmp_path: Path) -> None:
    path = build.log.folder / "article.md"
    path.write_text("<!-- your words: opening -->\nMine.\n", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        assert "has no end" in screen_text(app)
        await pilot.press("h")
        await still(pilot, app)
        assert "Not everything was written" in screen_text(app)

    drive(build, tmp_path, act, (120, 40))
    assert path.read_text(encoding="utf-8") == "<!-- your words: opening -->\nMine.\n"


def test_from_the_shelf_a_build_is_told_and_a_kit_is_not(tmp_path: Path, kit_file: Path) -> None:
    build = open_build(tmp_path, str(kit_file), Settings(), HandClock())
    build.close()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, ShelfScreen)
        await opened(pilot, app)
        assert isinstance(app.screen, ArticleScreen)
        await pilot.press("h")
        await still(pilot, app)
        await pilot.press("escape", "down", "o")
        await pilot.pause()
        assert isinstance(app.screen, ShelfScreen)
        assert "a kit, not a build" in screen_text(app)

    drive(None, tmp_path, act, (120, 30))
    assert (build.log.folder / "article.html").exists()


def test_a_build_that_is_only_read_can_be_written_up_too(build: Build, tmp_path: Path) -> None:
    second = small_build(build.log.folder, HandClock(), read_only=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        await pilot.press("a")
        await still(pilot, app)
        data = json.loads((build.log.folder / "article.json").read_text(encoding="utf-8"))
        assert data["name"] == "Lamp wobbler"

    drive(second, tmp_path, act)


@hostile_at((40, 12), (1, 1), (120, 40))
def test_any_text_shows_as_text_and_breaks_nothing(
    build: Build, tmp_path: Path, text: str, size: tuple[int, int]
) -> None:
    build.note(text, "tip")
    build.snag(text, text)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await opened(pilot, app)
        for _ in range(8):
            await pilot.press("pagedown")
            assert all(char.isprintable() or char == "\n" for char in screen_text(app))
        await pilot.press("a")
        await still(pilot, app)

    drive(build, tmp_path, act, size)
    assert (build.log.folder / "article.html").exists()


def test_the_preview_says_all_that_the_article_says() -> None:
    from bench.writeup.article import article_of
    from tests.support.story_bench import whole_story

    said = "\n".join(
        text for text, _ in article_spans(article_of(whole_story()), {"time": "Slow.", "gone": "Home."})
    )
    for words in (
        "Building the Twin-board oscillator",
        "TP1: expected 5 V ± 4 %, reading 4.71 V, then 4.73 V", "Slow.", "Home.",
        "All: parts 30, joints 72, time 1 h 40 min", "Bad joint or bridge: snags 1, time lost 12.5 min",
    ):  # fmt: skip
        assert words in said
