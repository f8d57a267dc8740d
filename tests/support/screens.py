"""The screens without a terminal: the app driven by keys, and what stands on screen."""

from __future__ import annotations

import asyncio
import importlib
import pkgutil
from collections.abc import Awaitable, Callable, Iterator
from pathlib import Path

from textual.pilot import Pilot

import bench.tui.screens
from bench.session.build import Build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.command_screen import CommandScreen
from tests.support.samples import HandClock

Act = Callable[[Pilot[None], BenchApp], Awaitable[None]]
SIZES = [(40, 12), (80, 24), (120, 40), (200, 60)]


HOSTILE = [
    "[/b]",
    "[$x] [red]",
    "\x1b[31mred\x1b]0;title\x07",
    "x" * 5000,
    "日本語" * 50,
    "a\u202eb\u200bc",
    "é" + "\u0301" * 50,
]


def places() -> dict[str, type[CommandScreen]]:
    """Every place there is, by its name: classes in the folder of screens that have one."""
    for module in pkgutil.iter_modules(bench.tui.screens.__path__):
        importlib.import_module(f"bench.tui.screens.{module.name}")

    def below(one: type[CommandScreen]) -> Iterator[type[CommandScreen]]:
        for each in one.__subclasses__():
            yield each
            yield from below(each)

    return {each.place: each for each in below(CommandScreen) if each.place}


def screen_text(app: BenchApp) -> str:
    """What stands on screen, row by row."""
    width, height = app.size
    return "\n".join(
        "".join(segment.text for segment in strip)
        for strip in app.screen._compositor.render_strips(app.size)[:height]
        if width
    )


def drive(
    build: Build | None, data: Path, act: Act, size: tuple[int, int] = (80, 24), **chosen: object
) -> None:
    """Run the app without a terminal and let `act` press keys."""

    async def run() -> None:
        settings = Settings(**{"repeat_milliseconds": 0, **chosen})  # type: ignore[arg-type]
        app = BenchApp(data, settings, HandClock() if build is None else build.clock, build)
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            await act(pilot, app)

    asyncio.run(run())
