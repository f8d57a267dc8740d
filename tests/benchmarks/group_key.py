"""From a key to the next step with three units side by side, against one: both are up and pressed in turn."""

from __future__ import annotations

import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path

from bench.settings import SETTINGS_NAME
from tests.benchmarks import Figure
from tests.support.at_bench import KITS, PATH, PROGRAM
from tests.support.terminal import Terminal

KIT = "twin-board-oscillator"
STEPS, QUICK = 80, 30
SKIPPED = 12
"""Presses at the beginning that are not counted."""
_ASKED = "Count them on the board"


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


def run(seed: int, quick: bool = False) -> Iterator[Figure]:
    """The median with three units over that with one; of all keys, and of those that lead to another step."""
    times: dict[str, list[float]] = {"one": [], "three": [], "moved": []}
    with (
        tempfile.TemporaryDirectory() as folder,
        _up(Path(folder) / "one") as one,
        _up(Path(folder) / "three", "--units", "3") as three,
    ):
        for terminal in (one, three):
            terminal.wait("step 1 of")
            terminal.settle(1.0)
        for number in range(SKIPPED + (QUICK if quick else STEPS)):
            for name, terminal, presses in (("one", one, 1), ("three", three, 3)):
                for _ in range(presses):
                    took = None if "HOLD POINT" in terminal.text else _press(terminal)
                    if took is None or number < SKIPPED:
                        continue
                    times[name].append(took)
                    if name == "three" and "Unit A ·" in terminal.text:
                        times["moved"].append(took)
    alone = statistics.median(times["one"])
    for name, what in (
        ("three", "all keys"),
        ("moved", "keys that lead on from the last unit to another step"),
    ):
        beside = statistics.median(times[name])
        yield Figure(
            what=f"key to the next step with three units, times that with one: {what}",
            value=beside / alone,
            goal="<= 1.1",
            met=beside / alone <= 1.1,
            detail=f"medians of {len(times[name])} and {len(times['one'])}: {beside:.1f} and {alone:.1f} ms",
        )
