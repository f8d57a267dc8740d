"""Moments and stretches of a story, as frozen values: when, where in the work, and what lay side by side."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta, tzinfo

from msgspec import Struct

from bench.log.clock import spell, utc_seconds
from bench.writeup.words import join


class EventTime(Struct, frozen=True, kw_only=True, gc=False):
    """A moment, as stamped and as the calendar of the story's zone shows it."""

    at: str
    """UTC stamp as logged."""
    day: str
    """`2031-02-03` in the story's zone; empty when the stamp cannot be read."""
    time: str
    """`18:20` in the story's zone; empty when the stamp cannot be read."""


class Calendar:
    """Days and times of one zone; without one, of this computer's, with the offset in force at each moment."""

    def __init__(self, zone: tzinfo | None = None) -> None:
        self._zone = zone
        self._known: dict[str, tuple[str, str]] = {}

    def when(self, at: str) -> EventTime:
        """A UTC stamp with its day and time in the zone."""
        minute = at[:16]
        shown = self._known.get(minute)
        if shown is None:
            shown = self._known[minute] = self._look(minute)
        return EventTime(at=at, day=shown[0], time=shown[1])

    def zone_names(self, stamps: Iterable[str]) -> str:
        """What the zone is called at these UTC stamps, to ten minutes; see `zone_name`."""
        tens = dict.fromkeys(stamp[:15] for stamp in stamps)
        seconds = [each for ten in tens if (each := utc_seconds(f"{ten}0Z")) is not None]
        return zone_name(self._zone, *(datetime.fromtimestamp(each, UTC) for each in seconds))

    def clocks_set(self, began: str, ended: str) -> str:
        """How the zone's clocks changed between two UTC stamps, in words; empty where they did not.

        >>> from zoneinfo import ZoneInfo
        >>> Calendar(ZoneInfo("Europe/Dublin")).clocks_set("2031-03-30T00:10:00Z", "2031-03-30T01:10:00Z")
        'the clocks went forward by 1 h 00 min'
        """
        stamps = utc_seconds(began), utc_seconds(ended)
        if stamps[0] is None or stamps[1] is None:
            return ""
        moments = [
            datetime.fromtimestamp(each, UTC).astimezone(self._zone) for each in stamps if each is not None
        ]
        before, after = (moment.utcoffset() or timedelta() for moment in moments)
        if before == after:
            return ""
        which = "forward" if after > before else "back"
        return f"the clocks went {which} by {spell(abs(after - before).total_seconds())}"

    def _look(self, minute: str) -> tuple[str, str]:
        try:
            local = datetime.fromisoformat(minute).replace(tzinfo=UTC).astimezone(self._zone)
        except (ValueError, OverflowError):
            return "", ""
        stamp = local.isoformat(timespec="minutes")
        return stamp[:10], stamp[11:16]


def zone_name(zone: tzinfo | None, *moments: datetime) -> str:
    """What a zone is called; this computer's (None) by the names in force at these moments, each once.

    >>> zone_name(UTC), zone_name(None)
    ('UTC', "this computer's time zone")
    """
    if zone is not None:
        return str(zone)
    names = dict.fromkeys(filter(None, (moment.astimezone().tzname() for moment in moments)))
    return join(list(names)) or "this computer's time zone"


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
    """One go at the bench; see `sittings.SITTING_GAP_SECONDS`."""

    began: EventTime
    ended: EventTime
    doubtful: bool = False
    """True when the machine's clock was not to be believed, and nobody said what time it was."""
    clocks_set: str = ""
    """How the zone's clocks changed in it, in words; empty where they did not."""


class MoveRow(EventRow, frozen=True, kw_only=True, gc=False):
    """Work turned to another stage, or went on there in a new sitting."""

    again: bool = False
    """True when the stage was at work before."""
    held: tuple[str, ...] = ()
    """Designators that had been held back and are what it went back for; empty for none."""


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
