"""The program at the bench in a real pseudo-terminal: opened, worked with, and looked at."""

from __future__ import annotations

import contextlib
import difflib
import json
import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

import bench
from bench.settings import SETTINGS_NAME, shipped_kits_folder

pytest.importorskip("pty", reason="needs pseudo-terminals")
from tests.support.terminal import Terminal

KITS = shipped_kits_folder()
SMALL, LARGE = KITS / "first-evening-metronome.yaml", KITS / "twin-board-oscillator.yaml"
PROGRAM = [sys.executable, "-m", "bench.cli"]
PATH = {"PYTHONPATH": str(Path(bench.__file__).parent.parent)}


SIZES = [(40, 12), (80, 24), (120, 40)]


HEAD = re.compile(r"step \d+ of \d+")
ASKED = "Space one more"
MISCOUNTED = "go on; the log keeps"
CLOCKS = re.compile(r" +(?=joints \d)|(?:(?:stage \d+:\d\d:\d\d|about [^\n]{1,20} left)  )?bench \d+:\d\d:\d\d")
Place = tuple[str, ...]


def at_bench(kit: Path, data: Path, columns: int = 120, rows: int = 40, **env: str) -> Terminal:
    """The program at the bench; not yet waited for. It takes keys as fast as they come by its settings."""
    if not (data / SETTINGS_NAME).exists():
        (data / SETTINGS_NAME).write_text("repeat_milliseconds = 0\n", encoding="utf-8")
    command = [*PROGRAM, "build", str(kit), "--new", "--data", str(data)]
    return Terminal(command, columns, rows, env=PATH | env, cwd=data)


def still(terminal: Terminal) -> str:
    """What is on screen but for the clocks and, beside the card, the rail: its times come when they come."""
    wide = terminal.screen.columns >= 100
    text = "\n".join(
        line[:CARD] if wide and number else line
        for number, line in enumerate(CLOCKS.sub("", terminal.text).split("\n"))
    )
    return re.sub(r" +$", "", text, flags=re.MULTILINE)


def log_of(data: Path) -> list[dict[str, object]]:
    """The events of the only build in a data folder; what follows the last line end does not count."""
    raw = next((data / "builds").glob("*/log.jsonl")).read_bytes()
    return [json.loads(line) for line in raw.split(b"\n")[:-1]]


def walk(terminal: Terminal, until: str, most: int = 60) -> None:
    """Do steps, and count joints, until a word is on screen."""
    terminal.wait(HEAD)
    for _ in range(most):
        terminal.settle(0.05)
        if until in terminal.text:
            return
        before = still(terminal)
        keys = ["7", "enter"] if ASKED in before else ["k"] if MISCOUNTED in before else ["space"]
        terminal.send(*keys)
        terminal.wait(lambda now, before=before: still(now) != before)  # type: ignore[misc]
    raise AssertionError(f"{until!r} did not come; the screen shows:\n{terminal.text}")


def place_of(terminal: Terminal) -> Place:
    """What the screen says of where the build stands, whatever word to the builder is on it."""
    lines = still(terminal).partition("\n──────")[0].split("\n")
    head = next((line[:CARD].split() for line in lines if HEAD.search(line)), [])
    tally = [found[1] for line in lines if (found := re.match(r" (\d+ parts?(?:, \d+ joints?)?)", line[:CARD]))]
    rail = terminal.text.split("\n")
    at_work = [line[CARD:].strip().split("  ")[0] for line in rail if line[CARD:].strip().startswith("▸")]
    return (lines[0].strip(), " ".join(head), *tally, *at_work)


CARD = 87
"""Columns of the card at 120; the rail stands after them."""


def comes_to(terminal: Terminal, look: Callable[[Terminal], object], wanted: object) -> None:
    """Wait until the screen, looked at in this way, is as wanted; fails with what is different."""
    with contextlib.suppress(TimeoutError):
        terminal.wait(lambda now: look(now) == wanted)
    found = look(terminal)
    if found != wanted:
        told = difflib.unified_diff(str(wanted).splitlines(), str(found).splitlines(), "wanted", "found", n=1)
        raise AssertionError("\n".join(told))
