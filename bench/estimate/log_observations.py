"""Events folded into what they tell of a builder's speed: seconds by kind of work and stage, joints, snags.

Bench time is kept by the same rules as progress (`log.fold`), and given to the step on screen.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from bench.estimate.base_times import COUNTING, counting_seconds, group_of, guesses, late_exposures
from bench.estimate.observations import (
    AT_HOLD,
    AT_IRON,
    LATER,
    LOOKING,
    BuildDone,
    GroupDone,
    KindDone,
    SnagDone,
    StageDone,
)
from bench.log import events as ev
from bench.log.clock import GAP_SECONDS
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.plan.plan import Plan, Stage, Step

RUN_SHARE = 0.12
"""A step in less than this share of its guess was recorded together with the ones before it."""
_LEAST_CLEAN = 0.1
"""At least this share of a step's time is taken as work, however much time its snags are said to have cost."""


def observations_of(
    events: Iterable[ev.AnyEvent], plan: Plan, build: str, gap_seconds: float = GAP_SECONDS
) -> tuple[BuildDone, Progress]:
    """What one build's events tell of speed, and its progress; `build` is the name of its folder."""
    progress = fold(events, gap_seconds)
    return _build_done(progress, plan, build), progress


def _build_done(progress: Progress, plan: Plan, build: str) -> BuildDone:
    lost = _lost(progress)
    clean = {
        step: max(seconds * _LEAST_CLEAN, seconds - sum(lost.get(step, ())))
        for step, seconds in progress.step_seconds.items()
    }
    group, place = _side_by_side(progress, build)
    guess, late = guesses(plan), late_exposures(plan)
    stages: list[StageDone] = []
    soldered: list[Step] = []
    for stage, exposure in zip(plan.stages, late, strict=True):
        done = [
            step
            for step in stage.steps
            if step.key in progress.step_done_at and progress.done.issuperset(step.items)
        ]
        if done:
            done.sort(key=lambda step: progress.step_done_at[step.key])
            stages.append(_stage(stage, done, progress, clean, lost, guess, exposure))
            soldered += [step for step in done if step.action == "solder" and clean.get(step.key)]
    held = {item for each in progress.held for item in each.items}
    return BuildDone(
        build=build,
        kit=plan.kit,
        started=progress.started.at if progress.started else "",
        group=group,
        place=place,
        stages=tuple(sorted(stages, key=lambda each: each.ended)),
        finished=bool(plan.stages)
        and all(item in progress.done or item in held for step in plan.steps for item in step.items),
        kinds=_kinds_done(soldered, clean),
        seconds=progress.bench_seconds,
        snags=_snags(progress, plan),
        readings=sum(bool(each.verdict) for each in progress.readings),
        readings_out=sum(each.verdict == "out" for each in progress.readings),
        counts=len(progress.counts),
        counts_off=sum(each.counted != each.expected for each in progress.counts),
    )


def _side_by_side(progress: Progress, build: str) -> tuple[str, int]:
    """What the units side by side have in common, and which of them a build is, from 0."""
    beside = progress.beside
    if beside is None:
        return "", 0
    return beside.group, beside.folders.index(build) if build in beside.folders else 0


def _kinds_done(soldered: Iterable[Step], clean: Mapping[str, float]) -> tuple[KindDone, ...]:
    kinds: dict[str, list[Step]] = {}
    for step in soldered:
        kinds.setdefault(step.kind, []).append(step)
    return tuple(
        KindDone(
            kind=kind,
            seconds=sum(clean[step.key] for step in steps),
            parts=sum(len(step.items) for step in steps),
            joints=sum(step.joints for step in steps),
        )
        for kind, steps in kinds.items()
    )


def _snags(progress: Progress, plan: Plan) -> tuple[SnagDone, ...]:
    if not progress.snags:
        return ()
    by_key = {step.key: step for step in plan.steps}
    stages = {stage.key: stage for stage in plan.stages}
    kinds: dict[str, dict[str, str]] = {}
    for step in plan.steps:
        for ref in step.refs if step.kind else ():
            kinds.setdefault(ref.casefold(), {}).setdefault(step.board, step.kind)
    found = []
    for snag in progress.snags:
        named = [kinds[word] for word in re.findall(r"[\w+-]+", snag.part.casefold()) if word in kinds]
        step_kind = by_key[snag.step].kind if snag.step in by_key else ""
        kind = step_kind if not snag.part else ""
        if named:
            kind = named[0].get(snag.place[1]) or next(iter(named[0].values()))
        stage = stages.get(snag.place) if snag.step else None
        where = LATER if stage is None else AT_HOLD if stage.hold else AT_IRON if stage.joints else LOOKING
        name = snag.place[0] if stage else ""
        found.append(
            SnagDone(at=snag.at, what=snag.what, kind=kind, stage=name, where=where, minutes=snag.minutes)
        )
    return tuple(found)


def _lost(progress: Progress) -> dict[str, tuple[float, ...]]:
    """Step -> what each snag mended in it cost, in seconds, within the time that was spent on it."""
    found: dict[str, list[float]] = {}
    for snag in progress.snags:
        step = snag.mended_in or snag.step
        room = progress.step_seconds.get(step, 0.0) * (1 - _LEAST_CLEAN) - sum(found.get(step, ()))
        cost = min(snag.minutes * 60, room)
        if cost > 0:
            found.setdefault(step, []).append(cost)
    return {step: tuple(costs) for step, costs in found.items()}


def _stage(
    stage: Stage,
    done: list[Step],
    progress: Progress,
    clean: dict[str, float],
    lost: dict[str, tuple[float, ...]],
    guess: dict[str, float],
    exposure: float,
) -> StageDone:
    sums: dict[str, list[float]] = {}
    for run, seconds in _runs(done, clean, guess):
        whole = sum(guess[step.key] for step in run)
        parts: dict[str, float] = {}
        for step in run:
            parts[group_of(step)] = parts.get(group_of(step), 0.0) + guess[step.key]
        for group, part in parts.items():
            _add(sums.setdefault(group, [0.0] * 6), part, seconds * part / whole)
    counting = progress.count_seconds.get(stage.key, 0.0)
    if counting and counting_seconds(stage):
        _add(sums.setdefault(COUNTING, [0.0] * 6), counting_seconds(stage), counting)
    costs = tuple(cost for step in done for cost in lost.get(step.key, ()))
    quiet = sum(not step.joints for step in stage.steps)
    return StageDone(
        place=stage.key,
        ended=max(progress.step_done_at[step.key] for step in done),
        groups=tuple(
            GroupDone(
                group=group, guess=g, squares=gg, seconds=t, time_squares=tt, products=tg, pieces=int(pieces)
            )
            for group, (g, gg, t, tt, tg, pieces) in sums.items()
        ),
        seconds=progress.stage_seconds.get(stage.key, 0.0),
        joints=sum(step.joints for step in done),
        late=exposure * sum(not step.joints for step in done) / quiet if quiet else 0.0,
        costs=costs,
        whole=len(done) == len(stage.steps),
    )


def _add(sums: list[float], guess: float, seconds: float) -> None:
    for at, more in enumerate((guess, guess * guess, seconds, seconds * seconds, seconds * guess, 1)):
        sums[at] += more


def _runs(done: list[Step], clean: dict[str, float], guess: dict[str, float]) -> list[tuple[list[Step], float]]:
    """Steps with their time; those done in no time join the ones before, whose time they share."""
    runs: list[tuple[list[Step], float]] = []
    for step in done:
        seconds = clean.get(step.key, 0.0)
        if runs and seconds < RUN_SHARE * guess[step.key]:
            steps, before = runs[-1]
            runs[-1] = ([*steps, step], before + seconds)
        else:
            runs.append(([step], seconds))
    return runs
