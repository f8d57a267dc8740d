"""The reducer: events folded, one by one, into where a build stands; pure.

Nothing here is stored: the same events give the same progress, on any machine, at any time. Whatever the
program says of a build (screens, pace, article) comes from this value.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import zip_longest
from typing import Any, TypeVar

import msgspec

from bench.log import events as ev
from bench.log.amend import AMENDING, undone, with_corrections
from bench.log.clock import GAP_SECONDS, LONGEST_STRETCH, Moment, between, no_sleep, utc_seconds
from bench.log.progress import Break, Count, Gap, HeldStep, Progress, Reopened, Snag, StageKey

_KEPT: Mapping[type[ev.Event], str] = {
    ev.Noted: "notes", ev.Substituted: "substitutions", ev.PartMeasured: "measured", ev.ErratumFound: "errata",
    ev.ReadingTaken: "readings", ev.PassMeasured: "passes", ev.SuspicionSettled: "suspicions",
    ev.HoldOverridden: "holds_overridden", ev.SyncMarked: "claps", ev.WaitBegan: "waits",
    ev.Started: "", ev.Opened: "", ev.UnitNamed: "", ev.SideBySide: "", ev.SetAside: "", ev.Completed: "",
    ev.HazardAcknowledged: "",
}  # fmt: skip
"""Events that are kept in order, and the field of `Progress` that holds them; empty where one of them tells."""
_LATEST: Mapping[type[ev.Event], tuple[str, str]] = {
    ev.PhotosMatched: ("folder", "photos_matched"),
    ev.BagCounted: ("items", "bag"),
    ev.ClipNamed: ("clip", "clips"),
}
"""Events of which the latest with the same field counts, and the field of `Progress` that holds them."""
_Kind = TypeVar("_Kind", bound=ev.Event)


class ProgressReducer:
    """Folds events one by one; `progress()` gives the frozen value at any time.

    Events that are undone, corrected or renamed are handled by folding again from the first one: rare, and it
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
        self._last_done: ev.Done | None = None
        self._done: dict[str, int] = {}
        self._reopened: dict[str, Reopened] = {}
        self._late: set[str] = set()
        self._settled: set[str] = set()
        self._joints = 0
        self._held: dict[int, HeldStep] = {}
        self._held_ever: dict[int, HeldStep] = {}
        self._snags: dict[int, Snag] = {}
        self._captions: dict[str, str] = {}
        self._counts: dict[StageKey, Count] = {}
        self._break_from: ev.AnyEvent | None = None
        self._break_seconds = 0.0
        self._breaks: list[Break] = []
        self._gaps: list[Gap] = []
        self._seconds: dict[StageKey, float] = {}
        self._step_seconds: dict[str, float] = {}
        self._count_seconds: dict[StageKey, float] = {}
        self._step_done_at: dict[str, str] = {}
        self._kept: dict[type[ev.Event], list[Any]] = {kind: [] for kind in _KEPT}
        self._latest: dict[type[ev.Event], dict[object, Any]] = {kind: {} for kind in _LATEST}

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
        feed = iter(added)
        while (event := self._apply_done_fast(feed)) is not None:
            if type(event) in AMENDING:
                self._again()
                return
            self._step(event, standing=True)

    def _last(self, kind: type[_Kind]) -> _Kind | None:
        """The latest event of a kind that stands."""
        return self._kept[kind][-1] if self._kept[kind] else None

    @property
    def _is_completed(self) -> bool:
        """Whether nothing is left to do: what was done then is still done, and nothing is held back."""
        completed = self._last(ev.Completed)
        return completed is not None and len(self._done) >= completed.total and not self._held

    def _apply_done_fast(self, feed: Iterator[ev.AnyEvent]) -> ev.AnyEvent | None:
        """Fast path for `Done` events inside the idle limit, in one place and run: `_step` in short for each.

        Returns the first event that needs the general path, None at the end.
        """
        before, place, held, done = self._previous, self._place, self._held, self._done
        if before is None or self._break_from is not None or self._kept[ev.Completed]:
            return next(feed, None)
        (stage, board), run, at, mono, minute = place, before.run, before.at, before.mono, ""
        kind, gap = ev.Done, self.gap_seconds
        step_seconds, step_done_at = self._step_seconds, self._step_done_at
        spent = self._seconds.get(place, 0.0)
        last: ev.Done | None = None
        found: ev.AnyEvent | None = None
        for event in feed:
            found = event
            if type(event) is not kind or event.run != run or event.stage != stage or event.board != board:
                break
            if event.after is not None:
                break
            now, awake, step = event.at, event.mono - mono, event.step
            if not 0.0 <= awake <= gap:
                break
            if now[:17] != minute or now[-1:] != "Z":  # within one minute nobody slept
                if not no_sleep(at, now, awake):
                    break
                minute = now[:17] if now[-1:] == "Z" else ""
            last, at, mono, found = event, now, event.mono, None
            for item in event.items:
                if held or item not in done:
                    self._take_done(event)
                    break
            spent += awake
            step_seconds[step] = step_seconds.get(step, 0.0) + awake
            step_done_at[step] = at
        if last is not None:
            self._seconds[place] = spent
            self._previous = self._last_done = last
            self._utc = self._previous_utc = utc_seconds(at)
        return found

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
        if before is None or before.run != event.run or self._is_completed:
            return
        since, mono, utc = before.at, before.mono, self._previous_utc
        if event.after is not None:
            since, mono, utc = event.after.at, event.after.mono, utc_seconds(event.after.at)
        awake, asleep = between(mono, event.mono, utc, self._utc)
        if self._break_from is not None:
            self._break_seconds += awake + asleep
        elif type(event) is ev.IdleResolved:
            told = min(max(0.0, event.seconds), awake + asleep)
            worked = min(told, event.seconds_worked)
            self._work(event, place, min(max(0.0, awake - told) + worked, LONGEST_STRETCH))
            if told > worked or not event.worked:
                rest = told - worked
                self._breaks.append(Break(began_at=since, ended_at=event.at, seconds=rest, noticed=True))
        elif awake > self.gap_seconds:
            self._gaps.append(Gap(began_at=since, ended_at=event.at, seconds=awake))
        else:
            self._work(event, place, awake)
            if asleep > self.gap_seconds:
                self._gaps.append(Gap(began_at=since, ended_at=event.at, seconds=asleep))

    def _work(self, event: ev.AnyEvent, place: StageKey, seconds: float) -> None:
        """Time at the bench before an event, given to its stage, and to its step or to counting joints."""
        self._seconds[place] = self._seconds.get(place, 0.0) + seconds
        if type(event) is ev.JointsCounted:
            self._count_seconds[place] = self._count_seconds.get(place, 0.0) + seconds
        else:
            self._step_seconds[event.step] = self._step_seconds.get(event.step, 0.0) + seconds

    def _apply(self, event: ev.AnyEvent, place: StageKey) -> None:
        """What an event changes; of stamps tells `clock_correction`, of texts `amend`, of time `_pass_time`."""
        kind = type(event)
        if kind in _KEPT:
            self._kept[kind].append(event)
        elif kind in _LATEST:
            self._latest[kind][getattr(event, _LATEST[kind][0])] = event
        match event:
            case ev.Done():
                self._note_done(event)
            case ev.HeldBack():
                self._hold(event, place)
            case ev.Resumed(items=items):
                self._release(items, event.at)
            case ev.JointsCounted(n=n, counted=counted, expected=expected):
                self._counts[place] = Count(n=n, place=place, counted=counted, expected=expected)
            case ev.KitChanged():
                self._reopen(event)
            case ev.Confirmed():
                self._confirm(event)
            case ev.Snagged():
                self._snags[event.n] = Snag(
                    n=event.n, at=event.at, place=place, step=event.step, what=event.what, part=event.part,
                    minutes=max(0.0, event.minutes), fix=event.fix,
                )  # fmt: skip
            case ev.Mended():
                self._mend(event)
            case ev.PhotoCaptioned():
                self._captions[event.file] = event.caption
            case ev.BreakBegan():
                self._break_from, self._break_seconds = event, 0.0
            case ev.BreakEnded():
                self._end_break(event)
            case _:
                pass

    def _note_done(self, event: ev.Done) -> None:
        self._take_done(event)
        self._last_done = event
        self._step_done_at[event.step] = event.at

    def _take_done(self, event: ev.Done) -> None:
        if not all(map(self._done.__contains__, event.items)):
            for item in event.items:
                self._done.setdefault(item, event.n)
                self._reopened.pop(item, None)
            self._joints += event.joints
        if self._held:
            self._release(event.items, event.at)

    def _mend(self, event: ev.Mended) -> None:
        snag = self._snags.get(event.of)
        if snag is not None:
            self._snags[event.of] = msgspec.structs.replace(
                snag, fix=event.fix, minutes=max(snag.minutes, event.minutes), mended_in=event.step
            )

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
            n=event.n, items=left, value=event.value, refs=event.refs, reason=event.reason, place=place,
            at=event.at, reasons=(*reasons, *filter(None, [event.reason])),
        )  # fmt: skip

    def _release(self, items: tuple[str, ...], at: str) -> None:
        gone = set(items)
        for n, held in list(self._held.items()):
            left = tuple(item for item in held.items if item not in gone)
            if not left:
                del self._held[n]
                if n in self._held_ever:
                    self._held_ever[n] = msgspec.structs.replace(self._held_ever[n], resumed_at=at)
            else:
                self._held[n] = msgspec.structs.replace(held, items=left)

    def _end_break(self, event: ev.BreakEnded) -> None:
        if self._break_from is not None:
            began, seconds = self._break_from.at, self._break_seconds
            self._breaks.append(Break(began_at=began, ended_at=event.at, seconds=seconds, noticed=False))
            self._break_from = None

    # -- the value ------------------------------------------------------------------------------
    def progress(self) -> Progress:
        """The frozen value after the events so far."""
        last = self.events[-1] if self.events else None
        started, unit, aside = self._kept[ev.Started], self._last(ev.UnitNamed), self._last(ev.SetAside)
        kept: dict[str, Any] = {name: tuple(self._kept[kind]) for kind, name in _KEPT.items() if name}
        kept |= {name: tuple(self._latest[kind].values()) for kind, (_, name) in _LATEST.items()}
        return Progress(
            events=last.n if last else 0,
            started=started[0] if started else None,
            unit=unit.name if unit else "",
            beside=self._last(ev.SideBySide),
            aside=aside if aside and aside.aside else None,
            last=Moment(at=last.at, mono=last.mono) if last else None,
            last_run=last.run if last else "",
            last_done=self._last_done,
            done=frozenset(self._done),
            done_at=dict(self._done),
            reopened=dict(self._reopened),
            late=frozenset(self._late),
            settled=frozenset(self._settled),
            joints=self._joints,
            held=tuple(self._held.values()),
            held_ever=tuple(self._held_ever.values()),
            snags=tuple(self._snags.values()),
            captions=dict(self._captions),
            danger_owned=self._last(ev.HazardAcknowledged),
            counts=tuple(self._counts.values()),
            completed=self._is_completed,
            on_break=self._break_from is not None,
            breaks=tuple(self._breaks),
            gaps=tuple(self._gaps),
            stage_seconds=dict(self._seconds),
            step_seconds=dict(self._step_seconds),
            count_seconds=dict(self._count_seconds),
            step_done_at=dict(self._step_done_at),
            sessions=len(self._kept[ev.Opened]),
            **kept,
        )


def fold(events: Iterable[ev.AnyEvent], gap_seconds: float = GAP_SECONDS) -> Progress:
    """Where a build stands after these events."""
    reducer = ProgressReducer(gap_seconds)
    reducer.extend(events)
    return reducer.progress()
