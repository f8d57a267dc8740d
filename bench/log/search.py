"""What of a log holds given words; pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from bench.log import events as ev
from bench.log.event_text import describe
from bench.log.standing import LogEntry, log_entries


def found_in(events: Iterable[ev.AnyEvent], sought: str) -> Iterator[LogEntry]:
    """The events that stand and hold every word that is sought, small and capital letters alike.

    What the program keeps for itself (opened, closed and so on) is passed over.
    """
    words = sought.casefold().split()
    for entry in log_entries(events):
        if not entry.stands or ev.tag_of(entry.event) in ev.BOOKKEEPING:
            continue
        text = " ".join((describe(entry.event), *entry.place)).casefold()
        if all(word in text for word in words):
            yield entry
