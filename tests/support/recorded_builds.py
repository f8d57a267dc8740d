"""A data folder with builds that simulated builders made: whole, but for the last."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec
from msgspec.structs import replace

from bench.log import events as ev
from bench.log.file import LOG_NAME
from bench.session.folders import open_build
from bench.settings import Settings
from tests.support.forecast_plans import LARGE_KIT, SMALL_KIT, plans
from tests.support.samples import HandClock
from tests.support.simulated_builders import Builder, career


def record_builds(data: Path, order: str, seed: int = 77, last: float = 1.0) -> list[list[ev.AnyEvent]]:
    """Write builds of the small (`s`) and large (`l`) kit into a data folder; of the last only a share."""
    small, large = plans()
    modules = [small if letter == "s" else large for letter in order]
    written = []
    for number, (letter, (_, _, events)) in enumerate(
        zip(order, career(Builder(seed), modules), strict=True), 1
    ):
        kept = events[: int(len(events) * last)] if number == len(order) else events
        written.append(write_build(data, SMALL_KIT if letter == "s" else LARGE_KIT, kept))
    return written


def write_build(data: Path, kit: Path, events: Sequence[ev.AnyEvent]) -> list[ev.AnyEvent]:
    """One more build of a kit with these events, all but the first; returns what stands in its log."""
    build = open_build(data, str(kit), Settings(), HandClock(), again=True)
    first = replace(build.events[0], at=events[0].at, mono=events[0].mono, run=events[0].run)
    folder = build.log.folder
    build.log.close()
    lines = [first, *events[1:]]
    (folder / LOG_NAME).write_bytes(b"".join(msgspec.json.encode(line) + b"\n" for line in lines))
    return lines
