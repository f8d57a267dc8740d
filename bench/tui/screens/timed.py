"""Time at the bench: what is left, learned from all builds beside the work, and a word when a rest is due."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.worker import Worker, WorkerState

from bench.log.sitting import RUN_WORDS, rest_words, run_of_snags, sitting_seconds
from bench.tui.screens.work_words import WordPlace
from bench.tui.widgets.work import StageRail

if TYPE_CHECKING:
    from bench.estimate.history import Known

_LEARNING = "learning the pace"
_FIRST = 0.5
"""Seconds after the first step is on screen."""


class TimedPlace(WordPlace):
    """A place that keeps an eye on the time. Nothing of it is done while a key waits for its answer."""

    def _begin_timing(self) -> None:
        self._known: Known | None = None
        self._learned_at: tuple[str, str] | None = None
        self._told_events = -1
        self._rest_told = False
        self._snags_told = run_of_snags(self.build.progress)
        self._sitting = 0.0
        self.set_timer(_FIRST, self._learn)

    def _learn(self) -> None:
        """Read all builds, beside the work: when the build is opened and at each new stage."""
        app, step = self.bench_app, self.build.next_step
        self._learned_at = (step.stage, step.board) if step else None

        def learn() -> Known:
            from bench.estimate.history import (
                know,  # and all that it needs: not before the first step is on screen
            )

            return know(app.data, app.settings)

        self.run_worker(learn, name=_LEARNING, thread=True, exclusive=True, exit_on_error=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Take what was learned."""
        if event.worker.name == _LEARNING and event.state is WorkerState.SUCCESS:
            known = self._known = event.worker.result
            assert known is not None
            self._told_events = -1
            self.build.reminders = known.reminders  # on the card from the next step on
            self._keep_time()

    def _keep_time(self) -> None:
        """Each second: when something has happened, tell what is left anew; say when it is time to rest."""
        build = self.build
        if self._told_events != build.progress.events:
            self._told_events = build.progress.events
            self._sitting = sitting_seconds(build.events, self.bench_app.settings.break_after_minutes * 60)
            if self._known is not None:
                self._tell_time(self._known)
        self._suggest_rest()

    def _tell_time(self, known: Known) -> None:
        build, step = self.build, self.build.next_step
        if step is not None and (step.stage, step.board) != self._learned_at:
            self._learn()
        from bench.estimate.history import times_left
        from bench.estimate.hours import left_words

        left = times_left(build.plan, build.progress, step, known.learned.pace, build.name)
        self.query_one(StageRail).show_time(left_words(left.stage, left.module))

    def _suggest_rest(self) -> None:
        """One calm line, once: after a long sitting, or a run of snags."""
        build, after = self.build, 60 * self.bench_app.settings.rest_after_minutes
        if not self.is_current or build.log.read_only or build.progress.on_break:
            return
        sitting = self._sitting + build.timer.since_last_event()
        if sitting < after or not after:
            self._rest_told = False
        elif not self._rest_told:
            self._rest_told = True
            self.paint(rest_words(sitting))
        run = run_of_snags(build.progress)
        if run > self._snags_told:
            self._snags_told = run
            self.paint(RUN_WORDS)
