"""What is usual at hold points and trims: checks of supply rails, cautions for hazards, how to adjust."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import combinations

from msgspec import Struct, structs

from bench.kit.danger import UNISOLATED, Danger, danger_of
from bench.kit.kit import Check, Kit, Rail, Trim
from bench.kit.rails import IS_AC, MAINS, high_rail, net_name, rail_hazard, volts_in
from bench.parts.english import counted, join
from bench.parts.kinds.kind import IDLE_CURRENT
from bench.parts.quantity import Quantity, parse_quantity, quantity_in, show
from bench.parts.series import next_lower
from bench.plan.placed_part import PlacedPart, names_of
from bench.plan.rails import made_rails, usual_for
from bench.plan.rules import UsualCheck, any_matches

_GROUNDS = frozenset(("0v", "gnd", "ground", "agnd", "dgnd"))
_SIGNED_VOLTS = re.compile(r"[+\-\u2212]?\s*[0-9]+(?:[.,][0-9]+)?\s*V")
_LOCAL = "Local regulations come first: where they require a licensed person, leave it to one."
_CLOSED = (
    "Mains voltage can kill. The mains side of this kit comes closed and wired, and whoever closed it answers "
    "for it: never open it. Pull the plug for all work on the rest; on only behind a residual-current device."
)
_HAZARDS = {
    "mains": (
        "Mains voltage can kill. Work on it only with the plug pulled out. Switch on only behind a "
        "residual-current device, with the right fuse in and nothing live within reach: cover or case on.",
        _LOCAL,
    ),
    UNISOLATED: (
        "Not isolated from the mains: every part, 0 V and the low rails too, is live while it is plugged in. "
        "Touch and measure nothing then, and connect nothing earthed to it: no oscilloscope, no computer.",
        _LOCAL,
    ),
    "high voltage": (
        "High voltage can kill, also some time after switching off. Where the maker has you measure it, meter "
        "and leads are rated for more than it, and clipped on with the power off; one hand away, nothing "
        "touched, never alone.",
        _LOCAL,
    ),
    "stored charge": (
        "Charged capacitors can kill with the plug pulled out. Let them empty through a bleed resistor, "
        "then measure across each one until it reads below 5 V, before any hand goes in.",
    ),
}
_VOLTS_PER_OCTAVE = (
    "Let it warm up first. Measure the pitch at two control voltages one volt apart: the step between "
    "them has to be right to about 0.1 %, so measure both with the same meter. Turn until the upper pitch "
    "is twice the lower one. Every turn moves both pitches: measure both again each time. The step first, "
    "the absolute pitch last."
)
_MAKERS_TRIM = (
    "This kit can kill: adjust it as the maker's instructions say, with an insulated tool and one hand; "
    "nothing else is proposed here. Local codes come first, and a licensed person where they ask for one."
)
_SET_OFF = (
    "Meter and clips go on with the power off, and come off only once it is off and discharged again; in "
    "between an insulated tool and one hand, and only where the maker's own steps have it on."
)
_WATTS = (Decimal("0.5"), Decimal(1), Decimal(2), Decimal(5), Decimal(10))
"""Sizes that power resistors are sold in, watts (common practice, no source)."""
_GENERAL = "Turn a little, wait until the reading is steady, read again, and write the last reading down."
_IDLE = (
    "Before power, set the trimmer to its minimum-current end; no signal, no load. Turn up slowly, let it warm "
    "for ten minutes and read again: current rises with heat, and thermal runaway burns. If it runs away, turn "
    "back at once."
)
_STEADY = Decimal("0.25")
"""Amperes up to which a maker's figure is what flows at rest; above, the most (common practice, no source)."""
_AT_REST = (
    "The maker states {current}: for so much, that is the most it takes, and at rest it takes less. More is a "
    "fault even when it works."
)
_STUCK = "If it does not get there, or the trimmer is at its end, stop: the fault is elsewhere."


def hazard_cautions(danger: Danger) -> tuple[str, ...]:
    """What can kill in a kit, and whose rules come first; each sentence once."""
    said: list[str] = []
    for hazard in danger.hazards:
        known = _HAZARDS.get(" ".join(hazard.split()).casefold())
        if hazard == MAINS and danger.closed_mains:
            known = (_CLOSED, _LOCAL)
        said += known or (f"The maker warns of {hazard}: follow the local regulations for it.",)
    return tuple(dict.fromkeys(said))


def how_to_trim(trim: Trim, *, hands_off: bool = False) -> str:
    """How to make an adjustment: the kit's own words, or what is usual for its kind.

    `hands_off`: the kit can kill, so nothing is proposed beyond the maker's own words.

    >>> how_to_trim(Trim(name="Offset", turns=25, how="Read TP2."))
    'Read TP2. The trimmer has 25 turns from stop to stop.'
    """
    idle = re.search(IDLE_CURRENT, f"{trim.name} {trim.target}".casefold())
    usual = _VOLTS_PER_OCTAVE if trim.kind == "volts per octave" else _IDLE if idle else _GENERAL
    said = [trim.how] if trim.how else [_MAKERS_TRIM] if hands_off else [usual, _STUCK]
    if hands_off:
        said.append(_SET_OFF)
    if trim.turns:
        said.append(f"The trimmer has {counted(trim.turns, 'turn')} from stop to stop.")
    return " ".join(said)


def usual_checks(
    checks: Sequence[UsualCheck],
    kit: Kit,
    parts: Sequence[PlacedPart],
    own: Sequence[Check] = (),
    *,
    last: bool = False,
) -> tuple[Check, ...]:
    """A procedure's checks, filled in with the kit's supply rails; `line` stays 0.

    `own` are the kit's own checks at this hold point. `last`: those that come after the kit's own checks
    instead of the others. A kit that states no supply is asked for `each rail`, unless it can kill. Rails above
    50 V to 0 V get no check: there the maker's own steps, local codes and licensed practice decide. Rails that
    parts of the kit make follow, see `plan.rails`.
    Nothing is unplugged where nothing sits in a socket.
    """
    made = made_rails(kit)
    danger = danger_of(kit)
    if not any(part.socketed and not part.supply_path for part in parts):
        checks = [structs.replace(check, unplug="") for check in checks]
    told = "\n".join(f"{each.where}\n{each.how}" for each in own)
    found: list[Check] = []
    for check in checks:
        if check.last is last and fits(check.can_kill, danger) and not (check.alone and (own or found)):
            for named in _naming(check, parts, told):
                found += (*_filled(named, kit, danger), *usual_for(named, made, kit))
    return tuple(found)


def _naming(check: UsualCheck, parts: Sequence[PlacedPart], told: str) -> tuple[UsualCheck, ...]:
    """The check with the parts that it is about named, but for those `told` of; none where it is about none."""
    if any(any_matches(check.unless, part) for part in parts):
        return ()
    meant = [part for part in parts if any_matches(check.when, part)] if check.when else parts
    if check.when and not meant:
        return ()
    if "{parts}" not in check.where:
        return (check,)
    names = names_of((part.line for part in meant), told)
    return (structs.replace(check, where=check.where.replace("{parts}", join(names))),) if names else ()


def fits(can_kill: bool | None, danger: Danger) -> bool:
    """Whether what a procedure says for kits that can kill, or for others, is meant for this one."""
    return can_kill is None or can_kill is danger.hands_off


@lru_cache(maxsize=64)
def low_rails(kit: Kit) -> tuple[Rail, ...]:
    """The rails at which something generic may be proposed: up to 50 V, in a deadly kit only stated ones."""
    if not kit.supply and danger_of(kit).deadly:
        return ()
    return tuple(rail for rail in rails_of(kit) if not high_rail(rail))


@lru_cache(maxsize=64)
def rails_of(kit: Kit) -> tuple[Rail, ...]:
    """The kit's supply rails without 0 V; one called `each rail` when it states none."""
    rails = tuple(rail for rail in kit.supply if net_name(rail.name) not in _GROUNDS)
    return rails or (Rail(name="each rail", current=""),)


@lru_cache(maxsize=4096)
def same_place(where: str) -> tuple[str, ...]:
    """What two checks have in common that look at the same place, however it is written.

    >>> same_place("0V and +12 V") == same_place("+12 V and 0 V")
    True
    """
    return tuple(sorted(net_name(end) for end in re.split(r"\s+and\s+|\s*&\s*", where)))


def _filled(check: UsualCheck, kit: Kit, danger: Danger) -> Iterator[Check]:
    low = low_rails(kit)
    live = "{rail}" in check.expect or "{current}" in check.expect
    series = "{series}" in check.where + check.how
    if series and not series_resistors(kit):
        return
    if series:
        named = " and ".join(f"{each.ohms} in {each.rail}" for each in series_resistors(kit))
        check = structs.replace(check, how=check.how.replace("{series}", named))
    if live and danger.hands_off:
        return  # to meet it somebody would have to switch on what kills: that is for the maker's own steps
    winding = any(part.kind == "transformer" for board in kit.boards for part in board.parts)
    if not live and check.rails != "mains to low" and winding:
        low = tuple(rail for rail in low if not IS_AC.search(rail.name))  # a winding reads as a short: rightly
    if "{other rail}" in check.where:
        for rail, other in _pairs(check, kit, low):
            yield _with(check, rail, other.name)
    elif "{rail}" in check.where:
        for rail in low:
            yield _with(check, rail, "")
    else:
        yield Check(where=check.where, expect=check.expect, how=check.how, unplug=check.unplug)


def _pairs(check: UsualCheck, kit: Kit, low: Sequence[Rail]) -> Iterator[tuple[Rail, Rail]]:
    if check.rails == "mains to low":
        live = [rail for rail in rails_of(kit) if rail_hazard(f"{rail.name} {rail.current}") == MAINS]
        yield from ((rail, other) for rail in live for other in low)
    elif low and low[0].name == "each rail":
        yield low[0], Rail(name="each other rail", current="")
    else:
        yield from combinations(low, 2)


class Series(Struct, frozen=True, kw_only=True):
    """A series resistor for the first power of one rail."""

    rail: str
    ohms: str
    """As people say it: `22 ohm`."""
    words: str
    """Rail, resistor, and what it takes when all is well and when the rail is shorted."""


@lru_cache(maxsize=64)
def series_resistors(kit: Kit) -> tuple[Series, ...]:
    """Resistors for first power without a current limit: low-voltage DC rails with a stated current only.

    Each takes at most a tenth of the rail at the stated current (common practice, no source): R = U / 10 I,
    rounded down to E12 (IEC 60063). One that would have to stand more than 10 W with the rail shorted
    (P = U² / R) is not proposed.
    """
    if danger_of(kit).hands_off:
        return ()
    return tuple(found for rail in kit.supply if (found := _series(rail)) is not None)


def _series(rail: Rail) -> Series | None:
    volts = volts_in(rail.name)
    if len(volts) != 1 or not _SIGNED_VOLTS.fullmatch(rail.name.strip()) or not _is_current(rail.current):
        return None
    amperes = parse_quantity(rail.current, "ampere").amount
    wanted = Decimal(volts[0]) / 10 / amperes if amperes > 0 else Decimal(0)
    if wanted < 1:
        return None
    ohms = next_lower(wanted, "E12")
    watts = Decimal(volts[0]) ** 2 / ohms
    size = next((size for size in _WATTS if size >= watts), None)
    if size is None:
        return None
    said = f"{show(Quantity(amount=ohms, unit='ohm')).replace('Ω', 'ohm')}"
    drop = show(Quantity(amount=ohms * amperes, unit="volt"), 2)
    shorted = show(Quantity(amount=watts, unit="watt"), 2)
    words = (
        f"{rail.name}: {said}, {size} W (takes {drop} at {rail.current}; {shorted} when the rail is shorted)"
    )
    return Series(rail=rail.name, ohms=said, words=words)


def _with(check: UsualCheck, rail: Rail, other: str) -> Check:
    """The check with its gaps filled; it expects nothing where the kit does not say what to expect."""

    def fill(text: str) -> str:
        text = text.replace("{rail}", rail.name).replace("{other rail}", other)
        return text.replace("{current}", rail.current or "what the maker states")

    knows_volts = _SIGNED_VOLTS.fullmatch(rail.name.strip()) is not None
    unknown = ("{rail}" in check.expect and not knows_volts) or (
        "{current}" in check.expect and not _is_current(rail.current)
    )
    expect, how = check.expect, check.how
    if "{current} ±" in expect and not unknown and _is_the_most(rail):
        expect = "< {current}"
        how = _AT_REST
    expect = "" if unknown else fill(expect)
    return Check(where=fill(check.where), expect=expect, how=fill(how), unplug=check.unplug)


def _is_the_most(rail: Rail) -> bool:
    """Whether the stated current of a rail is a rating; a winding's, say for heaters, flows from the start."""
    return not IS_AC.search(rail.name) and parse_quantity(rail.current, "ampere").amount > _STEADY


def _is_current(text: str) -> bool:
    found = quantity_in(text, "ampere")
    return found is not None and found.unit == "ampere"
