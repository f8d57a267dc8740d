"""Whether a batch fits its case: width, height, depth, supply current, connectors. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from typing import NamedTuple

from msgspec import Struct

from bench.batch.packing import pack
from bench.kit.case import Case, rail_key
from bench.kit.kit import Kit, PartLine
from bench.parts.english import join
from bench.parts.kinds import with_role
from bench.parts.panels import PanelError, Slots, height_units, millimetres, panel_slots
from bench.parts.quantity import QuantityError, parse_quantity

TIGHT_MM = Decimal(10)
"""Less room than this behind a module is worth a word: some makers measure depth without the plug."""
FAR_BELOW = Decimal("0.7")
"""A reading below this part of what the maker states is worth a word."""
_POWER_SECTIONS = ("power", "supply")


class Module(Struct, frozen=True, kw_only=True):
    """One module that is to go into the case."""

    key: str
    title: str
    kit: Kit
    measured: Mapping[str, Decimal] = {}
    """Amperes read at first power, by the name of the rail."""


class InRow(Struct, frozen=True, kw_only=True):
    """One row of the case with what goes into it."""

    hp: int
    """Its width."""
    used: int
    """HP taken."""
    titles: tuple[str, ...]

    @property
    def free(self) -> int:
        """HP left."""
        return self.hp - self.used


class Misfit(NamedTuple):
    """What does not fit, and by how much."""

    title: str
    """The module, or the rail."""
    what: str
    """In words, with the amount."""


class Share(Struct, frozen=True, kw_only=True):
    """What one module takes from a rail."""

    title: str
    amperes: Decimal
    measured: bool
    """True for a reading, False for what the maker states."""
    stated: Decimal | None = None
    """What the maker states, in amperes; None when that is not understood."""


class RailLoad(Struct, frozen=True, kw_only=True):
    """One rail with all that hangs on it."""

    name: str
    amperes: Decimal
    """The sum of the shares."""
    rating: Decimal | None
    """What the supply gives, in amperes; None when the case does not say."""
    usable: Decimal | None
    """The rating less the headroom."""
    shares: tuple[Share, ...]

    @property
    def measured(self) -> int:
        """How many of its shares were measured."""
        return sum(share.measured for share in self.shares)


class Connection(Struct, frozen=True, kw_only=True):
    """How a module is joined to the supply."""

    title: str
    how: str
    """Designator, value and kind; empty when the kit does not say."""
    keyed: bool | None
    """True when the plug goes in one way round only; None when that is not known."""
    cautions: tuple[str, ...]


class RackCheck(Struct, frozen=True, kw_only=True):
    """What a case holds and what it does not."""

    case: Case
    hp: int
    """HP of all panels together."""
    rows: tuple[InRow, ...]
    rails: tuple[RailLoad, ...]
    misfits: tuple[Misfit, ...]
    connections: tuple[Connection, ...]
    outside: tuple[str, ...]
    """Modules in a case of their own."""
    remarks: tuple[str, ...]
    """What is not known, or worth a look."""

    @property
    def fits(self) -> bool:
        """True when nothing is known that does not fit."""
        return not self.misfits


def check_rack(modules: Sequence[Module], case: Case) -> RackCheck:
    """Everything about modules and case, as far as both are known."""
    inside = [module for module in modules if not module.kit.own_case]
    misfits: list[Misfit] = []
    remarks: list[str] = []
    widths: list[tuple[Module, Slots]] = []
    hp = 0
    for module in inside:
        slots = _slots(module, remarks)
        hp += slots.hp if slots else 0
        if slots is not None and _stands_in(module, slots, case, misfits):
            widths.append((module, slots))
        _depth(module, case, misfits, remarks)
    rows = _rows(widths, case, misfits)
    rails = tuple(_rails(inside, case, remarks))
    misfits += [found for rail in rails for found in _overload(rail, case)]
    return RackCheck(
        case=case,
        hp=hp,
        rows=rows,
        rails=rails,
        misfits=tuple(misfits),
        connections=tuple(_connection(module) for module in inside if module.kit.supply),
        outside=tuple(module.title for module in modules if module.kit.own_case),
        remarks=tuple(remarks),
    )


# -- room -----------------------------------------------------------------------------------------
def _slots(module: Module, remarks: list[str]) -> Slots | None:
    if not module.kit.panel_width:
        remarks.append(f"{module.title}: no panel width given; counted as 0 HP.")
        return None
    try:
        slots = panel_slots(module.kit.panel_width)
    except PanelError as error:
        remarks.append(f"{module.title}: its panel width {error.what}.")
        return None
    if not slots.on_grid:
        said = f"{module.title}: a panel of {module.kit.panel_width} is off the grid and takes {slots.hp} HP."
        remarks.append(said)
    return slots


def _stands_in(module: Module, slots: Slots, case: Case, misfits: list[Misfit]) -> bool:
    """Whether it is worth looking for a row."""
    if module.kit.panel_height and case.units:
        try:
            needs = height_units(module.kit.panel_height)
        except PanelError as error:
            misfits.append(Misfit(module.title, f"its panel height {error.what}"))
            return False
        if needs != case.units:
            misfits.append(Misfit(module.title, f"a panel of {needs} U, and the rows have {case.units} U"))
            return False
    if case.rows and slots.hp > max(case.rows):
        over = slots.hp - max(case.rows)
        misfits.append(Misfit(module.title, f"{slots.hp} HP, {over} HP wider than any row"))
        return False
    return True


def _depth(module: Module, case: Case, misfits: list[Misfit], remarks: list[str]) -> None:
    if case.depth_mm is None:
        return
    try:
        depth = millimetres(module.kit.panel_depth) if module.kit.panel_depth else None
    except PanelError:
        depth = None
    if depth is None:
        remarks.append(f"{module.title}: depth not given.")
    elif depth > case.depth_mm:
        misfits.append(Misfit(module.title, f"{depth - case.depth_mm:f} mm too deep"))
    elif case.depth_mm - depth < TIGHT_MM and module.kit.supply:
        room = case.depth_mm - depth
        remarks.append(f"{module.title}: {room:f} mm are left behind it; does its depth count the plug?")


def _rows(widths: Sequence[tuple[Module, Slots]], case: Case, misfits: list[Misfit]) -> tuple[InRow, ...]:
    places = pack([slots.hp for _, slots in widths], case.rows)
    rows = []
    for number, hp in enumerate(case.rows):
        here = [pair for pair, place in zip(widths, places, strict=True) if place == number]
        titles = tuple(module.title for module, _ in here)
        rows.append(InRow(hp=hp, used=sum(slots.hp for _, slots in here), titles=titles))
    if rows:
        widest = max(row.free for row in rows)
        for (module, slots), place in zip(widths, places, strict=True):
            if place is None:
                what = f"no row has {slots.hp} HP left: {slots.hp - widest} HP short"
                misfits.append(Misfit(module.title, what))
    return tuple(rows)


# -- current --------------------------------------------------------------------------------------
def _rails(modules: Sequence[Module], case: Case, remarks: list[str]) -> Iterator[RailLoad]:
    ratings = {rail_key(rail.name): rail.amperes for rail in case.rails}
    names = {rail_key(rail.name): rail.name for rail in case.rails}
    shares: dict[str, list[Share]] = {}
    for module in modules:
        measured = {rail_key(name): amperes for name, amperes in module.measured.items()}
        for rail in module.kit.supply:
            key = rail_key(rail.name)
            names.setdefault(key, rail.name)
            stated, read = _amperes(rail.current), measured.get(key)
            found = stated if read is None else read
            if found is None:
                remarks.append(f"{module.title}: its current from {rail.name} is not known.")
                continue
            share = Share(title=module.title, amperes=found, measured=read is not None, stated=stated)
            shares.setdefault(key, []).append(share)
            if read is not None and stated and read < stated * FAR_BELOW:
                remarks.append(
                    f"{module.title}: {current(read)} were measured at {rail.name}, and the maker states "
                    f"{current(stated)}: was it working fully when you took that reading?"
                )
    for key, name in names.items():
        here, rating = sorted(shares.get(key, ()), key=lambda share: -share.amperes), ratings.get(key)
        yield RailLoad(
            name=name,
            amperes=sum((share.amperes for share in here), Decimal(0)),
            rating=rating,
            usable=None if rating is None else rating * (100 - case.headroom_percent) / 100,
            shares=tuple(here),
        )


def _amperes(text: str) -> Decimal | None:
    try:
        found = parse_quantity(text, "ampere")
    except QuantityError:
        return None
    return found.amount if found.unit == "ampere" else None


def _overload(rail: RailLoad, case: Case) -> Iterator[Misfit]:
    if not case.rails or not rail.shares:
        return
    if rail.rating is None or rail.usable is None:
        titles = [share.title for share in rail.shares]
        verb = "wants" if len(titles) == 1 else "want"
        yield Misfit(rail.name, f"the case has no such rail, and {join(titles)} {verb} it")
    elif (over := rail.amperes - rail.rating) > 0:
        yield Misfit(rail.name, f"{current(over)} more than the supply is rated for")
    elif (over := rail.amperes - rail.usable) > 0:
        yield Misfit(rail.name, f"{current(over)} into the {case.headroom_percent} % of headroom")


def current(amperes: Decimal) -> str:
    """A current for people, in mA.

    >>> current(Decimal("1.2")), current(Decimal("0.0305"))
    ('1200 mA', '30.5 mA')
    """
    return f"{(amperes * 1000).quantize(Decimal('0.1')).normalize():f} mA"


# -- connectors -----------------------------------------------------------------------------------
def _connection(module: Module) -> Connection:
    rails = {rail_key(rail.name) for rail in module.kit.supply}
    lines = [part for board in module.kit.boards for part in board.parts]
    sockets = [part for part in lines if part.kind in with_role("power plug") and _powers(part, rails)]
    cables = [part for part in lines if part.kind == "cable"]
    if not sockets:
        return Connection(
            title=module.title, how="", keyed=None,
            cautions=("The kit does not say how it connects to the supply: find plus, minus and 0 V first.",),
        )  # fmt: skip
    open_ones = [part for part in sockets if part.kind != "box header"]
    keyed = not open_ones
    own = tuple(caution for part in (*sockets, *cables) for caution in part.cautions)
    usual = () if keyed else (
        f"Nothing stops {_named(open_ones)} being connected the wrong way round or one pin off: "
        "check each wire twice.",
    )  # fmt: skip
    how = ", ".join(" ".join((*part.refs, part.value, part.kind)) for part in sockets)
    return Connection(title=module.title, how=how, keyed=keyed, cautions=(*usual, *own))


def _named(parts: Sequence[PartLine]) -> str:
    return ", ".join(" ".join(part.refs) or part.kind for part in parts)


def _powers(part: PartLine, rails: set[str]) -> bool:
    on_rail = any(rail_key(net) in rails for net in part.nets)
    return on_rail or (not part.nets and part.section.casefold() in _POWER_SECTIONS)
