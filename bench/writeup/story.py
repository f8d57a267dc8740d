"""Tell a build as data: everything an article says, taken from kit, plan and log alone.

Pure: no file, no clock. What was undone is left out, corrections are applied.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence, Set
from datetime import UTC, tzinfo

import msgspec

from bench.kit.danger import danger_of
from bench.kit.kit import Kit, PartLine
from bench.log import events as ev
from bench.log.clock_correction import doubtful
from bench.log.fold import fold
from bench.log.progress import Break, Gap, Progress, StageKey
from bench.log.standing import LogEntry, log_entries
from bench.log.unit_names import titled, unit_words
from bench.plan.plan import PART_ACTIONS, Plan, Stage
from bench.writeup import story_model as model
from bench.writeup.log_rows import DoneHere, LogRows, done_by
from bench.writeup.lookalikes_met import alike_rows
from bench.writeup.moments import Calendar, PauseRow
from bench.writeup.readings import with_unit
from bench.writeup.shortage import wanted_of
from bench.writeup.sittings import moves_of, sittings_of
from bench.writeup.snags import minutes_lost
from bench.writeup.summary import advise, summarise
from bench.writeup.time_spent import account_of, whole_minutes, works_of
from bench.writeup.tracking import tracking_rows

MOST_SECONDS = 1e9
"""No stretch of time is told longer than this: some thirty years, from a clock that was set."""


def tell(
    kit: Kit,
    plan: Plan,
    events: Sequence[ev.AnyEvent],
    progress: Progress | None = None,
    *,
    now: str = "",
    zone: tzinfo | None = UTC,
    forecast: Mapping[StageKey, float] | None = None,
    photos: Sequence[model.PhotoRow] = (),
    photo_marks: Sequence[model.PhotoMarkRow] = (),
    clips: Sequence[model.ClipRow] = (),
) -> model.Story:
    """The story of a build so far.

    `progress` is folded from the events when it is not given. `now` is the UTC stamp of the telling, empty
    for none. `zone` is the zone in which days and times are told, None for this computer's. `forecast` is
    what was expected of each stage before the work began, in minutes. `photos`, `photo_marks` and `clips` come
    from their own folders; see `publish.whole_story`.
    """
    progress = fold(events) if progress is None else progress
    entries, calendar = log_entries(events), Calendar(zone)
    rows = LogRows(entries, calendar)
    stages = _stage_rows(plan, progress, done_by(entries, progress, lambda entry: entry.place), forecast or {})
    kinds = _kind_rows(plan, progress.done)
    left = _left(plan, progress)
    snags = rows.snags(progress.snags, progress.done_at)
    pauses, seconds = _pause_rows(progress, calendar), _sum_of(row.seconds for row in stages)
    sittings = sittings_of(entries, calendar, doubtful(events))
    story = model.Story(
        title=titled(kit.title, progress.unit),
        name=kit.name,
        kit=kit.title,
        unit=unit_words(progress.unit),
        maker=kit.maker,
        revision=kit.revision,
        about=kit.about,
        warning=danger_of(kit).warning,
        answers_for_it=_who_answers(progress),
        scenario=kit.scenario,
        told_at=calendar.when(now) if now else None,
        zone=_zone_of(sittings, calendar),
        summary=(),
        finished=bool(plan.steps) and not left,
        left=left,
        left_out=_left_out(plan, progress),
        boards=_soldered_boards(kit),
        first=sittings[0].began if sittings else None,
        last=sittings[-1].ended if sittings else None,
        sittings=sittings,
        works=works_of(sittings, entries, plan, progress),
        account=account_of(sittings, pauses, seconds),
        afterwords=rows.afterwords(),
        photo_marks=tuple(photo_marks),
        stages=stages,
        seconds=seconds,
        minutes=sum(row.minutes for row in stages),
        breaks=len(progress.breaks),
        break_seconds=_sum_of(each.seconds for each in progress.breaks),
        gaps=len(progress.gaps),
        gap_seconds=_sum_of(each.seconds for each in progress.gaps),
        kinds=kinds,
        parts_placed=sum(row.placed for row in kinds),
        parts_planned=sum(row.planned for row in kinds),
        kit_count=plan.count.words() if plan.count.total else "",
        parts_unplanned=_unplanned(plan, progress),
        joints=progress.joints,
        joints_planned=plan.joints,
        counts=rows.of(ev.JointsCounted, model.CountRow),
        held=rows.held(progress.held_ever),
        snags=snags,
        snag_minutes=minutes_lost(snags),
        notes=rows.of(ev.Noted, model.NoteRow),
        substitutions=rows.of(ev.Substituted, model.SubstitutionRow),
        bag=_bag_rows(progress),
        measured_ahead=rows.of(ev.PartMeasured, model.MeasuredRow, read="text"),
        kit_errata=kit.errata,
        errata=rows.of(ev.ErratumFound, model.ErratumRow),
        readings=rows.of(ev.ReadingTaken, model.ReadingRow, read="text"),
        holds=_hold_rows(plan, progress.done),
        passed=rows.overridden({step.key: step.value for step in plan.steps}),
        suspicions=rows.of(ev.SuspicionSettled, model.SuspicionRow),
        moves=moves_of(entries, sittings, calendar),
        pauses=pauses,
        alikes=alike_rows(plan, progress.done, snags),
        trims=_trim_rows(kit, plan, progress, entries, calendar),
        tracking=tracking_rows(kit, progress.passes),
        photos=tuple(photos),
        claps=rows.of(ev.SyncMarked, model.ClapRow),
        clips=tuple(clips),
        advice=(),
        revisions=rows.revisions(),
    )
    return msgspec.structs.replace(story, summary=summarise(story), advice=advise(story))


def _who_answers(progress: Progress) -> str:
    """Who answered for power, where that may be told."""
    owned = progress.danger_owned
    return owned.text if owned and owned.shown else ""


def _zone_of(sittings: Sequence[model.Sitting], calendar: Calendar) -> str:
    return calendar.zone_names(each.at for sitting in sittings for each in (sitting.began, sitting.ended))


def _soldered_boards(kit: Kit) -> tuple[str, ...]:
    return tuple(board.name for board in kit.boards if any(map(_soldered, board.parts)))


def _unplanned(plan: Plan, progress: Progress) -> int:
    """Parts done that are in no step."""
    known = {item for step in plan.steps for item in step.items}
    return sum(_is_part(item) for item in progress.done if item not in known)


def _stage_rows(
    plan: Plan, progress: Progress, done: Mapping[StageKey, DoneHere], forecast: Mapping[StageKey, float]
) -> tuple[model.StageRow, ...]:
    part_items = {item for step in plan.steps if step.action in PART_ACTIONS for item in step.items}
    planned: dict[StageKey, Stage] = {stage.key: stage for stage in plan.stages}
    elsewhere = [place for place, lasted in progress.stage_seconds.items() if lasted > 0] + list(done)
    places = [*planned, *dict.fromkeys(place for place in elsewhere if place not in planned)]
    seconds = [min(progress.stage_seconds.get(place, 0.0), MOST_SECONDS) for place in places]
    rows = []
    for place, lasted, minutes in zip(places, seconds, whole_minutes(seconds), strict=True):
        steps = planned[place].steps if place in planned else ()
        here = done.get(place, {"items": [], "joints": 0})
        rows.append(
            model.StageRow(
                stage=place[0],
                board=place[1],
                planned=place in planned,
                seconds=lasted,
                minutes=minutes,
                parts=sum(item in part_items for item in here["items"]),
                joints=here["joints"],
                steps=len(steps),
                steps_done=sum(progress.done.issuperset(step.items) for step in steps),
                forecast=forecast.get(place),
            )
        )
    return tuple(rows)


def _kind_rows(plan: Plan, done: Set[str]) -> tuple[model.KindRow, ...]:
    placed: dict[str, int] = {}
    planned: dict[str, int] = {}
    for step in plan.steps:
        if step.action in PART_ACTIONS:
            kind = step.kind or "part"
            planned[kind] = planned.get(kind, 0) + len(step.items)
            placed[kind] = placed.get(kind, 0) + sum(item in done for item in step.items)
    return tuple(
        model.KindRow(kind=kind, placed=placed[kind], planned=amount) for kind, amount in planned.items()
    )


def _left(plan: Plan, progress: Progress) -> tuple[model.LeftRow, ...]:
    """What is not done, but for optional parts that the builder holds back: those are left out."""
    spared = _spared(progress)
    rows = []
    for stage in plan.stages:
        missing = []
        for step in stage.steps:
            if not (spared if step.optional else progress.done) >= frozenset(step.items):
                missing.append((step, [item for item in step.items if item not in progress.done]))
        if missing:
            rows.append(
                model.LeftRow(
                    stage=stage.name,
                    board=stage.board,
                    steps=len(missing),
                    parts=sum(len(items) for step, items in missing if step.action in PART_ACTIONS),
                    joints=sum(round(step.joints * len(items) / len(step.items)) for step, items in missing),
                )
            )
    return tuple(rows)


def _left_out(plan: Plan, progress: Progress) -> tuple[model.OptionalRow, ...]:
    spared = _spared(progress)
    rows = []
    for step in plan.steps:
        missing = sum(item not in progress.done for item in step.items)
        if step.optional and step.action in PART_ACTIONS and missing and spared >= frozenset(step.items):
            rows.append(
                model.OptionalRow(
                    board=step.board, kind=step.kind, value=step.value, refs=step.refs, parts=missing
                )
            )
    return tuple(rows)


def _spared(progress: Progress) -> Set[str]:
    """Items that are done or held back."""
    return progress.done.union(*(each.items for each in progress.held))


def _pause_rows(progress: Progress, calendar: Calendar) -> tuple[PauseRow, ...]:
    stretches: list[Break | Gap] = [*progress.breaks, *progress.gaps]
    rows = [
        PauseRow(
            began=calendar.when(each.began_at),
            ended=calendar.when(each.ended_at),
            seconds=min(each.seconds, MOST_SECONDS),
            settled=isinstance(each, Break),
        )
        for each in stretches
    ]
    return tuple(sorted(rows, key=lambda row: row.began.at))


def _bag_rows(progress: Progress) -> tuple[model.BagRow, ...]:
    return tuple(
        model.BagRow(
            value=each.value, kind=each.kind, refs=each.refs, expected=wanted_of(each), found=each.found
        )
        for each in progress.bag
    )


def _hold_rows(plan: Plan, done: Set[str]) -> tuple[model.HoldRow, ...]:
    rows = []
    for stage in plan.stages:
        if stage.hold:
            items = [item for step in stage.steps for item in step.items]
            count = sum(item in done for item in items)
            rows.append(model.HoldRow(name=stage.name, board=stage.board, checks=len(items), done=count))
    return tuple(rows)


def _trim_rows(
    kit: Kit, plan: Plan, progress: Progress, entries: Sequence[LogEntry], calendar: Calendar
) -> tuple[model.TrimRow, ...]:
    trimmers = {trim.name: trim.trimmer for trim in kit.trims}
    stamps = {entry.event.n: entry.event.at for entry in entries}
    results = {
        entry.event.point: with_unit(entry.event.text, entry.event.expect)
        for entry in entries
        if entry.stands and isinstance(entry.event, ev.ReadingTaken)
    }
    return tuple(
        model.TrimRow(
            name=step.value,
            trimmer=trimmers.get(step.value, ""),
            target=step.expect,
            board=step.board,
            when=calendar.when(max(stamps[progress.done_at[item]] for item in step.items)),
            result=results.get(step.value, ""),
        )
        for step in plan.steps
        if step.action == "adjust" and step.items and progress.done.issuperset(step.items)
    )


def _sum_of(seconds: Iterable[float]) -> float:
    return math.fsum(min(each, MOST_SECONDS) for each in seconds)


def _soldered(line: PartLine) -> bool:
    return line.joints > 0 or line.socket_joints > 0


def _is_part(item: str) -> bool:
    """Whether an item that is in no plan names a part; see `plan.model.Step.items`."""
    return "/!" not in item and not item.endswith("#placed")
