"""What kind of part a designator and a value point to: a guess, and the plan says so.

Class letters: IEEE 315-1975 clause 22.4 and the usual other ones. Type numbers and words: common practice,
from memory.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from bench.parts.guessbook import HINTS, NAMES, TYPES, WITH_SOCKET
from bench.parts.junctions import DROPS
from bench.parts.protection import protection
from bench.parts.quantity import Value, read_value

_LONGEST = 200
_SPECIAL = ("resistor network", "thermistor", "photoresistor", "varistor", "wire link")
_POTS = ("slide potentiometer", "potentiometer", "trimmer")
_TRANSISTORS = ("MOSFET", "JFET", "thyristor", "transistor")
_DIODES = ("LED", "bridge rectifier", "Zener diode", "Schottky diode", "diode")
_HEADERS = ("box header", "pin socket", "pin header")
_PLUGS = ("mains inlet", "DC socket", "jack socket", "terminal block", "connector", *_HEADERS)
_CHIPS = ("voltage regulator", "voltage reference", "optocoupler")
_CAPACITORS = (
    "trimmer capacitor", "variable capacitor", "tantalum capacitor", "bipolar electrolytic capacitor",
    "electrolytic capacitor", "film capacitor", "ceramic capacitor",
)  # fmt: skip


_CODED = frozenset(("varistor", "thermistor", "resettable fuse"))
_WOUND = ("transformer", "transistor")
"""Usual kinds whose letter stands for transformers too: there `20 turns` are turns of wire."""
_SAFETY = re.compile(r"(?<![A-Za-z0-9])(?:X|Y)[12](?:[/ ]*[XY][12])?(?![A-Za-z0-9])")
_SAFETY_SMALL = re.compile(r"(?<![a-z0-9])[xy][12](?:[/ ]*[xy][12])?(?![a-z0-9])", re.IGNORECASE)
MAINS_RATED = re.compile(r"(?<!\d)(?:2[3-9]\d|3[0-4]\d|4[04]0) ?(?:v ?ac|v?~)")
"""A rating for the mains, in lower case."""
RATED_BARE = re.compile(r"(?<![\d.,])(?:275|305|310) ?V(?![a-z]*dc)", re.IGNORECASE)
"""Volts that only capacitors for the mains are sold with: AC goes without saying."""
CHIP_SIZE = re.compile(r"(?<![\w.,])(?:0201|0402|0603|0805|1206|1210|1812)(?![\w.,])")
"""Sizes of bare chips, hundredths of an inch: whatever their value, capacitors of such a size are ceramics."""


def safety_class(text: str) -> str:
    """Class of a capacitor for the mains (IEC 60384-14), in capitals; empty for none.

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


class _Class(Struct, frozen=True, kw_only=True):
    """What a class letter can stand for."""

    usual: str
    """The kind when nothing else is known."""
    also: tuple[str, ...] = ()
    """Kinds that words or a type number can point to."""
    units: dict[str, str] = {}
    """Kinds that the unit of the value points to."""


def _classes() -> dict[str, _Class]:
    table: tuple[tuple[str, str, tuple[str, ...], dict[str, str]], ...] = (
        ("R", "resistor", (*_SPECIAL, *_POTS), {}),
        ("RN RP RA", "resistor network", (), {}),
        ("RT PTC", "resettable fuse", ("thermistor", "trimmer"), {"ohm": "thermistor"}),
        ("TH NTC", "thermistor", ("thyristor",), {}),
        ("RV", "trimmer", ("varistor", "rotary encoder", *_POTS), {"volt": "varistor"}),
        (
            "VR",
            "trimmer",
            (*_POTS, "varistor", "rotary encoder", "Zener diode", *_CHIPS),
            {"volt": "Zener diode"},
        ),
        ("P", "connector", (*_POTS, *_PLUGS), {"ohm": "trimmer"}),
        ("POT", "potentiometer", _POTS, {}),
        ("TRIM TM", "trimmer", _POTS, {}),
        ("MOV VDR", "varistor", (), {}),
        ("LDR", "photoresistor", (), {}),
        ("W", "wire link", ("cable", *_HEADERS), {}),
        ("LK JW WL", "wire link", (), {}),
        ("E FB", "ferrite bead", ("inductor",), {}),
        ("C", "", _CAPACITORS, {}),
        ("CT TC CV", "trimmer capacitor", ("variable capacitor",), {}),
        ("VC", "variable capacitor", ("trimmer capacitor",), {}),
        ("L", "inductor", ("ferrite bead", "toroid inductor"), {}),
        ("T", "transformer", (*_TRANSISTORS, "toroid inductor", "trimmer"), {"ohm": "trimmer"}),
        ("TR", "transistor", ("transformer", *_TRANSISTORS, "trimmer"), {"ohm": "trimmer"}),
        ("Y XTAL XT", "crystal", ("ceramic resonator",), {}),
        ("X", "crystal", ("ceramic resonator", *_PLUGS), {}),
        ("D CR VD", "diode", (*_DIODES, "thyristor", "voltage reference"), {"volt": "Zener diode"}),
        ("ZD DZ", "Zener diode", (), {}),
        ("BR DB", "bridge rectifier", (), {}),
        ("LED LD", "LED", (), {}),
        ("DS", "LED", ("display", "lamp"), {}),
        ("LA PL", "lamp", (), {}),
        ("Q", "transistor", (*_TRANSISTORS, *_CHIPS, "crystal"), {"hertz": "crystal"}),
        ("VT", "transistor", ("valve", *_TRANSISTORS), {}),
        ("V TUBE", "valve", ("display", *_TRANSISTORS, *_DIODES, "varistor"), {"volt": "varistor"}),
        ("U IC", "IC", ("IC socket", *_CHIPS, "module", "display", *_TRANSISTORS), {}),
        ("REG", "voltage regulator", (), {}),
        ("SCR", "thyristor", (), {}),
        ("OK OC OPTO ISO", "optocoupler", (), {}),
        ("XU XIC", "IC socket", (), {}),
        ("F FU", "fuse", ("fuse holder", "resettable fuse", "ferrite bead"), {}),
        ("PF", "resettable fuse", (), {}),
        ("XF FH", "fuse holder", (), {}),
        ("K", "relay", ("push button", *_PLUGS), {}),
        ("RY RL RLY", "relay", (), {}),
        ("S SW", "toggle switch", ("rotary encoder", "slide switch", "rotary switch", "push button"), {}),
        ("PB BTN", "push button", (), {}),
        ("ENC RE", "rotary encoder", (), {}),
        ("J CN CON", "connector", _PLUGS, {}),
        ("JP HDR", "pin header", ("box header", "pin socket"), {}),
        ("JK JACK", "jack socket", ("DC socket",), {}),
        ("DC", "DC socket", (), {}),
        ("TB", "terminal block", (), {}),
        ("TP", "test point", (), {}),
        ("DISP LCD", "display", (), {}),
        ("XV VS", "valve socket", (), {}),
        ("HS", "heatsink", (), {}),
        ("BT BAT", "battery holder", ("battery cell",), {}),
        ("LS SPK BZ BUZ", "loudspeaker", (), {}),
        ("MK MIC", "microphone", (), {}),
        ("A MOD", "module", ("IC socket", *_CHIPS), {}),
        ("H MP HW", "hardware", ("spacer", "screw", "nut", "washer", "knob", "heatsink", *_HEADERS), {}),
        ("ANT", "hardware", (), {}),
    )
    return {
        letter: _Class(usual=usual, also=also, units=units)
        for letters, usual, also, units in table
        for letter in letters.split()
    }


CLASSES = _classes()
"""Class letters, upper case -> what they can stand for."""


def kind_from(ref_letters: str, value: str, package: str) -> str | None:
    """What `kinds.guess_kind` returns."""
    beside = package[:_LONGEST]
    if read_value(value).type_number:  # the package of a chip may name its socket
        beside = re.sub(r"sockets?", "", beside, flags=re.IGNORECASE)
    spoken = WITH_SOCKET.sub("", f"{value[:_LONGEST]} {beside}").casefold()
    known = CLASSES.get(ref_letters.strip().upper())
    if known is None:
        return _unlettered(value[:_LONGEST], beside, spoken)
    typed = value[:_LONGEST].upper()
    by_code = _by_code(value, (known.usual, *known.also))
    for book, text, kinds in (
        (NAMES, spoken, known.also), (TYPES, typed, (known.usual, *known.also)), (HINTS, spoken, known.also),
    ):  # fmt: skip
        for kind, pattern in book:
            of_wire = kind == "trimmer" and book is HINTS and known.usual in _WOUND
            if kind in kinds and not of_wire and pattern.search(text):
                return kind
        if by_code:
            return by_code
    return _by_worth(known, value, beside, spoken)


def _by_code(value: str, kinds: Sequence[str]) -> str | None:
    """The kind whose code one of the words is, such as `07D471K`."""
    for word in value[:_LONGEST].upper().split():
        for meaning in protection(word):
            coded = [kind for kind in kinds if kind in meaning.kinds]  # the usual kind of the letter first
            if not meaning.doubt and coded and coded[0] in _CODED:
                return coded[0]
    return None


def worth_alone(ref_letters: str, value: str) -> bool:
    """Whether only the size of a capacitor's value, and no word, says of which kind it is.

    >>> worth_alone("C", "10u"), worth_alone("C", "10u X7R"), worth_alone("R", "10k")
    (True, False, False)
    """
    known = CLASSES.get(ref_letters.strip().upper())
    if known is None or "ceramic capacitor" not in known.also:
        return False
    words = value[:_LONGEST].casefold()
    told = any(
        kind in known.also and pattern.search(words) for book in (NAMES, HINTS) for kind, pattern in book
    )
    return not told and not safety_class(value) and not MAINS_RATED.search(words)


def _by_worth(known: _Class, value: str, beside: str, spoken: str) -> str | None:
    read = read_value(value, "farad" if "ceramic capacitor" in known.also else "")
    if "ceramic capacitor" in known.also:
        return _capacitor(read, f"{value} {beside}")
    if read.taper and "potentiometer" in known.also:
        return "potentiometer"
    if "LED" in known.also and _COLOURS.search(spoken):
        return "LED"
    if read.main and read.main.unit in known.units:
        return known.units[read.main.unit]
    return known.usual


def _capacitor(read: Value, text: str) -> str | None:
    if read.main is None or read.main.unit != "farad":
        bare = read.remark.split(" ")[0].rstrip("JKMZ")
        return "ceramic capacitor" if bare.isascii() and bare.isdecimal() else None
    farads = read.main.amount
    if safety := safety_class(text):
        return "film capacitor" if safety[0] == "X" else "ceramic capacitor"
    if MAINS_RATED.search(text.casefold()):
        return "film capacitor" if farads >= Decimal("1E-8") else "ceramic capacitor"
    if CHIP_SIZE.search(text):
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
    for book, text in ((NAMES, spoken), (TYPES, "" if read.main else value.upper())):
        for kind, pattern in book:
            if pattern.search(text):
                return kind
    if coded := _by_code(value, ("varistor", "thermistor")):
        return coded
    if read.taper:
        return "potentiometer"
    if read.main is None:
        return None
    if read.main.unit == "farad":
        return _capacitor(read, f"{value} {beside}")
    return {"ohm": "resistor", "henry": "inductor", "hertz": "crystal"}.get(read.main.unit)
