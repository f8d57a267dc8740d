"""A build and its log: what there is to see, and how an event gets from an action to the disk."""

from __future__ import annotations

import contextlib
import os
import time
from collections.abc import Mapping
from typing import Any

from bench import __version__
from bench.errors import LogError
from bench.files import home_path
from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.amend import last_undoable
from bench.log.clock import GAP_SECONDS, Clock, Moment, elapsed, stamp_text, utc_seconds
from bench.log.event_text import describe
from bench.log.file import LogFile
from bench.log.fold import ProgressReducer
from bench.log.progress import Progress
from bench.plan.plan import Plan, Step
from bench.session.view import Outline, StepView, bench_view


class SystemClock:
    """The machine's own clocks."""

    def now(self) -> Moment:
        """UTC and monotonic time, read together."""
        return Moment(at=stamp_text(time.time()), mono=round(time.monotonic(), 3))


class Recorder:
    """A build without its actions: what there is to see, and how an event gets into the log.

    An action raises LogError when the event could not be written, and Refused when it makes no sense
    now; in both cases nothing has changed.
    """

    def __init__(
        self,
        kit: Kit,
        plan: Plan,
        log: LogFile,
        clock: Clock,
        gap_seconds: float = GAP_SECONDS,
        meter: Mapping[str, object] | None = None,
    ) -> None:
        self.kit, self.plan, self.log, self.clock = kit, plan, log, clock
        self.meter = meter or {}
        self.outline = Outline(plan)
        self.told_of_meter = False
        """True once it was said where the meter's accuracy is kept."""
        self._deadly: tuple[str, ...] | None = None
        self.reminders: Mapping[str, str] = {}
        """Kind of part -> what the builder's record says of it; told once the build is open."""
        self.run = f"{os.getpid():x}-{time.time_ns() & 0xFFFFFF:06x}"
        self._folder = ProgressReducer(gap_seconds)
        self._folder.extend(log.events)
        self.progress: Progress = self._folder.progress()

    # -- what there is to see -------------------------------------------------------------------
    @property
    def name(self) -> str:
        """The build's name: that of its folder."""
        return self.log.folder.name

    @property
    def current(self) -> int | None:
        """Position of the step at work in the plan, None when nothing is left that is not held back."""
        return self.outline.current(self.progress)

    @property
    def next_step(self) -> Step | None:
        """The step at work."""
        position = self.current
        return None if position is None else self.outline.steps[position]

    def view(self, looking_at: int | None = None) -> StepView:
        """The bench as it stands; see `view.bench_view`."""
        undoable = last_undoable(self._folder.events) if self._folder.events else None
        return bench_view(
            self.outline,
            self.progress,
            looking_at=looking_at,
            read_only=self.log.read_only,
            why_read_only=self.log.why_read_only,
            can_undo=describe(undoable) if undoable else "",
            kills=self._kills,
            reminders=self.reminders,
        )

    def _kills(self) -> tuple[str, ...]:
        """What in this kit somebody has to answer for before power."""
        if self._deadly is None:
            from bench.kit.danger import danger_of

            self._deadly = danger_of(self.kit).kills
        return self._deadly

    def bench_seconds(self) -> float:
        """Bench time up to this moment, in seconds, breaks apart."""
        return self.progress.bench_seconds + self._running()[0]

    def stage_seconds(self, place: tuple[str, str]) -> float:
        """Bench time of one stage up to this moment, in seconds."""
        done = self.progress.stage_seconds.get(place, 0.0)
        here = self.next_step
        running = self._running()[0] if here and (here.stage, here.board) == place else 0.0
        return done + running

    def gap(self) -> float:
        """Seconds since the last event when that is long enough to ask about, else 0."""
        if self.progress.on_break or self.log.read_only:
            return 0.0
        awake, asleep = self._running()
        longest = max(awake, asleep)
        return awake + asleep if longest > self._folder.gap_seconds else 0.0

    def since_last_event(self) -> float:
        """Seconds at the bench since the last event, 0 on a break."""
        return self._running()[0]

    def _running(self) -> tuple[float, float]:
        if self.progress.last is None or self.progress.last_run != self.run or self.progress.on_break:
            return 0.0, 0.0
        return elapsed(self.progress.last, self.clock.now())

    def wait_left(self) -> float | None:
        """Seconds until the latest wait is over, below zero afterwards; None when nothing is waited for."""
        wait = self.progress.wait
        if wait is None:
            return None
        now = self.clock.now()
        if wait.run == self.run:
            return wait.seconds - (now.mono - wait.mono)
        began, here = utc_seconds(wait.at), utc_seconds(now.at)
        return None if began is None or here is None else wait.seconds - (here - began)

    def require_writable(self) -> None:
        """Raise LogError when nothing can be recorded now."""
        if self.log.read_only:
            raise LogError(f"nothing can be recorded: {self.log.why_read_only}", str(self.log.path), "")

    # -- events ---------------------------------------------------------------------------------
    def apply(self, event: ev.AnyEvent) -> Progress:
        """Append an event that is ready made, wait for the disk, and fold it."""
        self.log.append(event)
        self._folder.add(event)
        self.progress = self._folder.progress()
        return self.progress

    def _record(self, event: type[ev.AnyEvent], step: Step | None, /, **fields: Any) -> Progress:
        moment = self.clock.now()
        return self.apply(
            event(
                n=self.progress.events + 1,
                at=moment.at,
                mono=moment.mono,
                run=self.run,
                stage=step.stage if step else "",
                board=step.board if step else "",
                step=step.key if step else "",
                **fields,
            )
        )

    def _kit_file(self) -> str:
        """Where the kit file is; empty for the build's own copy."""
        path = home_path(self.kit.file).absolute()
        return "" if path.parent == self.log.folder.absolute() else str(path)

    def started(self, procedure: str, digest: str) -> Progress:
        """The build begins, by the procedure of this name and SHA-256."""
        return self._record(
            ev.Started, None, log=ev.LOG_VERSION, kit=self.kit.title, name=self.kit.name,
            maker=self.kit.maker, revision=self.kit.revision, kit_file=self._kit_file(),
            kit_digest=self.kit.digest, procedure=procedure, procedure_digest=digest, program=__version__,
        )  # fmt: skip

    def revised(self, procedure: str, digest: str) -> Progress:
        """From here on the kit file as it is now and this procedure are in use."""
        return self._record(
            ev.Revised,
            None,
            kit=self.kit.title,
            name=self.kit.name,
            maker=self.kit.maker,
            revision=self.kit.revision,
            kit_file=self._kit_file(),
            kit_digest=self.kit.digest,
            procedure=procedure,
            procedure_digest=digest,
        )

    def opened(self) -> Progress:
        """The bench is on screen: bench time may pass."""
        return self._record(ev.Opened, self.next_step)

    def close(self) -> None:
        """Close in good order; a build that cannot be written is closed all the same."""
        if not self.log.read_only:
            with contextlib.suppress(LogError):
                self._record(ev.Closed, self.next_step)
        self.log.close()
