"""A bench that is filmed: what the log then says of its clips, for tests."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC
from typing import Any

from bench.log import events as ev
from bench.plan.plan import Plan
from bench.writeup.film.chapters import Chapter
from bench.writeup.film.footage import Filmed, Footage, footage_of
from tests.support.story_bench import FLAT, KIT, PLAN, SOCKETS, Bench

STEPS = {step.key: step for step in PLAN.steps}
SOCKET = STEPS[f"{SOCKETS}|main|DIP-8|solder"]


def footage(bench: Bench | Sequence[ev.AnyEvent], plan: Plan = PLAN, kit: Any = KIT) -> Footage:
    events = bench.events if isinstance(bench, Bench) else bench
    return footage_of(kit, plan, events, None, UTC)


def filmed(bench: Bench, length: float = 3600.0, clip: str = "one.mov") -> Filmed:
    """The bench's events on a clip that starts with the bench's first clap and is so long."""
    first = next(event for event in bench.events if isinstance(event, ev.SyncMarked))
    bench.run = "desk"
    bench.add(ev.ClipNamed, 1.0, clip=clip, claps=((first.number, 0.0),), length=length)
    found = footage(bench).clip(clip)
    assert found is not None
    return found


def titles(chapters: Sequence[Chapter]) -> list[tuple[float, str]]:
    return [(round(each.start, 3), each.title) for each in chapters]


def opened_and_clapped() -> Bench:
    """A bench at its first stage, with one clap."""
    bench = Bench()
    bench.at(FLAT, "main")
    bench.add(ev.SyncMarked, number=1)
    return bench
