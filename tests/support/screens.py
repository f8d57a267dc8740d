"""The screens without a terminal: the app driven by keys, and what stands on screen."""

from __future__ import annotations

import asyncio
import importlib
import math
import pkgutil
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
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


def hostile_at(*sizes: tuple[int, int]) -> pytest.MarkDecorator:
    """Each hostile text at one of these sizes in turn, and the longest at all of them."""
    pairs = {(text, sizes[at % len(sizes)]) for at, text in enumerate(HOSTILE)}
    pairs |= {(max(HOSTILE, key=len), size) for size in sizes}
    return pytest.mark.parametrize(("text", "size"), sorted(pairs))


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


@asynccontextmanager
async def headless(app: BenchApp, size: tuple[int, int]) -> AsyncIterator[Pilot[None]]:
    """The app without a terminal, which goes on after each key as soon as nothing is left to be done.

    Textual's own pilot sleeps for 20 ms at a time until it has used the processor for less than one of them.
    """

    async def idle(least: float = 0.0, most: float = 1.0) -> None:
        await _nothing_left(app, max(least, most))

    with patch("textual.pilot.wait_for_idle", idle), patch("textual.app.wait_for_idle", idle):
        async with app.run_test(size=size) as pilot:
            await pilot.pause()
            yield pilot


async def _nothing_left(app: BenchApp, most: float) -> None:
    """Wait until the app takes keys, no thread works for it and its loop has nothing to run now or soon.

    `most` is in seconds: a question that is asked by a key in doubt, or an app that ends, takes none.
    """
    loop: Any = asyncio.get_running_loop()
    until, calm = time.monotonic() + most, 0
    while calm < _CALM and time.monotonic() < until:
        await asyncio.sleep(0)  # also looks once for what threads and files have sent
        next_at = min((each.when() for each in loop._scheduled if not each.cancelled()), default=math.inf)
        if loop._ready:
            calm = 0
        elif next_at < loop.time() + _SOON:
            calm = 0
            await asyncio.sleep(max(0.0, next_at - loop.time()))
        elif app.is_running and (not app.gate.is_open or any(each.is_running for each in app.workers)):
            calm = 0
            await asyncio.sleep(0.001)
        else:
            calm += 1


_CALM = 3
_SOON = 0.02
"""Seconds: what comes that soon is waited for, a frame of the screen among it."""


def drive(
    build: Build | None, data: Path, act: Act, size: tuple[int, int] = (80, 24), **chosen: object
) -> None:
    """Run the app without a terminal and let `act` press keys."""

    async def run() -> None:
        settings = Settings(**{"repeat_milliseconds": 0, **chosen})  # type: ignore[arg-type]
        app = BenchApp(data, settings, HandClock() if build is None else build.clock, build)
        async with headless(app, size) as pilot:
            await act(pilot, app)

    asyncio.run(run())
