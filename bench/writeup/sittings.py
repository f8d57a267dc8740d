"""When somebody sat at the bench, and which stages were at work in turn. Pure."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import utc_seconds
from bench.log.progress import StageKey
from bench.log.standing import LogEntry
from bench.writeup.moments import Calendar, MoveRow, Sitting
from bench.writeup.presence import presence, tells_stage_at_work

SITTING_GAP_SECONDS = 2 * 3600.0
"""A longer time between two events parts two sittings, unless the builder says that it was work."""


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
    """The event with which it began: the last thing done in the stage before, or the opening of the program."""


def stage_starts(events: Iterable[ev.AnyEvent]) -> tuple[StageStart, ...]:
    """Every change of the stage at work, out of events that stand, in order."""
    opened: dict[str, int] = {}
    found: list[StageStart] = []
    now: StageKey = ("", "")
    since: ev.AnyEvent | None = None
    for event in events:
        place = (event.stage, event.board)
        opened.setdefault(event.run, event.n)
        if isinstance(event, ev.JointsCounted) and place == now:
            since = event
        if not event.stage or not tells_stage_at_work(event):
            continue
        if place != now:
            begun = since.n if since is not None and since.run == event.run else opened[event.run]
            found.append(StageStart(place=place, n=event.n, since=begun))
            now, since = place, None
        if since is None or isinstance(event, ev.Done):
            since = event
    return tuple(found)


def sittings_of(
    entries: Iterable[LogEntry], calendar: Calendar, doubtful: Collection[int] = ()
) -> tuple[Sitting, ...]:
    """The goes at the bench.

    An event that was taken back tells only that somebody was there. `doubtful` are the numbers of events whose
    stamps are not to be believed.
    """
    stretches: list[_Stretch] = []
    for entry in entries:
        event, where = entry.event, presence(entry.event)
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
        Sitting(began=calendar.when(each.began), ended=calendar.when(each.ended), doubtful=each.doubtful)
        for each in stretches
        if each.worked
    )


def moves_of(
    entries: Sequence[LogEntry], sittings: Sequence[Sitting], calendar: Calendar
) -> tuple[MoveRow, ...]:
    """The stages in the order in which they were at work, once in each sitting."""
    stamps = {entry.event.n: entry.event.at for entry in entries}
    starts = {start.n: start for start in stage_starts(entry.event for entry in entries if entry.stands)}
    began = [sitting.began.at for sitting in sittings]
    since: dict[StageKey, str] = {}
    moves: list[MoveRow] = []
    seen: set[tuple[int, StageKey]] = set()
    for entry in entries:
        event, place = entry.event, entry.place
        if event.n in starts:
            since[place] = stamps[starts[event.n].since]
        if not entry.stands or presence(event) != "work":
            continue
        sitting = max(0, bisect_right(began, event.at) - 1)
        if (sitting, place) not in seen:
            seen.add((sitting, place))
            at = min(max(since.get(place, event.at), began[sitting]), event.at)
            moves.append(MoveRow(n=event.n, when=calendar.when(at), stage=place[0], board=place[1]))
    return tuple(moves)


def _goes_on(latest: _Stretch, event: ev.AnyEvent) -> bool:
    return not _far(latest.ended, event.at) or (isinstance(event, ev.IdleResolved) and event.worked)


def _far(before: str, after: str) -> bool:
    if before[:13] == after[:13]:
        return False
    began, ended = utc_seconds(before), utc_seconds(after)
    return began is not None and ended is not None and ended - began > SITTING_GAP_SECONDS
