"""When to suggest a rest: after a long sitting, or a run of snags; each is said once."""

from __future__ import annotations

from bench.log.since_break import RUN_WORDS, rest_words, run_of_snags, sitting_seconds
from bench.session.build import Build
from bench.settings import Settings


class RestWatch:
    """Watches one build; what it has said once it says again only after a rest or a mended snag."""

    def __init__(self, build: Build, settings: Settings) -> None:
        self._build, self._settings = build, settings
        self._told = False
        self._snags_told = run_of_snags(build.progress)
        self._events, self._sitting = -1, 0.0

    def due(self) -> list[str]:
        """What is to be said now, a sentence or two each; empty most of the time."""
        build, after = self._build.at_work, 60 * self._settings.rest_after_minutes
        if build.log.read_only or build.progress.on_break:
            return []
        if self._events != build.entries:
            self._events = build.entries
            self._sitting = sitting_seconds(build.events, self._settings.break_after_minutes * 60)
        words, sitting = [], self._sitting + build.timer.since_last_event()
        if sitting >= after > 0 and not self._told:
            words.append(rest_words(sitting))
        self._told = sitting >= after > 0
        run = run_of_snags(build.progress)
        if run > self._snags_told:
            words.append(RUN_WORDS)
        self._snags_told = max(run, self._snags_told)
        return words
