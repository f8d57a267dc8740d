"""What kind of part a designator and a value point to: a guess, and the plan says so.

Class letters: IEEE 315-1975 clause 22.4 and the usual other ones. Type numbers and words: common practice,
from memory.
"""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct

from bench.parts.guessbook import HINTS, NAMES, TYPES
from bench.parts.quantity import Value, read_value

_LONGEST = 200
_SPECIAL = ("resistor network", "thermistor", "photoresistor", "varistor", "wire link")
_POTS = ("slide potentiometer", "potentiometer", "trimmer")
_TRANSISTORS = ("MOSFET", "JFET", "thyristor", "transistor")
_DIODES = ("LED", "bridge rectifier", "Zener diode", "Schottky diode", "diode")
_PLUGS = ("DC socket", "jack socket", "box header", "pin socket", "terminal block", "pin header")
_CHIPS = ("voltage regulator", "voltage reference", "optocoupler")
_CAPACITORS = (
    "trimmer capacitor", "variable capacitor", "tantalum capacitor", "bipolar electrolytic capacitor",
    "electrolytic capacitor", "film capacitor", "ceramic capacitor",
)  # fmt: skip


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
        ("RV", "trimmer", ("varistor", *_POTS), {"volt": "varistor"}),
        ("VR", "trimmer", (*_POTS, "varistor", "Zener diode", *_CHIPS), {"volt": "Zener diode"}),
        ("P", "connector", (*_POTS, *_PLUGS), {"ohm": "trimmer"}),
        ("POT", "potentiometer", _POTS, {}),
        ("TRIM TM", "trimmer", _POTS, {}),
        ("MOV VDR", "varistor", (), {}),
        ("LDR", "photoresistor", (), {}),
        ("W", "wire link", ("cable",), {}),
        ("LK JW WL", "wire link", (), {}),
        ("E FB", "ferrite bead", ("inductor",), {}),
        ("C", "", _CAPACITORS, {}),
        ("CT TC CV", "trimmer capacitor", ("variable capacitor",), {}),
        ("VC", "variable capacitor", ("trimmer capacitor",), {}),
        ("L", "inductor", ("ferrite bead", "toroid inductor"), {}),
        ("T", "transformer", (*_TRANSISTORS, "toroid inductor"), {}),
        ("TR", "transistor", ("transformer", *_TRANSISTORS, "trimmer"), {"ohm": "trimmer"}),
        ("Y XTAL XT", "crystal", ("ceramic resonator",), {}),
        ("X", "crystal", ("ceramic resonator", *_PLUGS, "connector"), {}),
        ("D CR VD", "diode", (*_DIODES, "thyristor", "voltage reference"), {"volt": "Zener diode"}),
        ("ZD DZ", "Zener diode", (), {}),
        ("BR DB", "bridge rectifier", (), {}),
        ("LED LD", "LED", (), {}),
        ("DS", "LED", ("display",), {}),
        ("Q", "transistor", (*_TRANSISTORS, *_CHIPS, "crystal"), {"hertz": "crystal"}),
        ("VT", "transistor", ("valve", *_TRANSISTORS), {}),
        ("V TUBE", "valve", (*_TRANSISTORS, *_DIODES, "varistor"), {"volt": "varistor"}),
        ("U IC", "IC", ("IC socket", *_CHIPS, "module", "display", *_TRANSISTORS), {}),
        ("REG", "voltage regulator", (), {}),
        ("SCR", "thyristor", (), {}),
        ("OK OC OPTO ISO", "optocoupler", (), {}),
        ("XU XIC", "IC socket", (), {}),
        ("F FU", "fuse", ("fuse holder", "resettable fuse", "ferrite bead"), {}),
        ("PF", "resettable fuse", (), {}),
        ("XF FH", "fuse holder", (), {}),
        ("K RY RL", "relay", ("push button",), {}),
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
        ("BT BAT", "battery holder", (), {}),
        ("LS SPK", "loudspeaker", (), {}),
        ("MK MIC", "microphone", (), {}),
        ("A MOD", "module", ("IC socket", *_CHIPS), {}),
        ("H MP HW", "hardware", ("spacer", "screw", "nut", "washer", "knob", "heatsink"), {}),
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
    spoken = f"{value[:_LONGEST]} {package[:_LONGEST]}".casefold()
    if read_value(value).type_number:
        spoken = value[:_LONGEST].casefold()
    known = CLASSES.get(ref_letters.strip().upper())
    if known is None:
        return _unlettered(value[:_LONGEST], spoken)
    typed = value[:_LONGEST].upper()
    for book, text, kinds in (
        (NAMES, spoken, known.also), (TYPES, typed, (known.usual, *known.also)), (HINTS, spoken, known.also),
    ):  # fmt: skip
        for kind, pattern in book.items():
            if kind in kinds and pattern.search(text):
                return kind
    return _by_worth(known, value, spoken)


def _by_worth(known: _Class, value: str, spoken: str) -> str | None:
    read = read_value(value, "farad" if "ceramic capacitor" in known.also else "")
    if "ceramic capacitor" in known.also:
        return _capacitor(read)
    if read.taper and "potentiometer" in known.also:
        return "potentiometer"
    if "LED" in known.also and re.search(r"\b(?:red|green|yellow|amber|blue|white|orange)\b", spoken):
        return "LED"
    if read.main and read.main.unit in known.units:
        return known.units[read.main.unit]
    return known.usual


def _capacitor(read: Value) -> str | None:
    if read.main is None or read.main.unit != "farad":
        bare = read.remark.split(" ")[0].rstrip("JKMZ")
        return "ceramic capacitor" if bare.isascii() and bare.isdecimal() else None
    farads = read.main.amount
    if farads >= Decimal("1E-6"):
        return "electrolytic capacitor"
    if farads < Decimal("1E-9") or farads == Decimal("1E-7"):
        return "ceramic capacitor"
    return "film capacitor"


def _unlettered(value: str, spoken: str) -> str | None:
    """The kind of a part that has no designator, or one with a name of its own."""
    read = read_value(value)
    for book, text in ((NAMES, spoken), (TYPES, "" if read.main else value.upper())):
        for kind, pattern in book.items():
            if pattern.search(text):
                return kind
    if read.taper:
        return "potentiometer"
    if read.main is None:
        return None
    usual = {"ohm": "resistor", "farad": _capacitor(read), "henry": "inductor", "hertz": "crystal"}
    return usual.get(read.main.unit)
