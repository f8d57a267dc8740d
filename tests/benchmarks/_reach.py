"""Which tests reach which lines of the tried rooms, recorded once for each file of tests.

As a program, with the file to write and files of tests: runs them under coverage and writes what each reached.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import coverage
import msgspec
import pytest
from msgspec import Struct

ROOMS = ("log", "measure", "plan", "kit", "papers", "estimate", "suspects")
PATIENCE = 3
"""Seconds of the processor that a test may take while it is recorded; what takes longer tries no mutant."""
WAITED = 60
"""Seconds of any sort after which it is stopped all the same."""
_HEAVY = (
    "tests/tui/", "tests/terminal/", "cli/test_inert", "architecture", "fuzz", "forecast_holds", "browser",
    "writeup/test_sheets_print", "trimming_benchmark", "readme",
)  # fmt: skip
"""Files whose tests take a terminal, a browser or minutes."""


class Reached(Struct, frozen=True):
    """One test: how long it took and which lines it ran, by module."""

    name: str
    seconds: float
    lines: dict[str, list[int]]


class OfFile(Struct, frozen=True):
    """What was recorded of one file of tests while the rooms and the file had this digest."""

    digest: str
    tests: list[Reached]


def light_tests(root: Path) -> list[str]:
    """The files of tests that can try a mutant in seconds."""
    files = (each.relative_to(root).as_posix() for each in sorted((root / "tests").rglob("test_*.py")))
    return [each for each in files if not any(word in each for word in _HEAVY)]


def reach(root: Path, kept: Path, *, only_changed: bool) -> list[Reached]:
    """All light tests with what they reach, in order of time; recorded where nothing fitting is kept.

    With `only_changed` what was kept of a file of tests holds as long as that file is the same: lines may have
    moved since, which can send a mutant to tests that do not reach it, so that it wrongly survives.
    """
    rooms = (
        b""
        if only_changed
        else b"".join(
            each.read_bytes() for room in ROOMS for each in sorted((root / "bench" / room).rglob("*.py"))
        )
    )
    have = msgspec.json.decode(kept.read_bytes(), type=dict[str, OfFile]) if kept.exists() else {}
    files = light_tests(root)
    digests = {each: hashlib.sha256(rooms + (root / each).read_bytes()).hexdigest() for each in files}
    stale = [each for each in files if each not in have or have[each].digest != digests[each]]
    for at in range(0, len(stale), 12):
        some = stale[at : at + 12]
        fresh = _recorded(root, kept.with_suffix(".new"), some)
        have |= {
            each: OfFile(digests[each], [t for t in fresh if t.name.startswith(f"{each}::")]) for each in some
        }
        kept.write_bytes(msgspec.json.encode({each: have[each] for each in files if each in have}))
    # a name with the path of this tree in it stands for nothing in a copy
    found = (test for each in files for test in have[each].tests if str(root) not in test.name)
    return sorted(found, key=lambda test: test.seconds)


def _recorded(root: Path, out: Path, files: list[str]) -> list[Reached]:
    out.unlink(missing_ok=True)
    subprocess.run(
        [sys.executable, "-m", "tests.benchmarks._reach", str(out), *files], cwd=root, env=environment(root),
        check=False, capture_output=True,
    )  # fmt: skip
    return msgspec.json.decode(out.read_bytes(), type=list[Reached]) if out.exists() else []


def environment(root: Path) -> dict[str, str]:
    """The environment of a run of tests in a tree."""
    return {**os.environ, "PYTHONPATH": str(root), "PYTHONHASHSEED": "0"}


class Calm:
    """Sets Hypothesis to tries that are the same every time, are not shrunk and are not kept."""

    def __init__(self, examples: int) -> None:
        self._examples = examples

    def pytest_sessionstart(self) -> None:
        # not before: pytest wants to rewrite it first
        from hypothesis import HealthCheck, Phase, settings

        settings.register_profile(
            "calm",
            max_examples=self._examples,
            deadline=None,
            database=None,
            derandomize=True,
            phases=[Phase.explicit, Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        settings.load_profile("calm")


class _Recorder:
    """Switches coverage to each test in turn; a test over its time is stopped and fails."""

    def __init__(self, measured: coverage.Coverage) -> None:
        self._measured = measured
        self.passed: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        self._measured.switch_context(item.nodeid)
        return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        signal.setitimer(signal.ITIMER_PROF, PATIENCE)
        signal.alarm(WAITED)
        began = time.perf_counter()
        try:
            yield
        finally:
            signal.setitimer(signal.ITIMER_PROF, 0)
            signal.alarm(0)
        self.passed[item.nodeid] = time.perf_counter() - began


def _late(*_: object) -> None:
    raise TimeoutError("too slow to try mutants")


def _main(out: Path, files: list[str]) -> None:
    signal.signal(signal.SIGALRM, _late)
    signal.signal(signal.SIGPROF, _late)
    measured = coverage.Coverage(
        data_file=None, config_file=False, include=[f"bench/{room}/*" for room in ROOMS]
    )
    recorder = _Recorder(measured)
    measured.start()
    with contextlib.suppress(SystemExit):
        pytest.main(
            ["-q", "-p", "no:cacheprovider", "-o", "addopts=--strict-markers", *files],
            plugins=[Calm(20), recorder],
        )  # fmt: skip
    measured.stop()
    data = measured.get_data()
    lines: dict[str, dict[str, list[int]]] = {}
    for file in data.measured_files():
        path = Path(file).relative_to(Path.cwd()).as_posix()
        for line, contexts in data.contexts_by_lineno(file).items():
            for each in contexts:
                lines.setdefault(each, {}).setdefault(path, []).append(line)
    tests = [Reached(name, seconds, lines.get(name, {})) for name, seconds in recorder.passed.items()]
    out.write_bytes(msgspec.json.encode(tests))


if __name__ == "__main__":
    _main(Path(sys.argv[1]), sys.argv[2:])
