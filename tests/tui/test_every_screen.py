"""Every place of the program, with a long build, in every size and every look: nothing is cut off or lost."""

from __future__ import annotations

import asyncio
import re
import shutil
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.screen import Screen

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.screens.lists import ListPane
from bench.tui.screens.work import WorkScreen
from bench.ui.commands import COMMANDS
from bench.ui.text import cells
from tests.support.samples import HandClock
from tests.support.screens import SIZES, headless, places, screen_text

KITS = shipped_kits_folder()
LONG = "a very long name of a note 日本語 " + "x" * 90 + " [/b] \x1b[31m \u202e"
OPEN: dict[str, tuple[str, ...]] = {
    "bench": (),
    "bag": ("c",),
    "meter": ("f5",),
    "trim": ("a",),
    "fault": ("f", "n", "o", "space", "p", "o", "w", "e", "r", "enter"),
    "log": ("l",),
    "map": (",",),
    "camera": ("/",),
    "clock": ("/", "c"),
    "article": ("o",),
    "text": ("k", "y"),
    "keys": ("?",),
    "shelf": ("k",),
    "batch": ("k", "b", "down", "down", "b", "v"),
    "files": ("k", "r"),
    "list": ("k", "r", "enter"),
    "columns": ("k", "r", "enter", "c"),
}
"""The keys from the bench to each place; a place that is not here is looked for by the key of its own name."""
LOOKS = ("dark", "light", "contrast", "no colour", "16", "16 light")
LIST_TEXT = 'Ref,Value,Qty\nR1,10k,1\nR1,47k,1\n"R2, R3",4k7,3\nC1,日本語 100n [/b],1\n'


def way_to(place: str) -> tuple[str, ...]:
    """The keys that lead to a place from the bench."""
    if place in OPEN:
        return OPEN[place]
    command = next((each for each in COMMANDS if each.name == place and "bench" in each.places), None)
    assert command is not None, f"say in OPEN how to come to {place!r}"
    return (command.keys[0],)


def rich_build(data: Path, kit: Path, steps: int) -> Build:
    """A build with everything in its log, its last texts longer than any line."""
    clock = HandClock()
    build = open_build(data, str(kit), Settings(), clock)
    build.opened()
    for _ in range(steps):
        step = build.next_step
        if step is None:
            break
        clock.work(40)
        if build.view().wants_reading:
            build.reading("OL")
        if build.view().stage is not None and build.view().wants_reading:
            build.override_hold("only a test")
        build.done()
        build.opened()
        if build.view().count_for:
            build.count_joints(7)
    build.note(LONG)
    build.snag(LONG, "R1", 3.0, "")
    build.substitute("R1", LONG, LONG)
    build.clap()
    return build


@pytest.fixture(scope="module")
def once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with a build of the largest kit in it, and a parts list beside."""
    data = tmp_path_factory.mktemp("data")
    rich_build(data, KITS / "twin-board-oscillator.yaml", 160).close()
    (data / "parts.csv").write_text(LIST_TEXT, encoding="utf-8")
    return data


@pytest.fixture
def worked(once: Path, tmp_path: Path) -> Path:
    """A copy of it that a test may work in."""
    return shutil.copytree(once, tmp_path / "own")


def dress(look: str, patch: pytest.MonkeyPatch) -> str:
    """The terminal of a look; returns the theme to set."""
    for name in ("NO_COLOR", "COLORFGBG"):
        patch.delenv(name, raising=False)
    patch.setenv("TERM", "xterm" if "16" in look else "xterm-256color")
    patch.setenv("COLORTERM", "" if "16" in look else "truecolor")
    if look == "no colour":
        patch.setenv("NO_COLOR", "1")
    return {"light": "light", "contrast": "contrast", "16 light": "light"}.get(look, "dark")


def run_at(
    data: Path, size: tuple[int, int], theme: str, act: Callable[[Pilot[None], BenchApp], Awaitable[None]]
) -> None:
    """The program at the bench of the build in a data folder."""

    async def run() -> None:
        clock = HandClock(utc=1_900_100_000.0, mono=9_000.0)
        settings = Settings(theme=theme, repeat_milliseconds=0)
        build = open_build(data, next((data / "builds").iterdir()).name, settings, clock)
        app = BenchApp(data, settings, clock, build)
        async with headless(app, size) as pilot:
            await act(pilot, app)
        app.close_build()

    asyncio.run(run())


def check(app: BenchApp, size: tuple[int, int]) -> None:
    """What must be true of any screen at any size."""
    screen: Screen[object] = app.screen
    place = screen.place if isinstance(screen, CommandScreen) else type(screen).__name__
    rows = screen_text(app).split("\n")
    assert len(rows) == size[1], place
    for row in rows:
        assert cells(row) == size[0], (place, row)
        assert all(char.isprintable() for char in row), (place, row)
    assert rows[0].strip() or place == "clock", f"{place} does not say what it is"
    for widget in screen.query("*"):
        assert widget.region.right <= size[0], (place, widget)
        assert widget.region.bottom <= size[1] or not widget.display, (place, widget)
    if not isinstance(screen, CommandScreen):
        return
    foot = rows[-1]
    last = ("escape", "back") if place == "text" else (app.keymap.key_of("help"), "all keys")
    assert " ".join(last) in foot, (place, foot)
    panes = list(screen.query(ListPane))
    if panes and panes[0]._lines:
        assert any(row.startswith("> ") for row in rows), f"the chosen line of {place} is not to be seen"


async def press(pilot: Pilot[None], keys: tuple[str, ...]) -> None:
    for key in keys:
        await pilot.press(key)
        await pilot.pause()


async def go_to(pilot: Pilot[None], app: BenchApp, place: str) -> CommandScreen:
    """The screen of a place, from the bench."""
    if place == "map" and isinstance(app.screen, WorkScreen):
        app.screen.looking = 15  # a step that solders parts
        app.screen.refresh_view()
    await press(pilot, way_to(place))
    assert isinstance(app.screen, CommandScreen)
    assert app.screen.place == place
    return app.screen


@pytest.mark.parametrize("place", sorted(places()))
def test_a_place_keeps_to_its_screen_at_every_size_it_is_given(
    worked: Path, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(worked)
    theme = dress("dark", monkeypatch)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await go_to(pilot, app, place)
        check(app, SIZES[2])
        for size in (*SIZES, (61, 17), (24, 6), SIZES[0]):
            await pilot.resize_terminal(*size)
            await pilot.pause()
            if size[0] >= 40:
                check(app, size)

    run_at(worked, SIZES[2], theme, act)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("place", ["bench", "meter", "shelf"])
def test_a_place_has_ink_on_its_ground_in_every_look(
    worked: Path, place: str, look: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(worked)
    theme = dress(look, monkeypatch)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await press(pilot, way_to(place))
        check(app, SIZES[1])
        for strip in app.screen._compositor.render_strips(app.size):
            for segment in strip:
                style = segment.style
                if segment.text.strip() and style is not None and style.color and style.bgcolor:
                    same = style.color == style.bgcolor and not style.color.is_default
                    assert not same, (place, look, segment.text)
        assert app.current_theme.name.endswith("-16") == ("16" in look)

    run_at(worked, SIZES[1], theme, act)


@pytest.mark.parametrize("size", SIZES)
def test_what_can_kill_stands_on_screen_whole_or_can_be_scrolled_to(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    dress("dark", monkeypatch)
    clock = HandClock()
    build = open_build(tmp_path, str(KITS / "ghost-light-preamp.yaml"), Settings(), clock)
    build.opened()
    while (step := build.next_step) is not None and step.action != "check":
        clock.work(20)
        build.done()
    build.close()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        check(app, size)
        seen = screen_text(app)
        for _ in range(40):
            await pilot.press("down")
            seen += screen_text(app)
        told = " ".join(seen.split())
        for caution in ("High voltage can kill", "Charged capacitors can kill", "Local regulations come first"):
            assert caution in told
        await pilot.press("space")
        await pilot.pause()
        check(app, size)
        assert type(app.screen).__name__ == "DangerScreen"
        assert "HIGH VOLTAGE CAN KILL" in screen_text(app)
        await pilot.resize_terminal(*SIZES[1])
        await pilot.pause()
        check(app, SIZES[1])
        assert "HIGH VOLTAGE CAN KILL" in screen_text(app)

    run_at(tmp_path, size, "dark", act)


def test_a_terminal_of_16_colours_is_sent_no_other_colours(tmp_path: Path) -> None:
    pytest.importorskip("pty", reason="needs pseudo-terminals")
    from tests.support.at_bench import SMALL, at_bench

    with at_bench(SMALL, tmp_path, 80, 24, TERM="xterm", COLORTERM="") as terminal:
        terminal.wait("step 1 of")
        terminal.send("?")
        terminal.wait("Keys: at the bench")
        assert b"38;2;" not in terminal.output
        assert b"38;5;" not in terminal.output
        assert re.search(rb"\x1b\[[\d;]*93", terminal.output), "bright yellow is among them"


@pytest.mark.parametrize("place", sorted(places()))
def test_no_place_is_a_trap(worked: Path, place: str) -> None:
    """Escape leads away, ? shows the keys, arrows do no harm, q quits."""

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        here = await go_to(pilot, app, place)
        await press(pilot, ("up", "down", "home", "end", "pageup", "pagedown"))
        assert app.screen is here
        if place != "keys":
            await press(pilot, ("question_mark",))
            assert app.screen.query_one(ListPane).texts
            await press(pilot, ("escape",))
        if place not in ("bench", "shelf"):
            await press(pilot, ("escape",))
            assert app.screen is not here
        await press(pilot, ("q",))
        assert app._exit

    run_at(worked, (80, 24), "dark", act)


KEEPS_NOTHING = {"shelf", "files", "map", "text", "article", "keys"}
"""Places where nothing is recorded; before a file is replaced they ask."""


def test_every_place_that_records_takes_back() -> None:
    takes_back = {place for command in COMMANDS if command.name == "undo" for place in command.places}
    assert set(places()) - takes_back <= KEEPS_NOTHING


def test_the_same_keys_mean_the_same_everywhere() -> None:
    for command in COMMANDS:
        if command.name != "undo":
            assert "u" not in command.keys
        if "escape" in command.keys:
            assert command.name == "back"
        if "q" in command.keys:
            assert command.name == "quit"
        if "?" in command.keys:
            assert command.name == "help"
