"""Three units of a kit in a real terminal: one falls behind, one fails a hold point, all are killed."""

from __future__ import annotations

import json
import os
import random
import re
from pathlib import Path

import pytest

pytest.importorskip("pty", reason="needs pseudo-terminals")

from bench.session.at_once import MOST
from bench.session.folders import reopen
from bench.session.together import open_bench
from bench.settings import SETTINGS_NAME, Settings
from tests.support.at_bench import KITS, PATH, PROGRAM
from tests.support.samples import HandClock
from tests.support.terminal import Terminal

KILLS = int(os.environ.get("SOLDERSIDE_GROUP_KILLS", "6"))
"""100 for the figure in DEVELOPERS.md."""
ASKED, MISCOUNTED = "Space one more", "go on; the log keeps"
UNIT = re.compile(r"^ ?Unit ([ABC]): (?=\S?A\b.*B\b.*C\b)", re.MULTILINE)


def at_three(kit: str, data: Path) -> Terminal:
    data.mkdir(exist_ok=True)
    (data / SETTINGS_NAME).write_text("repeat_milliseconds = 0\n", encoding="utf-8")
    command = [*PROGRAM, "build", str(KITS / f"{kit}.yaml"), "--units", "3", "--data", str(data)]
    return Terminal(command, 80, 24, env=PATH, cwd=data)


def logs(data: Path) -> list[list[dict[str, object]]]:
    """The whole lines of each unit's log."""
    paths = sorted((data / "builds").glob("*/log.jsonl"))
    return [[json.loads(line) for line in path.read_bytes().split(b"\n")[:-1]] for path in paths]


def entries(data: Path) -> int:
    return sum(map(len, logs(data)))


def press(terminal: Terminal, data: Path, key: str = "space") -> None:
    """Press a key and wait until its entry is on the disk; a hidden caution takes another press."""
    before = entries(data)
    for _ in range(30):
        if ASKED in terminal.text:
            terminal.send("7", "enter")
        elif MISCOUNTED in terminal.text:
            terminal.send("k")
        else:
            terminal.send(key)
        terminal.settle(0.06)
        if entries(data) > before or "nothing to undo" in terminal.text:
            return
    raise AssertionError(terminal.text)


def unit_of(terminal: Terminal) -> str:
    """The unit that the card names; empty while a question stands in its place."""
    found = UNIT.search(terminal.text)
    return found[1] if found else ""


@pytest.mark.parametrize("kit", ["first-evening-metronome", "cue-listener"])
def test_three_units_with_one_behind_and_one_that_fails_its_hold_point(kit: str, tmp_path: Path) -> None:
    with at_three(kit, tmp_path / "data") as terminal:
        data = tmp_path / "data"
        terminal.wait(UNIT)
        assert unit_of(terminal) == "A"
        press(terminal, data)
        terminal.wait(lambda now: unit_of(now) == "B")
        terminal.send(";")
        terminal.wait("leave it empty")
        terminal.settle(0.3)
        terminal.send("its board is drying", "enter")
        terminal.wait(r"(B)")
        assert unit_of(terminal) == "C"
        for _ in range(300):
            if "HOLD POINT" in terminal.text and ASKED not in terminal.text:
                break
            press(terminal, data)
        else:
            raise AssertionError(terminal.text)
        terminal.settle(0.3)
        failing = unit_of(terminal)
        other = "C" if failing == "A" else "A"
        done = {each: len(bench_of(data, each)) for each in "ABC"}
        for _ in range(10):
            terminal.send("space")
            terminal.settle(0.3)
            if "Reading at" in terminal.text:
                break
        assert "Reading at" in terminal.text, terminal.text
        terminal.send("0.2 ohm", "enter")
        terminal.wait("below the limits")
        assert unit_of(terminal) == failing
        terminal.send("space")
        terminal.settle(0.3)
        terminal.send("escape")
        terminal.settle(0.3)
        terminal.send(";")
        terminal.wait("leave it empty")
        terminal.settle(0.3)
        terminal.send("short on the rail", "enter")
        terminal.wait(lambda now: unit_of(now) == other)
        assert "HOLD POINT" in terminal.text  # it has its own to pass
        assert not [each for each in bench_of(data, other) if each["event"] in ("reading", "hold passed")]
        terminal.send("+")
        terminal.wait("What now?")
        terminal.send("2")
        terminal.wait(lambda now: unit_of(now) == "B")
        terminal.send("q")
    behind = len([each for each in bench_of(data, "B") if each["event"] == "done"])
    assert behind == 0
    assert done["C"] > 3


def bench_of(data: Path, unit: str) -> list[dict[str, object]]:
    """The events of the unit of this name."""
    for log in logs(data):
        if any(each["event"] == "unit named" and each["name"] == unit for each in log):
            return log
    raise AssertionError(unit)


@pytest.mark.parametrize("seed", range(KILLS))
def test_killed_in_the_middle_nothing_is_lost_or_doubled_in_any_unit(seed: int, tmp_path: Path) -> None:
    chance, data = random.Random(seed), tmp_path / "data"
    seen = 0
    for _ in range(2):
        with at_three("first-evening-metronome", data) as terminal:
            terminal.wait(UNIT)
            for _ in range(chance.randrange(2, 7)):
                press(terminal, data, chance.choice(["space", "space", "space", ".", "u"]) if seen else "space")
                seen = entries(data)
            if chance.random() < 0.5:
                terminal.send("space")  # what this one leaves behind depends on the moment
                terminal.settle(chance.uniform(0.0, 0.02))
            terminal.kill()
        assert entries(data) >= seen  # what was on the disk stays there
    build = open_bench(data, str(KITS / "first-evening-metronome.yaml"), Settings(), HandClock(utc=3e9))
    bench = build.beside
    assert bench is not None
    assert [each.unit for each in bench.builds] == ["A", "B", "C"]
    turns = sorted(each.turn for unit in bench.builds for each in unit.writer.events if each.turn)
    assert turns == list(range(1, len(turns) + 1))
    for unit in bench.builds:
        assert [each.n for each in unit.writer.events] == list(range(1, len(unit.writer.events) + 1))
        assert not unit.log.remarks
        places = [unit.current or 0 for unit in bench.builds]
        assert (
            max(places) - min(places) < MOST
        )  # each step, or tasks done at once, on all units before the next
    bench.builds[0].close()
    alone = reopen(data, bench.builds[1].log.folder, Settings(), HandClock(utc=3e9), read_only=True)
    assert alone.progress.done == bench.builds[1].progress.done
