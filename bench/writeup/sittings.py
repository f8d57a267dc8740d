"""When somebody sat at the bench, and which stages were at work in turn. Pure.

The one time line of an article: 'How it went', chapters, photos and the log screen all ask `stage_starts`.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import utc_seconds
from bench.log.progress import StageKey
from bench.log.standing import LogEntry
from bench.parts.designators import shorten
from bench.writeup.moments import Calendar, MoveRow, Sitting
from bench.writeup.presence import presence, tells_stage_at_work
from bench.writeup.words import place as in_words

SITTING_GAP_SECONDS = 2 * 3600.0
"""A longer time between two events parts two sittings, unless the builder says that it was work."""
AT_ONCE = 60.0
"""A break begun within so many seconds of the end of a stage comes before the next one, not in it."""


_COME_AND_GO = ev.Opened | ev.Closed | ev.BreakBegan | ev.BreakEnded | ev.IdleResolved


@dataclass
class _Stretch:
    """Consecutive events less than `SITTING_GAP_SECONDS` apart."""

    began: str
    ended: str
    worked: bool
    doubtful: bool


class StageStart(Struct, frozen=True, kw_only=True):
    """Work went on in another stage."""

    place: StageKey
    n: int
    """The first event in it."""
    since: int
    """The event with which work on it began: the last thing done in the stage before, the end of the break that
    followed at once, or the opening of the program."""
    again: bool = False
    """True when it was at work before."""
    held: tuple[str, ...] = ()
    """Designators that had been held back and are the first thing done in it; empty for none."""


@dataclass
class _AtWork:
    """The stage at work as events come in."""

    place: StageKey = ("", "")
    before: ev.AnyEvent | None = None
    since: ev.AnyEvent | None = None
    opened: dict[str, int] = field(default_factory=dict)
    seen: set[StageKey] = field(default_factory=set)
    held: set[str] = field(default_factory=set)
    rest: ev.AnyEvent | None = None
    """The break that followed at once upon `since`; None for none."""

    def take(self, event: ev.AnyEvent) -> StageStart | None:
        """One event; the change of stage that it shows."""
        self.opened.setdefault(event.run, event.n)
        if isinstance(event, ev.HeldBack):
            self.held.update(event.items)
        place, start = (event.stage, event.board), None
        if isinstance(event, ev.JointsCounted) and place == self.place:
            self.since = event
        self._rest(event)
        if event.stage and tells_stage_at_work(event) and not self._only_left(event):
            start = self.begin(event, place) if place != self.place else None
            if self.since is None or isinstance(event, ev.Done):
                self.since = event
        self.before = event
        return start

    def _only_left(self, event: ev.AnyEvent) -> bool:
        """Whether the builder left the bench before anything was begun in the stage on screen."""
        if isinstance(event, ev.IdleResolved) and not event.worked:
            return True
        at_once = self.since is not None and _apart(self.since.at, event.at) <= AT_ONCE
        return isinstance(event, ev.BreakBegan | ev.Closed) and at_once

    def begin(self, event: ev.AnyEvent, place: StageKey) -> StageStart:
        began = self.since.n if self.since is not None and self.since.run == event.run else None
        held = event.refs if isinstance(event, ev.Done) and self.held >= set(event.items) else ()
        start = StageStart(
            place=place,
            n=event.n,
            since=self.opened[event.run] if began is None else began,
            again=place in self.seen,
            held=held,
        )
        self.seen.add(place)
        self.place, self.since = place, None
        return start

    def _rest(self, event: ev.AnyEvent) -> None:
        """A rest that follows at once upon the end of a stage belongs to none: the next begins after it."""
        if self.since is None or self.before is None or self.since.run != event.run:
            return
        at_once = self.before is self.since or _apart(self.since.at, self.before.at) <= AT_ONCE
        if isinstance(event, ev.BreakBegan):
            self.rest = event if _apart(self.since.at, event.at) <= AT_ONCE else None
        elif isinstance(event, ev.BreakEnded) and self.rest is not None:
            self.since, self.rest = event, None
        elif at_once and (
            (isinstance(event, ev.IdleResolved) and not event.worked)
            or (not isinstance(event, ev.IdleResolved | ev.BreakEnded) and _far(self.before.at, event.at))
        ):
            self.since = event


def stage_starts(events: Iterable[ev.AnyEvent]) -> tuple[StageStart, ...]:
    """Every change of the stage at work, out of events that stand, in order.

    What comes after the last thing done belongs to the stage that it names.
    """
    at_work, found = _AtWork(), list[StageStart]()
    tail: ev.AnyEvent | None = None
    for event in events:
        start = at_work.take(event)
        found += [start] if start else []
        if isinstance(event, _COME_AND_GO) or not event.stage:
            continue
        if (event.stage, event.board) == at_work.place:
            tail = None
        elif tail is None or (tail.stage, tail.board) != (event.stage, event.board):
            tail = event
    if tail is not None:
        found.append(at_work.begin(tail, (tail.stage, tail.board)))
    return tuple(found)


def turn(stage: str, again: bool = False, held: Sequence[str] = ()) -> str:
    """A turn of the work in words; `stage` is where, in words.

    >>> turn("Trim"), turn("Trim", again=True), turn("Trim", again=True, held=("R5", "R6"))
    ('Trim', 'Trim (continued)', 'R5, R6, held back earlier')
    """
    if held:
        return f"{shorten(held)}, held back earlier"
    return f"{stage} (continued)" if again else stage


def turns_by_event(events: Iterable[ev.AnyEvent]) -> dict[int, str]:
    """What begins with an event (by its number), in words; `events` are those that stand, in order."""
    return {
        start.since: turn(in_words(*start.place), start.again, start.held) for start in stage_starts(events)
    }


def stages_at(entries: Sequence[LogEntry]) -> dict[int, StageKey]:
    """The stage at work in the time before each event (by its number), as `stage_starts` parts them.

    Before the first change it is the first stage; without any the dict is empty.
    """
    numbers = [entry.event.n for entry in entries]
    starts = stage_starts(entry.event for entry in entries if entry.stands)
    found: dict[int, StageKey] = {}
    began = 0
    for number, start in enumerate(starts):
        after = starts[number + 1].since if number + 1 < len(starts) else numbers[-1]
        ended = bisect_right(numbers, after)
        found.update(dict.fromkeys(numbers[began:ended], start.place))
        began = ended
    return found


def sittings_of(
    entries: Sequence[LogEntry], calendar: Calendar, doubtful: Collection[int] = ()
) -> tuple[Sitting, ...]:
    """The goes at the bench, from the opening of the program to its end where something was done in between.

    An event that was taken back tells only that somebody was there. `doubtful` are the numbers of events whose
    stamps are not to be believed.
    """
    manned = {entry.event.run for entry in entries if presence(entry.event) in ("work", "bench")}
    stretches: list[_Stretch] = []
    for entry in entries:
        event, where = entry.event, presence(entry.event)
        if where == "program" and isinstance(event, ev.Opened | ev.Closed) and event.run in manned:
            where = "bench"
        if where not in ("work", "bench"):
            continue
        worked = entry.stands and where == "work"
        if stretches and _goes_on(stretches[-1], event):
            latest = stretches[-1]
            latest.ended = max(latest.ended, event.at)
            latest.worked = latest.worked or worked
        else:
            stretches.append(_Stretch(event.at, event.at, worked, event.n in doubtful))
    return tuple(
        Sitting(
            began=calendar.when(each.began),
            ended=calendar.when(each.ended),
            doubtful=each.doubtful,
            clocks_set=calendar.clocks_set(each.began, each.ended),
        )
        for each in stretches
        if each.worked
    )


def moves_of(
    entries: Sequence[LogEntry], sittings: Sequence[Sitting], calendar: Calendar
) -> tuple[MoveRow, ...]:
    """Every turn of the work to another stage, and the stage that a new sitting went on with."""
    stamps = {entry.event.n: entry.event.at for entry in entries}
    starts = stage_starts(entry.event for entry in entries if entry.stands)
    at_work = stages_at(entries)
    began = [sitting.began.at for sitting in sittings]

    def sitting_of(at: str) -> int:
        return max(0, bisect_right(began, at) - 1)

    def row(n: int, at: str, place: StageKey, again: bool = False, held: tuple[str, ...] = ()) -> MoveRow:
        when = min(max(at, began[sitting_of(stamps[n])] if began else at), stamps[n])
        return MoveRow(n=n, when=calendar.when(when), stage=place[0], board=place[1], again=again, held=held)

    moves = [row(each.n, stamps[each.since], each.place, each.again, each.held) for each in starts]
    told = {(sitting_of(move.when.at), (move.stage, move.board)) for move in moves}
    sat: set[int] = set()
    for entry in entries:
        event = entry.event
        if not entry.stands or presence(event) != "work" or (sitting := sitting_of(event.at)) in sat:
            continue
        sat.add(sitting)
        if any(event.n == start.n for start in starts):
            continue
        place = at_work.get(event.n, entry.place)
        if (sitting, place) not in told:
            moves.append(row(event.n, began[sitting] if began else event.at, place, again=bool(starts)))
    return tuple(sorted(moves, key=lambda move: (move.when.at, move.n)))


def _goes_on(latest: _Stretch, event: ev.AnyEvent) -> bool:
    return not _far(latest.ended, event.at) or (isinstance(event, ev.IdleResolved) and event.worked)


def _apart(before: str, after: str) -> float:
    """Seconds from one stamp to another; 0 where one cannot be read."""
    began, ended = utc_seconds(before), utc_seconds(after)
    return ended - began if began is not None and ended is not None else 0.0


def _far(before: str, after: str) -> bool:
    return before[:13] != after[:13] and _apart(before, after) > SITTING_GAP_SECONDS
