"""What a screen needs to know of a build, as one frozen value; pure."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from msgspec import Struct
from msgspec.structs import replace

from bench.log.events import ReadingTaken
from bench.log.progress import HeldStep, Progress
from bench.log.unit_names import titled
from bench.plan.cautions import Caution, FirstOfKind
from bench.plan.plan import Plan, Stage, Step, counted_together
from bench.session.at_once import ticked_with
from bench.session.verdicts import expects_a_number, limit_fault
from bench.session.warned import InHand, Warned, cautions_at, concern, held_items, same_parts, warned_of


class UnitMark(Struct, frozen=True, kw_only=True):
    """One of several units side by side, at the step on screen."""

    name: str
    state: str
    """`done`, `open`, or `aside` where the unit is passed over."""


class StageLine(Struct, frozen=True, kw_only=True):
    """One stage in the overview."""

    name: str
    board: str
    state: str
    """`done`, `now`, `held` (nothing left but what is held back), or `ahead`."""
    steps_done: int
    steps: int
    seconds: float
    """Bench time so far."""
    hold: bool


class StepView(Struct, frozen=True, kw_only=True):
    """Everything that the work screen shows."""

    kit: str
    step: Step | None
    """The step on screen; None when all is done, or all that is left is held back."""
    refs_left: tuple[str, ...] = ()
    """Designators of the step that are still to be done."""
    items_left: int = 0
    """How many parts of the step are still to be done."""
    zones_left: tuple[str, ...] = ()
    """The zone of each of them; empty when no position is known."""
    turned_over: bool = False
    """True when the last parts placed sit on the other side of the same board."""
    refs_done: tuple[str, ...] = ()
    """Designators of the step that are already done."""
    stage_number: int = 0
    """Which stage, from 1."""
    stages: tuple[StageLine, ...] = ()
    step_number: int = 0
    """Which step of its stage, from 1."""
    steps_in_stage: int = 0
    value_changed: bool = False
    """True when the step before in this stage had another value."""
    previous_value: str = ""
    previous_tolerance: str = ""
    """Tolerance of the step before when it had the same value and another tolerance."""
    at_once: tuple[Step, ...] = ()
    """Tasks that the press for this step ticks as well."""
    next_step: Step | None = None
    """What comes after this step, passing over what is done or held back."""
    in_hand: InHand | None = None
    """What goes in where another part was named than the listed one."""
    cautions: tuple[Caution, ...] = ()
    """What to say at this step, in the order in which it is said."""
    cautions_before: tuple[Caution, ...] = ()
    """Usual cautions that an earlier step has said."""
    parts_done: int = 0
    parts: int = 0
    """Parts and tasks in all: items of the plan."""
    joints_done: int = 0
    joints: int = 0
    held: tuple[HeldStep, ...] = ()
    held_up_by: tuple[HeldStep, ...] = ()
    """At a hold point: what was held back before it and must be settled first."""
    looking: bool = False
    """True when the screen shows another step than the one at work."""
    looking_done: bool = False
    """True when the step looked at is done."""
    finished: bool = False
    on_break: bool = False
    read_only: bool = False
    why_read_only: str = ""
    count_for: tuple[str, str] | None = None
    """Stage and board whose joints should be counted now."""
    alikes: tuple[Warned, ...] = ()
    """What its parts can be mistaken for on this board: neighbours first, then the worst."""
    substitutes: tuple[str, ...] = ()
    """Substitutions that concern the step on screen, in words."""
    readings: tuple[ReadingTaken, ...] = ()
    """What was read at this step, oldest first."""
    verdict: str = ""
    """What the last reading at this step means and what to do next, where it is not within its limits."""
    wants_reading: bool = False
    """At a hold point: True until a reading is within its limits or the builder overrode it with a reason."""
    limit_fault: str = ""
    """At a hold point: why the kit's limit cannot be read or met, and where it stands; it stays shut until the
    builder overrides it with a reason."""
    too_close: bool = False
    """At a hold point: True while its last reading is too close to call and not yet accepted."""
    danger: tuple[str, ...] = ()
    """At a hold point: what in this kit can kill, while nobody has answered for it."""
    bag_words: tuple[str, ...] = ()
    """What was missing in the bag, and what was measured ahead."""
    left_open: tuple[str, ...] = ()
    """As a hold point begins and when all is done: snags without a fix, and joint counts that are off."""
    open_again: str = ""
    """Why the step was done and is open again, in words; empty when it was not."""
    unit: str = ""
    """Which of several units side by side; empty for a build alone."""
    units: tuple[UnitMark, ...] = ()
    """Each of them at this step."""
    reminder: str = ""
    """What the builder's own record says of parts like these; empty when it has too little to say."""

    @property
    def part(self) -> Step | None:
        """The step with what goes in at it: its kind, value and package may be those of a substitute."""
        return self.in_hand.part if self.in_hand is not None else self.step

    @property
    def ways(self) -> tuple[str, ...]:
        """Which way round what goes in at this step goes."""
        if self.in_hand is not None:
            return self.in_hand.ways
        return (self.step.orientation,) if self.step is not None and self.step.orientation else ()

    def with_all_cautions(self) -> StepView:
        """The same bench with every caution of the step said."""
        return replace(self, cautions=(*self.cautions, *self.cautions_before), cautions_before=())

    @property
    def stage(self) -> StageLine | None:
        """The stage on screen."""
        return self.stages[self.stage_number - 1] if self.stage_number else None


class Outline:
    """A plan made ready for quick questions; made once for each plan."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.steps = plan.steps
        self.index = {step.key: position for position, step in enumerate(self.steps)}
        self.stage_of: list[int] = []
        self.start_of: list[int] = []
        for number, stage in enumerate(plan.stages):
            self.start_of.append(len(self.stage_of))
            self.stage_of.extend([number] * len(stage.steps))
        self.items = frozenset(item for step in self.steps for item in step.items)
        self.cautions = FirstOfKind(self.steps)
        self.joints_of = {step.key: step.joints for step in self.steps}
        self.counted_at = counted_together(plan.stages)

    def current(self, progress: Progress) -> int | None:
        """Position of the first step that is neither done nor held back."""
        return self.open_after(progress, -1)

    def step_at_work(self, progress: Progress) -> Step | None:
        """The step at `current`."""
        position = self.current(progress)
        return None if position is None else self.steps[position]

    def stage_at(self, position: int) -> Stage:
        """The stage that a step belongs to."""
        return self.plan.stages[self.stage_of[position]]

    def open_after(self, progress: Progress, position: int) -> int | None:
        """Position of the next step after `position` with something left to do."""
        held = held_items(progress)
        for later in range(position + 1, len(self.steps)):
            if any(item not in progress.done and item not in held for item in self.steps[later].items):
                return later
        return None


def refs_of(step: Step, items: Iterable[str]) -> tuple[str, ...]:
    """The designators of a step that belong to these of its items."""
    wanted = set(items)
    return tuple(ref for ref, item in zip(step.refs, step.items, strict=False) if item in wanted)


def zones_of(step: Step, refs: Iterable[str]) -> tuple[str, ...]:
    """The zone of each of these designators of a step; empty when none is known."""
    known = dict(zip(step.refs, step.zones, strict=False))
    return tuple(known.get(ref, "") for ref in refs) if known else ()


def joints_of(step: Step, items: Iterable[str]) -> int:
    """Joints made by doing these items of a step: its joints shared out evenly among its items."""
    return step.joints * len(list(items)) // max(1, len(step.items))


def joints_added(step: Step, items: Iterable[str], progress: Progress) -> int:
    """Joints made by doing these items of a step after those that are done."""
    before = [item for item in step.items if item in progress.done]
    return joints_of(step, [*before, *items]) - joints_of(step, before)


def stage_joints(stage: Stage, progress: Progress) -> int:
    """Joints made so far in a stage, from the items that are done."""
    return sum(joints_of(step, [item for item in step.items if item in progress.done]) for step in stage.steps)


def to_count(outline: Outline, progress: Progress) -> tuple[str, str] | None:
    """The stage that was just finished and after which joints are counted, while nobody has."""
    last = progress.last_done
    stages = outline.counted_at.get((last.stage, last.board), ()) if last else ()
    if not stages or stages[-1].key in {count.place for count in progress.counts}:
        return None
    held = held_items(progress)
    items = (item for step in stages[-1].steps for item in step.items)
    over = all(item in progress.done or item in held for item in items)
    return stages[-1].key if over and any(stage_joints(stage, progress) for stage in stages) else None


def stage_lines(outline: Outline, progress: Progress, now: int | None) -> tuple[StageLine, ...]:
    """The overview of all stages; `now` is the number of the stage at work, from 0."""
    held = held_items(progress)
    lines = []
    for number, stage in enumerate(outline.plan.stages):
        finished = sum(progress.done.issuperset(step.items) for step in stage.steps)
        waiting = bool(held) and any(not held.isdisjoint(step.items) for step in stage.steps)
        if number == now:
            state = "now"
        elif finished == len(stage.steps):
            state = "done"
        elif waiting and (now is None or number < now):
            state = "held"
        else:
            state = "ahead"
        lines.append(
            StageLine(
                name=stage.name,
                board=stage.board,
                state=state,
                steps_done=finished,
                steps=len(stage.steps),
                seconds=progress.stage_seconds.get(stage.key, 0.0),
                hold=stage.hold,
            )
        )
    return tuple(lines)


def bench_view(
    outline: Outline,
    progress: Progress,
    *,
    looking_at: int | None = None,
    kills: Callable[[], tuple[str, ...]] = tuple,
    reminders: Mapping[str, str] = {},
) -> StepView:
    """What the bench shows; `looking_at` is the position of a step to show instead of the one at work.

    `kills` tells what in the kit somebody has to answer for before power (`kit.danger`).
    `reminders`: kind of part -> what the builder's record says of it.
    """
    current = outline.current(progress)
    stages = stage_lines(outline, progress, None if current is None else outline.stage_of[current])
    done_items = len(progress.done & outline.items)
    position = current if looking_at is None else max(0, min(looking_at, len(outline.steps) - 1))
    common = StepView(
        kit=titled(outline.plan.kit, progress.unit),
        step=None,
        stages=stages,
        parts_done=done_items,
        parts=len(outline.items),
        joints_done=progress.joints,
        joints=outline.plan.joints,
        held=progress.held,
        finished=current is None and not progress.held,
        on_break=progress.on_break,
        count_for=to_count(outline, progress),
    )
    if position is None or not outline.steps:
        return replace(common, left_open=_left_open(progress))
    view = _with_step(outline, progress, common, position, looking=position != current)
    if reminders and view.step is not None and view.step.action in ("solder", "place", "insert"):
        begins = view.step_number == 1 and reminders.get(f"stage {view.step.stage}", "")
        view = replace(view, reminder=begins or reminders.get(view.step.kind, ""))
    if not view.looking and near_power(outline.stage_at(position)):
        owned = progress.danger_owned
        now = () if owned is not None and not owned.kills else kills()  # an older log does not say what for
        return replace(view, danger=now if owned is None or not set(now) <= set(owned.kills) else ())
    return view


def near_power(stage: Stage) -> bool:
    """Whether power is on in this stage, or about to be."""
    return stage.hold or any(step.action in ("insert", "check", "trim") for step in stage.steps)


def _with_step(
    outline: Outline, progress: Progress, common: StepView, position: int, *, looking: bool
) -> StepView:
    step = outline.steps[position]
    stage_number = outline.stage_of[position]
    stage = outline.plan.stages[stage_number]
    first = outline.start_of[stage_number]
    before = outline.steps[position - 1] if position > first else None
    with_it = (
        () if looking else ticked_with(outline.steps, stage.hold, progress, held_items(progress), position)
    )
    after = outline.open_after(progress, position + len(with_it))
    left = [item for item in step.items if item not in progress.done]
    at_hold = stage.hold and not looking
    cautions, cautions_before = cautions_at(outline.steps, outline.cautions, progress, position)
    hand = _in_hand(step, progress, cautions, cautions_before) if progress.substitutions else None
    if hand is not None:
        cautions, cautions_before = hand.cautions, hand.cautions_before
    return replace(
        common,
        step=step,
        refs_left=(refs_left := refs_of(step, left)),
        items_left=len(left),
        zones_left=zones_of(step, refs_left),
        turned_over=_turned_over(outline, position),
        refs_done=refs_of(step, [item for item in step.items if item in progress.done]),
        stage_number=stage_number + 1,
        step_number=position - first + 1,
        steps_in_stage=len(stage.steps),
        value_changed=_value_changed(before, step),
        previous_value=before.value if before else "",
        previous_tolerance=_previous_tolerance(before, step),
        at_once=with_it,
        next_step=outline.steps[after] if after is not None else None,
        held_up_by=_held_before(outline, progress, stage_number) if at_hold else (),
        looking=looking,
        looking_done=looking and not left,
        readings=(readings := _readings_at(step, progress)),
        wants_reading=(wanted := at_hold and _wants_reading(step, readings, progress)),
        too_close=wanted and bool(readings) and readings[-1].verdict == "too close to call",
        limit_fault=_limit_fault(step, progress) if at_hold else "",
        in_hand=hand,
        cautions=cautions,
        cautions_before=cautions_before,
        alikes=warned_of(outline.steps, progress, position, after),
        substitutes=_substitutes(step, progress),
        open_again=_open_again(step, progress),
        bag_words=_bag_words(step, progress, readings),
        left_open=_left_open(progress) if at_hold and position == first else (),
    )


def _left_open(progress: Progress) -> tuple[str, ...]:
    """What was found on the way and is not settled, in words."""
    snags = [f"snag {each.part} {each.what}".replace("  ", " ") for each in progress.snags if not each.fix]
    counts = [
        f"joints of {' on '.join(filter(None, each.place))}: {each.counted} counted, {each.expected} expected"
        for each in progress.counts
        if each.counted != each.expected
    ]
    return (*snags, *counts)


def _value_changed(before: Step | None, step: Step) -> bool:
    """Whether other parts were in hand at the step before."""
    return bool(before and before.value != step.value and step.refs and before.refs)


def _previous_tolerance(before: Step | None, step: Step) -> str:
    """The tolerance at the step before, where only that changed."""
    if before is None or before.value != step.value or before.tolerance == step.tolerance:
        return ""
    return before.tolerance


def _turned_over(outline: Outline, position: int) -> bool:
    step = outline.steps[position]
    if not step.side:
        return False
    before = next((each for at in range(position - 1, -1, -1) if (each := outline.steps[at]).side), step)
    same_board = before.items[0].partition("/")[0] == step.items[0].partition("/")[0]
    return same_board and before.side != step.side


def _wants_reading(step: Step, readings: tuple[ReadingTaken, ...], progress: Progress) -> bool:
    if not expects_a_number(step.expect) or (readings and readings[-1].verdict == "in"):
        return False
    return not _passed(step, progress)


def _limit_fault(step: Step, progress: Progress) -> str:
    fault = limit_fault(step.expect)
    if not fault or _passed(step, progress):
        return ""
    where = f"line {step.line} of the kit file" if step.line else "the procedure"
    return f"the limit of this check cannot be used ({where}): {fault}"


def _passed(step: Step, progress: Progress) -> bool:
    """Whether the builder overrode this check."""
    since = _open_since(step, progress)
    overridden = (each for each in progress.holds_overridden if each.about != "held back")
    return any(each.step == step.key and each.n > since for each in overridden)


def _readings_at(step: Step, progress: Progress) -> tuple[ReadingTaken, ...]:
    """What was read at a step; where the kit changed after it was done, only what was read since."""
    since = _open_since(step, progress)
    return tuple(each for each in progress.readings if each.step == step.key and each.n > since)


def _open_again(step: Step, progress: Progress) -> str:
    if not progress.reopened:
        return ""
    found = (progress.reopened[item].why for item in step.items if item in progress.reopened)
    return "; ".join(dict.fromkeys(filter(None, found)))


def _open_since(step: Step, progress: Progress) -> int:
    """Number of the event that opened a check again; 0 when it was never done."""
    opened = progress.reopened.get(step.items[0])
    return opened.n if opened else 0


def _held_before(outline: Outline, progress: Progress, stage_number: int) -> tuple[HeldStep, ...]:
    stage = outline.plan.stages[stage_number]
    if any(each.hold == stage.name and each.about == "held back" for each in progress.holds_overridden):
        return ()
    earlier = {each.key for each in outline.plan.stages[:stage_number]}
    return tuple(held for held in progress.held if held.place in earlier)


def told_of(step: Step, progress: Progress) -> tuple[str, ...]:
    """What the log has to say about the parts of a step: replaced, missing in the bag, measured ahead."""
    return (*_substitutes(step, progress), *_bag_words(step, progress, _readings_at(step, progress)))


def _substitutes(step: Step, progress: Progress) -> tuple[str, ...]:
    return tuple(
        f"{each.instead} instead of {each.part}" + (f" ({each.why})" if each.why else "")
        for each in concern(step, progress)
    )


def _bag_words(step: Step, progress: Progress, readings: tuple[ReadingTaken, ...]) -> tuple[str, ...]:
    """What the bag check and measuring ahead say of a step's parts; a reading that is in goes before."""
    if readings and readings[-1].verdict == "in":
        return ()
    words = [
        f"{len(count.items) - count.found} of {len(count.items)} were missing in the bag"
        for count in progress.bag
        if count.found < len(count.items) and same_parts(step, count.items)
    ]
    measured = [each for each in progress.measured if same_parts(step, each.items)]
    if measured and measured[-1].said.startswith("NOT "):
        return (*words, f"measured ahead: {measured[-1].said}")
    return (*words, *([f"measured ahead: {', '.join(each.text for each in measured)}"] if measured else ()))


def _in_hand(
    step: Step, progress: Progress, said: tuple[Caution, ...], before: tuple[Caution, ...]
) -> InHand | None:
    from bench.session.stand_in import (
        in_hand,  # knows all of the kinds of parts: only where there is a substitute
    )

    return in_hand(step, progress, said, before)
