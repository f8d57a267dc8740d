"""Where in the work each moment of a build lies, as the log tells it.

Pure. A moment belongs to the stage that was at work then, as `sittings.stage_starts` parts them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.log import events as ev
from bench.log.clock import spell, utc_seconds
from bench.log.progress import Progress, StageKey
from bench.log.standing import log_entries
from bench.writeup import words
from bench.writeup.sittings import stages_at

GRACE = 15 * 60.0
"""Seconds outside of the time at the bench within which a photo is taken to belong to it."""
LONG_PAUSE = 2 * 3600.0
"""A photo from a break or pause up to this long, in seconds, is taken to be of the bench."""
BOUNDARY = 30.0
"""Seconds from the change of a stage within which a photo may show the other stage."""


class WorkSpan(Struct, frozen=True, kw_only=True):
    """A stretch of time in which the program was open."""

    began: float
    """UTC seconds; the moment itself belongs to the span before."""
    ended: float
    place: StageKey
    kind: str
    """`bench`, `break` or `pause` (a long time without a key that nobody settled)."""
    run: str


class WorkSpot(Struct, frozen=True, kw_only=True):
    """Where in the work a moment lies."""

    place: StageKey
    why: str
    """What makes it so; for a moment outside of the build, how far outside."""
    doubt: str
    kept: bool
    """False when it has nothing to do with the build."""


class WorkSpans:
    """Where in the work each moment of a build lies."""

    def __init__(self, events: Sequence[ev.AnyEvent], progress: Progress) -> None:
        """Made from all events of a build and the progress folded from them."""
        self._spans = sorted(_joined(_spans(events, progress)), key=lambda span: span.began)
        self._begins = [span.began for span in self._spans]
        self._latest: list[float] = []
        for span in self._spans:
            self._latest.append(max(self._latest[-1], span.ended) if self._latest else span.ended)

    @property
    def spans(self) -> tuple[WorkSpan, ...]:
        """All spans by the time at which they began; neighbours differ in place or kind."""
        return tuple(self._spans)

    @property
    def runs(self) -> tuple[tuple[float, float], ...]:
        """When the program was open, UTC seconds from and to, in order."""
        runs: dict[str, tuple[float, float]] = {}
        for span in self._spans:
            began, ended = runs.get(span.run, (span.began, span.ended))
            runs[span.run] = min(began, span.began), max(ended, span.ended)
        return tuple(sorted(runs.values()))

    def spot(self, at: float) -> WorkSpot:
        """Where in the work a moment (UTC seconds) lies."""
        around = self._around(at)
        if not around:
            return self._outside(at)
        span = around[0]
        where = words.place(*span.place)
        if span.kind == "bench":
            twice = "the bench clock was set back: this time came twice" if len(around) > 1 else ""
            doubt = twice or self._boundary(span, at)
            why = f"{_long(at - span.began)} into {where}"
            return WorkSpot(place=span.place, why=why, doubt=doubt, kept=True)
        edge = min(at - span.began, span.ended - at)
        kept = span.ended - span.began <= LONG_PAUSE or edge <= GRACE
        word = "in a break" if span.kind == "break" else "in a long pause"
        why = f"{word} during {where}" if kept else f"{word} of {_long(span.ended - span.began)}"
        return WorkSpot(place=span.place, why=why, doubt=f"taken {word}" if kept else "", kept=kept)

    def _around(self, at: float) -> list[WorkSpan]:
        """The spans that hold a moment, the latest begun first; several only where a clock was set back."""
        found = []
        index = bisect_right(self._begins, at) - 1
        while index >= 0 and self._latest[index] >= at:
            span = self._spans[index]
            if span.began <= at <= span.ended:
                found.append(span)
            index -= 1
        return [span for span in found if span.began < at] or found[-1:]

    def _boundary(self, span: WorkSpan, at: float) -> str:
        """Whether a moment is so near another stage that it may show that one."""
        for other in self._spans:
            if other.run != span.run or other.place == span.place:
                continue
            if other.ended == span.began and at - span.began <= BOUNDARY:
                return f"{round(at - span.began)} s after {words.place(*other.place)} ended: it may show that"
            if other.began == span.ended and span.ended - at <= BOUNDARY:
                return f"{round(span.ended - at)} s before {words.place(*other.place)} began: it may show that"
        return ""

    def _outside(self, at: float) -> WorkSpot:
        over = [span for span in self._spans if span.ended < at]
        before = max(over, key=lambda span: span.ended, default=None)
        after = min(
            (span for span in self._spans if span.began >= at), key=lambda each: each.began, default=None
        )
        since = at - before.ended if before else float("inf")
        until = after.began - at if after else float("inf")
        if before and since <= min(until, GRACE):
            said = f"{_long(since)} after the program was closed"
            return WorkSpot(place=before.place, why=said, doubt=f"taken {said}", kept=True)
        if after and until <= GRACE:
            said = f"{_long(until)} before the program was opened"
            return WorkSpot(place=after.place, why=said, doubt=f"taken {said}", kept=True)
        if before and after:
            why = f"between two runs: {_long(since)} after one, {_long(until)} before the next"
        elif after:
            why = f"{_long(until)} before the build began"
        elif before:
            why = f"{_long(since)} after the last key"
        else:
            why = "the log has no time at the bench"
        return WorkSpot(place=("", ""), why=why, doubt="", kept=False)


# -- the log's side ----------------------------------------------------------------------------------
def _spans(events: Sequence[ev.AnyEvent], progress: Progress) -> Iterable[WorkSpan]:
    """The time before each event: its stage by the one time line, breaks as `log.progress` tells them."""
    pauses = {(gap.began_at, gap.ended_at) for gap in progress.gaps}
    noticed = {(each.began_at, each.ended_at) for each in progress.breaks if each.noticed}
    before: ev.AnyEvent | None = None
    resting = False
    entries = log_entries(events)
    at_work = stages_at(entries)
    for entry in entries:
        event = entry.event
        place = at_work.get(event.n, entry.place)
        if before is not None and before.run == event.run:
            began, ended = utc_seconds(before.at), utc_seconds(event.at)
            stamps = (before.at, event.at)
            kind = "break" if resting or stamps in noticed else "pause" if stamps in pauses else "bench"
            if began is not None and ended is not None and began <= ended:
                yield WorkSpan(began=began, ended=ended, place=place, kind=kind, run=event.run)
        if isinstance(event, ev.BreakBegan | ev.BreakEnded) and entry.stands:
            resting = isinstance(event, ev.BreakBegan)
        before = event


def _joined(spans: Iterable[WorkSpan]) -> list[WorkSpan]:
    """Merge adjacent spans of one place, kind and run."""
    joined: list[WorkSpan] = []
    for span in spans:
        last = joined[-1] if joined else None
        same = last and (last.place, last.kind, last.run) == (span.place, span.kind, span.run)
        if last and same and last.ended == span.began:
            joined[-1] = replace(last, ended=span.ended)
        else:
            joined.append(span)
    return joined


def _long(seconds: float) -> str:
    return spell(seconds) if seconds < 2 * 86400 else f"{round(seconds / 86400)} days"
