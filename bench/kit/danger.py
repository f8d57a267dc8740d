"""What in a kit can kill: the one place where that is decided. Pure.

The limits of voltage are in `rails`. A capacitor can harm from 1 J at 100 V and from 0.25 J at 400 V: NFPA
70E-2021, 360.3 (from memory); stricter than the 10 J from 100 V of the DOE's classification, seen via Berkeley
Lab's hazard thresholds. The rated voltage is taken for the charge: a parts list knows it no better.

What parts give away is common practice, no source. A capacitor for the mains is also sold as a good film
capacitor: one of up to 100 nF alone, in a kit that states nothing but low direct voltages, is asked about and
shuts no gate. Through a larger one a circuit without transformer can be fed: at 230 V and 50 Hz, 100 nF pass
7 mA (I = 2 pi f C U).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache, partial

from msgspec import Struct

from bench.kit.isolation import said_unisolated, unisolated_rails
from bench.kit.kit import Kit, PartLine
from bench.kit.rails import (  # fmt: skip
    BOUGHT,
    HIGH_VOLTAGE,
    IS_AC,
    MAINS,
    MOST_AC,
    MOST_DC,
    NUMBER,
    high_rail,
    is_mains,
    most_of,
    rail_hazard,
    says_mains,
    tapped,
    volts_in,
)
from bench.parts.designators import shorten
from bench.parts.english import cut, join
from bench.parts.guessing import safety_class
from bench.parts.kinds import marked_by, measured_in, with_role
from bench.parts.quantity import read_value

STORED_CHARGE = "stored charge"
UNISOLATED = "non-isolated supply"
HAZARDS = (MAINS, UNISOLATED, HIGH_VOLTAGE, STORED_CHARGE)
"""What a kit file may say under `hazards`."""

CHARGED_FROM = 100.0
"""Volts of a capacitor's rating above which its charge counts (module docstring); the least of a mains net."""
_ENERGIES = ((400.0, 0.25), (100.0, 1.0))
"""From these volts on, these joules (module docstring)."""


class Sign(Struct, frozen=True, kw_only=True):
    """One thing in a kit that speaks for a hazard."""

    hazard: str
    """One of `HAZARDS`."""
    what: str
    """In words: `T1: transformer for 230 V and 12 V`."""
    line: int = 0
    """Line in the kit file, 0 where it has none."""
    certain: bool = True
    """False when the part is also found in harmless kits: `hazards: none` in the kit file answers that."""
    closed: bool = False
    """True for a mains side that its line calls closed and wired or tested: nobody opens it."""
    slight: bool = False
    """True when by itself it is no more than a question, in a kit that states only low direct voltages."""


class Danger(Struct, frozen=True, kw_only=True):
    """What is deadly in a kit, and why."""

    hazards: tuple[str, ...]
    """Of `HAZARDS`, what the kit states and what was found, in that order; then the maker's own warnings."""
    deadly: bool
    """True when somebody has to answer for it before power."""
    reasons: tuple[Sign, ...]
    """What was found, by line; without what `hazards: none` answers."""
    undeclared: tuple[str, ...]
    """Hazards found that the kit does not state."""
    hands_off: bool = False
    """True when nothing generic is to be proposed live and no finger is put to a part: the kit is deadly, or
    has a rail above `MOST_LIVE`."""
    harmless: bool = False
    """True when the kit says `hazards: none`."""
    closed_mains: bool = False
    """True when all that speaks of the mains is such a closed side: the work begins behind it."""
    questions: tuple[Sign, ...] = ()
    """Slight signs of something deadly in a kit that nothing else speaks against: asked about, no gate."""

    @property
    def kills(self) -> tuple[str, ...]:
        """What somebody has to answer for before power, of `HAZARDS`; empty when the kit is not deadly."""
        return tuple(hazard for hazard in self.hazards if hazard in HAZARDS) if self.deadly else ()

    @property
    def warning(self) -> str:
        """What a page or a letter about the kit says first; empty when it is not deadly."""
        if not self.kills:
            return ""
        named = join(self.kills)
        return (
            f"{named[:1].upper()}{named[1:]}: this kit can kill. Do not work on it by this text: the maker's "
            "instructions, your local codes and licensed practice come first."
        )

    @property
    def brief(self) -> str:
        """The same in one line, for a label; empty when it is not deadly."""
        named = self.warning.partition(":")[0]
        return f"{named}: can kill. Maker's instructions and local codes first." if named else ""

    @property
    def omission(self) -> str:
        """One sentence on what the kit file omits, with what speaks for it; empty when it omits nothing."""
        if self.questions:
            asked = "; ".join(dict.fromkeys(sign.what for sign in self.questions))
            return (
                f"The kit file states only low voltages, but lists {asked}. If the mains is on it, stop, and "
                "say `hazards: [mains]` there; if nothing in it is above 50 V, say `hazards: none`."
            )
        if not self.undeclared:
            return ""
        said = f"The kit file does not state {join(self.undeclared)}, but lists {self.why}."
        return f"{said} If nothing in it is above 50 V, say `hazards: none` there." if self.doubted else said

    @property
    def why(self) -> str:
        """What speaks for hazards that the kit does not state, the first three: `T1: transformer for 230 V`."""
        found = list(dict.fromkeys(sign.what for sign in self.reasons if sign.hazard in self.undeclared))
        more = f"; and {len(found) - 3} more" if len(found) > 3 else ""
        return "; ".join(found[:3]) + more

    @property
    def doubted(self) -> bool:
        """True when all that was found of what is not stated can also be harmless: worth asking the author."""
        return bool(self.undeclared) and not any(
            sign.certain for sign in self.reasons if sign.hazard in self.undeclared
        )


@lru_cache(maxsize=64)
def danger_of(kit: Kit) -> Danger:
    """All that in a kit can kill, stated or found."""
    found = sorted(
        (sign for sign in _signs(kit) if sign.certain or not kit.harmless), key=lambda sign: sign.line
    )
    if found and all(sign.slight for sign in found) and _only_low(kit):
        return _danger_from(kit, (), questions=tuple(found))
    return _danger_from(kit, tuple(found))


def _danger_from(kit: Kit, found: tuple[Sign, ...], questions: tuple[Sign, ...] = ()) -> Danger:
    """What follows from the signs found and from what the kit states itself."""
    kinds = {sign.hazard for sign in found}
    stated = {" ".join(hazard.split()).casefold(): hazard for hazard in kit.hazards}
    known = tuple(hazard for hazard in HAZARDS if hazard in stated or hazard in kinds)
    charged = STORED_CHARGE in kinds or (STORED_CHARGE in stated and _charge_unknown(kit))
    deadly = charged or not {MAINS, UNISOLATED, HIGH_VOLTAGE}.isdisjoint(known)
    fed = [sign.closed for sign in found if sign.hazard == MAINS]
    return Danger(
        hazards=(*known, *(hazard for folded, hazard in stated.items() if folded not in known)),
        deadly=deadly,
        hands_off=deadly or any(map(high_rail, kit.supply)),
        reasons=found,
        undeclared=tuple(hazard for hazard in known if hazard not in stated),
        harmless=kit.harmless,
        closed_mains=bool(fed) and all(fed),
        questions=questions,
    )


def _only_low(kit: Kit) -> bool:
    """Whether the kit states low direct voltages alone, and neither says nor lists what feeds on the mains."""
    rails = [rail.name for rail in kit.supply]
    if not rails or kit.hazards or any(not volts_in(name) or IS_AC.search(name) for name in rails):
        return False
    said = [kit.about, kit.scenario, *kit.notes, *kit.errata, *kit.tools, *kit.sections]
    said += [f"{check.where} {check.how}" for point in kit.hold_points for check in point.checks]
    said += [text for trim in kit.trims for text in (trim.name, trim.how)]
    said += [text for board in kit.boards for part in board.parts for text in part.cautions]
    kinds = {part.kind for board in kit.boards for part in board.parts}
    return not kinds & {"transformer", "mains inlet"} and not any(map(says_mains, said))


# -- what is found ---------------------------------------------------------------------------------


def _signs(kit: Kit) -> Iterator[Sign]:
    yield from _supply(kit)
    for board in kit.boards:
        if hazard := rail_hazard(board.name):
            yield Sign(hazard=hazard, what=f'board "{board.name}"', line=board.line)
        for part in board.parts:
            yield from _part(part, kit)
    for section in kit.sections:
        if hazard := rail_hazard(section):
            inside = [part for board in kit.boards for part in board.parts if part.section == section]
            closed = bool(inside) and all(map(_comes_closed, inside))
            yield Sign(hazard=hazard, what=f'section "{section}"', closed=closed)
    yield from _expected(kit)
    if said := said_unisolated(kit):
        yield Sign(hazard=MAINS, what=f'"{said}"')
        yield Sign(hazard=UNISOLATED, what=f'"{said}"')
    for rail in unisolated_rails(kit):
        yield Sign(hazard=UNISOLATED, what=f'no transformer or converter that isolates it from "{rail}"')


def _supply(kit: Kit) -> Iterator[Sign]:
    for rail in kit.supply:
        if hazard := rail_hazard(f"{rail.name} {rail.current}"):
            yield Sign(hazard=hazard, what=f'supply rail "{rail.name}"')
    ends = [
        (max(volts), name)
        for rail in kit.supply
        if (name := rail.name.strip()) and (volts := volts_in(name)) and not BOUGHT.search(name)
    ]
    plus = max((volts for volts, name in ends if not name.startswith(("-", "\u2212"))), default=0.0)
    minus = max((volts for volts, name in ends if name.startswith(("-", "\u2212", "±"))), default=0.0)
    if plus + minus > MOST_DC and max(plus, minus) <= MOST_DC:
        what = f"{plus + minus:g} V between the supply rails"
        yield Sign(hazard=HIGH_VOLTAGE, what=what)


def _expected(kit: Kit) -> Iterator[Sign]:
    """Readings and targets that the kit itself states."""
    said = [(check.where, check.expect, check.line) for point in kit.hold_points for check in point.checks]
    said += [(trim.name, trim.target, trim.line) for trim in kit.trims]
    for where, expect, line in said:
        if max(volts_in(expect), default=0.0) > most_of(expect if IS_AC.search(expect) else f"+{expect}"):
            yield Sign(hazard=HIGH_VOLTAGE, what=f"{where}: {expect} expected", line=line)


_TO = re.compile(r"\bto\b|:|>|\u2192|\bsec")
_POWER = re.compile(r"[0-9] ?VA?\b|\bpower\b|-0-", re.IGNORECASE)
_NO_POWER = re.compile(
    r"\b(?:fly-?back|boost|inverter|step-?up|driver?|pulse|audio|balun|output|microphone|trigger)\b",
    re.IGNORECASE,
)
_TRANSFORMER = re.compile(r"transform|trafo", re.IGNORECASE)
_PRIMARY = re.compile(
    rf"(?<![0-9.,])(?:100|110|115|117|120|127|220|230|240)\s*[/>\u2192-]+\s*(?:[0-9]\s*x\s*)?{NUMBER}\s*V",
    re.IGNORECASE,
)
_STANDS = re.compile(r"\brelay\b|\bcontact|\brated\b|\bswitch", re.IGNORECASE)
_VARISTOR_AC = re.compile(r"\b[SV]?[0-9]{2}K([0-9]{2,3})\b")
_VARISTOR_DC = re.compile(r"\b[0-9]{1,2}D([0-9]{2})([0-9])K\b|\b([0-9]{2})([0-9])KD?[0-9]{2}\b")
_SWITCHES_MAINS = re.compile(
    r"\btriac\b|\bMOC30[0-9]{2}|\bBT13[0-9]|\bBT[AB][0-9]{2}|\bZ010[0-9]|\binrush\b|"
    r"\bTOP2[0-9]{2}|\bTNY[0-9]{3}|\bLNK[0-9]{3}|\bVIPER ?[0-9]{2}|\bHLK-?[0-9]*P?M|\bIRM-[0-9]{2}|\bschuko\b",
    re.IGNORECASE,
)
_HIGH_PARTS = re.compile(
    r"\bnixie\b|\bhigh[ -]voltage\b|\bphoto[ -]?flash\b|\bflash (?:tube|lamp)\b|\bxenon\b|\bstrobe tube\b|"
    r"\btrigger (?:coil|transformer)\b|"
    r"\bgeiger\b|\bG-M tube\b|\bneon\b|\bcathode[ -]ray\b|\bCRT\b|\bmagic eye\b|\bplasma\b",
    re.IGNORECASE,
)


def _part(part: PartLine, kit: Kit) -> Iterator[Sign]:
    """What one line of the parts list gives away."""
    text = ", ".join(filter(None, (part.value, part.marking, part.note, part.package)))
    yield from _said_of(part, text)
    if not _explained(part, kit):
        yield from _likely_of(part, text, kit)


def _sign(
    part: PartLine, hazard: str, what: str, *, certain: bool = True, slight: bool = False, closed: bool = False
) -> Sign:
    named = shorten(part.refs) or part.kind
    return Sign(
        hazard=hazard, what=f"{named}: {what}", line=part.line, certain=certain, slight=slight, closed=closed
    )


def _said_of(part: PartLine, text: str) -> Iterator[Sign]:
    """What the line says outright: its nets, the word mains, the volts of a transformer."""
    for net in part.nets:
        if hazard := rail_hazard(net):
            yield _sign(part, hazard, f'on "{net}"')
    if says_mains(text):
        told = next(filter(says_mains, (part.value, part.note, part.marking)), text)
        yield _sign(part, MAINS, f'"{cut(told)}"', closed=_comes_closed(part))
    if _is_transformer(part, text) and not BOUGHT.search(text):
        yield from (_sign(part, hazard, what) for hazard, what in _transformer(f"{text}, {part.voltage}"))


def _likely_of(part: PartLine, text: str, kit: Kit) -> Iterator[Sign]:
    """What the part is made for: harmless kits have such parts too."""
    sign = partial(_sign, part, certain=False)
    if part.kind in measured_in("farad"):
        slight = _is_small(part)
        yield from (
            sign(hazard, what, slight=slight and hazard == MAINS and "Y" not in what)
            for hazard, what in _capacitor(part, text)
        )
    elif _varistor_volts(part, text) >= CHARGED_FROM:
        yield sign(MAINS, f"varistor for {_varistor_volts(part, text):.0f} V")
    if _unfed(part, text, kit):
        yield sign(MAINS, "power transformer, and no rail is alternating")
    if part.kind in ("valve", "valve socket"):
        yield sign(HIGH_VOLTAGE, "valve")
    if part.kind in with_role("fed") and not (_STANDS.search(text) or BOUGHT.search(text)):
        most = max(volts_in(f"{text}, {part.voltage}"), default=0.0)
        if most >= CHARGED_FROM:
            fed = is_mains(most) and not _TO.search(text.partition(f"{most:g}")[0])
            yield sign(MAINS if fed else HIGH_VOLTAGE, f"{part.kind} for {most:g} V")
    if found := _SWITCHES_MAINS.search(text):
        yield sign(MAINS, f"{found[0]}, made for the mains")
    if found := _HIGH_PARTS.search(text):
        yield sign(HIGH_VOLTAGE, f"{found[0]}, which takes high voltage")


def _comes_closed(part: PartLine) -> bool:
    """Whether a line says that it is a closed thing, wired by others: nothing on it is soldered."""
    said = f"{part.value} {part.note} {' '.join(part.cautions)}"
    return bool(_CLOSED.search(said) and _WIRED.search(said)) and not part.joints


def _is_transformer(part: PartLine, text: str) -> bool:
    return part.kind == "transformer" or bool(_TRANSFORMER.search(text))


def _unfed(part: PartLine, text: str, kit: Kit) -> bool:
    """Whether it is a power transformer whose input nobody states: then that is the mains, mostly."""
    if (
        not (_is_transformer(part, text) and _POWER.search(text))
        or _NO_POWER.search(text)
        or BOUGHT.search(text)
    ):
        return False
    low = max((*volts_in(text), *tapped(text)), default=0.0) <= MOST_AC
    return low and not any(IS_AC.search(rail.name) for rail in kit.supply)


def _explained(part: PartLine, kit: Kit) -> bool:
    """Whether the kit says that the part hangs on a low voltage and on nothing else that is a rail."""
    low = {rail.name.casefold() for rail in kit.supply if not rail_hazard(f"{rail.name} {rail.current}")}
    return any(net.casefold() in low for net in part.nets) and not any(map(rail_hazard, part.nets))


def _transformer(text: str) -> Iterator[tuple[str, str]]:
    """Windings: mains, unless the first is a low one that is stepped up; and what stands above 50 V."""
    volts = (*volts_in(text), *tapped(text))
    if found := _PRIMARY.search(text):
        yield MAINS, f"transformer for {found[0]}"
    if max(volts, default=0.0) <= MOST_AC or re.search(r"\b(?:100|70([.,]7)?) ?V line\b", text):
        return
    said = f"transformer for {' and '.join(f'{each:g} V' for each in dict.fromkeys(volts))}"
    steps_up = volts[0] <= MOST_AC and _TO.search(text)
    fed = any(map(is_mains, volts)) and not steps_up
    if fed:
        yield MAINS, said
    gives = volts_in(_TO.split(text, maxsplit=1)[-1]) if _TO.search(text) else ()
    if not fed or max((*gives, *tapped(text)), default=0.0) > MOST_AC:
        yield HIGH_VOLTAGE, said


def _capacitor(part: PartLine, text: str) -> Iterator[tuple[str, str]]:
    value = read_value(part.value, "farad")
    rated = _rating(part, text)
    if found := safety_class(f"{text}, {part.voltage}"):
        yield MAINS, f"capacitor of class {found}, made for the mains"
    elif rated >= 200.0 and IS_AC.search(f"{part.voltage} {part.value}"):
        yield MAINS, f"capacitor for {rated:g} V AC"
    if part.kind in marked_by("microfarads") and rated > CHARGED_FROM:
        yield HIGH_VOLTAGE, f"electrolytic capacitor for {rated:g} V"
    if value.main is not None and value.main.unit == "farad":
        energy = stored_joules(float(value.main.amount), rated)
        if harmful(energy, rated):
            yield STORED_CHARGE, f"holds up to {energy:.1f} J at {rated:g} V"


_CLOSED = re.compile(r"\b(?:closed|sealed|encapsulated|potted|touch-?proof)\b", re.IGNORECASE)
_WIRED = re.compile(r"\b(?:wired|tested|assembled|ready[- ]made|built)\b", re.IGNORECASE)
_SMALL = Decimal("1E-7")
"""Farads up to which a capacitor for the mains feeds no circuit worth the name (module docstring)."""


def _is_small(part: PartLine) -> bool:
    main = read_value(part.value, "farad").main
    return main is not None and main.unit == "farad" and main.amount <= _SMALL


def _rating(part: PartLine, text: str) -> float:
    """Volts that a capacitor stands, 0 when nobody says."""
    stated = volts_in(part.voltage) or volts_in(part.value) or volts_in(text)
    return max(stated, default=0.0)


def stored_joules(farads: float, volts: float) -> float:
    """Energy in a charged capacitor, C V² / 2.

    >>> round(stored_joules(120e-6, 330), 2)
    6.53
    """
    return farads * volts * volts / 2


def harmful(joules: float, volts: float) -> bool:
    """Whether a capacitor with this charge can harm (NFPA 70E-2021, 360.3, from memory)."""
    return any(volts >= least and joules > most for least, most in _ENERGIES)


def _charge_unknown(kit: Kit) -> bool:
    """Whether a stated stored charge may be a deadly one: not when each larger capacitor is rated too low."""
    rated = [
        _rating(part, part.value)
        for board in kit.boards
        for part in board.parts
        if part.kind in marked_by("microfarads")
    ]
    return not rated or any(volts == 0 or volts > CHARGED_FROM for volts in rated)


def _varistor_volts(part: PartLine, text: str) -> float:
    """Volts AC for which a varistor is made, by its code or in words; 0 for anything else."""
    if found := _VARISTOR_AC.search(text):
        return float(found[1])
    if part.kind != "varistor":
        return 0.0
    if found := _VARISTOR_DC.search(text):
        digits, power = (found[1], found[2]) if found[1] else (found[3], found[4])
        return float(digits) * 10.0 ** int(power) / 1.6
    return max((*volts_in(text), *volts_in(part.voltage)), default=0.0)
