"""What every event in a log carries."""

from msgspec import Struct

from bench.log.clock import Moment


class Event(Struct, frozen=True, kw_only=True, tag_field="event", omit_defaults=True, gc=False):
    """What all events carry."""

    n: int
    """Sequence number, from 1, without gaps."""
    at: str
    """UTC, ISO 8601 with milliseconds: `2031-02-03T18:20:05.120Z`."""
    mono: float
    """Seconds on the monotonic clock; comparable only within one run."""
    run: str
    """Which run of the program wrote it."""
    stage: str = ""
    """The stage at work when it happened."""
    board: str = ""
    """The board at work, empty for the module as a whole."""
    step: str = ""
    """Key of the step on screen, empty when none was."""
    turn: int = 0
    """With several units side by side: number of the entry, counted over all of them; 0 for a unit alone."""
    after: Moment | None = None
    """When the entry before it was made, where that was for another unit; this unit's time runs from then."""
