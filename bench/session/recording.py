"""What each part of a build needs of the whole to record something."""

from __future__ import annotations

from bench.log import events as ev
from bench.log.progress import Progress
from bench.log.stamps import Stamp
from bench.plan.plan import Step


class Recording:
    """A build as its parts see it; see `Build`."""

    def _record(self, event: ev.AnyEvent) -> Progress:
        """Append an event, wait for the disk, fold it."""
        raise NotImplementedError

    @property
    def progress(self) -> Progress:
        """Where the build stands after the events so far."""
        raise NotImplementedError

    def _here(self, step: Step | None = None) -> Stamp:
        """The stamp of an event about this step, or else about the step at work."""
        raise NotImplementedError
