"""Hold points and adjustments: usual checks and the kit's own, brought together; none is dropped."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence

from msgspec import structs

from bench.kit.danger import danger_of
from bench.kit.kit import Check, HoldPoint, Kit, Trim
from bench.plan.cautions import sorts_of
from bench.plan.default_checks import hazard_cautions, how_to_trim, same_place
from bench.plan.grouping import unique
from bench.plan.plan import Stage, Step
from bench.plan.rules import StageRule


def side_step(
    stage: str,
    board: str,
    action: str,
    headline: str,
    *,
    detail: str = "",
    expect: str = "",
    cautions: Sequence[str] = (),
    refs: tuple[str, ...] = (),
    line: int = 0,
    own: bool = False,
) -> Step:
    """A step with one item, named by board, stage and headline; `own` as in `Step`."""
    item = f"{board}/!{stage}!{headline}"
    said = unique(cautions)
    return Step(
        key=item, stage=stage, board=board, action=action, value=headline, refs=refs, items=(item,),
        cautions=said, caution_sorts=sorts_of(said), detail=detail, expect=expect, line=line, own=own,
    )  # fmt: skip


def trim_step(stage: str, trim: Trim, cautions: Sequence[str], *, hands_off: bool = False) -> Step:
    """The step for one adjustment; `hands_off` as for `how_to_trim`."""
    return side_step(
        stage, "", "adjust", trim.name, detail=how_to_trim(trim, hands_off=hands_off), expect=trim.target,
        cautions=cautions, refs=(trim.trimmer,) if trim.trimmer else (), line=trim.line,
    )  # fmt: skip


def told_apart(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps of a stage, the second of two with one headline renamed: each has items of its own."""
    seen: dict[str, int] = {}
    found = []
    for step in steps:
        times = seen[step.key] = seen.get(step.key, 0) + 1
        if times > 1:
            key = f"{step.key} ({times})"
            step = structs.replace(step, key=key, items=(key,), value=f"{step.value} ({times})")
        found.append(step)
    return tuple(found)


_MEASURED = re.compile(
    r"^[A-Z]{1,4}[0-9]+\b|\b(?:and|to) 0 ?V\b|^(?:current|voltage|resistance|reading|level|frequency)\b|"
    r"^[+\-\u2212]?[0-9.,]+ ?V\b"
)
"""Places that a meter is held to: a check of one is a measurement even where the kit expects nothing."""

Built = tuple[Stage, frozenset[str]]
"""A finished stage with the folded names of the kit's hold points it stands for."""


def folded(name: str) -> str:
    """A hold point's name as it is compared."""
    return " ".join(name.split()).casefold()


def belongs(point: HoldPoint, rule: StageRule) -> bool:
    """Whether the kit's hold point is this stage's: by a name it holds for, or by its own name."""
    return bool(rule.hold) and folded(point.name) in (*map(folded, rule.hold), folded(rule.name))


def is_look(check: Check) -> bool:
    """Whether a check asks for eyes and hands alone: lid, mat, glasses, the limit of the bench supply."""
    return not check.expect and not check.unplug and _MEASURED.search(check.where) is None


def share_out(
    points: Sequence[HoldPoint], stages: Sequence[StageRule], usual: Sequence[Sequence[Check]]
) -> dict[int, tuple[Check, ...]]:
    """The kit's checks for each stage that holds for them, by the stage's position.

    Where several stages hold for one point, the first gets what is measured with something unplugged and
    the last gets what else is measured: the way to check with the ICs out first, and again with the ICs in.
    Where one of them has a `usual` check at the same place, the kit's goes there and replaces it.
    What is only looked at stays before all that the kit lists after it, and at the head of the list before
    the switch: in the first stage.
    """
    shares: dict[int, tuple[Check, ...]] = {}
    for point in points:
        places = [at for at, rule in enumerate(stages) if belongs(point, rule)]
        if not places:
            continue
        stage = places[-1]
        found = []
        for at, check in reversed(list(enumerate(point.checks))):
            measured = places[0] if check.unplug else _at_home(check, places, usual)
            here = min(stage, measured) if is_look(check) else measured
            if is_look(check) and all(map(is_look, point.checks[:at])):
                here = places[0]
            stage = min(stage, here)
            found.append((here, check))
        for here, check in reversed(found):
            shares[here] = (*shares.get(here, ()), check)
    return shares


def _at_home(check: Check, places: Sequence[int], usual: Sequence[Sequence[Check]]) -> int:
    """The first of these stages that has a usual check at the same place, else the last of them."""
    spot = same_place(check.where)
    there = (at for at in places if any(same_place(each.where) == spot for each in usual[at]))
    return next(there, places[-1])


def merged(usual: Sequence[Check], own: Sequence[Check], last: Sequence[Check] = ()) -> tuple[Check, ...]:
    """Usual checks, the kit's own, and usual ones that come `last`.

    At the same place the kit's replaces the usual one; what it leaves open (what to expect, how, what to
    unplug) is taken from that. The kit's own keep the kit's order: its looks come first, before anything is
    switched on or measured, and each usual check stays behind the usual one before it.
    """
    alike = {same_place(check.where): check for check in (*last, *usual)}
    mine = [_completed(check, alike.get(same_place(check.where))) for check in own]
    taken = {same_place(check.where) for check in own}
    found: list[Check] = []
    ahead = next((at for at, check in enumerate(own) if not is_look(check)), len(own))
    given = ahead
    found += mine[:ahead]
    for check in usual:
        place = same_place(check.where)
        if place not in taken:
            found.append(check)
            continue
        upto = max(at for at, each in enumerate(own) if same_place(each.where) == place) + 1
        found += mine[given:upto]
        given = max(given, upto)
    return (*found, *mine[given:], *(check for check in last if same_place(check.where) not in taken))


def _completed(check: Check, usual: Check | None) -> Check:
    if usual is None:
        return check
    return structs.replace(
        check,
        expect=check.expect or usual.expect,
        how=check.how or usual.how,
        unplug=check.unplug or usual.unplug,
    )


def check_steps(stage: str, checks: Sequence[Check], cautions: Sequence[str]) -> tuple[Step, ...]:
    """One step for each check."""
    found = []
    for check in checks:
        how = " ".join(filter(None, (f"Out first: {check.unplug}." if check.unplug else "", check.how)))
        found.append(
            side_step(stage, "", "check", check.where, detail=how, expect=check.expect, cautions=cautions,
                      line=check.line)
        )  # fmt: skip
    return tuple(found)


def go_on(name: str, line: int = 0) -> Check:
    """The check of a hold point that has no other."""
    return Check(where=f"{name}: everything is in order", line=line)


def free_name(name: str, used: Container[str]) -> str:
    """The name, with a number when it is used already."""
    free, number = name, 1
    while free in used:
        number += 1
        free = f"{name} ({number})"
    return free


def held_by(rule: StageRule, kit: Kit) -> frozenset[str]:
    """Folded names of the kit's hold points that belong to a stage."""
    return frozenset(folded(point.name) for point in kit.hold_points if belongs(point, rule))


def add_missing(built: list[Built], kit: Kit, *, trims_done: bool) -> tuple[str, ...]:
    """Give hold points and adjustments that the procedure has no stage for stages of their own.

    Puts them into `built` and says, in one sentence each, what was put where.
    """
    said = []
    danger = danger_of(kit)
    hazards = hazard_cautions(danger)
    held = frozenset[str]().union(*(names for _, names in built))
    for point in kit.hold_points:
        if folded(point.name) in held:
            continue
        place = place_for(point, kit, built)
        name = free_name(point.name, {stage.name for stage, _ in built})
        steps = told_apart(check_steps(name, point.checks or (go_on(point.name, point.line),), hazards))
        stage = Stage(name=name, board="", steps=steps, joints=0, hold=True)
        built.insert(place, (stage, frozenset((folded(point.name),))))
        said.append(
            f'The procedure has no stage for the hold point "{point.name}": it comes {_after(built, place)}'
        )
    if kit.trims and not trims_done:
        place = max((at + 1 for at, (stage, _) in enumerate(built) if stage.hold), default=len(built))
        name = free_name("Trim", {stage.name for stage, _ in built})
        steps = told_apart([trim_step(name, trim, hazards, hands_off=danger.hands_off) for trim in kit.trims])
        built.insert(place, (Stage(name=name, board="", steps=steps, joints=0), frozenset()))
        said.append(f"The procedure has no stage for adjustments: they come {_after(built, place)}")
    return tuple(said)


def place_for(point: HoldPoint, kit: Kit, built: Sequence[Built]) -> int:
    """Where a hold point of the kit goes that the procedure has no stage for: a position in `built`.

    The point stays between its neighbours in the kit's list. Within that, what is measured with something
    unplugged comes before the first part is pushed into a socket, anything else after the last part that is
    soldered or pushed in.
    """
    names = [folded(each.name) for each in kit.hold_points]
    mine = names.index(folded(point.name))
    before, after = set(names[:mine]), set(names[mine + 1 :])
    least = max((at + 1 for at, (_, held) in enumerate(built) if held & before), default=0)
    most = min((at for at, (_, held) in enumerate(built) if held & after), default=len(built))
    inserting = [at for at, (stage, _) in enumerate(built) if _does(stage, "insert")]
    working = [at for at, (stage, _) in enumerate(built) if _does(stage, "insert", "solder", "place")]
    early = any(check.unplug for check in point.checks) or folded(point.name).startswith("before")
    wanted = inserting[0] if early and inserting else (working[-1] + 1 if working else len(built))
    return min(max(wanted, least), max(most, least))


def _does(stage: Stage, *actions: str) -> bool:
    return any(step.action in actions for step in stage.steps)


def _after(built: Sequence[Built], place: int) -> str:
    return f'after "{built[place - 1][0].name}"' if place else "first"
