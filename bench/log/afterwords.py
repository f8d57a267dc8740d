"""What only the builder can say once a build is over: marks of `Noted`, each answered or skipped."""

from __future__ import annotations

from collections.abc import Iterable

from bench.log import events as ev

AFTERWORDS = {
    "verdict": "the verdict",
    "learned": "what was learned",
    "differently": "what to do differently",
    "who": "who built it",
    "tools": "tools and meter",
    "cost": "what it cost",
    "links": "links",
    "thanks": "thanks",
}
"""Mark -> what it is about, in the order in which it is asked."""


def afterwords(events: Iterable[ev.AnyEvent]) -> dict[str, ev.Noted]:
    """The latest answer to each, by mark; `events` are those that stand, corrections applied."""
    return {event.mark: event for event in events if isinstance(event, ev.Noted) and event.mark in AFTERWORDS}
