"""The bag, kind by kind, with bands, and counted with few keys."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from bench.plan.bag import bag_lines, by_kind
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.bag import BagScreen
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text


def make_build(folder: Path, clock: HandClock) -> Build:
    return open_build(folder.parent.parent, "fog-filter", Settings(), clock)


def bag(app: BenchApp) -> BagScreen:
    assert isinstance(app.screen, BagScreen)
    return app.screen


def test_sorts_stand_kind_by_kind_and_small_values_first(build: Build) -> None:
    lines = by_kind(bag_lines(build.kit))
    resistors = [line.value for line in lines if line.kind == "resistor"]
    assert resistors == ["470R", "1k", "1k5", "4k7", "5k6", "18k", "20k", "54k9", "100k", "220k", "2M2"]
    kinds = [line.kind for line in lines]
    assert all(kinds[at] == kinds[at + 1] or kinds[at] not in kinds[at + 1 :] for at in range(len(kinds) - 1))
    assert sorted(line.items for line in lines) == sorted(line.items for line in bag_lines(build.kit))


def test_heads_say_how_many_are_counted_and_bands_are_named(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("c")
        await pilot.pause()
        seen = screen_text(app)
        assert "Resistors" in seen
        assert "0 of 11 counted" in seen
        assert "yel 4" in seen
        assert any(look.startswith("band-") for row in bag(app).pane._rows for _, look in row)

    drive(build, tmp_path, act, (120, 40))


def test_one_key_counts_a_kind_one_the_rest_and_undo_takes_all_of_it_back(build: Build, tmp_path: Path) -> None:
    many = len(bag_lines(build.kit))

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("c", "a")
        await pilot.pause()
        assert len(build.bag_counts) == 11
        await pilot.press("u")
        await pilot.pause()
        assert not build.bag_counts
        await pilot.press("w")
        await pilot.pause()
        assert len(build.bag_counts) == many
        await pilot.press("home", "n", "1", "enter")
        await pilot.pause()
        assert "1 MISSING" in screen_text(app)
        assert sum(each.found < len(each.items) for each in build.progress.bag) == 1

    drive(build, tmp_path, act, (120, 40))


def test_a_pedal_alone_counts_the_bag(build: Build, tmp_path: Path) -> None:
    many = len(bag_lines(build.kit))

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("c", "down", "down")
        for _ in range(many):
            await pilot.press("space")
        await pilot.pause()
        assert len(build.bag_counts) == many, "the lines before the first press come after the last one"

    drive(build, tmp_path, act, (120, 40))
