"""Waits that are over: each is told once, whatever is on screen, also of a build that was left meanwhile."""

from __future__ import annotations

from bench.log import events as ev
from bench.log.clock import spell, utc_seconds
from bench.log.event_text import wait_words
from bench.session.build import Build

JUST_NOW = 60.0
"""A wait that has been over for less than so many seconds is over now."""


def wait_name(wait: ev.WaitBegan) -> str:
    """What a wait is called: what it is for, else its length."""
    return wait.about or wait_words(wait)


class WaitWatch:
    """Follows the builds that are opened in one run of the program."""

    def __init__(self) -> None:
        self._builds: dict[str, Build] = {}
        self._told: set[tuple[str, int]] = set()

    def due(self, at_work: Build | None) -> list[str]:
        """What is to be told now, a sentence each; empty most of the time. `at_work` is the build on screen."""
        if at_work is not None and self._builds.get(_key(at_work)) is not at_work:
            self._follow(at_work)
        said = []
        for key, build in self._builds.items():
            for wait, left in build.timer.waits_left():
                if left <= 0 and (key, wait.n) not in self._told:
                    self._told.add((key, wait.n))
                    ago = f" ({spell(-left)} ago)" if left < -JUST_NOW else ""
                    of = "" if build is at_work else f" in {build.title}"
                    said.append(f"Wait over{ago}{of}: {wait_name(wait)}.")
        return said

    def _follow(self, build: Build) -> None:
        """From now on this build is followed; what was over before it was last closed has been told then."""
        key = _key(build)
        if key not in self._builds:
            earlier = [each.at for each in build.writer.events if each.run != build.writer.run]
            seen = (utc_seconds(earlier[-1]) if earlier else None) or 0.0
            self._told.update((key, each.n) for each in build.progress.waits if _over_by(each, seen))
        self._builds[key] = build


def _key(build: Build) -> str:
    return str(build.log.folder)


def _over_by(wait: ev.WaitBegan, moment: float) -> bool:
    """Whether a wait was over at a moment (UTC seconds); one whose times cannot be read is long over."""
    began = utc_seconds(wait.at)
    return began is None or began + wait.seconds <= moment
