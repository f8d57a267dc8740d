"""What a builder's own builds add up to: speed by kind, snags by kind and stage, how past forecasts held; pure.

No trustworthy frequencies are published for what goes wrong on a bench: the builder's own are the best there
are. Rates carry the exact interval of a Poisson count, so that two snags in ten joints do not pass for a habit.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

from bench.estimate.observations import WHERE, BuildDone, KindDone, SnagDone
from bench.estimate.poisson import garwood
from bench.estimate.scoring import PaceModel

ENOUGH_JOINTS = 12
"""Joints on either side that a trend needs at least."""
_LATEST = 2
"""A trend compares so many latest builds with all before them."""


class KindSpeed(Struct, frozen=True, kw_only=True):
    """How fast parts of one kind go in."""

    kind: str
    parts: int
    joints: int
    seconds_per_joint: float
    seconds_per_part: float
    trend: float | None
    """Seconds per joint in the latest builds as a multiple of those before; None with too little to say."""


class SnagRate(Struct, frozen=True, kw_only=True):
    """Snags among so many joints."""

    name: str
    """Kind of part, or stage."""
    snags: int
    joints: int
    per_hundred: float
    """Snags in a hundred joints."""
    low: float
    high: float
    """The exact 95 % interval of that (Garwood)."""
    minutes: float
    """Time lost to them, in minutes."""


class SnagCount(Struct, frozen=True, kw_only=True):
    """Snags that came to light in one sort of place."""

    where: str
    snags: int
    minutes: float


class HitRate(Struct, frozen=True, kw_only=True):
    """How often past forecasts held; four times out of five is what they promise."""

    what: str
    """`stage`, `module` (at its start) or `rest` (of a module, on the way)."""
    held: int
    forecasts: int


class Repeats(Struct, frozen=True, kw_only=True):
    """One kit built several times."""

    kit: str
    hours: tuple[float, ...]
    """Bench hours of each finished build, oldest first."""
    rate: float | None
    """What each doubling brings a unit's time to (unit model); None with one build."""


class OwnRecord(Struct, frozen=True, kw_only=True):
    """The builder's record."""

    builds: int
    finished: int
    seconds: float
    """All bench time."""
    joints: int
    """Joints of all the kinds."""
    kinds: tuple[KindSpeed, ...]
    """The kind with most joints first."""
    snags: int
    snag_minutes: float
    by_kind: tuple[SnagRate, ...]
    """Kinds with snags, most snags first."""
    by_stage: tuple[SnagRate, ...]
    """Stages that make joints and had snags, most snags first."""
    found: tuple[SnagCount, ...]
    readings: int
    readings_out: int
    counts: int
    counts_off: int
    repeats: tuple[Repeats, ...]
    held: tuple[HitRate, ...]


def own_record(builds: Sequence[BuildDone], known: PaceModel) -> OwnRecord:
    """Add up all builds."""
    builds = sorted(builds, key=lambda each: (each.started, each.build))
    snags = [snag for build in builds for snag in build.snags]
    kinds = _kinds(builds)
    stage_joints: dict[str, int] = {}
    for build in builds:
        for stage in build.stages:
            stage_joints[stage.place[0]] = stage_joints.get(stage.place[0], 0) + round(stage.joints)
    return OwnRecord(
        builds=len(builds),
        finished=sum(build.finished for build in builds),
        seconds=sum(build.seconds for build in builds),
        joints=sum(kind.joints for kind in kinds),
        kinds=kinds,
        snags=len(snags),
        snag_minutes=sum(snag.minutes for snag in snags),
        by_kind=_rates(snags, lambda snag: snag.kind, {kind.kind: kind.joints for kind in kinds}),
        by_stage=_rates(snags, lambda snag: snag.stage, stage_joints),
        found=tuple(
            SnagCount(where=where, snags=len(there), minutes=sum(snag.minutes for snag in there))
            for where in WHERE
            if (there := [snag for snag in snags if snag.where == where])
        ),
        readings=sum(build.readings for build in builds),
        readings_out=sum(build.readings_out for build in builds),
        counts=sum(build.counts for build in builds),
        counts_off=sum(build.counts_off for build in builds),
        repeats=_repeats(builds),
        held=_held(known),
    )


def _kinds(builds: Sequence[BuildDone]) -> tuple[KindSpeed, ...]:
    by_kind: dict[str, list[KindDone]] = {}
    for build in builds:
        for kind in build.kinds:
            by_kind.setdefault(kind.kind, []).append(kind)
    found = [_speed(kind, done) for kind, done in by_kind.items() if sum(each.joints for each in done)]
    return tuple(sorted(found, key=lambda each: (-each.joints, each.kind)))


def _speed(kind: str, done: Sequence[KindDone]) -> KindSpeed:
    parts, joints = sum(each.parts for each in done), sum(each.joints for each in done)
    before, latest = done[:-_LATEST], done[-_LATEST:]
    enough = min(sum(each.joints for each in side) for side in (before, latest)) >= ENOUGH_JOINTS
    return KindSpeed(
        kind=kind, parts=parts, joints=joints, seconds_per_joint=_per_joint(done),
        seconds_per_part=sum(each.seconds for each in done) / parts,
        trend=_per_joint(latest) / _per_joint(before) if enough else None,
    )  # fmt: skip


def _per_joint(done: Sequence[KindDone]) -> float:
    return sum(each.seconds for each in done) / sum(each.joints for each in done)


def _rates(
    snags: Sequence[SnagDone], name_of: Callable[[SnagDone], str], joints: dict[str, int]
) -> tuple[SnagRate, ...]:
    found = []
    for name, many in joints.items():
        there = [snag for snag in snags if name_of(snag) == name]
        if not there or not many:
            continue
        low, high = (100 * limit / many for limit in garwood(len(there)))
        found.append(
            SnagRate(
                name=name, snags=len(there), joints=many, per_hundred=100 * len(there) / many,
                low=low, high=high, minutes=sum(snag.minutes for snag in there),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda each: (-each.snags, each.name)))


def _repeats(builds: Sequence[BuildDone]) -> tuple[Repeats, ...]:
    times: dict[str, list[float]] = {}
    for build in builds:
        if build.finished and build.seconds > 0:
            times.setdefault(build.kit, []).append(build.seconds / 3600)
    return tuple(
        Repeats(kit=kit, hours=tuple(hours), rate=learning_rate(hours)) for kit, hours in times.items()
    )


def learning_rate(times: Sequence[float]) -> float | None:
    """What each doubling of the units built brings a unit's time to: 0.8 for 80 %; None for fewer than two.

    The UNIT model: the n-th unit takes t1 * n**log2(rate), by least squares of ln t on ln n. The other model
    of the same name (Wright 1936), in which the average of all units so far falls so, gives other figures: a
    third unit at 80 % takes 70.2 % of the first here, and 50.6 % there.

    >>> round(learning_rate([100, 80, 70.21, 64]), 4)
    0.8
    """
    from statistics import linear_regression  # with much in its wake

    if len(times) < 2 or min(times) <= 0:
        return None
    units = [math.log(n) for n in range(1, len(times) + 1)]
    slope: float = linear_regression(units, list(map(math.log, times))).slope
    return math.exp2(slope)


def _held(known: PaceModel) -> tuple[HitRate, ...]:
    held: dict[str, list[bool]] = {"stage": [], "module": [], "rest": []}
    for score in known.scores:
        what = "stage" if score.what == "stage" else "rest" if score.at else "module"
        held[what].append(score.held)
    return tuple(HitRate(what=what, held=sum(each), forecasts=len(each)) for what, each in held.items() if each)
