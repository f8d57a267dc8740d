"""Bursts of keys in every place: two to six in one write, from a seed; what they break, tick or lose.

In process, with the keys as the terminal's driver would bring them, so that thousands are quick. A burst may do
what its first key means on the screen that it was pressed for, and nothing else.
"""

from __future__ import annotations

import asyncio
import random
import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path

from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from bench.build.folders import open_build
from bench.log.events import Done
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask, SafeInput
from bench.tui.screens.bench import BenchScreen
from bench.tui.typed import mark_burst
from tests.benchmarks import Figure
from tests.samples import HandClock

WAYS = ("", "c", "y", "a", "l", ",", "/", "/c", "o", "?", "n", "s", "r", "h", "z", "x", "j", "i", "\x10")
"""Keys from the bench to each place and box where a burst falls; the shelf is left for the end of a round."""
KEYS = " \r\r\x1b\t.abcdefghijlmnoprstuvwxyz0123/,-!?\x7f\ufffd"
"""What a burst is made of; the keys that close the program or the build are not among them."""
NAMED = {"\r": "enter", "\x1b": "escape", "\t": "tab", "\x7f": "backspace", "\x10": "ctrl+p"}
A_ROUND = 60
"""Bursts before the program is begun anew."""


def _key(char: str) -> events.Key:
    return events.Key(NAMED.get(char) or (char if char.isalnum() else _character_to_key(char)), char)


async def _send(app: BenchApp, text: str) -> None:
    keys = [_key(char) for char in text]
    mark_burst(keys)
    for key in keys:
        app._driver.send_message(key)  # type: ignore[union-attr]
    await _open(app)


async def _open(app: BenchApp) -> None:
    await asyncio.sleep(0)
    for _ in range(2_000):
        await asyncio.sleep(0.002)
        if app._exception is not None or not app.is_running:
            return
        if app.gate.is_open:
            return
    raise TimeoutError("no key goes through any more")


async def _home(app: BenchApp) -> None:
    for _ in range(12):
        if isinstance(app.screen, BenchScreen) and app.screen is app.screen_stack[-1]:
            return
        await _send(app, random.Random(len(app.screen_stack)).choice("\x1b\x1bb"))
    raise TimeoutError(f"no way back from {app.screen}")


class _Found:
    """What went wrong in all bursts."""

    def __init__(self) -> None:
        self.bursts = self.broken = self.false_steps = self.lost = 0
        self.words: list[str] = []


async def _round(app: BenchApp, chance: random.Random, found: _Found, many: int) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        build = app.build
        assert build is not None
        for _ in range(many):
            await _home(app)
            await Pilot(app).pause(0.001)
            for key in chance.choice(WAYS):
                await _send(app, key)
            burst = "".join(chance.choices(KEYS, k=chance.randint(2, 6)))
            box, before = app.screen, sum(isinstance(each, Done) for each in build.events)
            typed = app.focused.value if isinstance(app.focused, SafeInput) else ""
            found.bursts += 1
            at_bench = isinstance(box, BenchScreen)
            await _send(app, burst)
            ticked = sum(isinstance(each, Done) for each in build.events) - before
            if ticked > (at_bench and burst[0] in " \r."):
                found.false_steps += 1
                found.words.append(f"{burst!r} in {type(box).__name__}: {ticked} steps")
            plain = burst.isalnum() and isinstance(box, Ask)
            if plain and isinstance(app.focused, SafeInput) and burst not in app.focused.value:
                found.lost += 1
                found.words.append(f"{burst!r} on {typed!r} became {app.focused.value!r}")


def _rounds(seed: int, bursts: int, data: Path) -> Iterator[tuple[BenchApp, random.Random, int]]:
    for number in range(0, bursts, A_ROUND):
        folder = data / str(number)
        settings = Settings(repeat_milliseconds=0)
        build = open_build(
            folder, str(shipped_kits_folder() / "twin-board-oscillator.yaml"), settings, HandClock()
        )
        build.opened()
        yield (
            BenchApp(folder, settings, build.clock, build),
            random.Random(seed * 100_003 + number),
            min(A_ROUND, bursts - number),
        )


def measure(seed: int, bursts: int) -> _Found:
    """Bursts in every place, each counted for what it broke, ticked or lost."""
    found = _Found()
    with tempfile.TemporaryDirectory() as data:
        for app, chance, many in _rounds(seed, bursts, Path(data)):
            try:
                asyncio.run(_round(app, chance, found, many))
            except Exception as error:
                found.broken += 1
                found.words.append(f"{type(error).__name__}: {error}"[:300])
    return found


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """Tracebacks, false steps and lost text in 5,000 bursts, or 300."""
    found = measure(seed, 300 if quick else 5_000)
    told = f"{found.bursts} bursts; {'; '.join(found.words)}".rstrip("; ")
    for what, value in (
        ("tracebacks", found.broken),
        ("false steps", found.false_steps),
        ("texts lost", found.lost),
    ):
        yield Figure(what=what, value=value, goal="== 0", met=value == 0, detail=told)
