"""Bursts of keys in every place: two to six in one write, from a seed; what they break, tick or lose.

In process, with the keys as the terminal's driver would bring them, so that thousands are quick; some on a disk
that takes 300 ms or a second to write, and a few dozen in a real terminal. A burst may do what its first key
means on the screen that it was pressed for, and nothing else.
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import random
import tempfile
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from unittest import mock

from textual import events
from textual.keys import _character_to_key
from textual.pilot import Pilot

from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask, SafeInput
from bench.tui.screens.shelf import ShelfScreen
from bench.tui.screens.work import WorkScreen
from bench.tui.typed import mark_burst
from tests.benchmarks import Figure
from tests.support.samples import HandClock

AT_BENCH = (
    "",
    "c",
    "y",
    "a",
    "l",
    ",",
    "/",
    "/c",
    "o",
    "?",
    "!",
    "n",
    "s",
    "r",
    "h",
    "z",
    "x",
    "j",
    "i",
    "\x10",
)
FURTHER = ("f", "f\r", "f\rx", "cn", "cx", "yr", "an", "ac", "lc", "/0e", "/n", "l?", "=")
SHELF = (
    "k",
    "kv",
    "kbv",
    "kr",
    "krt",
    "kr\r",
    "kr\rc",
    "kr\rm",
    "kr\re",
    "kr\ro",
    "kn",
    "ky",
    "ko",
    "kz",
    "k?",
)
WAYS = (*AT_BENCH, *FURTHER, *SHELF)
"""Keys from the bench to each place and box where a burst falls."""
KEYS = " \r\r\x1b\t.abcdefghijklmnoprstuvwxyz0123/,-!?\x7f\ufffd"
"""What a burst is made of; the key that closes the program is not among them."""
SLOW = ((0.3, 60), (1.0, 20))
"""Seconds that each write to the disk takes, and how many bursts meet it."""
IN_A_TERMINAL = 36
LIST = "Ref,Qty,Value\nR1 R2,2,10k\nR4,1,22k\nC1,1,banana\n"
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
    for each in (app, app.focused or app):  # text goes on to the box, and opens and shuts nothing
        came = asyncio.Event()
        if each.call_later(came.set):
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(came.wait(), 2)
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
    for number in range(16):
        if isinstance(app.screen, WorkScreen) and app.screen is app.screen_stack[-1]:
            return
        at_shelf = isinstance(app.screen, ShelfScreen)
        await _send(app, "\r" if at_shelf else "\x1b\x1bbg"[number % 4])
    raise TimeoutError(f"no way back from {app.screen}")


class _Found:
    """What went wrong in all bursts."""

    def __init__(self) -> None:
        self.bursts = self.broken = self.false_steps = self.lost = 0
        self.words: list[str] = []


def _ticks(data: Path) -> int:
    """Steps and parts ticked in all builds of a data folder, taken back or not."""
    logs = (path.read_bytes() for path in data.glob("builds/*/log.jsonl"))
    return sum(log.count(b'"event":"done"') for log in logs)


async def _round(app: BenchApp, chance: random.Random, found: _Found, many: int) -> None:
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        for _ in range(many):
            await _home(app)
            await Pilot(app).pause(0.001)
            for key in chance.choice(WAYS):
                await _send(app, key)
            burst = "".join(chance.choices(KEYS, k=chance.randint(2, 6)))
            box, before = app.screen, _ticks(app.data)
            typed = app.focused.value if isinstance(app.focused, SafeInput) else ""
            found.bursts += 1
            at_bench = isinstance(box, WorkScreen)
            await _send(app, burst)
            ticked = _ticks(app.data) - before
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
        (folder / "bom.csv").write_text(LIST, encoding="utf-8")
        yield (
            BenchApp(folder, settings, build.clock, build),
            random.Random(seed * 100_003 + number),
            min(A_ROUND, bursts - number),
        )


def measure(seed: int, bursts: int, found: _Found | None = None) -> _Found:
    """Bursts in every place, each counted for what it broke, ticked or lost."""
    found = found or _Found()
    with tempfile.TemporaryDirectory() as data:
        for app, chance, many in _rounds(seed, bursts, Path(data)):
            try:
                with contextlib.chdir(app.data):  # where its lists lie
                    asyncio.run(_round(app, chance, found, many))
            except Exception as error:
                found.broken += 1
                found.words.append(f"{type(error).__name__}: {error}"[:300])
    return found


@contextlib.contextmanager
def slow_disk(seconds: float) -> Iterator[None]:
    """Every write takes so long until it is on the disk."""
    sync = os.fsync

    def slowly(handle: int) -> None:
        time.sleep(seconds)
        sync(handle)

    with mock.patch("os.fsync", slowly):
        yield


def in_a_terminal(seed: int, found: _Found) -> None:
    """Bursts as bytes of one write to the program in a real terminal."""
    from tests.support.at_bench import HEAD, LARGE, at_bench

    chance = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder, at_bench(LARGE, Path(folder)) as terminal:
        (Path(folder) / "bom.csv").write_text(LIST, encoding="utf-8")
        terminal.wait(HEAD)
        for number in range(IN_A_TERMINAL):
            way = WAYS[number * 7 % len(WAYS)]
            for key in way:
                terminal.settle(0.2)
                terminal.send(key)
            terminal.settle(0.2)
            burst = "".join(chance.choices(KEYS.replace("\x1b", ""), k=chance.randint(2, 6)))
            before = _ticks(Path(folder))
            terminal.send(burst)
            terminal.settle(0.3)
            found.bursts += 1
            ticked = _ticks(Path(folder)) - before
            if ticked > (not way and burst[0] in " \r."):
                found.false_steps += 1
                found.words.append(f"{burst!r} after {way!r} in a terminal: {ticked} steps")
            for key in ("\x1b",) * 5:
                terminal.send(key)
                terminal.settle(0.15)
            if not HEAD.search(terminal.text):
                terminal.send("\r")
                terminal.settle(0.3)
            if "Traceback" in terminal.text or not HEAD.search(terminal.text):
                found.broken += 1
                found.words.append(f"{burst!r} after {way!r} in a terminal: {terminal.text[:300]}")
                return


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """Tracebacks, false steps and lost text in 5,000 bursts, or 300."""
    found = measure(seed, 300 if quick else 5_000)
    for seconds, many in SLOW:
        with slow_disk(seconds):
            measure(seed, many // 5 if quick else many, found)
    if not quick:
        in_a_terminal(seed, found)
    told = f"{found.bursts} bursts; {'; '.join(found.words)}".rstrip("; ")
    for what, value in (
        ("tracebacks", found.broken),
        ("false steps", found.false_steps),
        ("texts lost", found.lost),
    ):
        yield Figure(what=what, value=value, goal="== 0", met=value == 0, detail=told)
