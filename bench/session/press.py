"""What one press does that is more than one entry, and entries of the log taken back or brought back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench.log import events as ev
from bench.log.amend import of_one_press, undone
from bench.log.event_text import describe

if TYPE_CHECKING:
    from bench.session.build import Build


def press_done(build: Build) -> None:
    """The step at work is done, and the tasks that stand on the card with it."""
    together = build.view().at_once
    build.done()
    first = build.writer.events[-1].n
    for step in together:
        build.tick(step, pressed_with=first)


def undo_press(build: Build, event: ev.AnyEvent) -> int:
    """Take back an event and those that the same press made; how many they were."""
    same = of_one_press(build.writer.events, event, set(build.progress.done_at.values()))
    for n in same:
        build.undo_event(n)
    return len(same)


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
