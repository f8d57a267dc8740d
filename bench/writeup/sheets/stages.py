"""The stages of a kit on paper: a box for each part, room for each reading; pure."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial
from itertools import groupby

from bench.kit.danger import danger_of
from bench.kit.kit import Kit
from bench.log.progress import Progress
from bench.log.unit_names import titled
from bench.parts.designators import shorten
from bench.parts.kinds import KINDS
from bench.parts.printed_values import bears_bands, surface_mounted, usual_prints
from bench.plan.cautions import ALWAYS, cautions_of
from bench.plan.default_checks import hazard_cautions
from bench.plan.plan import Plan, Stage, Step
from bench.session.view import told_of
from bench.suspects.symptom import verdict_of
from bench.writeup.sheets.bands import strips_of
from bench.writeup.sheets.boards import boards_on_paper
from bench.writeup.sheets.sheet_model import (
    Group,
    SheetSpot,
    SheetTable,
    StageOnPaper,
    StageSheet,
    Strip,
    TableRow,
)
from bench.writeup.sheets.texts import tidied, tidy
from bench.writeup.words import board, capital, plural

_SORTS = {"do": "tasks", "check": "checks", "adjust": "trims"}
_FEW = 4
"""Designators of a look-alike that are all named."""
_MOUNTS = ("upright", "laid flat")
"""Mounts to name: the others go without saying in their stage."""


def stage_sheet(
    kit: Kit,
    plan: Plan,
    progress: Progress | None = None,
    meter: Mapping[str, object] | None = None,
) -> StageSheet:
    """All stages of a plan; with the progress of a build, what is done is ticked and readings stand there.

    `meter` describes the builder's meter as the settings do.
    """
    state = _State(progress or Progress(), meter)
    return StageSheet(
        kit=tidy(titled(kit.title, state.progress.unit)),
        maker=tidy(kit.maker),
        procedure=tidy(plan.procedure),
        hazards=tidied(hazard_cautions(danger_of(kit))),
        errata=tidied((*kit.errata, *(each.text for each in state.progress.errata))),
        remarks=tidied(each for each in plan.remarks if not each.endswith(tuple(filter(None, kit.errata)))),
        stages=tuple(_stage(number, stage, state) for number, stage in enumerate(plan.stages, 1)),
        boards=boards_on_paper(kit.boards),
        joints=plan.joints,
        parts=plan.count.words(),
    )


class _State:
    """What a build has to say about the steps."""

    def __init__(self, progress: Progress, meter: Mapping[str, object] | None) -> None:
        self.progress, self.meter = progress, meter
        self.counts = {each.place: str(each.counted) for each in progress.counts}
        self.readings: dict[str, list[str]] = {}
        for each in progress.readings:
            said = f"{each.text} {verdict_of(each, meter)}" if each.expect else each.text
            self.readings.setdefault(each.step, []).append(said)


def _stage(number: int, stage: Stage, state: _State) -> StageOnPaper:
    over_all = _common(step.cautions for step in stage.steps) if len(stage.steps) > 1 else ()
    return StageOnPaper(
        number=number,
        name=tidy(stage.name),
        place=board(stage.board) if tidy(stage.board) else "",
        about=tidy(stage.about),
        cautions=tidied(over_all),
        hold=stage.hold,
        tables=tuple(
            SheetTable(sort=sort, groups=_groups(sort, list(steps), over_all, state))
            for sort, steps in groupby(stage.steps, key=partial(_sort, stage=stage))
        ),
        joints=stage.joints,
        counts_joints=stage.count_joints,
        counted=state.counts.get(stage.key, ""),
    )


def _sort(step: Step, stage: Stage) -> str:
    """The sort of table a step belongs to; tasks at a hold point stand among its checks."""
    sort = _SORTS.get(step.action, "parts")
    return "checks" if sort == "tasks" and stage.hold else sort


def _common(cautions: Iterable[Sequence[str]]) -> tuple[str, ...]:
    """What all of them say, in the order of the first."""
    first, *others = cautions
    return tuple(each for each in first if all(each in other for other in others))


def _groups(sort: str, steps: Sequence[Step], said: Sequence[str], state: _State) -> tuple[Group, ...]:
    """Neighbouring steps of one kind that go in the same way round together.

    `said` are cautions that stand over the stage already.
    """
    found = []
    for (kind, way), run in groupby(steps, key=lambda step: (step.kind, step.orientation)):
        alike = list(run)
        usual = KINDS[kind].all_cautions if kind in KINDS else frozenset()
        shared = _common(step.cautions for step in alike)
        over = [each for each in shared if each not in said and (each in usual or len(alike) > 1)]
        rows = tuple(_row(sort, step, {*said, *over}, state) for step in alike)
        found.append(
            Group(
                name=capital(plural(kind) if sum(len(step.items) for step in alike) > 1 else kind)
                if kind
                else "",
                orientation=tidy(way),
                cautions=tidied(over),
                rows=rows,
            )
        )
    return tuple(found)


def _row(sort: str, step: Step, said: set[str], state: _State) -> TableRow:
    done = state.progress.done
    strips, printed = _on_the_part(step)
    portion = f"part {step.portion} of {step.portions}" if step.portions > 1 else ""
    bent = step.mount in _MOUNTS and not surface_mounted(step.kind, step.value, step.package)
    mount = step.mount if bent else ""
    optional = "optional" if step.optional else ""
    return TableRow(
        value=tidy(step.value),
        about=tidied((step.tolerance, step.voltage, step.package, mount, portion, optional)),
        strips=strips,
        printed=tidy(printed),
        spots=_spots(step, state) if sort == "parts" else (),
        refs=tidy(shorten(step.refs)) if sort != "parts" else "",
        joints=step.joints,
        detail=tuple(filter(None, map(tidy, step.detail.splitlines()))),
        should=tidy(step.expect) or ("look" if step.action == "check" else ""),
        measured=bool(step.expect),
        readings=tidied(state.readings.get(step.key, ())),
        cautions=tidied(each for each in step.cautions if each not in said),
        strong=tidied(each.say for each in cautions_of(step) if each.sort in ALWAYS),
        alike=_alike(step),
        told=tidied(told_of(step, state.progress)),
        done=done.issuperset(step.items),
    )


def _alike(step: Step) -> tuple[tuple[str, str], ...]:
    """What the step's parts can be mistaken for: those with one reason together, worst first."""
    by_reason: dict[str, list[str]] = {}
    for each in step.alike:
        by_reason.setdefault(tidy(each.reason), []).append(tidy(f"{each.value} ({_some(each.refs)})"))
    return tuple((", ".join(values), reason) for reason, values in by_reason.items())


def _some(refs: Sequence[str]) -> str:
    """Designators, the first one only where they are many."""
    return shorten(refs) if len(refs) <= _FEW else f"{refs[0]} and {len(refs) - 1} more"


def _spots(step: Step, state: _State) -> tuple[SheetSpot, ...]:
    """A box for each part, named after its designator; hardware without one is numbered."""
    names = step.refs or tuple(str(number) for number in range(1, len(step.items) + 1))
    zones = step.zones or ("",) * len(names)
    return tuple(
        SheetSpot(
            name=tidy(name),
            zone=zone,
            done=item in state.progress.done,
        )
        for name, zone, item in zip(names, zones, step.items, strict=True)
    )


def _on_the_part(step: Step) -> tuple[tuple[Strip, ...], str]:
    """Bands or print of a part; nothing for what is only screwed on."""
    if step.action not in ("solder", "place", "insert"):
        return (), ""
    return on_the_part(step.kind, step.value, step.tolerance, step.voltage, step.marking, step.package)


def on_the_part(
    kind: str, value: str, tolerance: str, voltage: str, marking: str, package: str
) -> tuple[tuple[Strip, ...], str]:
    """The bands of a part, or what stands in print on it as a phrase; all arguments are texts of a kit."""
    if bears_bands(kind, value, package) and not marking.strip():
        return strips_of(value, tolerance), ""
    if marking.strip():
        return (), f"printed {marking}"
    usual = usual_prints(kind, value, tolerance, voltage, package)
    return (), f"usually printed {' or '.join(usual)}" if usual else ""
