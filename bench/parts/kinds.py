"""Kinds of parts: how they sit, which way round they go, how many joints they need.

What guesses and counts is imported when it is called: a plan that was made before needs only the table.
"""

from __future__ import annotations

import re
from functools import cache

from bench.parts.components import CAPACITORS_AND_COILS, PASSIVES
from bench.parts.connectors import CONNECTORS, LARGE_PARTS
from bench.parts.fittings import FUSES_AND_CONTROLS, HARDWARE
from bench.parts.kind import MOUNTS, Kind
from bench.parts.semiconductors import DIODES, TRANSISTORS_AND_CHIPS

__all__ = ["KINDS", "MOUNTS", "THREE_LEGGED", "Kind", "guess_kind", "height_for", "joints_for", "kind_named"]

KINDS: dict[str, Kind] = {
    kind.name: kind
    for group in (
        PASSIVES, DIODES, CAPACITORS_AND_COILS, TRANSISTORS_AND_CHIPS, FUSES_AND_CONTROLS, CONNECTORS,
        LARGE_PARTS, HARDWARE,
    )
    for kind in group
}  # fmt: skip
"""All kinds by name; the order is that of small parts before large ones."""

THREE_LEGGED = ("transistor", "JFET", "MOSFET", "thyristor", "voltage regulator", "voltage reference")
"""Kinds whose legs stand in an order that differs from type to type."""
_HEIGHT_BY_MOUNT = {"panel": 8, "chassis": 9, "cable": 9}

_OTHER_NAMES = {
    "zener": "Zener diode", "schottky": "Schottky diode", "light emitting diode": "LED",
    "ldr": "photoresistor", "bridge": "bridge rectifier", "rectifier": "diode",
    "electrolytic": "electrolytic capacitor", "electrolytic cap": "electrolytic capacitor",
    "film cap": "film capacitor", "tantalum": "tantalum capacitor", "ceramic cap": "ceramic capacitor",
    "bipolar capacitor": "bipolar electrolytic capacitor", "choke": "inductor", "coil": "inductor",
    "toroid": "toroid inductor", "bead": "ferrite bead", "resonator": "ceramic resonator",
    "regulator": "voltage regulator", "reference": "voltage reference", "integrated circuit": "IC",
    "chip": "IC", "dip socket": "IC socket", "chip socket": "IC socket", "opto": "optocoupler",
    "optoisolator": "optocoupler", "polyfuse": "resettable fuse", "mov": "varistor",
    "inrush limiter": "thermistor",
    "bulb": "lamp", "iec inlet": "mains inlet", "buzzer": "loudspeaker", "footswitch": "push button",
    "safety capacitor": "film capacitor", "ptc": "resettable fuse",
    "trimpot": "trimmer", "trimmer potentiometer": "trimmer", "preset": "trimmer", "pot": "potentiometer",
    "slider": "slide potentiometer", "fader": "slide potentiometer", "encoder": "rotary encoder",
    "switch": "toggle switch", "button": "push button", "pushbutton": "push button", "header": "pin header",
    "shrouded header": "box header", "idc header": "box header", "female header": "pin socket",
    "jack": "jack socket", "dc jack": "DC socket", "tube": "valve", "tube socket": "valve socket",
    "heat sink": "heatsink", "speaker": "loudspeaker", "mic": "microphone", "standoff": "spacer",
    "bolt": "screw", "jumper wire": "wire link", "link": "wire link", "resistor array": "resistor network",
    "crystal oscillator": "crystal", "screw terminal": "terminal block", "bjt": "transistor", "fet": "JFET",
    "triac": "thyristor", "battery": "battery holder", "tempco": "thermistor",
}  # fmt: skip


def _plain(name: str) -> str:
    return re.sub(r"[\s_-]+", " ", name).strip().casefold()


_BY_NAME = {_plain(name): name for name in KINDS} | _OTHER_NAMES


@cache
def said_of_kind(kind: str) -> frozenset[str]:
    """`Kind.all_cautions` of a kind (a name of `KINDS`), put together once."""
    return KINDS[kind].all_cautions


def height_for(kind: str, mount: str) -> int:
    """Height class of a kind (a name of `KINDS`) when it sits so.

    >>> height_for("resistor", "flat"), height_for("resistor", "upright"), height_for("LED", "panel")
    (1, 4, 8)
    """
    known = KINDS[kind]
    if mount in known.heights:
        return known.heights[mount]
    if mount == known.mount:
        return known.height
    return max(known.height, _HEIGHT_BY_MOUNT.get(mount, 1))


def guess_kind(ref_letters: str, value: str, package: str = "") -> str | None:
    """The kind that class letters, value and package point to, or None when they point to none.

    Capacitors: from 1 µF on electrolytic, below 1 nF and at 100 nF ceramic, between them film, unless
    value or package names the dielectric. Variable resistors with a taper are potentiometers, without
    one trimmers. Without letters, or with letters that no class has, words, type number and unit decide.

    >>> guess_kind("C", "10u"), guess_kind("C", "10u film"), guess_kind("D", "1N4733A")
    ('electrolytic capacitor', 'film capacitor', 'Zener diode')
    """
    from bench.parts.guessing import kind_from

    return kind_from(ref_letters, value, package)


def joints_for(kind: str, package: str = "", value: str = "") -> int:
    """Solder joints of one part of a kind (a name of `KINDS`): as package or value state, else the usual.

    >>> joints_for("IC", "DIP-14"), joints_for("transistor", "TO-92"), joints_for("box header", value="2x8")
    (14, 3, 16)
    """
    from bench.parts.pins import pins_of

    stated = pins_of(kind, package, value)
    return KINDS[kind].joints if stated is None else stated


def kind_named(text: str) -> Kind | None:
    """The kind that a kit file names, whatever the case, plural or hyphens; None when there is none.

    >>> kind_named("Electrolytic capacitors").name, kind_named("zener").name, kind_named("flux capacitor")
    ('electrolytic capacitor', 'Zener diode', None)
    """
    plain = _plain(text)
    for candidate in (plain, plain.removesuffix("s"), plain.removesuffix("es")):
        if candidate in _BY_NAME:
            return KINDS[_BY_NAME[candidate]]
    return None
