"""A plan as frozen values: stages of steps, in the order of the work.

A count tells something where enough joints wait for it, or before they go out of sight: small stages of a board
are counted with those after them, and nothing is left uncounted before a hold point.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from msgspec import Struct

from bench.kit.counts import PartCount


def part_of(item: str) -> str:
    """The part that an item stands for, without what is done with it.

    >>> part_of("main/U1#socket"), part_of("main/RV1#placed"), part_of("main/R1")
    ('main/U1', 'main/RV1', 'main/R1')
    """
    return item.removesuffix("#placed").removesuffix("#socket")


class Alike(Struct, frozen=True, kw_only=True):
    """A part on the same board that can be mistaken for the step's own."""

    value: str
    refs: tuple[str, ...]
    """Where on the board it goes."""
    kind: str
    reason: str
    """In words."""
    rank: int
    """1 (worst) to 3; see `parts.lookalikes`."""


class Step(Struct, frozen=True, kw_only=True):
    """One thing to do: one value with its designators, or one task, check or adjustment."""

    key: str
    """Unique in the plan, and the same each time the same kit and procedure are planned."""
    stage: str
    board: str
    """Empty for the module as a whole."""
    action: str
    """One of `ACTIONS`."""
    kind: str = ""
    """Kind of part, empty for tasks."""
    value: str
    """The value as written in the kit, or the headline of a task, check or adjustment."""
    refs: tuple[str, ...] = ()
    """Designators in the order in which they are placed: natural order, or short hops over the board."""
    zones: tuple[str, ...] = ()
    """Zone of each designator on its board, such as `C2`; empty when no position is known, see `plan.zones`."""
    side: str = ""
    """Side of the board that its parts sit on, `front` or `back`; empty when the kit does not say."""
    items: tuple[str, ...]
    """What the log records as done; one for each part, or one for a task.

    `BOARD/REF` for a part soldered in, `BOARD/REF#socket` for its socket, `BOARD/REF#placed` for a part
    set in its holes but not yet soldered, `BOARD/~VALUE~N` for hardware without a designator,
    `BOARD/!STAGE!HEADLINE` for a task, check or adjustment.
    """
    joints: int = 0
    """Solder joints made in this step, all its parts together."""
    orientation: str = ""
    """Which way round it goes; empty for parts that go in either way."""
    cautions: tuple[str, ...] = ()
    """The kit's own first, then what concerns this part alone, the stage's, the kind's."""
    caution_sorts: tuple[str, ...] = ()
    """What each caution is about, one of `plan.cautions.SORTS`."""
    detail: str = ""
    """How to do it, in a sentence or two; further lines where there is a list to go through."""
    expect: str = ""
    """For checks and adjustments: what should be found, as written in the kit."""
    marking: str = ""
    package: str = ""
    mount: str = ""
    tolerance: str = ""
    voltage: str = ""
    portion: int = 1
    """When one value is dealt out over several steps: which of them this is, from 1."""
    portions: int = 1
    kind_guessed: bool = False
    optional: bool = False
    own: bool = False
    """True for a task that holds what the kit's author wrote: errata, notes, what must stay dry."""
    joined: bool = False
    """True when its parts are joined to those of the step before or after: the order between them stands."""
    alike: tuple[Alike, ...] = ()
    """What its parts can be mistaken for on this board, worst first."""
    line: int = 0
    """Line in the kit file, 0 for what the procedure adds."""

    @property
    def named(self) -> str:
        """The value, with how many of it there are where no designators tell: `4 x M3x10 spacer`."""
        return self.amount(len(self.items))

    def amount(self, left: int) -> str:
        """The value, with how many of it are left to do where no designators tell."""
        several = self.kind and not self.refs and len(self.items) > 1 and left
        return f"{left} x {self.value}" if several else self.value


class Stage(Struct, frozen=True, kw_only=True):
    """A run of steps that belong together, on one board or on the module."""

    name: str
    board: str
    """Empty for the module as a whole."""
    steps: tuple[Step, ...]
    joints: int
    """Solder joints of all its steps."""
    hold: bool = False
    """True for a hold point: later stages wait until it is done."""
    count_joints: bool = False
    """True when the builder is asked for the number of joints at the end."""
    about: str = ""

    @property
    def key(self) -> tuple[str, str]:
        """What tells it from every other stage: name and board."""
        return (self.name, self.board)


class Plan(Struct, frozen=True, kw_only=True):
    """The whole work on one module."""

    kit: str
    """Title of the kit."""
    procedure: str
    """Name of the procedure."""
    stages: tuple[Stage, ...]
    """In the order of the work; a stage without steps is left out."""
    joints: int
    count: PartCount = PartCount()
    """All parts to place, sockets included, by what is done with them."""
    remarks: tuple[str, ...] = ()
    """What was guessed, and anything else the builder should know before starting."""

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps in order."""
        return tuple(step for stage in self.stages for step in stage.steps)


ACTIONS = ("solder", "place", "insert", "fit", "do", "check", "adjust")
"""What is done in a step: solder a part in; set it in its holes without soldering; push it into its
socket; fit it mechanically; carry out a task; check something at a hold point; adjust a trim."""
PART_ACTIONS = ("solder", "insert", "fit")
"""Actions after which a part is in; one that is only set in its holes is not."""


ENOUGH = 60
"""Joints that are counted as soon as so many wait: more of them are miscounted (common practice, no source)."""
LEAST = 12
"""Fewer wait for the next stages, where there are some before a hold point."""


def counted_together(stages: Sequence[Stage]) -> Mapping[tuple[str, str], tuple[Stage, ...]]:
    """The stages after which joints are counted, each with those whose joints are counted then, itself last.

    Stages of one board are counted together, those of the module with all that wait.
    """
    found: dict[tuple[str, str], tuple[Stage, ...]] = {}
    waiting: dict[str, list[Stage]] = {}

    def count(board: str) -> None:
        if group := waiting.pop(board, []):
            found[group[-1].key] = tuple(group)

    for stage in stages:
        if stage.hold:
            for board in list(waiting):
                count(board)
        elif stage.count_joints and stage.joints:
            if stage.board:
                waiting.setdefault(stage.board, []).append(stage)
            else:
                waiting[""] = [each for group in waiting.values() for each in group] + [stage]
                for board in [each for each in waiting if each]:
                    del waiting[board]
            if _joints(waiting[stage.board]) >= ENOUGH:
                count(stage.board)
        else:
            for board in [each for each in waiting if not stage.board or each in ("", stage.board)]:
                if _joints(waiting[board]) >= LEAST:
                    count(board)
    for board in list(waiting):
        count(board)
    return found


def _joints(stages: Sequence[Stage]) -> int:
    return sum(stage.joints for stage in stages)


def counted_with(stages: Sequence[Stage], places: Collection[tuple[str, str]]) -> frozenset[tuple[str, str]]:
    """All stages whose joints are counted, once they were after those named by their keys."""
    groups = counted_together(stages)
    return frozenset(stage.key for place in places for stage in groups.get(place, ())).union(places)
