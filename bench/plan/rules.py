"""A procedure as frozen values: a builder's own stages and the rules by which they take parts."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from bench.plan.conditions import Condition
    from bench.plan.placed_part import PlacedPart

STAGE_ACTIONS = ("solder", "place", "insert", "fit")
"""What a stage can do with the parts it takes; see `plan.plan.ACTIONS`."""
RAILS = ("low", "mains to low")
"""Which rails a check is for: those up to 50 V to 0 V, or pairs of a mains rail and one of those."""
ORDERS = ("kind", "value", "height", "section", "designator", "size")
"""What the steps of a stage can be ordered by."""


class Rule(Struct, frozen=True):
    """Which parts are meant: all that is asked must be true of a part."""

    asks: dict[str, tuple[str | int | bool, ...]] = {}
    """Key of each of the `CONDITIONS` that it names, with what will do; empty: every part is meant."""

    def matches(self, part: PlacedPart) -> bool:
        """Whether the part is one of those meant."""
        conditions = _conditions()
        for key, wanted in self.asks.items():  # noqa: SIM110  (called for each part and stage)
            if not conditions[key].met(part, wanted):
                return False
        return True


@cache
def _conditions() -> Mapping[str, Condition]:
    """The conditions, imported when a plan is made: opening a build needs none of them."""
    from bench.plan.conditions import CONDITIONS

    return CONDITIONS


Rules = tuple[Rule, ...]
"""Alternatives: a part is meant when one of them matches."""


def any_matches(rules: Rules, part: PlacedPart) -> bool:
    """Whether one of the rules matches the part."""
    for rule in rules:  # noqa: SIM110  (called for each part and stage; a generator doubles the time)
        if rule.matches(part):
            return True
    return False


class StageCaution(Struct, frozen=True, kw_only=True):
    """A caution for the steps of a stage."""

    say: str
    when: Rules = ()
    """Only for these parts; for all steps of the stage when empty."""
    can_kill: bool | None = None
    """True: only in kits with more than 50 V in them (`kit.danger`); False: only in others. So in `Task` and
    `UsualCheck`."""
    always: bool = False
    """True: said at every step that it belongs to, like a hazard."""


class Task(Struct, frozen=True, kw_only=True):
    """Something to do that places no part."""

    do: str
    """The headline."""
    detail: str = ""
    expect: str = ""
    """What a reading taken here should be; empty where none is."""
    cautions: tuple[str, ...] = ()
    when: Rules = ()
    """Left out when no part of the board (or module) matches."""
    unless: Rules = ()
    """Left out when one does."""
    can_kill: bool | None = None


class UsualCheck(Struct, frozen=True, kw_only=True):
    """A check that a procedure asks for in every kit; fields as in `kit.kit.Check`, with places to fill.

    `{rail}` makes one check for each supply rail of the kit, `{other rail}` one for each pair of rails,
    `{current}` is the current the maker states for the rail, `{series}` names the series resistors for first
    power; a check with that gap is left out where there are none. `{parts}` names the parts that match `when`,
    but for those that the kit's own checks at this hold point name; left out where none is left.
    """

    where: str
    expect: str = ""
    how: str = ""
    unplug: str = ""
    when: Rules = ()
    """Left out when no part of the module matches."""
    unless: Rules = ()
    """Left out when a part of the module matches."""
    alone: bool = False
    """True: only where nothing else is checked at this hold point."""
    can_kill: bool | None = None
    rails: str = RAILS[0]
    """Which rails the gaps stand for, one of `RAILS`."""
    last: bool = False
    """True: comes after the kit's own checks, not before them."""


class StageRule(Struct, frozen=True, kw_only=True):
    """One stage of a procedure."""

    name: str
    """With `{section}` where a stage that is repeated for each section wants the section's name."""
    per_board: bool
    """True: once for each board; False: once for the module."""
    each_section: bool = False
    """True: once for each section of the kit. Neighbouring stages of this sort are repeated together."""
    takes: Rules = ()
    claims: Rules = ()
    """Those of `takes` that come before the rules of earlier stages."""
    action: str = "solder"
    """One of `STAGE_ACTIONS`."""
    order: tuple[str, ...] = ("kind", "value")
    """Some of `ORDERS`."""
    cautions: tuple[StageCaution, ...] = ()
    count_joints: bool = False
    about: str = ""
    tasks: tuple[Task, ...] = ()
    """Done before the stage's parts, checks and adjustments."""
    hold: tuple[str, ...] = ()
    """Names of the kit's hold points that belong here; empty when the stage is no hold point."""
    checks: tuple[UsualCheck, ...] = ()
    trims: bool = False
    """True: the kit's adjustments are made here."""
    when: Rules = ()
    """The whole stage is left out when no part of the board (or module) matches."""
    step_size: int = 0
    """Most parts in one step of this stage; 0 leaves it to the procedure."""
    line: int = 0
    """Line in the procedure file, from 1."""


class Procedure(Struct, frozen=True, kw_only=True):
    """A builder's own order of work."""

    name: str
    about: str = ""
    step_size: int = 10
    """Most parts in one step."""
    stages: tuple[StageRule, ...]
    digest: str = ""
    """SHA-256 of the file's bytes, hexadecimal."""
