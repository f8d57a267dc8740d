"""A log of a million events: opening it against decoding its bytes bare, and the memory it takes."""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.log.file import LOG_NAME
from bench.log.lines import encoded
from tests.benchmarks import Figure

_PROBE = """
import json, resource, sys, time
from pathlib import Path
import msgspec
from bench.log.events import AnyEvent
from bench.log.file import LogFile
from bench.log.fold import ProgressReducer
folder, what = Path(sys.argv[1]), sys.argv[2]
raw = (folder / "log.jsonl").read_bytes() if what == "floor" else b""
began = time.process_time()
if what == "floor":
    events = msgspec.json.Decoder(AnyEvent).decode_lines(raw)
else:
    log = LogFile(folder, read_only=True)
    progress = ProgressReducer()
    progress.extend(log.events)
    events = log.events
took = time.process_time() - began
print(json.dumps([took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, len(events)]))
"""


def write_long_log(path: Path, events: int) -> None:
    """A log of so many events: 119 steps done over and over, a note at every fiftieth."""
    with path.open("wb") as file:
        file.write(
            encoded(ev.Started(n=1, at=stamp_text(1.9e9), mono=0.0, run="1a2b-3c4d5e", log=1, kit="Long"))
        )
        for n in range(2, events + 1):
            ref = f"R{n % 119 + 1}"
            common: dict[str, Any] = {
                "n": n, "at": stamp_text(1.9e9 + 3 * n), "mono": 3.0 * n, "run": "1a2b-3c4d5e",
                "stage": "Parts that lie flat", "board": "main", "step": f"main/{ref}",
            }  # fmt: skip
            if n % 50 == 0:
                file.write(encoded(ev.Noted(**common, text=f"note {n}")))
            else:
                done: dict[str, Any] = {"items": (f"main/{ref}",), "value": "4k7", "refs": (ref,), "joints": 2}
                file.write(encoded(ev.Done(**common, **done)))


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """Open a long log in fresh processes, in turn with the floor; medians of three runs."""
    count = 100_000 if quick else 1_000_000
    with tempfile.TemporaryDirectory() as folder:
        write_long_log(Path(folder, LOG_NAME), count)
        floors, opened, memory = [], [], []
        for _ in range(3):
            floors.append(_probe(folder, "floor")[0])
            took, megabytes, events = _probe(folder, "open")
            assert events == count
            opened.append(took)
            memory.append(megabytes)
    ratio, most = sorted(opened)[1] / sorted(floors)[1], max(memory)
    detail = f"{count:,} events"
    yield Figure(
        what="reading, checking and folding a log, times bare decoding",
        value=ratio, goal="<= 2.5", met=ratio <= 2.5, detail=detail,
    )  # fmt: skip
    yield Figure(what="memory, MB", value=most, goal="<= 400", met=most <= 400, detail=detail)


def _probe(folder: str, what: str) -> tuple[float, float, int]:
    done = subprocess.run(
        [sys.executable, "-c", _PROBE, folder, what], capture_output=True, text=True, check=True
    )
    took, megabytes, events = json.loads(done.stdout)
    return float(took), float(megabytes), int(events)
