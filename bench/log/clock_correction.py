"""Stamps put right: what a machine's clock said while it was wrong, as it should have been. Pure.

A run of the program is put right as a whole: by what the builder said of its clock, or, where the clock began
before 2000 and was set in mid-run, by its first stamp after that.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from bench.log import events as ev
from bench.log.amend import undone
from bench.log.clock import EARLIEST, Moment, doubt_of, stamp_text, utc_seconds


def put_right(events: Sequence[ev.AnyEvent]) -> tuple[ev.AnyEvent, ...]:
    """The events with the stamps that they should have; the very same ones where no clock was wrong."""
    anchors = _anchors(events)
    if not anchors:
        return tuple(events)
    return tuple(_moved(event, anchors[event.run]) if event.run in anchors else event for event in events)


def _moved(event: ev.AnyEvent, anchor: tuple[float, float]) -> ev.AnyEvent:
    utc, mono = anchor
    after = event.after and Moment(at=stamp_text(utc + event.after.mono - mono), mono=event.after.mono)
    return msgspec.structs.replace(event, at=stamp_text(utc + event.mono - mono), after=after)


def doubtful(events: Iterable[ev.AnyEvent]) -> frozenset[int]:
    """Sequence numbers of events whose stamps, after they were put right, are still not to be believed."""
    listed = list(events)
    gone = undone(listed)
    vouched = {event.run for event in listed if type(event) is ev.ClockTold and event.n not in gone}
    found: set[int] = set()
    last, run, doubted = "", "", False
    for event in listed:
        if event.run != run:
            run = event.run
            doubted = run not in vouched and bool(doubt_of(event.at, last))
        if doubted:
            found.add(event.n)
        else:
            last = event.at
    return frozenset(found)


def _anchors(events: Sequence[ev.AnyEvent]) -> dict[str, tuple[float, float]]:
    """Run -> one moment in it on both clocks, right UTC seconds and monotonic; only runs that need it."""
    unset = {event.run for event in events if event.at < "2000" and (utc_seconds(event.at) or 0.0) < EARLIEST}
    told = [event for event in events if type(event) is ev.ClockTold and event.right]
    if not (unset or told):
        return {}
    gone = undone(events)
    found: dict[str, tuple[float, float]] = {}
    for event in events:
        utc = utc_seconds(event.at)
        if event.run in unset and event.run not in found and utc is not None and utc >= EARLIEST:
            found[event.run] = (utc, event.mono)
    for each in told:
        utc = utc_seconds(each.right)
        if each.n not in gone and utc is not None:
            found[each.run] = (utc, each.mono)
    return found
