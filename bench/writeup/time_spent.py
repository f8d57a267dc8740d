"""What each sitting came to, and where its time went by the clock on the wall. Pure."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Iterable, Mapping, Sequence

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
    """Parts, joints, hold points and adjustments of each sitting, by when the last of each was done."""
    if not sittings:
        return ()
    began = [sitting.began.at for sitting in sittings]
    stamps = {entry.event.n: entry.event.at for entry in entries}

    def sitting_at(at: str) -> int:
        return max(0, bisect_right(began, at) - 1)

    def sitting_of(items: Iterable[str]) -> int:
        return sitting_at(max(stamps[progress.done_at[item]] for item in items))

    done = done_by(entries, progress, lambda entry: sitting_at(entry.event.at))
    part_items = {item for step in plan.steps if step.action in PART_ACTIONS for item in step.items}
    none: DoneHere = {"items": [], "joints": 0}
    parts = [sum(item in part_items for item in done.get(at, none)["items"]) for at in range(len(sittings))]
    joints = [done.get(at, none)["joints"] for at in range(len(sittings))]
    holds, trims = _closed(plan, progress, sitting_of)
    return tuple(
        SittingWork(
            parts=parts[at],
            joints=joints[at],
            parts_so_far=sum(parts[: at + 1]),
            joints_so_far=sum(joints[: at + 1]),
            holds=tuple(holds.get(at, ())),
            trims=tuple(trims.get(at, ())),
        )
        for at in range(len(sittings))
    )


def _closed(
    plan: Plan, progress: Progress, sitting_of: Callable[[Iterable[str]], int]
) -> tuple[Mapping[int, list[str]], Mapping[int, list[str]]]:
    """Hold points and adjustments that are done, by sitting."""
    holds: dict[int, list[str]] = {}
    trims: dict[int, list[str]] = {}
    for stage in plan.stages:
        items = [item for step in stage.steps for item in step.items]
        if stage.hold and items and progress.done.issuperset(items):
            holds.setdefault(sitting_of(items), []).append(stage.name)
    for step in plan.steps:
        if step.action == "adjust" and step.items and progress.done.issuperset(step.items):
            trims.setdefault(sitting_of(step.items), []).append(step.value)
    return holds, trims


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
