"""What was going on from one event to the next: parts placed, other work, a wait, nobody there. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import Literal

from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import GAP_SECONDS
from bench.log.progress import StageKey
from bench.log.timeline import ClockTimeline
from bench.plan.plan import Plan, Step

Doing = Literal["placing", "work", "waiting", "away"]
"""`placing`: parts went in, one like the other. `work`: all else. `waiting`: a countdown ran and nothing was
recorded. `away`: a break, a sleep of the machine, or a long time that nobody has settled as work, the time
after all was done."""
_PLACED = ("solder", "place", "insert", "fit")


class Stretch(Struct, frozen=True, kw_only=True):
    """From one event of a run to the next."""

    begins: float
    """Bench time, seconds since 1970."""
    ends: float
    """Greater than `begins`."""
    doing: Doing
    place: StageKey
    """Stage and board at work; empty where the log names none."""


def stretches_of(
    plan: Plan, events: Sequence[ev.AnyEvent], timeline: ClockTimeline, gap_seconds: float = GAP_SECONDS
) -> tuple[Stretch, ...]:
    """All stretches by their beginning; none between two runs. `events` are those that stand."""
    steps = {step.key: step for step in plan.steps}
    slept = {jump.n for jump in timeline.jumps if jump.slept}
    placed = [event for event in events if event.n in timeline.seconds]
    found: list[Stretch] = []
    resting, waits = False, 0.0
    for before, after in pairwise(placed):
        if before.run != after.run:
            resting, waits = False, 0.0
            continue
        resting = isinstance(before, ev.BreakBegan) or (resting and not isinstance(before, ev.BreakEnded))
        begins, ends = timeline.seconds[before.n], timeline.seconds[after.n]
        if isinstance(before, ev.WaitBegan):
            waits = max(waits, begins + before.seconds)
        over = isinstance(before, ev.Completed)
        away = resting or over or after.n in slept or _nobody(after, ends - begins, gap_seconds)
        waiting = min(waits, ends) if isinstance(before, ev.WaitBegan) else begins
        found += _told(after, (begins, waiting, ends), steps, away=away)
    return tuple(sorted(found, key=lambda stretch: stretch.begins))


def _told(
    after: ev.AnyEvent, span: tuple[float, float, float], steps: Mapping[str, Step], *, away: bool
) -> Iterator[Stretch]:
    """The time up to an event: its beginning, until when a wait ran and nothing else was recorded, its end."""
    begins, waiting, ends = span
    place = (after.stage, after.board)
    step = steps.get(after.step)
    doing: Doing = "placing" if step is not None and step.action in _PLACED else "work"
    if away:
        doing = "away"
    elif waiting > begins:
        yield Stretch(begins=begins, ends=waiting, doing="waiting", place=place)
        begins = waiting
    if ends > begins:
        yield Stretch(begins=begins, ends=ends, doing=doing, place=place)


def _nobody(after: ev.AnyEvent, seconds: float, gap_seconds: float) -> bool:
    """Whether the time up to an event was a break that was noticed afterwards, or is not settled yet."""
    if isinstance(after, ev.IdleResolved):
        return not after.worked
    return seconds > gap_seconds
