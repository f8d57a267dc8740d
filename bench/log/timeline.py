"""When each event happened, on one time line that nobody can set.

Within a run of the program the monotonic clock tells how much time passed between two events; the run as a
whole is placed by the UTC stamp of its first event. A wall clock that is set in mid-run moves nothing.
A wall clock that runs ahead of the other by more than `clock.SLEEP_SECONDS` is taken for a sleep of the
machine, unless something outside (a camera) shows that no time passed.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from itertools import accumulate, pairwise

from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import is_sleep, utc_seconds

TOLD_SECONDS = 0.5
"""A step of the wall clock shorter than this is not worth a word."""


class Jump(Struct, frozen=True, kw_only=True):
    """The wall clock left the monotonic one between two events of a run."""

    n: int
    """The event after it."""
    seconds: float
    """How far the wall clock went ahead, seconds; negative when it was set back."""
    slept: bool
    """True when it is taken for a sleep: time passed. False: the clock was set, and no time passed."""


class ClockTimeline(Struct, frozen=True, kw_only=True):
    """Bench time of each event: seconds since 1970 as the wall clock of its run began to tell them."""

    seconds: Mapping[int, float]
    """By sequence number; an event whose run has no readable stamp is not in it."""
    walls: Mapping[int, float]
    """What the wall clock itself said, where it can be read."""
    jumps: tuple[Jump, ...] = ()
    """Every step of a wall clock in mid-run of `TOLD_SECONDS` or more."""

    def of_wall(self, wall: float) -> float:
        """Bench time at which the bench's own wall clock showed `wall`, both in seconds since 1970.

        Where the clock was set, the event nearest to that reading says which of two moments is meant.
        """
        nearest = min(self.walls, key=lambda n: abs(self.walls[n] - wall), default=None)
        return wall if nearest is None else wall + self.seconds[nearest] - self.walls[nearest]


def bench_times(events: Iterable[ev.AnyEvent], awake: Collection[int] = ()) -> ClockTimeline:
    """The time line of a log; `awake` names events before which the machine did not sleep, whatever it seems.

    Within a run times never fall, and on a machine whose clock nobody sets they are the stamps themselves.
    """
    seconds: dict[int, float] = {}
    walls: dict[int, float] = {}
    jumps: list[Jump] = []
    for run in _by_run(events).values():
        ticks = list(accumulate(_passed(run)))
        read = [utc_seconds(event.at) for event in run]
        known = ((tick, wall) for tick, wall in zip(ticks, read, strict=True) if wall is not None)
        if (first := next(known, None)) is None:
            continue
        tick_before, wall_before = first
        offset = wall_before - tick_before
        for event, tick, wall in zip(run, ticks, read, strict=True):
            if wall is not None:
                walls[event.n] = wall
                ahead = (wall - wall_before) - (tick - tick_before)
                slept = is_sleep(wall_before, ahead) and event.n not in awake
                offset += ahead if slept else 0.0
                if abs(ahead) >= TOLD_SECONDS:
                    jumps.append(Jump(n=event.n, seconds=ahead, slept=slept))
                tick_before, wall_before = tick, wall
            seconds[event.n] = offset + tick
    return ClockTimeline(seconds=seconds, walls=walls, jumps=tuple(jumps))


def _by_run(events: Iterable[ev.AnyEvent]) -> dict[str, list[ev.AnyEvent]]:
    runs: dict[str, list[ev.AnyEvent]] = {}
    for event in events:
        runs.setdefault(event.run, []).append(event)
    return runs


def _passed(run: list[ev.AnyEvent]) -> list[float]:
    """Seconds on the monotonic clock since the event before, never negative; 0 for the first."""
    return [0.0, *(max(0.0, b.mono - a.mono) for a, b in pairwise(run))]
