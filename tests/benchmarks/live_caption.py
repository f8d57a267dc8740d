"""What the caption file costs at a key: steps done with and without one, at the pace of quick hands."""

from __future__ import annotations

import statistics
import tempfile
import time
from pathlib import Path

from bench.errors import Refused
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from tests.benchmarks import Figure

KEY = 7.6
"""Milliseconds from a key to the next step on screen, the least that `python -m tests.speed` measured."""
PACE = 0.05
"""Seconds between two keys."""


def _steps(folder: Path, caption: str, most: int) -> list[float]:
    """Milliseconds that each step took to be recorded."""
    kit = shipped_kits_folder() / "twin-board-oscillator.yaml"
    build = open_build(folder, str(kit), Settings(caption_file=caption), SystemClock())
    build.opened()
    spent = []
    for _ in range(most):
        if build.view().count_for:
            build.count_joints(5)
        time.sleep(PACE)
        began = time.perf_counter()
        try:
            build.done()
        except Refused:
            break
        spent.append((time.perf_counter() - began) * 1000)
    build.close()
    return spent


def run(seed: int, quick: bool) -> list[Figure]:
    """The share of a key that the caption file takes, by the medians of alternate runs."""
    runs, most = (1, 40) if quick else (4, 60)
    found: dict[str, list[float]] = {"": [], "now.txt": []}
    for _ in range(runs):
        for caption, spent in found.items():
            with tempfile.TemporaryDirectory() as folder:
                spent += _steps(Path(folder), caption, most)
    more = statistics.median(found["now.txt"]) - statistics.median(found[""])
    detail = f"{more:.2f} ms, {len(found[''])} steps each way"
    what = "share of a key that the caption file takes"
    return [Figure(what=what, value=more / KEY, goal="<= 0.05", met=more / KEY <= 0.05, detail=detail)]
