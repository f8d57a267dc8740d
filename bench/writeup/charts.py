"""Where things stand in the drawings of a page: shares of the width in per cent, heights in pixels. Pure.

Widths are in per cent so that a drawing fits a telephone and a large screen with type of the same size.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

from bench.log.clock import utc_seconds
from bench.session.trimming import amount
from bench.writeup import words
from bench.writeup.chronology import Day
from bench.writeup.sections import minutes_by_stage
from bench.writeup.story_model import EventTime, StageRow, Story, TrackingRow, TrackPoint

PLOT_HEIGHT = 260
PLOT_TOP, PLOT_BOTTOM = 16, 30
PLOT_LEFT, PLOT_RIGHT = 14.0, 97.0
"""Per cent of the width between which volts are drawn."""
NEAREST = 1.2
"""Marks of one sort closer together than this, in per cent, are drawn as one."""
MOST_LANES = 30
MOST_BARS = 7
HOUR_STEPS = (15, 30, 60, 120, 180, 360, 720)
"""Minutes between two times that are written under a lane."""


class ChartBar(Struct, frozen=True, kw_only=True):
    """One amount, with what was expected of it, or a range with a mark in it."""

    label: str
    said: str
    """The figures in words."""
    share: float
    """Per cent of the width."""
    forecast: float | None = None
    """Per cent of the width; None where nothing was expected."""
    low: float = 0.0
    """Where it begins, in per cent of the width."""
    mark: float | None = None
    """Where in a range its mark stands, in per cent of the width; None for an amount."""
    outside: bool = False
    """True where the mark lies outside of the range."""


class Bars(Struct, frozen=True, kw_only=True):
    """Amounts or ranges on one scale."""

    bars: tuple[ChartBar, ...]
    about: str
    """The drawing in a sentence."""
    forecast: bool = False


class ChartMark(Struct, frozen=True, kw_only=True):
    """One mark on a lane, or several drawn as one."""

    x: float
    what: str
    text: str
    wide: float = 0.0
    """Per cent of the width, for what lasts."""


class Lane(Struct, frozen=True, kw_only=True):
    """One sitting."""

    title: str
    wide: float
    """Per cent of the width."""
    marks: tuple[ChartMark, ...]
    hours: tuple[tuple[float, str], ...]
    """Full hours, or fewer or more of them as there is room: place and time of day."""


class Lanes(Struct, frozen=True, kw_only=True):
    """All sittings on one scale."""

    lanes: tuple[Lane, ...]
    about: str
    kinds: tuple[str, ...]
    """Which sorts of marks there are, for the key."""
    more: int
    """Sittings that are not drawn."""


class Dot(Struct, frozen=True, kw_only=True):
    """One point of a pass."""

    x: float
    y: float
    text: str


class Plot(Struct, frozen=True, kw_only=True):
    """Cents over volts, first pass and last."""

    height: int
    first: tuple[Dot, ...]
    """Empty when there is one pass only."""
    last: tuple[Dot, ...]
    zero: float
    upper: float
    """Where the cents that are allowed end, above."""
    lower: float
    grid: tuple[tuple[float, str], ...]
    """Heights and their labels in cents."""
    volts: tuple[tuple[float, str], ...]
    """Places and their labels in volts."""
    allowed: str
    """Cents in words."""
    about: str


# -- time by stage -----------------------------------------------------------------------------------
def time_bars(story: Story) -> Bars | None:
    """The stages that took most in the order of the plan, all boards together, and the rest in one bar.

    None for fewer than two.
    """
    groups = _by_name(story)
    if len(groups) < 2:
        return None
    took = {name: sum(row.seconds for row in group) / 60 for name, group in groups.items()}
    expected = {name: _expected(group) for name, group in groups.items()}
    most = max(*took.values(), *(each for each in expected.values() if each is not None))
    bars = []
    for name, group in groups.items():
        said, forecast = words.hours(sum(row.minutes for row in group)), expected[name]
        said += f", forecast {words.hours(round(forecast))}" if forecast is not None else ""
        share = None if forecast is None else _share(forecast / most)
        bars.append(ChartBar(label=name, said=said, share=_share(took[name] / most), forecast=share))
    return Bars(
        bars=tuple(bars),
        about="Time at the bench by stage, without breaks.",
        forecast=any(bar.forecast is not None for bar in bars),
    )


def _by_name(story: Story) -> dict[str, list[StageRow]]:
    """The stages that took time by name; the shortest of many come last, in one."""
    named: dict[str, list[StageRow]] = {}
    for row in story.stages:
        if row.seconds > 0:
            named.setdefault(words.one_line(row.stage) or words.place("", ""), []).append(row)
    if len(named) <= MOST_BARS:
        return named
    longest = [name for name, _ in minutes_by_stage(story) if name in named][: MOST_BARS - 1]
    rest = [row for name, group in named.items() if name not in longest for row in group]
    told = {name: group for name, group in named.items() if name in longest}
    return told | {words.counted(len(named) - len(told), "other stage"): rest}


def _expected(rows: Sequence[StageRow]) -> float | None:
    """Minutes that were expected of these stages; None where one has no forecast."""
    told = [row.forecast for row in rows if row.forecast is not None]
    return sum(told) if len(told) == len(rows) else None


def build_bars(builds: Sequence[tuple[str, Story]]) -> Bars | None:
    """Whole builds (name, story) as bars; None when none has taken any time."""
    most = max((story.seconds for _, story in builds), default=0.0)
    if most <= 0:
        return None
    bars = tuple(
        ChartBar(label=name, said=words.hours(story.minutes), share=_share(story.seconds / most))
        for name, story in builds
    )
    return Bars(bars=bars, about="Time at the bench, without breaks, in the order of building.")


def _share(part: float) -> float:
    return round(max(0.4, min(100.0, 100 * part)), 2)


# -- sittings ----------------------------------------------------------------------------------------
def lanes_of(days: Sequence[Day]) -> Lanes | None:
    """Each sitting as a lane, all on one scale; None when no sitting has a length."""
    spans = []
    for day in days:
        began, ended = utc_seconds(day.sitting.began.at), utc_seconds(day.sitting.ended.at)
        if began is not None and ended is not None:
            spans.append((day, began, max(0.0, ended - began)))
    longest = max((length for _, _, length in spans), default=0.0)
    if longest <= 0:
        return None
    lanes, kinds = [], dict[str, None]()
    for day, began, length in spans[:MOST_LANES]:
        marks = _marks(day, began, longest)
        kinds.update(dict.fromkeys(mark.what for mark in marks))
        wide = _share(length / longest)
        lanes.append(
            Lane(
                title=day.title, wide=wide, marks=tuple(marks), hours=_hours(day.sitting.began, length, longest)
            )
        )
    about = (
        f"{words.capital(words.spelt(len(spans), 'sitting'))}, each drawn as a bar from its first minute on."
    )
    return Lanes(
        lanes=tuple(lanes),
        about=about,
        kinds=tuple(kinds),
        more=max(0, len(spans) - MOST_LANES),
    )


def _marks(day: Day, began: float, longest: float) -> list[ChartMark]:
    marks: list[ChartMark] = []
    latest: dict[str, float] = {}
    for entry in day.entries:
        at = utc_seconds(entry.when.at)
        if at is None:
            continue
        x = round(max(0.0, min(99.6, 100 * (at - began) / longest)), 2)
        wide = 0.0
        if entry.until is not None:
            until = utc_seconds(entry.until.at) or at
            wide = round(max(0.4, min(100.0 - x, 100 * (until - at) / longest)), 2)
        if x - latest.get(entry.what, -NEAREST) < NEAREST:
            continue
        latest[entry.what] = x + wide
        marks.append(ChartMark(x=x, what=entry.what, text=f"{entry.when.time} {entry.text}".strip(), wide=wide))
    return marks


def _hours(began: EventTime, length: float, longest: float) -> tuple[tuple[float, str], ...]:
    """Times of day along a lane, at least a seventh of the width apart; none where a lane spans days.

    On a day on which the clocks change they go on as they began.
    """
    apart = next((step for step in HOUR_STEPS if step * 60 >= longest / 7), 0)
    if not apart or not began.time or len(began.at) < 19:
        return ()
    first = int(began.time[:2]) * 60 + int(began.time[3:5]) + float(began.at[17:19]) / 60
    last = first + length / 60
    at = apart * math.ceil(first / apart)
    told: list[tuple[float, str]] = []
    while at <= last:
        told.append((round(100 * (at - first) * 60 / longest, 2), f"{at // 60 % 24:02d}:{at % 60:02d}"))
        at += apart
    return tuple(told)


# -- tracking ----------------------------------------------------------------------------------------
def plot_of(row: TrackingRow) -> Plot | None:
    """Cents over volts; None when fewer than two points can be drawn."""
    points = [*row.first, *row.last]
    volts = sorted({point.volts for point in points})
    if len(volts) < 2:
        return None
    cents = [point.cents for point in points]
    lines = _lines(min(-row.close_enough, *cents), max(row.close_enough, *cents))
    bottom, top = lines[0], lines[-1]
    low, high = volts[0], volts[-1]

    def across(value: float) -> float:
        return round(PLOT_LEFT + (PLOT_RIGHT - PLOT_LEFT) * (value - low) / (high - low), 2)

    def down(cents: float) -> float:
        room = PLOT_HEIGHT - PLOT_TOP - PLOT_BOTTOM
        return round(PLOT_TOP + room * (top - cents) / (top - bottom), 1)

    def dots(pass_points: Sequence[TrackPoint]) -> tuple[Dot, ...]:
        return tuple(
            Dot(x=across(p.volts), y=down(p.cents), text=f"{p.volts:g} V: {p.cents + 0.0:+.1f} cents")
            for p in pass_points
        )

    single = row.passes == 1 or not row.first
    worst = max((abs(point.cents) for point in row.last), default=0.0)
    about = f"Cents off over volts. The worst point is {worst:.1f} cents off."
    if not single:
        began = max(abs(point.cents) for point in row.first)
        about = (
            f"Cents off over volts. The worst point was {began:.1f} cents off at first and {worst:.1f} at last."
        )
    return Plot(
        height=PLOT_HEIGHT,
        first=() if single else dots(row.first),
        last=dots(row.last),
        zero=down(0.0),
        upper=down(row.close_enough),
        lower=down(-row.close_enough),
        grid=tuple((down(line), f"{line:+g}" if line else "0") for line in reversed(lines)),
        volts=_labelled(volts, across),
        allowed=amount(row.close_enough),
        about=about,
    )


def _labelled(volts: Sequence[float], across: Callable[[float], float]) -> tuple[tuple[float, str], ...]:
    """Labels under the plot, at least seven per cent apart; both ends have theirs."""
    kept: list[tuple[float, str]] = []
    end = across(volts[-1])
    for value in volts[:-1]:
        x = across(value)
        if not kept or (x - kept[-1][0] >= 7.0 and end - x >= 7.0):
            kept.append((x, f"{value:g}"))
    return (*kept, (end, f"{volts[-1]:g}"))


def _lines(low: float, high: float) -> list[float]:
    """Round numbers of cents that hold `low` and `high`, five to eight of them, zero among them.

    Their distance is 1, 2 or 5 times a power of ten (common practice, no source).

    >>> _lines(-50.4, 1)
    [-60.0, -50.0, -40.0, -30.0, -20.0, -10.0, 0.0, 10.0]
    >>> _lines(-2, 3)
    [-2.0, -1.0, 0.0, 1.0, 2.0, 3.0]
    """
    power = 10.0 ** math.floor(math.log10(high - low)) / 10
    steps = (power * each for each in (1, 2, 5, 10, 20, 50))
    step = next(each for each in steps if math.ceil(high / each) - math.floor(low / each) <= 7)
    return [round(each * step, 6) + 0.0 for each in range(math.floor(low / step), math.ceil(high / step) + 1)]
