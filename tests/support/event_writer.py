"""Events with numbers and stamps, as a build writes them."""

from __future__ import annotations

from typing import Any

from bench.log import events as ev
from tests.support.samples import HandClock


class Writer:
    """Makes numbered, stamped events."""

    def __init__(self) -> None:
        self.clock = HandClock()
        self.events: list[ev.AnyEvent] = []
        self.run = "one"
        self.stage = "Flat parts"

    def add(self, kind: type[ev.AnyEvent], **fields: Any) -> ev.AnyEvent:
        now = self.clock.now()
        event = kind(
            n=len(self.events) + 1,
            at=now.at,
            mono=now.mono,
            run=self.run,
            stage=self.stage,
            board="main",
            **fields,
        )
        self.events.append(event)
        return event

    def done(self, *items: str, joints: int = 2) -> ev.AnyEvent:
        return self.add(ev.Done, items=items, joints=joints, value="4k7")
