"""One sitting at the bench: how long since the last break, and whether things begin to go wrong; pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.log import events as ev
from bench.log.clock import between, spell, utc_seconds
from bench.log.progress import Progress

REST_SECONDS = 300.0
"""Away for so long, between two runs of the program, is a break as well (common practice, no source)."""
RUN_OF_SNAGS = 3
RUN_SECONDS = 1200.0
"""So many snags within so many seconds are a run (common practice, no source)."""
RUN_WORDS = "Three snags in a short time: a break now may save the next one."


def rest_words(sitting: float) -> str:
    """What is said after so many seconds at the bench without a break."""
    return f"{spell(sitting)} at the bench without a break: a good moment for one."


def sitting_seconds(events: Sequence[ev.AnyEvent], gap_seconds: float) -> float:
    """Seconds since the latest break, or since the build was opened after one, up to the last event.

    A long time without a key that nobody has settled yet ends a sitting too.
    """
    total = 0.0
    after: ev.AnyEvent | None = None
    for event in reversed(events):
        if isinstance(event, ev.BreakEnded | ev.BreakBegan) or (
            isinstance(event, ev.IdleResolved) and not event.worked
        ):
            if after is not None and after.run == event.run:
                total += max(0.0, after.mono - event.mono)
            return total
        if after is not None:
            if after.run != event.run:
                closed, opened = utc_seconds(event.at), utc_seconds(after.at)
                if closed is None or opened is None or not 0 <= opened - closed < REST_SECONDS:
                    return total
            else:
                awake, asleep = between(event.mono, after.mono, utc_seconds(event.at), utc_seconds(after.at))
                worked = isinstance(after, ev.IdleResolved) and after.worked
                if not worked and max(awake, asleep) > gap_seconds:
                    return total
                total += awake
        after = event
    return total


def run_of_snags(progress: Progress) -> int:
    """Number of the event that completed the latest run of snags, 0 when there is none."""
    latest = progress.snags[-RUN_OF_SNAGS:]
    if len(latest) < RUN_OF_SNAGS:
        return 0
    first, last = utc_seconds(latest[0].at), utc_seconds(latest[-1].at)
    if first is None or last is None or not 0 <= last - first <= RUN_SECONDS:
        return 0
    return latest[-1].n
