"""Moments and stretches of a story, as frozen values: when, where in the work, and what lay side by side."""

from __future__ import annotations

from msgspec import Struct


class EventTime(Struct, frozen=True, kw_only=True, gc=False):
    """A moment, as stamped and as the calendar of the story's zone shows it."""

    at: str
    """UTC stamp as logged."""
    day: str
    """`2031-02-03` in the story's zone; empty when the stamp cannot be read."""
    time: str
    """`18:20` in the story's zone; empty when the stamp cannot be read."""


class EventRow(Struct, frozen=True, kw_only=True, gc=False):
    """What all things told in order have: where in the log and where in the work."""

    n: int
    """Sequence number of the event."""
    when: EventTime
    stage: str
    """Empty when no stage was at work."""
    board: str
    """Empty for the module as a whole."""


class Sitting(Struct, frozen=True, kw_only=True, gc=False):
    """One go at the bench; see `story.SITTING_GAP_SECONDS`."""

    began: EventTime
    ended: EventTime
    doubtful: bool = False
    """True when the machine's clock was not to be believed, and nobody said what time it was."""


class MoveRow(EventRow, frozen=True, kw_only=True, gc=False):
    """Work went on in another stage, or began again there in a new sitting."""


class PauseRow(Struct, frozen=True, kw_only=True, gc=False):
    """Time away from the bench."""

    began: EventTime
    ended: EventTime
    seconds: float
    settled: bool
    """False for a long time without an event that nobody has settled as work or break."""


class AlikeRow(Struct, frozen=True, kw_only=True):
    """Two values on one board that can be taken for one another, both of which went in."""

    board: str
    value: str
    refs: tuple[str, ...]
    other: str
    other_refs: tuple[str, ...]
    reason: str
    rank: int
    """1 (worst) to 3; see `parts.lookalikes`."""
    mixed_up: int
    """Snags of a wrong value that name a part or the value of either side."""
