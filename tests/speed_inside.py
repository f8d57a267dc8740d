"""What can be timed within one process, for `tests.speed`; run by the Python in which the program is installed.

`python speed_inside.py KIT RUNS` prints one JSON object: name -> milliseconds, the median of several runs.
"""

from __future__ import annotations

import gc
import json
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import msgspec

from bench.batch.gather import gather
from bench.batch.rack import check_rack
from bench.estimate.log_observations import observations_of
from bench.kit.case import parse_case
from bench.kit.kit import Kit, PartLine
from bench.kit.load import load_kit
from bench.log import events as ev
from bench.log.clock import Moment, stamp_text
from bench.log.file import LOG_NAME, LogFile
from bench.log.fold import fold
from bench.log.lines import Recovery
from bench.parts.lookalikes import LookalikePart, find_lookalikes
from bench.plan.procedure import load_procedure, shipped_procedures
from bench.plan.stages import make_plan
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.writeup.publish import page_of

REPLAYED = 100_000
TOLD = 2_000


def median_ms(action: Callable[[], object], runs: int) -> float:
    """Median time of an action in milliseconds, after one run that does not count."""
    action()
    took = []
    for _ in range(runs):
        gc.collect()
        began = time.perf_counter()
        action()
        took.append((time.perf_counter() - began) * 1000)
    return statistics.median(took)


class Clock:
    """Half a minute passes at each look."""

    def __init__(self) -> None:
        self.seconds = 1_900_000_000.0

    def now(self) -> Moment:
        """Both clocks, in step."""
        self.seconds += 30
        return Moment(at=stamp_text(self.seconds), mono=self.seconds)


def long_log(build: Build, events: int) -> bytes:
    """A log of so many events that a builder could have written: every step done over and over, with notes."""
    clock, lines = Clock(), list(build.log.events)
    steps = build.plan.steps
    while len(lines) < events:
        n, moment = len(lines) + 1, clock.now()
        step = steps[(n // 2) % len(steps)]
        place = {"stage": step.stage, "board": step.board, "step": step.key}
        common: dict[str, Any] = {"n": n, "at": moment.at, "mono": moment.mono, "run": "long", **place}
        if n % 50 == 0:
            lines.append(ev.Noted(**common, text=f"note {n}"))
        elif n % 70 == 0:
            lines.append(ev.Snagged(**common, what=f"bridge {n}", minutes=3.0))
        else:
            common |= {"items": step.items, "value": step.value, "refs": step.refs, "joints": step.joints}
            lines.append(ev.Done(**common))
    encode = msgspec.json.encode
    return b"".join(encode(line) + b"\n" for line in lines)


def with_positions(kit: Kit) -> Kit:
    """The kit with a place by chance for each designator, on boards of 150 mm by 200 mm."""
    chance = random.Random(1)

    def placed(part: PartLine) -> PartLine:
        places = tuple((chance.uniform(0, 150), chance.uniform(0, 200)) for _ in part.refs)
        return msgspec.structs.replace(part, positions=places)

    boards = (
        msgspec.structs.replace(board, parts=tuple(map(placed, board.parts)), size=(150.0, 200.0))
        for board in kit.boards
    )
    return msgspec.structs.replace(kit, boards=tuple(boards))


def long_build(data: Path, kit: Path, events: int) -> str:
    """A build in `data` whose log has so many events; its name."""
    build = open_build(data, str(kit), Settings(), Clock())
    build.close()
    (build.log.folder / LOG_NAME).write_bytes(long_log(build, events))
    return build.name


def timings(path: Path, runs: int, folder: Path) -> dict[str, float]:
    """All of them, for the kit file at `path`; `folder` is scratch space."""
    cache = folder / "cache"
    kit = load_kit(path, cache)
    placed = with_positions(kit)
    procedure = load_procedure(shipped_procedures()["low-to-high"])
    build = open_build(folder, str(path), Settings(), Clock())

    raw = long_log(build, REPLAYED)
    decoder = msgspec.json.Decoder(ev.AnyEvent)

    def decoded() -> list[ev.AnyEvent]:
        return [decoder.decode(line) for line in raw.split(b"\n") if line]

    def read() -> Recovery:
        found = Recovery("log")
        found.read((raw,))
        return found

    def replayed() -> None:
        found = read()
        assert len(found.events) == REPLAYED
        assert not found.remarks
        assert not found.torn
        fold(found.events)

    def recorded() -> None:
        done, _ = observations_of(read().events, build.plan, "long")
        assert done.stages

    parts = [
        LookalikePart(board=board.name, value=line.value, kind=line.kind, tolerance=line.tolerance)
        for board in kit.boards
        for line in board.parts
    ]
    few = max(3, runs // 5)
    found = {"decode": median_ms(decoded, few), "replay": median_ms(replayed, few)}
    found |= {"decode again": median_ms(decoded, few), "record": median_ms(recorded, few)}

    build.close()
    ten = [*map(str, sorted(shipped_kits_folder().glob("*.yaml"))[:9]), str(path)]
    assert len(ten) == 10

    def ordered() -> None:
        gathered = gather(folder, ten, Settings())
        _, members = gathered.ordered("needs")
        assert len(members) == 10
        check_rack(members, parse_case("84 HP, 60 mm deep"))

    found["ten kits"] = median_ms(ordered, few)

    (build.log.folder / LOG_NAME).write_bytes(long_log(build, TOLD))
    told = Build(kit, build.plan, LogFile(build.log.folder, read_only=True), Clock())
    assert len(told.events) == TOLD
    return found | {
        "article": median_ms(lambda: page_of(told), few),
        "plan": median_ms(lambda: make_plan(kit, procedure), runs),
        "look-alikes": median_ms(lambda: find_lookalikes(parts), runs),
        "plan with positions": median_ms(lambda: make_plan(placed, procedure), runs),
        "kit from yaml": median_ms(lambda: load_kit(path), runs),
        "kit from cache": median_ms(lambda: load_kit(path, cache), runs),
        "steps": float(len(build.plan.steps)),
        "events replayed": float(REPLAYED),
        "events told": float(TOLD),
    }


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as scratch:
        print(json.dumps(timings(Path(sys.argv[1]), int(sys.argv[2]), Path(scratch))))
