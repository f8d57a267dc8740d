"""The log as it stands: corrections applied, each event with its place in the work and whether it counts. Pure.

What tells of single events reads them from here; what follows from all together is `progress.Progress`.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.log.progress import StageKey


class LogEntry(Struct, frozen=True, gc=False):
    """One event of a log."""

    event: ev.AnyEvent
    """As corrected and renamed later on."""
    place: StageKey
    """Stage and board at work: those of the event, or of the last one before it that names a stage."""
    stands: bool
    """False when it was taken back."""


def log_entries(events: Iterable[ev.AnyEvent]) -> tuple[LogEntry, ...]:
    """All events of a log, in order."""
    listed = list(events)
    gone = undone(listed)
    place: StageKey = ("", "")
    entries = []
    for event in with_corrections(listed, gone):
        if event.stage and (event.stage, event.board) != place:
            place = event.stage, event.board
        entries.append(LogEntry(event, place, event.n not in gone))
    return tuple(entries)


def standing(events: Iterable[ev.AnyEvent]) -> list[ev.AnyEvent]:
    """The events that were not taken back, corrections applied."""
    listed = list(events)
    gone = undone(listed)
    return [event for event in with_corrections(listed, gone) if event.n not in gone]
