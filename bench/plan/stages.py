"""Kit and procedure make a plan: stages of steps in the order of the work. Pure.

Stages run one after the other, each on every board in turn; neighbouring stages that are repeated for each
section are repeated together, section by section. A part goes to the first stage that takes it. Nothing is
lost on the way: a part that no stage takes is a fault, and what the kit wants checked or adjusted gets a
stage of its own where the procedure has none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial
from itertools import chain, groupby

from msgspec import Struct, structs

from bench.errors import Fault, FileFaults, SoldersideError
from bench.kit.counts import count_kit
from bench.kit.danger import Danger, danger_of
from bench.kit.kit import Check, Kit, Trim
from bench.parts.designators import shorten
from bench.plan.assumptions import remarks_on
from bench.plan.cautions import never_dropped, with_hazards
from bench.plan.default_checks import fits, hazard_cautions, series_resistors, usual_checks
from bench.plan.grouping import Rank, Site, part_steps, placements_of, sections_of
from bench.plan.holds import (
    add_missing,
    check_steps,
    free_name,
    go_on,
    held_by,
    merged,
    share_out,
    side_step,
    told_apart,
    trim_step,
)
from bench.plan.joined import slots_together
from bench.plan.nearby import in_short_hops, spots_in, with_zones
from bench.plan.path import Point
from bench.plan.placed_part import PlacedPart
from bench.plan.plan import Plan, Stage, Step
from bench.plan.rails import made_rails, with_reasons
from bench.plan.rules import Procedure, Rules, StageCaution, StageRule, any_matches
from bench.plan.set_apart import mixed_up, values_of, with_alikes
from bench.plan.wash import keep_dry

_AUTHORS = {"{errata}", "{notes}", "{keep dry}", "{series}"}
"""Gaps of a task that what the kit's author wrote fills."""
_AC = re.compile(r"\bac\b|~", re.IGNORECASE)


class _Slot(Struct, kw_only=True):
    """A stage of the procedure in one place of the plan: on one board or none, for one section or none."""

    rule: StageRule
    name: str
    board: str
    section: str
    reach: tuple[PlacedPart, ...]
    """The parts it may look at."""
    taken: tuple[PlacedPart, ...] = ()
    placed: frozenset[str] = frozenset()
    """First items of those that an earlier stage has set in their holes."""
    before: tuple[PlacedPart, ...] = ()
    """The parts that earlier slots took, of its board if it has one."""
    powered: bool = False
    """True after the first hold point at which power is on."""
    ranks: dict[str, Rank] = {}
    """Of the steps whose order is free among those of equal rank, by key."""


def make_plan(kit: Kit, procedure: Procedure, step_size: int | None = None) -> Plan:
    """The plan for a kit; `step_size`, the most parts in one step, replaces the procedure's when given.

    Raises FileFaults, one fault for each line of the parts list that no stage takes, and SoldersideError for a
    negative step size; None and 0 leave it to the procedure.
    """
    size = step_size or procedure.step_size
    if size < 1:
        raise SoldersideError(f"a step of {size} parts", "step size", "give a number from 1 up")
    parts = placements_of(kit)
    sections = sections_of(kit)
    spots = spots_in(kit)
    slots = _slots(kit, procedure, parts, sections)
    _deal_out(slots, parts, kit, procedure)
    usual = [usual_checks(slot.rule.checks, kit, slot.reach) if slot.rule.hold else () for slot in slots]
    own_checks = share_out(kit.hold_points, [slot.rule for slot in slots], usual)
    trimming = next((at for at, slot in enumerate(slots) if slot.rule.trims), None)
    built: list[tuple[Stage, frozenset[str]]] = []
    orders: dict[tuple[str, str], tuple[str, ...]] = {}
    _look_back(slots)
    for at, slot in enumerate(slots):
        trims = kit.trims if at == trimming else ()
        steps = _steps(slot, kit, sections, size, own_checks.get(at, ()), trims, spots.places)
        steps = with_zones(steps, spots)
        if steps:
            built.append((_stage(slot, steps), held_by(slot.rule, kit)))
            orders[slot.name, slot.board] = slot.rule.order
    missing = add_missing(built, kit, trims_done=trimming is not None)
    apart = with_alikes([(stage, orders.get(stage.key, ())) for stage, _ in built])
    ranks = {key: rank for slot in slots for key, rank in slot.ranks.items()}
    hazards = never_dropped(procedure, hazard_cautions(danger_of(kit)))
    stages = tuple(with_hazards(in_short_hops(stage, spots, ranks), hazards) for stage in apart)
    return Plan(
        kit=kit.title,
        procedure=procedure.name,
        stages=stages,
        joints=sum(stage.joints for stage in stages),
        count=count_kit(kit),
        remarks=(*remarks_on(kit, procedure), *missing, *_too_late(slots)),
    )


def _look_back(slots: Sequence[_Slot]) -> None:
    """Tell each slot what earlier ones took."""
    taken: dict[str, list[PlacedPart]] = {}
    for slot in slots:
        slot.before = tuple(taken.get(slot.board, ())) if slot.board else tuple(chain(*taken.values()))
        for part in slot.taken:
            taken.setdefault(part.board, []).append(part)


def _too_late(slots: Sequence[_Slot]) -> tuple[str, ...]:
    """What to say where a procedure puts fuses and links in only after first power."""
    parts = [part for slot in slots if slot.powered for part in slot.taken]
    late = [shorten(part.line.refs) or part.value for part in parts if part.socketed and part.supply_path]
    if not late:
        return ()
    named = ", ".join(late)
    return (
        f"The procedure puts {named} in after first power, though it carries the supply: put it in before, and "
        "never bridge it. A stage with `takes: [{socket: yes, supply path: yes}]` does so",
    )


def _slots(
    kit: Kit, procedure: Procedure, parts: Sequence[PlacedPart], sections: Sequence[str]
) -> tuple[_Slot, ...]:
    """All places of the plan that are open, in the order of the work."""
    on_board: list[list[PlacedPart]] = [[] for _ in kit.boards]
    for part in parts:
        on_board[part.board_number].append(part)
    slots: list[_Slot] = []
    names: dict[str, set[str]] = {}
    powered = False
    for rule, section in _in_turn(procedure.stages, sections):
        powered = powered or (_about_power(rule) and not all(name.startswith("before") for name in rule.hold))
        reaches = [tuple(each) for each in on_board] if rule.per_board else [tuple(parts)]
        for number, reach in enumerate(reaches):
            board = kit.boards[number].name if rule.per_board else ""
            if rule.each_section:
                reach = tuple(part for part in reach if part.line.section.casefold() == section.casefold())
            if (rule.when and not _any(rule.when, reach)) or (rule.each_section and not reach):
                continue
            name = free_name(stage_name(rule, section), names.setdefault(board, set()))
            names[board].add(name)
            slots.append(
                _Slot(rule=rule, name=name, board=board, section=section, reach=reach, powered=powered)
            )
    return tuple(slots)


def _in_turn(rules: Sequence[StageRule], sections: Sequence[str]) -> Iterator[tuple[StageRule, str]]:
    """Each stage with the section it is for, empty for none."""
    for repeated, block in groupby(rules, key=lambda rule: rule.each_section):
        stages = tuple(block)
        for section in sections if repeated else ("",):
            for rule in stages:
                yield rule, section


def stage_name(rule: StageRule, section: str) -> str:
    """What the plan calls a stage; `section` is empty for stages that are not repeated."""
    if not rule.each_section:
        return rule.name
    name = rule.name if "{section}" in rule.name else f"{{section}}: {rule.name}"
    name = name.replace("{section}", section)
    return name[:1].upper() + name[1:]


def _deal_out(slots: Sequence[_Slot], parts: Sequence[PlacedPart], kit: Kit, procedure: Procedure) -> None:
    """Give each part to the first slot that takes it; FileFaults for parts left over."""
    left = {id(part): part for part in parts}
    placed: set[int] = set()
    claimed = _claimed(slots)
    for at, slot in enumerate(slots):
        inserts, places = slot.rule.action == "insert", slot.rule.action == "place"
        slot.taken = tuple(
            part
            for part in slot.reach
            if part.socketed is inserts
            and id(part) in left
            and at >= claimed.get(id(part), 0)
            and not (places and id(part) in placed)
            and any_matches(slot.rule.takes, part)
        )
        slot.placed = frozenset(part.items[0] for part in slot.taken if id(part) in placed)
        if places:
            placed.update(map(id, slot.taken))
        else:
            for part in slot.taken:
                del left[id(part)]
    _bring_together(slots, parts)
    if left:
        raise FileFaults([_left_over(part, key in placed, kit, procedure) for key, part in left.items()])


def _bring_together(slots: Sequence[_Slot], parts: Sequence[PlacedPart]) -> None:
    """Move parts that are joined to others to the slot in which all of them go in."""
    slots_of: dict[int, list[int]] = {}
    for at, slot in enumerate(slots):
        for part in slot.taken:
            slots_of.setdefault(id(part), []).append(at)
    power = next((at for at, slot in enumerate(slots) if slot.rule.hold), len(slots))
    moved = slots_together(parts, slots_of, power)
    if not moved:
        return
    for slot in slots:
        slot.taken = tuple(part for part in slot.taken if id(part) not in moved)
    for part in parts:
        if id(part) in moved:
            slots[moved[id(part)]].taken += (part,)


def _claimed(slots: Sequence[_Slot]) -> dict[int, int]:
    """For each part that a stage claims, by identity, the number of that slot: no earlier one takes it."""
    found: dict[int, int] = {}
    for at, slot in enumerate(slots):
        if slot.rule.claims:
            inserts = slot.rule.action == "insert"
            for part in slot.reach:
                if part.socketed is inserts and any_matches(slot.rule.claims, part):
                    found.setdefault(id(part), at)
    return found


def _left_over(part: PlacedPart, placed: bool, kit: Kit, procedure: Procedure) -> Fault:
    named = shorten(part.line.refs)
    said = " ".join(filter(None, (f"{part.board}:", named, part.value, f"({part.kind}, {part.mount})")))
    if part.socketed:
        lost, hint = "puts into its socket", "add a stage with `action: insert` and a rule for it"
    elif placed:
        lost, hint = (
            "solders",
            "it is placed by one stage; a later stage has to take it with `action: solder`",
        )
    else:
        lost = "takes"
        hint = f"add a rule such as `- {{kind: {part.kind}, mount: {part.mount}}}` to one of its stages"
    where = f"{kit.file or kit.name}:{part.line.line}" if part.line.line else kit.file or kit.name
    return Fault(what=f"no stage of the procedure {procedure.name!r} {lost} {said}", where=where, hint=hint)


def _steps(
    slot: _Slot,
    kit: Kit,
    sections: tuple[str, ...],
    size: int,
    own_checks: Sequence[Check],
    trims: Sequence[Trim],
    places: Mapping[str, Point],
) -> tuple[Step, ...]:
    """The steps of a slot: tasks, parts, adjustments, checks."""
    unpowered = kit.passive and _about_power(slot.rule)
    if unpowered and not own_checks:
        return ()
    danger = danger_of(kit)
    rule = structs.replace(slot.rule, cautions=_stage_cautions(slot, danger))
    cautions = tuple(each.say for each in rule.cautions if not each.when)
    free = "designator" not in rule.order
    ranked = part_steps(slot.taken, rule, _site(slot, kit, sections, size, places if free else {}))
    slot.ranks = {step.key: rank for step, rank in ranked} if free else {}
    steps = [
        *(_task_steps(slot, kit, cautions) if slot.taken or trims or not rule.trims else ()),
        *(step for step, _ in ranked),
        *(trim_step(slot.name, trim, cautions, hands_off=danger.hands_off) for trim in trims),
    ]
    if rule.hold:
        checks = _checks(structs.replace(rule, checks=()) if unpowered else rule, kit, slot.reach, own_checks)
        steps += check_steps(slot.name, checks or (go_on(slot.name),), cautions)
    return told_apart(steps)


def _site(slot: _Slot, kit: Kit, sections: tuple[str, ...], size: int, places: Mapping[str, Point]) -> Site:
    return Site(
        stage=slot.name,
        board=slot.board,
        step_size=slot.rule.step_size or size,
        sections=sections,
        names_boards=not slot.rule.per_board and len(kit.boards) > 1,
        places=places,
        placed=slot.placed,
        ac_supply=bool(kit.supply) and all(_AC.search(rail.name) for rail in kit.supply),
        trims={trim.trimmer: trim.name for trim in kit.trims},
        errata=kit.errata,
    )


def _stage_cautions(slot: _Slot, danger: Danger) -> tuple[StageCaution, ...]:
    """Those of the stage that are for this kit, and where power is near what can kill before them."""
    rule = slot.rule
    said = tuple(each for each in rule.cautions if fits(each.can_kill, danger))
    if slot.powered or rule.hold or rule.trims or rule.action == "insert":
        return (*(StageCaution(say=each) for each in hazard_cautions(danger)), *said)
    return said


def _checks(rule: StageRule, kit: Kit, reach: Sequence[PlacedPart], own: Sequence[Check]) -> tuple[Check, ...]:
    """A hold point's checks: the procedure's, the kit's own between those that come first and last."""
    usual, last = (usual_checks(rule.checks, kit, reach, own, last=last) for last in (False, True))
    return with_reasons(merged(usual, own, last), made_rails(kit))


def _about_power(rule: StageRule) -> bool:
    """True for a hold point before power or at first power: a kit that takes none has nothing to wait for."""
    return any("power" in name.casefold() for name in rule.hold)


def _task_steps(slot: _Slot, kit: Kit, cautions: Sequence[str]) -> Iterator[Step]:
    """The stage's tasks, filled in; one with a gap that the kit has nothing for is left out."""
    fillings: dict[str, Callable[[], Sequence[str]]] = {
        "{errata}": lambda: kit.errata,
        "{tools}": lambda: kit.tools,
        "{notes}": lambda: kit.notes,
        "{section}": lambda: (slot.section,),
        "{keep dry}": lambda: (keep_dry(slot.before),),
        "{series}": lambda: tuple(each.words for each in series_resistors(kit)),
    }
    for task in slot.rule.tasks:
        if not fits(task.can_kill, danger_of(kit)):
            continue
        meant = [part for part in slot.reach if any_matches(task.when, part)] if task.when else slot.reach
        if (task.when and not meant) or _any(task.unless, slot.reach):
            continue
        fillings["{parts}"] = partial(_said_of, values_of, meant)
        fillings["{look-alikes}"] = partial(_said_of, mixed_up, meant)
        headline, detail = task.do, task.detail
        wanted = {gap: words() for gap, words in fillings.items() if gap in headline + detail}
        own = bool(wanted.keys() & _AUTHORS)
        if not all(any(words) for words in wanted.values()):
            continue
        for gap, words in wanted.items():
            many = len(words) > 1 and gap != "{tools}"
            filled = "".join(f"\n{each}" for each in words) if many else ", ".join(words)
            headline, detail = headline.replace(gap, filled), detail.replace(gap, filled)
        said, expect = (*task.cautions, *cautions), task.expect
        yield side_step(
            slot.name, slot.board, "do", headline, detail=detail, expect=expect, cautions=said, own=own
        )


def _stage(slot: _Slot, steps: tuple[Step, ...]) -> Stage:
    joints = sum(step.joints for step in steps)
    return Stage(
        name=slot.name,
        board=slot.board,
        steps=steps,
        joints=joints,
        hold=bool(slot.rule.hold),
        count_joints=slot.rule.count_joints and joints > 0,
        about=slot.rule.about.replace("{section}", slot.section),
    )


def _said_of(
    say: Callable[[Sequence[PlacedPart]], Sequence[str]], parts: Sequence[PlacedPart]
) -> Sequence[str]:
    return ("; ".join(say(parts)),)


def _any(rules: Rules, parts: Sequence[PlacedPart]) -> bool:
    return any(any_matches(rules, part) for part in parts)
