"""What one press does where it is more than one entry: tasks done at once, and all of them taken back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from bench.log import events as ev
from bench.log.amend import of_one_press

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
