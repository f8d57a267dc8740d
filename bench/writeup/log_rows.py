"""What a log holds in order, as rows of a story: notes, readings, counts and the like. Pure."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from typing import TypedDict, TypeVar

from bench.log import events as ev
from bench.log.afterwords import afterwords
from bench.log.progress import HeldStep, Progress, Snag, StageKey
from bench.log.standing import LogEntry
from bench.writeup import story_model as model
from bench.writeup.moments import Calendar
from bench.writeup.readings import too_close, what_it_read
from bench.writeup.snag_kinds import kind_of_snag

MOST_MINUTES = 1e6
"""A snag that cost more minutes than this, some two years, is a slip of the finger: time lost not told."""

_Kind = TypeVar("_Kind", bound=ev.AnyEvent)
_Row = TypeVar("_Row", bound=model.EventRow)
K = TypeVar("K", bound=Hashable)


class _Where(TypedDict):
    n: int
    when: model.EventTime
    stage: str
    board: str


class LogRows:
    """Rows for the events of a log that stand."""

    def __init__(self, entries: Iterable[LogEntry], calendar: Calendar) -> None:
        self._entries = [entry for entry in entries if entry.stands]
        self._numbers = [entry.event.n for entry in self._entries]
        self._calendar = calendar

    def _each(self, kind: type[_Kind]) -> Iterator[tuple[_Kind, _Where]]:
        for entry in self._entries:
            if isinstance(entry.event, kind):
                yield entry.event, self._where(entry.event.n, entry.event.at, entry.place)

    def _where(self, n: int, at: str, place: StageKey) -> _Where:
        return {"n": n, "when": self._calendar.when(at), "stage": place[0], "board": place[1]}

    def of(self, kind: type[_Kind], row: type[_Row], **named: str) -> tuple[_Row, ...]:
        """A row for each event of a kind, field by field; `named` are fields that the event calls otherwise."""
        fields = [field for field in row.__struct_fields__ if field not in _Where.__annotations__]
        return tuple(
            row(**where, **{field: getattr(event, named.get(field, field)) for field in fields})
            for event, where in self._each(kind)
        )

    def held(self, steps: Iterable[HeldStep]) -> tuple[model.HeldRow, ...]:
        """What is and was held back."""
        return tuple(
            model.HeldRow(
                **self._where(step.n, step.at, step.place),
                value=step.value,
                refs=step.refs,
                reasons=step.reasons,
                taken_up=self._calendar.when(step.resumed_at) if step.resumed_at else None,
            )
            for step in steps
        )

    def snags(self, snags: Iterable[Snag], done_at: Mapping[str, int]) -> tuple[model.SnagRow, ...]:
        """Snags with their fixes and kinds, and what led to them; `done_at` says by item where it was done."""
        kinds = {event.n: event.kind for event, _ in self._each(ev.Snagged)}
        return tuple(
            model.SnagRow(
                **self._where(snag.n, snag.at, snag.place),
                what=snag.what,
                part=snag.part,
                minutes=snag.minutes if snag.minutes <= MOST_MINUTES else 0.0,
                fix=snag.fix,
                open=not snag.fix.strip(),
                kind=kinds.get(snag.n) or kind_of_snag(snag.what, snag.part, snag.fix),
                placed=self._placed(snag, done_at),
                clue=self._clue(snag),
            )
            for snag in snags
        )

    def _placed(self, snag: Snag, done_at: Mapping[str, int]) -> model.EventTime | None:
        """When the part that a snag names had gone in, where it was in before."""
        if not snag.part.strip() or snag.part != snag.part.split()[0]:
            return None
        in_at = [n for item, n in done_at.items() if item.partition("/")[2].partition("#")[0] == snag.part]
        before = [n for n in in_at if n < snag.n]
        if not before:
            return None
        entry = next((entry for entry in self._entries if entry.event.n == min(before)), None)
        return self._calendar.when(entry.event.at) if entry else None

    def _clue(self, snag: Snag) -> str:
        """What gave a snag away: a reading just before it that was out."""
        at = bisect_left(self._numbers, snag.n)
        for entry in reversed(self._entries[max(0, at - 2) : at]):
            event = entry.event
            if isinstance(event, ev.ReadingTaken) and event.verdict == "out":
                return what_it_read(event.point, event.text, event.expect)
        return ""

    def afterwords(self) -> dict[str, str]:
        """What the builder said at the end, by mark."""
        said = afterwords(entry.event for entry in self._entries)
        return {mark: event.text for mark, event in said.items()}

    def overridden(self, headlines: dict[str, str]) -> tuple[model.OverriddenRow, ...]:
        """Hold points overridden with a reason; `headlines` are those of the plan's steps by key."""
        readings = [event for event, _ in self._each(ev.ReadingTaken)]
        return tuple(
            model.OverriddenRow(
                **where,
                hold=event.hold,
                reason=event.reason,
                point="" if event.about == "held back" else headlines.get(event.step, ""),
                close=too_close(event, readings),
            )
            for event, where in self._each(ev.HoldOverridden)
        )

    def revisions(self) -> int:
        """How often another edition of kit file or procedure came into use."""
        return sum(1 for _ in self._each(ev.Revised))


class DoneHere(TypedDict):
    """What is done in one place."""

    items: list[str]
    joints: int


def done_by(entries: Iterable[LogEntry], progress: Progress, key: Callable[[LogEntry], K]) -> dict[K, DoneHere]:
    """Items that are done, and the joints made with them, by what `key` says of the entry that did them.

    An event counts the joints of all its items: of one that has only some left the same share is taken.
    """
    by_event: dict[int, list[str]] = {}
    for item, n in progress.done_at.items():
        by_event.setdefault(n, []).append(item)
    places: dict[K, DoneHere] = {}
    for entry in entries:
        event = entry.event
        if event.n not in by_event or not isinstance(event, ev.Done | ev.Confirmed):
            continue
        items = by_event[event.n]
        fresh = sum(progress.done_at.get(item, event.n) >= event.n for item in dict.fromkeys(event.items))
        here = places.setdefault(key(entry), {"items": [], "joints": 0})
        here["items"] += items
        here["joints"] += round(event.joints * len(items) / fresh) if fresh else 0
    return places
