"""Events that change how earlier events are read: taken back, corrected."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from bench.log import events as ev

AMENDING: frozenset[type[ev.Event]] = frozenset({ev.Undone, ev.Corrected})
"""What changes how earlier events are read."""


def undone(events: Iterable[ev.AnyEvent]) -> frozenset[int]:
    """Sequence numbers of events that are taken back by a later one; an `Undone` may itself be taken back."""
    gone: set[int] = set()
    for event in reversed([event for event in events if type(event) is ev.Undone]):
        if event.n not in gone and event.of < event.n:
            gone.add(event.of)
    return frozenset(gone)


def with_corrections(events: Iterable[ev.AnyEvent], gone: frozenset[int] = frozenset()) -> list[ev.AnyEvent]:
    """The events, each read with the latest text that a correction gave it.

    A correction that names an unknown field, an event that cannot be corrected, or a text that is not a
    number where one is needed, changes nothing.
    """
    listed = list(events)
    if ev.Corrected not in map(type, listed):
        return listed
    index = {event.n: position for position, event in enumerate(listed)}
    for event in list(listed):
        if (
            not isinstance(event, ev.Corrected)
            or event.n in gone
            or event.of not in index
            or event.of >= event.n
        ):
            continue
        target = listed[index[event.of]]
        if event.field in ev.CORRECTABLE.get(ev.tag_of(target), ()):
            listed[index[event.of]] = _replaced(target, event.field, event.to)
    return listed


def _replaced(target: ev.AnyEvent, field: str, to: str) -> ev.AnyEvent:
    kind = type(getattr(target, field))
    try:
        value = msgspec.convert(to, kind, strict=False)
    except msgspec.ValidationError:
        return target
    changed: ev.AnyEvent = msgspec.structs.replace(target, **{field: value})
    if isinstance(changed, ev.ReadingTaken):
        return msgspec.structs.replace(changed, verdict="")  # it was told of the text as typed then
    return changed


def last_undoable(events: Sequence[ev.AnyEvent]) -> ev.AnyEvent | None:
    """The latest event that still stands and that the undo key takes back, if there is one."""
    gone: set[int] = set()
    for event in reversed(events):
        if event.n in gone:
            continue
        if isinstance(event, ev.Undone):
            gone.update({event.of} if event.of < event.n else ())
        elif ev.tag_of(event) not in ev.BOOKKEEPING:
            return event
    return None
