"""What each sitting came to, and where its time went by the clock on the wall. Pure."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence

from bench.log.clock import utc_seconds
from bench.log.progress import Progress
from bench.log.standing import LogEntry
from bench.plan.plan import PART_ACTIONS, Plan
from bench.writeup.log_rows import DoneHere, done_by
from bench.writeup.moments import PauseRow, Sitting
from bench.writeup.story_model import ClockAccount, SittingWork


def works_of(
    sittings: Sequence[Sitting], entries: Sequence[LogEntry], plan: Plan, progress: Progress
) -> tuple[SittingWork, ...]:
    """Parts and joints of each sitting, by when they were done."""
    began = [sitting.began.at for sitting in sittings]
    done = done_by(entries, progress, lambda entry: max(0, bisect_right(began, entry.event.at) - 1))
    part_items = {item for step in plan.steps if step.action in PART_ACTIONS for item in step.items}
    none: DoneHere = {"items": [], "joints": 0}
    return tuple(
        SittingWork(parts=sum(item in part_items for item in here["items"]), joints=here["joints"])
        for here in (done.get(at, none) for at in range(len(sittings)))
    )


def account_of(
    sittings: Sequence[Sitting], pauses: Sequence[PauseRow], bench_seconds: float
) -> ClockAccount | None:
    """Where the time of all sittings went; None where a set clock makes the parts more than the whole."""
    spans = [_span(sitting) for sitting in sittings]
    whole = sum(ended - began for began, ended in spans)
    breaks, unsettled = (
        sum(pause.seconds for pause in pauses if pause.settled is settled and _inside(pause, spans))
        for settled in (True, False)
    )
    closed = whole - bench_seconds - breaks - unsettled
    if closed < -60 or any(sitting.doubtful for sitting in sittings) or not spans:
        return None
    bench, rest, unknown, away = whole_minutes([bench_seconds, breaks, unsettled, max(0.0, closed)])
    return ClockAccount(
        by_clock=bench + rest + unknown + away, bench=bench, breaks=rest, unsettled=unknown, closed=away
    )


def _span(sitting: Sitting) -> tuple[float, float]:
    began, ended = utc_seconds(sitting.began.at), utc_seconds(sitting.ended.at)
    return (began, ended) if began is not None and ended is not None else (0.0, 0.0)


def _inside(pause: PauseRow, spans: Sequence[tuple[float, float]]) -> bool:
    began, ended = utc_seconds(pause.began.at), utc_seconds(pause.ended.at)
    if began is None or ended is None:
        return False
    return any(first <= began and ended <= last for first, last in spans)


def whole_minutes(seconds: Sequence[float]) -> list[int]:
    """Whole minutes for each of several durations in seconds, adding up to the rounded sum.

    Largest remainder: all are rounded down, and the minutes that are then missing go to those that lost
    most.

    >>> whole_minutes([100.0, 100.0, 100.0])
    [2, 2, 1]
    """
    rounded = [int(each // 60) for each in seconds]
    missing = round(round(math.fsum(seconds)) / 60) - sum(rounded)
    by_remainder = sorted(range(len(rounded)), key=lambda index: (-(seconds[index] % 60), index))
    for index in by_remainder[:missing]:
        rounded[index] += 1
    return rounded
