"""Rails that parts of the kit make out of its supply, with what they may read and why; pure.

A fixed regulator gives the window of its data sheet. A fuse, a diode or a resistor in series takes something
off: it is in series where the kit names two nets for it that carry the same voltage, such as `+12 V` and `+12 V
protected`. What such a part takes off is counted in full at one end and not at all at the other.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from functools import lru_cache

from msgspec import Struct, structs

from bench.errors import SoldersideError
from bench.kit.danger import danger_of
from bench.kit.kit import Check, Kit, PartLine, Rail
from bench.kit.rails import high_rail
from bench.parts.designators import shorten
from bench.parts.kinds import with_role
from bench.parts.quantity import quantity_in, read_value
from bench.parts.regulators import FROM_MEMORY, Window, behind, diode_drop, fuse_drop, regulator_window
from bench.plan.rules import UsualCheck

SUPPLY_PERCENT = 5
"""How far a supply itself may be off, ± per cent: our own convention, that of the usual checks."""
_VOLTS = re.compile(r"([+\-\u2212]?)\s*([0-9]+(?:[.,][0-9]+)?)\s*V\b(?!\s*(?:AC|~))")
_FIRST_VOLTS = re.compile(r"[^0-9]*([0-9]+(?:[.,][0-9]+)?)(?![0-9.,]*\s*(?:m|u|k)?(?:ohm|A\b|Hz))")
_AT_IT = re.compile(r" at\b| with\b|$")
_ABOUT = Decimal("0.2")
"""Share by which what a check expects may differ from a rail's voltage and still be a check of that rail."""
_FUSES, _DIODES = with_role("fuse"), ("diode", "Schottky diode")


class MadeRail(Struct, frozen=True, kw_only=True):
    """A rail that is not the supply itself."""

    name: str
    """As the kit names the net."""
    expect: str
    """What it may read, as a check says it: `4.60..5.40 V`."""
    volts: Decimal
    """Nominal."""
    why: str
    """What makes it, its figures, and where they are from."""


@lru_cache(maxsize=64)
def made_rails(kit: Kit) -> tuple[MadeRail, ...]:
    """Rails behind the regulators, fuses, diodes and resistors of a kit, in the order in which they are found.

    Rails too high for a live measurement are left out, and so is whatever no figures are known for.
    """
    lines = [part for board in kit.boards for part in board.parts if part.nets]
    drawn = {rail.name: quantity_in(rail.current, "ampere") for rail in kit.supply}
    currents = {name: each.amount if each else None for name, each in drawn.items()}
    known = {
        rail.name: (_supply(rail), currents[rail.name]) for rail in kit.supply if _volts(rail.name) is not None
    }
    made: dict[str, MadeRail] = {}
    for _ in lines:  # each round reaches one part further from the supply
        before = len(made)
        for part in lines:
            for name, window, amps, taken in (*_regulated(part), *_behind(part, known)):
                if name not in known and not high_rail(Rail(name=name, current="")):
                    known[name] = window, amps
                    expect = f"{window.low:.2f}..{window.high:.2f} V"
                    why = _why(part, window, taken)
                    made[name] = MadeRail(name=name, expect=expect, volts=window.nominal, why=why)
        if len(made) == before:
            break
    return tuple(made.values())


def usual_for(check: UsualCheck, rails: Sequence[MadeRail], kit: Kit) -> Iterator[Check]:
    """A usual check of a live rail's volts, for each made rail that no check of the kit looks at."""
    if danger_of(kit).hands_off:  # there the maker's own steps decide what is read live
        return
    if "{rail}" not in check.expect or "{other rail}" in check.where or "{current}" in check.expect:
        return
    own = [each for point in kit.hold_points for each in point.checks]
    for rail in rails:
        if not any(_looks_at(each, rail) for each in own):
            where = check.where.replace("{rail}", rail.name)
            how = (
                check.how.replace("{rail}", rail.name) if check.unplug else ""
            )  # else it is where a supply enters
            yield Check(where=where, expect=rail.expect, how=_joined(how, rail.why), unplug=check.unplug)


def with_reasons(checks: Sequence[Check], rails: Sequence[MadeRail]) -> tuple[Check, ...]:
    """Checks of made rails with the reason on them, and with the published window where the kit gives none."""
    told = []
    for check in checks:
        rail = next((each for each in rails if _looks_at(check, each)), None)
        if rail is not None and rail.why not in check.how:
            check = structs.replace(check, expect=check.expect or rail.expect, how=_joined(check.how, rail.why))
        told.append(check)
    return tuple(told)


def _looks_at(check: Check, rail: MadeRail) -> bool:
    """Whether a check reads the volts of a rail: it sits at it, or names its net and expects about as much."""
    at_it = check.where.startswith(rail.name) and bool(_AT_IT.match(check.where, len(rail.name)))
    if not check.expect:
        return at_it
    found = _FIRST_VOLTS.match(check.expect)
    if found is None or not (at_it or rail.name in check.nets[:1]):
        return False
    return abs(Decimal(found[1].replace(",", ".")) / abs(rail.volts) - 1) < _ABOUT


def _joined(how: str, why: str) -> str:
    return f"{how} {why}".strip()


@lru_cache(maxsize=1024)
def _volts(name: str) -> Decimal | None:
    """The voltage that a net's name begins with."""
    found = _VOLTS.match(name.strip())
    if found is None:
        return None
    size = Decimal(found[2].replace(",", "."))
    return -size if found[1] in ("-", "\u2212") else size


def _supply(rail: Rail) -> Window:
    volts = _volts(rail.name) or Decimal(0)
    share = abs(volts) * SUPPLY_PERCENT / 100
    return Window(nominal=volts, low=volts - share, high=volts + share, source="")


_Found = tuple[str, Window, Decimal | None, Decimal]
"""A net, what it may read, amperes where known, and volts taken off on the way."""


def _regulated(part: PartLine) -> Iterator[_Found]:
    """The rail that a fixed regulator gives: the first of its nets with that voltage."""
    if part.kind != "voltage regulator":
        return
    try:
        window = regulator_window(part.value, at_25_celsius=True)
    except SoldersideError:
        return
    for net in part.nets:
        if _volts(net) == window.nominal:
            yield net, window, None, Decimal(0)
            return


def _behind(part: PartLine, known: Mapping[str, tuple[Window, Decimal | None]]) -> Iterator[_Found]:
    """The rail behind a part in series with a known one."""
    if len(part.nets) != 2 or _volts(part.nets[0]) is None or _volts(part.nets[0]) != _volts(part.nets[1]):
        return
    for near, far in (part.nets, part.nets[::-1]):
        if near in known:
            window, amps = known[near]
            if (drop := _drop(part, amps)) is not None:
                yield far, behind(window, drop), amps, drop


def _drop(part: PartLine, amps: Decimal | None) -> Decimal | None:
    """The most volts that a part in series takes off; None where no figure is known."""
    try:
        if part.kind in _DIODES:
            return diode_drop(part.value, amps or Decimal(0))
        if part.kind in _FUSES and amps is not None:
            return fuse_drop(part.value, amps)
    except SoldersideError:
        return None
    ohms = read_value(part.value, "ohm").main if part.kind == "resistor" else None
    return None if ohms is None or ohms.unit != "ohm" or amps is None else ohms.amount * amps


def _why(part: PartLine, window: Window, taken: Decimal) -> str:
    """The reason for a window, for the card."""
    named = f"{part.value} {shorten(part.refs)}".strip()
    if part.kind != "voltage regulator":
        return f"{named} drops up to {taken:.2f} V: {window.low:.2f} V to {window.high:.2f} V here."
    wide = regulator_window(part.value)
    by = "from memory: see its data sheet" if window.source == FROM_MEMORY else "by its data sheet"
    return (
        f"{named} gives {window.low:.2f} V to {window.high:.2f} V at 25 °C, "
        f"{wide.low:.2f} V to {wide.high:.2f} V at worst ({by})."
    )
