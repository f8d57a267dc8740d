"""What kind of part a designator and a value point to: a guess, and the plan says so.

The letters, words and type numbers are those of the kinds' records.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache

from msgspec import Struct

from bench.parts.footprints import kind_by_footprint, surface
from bench.parts.junctions import DROPS
from bench.parts.kinds import KINDS, Kind
from bench.parts.protection import protection
from bench.parts.quantity import Value, read_value

_LONGEST = 200
_CODED = ("varistor", "thermistor", "resettable fuse")
"""Kinds that bear codes of their own, such as `07D471K`."""
_WOUND = ("transformer", "transistor")
"""Usual kinds whose letter stands for transformers too: there `20 turns` are turns of wire."""
_WINDINGS = re.compile(
    r"\d ?va\b|\d ?x ?\d+(?:[.,]\d+)? ?v\b|\d-0-\d|\bturns?\b|\bwindings?\b"
    r"|\bprimary\b|\bsecondary\b|\bpri\b|\bsec\b|\bmains\b|\btrafo\b|transform|\be[ief]-?\d\d\b|\bet?d-?\d\d\b"
)
"""What speaks of windings and of no transistor, in lower case: `2x12V`, `20 turns`, `EI30`."""
_RATIO = re.compile(r"\d ?[kr]? ?[:/] ?\d")
_VOLTS = re.compile(r"\d ?v(?:ac|dc)?\b")
WITH_SOCKET = re.compile(
    r"(?:\+|\b(?:with|plus|incl\w*\.?)) *(?:an? )?"
    r"(?:di[pl][ -]?(\d{1,2}) *|(\d{1,2})[ -]?pins? *)?(?:di[pl] |ic )?socket",
    re.IGNORECASE,
)
"""A chip and the socket that comes with it, as in `TL072 + 8 pin socket`; the groups are its pins."""
_CLASS = r"(?:X[1-3]|Y[1-4])(?:[/ ]*(?:X[1-3]|Y[1-4]))?(?![A-Za-z0-9])"
_NO_CRYSTAL = r"(?<!crystal )(?<!xtal )(?<!quartz )(?<!beside )(?<!near )(?<!next to )(?<!at )"
_SAFETY = re.compile(rf"(?<![A-Za-z0-9]){_NO_CRYSTAL}{_CLASS}")
_SAFETY_SMALL = re.compile(rf"(?<![a-z0-9]){_CLASS}", re.IGNORECASE)
_CAN_FROM = Decimal("1E-5")
"""Farads from which a capacitor soldered flat, of no named size, may be a can: common practice, no source."""
MAINS_RATED = re.compile(r"(?<!\d)(?:2[3-9]\d|3[0-4]\d|4[04]0) ?(?:v ?ac|v?~)")
"""A rating for the mains, in lower case."""
RATED_BARE = re.compile(r"(?<![\d.,])(?:275|305|310) ?V(?![a-z]*dc)", re.IGNORECASE)
"""Volts that only capacitors for the mains are sold with: AC goes without saying."""


def safety_class(text: str) -> str:
    """Find the class of a capacitor for the mains (IEC 60384-14), in capitals; empty for none.

    In small letters it is one only beside a voltage of the mains: elsewhere `x2` may be a count.

    >>> [safety_class(text) for text in ("100n X2", "100n x2 275 V AC", "100n x2", "4n7 Y1/X1")]
    ['X2', 'X2', '', 'Y1/X1']
    """
    beside = MAINS_RATED.search(text.casefold()) or RATED_BARE.search(text)
    found = (_SAFETY_SMALL if beside else _SAFETY).search(text)
    return found[0].upper() if found else ""


_COLOURS = re.compile(
    rf"\b(?:{'|'.join(word for drop in DROPS for word in drop.colours)}|purple|infra-red|rgb|bi-?colou?r)\b"
)


class _Letter(Struct, frozen=True, kw_only=True):
    """What a class letter can stand for."""

    usual: str
    """The kind when nothing else is known; empty when none is."""
    kinds: tuple[str, ...]
    """All kinds that it can stand for, the usual one first."""
    units: dict[str, str]
    """Kinds that the unit of the value points to."""


def _letters() -> dict[str, _Letter]:
    every = {letter for kind in KINDS.values() for letter in f"{kind.usual_for} {kind.letters}".split()}
    found = {}
    for letter in every:
        usual = [name for name, kind in KINDS.items() if letter in kind.usual_for.split()]
        others = [name for name, kind in KINDS.items() if letter in kind.letters.split()]
        units = {KINDS[name].unit: name for name in others if letter in KINDS[name].by_unit.split()}
        found[letter] = _Letter(usual="".join(usual), kinds=(*usual, *others), units=units)
    return found


LETTERS = _letters()
"""Class letters, upper case -> what they can stand for."""
Patterns = tuple[tuple[str, re.Pattern[str]], ...]
"""Kinds with what gives them away, in the order of the search."""


@cache
def _patterns(field: str) -> Patterns:
    """Those of a field of the kinds, made when they are first looked for: it takes some milliseconds."""
    before, after = ("A-Z0-9", "") if field == "types" else (r"\w.-", r"(?!\w)")
    sought: list[Kind] = sorted(KINDS.values(), key=lambda kind: kind.sought)
    return tuple(
        (kind.name, re.compile(rf"(?<![{before}])(?:{words}){after}"))
        for kind in sought
        if (words := getattr(kind, field))
    )


def guess_kind(ref_letters: str, value: str, package: str = "", note: str = "") -> str | None:
    """Guess the kind that class letters, value and package point to; None when they point to none.

    TR is a transformer in some countries and a transistor in others (IEC 60617 and British practice, from
    memory): there value and note decide, and where neither does there is no guess.

    Capacitors: from 1 µF on electrolytic, below 1 nF and at 100 nF ceramic, between them film, unless
    value or package names the dielectric. Variable resistors with a taper are potentiometers, without
    one trimmers. What the name of a footprint means goes before any guess from the value.
    Without letters, or with letters that no class has, words, type number and unit decide.

    >>> guess_kind("C", "10u"), guess_kind("C", "10u film"), guess_kind("D", "1N4733A")
    ('electrolytic capacitor', 'film capacitor', 'Zener diode')
    """
    beside = package[:_LONGEST]
    if read_value(value).type_number:  # the package of a chip may name its socket
        beside = re.sub(r"sockets?", "", beside, flags=re.IGNORECASE)
    spoken = WITH_SOCKET.sub("", f"{value[:_LONGEST]} {beside}").casefold()
    known = LETTERS.get(ref_letters.strip().upper())
    if known is None:
        return _unlettered(value[:_LONGEST], beside, spoken)
    told = next(_told(known, value[:_LONGEST], spoken), None)
    safe = safety_class(f"{value} {beside}")
    by_name = "" if safe else kind_by_footprint(ref_letters, beside, value)
    kind: str | None = by_name if by_name == "trimmer" else told or by_name
    if not kind and "transformer" in known.kinds and _is_wound(value, f"{spoken} {note.casefold()}"):
        return "transformer"
    kind = kind or _by_worth(known, value, beside, spoken)
    return None if kind == "transistor" and not told and ref_letters.strip().upper() == "TR" else kind


def _is_wound(value: str, words: str) -> bool:
    """Whether value and note speak of windings; volts alone do where no type number stands beside them."""
    if _RATIO.search(value.casefold()):
        return True
    main = read_value(value).main
    if main is not None and main.unit == "ohm":
        return False
    typed = re.search(r"(?<![a-z0-9])[a-z]{1,4}\d{3}", value.casefold())
    return bool(_WINDINGS.search(words) or (_VOLTS.search(value.casefold()) and not typed))


def _told(known: _Letter, value: str, spoken: str) -> Iterator[str]:
    """The kinds that words, codes and type numbers point to, the likeliest first."""
    yield from (kind for kind, words in _patterns("words") if kind in known.kinds and words.search(spoken))
    yield from _by_code(value, known.kinds)
    typed = value.upper()
    yield from (kind for kind, types in _patterns("types") if kind in known.kinds and types.search(typed))
    others = known.kinds[bool(known.usual) :]
    for kind, words in _patterns("hints"):
        of_wire = kind == "trimmer" and known.usual in _WOUND
        if kind in others and not of_wire and words.search(spoken):
            yield kind
    yield from (kind for kind, words in _patterns("vague") if kind in known.kinds and words.search(spoken))


def _by_code(value: str, kinds: tuple[str, ...]) -> Iterator[str]:
    """The kinds whose code one of the words is, such as `07D471K`."""
    for word in value.upper().split():
        for meaning in protection(word):
            coded = [kind for kind in kinds if kind in meaning.kinds]  # the usual kind of the letter first
            if not meaning.doubt and coded and coded[0] in _CODED:
                yield coded[0]


def worth_alone(ref_letters: str, value: str) -> bool:
    """Return whether only the size of a capacitor's value, and no word, says of which kind it is.

    >>> worth_alone("C", "10u"), worth_alone("C", "10u X7R"), worth_alone("R", "10k")
    (True, False, False)
    """
    known = LETTERS.get(ref_letters.strip().upper())
    if known is None or "ceramic capacitor" not in known.kinds:
        return False
    words = value[:_LONGEST].casefold()
    signs = (*_patterns("words"), *_patterns("hints"), *_patterns("vague"))
    told = any(kind in known.kinds and pattern.search(words) for kind, pattern in signs)
    return not told and not safety_class(value) and not MAINS_RATED.search(words)


def _by_worth(known: _Letter, value: str, beside: str, spoken: str) -> str | None:
    capacitor = "ceramic capacitor" in known.kinds
    read = read_value(value, "farad" if capacitor else "")
    if capacitor:
        return _capacitor(read, f"{value} {beside}")
    if read.taper and "potentiometer" in known.kinds:
        return "potentiometer"
    if "LED" in known.kinds and _COLOURS.search(spoken):
        return "LED"
    if read.main and read.main.unit in known.units:
        return known.units[read.main.unit]
    return known.usual or None


def _capacitor(read: Value, text: str) -> str | None:
    if read.main is None or read.main.unit != "farad":
        bare = read.remark.split(" ")[0].rstrip("JKMZ")
        return "ceramic capacitor" if bare.isascii() and bare.isdecimal() else None
    farads = read.main.amount
    if safety := safety_class(text):
        return "film capacitor" if safety[0] == "X" else "ceramic capacitor"
    if MAINS_RATED.search(text.casefold()):
        return "film capacitor" if farads >= Decimal("1E-8") else "ceramic capacitor"
    if farads < _CAN_FROM and surface(text):
        return "ceramic capacitor"
    volts = max((each.amount for each in read.ratings if each.unit == "volt"), default=Decimal(0))
    if volts >= 250 and Decimal("1E-8") <= farads < Decimal("1E-6"):
        return "film capacitor"
    if farads >= Decimal("1E-6"):
        return "electrolytic capacitor"
    if farads < Decimal("1E-9") or farads == Decimal("1E-7"):
        return "ceramic capacitor"
    return "film capacitor"


def _unlettered(value: str, beside: str, spoken: str) -> str | None:
    """The kind of a part that has no designator, or one with a name of its own."""
    read = read_value(value)
    typed = "" if read.main else value.upper()
    for patterns, text in (
        (_patterns("words"), spoken),
        (_patterns("vague"), spoken),
        (_patterns("types"), typed),
    ):
        for kind, pattern in patterns:
            if pattern.search(text):
                return kind
    if coded := next(_by_code(value, ("varistor", "thermistor")), None):
        return coded
    if read.taper:
        return "potentiometer"
    if read.main is None:
        return None
    if read.main.unit == "farad":
        return _capacitor(read, f"{value} {beside}")
    return {"ohm": "resistor", "henry": "inductor", "hertz": "crystal"}.get(read.main.unit)
