"""What a single part shows about itself beyond its kind: case, mount, rating, where in the circuit it sits.

Cautions and ways round are chosen by it, see `advice`. Common practice, from memory; classes X and Y:
IEC 60384-14, from memory.
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from bench.parts.footprints import bears_rings, surface
from bench.parts.guessing import MAINS_RATED, safety_class
from bench.parts.kinds import KINDS, THREE_LEGGED, in_family, measured_in
from bench.parts.protection import protection
from bench.parts.quantity import read_value
from bench.parts.type_families import family
from bench.parts.type_numbers import TypeFacts, facts

_LONGEST = 200
_ON_WIRES = re.compile(
    r"\b(?:on|with|by|its|two|three|four|short|flying|hook-?up) (?:[\w.]+ ){0,2}(?:wires?|leads)\b"
    r"|\b(?:cm|mm|inch(?:es)?) of (?:\w+ )?(?:wire|cable|lead)|\bflying leads?\b|\bwired\b",
    re.IGNORECASE,
)
_DIODES = in_family("diodes", "LEDs")
_ANY_KIND = {"axial": r"\baxial", "ac": r"\bac\b|\d ?vac\b|~"}
"""Traits that parts of any kind can have; those of one kind are `shows` and `told` of its record."""
_TABBED = re.compile(r"to-?(?:220|126|225|247|218|3p|202)(?!\d)|sot-?32(?!\d)")
_CAN = re.compile(r"to-?(?:3|66|204)(?![\dp])")
_SMALL_CAN = re.compile(r"to-?(?:5|18|39|46)(?!\d)")
_SMALL = re.compile(r"to-?92|to-?226|e-?line|sot-?54")
_OTHER_CASE = re.compile(r"to-?\d|sot|\bdi[pl]|so-?\d")
_GLASS = re.compile(r"do-?(?:34|35|7)(?!\d)|sod-?27|glass")
_PLASTIC = re.compile(r"do-?(?:15|27|201|214)|plastic|sma\b|smb\b")
_WATTS = re.compile(r"(?<![\d/.,])(\d{1,3}(?:[.,]\d+)?) ?w(?:att)?s?\b")
_PAD_BELOW = re.compile(r"[qd]fn(?![a-z])|\b\w?son-?\d|\b\d?ep(?:\d|\b)")
_SUPPLY = re.compile(r"power|suppl|psu|regulat|\brails?\b|protect|revers|mains|rectif")
_MAINS = re.compile(
    r"\bmains\b|\biec\b|\b(?:1[12]\d|2[234]\d) ?v(?: ?ac)?\b|\bx[12]\b|\by[12]\b|line voltage"
    r"|\bl(?: and |[ ,/&+-]+)n\b|\bneutral\b"
)
_HELD = Decimal("1E-4")
"""Farads from which an electrolytic without a known rating is said to keep a charge."""
_SUPER = Decimal("0.1")
"""Farads from which a short of it burns, few volts as it has."""


def traits_of(
    kind: str, value: str, package: str = "", mount: str = "", rated: str = "", about: str = ""
) -> frozenset[str]:
    """Classify one part of a kind (a name of `kinds.KINDS`); `about` is its section and its note.

    >>> sorted(traits_of("voltage regulator", "78L05", "TO-92", "board"))
    ['board', 'fixed', 'small', 'typed']
    """
    return _traits(kind, value[:_LONGEST], package[:_LONGEST], mount, rated[:_LONGEST], about[:_LONGEST])


def on_wires(mount: str, note: str = "") -> bool:
    """Return whether wires join a part to its board: screwed to case or panel, or its note says so.

    >>> on_wires("chassis"), on_wires("panel", "OUT, 6 cm of wire from the pad"), on_wires("board", "two leads")
    (True, True, False)
    """
    return mount in ("chassis", "cable") or (mount == "panel" and bool(_ON_WIRES.search(note[:_LONGEST])))


@lru_cache(maxsize=4096)
def _traits(kind: str, value: str, package: str, mount: str, rated: str, about: str) -> frozenset[str]:
    flat = surface(package, f"{value} {rated}")
    value, package = value.replace("_", " "), package.replace("_", " ")
    written = f"{value} {package} {rated} {about}"
    shown, text, about = f"{value} {package} {rated}".casefold(), written.casefold(), about.casefold()
    entry = KINDS[kind]
    found = {mount.replace(" ", "-")} if mount else set()
    for patterns, where in ((_ANY_KIND, shown), (entry.shows, shown), (entry.told, text)):
        found |= {trait for trait, pattern in patterns.items() if re.search(pattern, where)}
    if kind in measured_in("farad"):
        found |= _of_capacitor(written)
    if kind in THREE_LEGGED or kind in _DIODES:
        found |= _case(kind, value, package.casefold())
    if flat is False:
        found -= {"smd", "tab-pad"}
    reckoned = {
        "smd": bool(flat),
        "melf": bears_rings(package, value),
        "pad-below": bool(flat and _PAD_BELOW.search(shown)),
        "wired": on_wires(mount, about),
        "supply": bool(_SUPPLY.search(about)),
        "mains": bool(_MAINS.search(text)),
        "inrush": kind == "thermistor" and _limits_inrush(value),
        "axial": kind == "inductor" and mount in ("flat", "upright"),
        "hot": "runs hot" in entry.roles and ("wound" in found or _watts(text) >= 1),
        "keeps-charge": _keeps_charge(kind, value, rated),
        "farads": kind == "electrolytic capacitor" and _farads(value) >= _SUPER,
    }
    return frozenset(found | {trait for trait, holds in reckoned.items() if holds})


def _of_capacitor(written: str) -> set[str]:
    safety = safety_class(written)
    found = {trait for letter, trait in (("X", "class-x"), ("Y", "class-y")) if letter in safety}
    return found | ({"mains-rated"} if MAINS_RATED.search(written.casefold()) else set())


def _limits_inrush(value: str) -> bool:
    return any("inrush" in each.text for word in value.split() for each in protection(word))


def _case(kind: str, value: str, package: str) -> set[str]:
    """The case by package, else by type number."""
    known = facts(value) or family(value)
    found = _typed(known) if known else set()
    usual = known.case.casefold() if known else ""
    if kind in _DIODES:
        words = f"{value} {package}".casefold()
        if _GLASS.search(words) or ("glass" in usual and not _PLASTIC.search(words)):
            found.add("glass")
        return found
    case = package if _OTHER_CASE.search(package) else usual
    if surface(f"{case} {package}"):
        found |= {"smd", "tab-pad"} if re.search(r"sot-?223|to-?(?:252|263)", case) else {"smd"}
    elif _TABBED.search(case):
        found.add("tab")
    elif _CAN.search(case):
        found.add("can")
    elif _SMALL_CAN.search(case):
        found.add("small-can")
    elif _SMALL.search(case):
        found.add("small")
    return found


def _typed(known: TypeFacts) -> set[str]:
    found = {"typed"}
    found |= {"germanium"} if "germanium" in known.role else set()
    if known.role.startswith(("positive", "negative")):
        found |= {"negative"} if known.role.startswith("negative") else set()
        found |= {"fixed"} if known.base.startswith(("78", "79")) else set()
    return found


def _watts(text: str) -> Decimal:
    return max((Decimal(each.replace(",", ".")) for each in _WATTS.findall(text)), default=Decimal(0))


def _keeps_charge(kind: str, value: str, rated: str) -> bool:
    """Electrolytic: from 100 µF on, or above 50 V; film: from 1 µF and 100 V on (common practice)."""
    volts = [each.amount for each in read_value(value, "farad").ratings if each.unit == "volt"]
    main = read_value(rated, "volt").main if rated else None
    most = max([*volts, *((main.amount,) if main else ())], default=Decimal(0))
    if kind == "film capacitor":
        return _farads(value) >= _HELD / 100 and most >= 100
    return kind == "electrolytic capacitor" and (_farads(value) >= _HELD or most > 50)


def _farads(value: str) -> Decimal:
    main = read_value(value, "farad").main
    return main.amount if main and main.unit == "farad" else Decimal(0)
