"""The event writer (stamp, append, fsync, fold), and the time that has passed since the last event."""

from __future__ import annotations

import operator
import os
import time
from collections.abc import Callable, Mapping

from msgspec.structs import replace

from bench.errors import LogError
from bench.log import events as ev
from bench.log.clock import GAP_SECONDS, Clock, Moment, doubt_of, elapsed, stamp_text, utc_seconds
from bench.log.clock_correction import doubtful, put_right
from bench.log.file import LogFile
from bench.log.fold import ProgressReducer, fold
from bench.log.progress import Progress, StageKey
from bench.log.stamps import Stamp
from bench.plan.plan import Step
from bench.session.typed_text import unit_name


class SystemClock:
    """The machine's own clocks."""

    def now(self) -> Moment:
        """UTC and monotonic time, read together."""
        return Moment(at=stamp_text(time.time()), mono=round(time.monotonic(), 3))


class Equipment:
    """What goes for the whole bench, whichever of several units is at work."""

    def __init__(self, meter: Mapping[str, object]) -> None:
        self.meter = meter
        """As the settings describe it."""
        self.told_of_meter = False
        """True once it was said where the meter's accuracy is kept."""
        self.reminders: Mapping[str, str] = {}
        """Kind of part or stage -> what the builder's record says of it; told once the build is open."""


class SharedBench:
    """What the writers of several units have in common: the run, the latest entry, and who made it."""

    def __init__(self, turn: int) -> None:
        self.turn = turn
        """Number of the latest entry, over all units."""
        self.last: Moment | None = None
        """When it was made, in this run."""
        self.writer: EventWriter | None = None
        self.writers: list[EventWriter] = []
        """Those of all units."""
        self.of_one_key = False
        """True while one key makes an entry in several logs: they share one number."""

    @property
    def next_turn(self) -> int:
        """Number of the entry to come."""
        return self.turn if self.of_one_key else self.turn + 1


class EventWriter:
    """The door to a log: `record(ev.Noted(**stamp(step), text=...))` appends, fsyncs and folds one event."""

    def __init__(self, log: LogFile, clock: Clock, gap_seconds: float = GAP_SECONDS) -> None:
        self.log, self.clock = log, clock
        self.run = f"{os.getpid():x}-{time.time_ns() & 0xFFFFFF:06x}"
        self.shared: SharedBench | None = None
        """Set while units are built side by side."""
        self._reducer = ProgressReducer(gap_seconds)
        self._reducer.extend(log.events)
        self.progress: Progress = self._reducer.progress()
        self.follower: Callable[[ev.AnyEvent], None] | None = None
        """Hears of each event once it is on the disk and counts; it never raises."""

    @property
    def gap_seconds(self) -> float:
        """A longer time without an event is asked about, in seconds."""
        return self._reducer.gap_seconds

    @property
    def events(self) -> list[ev.AnyEvent]:
        """All events as they were written, oldest first; not to be changed."""
        return self._reducer.events

    def put_right(self) -> tuple[tuple[ev.AnyEvent, ...], Progress]:
        """All events with the stamps that a right clock would have given them, and what follows from them."""
        events = put_right(self.events)
        right = all(map(operator.is_, events, self.events))
        return events, self.progress if right else fold(events, self.gap_seconds)

    def require_writable(self) -> None:
        """Raise LogError when nothing can be recorded now."""
        if self.log.read_only:
            raise LogError(f"nothing can be recorded: {self.log.why_read_only}", str(self.log.path), "")

    def stamp(self, step: Step | None = None) -> Stamp:
        """What the next event carries: its number, the time, the run, and the step it belongs to."""
        now, shared = self.clock.now(), self.shared
        return {
            "n": self.progress.events + 1,
            "at": now.at,
            "mono": now.mono,
            "run": self.run,
            "stage": step.stage if step else "",
            "board": step.board if step else "",
            "step": step.key if step else "",
            "turn": shared.next_turn if shared else 0,
            "after": shared.last if shared and shared.writer is not self else None,
        }

    def record(self, event: ev.AnyEvent) -> Progress:
        """Append an event, wait for the disk, then fold it. Raises LogError, with nothing changed."""
        self.log.append(event)
        if self.shared is not None:
            self.shared.turn, self.shared.writer = event.turn, self
            self.shared.last = Moment(at=event.at, mono=event.mono)
        return self._fold(event)

    def name_unit(self, name: str) -> Progress:
        """Say which of several units of the kit this build is; a later name replaces an earlier one."""
        return self.record(ev.UnitNamed(**self.stamp(), name=unit_name(name)))

    def record_or_show(self, event: ev.AnyEvent) -> Progress:
        """As `record`; where nothing can be written, only fold it, at the time and place of the last event."""
        if not self.log.read_only:
            return self.record(event)
        last = self.events[-1]
        return self._fold(replace(event, at=last.at, mono=last.mono, run=last.run, stage="", board="", step=""))

    def _fold(self, event: ev.AnyEvent) -> Progress:
        self._reducer.add(event)
        self.progress = self._reducer.progress()
        if self.follower is not None:
            self.follower(event)
        return self.progress


class BenchTimer:
    """Time up to this moment, after the last event of a log that is open. All times in seconds."""

    def __init__(self, writer: EventWriter) -> None:
        self._writer = writer

    def bench_seconds(self) -> float:
        """Bench time, breaks apart."""
        return self._writer.progress.bench_seconds + self.since_last_event()

    def stage_seconds(self, place: StageKey) -> float:
        """Bench time of the stage at work."""
        return self._writer.progress.stage_seconds.get(place, 0.0) + self.since_last_event()

    def gap(self) -> float:
        """Time since the last event when that is long enough to ask about, else 0."""
        if self._writer.log.read_only:
            return 0.0
        awake, asleep = self._running()
        return awake + asleep if max(awake, asleep) > self._writer.gap_seconds else 0.0

    def since_last_event(self) -> float:
        """Time at the bench since the last event, 0 on a break."""
        return self._running()[0]

    def _running(self) -> tuple[float, float]:
        """Awake and asleep since this run's last event; none on a break, or when all is done."""
        progress, shared = self._writer.progress, self._writer.shared
        if progress.last is None or progress.last_run != self._writer.run:
            return 0.0, 0.0
        if progress.on_break or progress.completed:
            return 0.0, 0.0
        last = shared.last if shared is not None and shared.last is not None else progress.last
        return elapsed(last, self._writer.clock.now())

    def waits_left(self) -> list[tuple[ev.WaitBegan, float]]:
        """Each wait of every unit on the bench with the time until it is over, below zero afterwards.

        The one over first comes first.
        """
        now, shared = self._writer.clock.now(), self._writer.shared
        writers = shared.writers if shared else [self._writer]
        left = ((wait, self._left(wait, now)) for writer in writers for wait in writer.progress.waits)
        return sorted(((wait, each) for wait, each in left if each is not None), key=lambda pair: pair[1])

    def _left(self, wait: ev.WaitBegan, now: Moment) -> float | None:
        """None where the clocks do not tell."""
        if wait.run == self._writer.run:
            return wait.seconds - sum(elapsed(Moment(at=wait.at, mono=wait.mono), now))
        began, here = utc_seconds(wait.at), utc_seconds(now.at)
        return None if began is None or here is None else wait.seconds - (here - began)

    def clock_doubt(self) -> str:
        """Why the machine's clock is not to be believed now, in words; empty when it is, or was vouched for."""
        events = self._writer.events
        earlier = [each for each in events if each.run != self._writer.run]
        told = events[len(earlier) :]
        if self._writer.log.read_only or any(type(each) is ev.ClockTold for each in told):
            return ""
        doubted = doubtful(earlier)
        sure = [each for each in put_right(earlier) if each.n not in doubted]
        return doubt_of(self._writer.clock.now().at, sure[-1].at if sure else "")
