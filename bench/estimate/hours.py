"""Times to come in words: no finer than a forecast can be."""

from __future__ import annotations

from bench.estimate.forecast import Interval


def about(seconds: float) -> str:
    """A time to come, rounded to what anybody would promise.

    >>> [about(seconds) for seconds in (0, 42, 100, 1000, 2000, 3900, 12_000, 50_000)]
    ['0 min', '40 s', '2 min', '17 min', '35 min', '1 h 05', '3 h 20', '14 h']
    """
    if seconds < 5:
        return "0 min"
    if seconds < 95:
        return f"{max(1, round(seconds / 10)) * 10} s"
    minutes = seconds / 60
    grain = 1 if minutes < 20 else 5 if minutes < 180 else 10 if minutes < 720 else 60
    whole = max(1, round(minutes / grain)) * grain
    if whole < 60:
        return f"{whole} min"
    return f"{whole // 60} h {whole % 60:02d}" if whole % 60 else f"{whole // 60} h"


def between(time: Interval) -> str:
    """The two ends of a range.

    >>> between(Interval(likely=4000, low=3900, high=6900, mean=4200))
    '1 h 05 to 1 h 55'
    >>> between(Interval(likely=60, low=40, high=80, mean=60))
    '40 to 80 s'
    >>> between(Interval(likely=10_000, low=4800, high=22_800, mean=11_000))
    '1 h 20 to 6 h 20'
    """
    low, high = about(time.low), about(time.high)
    if low == high:
        return low
    number, _, unit = low.partition(" ")
    shared = unit.isalpha() and high.partition(" ")[2] == unit
    return f"{number if shared else low} to {high}"


def in_words(time: Interval) -> str:
    """A range as a builder reads it.

    >>> in_words(Interval(likely=5000, low=3900, high=6900, mean=5200))
    'about 1 h 25 (1 h 05 to 1 h 55)'
    """
    return f"about {about(time.likely)} ({between(time)})"


def in_full(time: Interval) -> str:
    """The same, and what the range is.

    >>> in_full(Interval(likely=5000, low=3900, high=6900, mean=5200))
    'about 1 h 25 (80 % range: 1 h 05 to 1 h 55)'
    """
    return f"about {about(time.likely)} (80 % range: {between(time)})"


def in_short(time: Interval) -> str:
    """A range in few cells.

    >>> in_short(Interval(likely=60, low=40, high=80, mean=60))
    '40–80 s'
    >>> in_short(Interval(likely=10_000, low=4800, high=22_800, mean=11_000))
    '1 h 20–6 h 20'
    """
    return between(time).replace(" to ", "–")
