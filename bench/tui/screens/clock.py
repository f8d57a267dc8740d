"""A clock over the whole screen, to be filmed; a clap marks it for the camera."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.timer import Timer

from bench.log.clock import utc_seconds
from bench.log.events import SyncMarked
from bench.session.build import Build
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.card_blocks import StyledRow
from bench.ui.clock_face import clap_time, clap_words, face_of, lay_face, lay_mark, until_next

MARK_SECONDS = 1.0
"""How long the mark of a clap stands: no camera misses it."""


class ClockPane(Lines):
    """The rows of the clock."""

    def __init__(self) -> None:
        super().__init__(id="body")

    def lay_out(self) -> None:
        """The screen lays it out on its next tick."""


class ClockScreen(BuildScreen):
    """Time, frames or tenths, date, offset and build; ticks only while it is on screen."""

    place = "clock"

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._timer: Timer | None = None
        self._word = ""
        self._mark: SyncMarked | None = None

    def compose(self) -> ComposeResult:
        """The clock over the keys."""
        keymap = self.bench_app.keymap
        yield ClockPane()
        yield Foot(keymap.foot(self.place), (keymap.key_of("help"), "all keys"))

    def on_screen_resume(self) -> None:
        """Tick while it is seen."""
        self._tick()

    def on_screen_suspend(self) -> None:
        """Stand still while something else is on screen."""
        self._stop()

    def on_unmount(self) -> None:
        """Stand still for good."""
        self._stop()

    def on_resize(self) -> None:
        """Re-layout on resize."""
        if self.is_current:
            self.call_after_refresh(self._tick)

    def _stop(self) -> None:
        if self._timer is not None:
            self._timer.stop()
            self._timer = None

    def _tick(self) -> None:
        """Show this moment, and come again when it has passed."""
        self._stop()
        if not self.is_current:
            return
        moment = self.build.clock.now()
        seconds = utc_seconds(moment.at) or 0.0
        frames = self.bench_app.settings.clock_frames
        if self._mark is not None and not 0 <= moment.mono - self._mark.mono < MARK_SECONDS:
            self._mark = None
        self.query_one(ClockPane).show_rows(self._rows(seconds, frames))
        self._timer = self.set_timer(until_next(seconds, frames), self._tick)

    def _rows(self, seconds: float, frames: int) -> tuple[StyledRow, ...]:
        size = self.query_one(ClockPane).size
        if self._mark is not None:
            return lay_mark(self._mark.number, clap_time(self._mark), size.width, size.height)
        face = face_of(seconds, frames=frames)
        return lay_face(face, self.build.title, self._word, size.width, size.height)

    def refresh_view(self, notice: str = "") -> None:
        """Show the clock, and a word under it."""
        self.show_message(notice)

    def show_message(self, text: str) -> None:
        """A word under the clock."""
        self._word = text
        self._tick()

    def do_mark(self) -> None:
        """A mark in the log, and over the whole screen as soon as it is there."""
        self.require_writable()
        self._mark = self.build.clap()
        self.bench_app.signals.give("clap")
        self.show_message(clap_words(self._mark))

    def do_undo(self) -> None:
        """Undo the last entry."""
        self._mark = None
        super().do_undo()
