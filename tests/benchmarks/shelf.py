"""How soon the shelf is there with 100 builds and 200 kits on it, against a shelf with the examples only."""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from bench.log import events as ev
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from tests.benchmarks import Figure
from tests.support.terminal import Terminal

BUILDS, KITS = 100, 200
MOST_RATIO = 1.5
ROOT = Path(__file__).parent.parent.parent


def crowded(data: Path) -> None:
    """A data folder with builds that are done and kits of one's own."""
    kits = data / "kits"
    kits.mkdir(parents=True)
    shipped = sorted(shipped_kits_folder().glob("*.yaml"))
    for number in range(KITS):
        text = shipped[number % len(shipped)].read_text(encoding="utf-8")
        (kits / f"own-{number:03}.yaml").write_text(
            text.replace("\nname: ", f"\nname: {number:03} ", 1), "utf-8"
        )
    build = open_build(data, "fog-filter", Settings(), SystemClock())
    for step in build.outline.steps:
        build.writer.record(ev.Done(**build._here(step), items=step.items))
    build.note("done")
    build.close()
    for number in range(1, BUILDS):
        shutil.copytree(build.log.folder, data / "builds" / f"fog-filter-rev-a-{number}")


def milliseconds_until_shown(data: Path) -> float:
    """From the start of the program to the first picture of its shelf."""
    command = [sys.executable, "-m", "bench.cli", "--data", str(data)]
    with Terminal(command, 120, 40, env={"PYTHONPATH": str(ROOT)}, cwd=ROOT) as terminal:
        return terminal.wait("Ready to build", 60)


def run(seed: int, quick: bool) -> Iterator[Figure]:
    """Medians of starts in turn, so that both meet the same machine; the first with an empty cache."""
    rounds = 3 if quick else 7
    with tempfile.TemporaryDirectory() as folder:
        empty, full = Path(folder) / "empty", Path(folder) / "full"
        empty.mkdir()
        crowded(full)
        first = milliseconds_until_shown(full) / milliseconds_until_shown(empty)
        times: dict[Path, list[float]] = {empty: [], full: []}
        for _ in range(rounds):
            for data, known in times.items():
                known.append(milliseconds_until_shown(data))
        medians = {data: statistics.median(known) for data, known in times.items()}
    for what, ratio, detail in (
        ("later starts", medians[full] / medians[empty], f"{medians[full]:.0f} and {medians[empty]:.0f} ms"),
        ("first start, nothing cached", first, "one start each"),
    ):
        yield Figure(
            what=f"time to the shelf with {BUILDS} builds and {KITS} kits / with examples only: {what}",
            value=ratio,
            goal=f"<= {MOST_RATIO}",
            met=ratio <= MOST_RATIO,
            detail=detail,
        )
