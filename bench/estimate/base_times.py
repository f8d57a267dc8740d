"""Base times: the prior for how long a step takes a new builder, in seconds at the bench.

Every figure here is our own guess, from memory of kits built by hand, and no published value: the builder's
own log outweighs it within a stage or two (see `pace_model`). Only the proportions between kinds of work stay
longer.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from collections.abc import Set as AbstractSet

from bench.estimate.observations import GroupLeft, StageLeft
from bench.parts.kinds import KINDS, USUAL_SECONDS
from bench.plan.plan import Plan, Stage, Step

JOINT_SECONDS = 9.0
"""One joint: heat, solder, look, cut (own guess)."""

STEP_SECONDS = 15.0
"""Read a step and find the bag, once for each step (own guess)."""

STAGE_SECONDS = 30.0
"""Turn to another stage: other tools, another board in the holder (own guess)."""

COUNT_SECONDS = (25.0, 0.6)
"""Count the joints of a stage: once, and for each joint (own guess)."""

_OTHER_SECONDS = {"place": 22.0, "insert": 45.0, "fit": 35.0, "do": 140.0, "check": 75.0, "adjust": 420.0}
"""One part set in place, pushed in or fitted; one task, check or adjustment (own guess)."""

COUNTING = "count joints"
"""The group of the time in which joints are counted."""

TASKS = "tasks: "
"""What the groups of tasks, checks and adjustments begin with; the stage's name follows."""


def group_of(step: Step) -> str:
    """Which speed a step tells of: the kind of part soldered in, another action, or a stage's tasks.

    >>> group_of(Step(key="k", stage="Trim", board="", action="adjust", value="Scale", items=("/!Trim!Scale",)))
    'tasks: Trim'
    """
    if step.action in ("do", "check", "adjust"):
        return TASKS + step.stage
    return step.kind if step.action == "solder" else step.action


def guess_seconds(step: Step) -> float:
    """The starting guess for a whole step, in seconds."""
    count = len(step.items)
    if step.action == "solder":
        part = KINDS[step.kind].seconds if step.kind in KINDS else USUAL_SECONDS
        return STEP_SECONDS + part * count + JOINT_SECONDS * step.joints
    if step.action in ("do", "check", "adjust"):
        return _OTHER_SECONDS[step.action] * count
    return STEP_SECONDS + _OTHER_SECONDS.get(step.action, USUAL_SECONDS) * count


def counting_seconds(stage: Stage) -> float:
    """The starting guess for counting a stage's joints; 0 where nobody asks."""
    return COUNT_SECONDS[0] + COUNT_SECONDS[1] * stage.joints if stage.count_joints and stage.joints else 0.0


def guesses(plan: Plan) -> dict[str, float]:
    """Step key -> the starting guess in seconds; the first step of a stage carries turning to it."""
    found: dict[str, float] = {}
    for stage in plan.stages:
        for number, step in enumerate(stage.steps):
            found[step.key] = guess_seconds(step) + (0.0 if number else STAGE_SECONDS)
    return found


def late_exposures(plan: Plan) -> list[float]:
    """For each stage, how many joints' worth of hidden faults come to light in it.

    What was soldered is looked at, measured and tried in the steps after the first soldering that make no
    joints; the plan's joints are shared out evenly among those.
    """
    begun = False
    late: list[int] = []
    for stage in plan.stages:
        late.append(sum(not step.joints for step in stage.steps) if begun else 0)
        begun = begun or stage.joints > 0
    return [plan.joints * many / max(1, sum(late)) for many in late]


def stages_left(
    plan: Plan,
    done: AbstractSet[str],
    counted: Collection[tuple[str, str]] = (),
    guess: Mapping[str, float] | None = None,
) -> tuple[StageLeft, ...]:
    """What is left of each stage with something left to do, in the order of the plan.

    `done` are the items that are done, `counted` the stages whose joints were counted.
    """
    guess = guess or guesses(plan)
    late = late_exposures(plan)
    found = [
        _left(stage, done, counted, guess, exposure) for stage, exposure in zip(plan.stages, late, strict=True)
    ]
    return tuple(stage for stage in found if stage is not None)


def step_left(step: Step, done: AbstractSet[str], seconds: float) -> StageLeft | None:
    """What is left of one step whose starting guess is `seconds`; None when it is done."""
    share = sum(item not in done for item in step.items) / max(1, len(step.items))
    if not share:
        return None
    group = GroupLeft(group=group_of(step), guess=seconds * share, squares=(seconds * share) ** 2)
    return StageLeft(place=(step.stage, step.board), groups=(group,), joints=step.joints * share, late=0.0)


def _left(
    stage: Stage,
    done: AbstractSet[str],
    counted: Collection[tuple[str, str]],
    guess: Mapping[str, float],
    exposure: float,
) -> StageLeft | None:
    left = [each for step in stage.steps if (each := step_left(step, done, guess[step.key]))]
    if not left:
        return None
    sums: dict[str, tuple[float, float]] = {}
    counting = counting_seconds(stage)
    if counting and stage.key not in counted:
        sums[COUNTING] = (counting, counting * counting)
    for each in left:
        (group,) = each.groups
        total, squares = sums.get(group.group, (0.0, 0.0))
        sums[group.group] = (total + group.guess, squares + group.squares)
    quiet = sum(not step.joints for step in stage.steps)
    return StageLeft(
        place=stage.key,
        groups=tuple(GroupLeft(group=name, guess=g, squares=s) for name, (g, s) in sums.items()),
        joints=sum(each.joints for each in left),
        late=exposure * sum(not each.joints for each in left) / quiet if quiet else 0.0,
    )
