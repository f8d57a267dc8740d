"""What a builder says of time at the bench: waits, breaks, gaps, the clocks of machine and camera."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from bench.errors import Refused
from bench.log import events as ev
from bench.log.photos import MatchedPhoto, PhotoBatch
from bench.log.progress import Progress
from bench.plan.plan import Step
from bench.session.event_writer import BenchTimer, EventWriter
from bench.session.recording import Recording
from bench.session.typed_text import required, text_kept

if TYPE_CHECKING:
    from bench.session.side_by_side import SideBySide

LONGEST_WAIT = 1440
"""Minutes: a day."""


class Timekeeping(Recording):
    """The part of a build that records how time passed; see `Build`."""

    timer: BenchTimer
    writer: EventWriter
    beside: SideBySide | None

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

    def tell_clock(self, right: str) -> None:
        """The builder's word on the clock: the right UTC stamp of now, empty when it is right."""
        if self.beside is not None:
            self.beside.tell_clock(right)
        else:
            self.record_clock(right)

    def record_clock(self, right: str) -> Progress:
        """The same, in this unit's log."""
        return self._record(ev.ClockTold(**self._here(), right=right))

    def clap(self, label: str = "") -> ev.SyncMarked:
        """Put a mark into the log that the camera sees too; returns it with its number, never given twice."""
        made = (event.number for event in self.writer.events if isinstance(event, ev.SyncMarked))
        self._record(ev.SyncMarked(**self._here(), number=max(made, default=0) + 1, label=text_kept(label)))
        return self.progress.claps[-1]

    def name_clip(
        self,
        clip: str,
        starts: str = "",
        claps: tuple[tuple[int, float], ...] = (),
        shows: tuple[tuple[str, float], ...] = (),
        length: float = 0.0,
        timecode: str = "",
    ) -> Progress:
        """Name a clip with what is known of its clock; see `events.ClipNamed`. A clap must stand in the log."""
        known = {clap.number for clap in self.progress.claps}
        missing = [number for number, _ in claps if number not in known]
        if missing:
            made = ", ".join(map(str, sorted(known))) or "none"
            raise Refused(f"there is no clap {missing[0]} in the log", "", f"claps made: {made}")
        return self._record(
            ev.ClipNamed(
                **self._here(),
                clip=required(clip),
                starts=starts,
                claps=claps,
                shows=shows,
                length=length,
                timecode=timecode,
            )
        )

    def photo_taken(self, caption: str = "", step: Step | None = None) -> Progress:
        """Mark that a photo was taken now."""
        return self._record(ev.PhotoTaken(**self._here(step), caption=text_kept(caption)))

    def photos_matched(
        self,
        folder: str,
        photos: tuple[MatchedPhoto, ...],
        batches: tuple[PhotoBatch, ...] = (),
        zone: str = "",
        without: tuple[str, ...] = (),
    ) -> Progress:
        """Record which photos of a folder go with the build, and how the cameras' clocks were read."""
        return self._record(
            ev.PhotosMatched(
                **self.writer.stamp(), folder=folder, photos=photos, batches=batches, zone=zone, without=without
            )
        )

    def caption_photo(self, file: str, caption: str) -> Progress:
        """Give a photo a caption; an empty one takes it away."""
        return self._record(ev.PhotoCaptioned(**self.writer.stamp(), file=file, caption=text_kept(caption)))
