"""Events that change how earlier events are read: taken back, corrected."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

import msgspec

from bench.log import events as ev

AMENDING: frozenset[type[ev.Event]] = frozenset({ev.Undone, ev.Corrected, ev.Renamed})
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
    kinds = set(map(type, listed))
    if ev.Renamed in kinds:
        _carry_names(listed, gone)
    if ev.Corrected not in kinds:
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


def _carry_names(listed: list[ev.AnyEvent], gone: frozenset[int]) -> None:
    """Let the events before each `Renamed` speak of boards and parts by their new names."""
    for position, event in enumerate(listed):
        if isinstance(event, ev.Renamed) and event.n not in gone:
            boards, stems = dict(event.boards), dict(event.items)
            for before in range(position):
                listed[before] = _with_names(listed[before], boards, stems)


def _with_names(event: ev.AnyEvent, boards: dict[str, str], stems: dict[str, str]) -> ev.AnyEvent:
    def now(item: str) -> str:
        stem, mark, what = item.partition("#")
        if stem in stems:
            return stems[stem] + mark + what
        board, slash, rest = item.partition("/")
        return boards.get(board, board) + slash + rest

    changed: dict[str, object] = {}
    if event.board in boards:
        changed["board"] = boards[event.board]
    if event.step and (step := now(event.step)) != event.step:
        changed["step"] = step
    for field in ("items", "opens", "added"):
        items: tuple[str, ...] = getattr(event, field, ())
        if isinstance(event, ev.Renamed) or not items:
            continue
        if (new := tuple(map(now, items))) != items:
            changed[field] = new
            if field == "items" and len(refs := getattr(event, "refs", ())) == len(items):
                changed["refs"] = tuple(
                    _ref(item) if old != item else ref for ref, old, item in zip(refs, items, new, strict=True)
                )
    return msgspec.structs.replace(event, **changed) if changed else event


def _ref(item: str) -> str:
    return item.partition("/")[2].partition("#")[0]


def _replaced(target: ev.AnyEvent, field: str, to: str) -> ev.AnyEvent:
    kind = type(getattr(target, field))
    try:
        value = msgspec.convert(to, kind, strict=False)
    except msgspec.ValidationError:
        return target
    changed: ev.AnyEvent = msgspec.structs.replace(target, **{field: value})
    if isinstance(changed, ev.IdleResolved):
        return msgspec.structs.replace(changed, worked=changed.seconds_worked >= changed.seconds)
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


def of_one_press(events: Sequence[ev.AnyEvent], event: ev.AnyEvent, standing: Collection[int]) -> list[int]:
    """Numbers of the events that the press of one of them made and that still stand, the latest first."""
    first = event.pressed_with if isinstance(event, ev.Done) else 0
    same = (each for each in reversed(events) if first and isinstance(each, ev.Done))
    return [each.n for each in same if first in (each.n, each.pressed_with) and each.n in standing] or [event.n]
