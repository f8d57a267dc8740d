"""Events folded, one by one, into where a build stands; pure.

Nothing here is stored: the same events give the same progress, on any machine, at any time.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import zip_longest
from typing import assert_never

import msgspec

from bench.log import events as ev
from bench.log.amend import AMENDING, undone, with_corrections
from bench.log.clock import GAP_SECONDS, LONGEST_STRETCH, SLEEP_SECONDS, Moment, between, utc_seconds
from bench.log.progress import Break, Count, Gap, HeldStep, Progress, Reopened, Snag, StageKey


class ProgressReducer:
    """Folds events one by one; `progress()` gives the frozen value at any time.

    Events that are undone or corrected are handled by folding again from the first one: rare, and it
    keeps every rule in one place.
    """

    def __init__(self, gap_seconds: float = GAP_SECONDS) -> None:
        self.gap_seconds = gap_seconds
        self.events: list[ev.AnyEvent] = []
        self._reset()

    def _reset(self) -> None:
        self._previous: ev.AnyEvent | None = None
        self._previous_utc: float | None = None
        self._utc: float | None = None
        self._place: StageKey = ("", "")
        self._started: ev.Started | None = None
        self._last_done: ev.Done | None = None
        self._done: dict[str, int] = {}
        self._reopened: dict[str, Reopened] = {}
        self._late: set[str] = set()
        self._settled: set[str] = set()
        self._joints = 0
        self._held: dict[int, HeldStep] = {}
        self._held_ever: dict[int, HeldStep] = {}
        self._notes: list[ev.Noted] = []
        self._snags: dict[int, Snag] = {}
        self._substitutions: list[ev.Substituted] = []
        self._bag: dict[tuple[str, ...], ev.BagCounted] = {}
        self._measured: list[ev.PartMeasured] = []
        self._errata: list[ev.ErratumFound] = []
        self._readings: list[ev.ReadingTaken] = []
        self._passes: list[ev.PassMeasured] = []
        self._suspicions: list[ev.SuspicionSettled] = []
        self._danger_owned: ev.HazardAcknowledged | None = None
        self._holds_passed: list[ev.HoldPassed] = []
        self._claps: list[ev.SyncMarked] = []
        self._clips: dict[str, ev.ClipNamed] = {}
        self._counts: dict[StageKey, Count] = {}
        self._wait: ev.WaitBegan | None = None
        self._break_from: ev.AnyEvent | None = None
        self._break_seconds = 0.0
        self._breaks: list[Break] = []
        self._gaps: list[Gap] = []
        self._seconds: dict[StageKey, float] = {}
        self._first_done: dict[StageKey, str] = {}
        self._last_done_at: dict[StageKey, str] = {}
        self._sessions = 0

    def add(self, event: ev.AnyEvent) -> None:
        """Fold one more event."""
        self.events.append(event)
        if type(event) in AMENDING:
            self._again()
        else:
            self._step(event, standing=True)

    def extend(self, events: Iterable[ev.AnyEvent]) -> None:
        """Fold many events; the same as adding them one by one, but folds again once at most."""
        added = list(events)
        self.events.extend(added)
        if not AMENDING.isdisjoint(map(type, added)):
            self._again()
        else:
            for event in added:
                if type(event) is not ev.Done or not self._in_stride(event):
                    self._step(event, standing=True)

    def _in_stride(self, event: ev.Done) -> bool:
        """Fold a step done without a pause since the event before; False when it has to go the long way.

        Most of a long log is of this sort. What is done here is what `_step` would do.
        """
        before, earlier = self._previous, self._previous_utc
        if before is None or before.run != event.run or self._break_from is not None or earlier is None:
            return False
        utc, awake = utc_seconds(event.at), event.mono - before.mono
        if utc is None or not 0.0 <= awake <= self.gap_seconds or utc - earlier - awake > SLEEP_SECONDS:
            return False
        place = self._place
        if event.stage and (event.board != place[1] or event.stage != place[0]):
            place = self._place = (event.stage, event.board)
        self._work(event, place, awake)
        self._previous = event
        self._utc = self._previous_utc = utc
        self._note_done(event, place)
        return True

    def _again(self) -> None:
        self._reset()
        gone = undone(self.events)
        for event in with_corrections(self.events, gone):
            self._step(event, standing=event.n not in gone)

    # -- one event ------------------------------------------------------------------------------
    def _step(self, event: ev.AnyEvent, *, standing: bool) -> None:
        place = (event.stage, event.board) if event.stage else self._place
        self._pass_time(event, place)
        self._place = place
        if standing:
            self._apply(event, place)
        self._previous, self._previous_utc = event, self._utc

    def _pass_time(self, event: ev.AnyEvent, place: StageKey) -> None:
        before = self._previous
        self._utc = utc_seconds(event.at)
        if before is None or before.run != event.run:
            return
        awake, asleep = between(before.mono, event.mono, self._previous_utc, self._utc)
        if self._break_from is not None:
            self._break_seconds += awake + asleep
        elif type(event) is ev.IdleResolved:
            told = min(max(0.0, event.seconds), awake + asleep)
            if event.worked:
                self._work(event, place, min(max(told, awake), LONGEST_STRETCH))
            else:
                self._work(event, place, max(0.0, awake - told))
                self._breaks.append(Break(began_at=before.at, ended_at=event.at, seconds=told, noticed=True))
        elif awake > self.gap_seconds:
            self._gaps.append(Gap(began_at=before.at, ended_at=event.at, seconds=awake))
        else:
            self._work(event, place, awake)
            if asleep > self.gap_seconds:
                self._gaps.append(Gap(began_at=before.at, ended_at=event.at, seconds=asleep))

    def _work(self, event: ev.AnyEvent, place: StageKey, seconds: float) -> None:
        """Time at the bench before an event, given to its stage."""
        self._seconds[place] = self._seconds.get(place, 0.0) + seconds

    def _apply(self, event: ev.AnyEvent, place: StageKey) -> None:
        match event:
            case ev.Done():
                self._note_done(event, place)
            case ev.KitChanged():
                self._reopen(event)
            case ev.Confirmed():
                self._confirm(event)
            case ev.HeldBack():
                self._hold(event, place)
            case ev.Resumed(items=items):
                self._release(items, event.at)
            case ev.Noted():
                self._notes.append(event)
            case ev.Snagged():
                self._snags[event.n] = Snag(
                    n=event.n,
                    at=event.at,
                    place=place,
                    step=event.step,
                    what=event.what,
                    part=event.part,
                    minutes=max(0.0, event.minutes),
                    fix=event.fix,
                )
            case ev.Mended(of=of) if of in self._snags:
                old = self._snags[of]
                self._snags[of] = msgspec.structs.replace(
                    old, fix=event.fix, minutes=max(old.minutes, event.minutes)
                )
            case ev.Substituted():
                self._substitutions.append(event)
            case ev.BagCounted():
                self._bag[event.items] = event
            case ev.PartMeasured():
                self._measured.append(event)
            case ev.ErratumFound():
                self._errata.append(event)
            case ev.JointsCounted():
                self._counts[place] = Count(
                    n=event.n, place=place, counted=event.counted, expected=event.expected
                )
            case ev.ReadingTaken():
                self._readings.append(event)
            case ev.PassMeasured():
                self._passes.append(event)
            case ev.SuspicionSettled():
                self._suspicions.append(event)
            case ev.HazardAcknowledged():
                self._danger_owned = event
            case ev.HoldPassed():
                self._holds_passed.append(event)
            case ev.WaitBegan():
                self._wait = event
            case ev.SyncMarked():
                self._claps.append(event)
            case ev.ClipNamed():
                self._clips[event.clip] = event
            case ev.BreakBegan():
                self._break_from, self._break_seconds = event, 0.0
            case ev.BreakEnded():
                self._end_break(event)
            case ev.Started():
                self._started = self._started or event
            case ev.Opened():
                self._sessions += 1
            case ev.ClockTold():  # told by log.rightclock
                pass
            case (
                ev.Mended()
                | ev.Closed()
                | ev.Revised()
                | ev.Renamed()
                | ev.Undone()
                | ev.Corrected()
                | ev.IdleResolved()
            ):
                pass
            case ev.PhotoTaken() | ev.PhotosMatched() | ev.PhotoCaptioned():  # told by retro.photomap
                pass
            case _:
                assert_never(event)

    def _note_done(self, event: ev.Done, place: StageKey) -> None:
        if not all(map(self._done.__contains__, event.items)):
            for item in event.items:
                self._done.setdefault(item, event.n)
                self._reopened.pop(item, None)
            self._joints += event.joints
        if self._held:
            self._release(event.items, event.at)
        self._last_done = event
        self._first_done.setdefault(place, event.at)
        self._last_done_at[place] = event.at

    def _reopen(self, event: ev.KitChanged) -> None:
        for item, why in zip_longest(event.opens, event.why[: len(event.opens)], fillvalue=""):
            if self._done.pop(item, None) is not None or item in self._reopened:
                self._reopened[item] = Reopened(n=event.n, why=why, check_again=event.check_again)
        self._late.update(event.added)
        self._settled.difference_update(event.opens)
        self._joints = max(0, self._joints - event.joints)

    def _confirm(self, event: ev.Confirmed) -> None:
        for item in event.items:
            self._done[item] = event.n
            self._reopened.pop(item, None)
        self._settled.update(event.items)
        self._joints += event.joints

    def _hold(self, event: ev.HeldBack, place: StageKey) -> None:
        left = tuple(item for item in event.items if item not in self._done)
        if not left:
            return
        again = [n for n, held in self._held.items() if set(held.items) <= set(left)]
        reasons = [reason for n in again for reason in self._held_ever.pop(n).reasons]
        self._release(event.items, event.at)
        self._held[event.n] = self._held_ever[event.n] = HeldStep(
            n=event.n,
            items=left,
            value=event.value,
            refs=event.refs,
            reason=event.reason,
            place=place,
            at=event.at,
            reasons=(*reasons, *filter(None, [event.reason])),
        )

    def _release(self, items: tuple[str, ...], at: str) -> None:
        gone = set(items)
        for n, held in list(self._held.items()):
            left = tuple(item for item in held.items if item not in gone)
            if not left:
                del self._held[n]
                if n in self._held_ever:
                    self._held_ever[n] = msgspec.structs.replace(self._held_ever[n], resumed_at=at)
            elif len(left) < len(held.items):
                self._held[n] = msgspec.structs.replace(held, items=left)

    def _end_break(self, event: ev.BreakEnded) -> None:
        if self._break_from is not None:
            self._breaks.append(
                Break(
                    began_at=self._break_from.at,
                    ended_at=event.at,
                    seconds=self._break_seconds,
                    noticed=False,
                )
            )
            self._break_from = None

    # -- the value ------------------------------------------------------------------------------
    def progress(self) -> Progress:
        """The frozen value after the events so far."""
        last = self.events[-1] if self.events else None
        return Progress(
            events=last.n if last else 0,
            started=self._started,
            last=Moment(at=last.at, mono=last.mono) if last else None,
            last_run=last.run if last else "",
            last_place=self._place,
            last_done=self._last_done,
            done=frozenset(self._done),
            done_at=dict(self._done),
            reopened=dict(self._reopened),
            late=frozenset(self._late),
            settled=frozenset(self._settled),
            joints=self._joints,
            held=tuple(self._held.values()),
            held_ever=tuple(self._held_ever.values()),
            notes=tuple(self._notes),
            snags=tuple(self._snags.values()),
            substitutions=tuple(self._substitutions),
            bag=tuple(self._bag.values()),
            measured=tuple(self._measured),
            errata=tuple(self._errata),
            readings=tuple(self._readings),
            passes=tuple(self._passes),
            suspicions=tuple(self._suspicions),
            danger_owned=self._danger_owned,
            holds_passed=tuple(self._holds_passed),
            claps=tuple(self._claps),
            clips=tuple(self._clips.values()),
            counts=tuple(self._counts.values()),
            wait=self._wait,
            on_break=self._break_from is not None,
            breaks=tuple(self._breaks),
            gaps=tuple(self._gaps),
            stage_seconds=dict(self._seconds),
            first_done=dict(self._first_done),
            last_done_at=dict(self._last_done_at),
            sessions=self._sessions,
        )


def fold(events: Iterable[ev.AnyEvent], gap_seconds: float = GAP_SECONDS) -> Progress:
    """Where a build stands after these events."""
    folder = ProgressReducer(gap_seconds)
    folder.extend(events)
    return folder.progress()
