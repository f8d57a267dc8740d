"""Text that is hostile or endless, typed into every field: kept or refused with a word, never obeyed."""

from __future__ import annotations

import random
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from bench.session.build import Build
from bench.session.typed_text import LONGEST_TEXT
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.work import WorkScreen
from bench.ui.commands import commands_of
from tests.support.log_bytes import parse_log
from tests.support.screens import drive, screen_text

PIECES = [
    "\x1b[2J", "\x1b]0;title\x07", "\x9b31m", "\x00", "\x7f", "\r", "\n", "\t", "\u202e", "\u2066", "\u200b",
    "\u200d", "\ufeff", "\ud800", "日本", "👩‍🔧", "é", "\u0301" * 40, "ﷺ", "[bold]", "[/]", "{0}", "%s",
    "'", '"',
    "\\", "`", "<script>", "-->", "](javascript:x)", "0", "-1", "1e999", "nan", ",", ";", " ", "R1", "4k7",
]  # fmt: skip
FIELDS = [
    command.name for command in commands_of("bench") if command.name not in ("quit", "shelf", "help", "done")
]


def hostile(chance: random.Random) -> str:
    if chance.random() < 0.1:
        return chance.choice(PIECES) * (100_000 // 2)
    return "".join(chance.choices(PIECES, k=chance.randint(1, 12)))


def looks_sane(app: BenchApp) -> None:
    """Nothing on screen that a terminal would obey or that a reader would not see."""
    for line in screen_text(app).split("\n"):
        assert line.isprintable(), repr(line)


@pytest.mark.parametrize("name", FIELDS)
def test_every_field_of_the_bench_takes_or_refuses_any_text(name: str, build: Build, tmp_path: Path) -> None:
    chance = random.Random(f"20310203 {name}")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        for _ in range(4):
            bench = app.screen
            assert isinstance(bench, WorkScreen)
            command = next(each for each in commands_of("bench") if each.name == name)
            bench.carry_out(command)
            await pilot.pause()
            for _ in range(8):
                if not isinstance(app.screen, Ask):
                    break
                app.screen.query_one(Input).value = hostile(chance)
                await pilot.press("enter")
                looks_sane(app)
            looks_sane(app)
            for _ in range(20):
                if isinstance(app.screen, WorkScreen):
                    break
                await pilot.press("escape")
                await pilot.pause()
            looks_sane(app)

    drive(build, tmp_path, act, size=(80, 24))
    build.log.close()
    events, remarks, torn = parse_log((build.log.folder / "log.jsonl").read_bytes(), "log")
    assert (list(build.events), remarks, torn) == (events, [], b"")


def test_a_text_that_is_too_long_is_refused_and_changes_nothing(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n")
        app.screen.query_one(Input).value = "x" * (LONGEST_TEXT + 1)
        await pilot.press("enter")
        await pilot.pause()
        assert f"longer than {LONGEST_TEXT}" in screen_text(app)

    drive(build, tmp_path, act)
    assert build.progress.notes == ()
