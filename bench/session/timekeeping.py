"""What a builder says of time at the bench: waits, breaks, gaps, and the machine's clock."""

from __future__ import annotations

import math

from bench.errors import Refused
from bench.log import events as ev
from bench.log.progress import Progress
from bench.session.event_writer import BenchTimer
from bench.session.typed_text import text_kept

LONGEST_WAIT = 1440
"""Minutes: a day."""


class Timekeeping:
    """The part of a build that records how time passed; see `Build`."""

    timer: BenchTimer

    def _record(self, event: ev.AnyEvent) -> Progress:
        """Append an event, wait for the disk, fold it."""
        raise NotImplementedError

    @property
    def progress(self) -> Progress:
        """Where the build stands after the events so far."""
        raise NotImplementedError

    def _here(self) -> ev.Stamp:
        """The stamp of an event about the step at work."""
        raise NotImplementedError

    def wait(self, minutes: float, about: str = "") -> Progress:
        """Something takes its time, in minutes, from now on; several waits may run at once."""
        if not math.isfinite(minutes) or not 0 < minutes <= LONGEST_WAIT:
            raise Refused("that is no time to wait", "", f"type minutes, from 0.1 to {LONGEST_WAIT}")
        return self._record(
            ev.WaitBegan(**self._here(), seconds=round(60 * minutes, 1), about=text_kept(about))
        )

    def break_begin(self) -> Progress:
        """Leave the bench."""
        if self.progress.on_break:
            raise Refused("the break has begun already", "", "")
        return self._record(ev.BreakBegan(**self._here()))

    def break_end(self) -> Progress:
        """Come back to the bench."""
        if not self.progress.on_break:
            raise Refused("there is no break to end", "", "")
        return self._record(ev.BreakEnded(**self._here()))

    def settle_gap(self, *, worked: bool) -> Progress:
        """Say what the long time without a key was."""
        return self._record(ev.IdleResolved(**self._here(), seconds=self.timer.gap(), worked=worked))

    def tell_clock(self, right: str) -> Progress:
        """The builder's word on the clock: the right UTC stamp of now, empty when it is right."""
        return self._record(ev.ClockTold(**self._here(), right=right))
