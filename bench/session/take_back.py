"""Any entry of the log is taken back, or brought back where it was."""

from __future__ import annotations

from bench.log import events as ev
from bench.log.amend import undone
from bench.log.event_text import describe
from bench.session.build import Build


def take_back_or_restore(build: Build, event: ev.AnyEvent) -> str:
    """Undo an event, or restore one that is undone; returns a sentence. Raises Refused where neither can be."""
    gone = undone(build.events)
    if event.n not in gone:
        build.undo_event(event.n)
        return f"Undone: {describe(event)}"
    taker = next(
        each
        for each in reversed(build.events)
        if isinstance(each, ev.Undone) and each.of == event.n and each.n not in gone
    )
    build.undo_event(taker.n)
    return f"Restored: {describe(event)}"
