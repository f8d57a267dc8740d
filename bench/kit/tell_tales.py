"""What one line of a parts list gives away of the mains, of high voltage and of stored charge. Pure.

A capacitor can harm from 1 J at 100 V and from 0.25 J at 400 V: NFPA 70E-2021, 360.3 (from memory); stricter
than the 10 J from 100 V of the DOE's classification, seen via Berkeley Lab's hazard thresholds. The rated
voltage is taken for the charge: a parts list knows it no better.

What parts give away is common practice, no source. A capacitor for the mains is also sold as a good film
capacitor: one of up to 100 nF alone, in a kit that states nothing but low direct voltages, is asked about and
shuts no gate. Through a larger one a circuit without transformer can be fed: at 230 V and 50 Hz, 100 nF pass
7 mA (I = 2 pi f C U).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import partial

from msgspec import Struct

from bench.kit.kit import Kit, PartLine
from bench.kit.rails import (  # fmt: skip
    ADAPTER,
    HIGH_VOLTAGE,
    IS_AC,
    MAINS,
    MOST_AC,
    MOST_DC,
    NUMBER,
    is_mains,
    rail_hazard,
    says_mains,
    tapped,
    volts_in,
)
from bench.parts.designators import shorten
from bench.parts.english import cut
from bench.parts.guessing import safety_class
from bench.parts.kinds import marked_by, measured_in, with_role
from bench.parts.quantity import read_value

STORED_CHARGE = "stored charge"
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


_TO = re.compile(r"\bto\b|:|>|\u2192|\bsec")
_POWER = re.compile(r"[0-9] ?VA?\b|\bpower\b|-0-|\bEI ?[0-9]{2}\b", re.IGNORECASE)
_NO_POWER = re.compile(
    r"\b(?:fly-?back|boost|inverter|step-?up|driver?|pulse|audio|balun|output|microphone|trigger|current|ratio"
    r"|ohms?|turns?|signal)\b",
    re.IGNORECASE,
)
_TRANSFORMER = re.compile(r"transform|trafo|\btransfo\b", re.IGNORECASE)
_NOMINAL = "(?:100|110|115|117|120|127|220|230|240)"
_PRIMARY = re.compile(
    rf"(?<![0-9.,]){_NOMINAL}\s*[/>\u2192-]+\s*(?:[0-9]\s*x\s*)?{NUMBER}\s*V",
    re.IGNORECASE,
)
_BARE_PRIMARY = re.compile(
    rf"(?<![0-9.,k])({_NOMINAL})\s*[/:>\u2192-]+\s*[0-9]|[0-9]\s*[/-]\s*({_NOMINAL})(?![0-9.,kKRV])"
)
"""The same without any V: `240/110`, `0-110-220 / 0-15`."""
_ON_MAINS = re.compile(r"\bvariac\b|\bauto-?(?:transformer|former)\b|\bvariable transformer\b", re.IGNORECASE)
_STANDS = re.compile(r"\brelay\b|\bcontact|\brated\b|\bswitch", re.IGNORECASE)
_VARISTOR_AC = re.compile(r"\b[SV]?[0-9]{2}K([0-9]{2,3})\b")
_VARISTOR_DC = re.compile(r"\b[0-9]{1,2}D([0-9]{2})([0-9])K\b|\b([0-9]{2})([0-9])KD?[0-9]{2}\b")
_SWITCHES_MAINS = re.compile(
    r"\btriac\b|\bMOC30[0-9]{2}|\bBT13[0-9]|\bBT[AB][0-9]{2}|\bTIC2[0-9]{2}|\bMAC[0-9]{1,3}\b|\bZ010[0-9]|\binrush\b|"
    r"\bTOP2[0-9]{2}|\bTNY[0-9]{3}|\bLNK[0-9]{3}|\bVIPER ?[0-9]{2}|\bHLK-?[0-9]*P?M|"
    r"\b(?:IRM|RAC|TMLM)-?[0-9]{2}|"
    r"\bschuko\b|\bSSR\b|\bsolid[ -]state relay\b|\b13 ?A (?:plug|socket)\b|\bNEMA 5\b",
    re.IGNORECASE,
)
_ON_MAINS_AS = {
    "lamp": re.compile(r"\b(?:E14|E27|GU10|B22)\b", re.IGNORECASE),
    "connector": re.compile(r"\b(?:E14|E27|GU10|B22)\b", re.IGNORECASE),
    "module": re.compile(
        r"\bAC ?[-/] ?DC\b|\bSMPS\b|\bopen[ -]frame\b|\bphase[ -](?:angle|cut)", re.IGNORECASE
    ),
}
"""What is for the mains on parts of one kind: an E27 resistor has 0.27 ohm, and a switch may say AC/DC."""
_HIGH_PARTS = re.compile(
    r"\bnixie\b|\bdekatron\b|\bhigh[ -]voltage\b|(?-i:\b(?:HV|EHT)\b)|\bNCH[0-9]+HV|\bphoto[ -]?flash\b|"
    r"\bflash (?:tube|lamp)\b|\bxenon\b|\bstrobe tube\b|\btrigger (?:coil|transformer)\b|"
    r"\bgeiger\b|\bG-M tube\b|\bneon\b|\bcathode[ -]ray\b|\bCRT\b|\bmagic eye\b|\bplasma\b|"
    r"\bphoto-?multiplier\b|\bimage intensifier\b|\bcold[ -]cathode\b|\bCCFL\b|\belectroluminescent\b|"
    r"\bEL (?:inverter|driver|wire|foil|panel)\b|\bignition coil\b|"
    r"\bline output transformer\b|\bmicrowave oven\b|\btesla\b|\bion(?:i[sz]er|i[sz]ation)\b|\bozone\b|"
    r"\b(?:electric fence|energi[sz]er)\b|\bvoltage multiplier\b|\bcascade multiplier\b|\bcoil ?gun\b",
    re.IGNORECASE,
)
_TUBES = re.compile(
    r"\bIN-?(?:1|2|4|8|9|12|13|14|16|17|18|28)(?:[AB]|-[0-9])?\b|\bZM ?1[0-9]{3}|\bZ5[67][0-9]M?\b|"
    r"\bSBM-?[0-9]{2}|\bSBT-?[0-9]{1,2}|\bSTS-?[56]\b|\bSI-?[0-9]{1,2}B?G\b|\bJ30[5-8]\b|\bJ(?:321|613)\b|"
    r"\bM4011\b|\bLND-?7[0-9]{2,3}\b|\bZP1[0-9]{3}\b|\bNE-?2[A-Z]?\b|\b1P2[18]A?\b|"
    r"\b[0-9]{1,2}[A-Z]{1,2}P(?:1|2|4|7|11|31)A?\b|\bDG?[0-9]{1,2}-[0-9]{2,3}[A-Z]{0,2}\b|\b[0O][AB]2\b",
    re.IGNORECASE,
)
_RUSSIAN = re.compile(r"\b6(?:N[0-9]{1,2}P|P[0-9]{1,2}[PS]|ZH[0-9]{1,2}P|S[0-9]{1,2}[PS])\b", re.IGNORECASE)
_TYPES = {kind: _TUBES for kind in ("display", "valve", "lamp", "module", "hardware")} | {"IC": _RUSSIAN}
"""Cold-cathode, counter, picture and multiplier tubes, and Russian valves, by their types (from memory), for
the kinds as which they are listed: on a socket or a JFET the same letters are a label or a type."""
_SERIES_HEATER = re.compile(r"\bU(?:ABC|BC|BF|BL|CC|CH|CL|F|L|M|Y)[0-9]{2}\b|\b(?:35|50|117)[A-Z][0-9]{1,2}\b")
_RECTIFIES = re.compile(r"\b(?:1N400[4-7]|UF400[4-7]|FR10[4-7]|BY[0-9]{2,3}|BA159|RGP|HV[0-9])", re.IGNORECASE)
_CHAIN = 3
"""Capacitors for 1 kV or more, and rectifiers, from which on they mean a multiplier: our own convention."""
_LABELLED = ("terminal block", "connector", "fuse holder", "pin header", "cable")
_LABEL_OF_MAINS = re.compile(r"(?:\bAC\b|~).*(?<![0-9.,])(?:110|115|120|220|230|240)(?![0-9.,])", re.IGNORECASE)
_WITH_AMPERES = re.compile(r"[0-9] ?m?A\b")
_FIXED_VOLTS = (160, 200, 250, 300, 315, 330, 350, 385, 400, 420, 450, 500)
_VOLTS_LAST = re.compile(rf"[ /](?:{'|'.join(map(str, _FIXED_VOLTS))})$")


def part_signs(part: PartLine, kit: Kit) -> Iterator[Sign]:
    """What one line of the parts list gives away."""
    text = ", ".join(filter(None, (part.value, part.marking, part.note, part.package)))
    yield from _said_of(part, text)
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
    if {"l", "n"} <= {net.casefold() for net in part.nets}:
        yield _sign(part, MAINS, 'on "L" and "N"')
    said = (part.value, part.note, part.marking, part.package)
    if part.kind == "mains inlet" or any(map(says_mains, said)):
        told = next(filter(says_mains, said), part.value or part.kind)
        yield _sign(part, MAINS, f'"{cut(told)}"', closed=comes_closed(part))
    if _is_transformer(part, text) and not ADAPTER.search(part.value):
        yield from (_sign(part, hazard, what) for hazard, what in _transformer(f"{text}, {part.voltage}"))


def _likely_of(part: PartLine, text: str, kit: Kit) -> Iterator[Sign]:
    """What the part is made for: harmless kits have such parts too."""
    sign = partial(_sign, part, certain=False)
    if part.kind in measured_in("farad"):
        small = _is_small(part)
        for hazard, what in () if _explained(part, kit) else _capacitor(part, text):
            yield sign(hazard, what, slight=small and hazard == MAINS and "Y" not in what)
    else:
        found = (*_wound(part, text, kit), *_fed(part, text), *_made_for(part, text))
        yield from (sign(hazard, what) for hazard, what in found)


def _wound(part: PartLine, text: str, kit: Kit) -> Iterator[tuple[str, str]]:
    """What a transformer is for whose primary has no V, or is not named at all."""
    bare = _BARE_PRIMARY.search(text) if part.kind == "transformer" and not _NO_POWER.search(text) else None
    if bare and not (_PRIMARY.search(text) or any(map(is_mains, volts_in(text)))):
        yield MAINS, f"transformer for {bare[1] or bare[2]} V"
    if _unfed(part, text, kit):
        yield MAINS, "power transformer, and no rail is alternating"


def _made_for(part: PartLine, text: str) -> Iterator[tuple[str, str]]:
    """What the type of a part, or a word, is made for."""
    if (volts := _varistor_volts(part, text)) >= CHARGED_FROM:
        yield MAINS, f"varistor for {volts:.0f} V"
    if part.kind in ("valve", "valve socket"):
        yield HIGH_VOLTAGE, "valve"
        if found := _SERIES_HEATER.search(part.value):
            yield MAINS, f"{found[0]}, a valve for heaters in series on the mains"
    own, types = _ON_MAINS_AS.get(part.kind), _TYPES.get(part.kind)
    if found := _SWITCHES_MAINS.search(text) or (own and own.search(text)):
        yield MAINS, f"{found[0]}, made for the mains"
    if found := _HIGH_PARTS.search(text) or (types and types.search(part.value)):
        yield HIGH_VOLTAGE, f"{found[0]}, which takes high voltage"


def _fed(part: PartLine, text: str) -> Iterator[tuple[str, str]]:
    """What the volts of a part say that is fed by them, or of a label beside terminals."""
    most = max(volts_in(f"{text}, {part.voltage}"), default=0.0)
    if part.kind in _LABELLED:
        if is_mains(max(volts_in(part.note), default=0.0)) or _LABEL_OF_MAINS.search(part.note):
            yield MAINS, f'"{cut(part.note)}"'
    elif part.kind == "relay":
        if is_mains(most) and min(volts_in(text), default=0.0) == most and not _WITH_AMPERES.search(text):
            yield MAINS, f"coil for {most:g} V"
    elif part.kind in ("battery holder", "battery cell"):
        if battery_volts(part) > MOST_DC:
            yield HIGH_VOLTAGE, f"battery of {battery_volts(part):g} V"
    elif part.kind in (*with_role("fed"), "lamp") and most >= CHARGED_FROM:
        fed = is_mains(most) and not _TO.search(text.partition(f"{most:g}")[0])
        if not (_STANDS.search(text) or ADAPTER.search(text)):
            yield MAINS if fed else HIGH_VOLTAGE, f"{part.kind} for {most:g} V"


def battery_volts(part: PartLine) -> float:
    """Volts of the batteries of a line: of one, or of all where the line says that they are in series."""
    if part.kind not in ("battery holder", "battery cell"):
        return 0.0
    each = max(volts_in(f"{part.value}, {part.voltage}"), default=0.0)
    if found := re.search(r"\b([0-9]{1,2})S(?:[0-9]{1,2}P)?\b", part.value):
        each = max(each, 3.6 * int(found[1]))
    return each * max(len(part.refs), 1) if "series" in f"{part.value} {part.note}".casefold() else each


def multiplier(kit: Kit) -> Iterator[Sign]:
    """A chain of capacitors for 1 kV and of rectifiers, as in a voltage multiplier."""
    parts = [part for board in kit.boards for part in board.parts]
    high = [part for part in parts if part.kind in measured_in("farad") and rating(part, part.value) >= 1000.0]
    diodes = sum(len(part.refs) for part in parts if _RECTIFIES.search(part.value))
    if high and min(diodes, sum(len(part.refs) for part in high)) >= _CHAIN:
        what = f"{rating(high[0], high[0].value):g} V and {diodes} rectifiers, as in a voltage multiplier"
        yield _sign(high[0], HIGH_VOLTAGE, what, certain=False)


def comes_closed(part: PartLine) -> bool:
    """Whether a line says that it is a closed thing, wired by others: nothing on it is soldered."""
    said = f"{part.value} {part.note} {' '.join(part.cautions)}"
    return bool(_CLOSED.search(said) and _WIRED.search(said)) and not part.joints


def _is_transformer(part: PartLine, text: str) -> bool:
    return part.kind == "transformer" or bool(_TRANSFORMER.search(text))


def _unfed(part: PartLine, text: str, kit: Kit) -> bool:
    """Whether it is a power transformer whose input nobody states: then that is the mains, mostly."""
    if not (_is_transformer(part, text) and _POWER.search(text)) or _NO_POWER.search(text):
        return False
    volts = (*volts_in(text), *tapped(text))
    raised = max(volts, default=0.0) > MOST_AC and _steps_up(text)
    if ADAPTER.search(part.value) or any(map(is_mains, volts)) or raised:
        return False
    return not any(IS_AC.search(rail.name) for rail in kit.supply)


def _steps_up(text: str) -> bool:
    """Whether the first winding that a transformer's text names is a low one, and another comes out of it."""
    volts = volts_in(text)
    primary = re.search(rf"\bpri\w*\W*({NUMBER})", text, re.IGNORECASE)
    if primary and is_mains(float(primary[1].replace(",", "."))):
        return False
    return bool(volts) and volts[0] <= MOST_AC and bool(_TO.search(text))


def _explained(part: PartLine, kit: Kit) -> bool:
    """Whether the kit says that the part hangs on a low voltage and on nothing else that is a rail."""
    low = {rail.name.casefold() for rail in kit.supply if not rail_hazard(f"{rail.name} {rail.current}")}
    return any(net.casefold() in low for net in part.nets) and not any(map(rail_hazard, part.nets))


def _transformer(text: str) -> Iterator[tuple[str, str]]:
    """Windings: mains, unless the first is a low one that is stepped up; and what stands above 50 V."""
    volts = (*volts_in(text), *tapped(text))
    if found := _PRIMARY.search(text):
        yield MAINS, f"transformer for {found[0]}"
    if found := _ON_MAINS.search(text):
        yield MAINS, f"{found[0]}, which sits on the mains"
    if max(volts, default=0.0) <= MOST_AC or re.search(r"\b(?:100|70([.,]7)?) ?V line\b", text):
        return
    said = f"transformer for {' and '.join(f'{each:g} V' for each in dict.fromkeys(volts) if each)}"
    fed = any(map(is_mains, volts)) and not _steps_up(text)
    if fed:
        yield MAINS, said
    gives = volts_in(_TO.split(text, maxsplit=1)[-1]) if _TO.search(text) else ()
    if not fed or max((*gives, *tapped(text)), default=0.0) > MOST_AC:
        yield HIGH_VOLTAGE, said


def _capacitor(part: PartLine, text: str) -> Iterator[tuple[str, str]]:
    value = read_value(part.value, "farad")
    rated = rating(part, text)
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


def rating(part: PartLine, text: str) -> float:
    """Volts that a capacitor stands, 0 when nobody says."""
    if part.voltage.strip().isdecimal():
        return float(part.voltage)
    stated = volts_in(part.voltage) or volts_in(part.value) or volts_in(text)
    last = _VOLTS_LAST.search(part.value.strip())
    return max(stated, default=float(last[0][1:]) if last else 0.0)


def stored_joules(farads: float, volts: float) -> float:
    """Energy in a charged capacitor, C V² / 2.

    >>> round(stored_joules(120e-6, 330), 2)
    6.53
    """
    return farads * volts * volts / 2


def harmful(joules: float, volts: float) -> bool:
    """Whether a capacitor with this charge can harm (NFPA 70E-2021, 360.3, from memory)."""
    return any(volts >= least and joules > most for least, most in _ENERGIES)


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
