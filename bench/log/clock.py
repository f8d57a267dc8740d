"""Bench time from stamps: how long somebody worked, breaks apart, whatever the clocks did.

Two clocks stamp each event. The monotonic one cannot be set, and on most systems stands still while the
machine sleeps: differences within one run of the program are taken from it. The UTC one says when things
happened, and betrays a sleep (it ran on while the other stood still). Between two runs no time passes.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Protocol

from msgspec import Struct

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)

GAP_SECONDS = 900.0
"""A longer time without an event is asked about; until answered it counts as neither work nor break."""

SLEEP_SECONDS = 60.0
"""How far the clocks must part before it is called a sleep (or a clock that was set)."""

LONGEST_SLEEP = 30 * 86400.0
"""A clock that runs ahead by more than this in mid-run, in seconds, was set: no machine sleeps so long."""

EARLIEST = 946_684_800.0
"""UTC seconds of 1 January 2000: a clock that says less was never set, as on a board without a battery."""

LONGEST_AWAY = 2 * 365 * 86400.0
"""A clock that is further ahead of a build's last event than this, in seconds, is asked about."""

LONGEST_BACK = 3600.0
"""A clock that is further behind a build's last event than this, in seconds, is asked about."""

LONGEST_STRETCH = 12 * 3600.0
"""No answer makes one stretch at the bench longer than this, in seconds."""


class Moment(Struct, frozen=True, kw_only=True):
    """One reading of both clocks."""

    at: str
    """UTC, ISO 8601 with milliseconds and `Z`."""
    mono: float
    """Seconds on the monotonic clock."""


class Clock(Protocol):
    """Where moments come from; passed in, so that tests can bend time."""

    def now(self) -> Moment:
        """Both clocks, read together."""


def utc_seconds(at: str) -> float | None:
    """Seconds since 1970 of a UTC stamp, or None when it is not one.

    >>> utc_seconds("1970-01-01T00:01:00.500Z")
    60.5
    >>> utc_seconds("yesterday") is None
    True
    """
    try:
        moment = datetime.fromisoformat(at)
        return ((moment if moment.tzinfo else moment.replace(tzinfo=UTC)) - _EPOCH).total_seconds()
    except (ValueError, OverflowError):
        return None


def stamp_text(seconds: float) -> str:
    """A UTC stamp with milliseconds, rounded down.

    >>> stamp_text(60.5)
    '1970-01-01T00:01:00.500Z'
    """
    return datetime.fromtimestamp(seconds, UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def elapsed(before: Moment, after: Moment) -> tuple[float, float]:
    """Seconds awake and seconds asleep between two moments of one run.

    A clock set back, or forward by less than `SLEEP_SECONDS`, changes neither.

    >>> at = lambda text, mono: Moment(at=f"2031-01-01T{text}.000Z", mono=mono)
    >>> elapsed(at("10:00:00", 5.0), at("10:00:30", 35.0))
    (30.0, 0.0)
    >>> elapsed(at("10:00:00", 5.0), at("09:00:30", 35.0))
    (30.0, 0.0)
    >>> elapsed(at("10:00:00", 5.0), at("12:00:10", 15.0))
    (10.0, 7200.0)
    """
    return between(before.mono, after.mono, utc_seconds(before.at), utc_seconds(after.at))


def between(mono: float, mono_after: float, utc: float | None, utc_after: float | None) -> tuple[float, float]:
    """As `elapsed`, of seconds on both clocks; None for a UTC stamp that cannot be read."""
    awake = mono_after - mono
    if not awake > 0.0:
        awake = 0.0
    if utc is None or utc_after is None:
        return awake, 0.0
    asleep = utc_after - utc - awake
    return awake, asleep if is_sleep(utc, asleep) else 0.0


def no_sleep(at: str, after: str, awake: float) -> bool:
    """Whether nobody can have slept between two stamps that are `awake` seconds apart on the other clock."""
    utc, utc_after = utc_seconds(at), utc_seconds(after)
    return utc is None or utc_after is None or utc_after - utc - awake <= SLEEP_SECONDS


def is_sleep(utc: float, ahead: float) -> bool:
    """Whether the machine slept when its UTC clock, at `utc`, ran `ahead` seconds further than the other clock.

    Otherwise the clock was set: a step too short, too long, or from a date that was never set.
    """
    return SLEEP_SECONDS < ahead <= LONGEST_SLEEP and utc >= EARLIEST


def doubt_of(at: str, last: str) -> str:
    """Why the stamp `at` of a machine's clock is not to be believed after a last event at `last`; else empty.

    >>> doubt_of("1970-01-01T00:02:00.000Z", "2031-02-03T18:20:05.120Z")
    'it was never set'
    >>> doubt_of("2031-02-03T16:00:00.000Z", "2031-02-03T18:20:05.120Z")
    'it is behind what was done last'
    >>> doubt_of("2034-02-03T16:00:00.000Z", "2031-02-03T18:20:05.120Z")
    'nothing was done for more than two years by it'
    >>> doubt_of("2031-02-04T16:00:00.000Z", "2031-02-03T18:20:05.120Z")
    ''
    """
    now, before = utc_seconds(at), utc_seconds(last)
    if now is None or now < EARLIEST:
        return "it was never set"
    if before is None or before < EARLIEST:
        return ""
    if before - now > LONGEST_BACK:
        return "it is behind what was done last"
    return "nothing was done for more than two years by it" if now - before > LONGEST_AWAY else ""


def spell(seconds: float) -> str:
    """A duration as people say it, to the minute (to the second below ten minutes).

    >>> spell(42), spell(60), spell(125), spell(600), spell(3600), spell(3725), spell(0)
    ('42 s', '1 min 00 s', '2 min 05 s', '10 min', '1 h 00 min', '1 h 02 min', '0 s')
    """
    whole = round(max(0.0, seconds))
    if whole < 60:
        return f"{whole} s"
    if whole < 600:
        return f"{whole // 60} min {whole % 60:02d} s"
    minutes = round(whole / 60)
    return f"{minutes} min" if minutes < 60 else f"{minutes // 60} h {minutes % 60:02d} min"
