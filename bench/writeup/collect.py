"""One pass over a build's log that collects what a story tells in order."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from dataclasses import dataclass
from typing import TypedDict, assert_never

from bench.log import events as ev
from bench.log.clock import utc_seconds
from bench.log.progress import StageKey
from bench.writeup import story_model as model
from bench.writeup.moments import Calendar, MoveRow

SITTING_GAP_SECONDS = 2 * 3600.0
"""A longer time between two events parts two sittings, unless the builder says that it was work."""

_WORK: frozenset[type[ev.Event]] = frozenset(
    {
        ev.Done, ev.HeldBack, ev.Resumed, ev.Snagged, ev.Mended, ev.ReadingTaken, ev.JointsCounted,
        ev.HoldPassed, ev.SuspicionSettled, ev.PassMeasured,
    }
)  # fmt: skip
"""What makes a sitting; a note alone, months later, does not."""

_BY_HAND = _WORK | {
    ev.Noted, ev.PhotoTaken, ev.SyncMarked, ev.Substituted, ev.ErratumFound, ev.BreakBegan, ev.BreakEnded,
    ev.IdleResolved,
}  # fmt: skip
"""What a builder does while sitting at the bench."""


@dataclass
class _Hold:
    """A held step while the pass goes on."""

    event: ev.HeldBack
    place: StageKey
    left: set[str]
    reasons: list[str]
    taken_up: model.EventTime | None = None


@dataclass
class _Stretch:
    """Events close to one another."""

    began: str
    ended: str
    worked: bool
    doubtful: bool = False


class _RowFields(TypedDict):
    n: int
    when: model.EventTime
    stage: str
    board: str


class StoryCollector:
    """What the events say, in order; feed it with all events of a build, corrections applied."""

    def __init__(self, calendar: Calendar, doubtful: Collection[int] = ()) -> None:
        self.calendar = calendar
        self.doubtful = doubtful
        """Numbers of events whose stamps are not to be believed."""
        self.done_at: dict[str, str] = {}
        """UTC stamp at which each item was done first."""
        self.joints: Counter[StageKey] = Counter()
        self.items: dict[StageKey, list[str]] = {}
        """Items done in each place, in order."""
        self.counts: list[model.CountRow] = []
        self.notes: list[model.NoteRow] = []
        self.substitutions: list[model.SubstitutionRow] = []
        self.measured_ahead: list[model.MeasuredRow] = []
        self.errata: list[model.ErratumRow] = []
        self.readings: list[model.ReadingRow] = []
        self.passed: list[model.PassedRow] = []
        self.suspicions: list[model.SuspicionRow] = []
        self.moves: list[MoveRow] = []
        self.revisions = 0
        self._moved: set[StageKey] = set()
        """Places at work in this sitting."""
        self._holds: dict[int, _Hold] = {}
        self._holder: dict[str, _Hold] = {}
        self._place: StageKey = ("", "")
        self._stretches: list[_Stretch] = []

    @property
    def sittings(self) -> tuple[model.Sitting, ...]:
        """The goes at the bench, in order."""
        when = self.calendar.when
        return tuple(
            model.Sitting(began=when(each.began), ended=when(each.ended), doubtful=each.doubtful)
            for each in self._stretches
            if each.worked
        )

    @property
    def held(self) -> tuple[model.HeldRow, ...]:
        """What was held back, in order, with when it was taken up."""
        return tuple(
            model.HeldRow(
                n=hold.event.n,
                when=self.calendar.when(hold.event.at),
                stage=hold.place[0],
                board=hold.place[1],
                value=hold.event.value,
                refs=hold.event.refs,
                reasons=tuple(hold.reasons),
                taken_up=hold.taken_up,
            )
            for hold in self._holds.values()
        )

    def add(self, event: ev.AnyEvent, *, standing: bool) -> None:
        """Take in one more event; one that was undone tells only that somebody was there, and where."""
        if event.stage:
            self._place = (event.stage, event.board)
        kind = type(event)
        if kind in _BY_HAND:
            self._sit(event, worked=standing and kind in _WORK)
            if self._place not in self._moved and standing and kind in _WORK:
                self._moved.add(self._place)
                self.moves.append(MoveRow(**self._row(event)))
        if standing:
            self._take(event)

    def _take(self, event: ev.AnyEvent) -> None:
        match event:
            case ev.Done():
                self._note_done(event)
            case ev.HeldBack():
                self._hold(event)
            case ev.Resumed():
                self._release(event.items, event.at)
            case ev.Noted():
                self.notes.append(model.NoteRow(**self._row(event), text=event.text, mark=event.mark))
            case ev.Substituted():
                self.substitutions.append(
                    model.SubstitutionRow(
                        **self._row(event), part=event.part, instead=event.instead, why=event.why
                    )
                )
            case ev.PartMeasured():
                self.measured_ahead.append(
                    model.MeasuredRow(**self._row(event), value=event.value, read=event.text, said=event.said)
                )
            case ev.ErratumFound():
                self.errata.append(model.ErratumRow(**self._row(event), text=event.text))
            case ev.JointsCounted():
                self.counts.append(
                    model.CountRow(**self._row(event), counted=event.counted, expected=event.expected)
                )
            case ev.ReadingTaken():
                self.readings.append(
                    model.ReadingRow(
                        **self._row(event),
                        point=event.point,
                        expect=event.expect,
                        read=event.text,
                        verdict=event.verdict,
                    )
                )
            case ev.HoldPassed():
                point = "" if event.about == "held back" else event.step
                self.passed.append(
                    model.PassedRow(
                        **self._row(event),
                        hold=event.hold,
                        reason=event.reason,
                        point=point,
                        close=event.about == "too close",
                    )
                )
            case ev.SuspicionSettled():
                self.suspicions.append(
                    model.SuspicionRow(
                        **self._row(event),
                        symptom=event.symptom,
                        suspicion=event.suspicion,
                        found=event.found,
                        said=event.said,
                    )
                )
            case ev.Revised():
                self.revisions += 1
            case (
                ev.Started() | ev.Opened() | ev.Closed() | ev.Undone() | ev.Corrected() | ev.Snagged()
                | ev.Mended() | ev.BreakBegan() | ev.BreakEnded() | ev.IdleResolved() | ev.BagCounted()
                | ev.KitChanged() | ev.Confirmed() | ev.Renamed()
                | ev.HazardAcknowledged() | ev.PassMeasured() | ev.WaitBegan() | ev.PhotoTaken()
                | ev.PhotosMatched() | ev.PhotoCaptioned() | ev.SyncMarked() | ev.ClipNamed() | ev.ClockTold()
            ):  # fmt: skip
                pass
            case _:
                assert_never(event)

    def _row(self, event: ev.AnyEvent) -> _RowFields:
        stage, board = self._place
        return {"n": event.n, "when": self.calendar.when(event.at), "stage": stage, "board": board}

    def _sit(self, event: ev.AnyEvent, *, worked: bool) -> None:
        latest = self._stretches[-1] if self._stretches else None
        if latest and (
            not _far(latest.ended, event.at) or (isinstance(event, ev.IdleResolved) and event.worked)
        ):
            if event.at > latest.ended:
                latest.ended = event.at
            latest.worked = latest.worked or worked
        else:
            self._stretches.append(_Stretch(event.at, event.at, worked, event.n in self.doubtful))
            self._moved.clear()

    def _note_done(self, event: ev.Done) -> None:
        done_at = self.done_at
        if not all(map(done_at.__contains__, event.items)):
            fresh = [item for item in dict.fromkeys(event.items) if item not in done_at]
            self.done_at.update(dict.fromkeys(fresh, event.at))
            self.items.setdefault(self._place, []).extend(fresh)
            self.joints[self._place] += event.joints
        if self._holder:
            self._release(event.items, event.at)

    def _hold(self, event: ev.HeldBack) -> None:
        left = {item for item in event.items if item not in self.done_at}
        if not left:
            return
        fresh = _Hold(event, self._place, left, [event.reason] if event.reason else [])
        for before in {id(hold): hold for item in left if (hold := self._holder.get(item))}.values():
            if before.left <= left:
                self._holds.pop(before.event.n)
                fresh.reasons = before.reasons + fresh.reasons
        self._release(event.items, event.at)
        self._holds[event.n] = fresh
        self._holder.update(dict.fromkeys(left, fresh))

    def _release(self, items: tuple[str, ...], at: str) -> None:
        for item in items:
            hold = self._holder.pop(item, None)
            if hold:
                hold.left.discard(item)
                if not hold.left:
                    hold.taken_up = self.calendar.when(at)


def _far(before: str, after: str) -> bool:
    if before[:13] == after[:13]:
        return False
    began, ended = utc_seconds(before), utc_seconds(after)
    return began is not None and ended is not None and ended - began > SITTING_GAP_SECONDS
