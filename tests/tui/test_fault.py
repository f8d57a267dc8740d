"""Looking for a fault on screen, driven by keys as a builder would."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Choose
from bench.tui.screens.fault import FaultScreen
from bench.tui.screens.lists import ListPane
from bench.tui.screens.work import WorkScreen
from tests.support.samples import HandClock, small_build
from tests.support.screens import SIZES, drive, hostile_at, screen_text

METRONOME = Path(__file__).parents[2] / "kits" / "first-evening-metronome.yaml"


async def search(pilot: Pilot[None], words: str) -> None:
    """Go from the bench to the list for a symptom."""
    await pilot.press("f", *words, "enter")
    await pilot.pause()


@pytest.mark.parametrize("size", SIZES)
def test_the_list_stands_in_order_with_how_to_look_at_every_size(
    build: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        text = screen_text(app)
        assert text.index("With the power on") < text.index("to look   supply and cable")
        assert (
            text.index("supply and cable") < text.index("With the power off") < text.index("a forgotten joint")
        )
        assert "it is dead: " in text
        assert "Power on. At the supply" in " ".join(text.split())
        assert "y all right" in text or "space all right" in text

    drive(build, tmp_path, act, size)


def test_one_key_settles_a_line_goes_on_to_the_next_and_says_so_in_words(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("space")
        assert "all right supply and cable" in screen_text(app)
        assert isinstance(app.screen, FaultScreen)
        assert app.screen.pane.chosen == 1
        await pilot.press("y")
        assert [each.found for each in build.progress.suspicions] == [False, False]
        assert {each.symptom for each in build.progress.suspicions} == {"it is dead"}
        await pilot.press("u")
        assert "Undone: all right: a forgotten joint" in screen_text(app)
        assert len(build.progress.suspicions) == 1
        await pilot.press("escape")
        assert isinstance(app.screen, WorkScreen)

    drive(build, tmp_path, act)


def test_what_it_was_is_asked_for_and_becomes_a_snag_with_its_fix(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("down", "x", *"no solder at R4", "enter")
        assert isinstance(app.screen, Choose)
        await pilot.press("s")
        await pilot.press("enter", *"R4", "enter", *"soldered", "enter", "5", "enter")
        (settled,) = build.progress.suspicions
        assert (settled.found, settled.said) == (True, "no solder at R4")
        (snag,) = build.progress.snags
        assert (snag.what, snag.part, snag.fix, snag.minutes) == ("no solder at R4", "R4", "soldered", 5.0)

    drive(build, tmp_path, act)


def test_an_open_snag_that_was_it_is_mended(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        build.snag("a bridge at R2")
        await search(pilot, "it is dead")
        assert 'open snag "a bridge at R2"' in screen_text(app)
        await pilot.press("down", "x", *"yes", "enter", *"wick", "enter", "enter")
        assert build.progress.snags[0].fix == "wick"
        assert "Fixed." in screen_text(app)

    drive(build, tmp_path, act)


def test_escape_and_no_record_nothing_more(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        before = build.progress.events
        await pilot.press("f", "escape")
        assert isinstance(app.screen, WorkScreen)
        await search(pilot, "it is dead")
        await pilot.press("x", "escape")
        assert build.progress.events == before
        await pilot.press("x", *"seen", "enter", "n")
        assert build.progress.events == before + 1
        assert build.progress.snags == ()

    drive(build, tmp_path, act)


def test_the_reading_that_is_out_stands_in_the_question_already(tmp_path: Path) -> None:
    build = open_build(tmp_path, str(METRONOME), Settings(), HandClock())
    step = next(step for step in build.plan.steps if step.value == "U1 pin 5")
    build.reading_at(step, "0.4")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("f")
        assert "U1 pin 5: 0.4 where 5.8 V ± 10 % is expected" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert "A tired one reads right alone and drops" in " ".join(screen_text(app).split())
        await pilot.press("s", *"it hums", "enter")
        await pilot.pause()
        assert "it hums: " in screen_text(app)

    drive(build, tmp_path, act, (120, 40))


def test_a_search_left_half_way_goes_on_where_it_was(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("space", "space", "escape", "f", "enter")
        await pilot.pause()
        assert isinstance(app.screen, FaultScreen)
        assert app.screen.pane.chosen == 2
        assert "all right a forgotten joint" in screen_text(app)

    drive(build, tmp_path, act)


def test_a_line_is_read_in_full_on_a_page_of_its_own(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        assert "enter: all of it" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        said = " ".join(screen_text(app).split())
        assert "A supply at its current limit gives no volts either: a short." in said
        assert "Most of what seems broken has no power" in said

    drive(build, tmp_path, act, (40, 12))


def test_the_text_that_asks_for_help_is_written_beside_the_log(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("o")
        path = build.log.folder / "help-request.txt"
        assert "- it is dead" in path.read_text(encoding="utf-8")
        assert "Written" in screen_text(app)

    drive(build, tmp_path, act, (120, 40))


def test_a_kit_that_can_kill_says_so_on_every_line(tmp_path: Path) -> None:
    kit = tmp_path / "mains.yaml"
    kit.write_text(METRONOME.read_text(encoding="utf-8") + "\nhazards: [mains]\n", encoding="utf-8")
    build = open_build(tmp_path, str(kit), Settings(), HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        for _ in range(4):
            assert "This kit can kill" in screen_text(app)
            await pilot.press("down")

    drive(build, tmp_path, act, (40, 12))


def test_a_second_window_can_look_but_keeps_nothing(build: Build, tmp_path: Path) -> None:
    second = small_build(build.log.folder, HandClock(), read_only=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("space", "x")
        assert isinstance(app.screen, FaultScreen)
        assert second.progress.suspicions == ()

    drive(second, tmp_path, act)


@hostile_at((40, 12), (1, 1), (120, 40))
def test_any_text_shows_as_text_and_breaks_nothing(
    build: Build, tmp_path: Path, text: str, size: tuple[int, int]
) -> None:
    build.snag(text, text)
    build.substitute(text, text, text)
    build.hold_back(text)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        app.push_screen(FaultScreen(build, text))
        await pilot.pause()
        for _ in range(6):
            await pilot.press("down")
        await pilot.press("space", "enter", "escape")
        seen = screen_text(app)
        assert "\x1b" not in seen
        assert "\u202e" not in seen
        await pilot.resize_terminal(80, 24)
        await pilot.pause()

    drive(build, tmp_path, act, size)


# -- the cursor and what was found -------------------------------------------------------------------
def rows(app: BenchApp) -> list[str]:
    """The lines of the list."""
    assert isinstance(app.screen, FaultScreen)
    return app.screen.pane.texts


def chosen_row(app: BenchApp) -> str:
    assert isinstance(app.screen, FaultScreen)
    return rows(app)[app.screen.pane.chosen]


def test_what_was_found_is_not_made_all_right_by_one_key(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("down", "x", *"seen", "enter", "n")
        events = build.progress.events
        await pilot.press("space")
        assert build.progress.events == events
        assert "stays so" in screen_text(app)
        assert "FOUND" in chosen_row(app)
        assert "a forgotten joint" in chosen_row(app)

    drive(build, tmp_path, act)


def test_after_undo_the_cursor_stands_on_the_line_that_was_taken_back(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("down", "space")
        assert "a forgotten joint" not in chosen_row(app)
        await pilot.press("u")
        assert "a forgotten joint" in chosen_row(app)
        assert "to look" in chosen_row(app)
        await pilot.press("x", *"no solder", "enter", "n")
        (found,) = build.progress.suspicions
        assert found.suspicion == "a forgotten joint"

    drive(build, tmp_path, act)


def test_the_cursor_stays_on_its_line_when_a_snag_puts_a_new_one_above_it(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "it is dead")
        await pilot.press("down", "down", "x", *"dull", "enter", "s", "enter", "enter", "enter", "enter")
        assert build.progress.snags[0].what == "dull"
        assert len([row for row in rows(app) if "open snag" in row]) == 1
        assert "a cold or cracked joint" in chosen_row(app)

    drive(build, tmp_path, act)


def test_a_snag_is_asked_for_in_one_order_wherever_it_is_begun(build: Build, tmp_path: Path) -> None:
    asked: list[list[str]] = []

    async def answer(pilot: Pilot[None], app: BenchApp) -> None:
        seen = []
        for _ in range(4):
            await pilot.pause()
            now = next(line for line in screen_text(app).splitlines() if "▸" in line)
            seen += [each for each in ("wrong?", "part?", "fixed?", "lost?") if each in now]
            await pilot.press("1", "enter")
        asked.append(seen)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("s")
        await answer(pilot, app)
        await search(pilot, "it is dead")
        await pilot.press("down", "x", *"dull", "enter", "s")
        await answer(pilot, app)
        assert asked == [["wrong?", "part?", "fixed?", "lost?"]] * 2

    drive(build, tmp_path, act)


def test_what_was_typed_before_escape_stands_in_the_questions_again(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("s", *"bridge", "enter", *"R2", "enter", *"wick", "escape")
        assert "cancelled, nothing recorded. What you typed is kept" in " ".join(screen_text(app).split())
        assert not build.progress.snags
        await pilot.press("s", "enter", "enter", "enter", "4", "enter")
        (snag,) = build.progress.snags
        assert (snag.what, snag.fix, snag.minutes) == ("bridge", "wick", 4.0)
        assert snag.part.endswith("R2")
        await pilot.press("s")
        assert "bridge" not in screen_text(app)

    drive(build, tmp_path, act, (120, 40))


def test_on_a_break_nothing_is_asked_that_would_be_refused(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("b")
        for key in ("h", "r"):
            await pilot.press(key)
            assert isinstance(app.screen, WorkScreen)
            assert "End the break first" in " ".join(screen_text(app).split())

    drive(build, tmp_path, act)


def test_a_broken_kit_looked_at_leaves_the_cursor_on_its_line(tmp_path: Path) -> None:
    kits = tmp_path / "kits"
    kits.mkdir()
    for name in ("aa", "mm", "zz"):
        (kits / f"{name}.yaml").write_text("kit: 1\nname: " + name + "\nboards: nonsense\n", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        pane = app.screen.query_one(ListPane)
        lines = pane.texts
        for name in ("aa", "zz", "mm"):
            at = next(
                at for at, text in enumerate(lines) if f"{name}.yaml" in text or f" {name} " in f" {text} "
            )
            pane.choose(at)
            await pilot.press("enter")
            await pilot.pause()
            await pilot.press("escape")
            await pilot.pause()
            assert app.screen.query_one(ListPane).chosen == at
        await pilot.press("enter")
        (kits / "ab.yaml").write_text("kit: 1\nname: ab\nboards: nonsense\n", encoding="utf-8")
        await pilot.press("escape")
        await pilot.pause()
        shelf = app.screen.query_one(ListPane)
        assert len(shelf.texts) == len(lines) + 1
        assert "mm" in shelf.texts[shelf.chosen]

    drive(None, tmp_path, act, (120, 40))


def test_each_line_says_in_full_how_the_supply_has_to_be(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await search(pilot, "the fuse blows")
        assert "With the power on" not in screen_text(app)
        assert "With the power off" in screen_text(app)
        await pilot.press("s", *"it is dead", "enter")
        await pilot.pause()
        assert "supply and cable" in rows(app)[0]
        assert "With the power on" in screen_text(app)

    drive(build, tmp_path, act, (120, 40))
