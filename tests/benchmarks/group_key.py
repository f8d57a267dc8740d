"""From a key to the next step with three units side by side, against one: both are up and pressed in turn."""

from __future__ import annotations

import cProfile
import os
import pstats
import re
import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path

from textual.pilot import Pilot

from bench.session.together import open_bench
from bench.settings import SETTINGS_NAME, Settings
from bench.tui.app import BenchApp
from tests.benchmarks import Figure
from tests.support.at_bench import KITS, PATH, PROGRAM
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text
from tests.support.terminal import Terminal

KIT = "twin-board-oscillator"
STEPS, QUICK = 60, 14
SKIPPED = 4
"""Rounds of three presses at the beginning that are not counted."""
_ASKED = "Space one more"


def _up(data: Path, *more: str) -> Terminal:
    data.mkdir()
    (data / SETTINGS_NAME).write_text("repeat_milliseconds = 0\n", encoding="utf-8")
    command = [*PROGRAM, "build", str(KITS / f"{KIT}.yaml"), *more, "--data", str(data)]
    return Terminal(command, 120, 40, env=PATH, cwd=data)


def _press(terminal: Terminal) -> float | None:
    """Milliseconds from a space to what it changes; None where something was asked or hidden instead."""
    if _ASKED in terminal.text:
        terminal.send("escape")
        terminal.settle(0.3)
        return None
    before = terminal.text.partition("stage 0:")[0] + "\n".join(terminal.text.split("\n")[1:-1])
    sent = terminal.send("space")
    shown = terminal.wait(
        lambda now: now.text.partition("stage 0:")[0] + "\n".join(now.text.split("\n")[1:-1]) != before
    )
    terminal.settle(0.05)
    return shown - sent


def _processor_ms(terminal: Terminal) -> float:
    """Processor time that the program has used so far, in milliseconds (Linux)."""
    fields = Path(f"/proc/{terminal.pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) * 1000 / os.sysconf("SC_CLK_TCK")


def _calls_to_go_on(folder: Path, units: tuple[str, ...], presses: int) -> float:
    """The median of the function calls of a key that leads on to another step; any load gives the same."""
    made: list[int] = []

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        at = None
        for _ in range(presses * max(1, len(units))):
            profile = cProfile.Profile()
            profile.enable()
            await pilot.press("escape" if _ASKED in screen_text(app) else "space")
            profile.disable()
            before, at = at, re.search(r"step \d+ of \d+", screen_text(app))
            if before and at and before[0] != at[0]:
                made.append(pstats.Stats(profile).total_calls)

    folder.mkdir()
    kit = str(KITS / f"{KIT}.yaml")
    build = open_bench(folder, kit, Settings(repeat_milliseconds=0), HandClock(), units=units)
    drive(build, folder, act, (120, 40))
    return statistics.median(made)


def run(seed: int, quick: bool = False) -> Iterator[Figure]:
    """The medians with three units over those with one, and the same of the processor time for a key."""
    times: dict[str, list[float]] = {"one": [], "three": []}
    spent = dict.fromkeys(times, 0.0)
    with (
        tempfile.TemporaryDirectory() as folder,
        _up(Path(folder) / "one") as one,
        _up(Path(folder) / "three", "--units", "3") as three,
    ):
        for terminal in (one, three):
            terminal.wait("step 1 of")
            terminal.settle(1.0)
        for number in range(SKIPPED + (QUICK if quick else STEPS)):
            for name, terminal in (("one", one), ("three", three)):
                for _ in range(3):
                    before = _processor_ms(terminal)
                    took = None if "HOLD POINT" in terminal.text else _press(terminal)
                    if took is not None and number >= SKIPPED:
                        times[name].append(took)
                        spent[name] += _processor_ms(terminal) - before
    for what, alone, beside in (
        ("until it is shown", statistics.median(times["one"]), statistics.median(times["three"])),
        ("processor time", spent["one"] / len(times["one"]), spent["three"] / len(times["three"])),
    ):
        yield Figure(
            what=f"key to the next step with three units, times that with one: {what}",
            value=beside / alone,
            goal="<= 1.1",
            met=beside / alone <= 1.1,
            detail=f"{len(times['three'])} and {len(times['one'])} keys: {beside:.1f} and {alone:.1f} ms",
        )
    with tempfile.TemporaryDirectory() as scratch:
        presses = QUICK if quick else STEPS
        alone = _calls_to_go_on(Path(scratch) / "one", (), presses)
        beside = _calls_to_go_on(Path(scratch) / "three", ("A", "B", "C"), presses)
    yield Figure(
        what="function calls of a key that leads on to another step with three units, times those with one",
        value=beside / alone,
        goal="<= 1.1",
        met=beside / alone <= 1.1,
        detail=f"{beside:,.0f} and {alone:,.0f} calls",
    )
