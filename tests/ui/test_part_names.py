"""A note or a snag that names a part which the kit does not have: asked about once, with the nearest name."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.work import WorkScreen
from bench.ui.part_names import asks_again
from tests.support.samples import HandClock, small_build, small_kit
from tests.support.screens import drive, screen_text


@pytest.mark.parametrize(
    ("text", "name"),
    [("R9 is cold", "R9"), ("swapped R1 and D7", "D7"), ("R2 R44", "R44")],
)
def test_an_unknown_designator_is_asked_about_once_with_the_nearest(text: str, name: str) -> None:
    wrong = asks_again(small_kit())
    assert wrong(text).startswith(f"this kit has no {name}: did you mean {name[0]}")
    assert not wrong(text)
    assert wrong(f"{text} too")


@pytest.mark.parametrize(
    "text",
    ["R1 is cold", "r9 in small letters", "an M3 screw", "TP4 reads 5.1", "12.R9x", "8R2", ""],
)
def test_what_is_known_or_names_no_part_passes(text: str) -> None:
    assert not asks_again(small_kit())(text)


@pytest.mark.parametrize("text", ["d3d2", "r9", "R1 r9"])
def test_a_field_for_designators_takes_nothing_unknown_unasked(text: str) -> None:
    assert asks_again(small_kit(), names_only=True)(text)
    assert not asks_again(small_kit(), names_only=True)("r1 R2")


@pytest.mark.parametrize(("key", "before"), [("n", []), ("s", ["cold", "enter"])])
def test_the_box_stays_open_and_the_same_answer_again_is_kept(
    key: str, before: list[str], tmp_path: Path
) -> None:
    build = small_build(tmp_path / "data", HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press(key, *[char for word in before for char in ([word] if word == "enter" else word)])
        await pilot.press(*"R77", "enter")
        assert isinstance(app.screen, Ask)
        assert "This kit has no R77" in " ".join(screen_text(app).split())
        assert app.screen.query_one(Input).value == "R77", "nothing typed is lost"
        await pilot.press("enter", *(["enter", "enter"] if before else []))
        assert isinstance(app.screen, WorkScreen)
        assert "R77" in (build.progress.snags[0].part if before else build.progress.notes[0].text)

    drive(build, tmp_path, act)
