"""What befalls a log and the files around it, and what is lost by it: nothing that was acknowledged."""

from __future__ import annotations

import os
import random
import re
import subprocess
import sys
from collections.abc import Iterable
from pathlib import Path

from bench.log.lines import encoded
from tests.benchmarks import Figure
from tests.log.test_lines import done_items, renumbered, story
from tests.support.log_bytes import parse_log

ROOT = Path(__file__).parent.parent.parent


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """Change, cut and renumber a log; break files; kill the program; fill its disk."""
    chance = random.Random(seed)
    yield _bytes_changed(chance, 2_000 if quick else 100_000)
    yield _cuts(2 if quick else 12)
    yield _numbers(chance, 500 if quick else 20_000)
    for test, what, variables, cases in (
        ("tests/test_fuzz.py", "malformed files that end in a traceback",
         {"SOLDERSIDE_FUZZ_SEED": str(seed)}, ("SOLDERSIDE_FUZZ_CASES", 1_000 if quick else 10_000)),
        ("tests/terminal/test_killed.py", "kill -9 in a terminal: events lost or doubled", {},
         ("SOLDERSIDE_KILLS", 10 if quick else 100)),
    ):  # fmt: skip
        yield _suite(test, what, variables | {cases[0]: str(cases[1])}, f"{cases[1]:,} cases")
    yield _suite("tests/terminal/test_disk.py", "full, failing, vanishing disks: events lost", {}, "all cases")


def _none(what: str, count: int, detail: str) -> Figure:
    return Figure(what=what, value=count, goal="0", met=count == 0, detail=detail)


def _bytes_changed(chance: random.Random, cases: int) -> Figure:
    """A changed byte leaves the events as they were or is told."""
    events = story(40)
    raw = b"".join(map(encoded, events))
    silent = 0
    for _ in range(cases):
        at, new = chance.randrange(len(raw)), chance.randrange(256)
        found, remarks, torn = parse_log(raw[:at] + bytes((new,)) + raw[at + 1 :], "log")
        silent += not (remarks or torn or found == events)
    return _none("changed bytes of a log that altered it silently", silent, f"{cases:,} changes")


def _cuts(logs: int) -> Figure:
    """A log cut at any byte keeps every whole line before the cut."""
    lost = cases = 0
    for number in range(logs):
        events = story(10 + number)
        raw = b"".join(map(encoded, events))
        for at in range(len(raw) + 1):
            whole = raw[:at].count(b"\n")
            cases += 1
            lost += parse_log(raw[:at], "log")[0][:whole] != events[:whole]
    return _none("logs cut at a byte that lost a whole line", lost, f"{cases:,} cuts")


def _numbers(chance: random.Random, cases: int) -> Figure:
    """A wrong sequence number hides no work."""
    events = story(40)
    hidden = 0
    for _ in range(cases):
        at = chance.randrange(1, len(events) - 1)
        lines = [encoded(event) for event in events]
        lines[at] = encoded(renumbered(events[at], chance.randrange(-5, 200)))
        hidden += done_items(parse_log(b"".join(lines), "log")[0]) != done_items(events)
    return _none("wrong sequence numbers that hid work", hidden, f"{cases:,} numbers")


def _suite(test: str, what: str, variables: dict[str, str], detail: str) -> Figure:
    """A file of the tests run with other figures: its failures."""
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", test], cwd=ROOT, env=os.environ | variables,
        capture_output=True, text=True, check=False,
    )  # fmt: skip
    failed = re.search(r"(\d+) (?:failed|error)", done.stdout)
    count = int(failed[1]) if failed else int(done.returncode != 0)
    return _none(what, count, f"{detail}, {test}")
