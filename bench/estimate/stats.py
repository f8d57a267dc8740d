"""What a builder's own builds add up to: speed by kind, snags by kind and stage, how past forecasts held; pure.

No trustworthy frequencies are published for what goes wrong on a bench: the builder's own are the best there
are. Rates carry the exact interval of a Poisson count, so that two snags in ten joints do not pass for a habit.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from bench.estimate.learning_curve import fit_curve
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
    seconds, joints = sum(each.seconds for each in done), sum(each.joints for each in done)
    parts = sum(each.parts for each in done)
    before, latest = done[:-_LATEST], done[-_LATEST:]
    trend = None
    if min(sum(each.joints for each in side) for side in (before, latest)) >= ENOUGH_JOINTS:
        trend = _per_joint(latest) / _per_joint(before)
    return KindSpeed(
        kind=kind,
        parts=parts,
        joints=joints,
        seconds_per_joint=seconds / joints,
        seconds_per_part=seconds / parts,
        trend=trend,
    )


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
        low, high = garwood(len(there))
        found.append(
            SnagRate(
                name=name,
                snags=len(there),
                joints=many,
                per_hundred=100 * len(there) / many,
                low=100 * low / many,
                high=100 * high / many,
                minutes=sum(snag.minutes for snag in there),
            )
        )
    return tuple(sorted(found, key=lambda each: (-each.snags, each.name)))


def _repeats(builds: Sequence[BuildDone]) -> tuple[Repeats, ...]:
    times: dict[str, list[float]] = {}
    for build in builds:
        if build.finished and build.seconds > 0:
            times.setdefault(build.kit, []).append(build.seconds / 3600)
    found = []
    for kit, hours in times.items():
        fit = fit_curve(hours)
        found.append(Repeats(kit=kit, hours=tuple(hours), rate=fit.rate if fit else None))
    return tuple(found)


def _held(known: PaceModel) -> tuple[HitRate, ...]:
    found = []
    for what in ("stage", "module", "rest"):
        scores = [
            score
            for score in known.scores
            if (score.what if score.what == "stage" else "rest" if score.at else "module") == what
        ]
        if scores:
            found.append(HitRate(what=what, held=sum(score.held for score in scores), forecasts=len(scores)))
    return tuple(found)
