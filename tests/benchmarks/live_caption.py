"""What the caption file costs at a key: steps done with and without one, at the pace of quick hands."""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from bench.log.events import AnyEvent, Done
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from tests.benchmarks import Figure

KEY = 7.6
"""Milliseconds from a key to the next step on screen, the least that `python -m tests.speed` measured."""
PACE = 0.1
"""Seconds between two keys."""


def _opened(folder: Path, caption: str) -> Build:
    kit = shipped_kits_folder() / "twin-board-oscillator.yaml"
    build = open_build(folder, str(kit), Settings(caption_file=caption), SystemClock())
    build.opened()
    return build


def _step(build: Build) -> float:
    """Milliseconds that a step takes to be recorded."""
    if build.view().count_for:
        build.count_joints(5)
    time.sleep(PACE)
    began = time.perf_counter()
    build.done()
    return (time.perf_counter() - began) * 1000


def run(seed: int, quick: bool) -> list[Figure]:
    """The share of a key that waits for the caption file, and the difference of steps that take turns."""
    steps = 30 if quick else 60
    more: list[float] = []
    waited: list[float] = []
    for _ in range(1 if quick else 3):
        with tempfile.TemporaryDirectory() as bare, tempfile.TemporaryDirectory() as told:
            without, build = _opened(Path(bare), ""), _opened(Path(told), "now.txt")
            _timed(build, waited)
            for number in range(steps):
                first, second = (without, build) if number % 2 else (build, without)
                spent = {id(first): _step(first), id(second): _step(second)}
                more.append(spent[id(build)] - spent[id(without)])
            without.close()
            build.close()
    figures = (("waiting for the caption file", waited), ("with a caption file and without", more))
    return [
        Figure(
            what=f"share of a key: {what}",
            value=(share := statistics.median(found) / KEY),
            goal="<= 0.05",
            met=share <= 0.05,
            detail=f"median {statistics.median(found):.2f} ms of {len(found)} steps",
        )
        for what, found in figures
    ]


def _timed(build: Build, waited: list[float]) -> None:
    """Note the milliseconds that each key waits for the caption file."""
    follower = build.writer.follower
    assert follower is not None

    def take(event: AnyEvent) -> None:
        began = time.perf_counter()
        follower(event)
        if isinstance(event, Done):
            waited.append((time.perf_counter() - began) * 1000)

    build.writer.follower = take
