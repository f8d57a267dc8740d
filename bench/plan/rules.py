"""A procedure as frozen values: a builder's own stages and the rules by which they take parts."""

from __future__ import annotations

from msgspec import Struct

from bench.kit.kit import PartLine

STAGE_ACTIONS = ("solder", "place", "insert", "fit")
"""What a stage can do with the parts it takes; see `plan.model.ACTIONS`."""
RAILS = ("low", "mains to low")
"""Which rails a check is for: those up to 50 V to 0 V, or pairs of a mains rail and one of those."""
ORDERS = ("kind", "value", "height", "section", "designator", "size")
"""What the steps of a stage can be ordered by."""


class Cluster(Struct, frozen=True, kw_only=True):
    """A part's place among those that it is joined to."""

    number: int
    """Which cluster of the kit, from 1."""
    order: int
    """Its turn in the cluster, from 0."""
    said: str
    """What it is joined to and what comes first, in a sentence; empty where the kit's author says it."""


class PlacedPart(Struct, frozen=True, kw_only=True):
    """One line of the parts list as the plan sees it; a part in a socket gives two: socket and part."""

    line: PartLine
    board: str
    board_number: int
    """Position of the board in the kit, from 0."""
    kind: str
    value: str
    mount: str
    height: int
    joints: int
    """Solder joints for each part."""
    items: tuple[str, ...]
    """`BOARD/REF` or `BOARD/~VALUE~N` of each part, in the order of the line's designators."""
    socketed: bool = False
    """True for a part that is pushed into a socket and not soldered."""
    is_socket: bool = False
    """True for the socket of such a part."""
    cluster: Cluster | None = None
    """Its place among the parts that it is joined to; None when it is joined to none."""
    supply_path: bool = False
    """True for what carries the supply current: fuses, links, jumpers, rectifiers, switches."""
    closes_box: bool = False
    """True for knobs and for what closes the case: a lid, a cover, the case itself."""
    carries_panel: bool = False
    """True for the panel, or the case that the panel parts go through."""
    surface: bool = False
    """True for a part without legs for holes, soldered to pads on the surface."""
    wired: bool = False
    """True for a part off the board that is joined to it by wires; see `traits.on_wires`."""
    role: str = ""
    """One of `ends.ROLES` for a socket, post or terminal that something is plugged into; empty for others."""
    several_boards: bool = False
    """True when its kit has more than one board to solder."""
    side: str = ""
    """Side of the board that its parts sit on; empty when the kit does not say."""
    side_number: int = 0
    """Position of that side among the board's sides, from 0: the side of its first part comes first."""


class Rule(Struct, frozen=True, kw_only=True):
    """Which parts are meant: all that is given must be true of a part, an empty field asks nothing."""

    kinds: tuple[str, ...] = ()
    """Names of `parts.kinds`."""
    mounts: tuple[str, ...] = ()
    heights: tuple[int, ...] = ()
    sections: tuple[str, ...] = ()
    """Folded to lower case, as are `boards` and `values`."""
    boards: tuple[str, ...] = ()
    values: tuple[str, ...] = ()
    socket: bool | None = None
    """True: only parts that go into sockets; False: only parts that do not."""
    joints: bool | None = None
    """True: only parts with solder joints of their own; False: only parts without."""
    several_boards: bool | None = None
    """True: only in kits with more than one board to solder; False: only in kits with one."""
    supply_path: bool | None = None
    """True: only what carries the supply current; False: only what does not. So are the next two."""
    closes_box: bool | None = None
    carries_panel: bool | None = None
    surface: bool | None = None
    wired: bool | None = None
    roles: tuple[str, ...] = ()
    """Of `ends.ROLES`."""
    words: tuple[str, ...] = ()
    """Folded: value, package or note has one of these."""
    no_words: tuple[str, ...] = ()
    """Folded: neither value nor package nor note has any of these."""

    def matches(self, part: PlacedPart) -> bool:
        """Whether the part is one of those meant."""
        return (
            (not self.kinds or part.kind in self.kinds)
            and (not self.heights or part.height in self.heights)
            and (not self.mounts or part.mount in self.mounts)
            and (not self.sections or part.line.section.casefold() in self.sections)
            and (not self.boards or part.board.casefold() in self.boards)
            and (not self.values or part.value.casefold() in self.values)
            and (self.socket is None or part.socketed is self.socket)
            and (self.joints is None or (part.joints > 0) is self.joints)
            and (self.several_boards is None or part.several_boards is self.several_boards)
            and (self.supply_path is None or part.supply_path is self.supply_path)
            and (self.closes_box is None or part.closes_box is self.closes_box)
            and (self.carries_panel is None or part.carries_panel is self.carries_panel)
            and (self.surface is None or part.surface is self.surface)
            and (self.wired is None or part.wired is self.wired)
            and (not self.roles or part.role in self.roles)
            and (not self.words or _says(part, self.words))
            and (not self.no_words or not _says(part, self.no_words))
        )


def _says(part: PlacedPart, words: tuple[str, ...]) -> bool:
    said = f"{part.value} {part.line.package} {part.line.note}".casefold()
    return any(word in said for word in words)


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
    cautions: tuple[str, ...] = ()
    when: Rules = ()
    """Left out when no part of the board (or module) matches."""
    can_kill: bool | None = None


class UsualCheck(Struct, frozen=True, kw_only=True):
    """A check that a procedure asks for in every kit; fields as in `kit.model.Check`, with places to fill.

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
    file: str = ""
    """The file it came from, as given."""
    digest: str = ""
    """SHA-256 of the file's bytes, hexadecimal."""
