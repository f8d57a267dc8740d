"""Where it sits: the key at the bench, the screen it opens, and zones on the step card."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.board_map import WhereScreen
from bench.tui.screens.work import WorkScreen
from bench.ui.card import card_of
from tests.support.drawn import text_of
from tests.support.kit_values import OSCILLATOR
from tests.support.samples import HandClock
from tests.support.screens import SIZES, drive, screen_text


@pytest.fixture
def placed(tmp_path: Path) -> Build:
    """The demo kit, worked up to the ten 100k of its main board."""
    build = open_build(tmp_path / "data", str(OSCILLATOR), Settings(), HandClock())
    build.opened()
    while (step := build.next_step) is not None and len(step.refs) < 10:
        build.done()
    return build


@pytest.mark.parametrize("size", SIZES)
def test_a_key_shows_where_the_parts_of_this_step_sit_and_the_same_key_goes_back(
    placed: Build, tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press(",")
        await pilot.pause()
        assert isinstance(app.screen, WhereScreen)
        text = screen_text(app)
        step = placed.next_step
        assert step is not None
        assert all(ref in text for ref in step.refs)
        assert f">{step.refs[0]}" in text
        assert "main, back" in text
        await pilot.press("down", "up", ",")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)

    drive(placed, tmp_path, act, size)


def test_what_is_done_of_a_step_is_no_longer_marked(placed: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        step = placed.next_step
        assert step is not None
        await pilot.press(".", ",")
        await pilot.pause()
        text = screen_text(app)
        assert step.refs[0] not in text
        assert f">{step.refs[1]}" in text
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)

    drive(placed, tmp_path, act)


def test_resizing_the_map_loses_nothing(placed: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press(",")
        for size in [*SIZES, (20, 5), (1, 1), (80, 24)]:
            await pilot.resize_terminal(*size)
            await pilot.pause()
        assert "R18" in screen_text(app)

    drive(placed, tmp_path, act)


def test_a_kit_without_positions_says_so_and_what_to_do(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press(",")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        text = " ".join(screen_text(app).split())
        assert "gives no positions for board main" in text
        assert "--placement" in text

    drive(build, tmp_path, act)


@pytest.mark.parametrize(("width", "height"), [(40, 10), (80, 22), (118, 38)])
def test_the_card_names_side_and_zone_of_each_next_designator_at_every_size(
    placed: Build, width: int, height: int
) -> None:
    view = placed.view()
    rows = [text_of(row) for row in card_of(view, width, height).rows][:height]
    said = " ".join(" ".join(rows).split())
    assert "Back: R18 in C2; R26 in B1; R25 in A1; R22, R21, R20, R19 in A2; R4, R5, R10 in A3" in said
    placed.done(2)
    view = placed.view()
    assert view.zones_left[0] == "A1"
    said = " ".join(" ".join(text_of(row) for row in card_of(view, width, height).rows).split())
    assert "Back: R25 in A1;" in said


def test_turning_the_board_over_is_said_loudly_each_time_it_is_needed_and_only_then(tmp_path: Path) -> None:
    build = open_build(tmp_path / "data", str(OSCILLATOR), Settings(), HandClock())
    build.opened()
    sides: list[tuple[str, str]] = []
    turns = 0
    for at, step in enumerate(build.outline.steps):
        view = build.view(at)
        board = step.items[0].partition("/")[0]
        wanted = bool(step.side and sides and sides[-1][0] == board and sides[-1][1] != step.side)
        assert view.turned_over is wanted, step.value
        sides += [(board, step.side)] if step.side else []
        if wanted:
            turns += 1
            spans = [span for row in card_of(view, 80, 22).rows for span in row]
            assert (f"Turn the board over: work on its {step.side}", "loud") in spans
    assert 1 <= turns < 10
