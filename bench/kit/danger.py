"""What in a kit can kill: the one place where that is decided. Pure.

Limits, and where they come from:

- extra-low voltage ends at 50 V AC and 120 V ripple-free DC: IEC 61140 and IEC 60364-4-41, seen via the
  IEC's vocabulary (SELV, IEC 61558-1:2005, 3.7.16). A rail that does not say which
  of the two it is gets the lower one;
- no live measurement is proposed above 50 V whatever the kind: stricter than the 60 V DC of IEC 62368-1, ES1
  (from memory), so that one number holds for both kinds;
- a capacitor can harm from 1 J at 100 V and from 0.25 J at 400 V: NFPA 70E-2021, 360.3 (from memory); stricter
  than the 10 J from 100 V of the DOE's classification, seen via Berkeley Lab's hazard thresholds. The rated
  voltage is taken for the charge: nobody knows it better from a parts list.

What parts give away is common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from msgspec import Struct

from bench.kit.model import Kit, PartLine, Rail
from bench.parts.designators import shorten
from bench.parts.quantity import read_value

MAINS, HIGH_VOLTAGE, STORED_CHARGE = "mains", "high voltage", "stored charge"
HAZARDS = (MAINS, HIGH_VOLTAGE, STORED_CHARGE)
"""What a kit file may say under `hazards`."""

MOST_AC = 50.0
MOST_DC = 120.0
"""Volts, the limits of extra-low voltage (module docstring)."""
MOST_LIVE = 50.0
"""Volts to 0 V above which no live measurement is proposed, alternating or not (module docstring)."""
CHARGED_FROM = 100.0
"""Volts of a capacitor's rating above which its charge counts (module docstring)."""
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

    @property
    def kills(self) -> tuple[str, ...]:
        """What somebody has to answer for before power, of `HAZARDS`; empty when the kit is not deadly."""
        return tuple(hazard for hazard in self.hazards if hazard in HAZARDS) if self.deadly else ()

    @property
    def warning(self) -> str:
        """What a page or a letter about the kit says first; empty when it is not deadly."""
        if not self.kills:
            return ""
        named = _and(self.kills)
        return (
            f"{named[:1].upper()}{named[1:]}: this kit can kill. Do not work on it by this text: the maker's "
            "instructions, your local codes and licensed practice come first."
        )

    @property
    def omission(self) -> str:
        """One sentence on what the kit file omits, with what speaks for it; empty when it omits nothing."""
        if not self.undeclared:
            return ""
        said = f"The kit file does not state {_and(self.undeclared)}, but lists {self.why}."
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


def _and(words: tuple[str, ...]) -> str:
    return " and ".join((", ".join(words[:-1]), words[-1])) if len(words) > 1 else "".join(words)


@lru_cache(maxsize=64)
def danger_of(kit: Kit) -> Danger:
    """All that in a kit can kill, stated or found."""
    found = [sign for sign in _signs(kit) if sign.certain or not kit.harmless]
    found.sort(key=lambda sign: sign.line)
    kinds = {sign.hazard for sign in found}
    stated = tuple(" ".join(hazard.split()).casefold() for hazard in kit.hazards)
    known = tuple(hazard for hazard in HAZARDS if hazard in stated or hazard in kinds)
    charged = STORED_CHARGE in kinds or (STORED_CHARGE in stated and _charge_unknown(kit))
    return Danger(
        hazards=(
            *known,
            *(hazard for hazard in kit.hazards if " ".join(hazard.split()).casefold() not in known),
        ),
        deadly=(deadly := MAINS in known or HIGH_VOLTAGE in known or charged),
        hands_off=deadly or any(map(high_rail, kit.supply)),
        reasons=tuple(found),
        undeclared=tuple(hazard for hazard in known if hazard not in stated),
        harmless=kit.harmless,
    )


# -- rails -----------------------------------------------------------------------------------------

_NUMBER = r"[0-9]+(?:[.,][0-9]+)?"
_VOLTS = re.compile(
    rf"(?<![a-wyz0-9.,_]){_NUMBER}(?:\s*(?:/|:|-|\u2013|\.\.|\bto\b|\bbis\b)\s*[+\-\u2212~]?\s*{_NUMBER})*"
    r"\s?(k?)(?:V(?:AC|DC|rms|olts?)?|AC)(?![a-z0-9])",
    re.IGNORECASE,
)
_TAPPED = re.compile(rf"({_NUMBER})\s*-\s*0\s*-\s*({_NUMBER})\s*V", re.IGNORECASE)
_IS_AC = re.compile(r"\bAC\b|VAC\b|V ?~|~ ?[0-9]|Vrms|\b[56]0 ?Hz\b|\balternating\b", re.IGNORECASE)
_IS_DC = re.compile(r"\bDC\b|VDC\b|^\s*[+\-\u2212±]", re.IGNORECASE)
_MAINS_WORD = re.compile(
    r"\bmains\b|\bline (?:voltage|cord)\b|\bpower cord\b|\bIEC (?:60320|C ?1[0-9]|C ?[5-8]|inlet|socket|plug|"
    r"connector|lead|panel)|\bC(?:8|14|16|18|20) (?:inlet|socket)|\b(?:wall|schuko) plug\b|"
    r"^\s*(?:live|neutral)\s*$|\bNetz(?:spannung|schalter|kabel|trafo|stecker|buchse|eingang)|\bsecteur\b",
    re.IGNORECASE,
)
_BOUGHT = re.compile(
    r"adapt[eo]r|wall[ -]?wart|plug[ -]?in (?:supply|power|transformer|psu)|power (?:brick|bank)|\bUSB\b|"
    r"steckernetzteil|\bcharger\b",
    re.IGNORECASE,
)
"""A closed supply that stays closed: what it is plugged into is not in the kit."""
_NOT_MAINS = re.compile(r"\b(?:no|not|without|never|away) (?:from |to |on )?(?:the )?mains\b", re.IGNORECASE)
_HIGH_WORD = re.compile(r"\bhigh[ -]voltage\b|\bE?HT\b|\bHV\b|\b(?:plate|anode) supply\b", re.IGNORECASE)
_MAINS_VOLTS = ((100.0, 132.0), (200.0, 260.0), (380.0, 440.0))


@lru_cache(maxsize=512)
def rail_hazard(text: str) -> str:
    """The hazard of a supply rail, a net or a place that is called so; empty for none.

    >>> [rail_hazard(text) for text in ("230 V AC", "+300 V", "12 V AC adapter", "+48 V phantom", "mains")]
    ['mains', 'high voltage', '', '', 'mains']
    """
    volts = volts_in(text)
    if _BOUGHT.search(text):
        return HIGH_VOLTAGE if volts and min(volts) > MOST_DC else ""
    if _says_mains(text):
        return MAINS
    most = max((*volts, *_tapped(text)), default=0.0)
    if not _IS_DC.search(text) and any(_is_mains(each) for each in volts):
        return MAINS
    return HIGH_VOLTAGE if most > _most(text) or (not volts and _HIGH_WORD.search(text)) else ""


def high_rail(rail: Rail) -> bool:
    """Whether nothing is to be measured or tried at this rail while it is live, but what its maker asks for.

    >>> [high_rail(Rail(name=name, current="")) for name in ("+12 V", "230 VAC", "0.25 kV", "mains", "+60 V")]
    [False, True, True, True, True]
    """
    text = f"{rail.name} {rail.current}"
    adapter = _BOUGHT.search(text)
    volts = volts_in(text)
    most = (min if adapter else max)(volts, default=0.0)
    return bool(rail_hazard(text)) or most > MOST_LIVE


def volts_in(text: str) -> tuple[float, ...]:
    """All voltages that a text states, without signs, in the order written; not what insulation stands.

    >>> volts_in("115/230 V to 2 x 12 V, 5 VA, tested with 4 kV insulation")
    (115.0, 230.0, 12.0)
    """
    found: list[float] = []
    for match in _VOLTS.finditer(text):
        if re.search(r"(?:insulat\w*|isolat\w*|test\w*)(?: with| of| voltage)*\s*$", text[: match.start()]) or (
            re.match(r"\s*(?:AC|DC|rms)?\s*(?:insulat|isolat|test)", text[match.end() :])
        ):
            continue
        scale = 1000.0 if match[1] else 1.0
        found += [float(number.replace(",", ".")) * scale for number in re.findall(_NUMBER, match[0])]
    return tuple(found)


def _tapped(text: str) -> Iterator[float]:
    """From end to end of windings with a tap in the middle: `35-0-35 V`."""
    for match in _TAPPED.finditer(text):
        yield float(match[1].replace(",", ".")) + float(match[2].replace(",", "."))


def _most(text: str) -> float:
    """The limit of extra-low voltage: the lower one where the text does not say that it is DC."""
    return MOST_DC if _IS_DC.search(text) and not _IS_AC.search(text) else MOST_AC


def _is_mains(volts: float) -> bool:
    return any(least <= volts <= most for least, most in _MAINS_VOLTS)


def _says_mains(text: str) -> bool:
    return bool(_MAINS_WORD.search(text)) and not _BOUGHT.search(text) and not _NOT_MAINS.search(text)


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
            yield Sign(hazard=hazard, what=f'section "{section}"')
    yield from _expected(kit)


def _supply(kit: Kit) -> Iterator[Sign]:
    for rail in kit.supply:
        if hazard := rail_hazard(f"{rail.name} {rail.current}"):
            yield Sign(hazard=hazard, what=f'supply rail "{rail.name}"')
    ends = [
        (max(volts), name)
        for rail in kit.supply
        if (name := rail.name.strip()) and (volts := volts_in(name)) and not _BOUGHT.search(name)
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
        if max(volts_in(expect), default=0.0) > _most(expect if _IS_AC.search(expect) else f"+{expect}"):
            yield Sign(hazard=HIGH_VOLTAGE, what=f"{where}: {expect} expected", line=line)


_CAPACITORS = (
    "ceramic capacitor",
    "film capacitor",
    "electrolytic capacitor",
    "bipolar electrolytic capacitor",
)
_ELECTROLYTICS = ("electrolytic capacitor", "bipolar electrolytic capacitor")
_FED = ("module", "IC", "hardware", "LED", "display")
"""Kinds whose voltage says what they are fed with; that of switches and fuses says what they stand."""
_TO = re.compile(r"\bto\b|:|>|\u2192|\bsec")
_STANDS = re.compile(r"\brelay\b|\bcontact|\brated\b|\bswitch", re.IGNORECASE)
_SAFETY_CAPACITOR = re.compile(r"(?<![\w])[XY][12](?:[/ ]*[XY][12])?(?![\w])")
_VARISTOR_AC = re.compile(r"\b[SV]?[0-9]{2}K([0-9]{2,3})\b")
_VARISTOR_DC = re.compile(r"\b[0-9]{1,2}D([0-9]{2})([0-9])K\b|\b([0-9]{2})([0-9])KD?[0-9]{2}\b")
_SWITCHES_MAINS = re.compile(
    r"\btriac\b|\bMOC30[0-9]{2}|\bBT13[0-9]|\bBT[AB][0-9]{2}|\bZ010[0-9]|\binrush\b", re.IGNORECASE
)
_HIGH_PARTS = re.compile(
    r"\bnixie\b|\bphoto[ -]?flash\b|\bflash (?:tube|lamp)\b|\bxenon\b|\bstrobe tube\b|"
    r"\btrigger (?:coil|transformer)\b|"
    r"\bgeiger\b|\bG-M tube\b|\bneon\b|\bcathode[ -]ray\b|\bCRT\b|\bmagic eye\b|\bplasma\b",
    re.IGNORECASE,
)


def _part(part: PartLine, kit: Kit) -> Iterator[Sign]:
    """What one line of the parts list gives away."""
    text = ", ".join(filter(None, (part.value, part.marking, part.note, part.package)))

    def sign(hazard: str, what: str, *, certain: bool = True) -> Sign:
        named = shorten(part.refs) or part.kind
        return Sign(hazard=hazard, what=f"{named}: {what}", line=part.line, certain=certain)

    for net in part.nets:
        if hazard := rail_hazard(net):
            yield sign(hazard, f'on "{net}"')
    if _says_mains(text):
        yield sign(MAINS, f'"{_shown(part.value or part.note)}"')
    if part.kind == "transformer" and not _BOUGHT.search(text):
        yield from (sign(hazard, what) for hazard, what in _transformer(f"{text}, {part.voltage}"))
    if _explained(part, kit):
        return
    if part.kind in _CAPACITORS:
        yield from (sign(hazard, what, certain=False) for hazard, what in _capacitor(part, text))
    elif _varistor_volts(part, text) >= CHARGED_FROM:
        yield sign(MAINS, f"varistor for {_varistor_volts(part, text):.0f} V", certain=False)
    if part.kind in ("valve", "valve socket"):
        yield sign(HIGH_VOLTAGE, "valve", certain=False)
    if part.kind in _FED and not (_STANDS.search(text) or _BOUGHT.search(text)):
        for volts in filter(_is_mains, volts_in(f"{text}, {part.voltage}")):
            yield sign(MAINS, f"{part.kind} for {volts:g} V", certain=False)
            break
    if found := _SWITCHES_MAINS.search(text):
        yield sign(MAINS, f"{found[0]}, made for the mains", certain=False)
    if found := _HIGH_PARTS.search(text):
        yield sign(HIGH_VOLTAGE, f"{found[0]}, which takes high voltage", certain=False)


def _explained(part: PartLine, kit: Kit) -> bool:
    """Whether the kit says that the part hangs on a low voltage and on nothing else that is a rail."""
    low = {rail.name.casefold() for rail in kit.supply if not rail_hazard(f"{rail.name} {rail.current}")}
    return any(net.casefold() in low for net in part.nets) and not any(map(rail_hazard, part.nets))


def _transformer(text: str) -> Iterator[tuple[str, str]]:
    """Windings: mains, unless the first is a low one that is stepped up; and what stands above 50 V."""
    volts = (*volts_in(text), *_tapped(text))
    if max(volts, default=0.0) <= MOST_AC or re.search(r"\b(?:100|70([.,]7)?) ?V line\b", text):
        return
    said = f"transformer for {' and '.join(f'{each:g} V' for each in dict.fromkeys(volts))}"
    steps_up = volts[0] <= MOST_AC and _TO.search(text)
    fed = any(map(_is_mains, volts)) and not steps_up
    if fed:
        yield MAINS, said
    gives = volts_in(_TO.split(text, maxsplit=1)[-1]) if _TO.search(text) else ()
    if not fed or max((*gives, *_tapped(text)), default=0.0) > MOST_AC:
        yield HIGH_VOLTAGE, said


def _capacitor(part: PartLine, text: str) -> Iterator[tuple[str, str]]:
    value = read_value(part.value, "farad")
    rated = _rating(part, text)
    if found := _SAFETY_CAPACITOR.search(text):
        yield MAINS, f"capacitor of class {found[0]}, made for the mains"
    elif rated >= 200.0 and _IS_AC.search(f"{part.voltage} {part.value}"):
        yield MAINS, f"capacitor for {rated:g} V AC"
    if part.kind in _ELECTROLYTICS and rated > CHARGED_FROM:
        yield HIGH_VOLTAGE, f"electrolytic capacitor for {rated:g} V"
    if value.main is not None and value.main.unit == "farad":
        energy = stored_joules(float(value.main.amount), rated)
        if harmful(energy, rated):
            yield STORED_CHARGE, f"holds up to {energy:.1f} J at {rated:g} V"


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
        _rating(part, part.value) for board in kit.boards for part in board.parts if part.kind in _ELECTROLYTICS
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


def _shown(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"
