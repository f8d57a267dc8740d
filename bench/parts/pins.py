"""How many solder joints a part has, as far as its package or value says so.

Packages named after their pins (DIP-14, SIP-9, 2x5, B9A) say it themselves; cases, bases and headers follow
their published outlines (`tests/parts/test_outlines.py` names them). Types of chips are from their data sheets,
from memory; switches, jacks, pots, encoders and relays common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from bench.parts.footprints import package_said
from bench.parts.kinds import KINDS
from bench.parts.kinds.kind import Pins

MOST = 200
"""Most joints believed of one part; a greater number read from a text is something else."""

_ROWS = re.compile(
    r"(?:di[pl]|si[pl]|zip|soic|sop|so)[ -]?(\d{1,2})(?!\d)|(\d{1,2})[ -]?(?:pin[ -])?(?:di[pl]|si[pl])\b"
)
_PINS = re.compile(r"(\d{1,3})[ -]?(?:pins?|pos(?:itions?)?|contacts?|legs?|leads?)\b")
_WAYS = re.compile(r"(\d{1,2})[ -]?(?:ways?|poles?|p)\b")
_GRID = re.compile(r"(?<![\d.,])(\d{1,2}) ?[x×] ?(\d{1,2})(?! ?mm|\d|[.,]\d)")
_CAN = re.compile(r"to-?(\d{1,3})(?:-(\d))?(?!\d)")
_CANS = {"3": 2, "72": 4, "71": 6, "78": 6, "99": 8, "100": 10}
_TAB_SOLDERED = ("252", "263", "268")
_FINE = re.compile(r"(?:[hmtv]?s?sop|tsop|[lt]?qfp|[qd]fn|plcc)[ -]?(\d{1,3})(?!\d)|sot-?23-(\d)(?!\d)")
_SOT = re.compile(r"sot-?(\d{2,3})(?!\d)")
_SOTS = {"143": 4, "223": 4, "353": 5, "363": 6}
_SWITCHED = re.compile(r"\b([sd1-9])p([sd]|\d{1,2})t\b")
_POLES = re.compile(r"(\d)[ -]?poles?,? ?(?:[x×/] ?)?(\d{1,2})[ -]?(?:ways?|pos(?:itions?)?)")
_LUGS = re.compile(r"(?:([1-4]) )?(?:lugs?|tabs)\b")
_BASE = re.compile(r"\b(?:b|k|ux)(\d{1,2})[a-h]?\b")
_BASES = {
    "noval": 9, "magnoval": 9, "octal": 8, "loctal": 8, "rimlock": 8, "heptal": 7, "decal": 10,
    "compactron": 12, "nuvistor": 5,
}  # fmt: skip
"""Valve bases: the figure of a short name (B9A, K8A; IEC 60067) is its number of pins. Names: from memory."""
_CHIPS = (
    (8, r"TL0[678][12]|LM(?:358|393|386|311|741|833|308|1458)|LF35[136]|LF412|[A-Z]{2}553[24]|[A-Z]{2}4558"
        r"|OP\d\d|OPA2?134|(?:[A-Z]{2,3}7?)?555|UA741|CA31[34]0|CA3080|ICL7660|LT1054|MAX1044|MN3[012]0[0-9]|AD633"
        r"|MCP48|ATTINY\d5|24[CL]|MCP6002"),
    (14, r"TL0[678]4|LM(?:324|339|348|3900|556)|[A-Z]{2}556|LF347|OPA4134|ICL8038|MCP49|MCP6004|THAT3[0-9]0"
         r"|74[A-Z]*(?:0\d|1[0-4]|2[0-7]|3[0-8]|74|86|12[56]|132|164)(?!\d)"
         r"|[A-Z]{0,3}1?40(?:0[0-27]|06|1[1236]|2[345]|30|47|6[689]|7[0-3578]|8[12]|93|106)(?!\d)"),
    (16, r"LM13[67]00|SSM?2044|(?:SSM|SSI|V)2164|(?:CEM|AS)3340|PT2399|XR2206|ULN200"
         r"|74[A-Z]*(?:13[89]|15[1-7]|16[0-356]|17[345]|19[0-7]|595|40[2-6]\d)(?!\d)"
         r"|[A-Z]{0,3}1?40(?:0[89]|1[04-9]|2[0-26-9]|3[35]|4[02-469]|5[0-3]|60|9[48]|17[45])(?!\d)"
         r"|[A-Z]{0,3}1?45\d\d(?!\d)"),
    (18, r"LM391[456]|(?:CEM|AS)3320|ULN280"),
    (28, r"ATMEGA(?:8|48|88|168|328)(?!\d)"),
)  # fmt: skip
_CHIP_PINS = tuple((pins, re.compile(rf"(?<![A-Z0-9])(?:{types})")) for pins, types in _CHIPS)


def _first(found: re.Match[str] | None) -> int | None:
    return int(next(group for group in found.groups() if group)) if found else None


def _package(text: str) -> int | None:
    """Pins by package: DIP-14, TO-220, 8 pins."""
    said = _first(_ROWS.search(text)) or _first(_PINS.search(text)) or _first(_FINE.search(text))
    if said and re.search(r"\d ep\b", text):
        return said + 1  # the pad below
    can = _CAN.search(text)
    if not said and (sot := _SOT.search(text)):
        return _SOTS.get(sot[1], 3)
    if said or can is None:
        return said
    if can[2]:
        return int(can[2]) + (can[1] in _TAB_SOLDERED)
    return _CANS.get(can[1], 3)


def _chip(text: str) -> int | None:
    typed = text.upper()
    return _package(text) or next((pins for pins, types in _CHIP_PINS if types.search(typed)), None)


def _optocoupler(text: str) -> int | None:
    four = re.search(r"vtl5c|nsl-?32|vactrol|pc81\d|k817|ltv-?81\d", text)
    return _package(text) or (4 if four else 8 if re.search(r"6n13\d", text) else None)


def _plug(text: str) -> int | None:
    grid = _GRID.search(text)
    return int(grid[1]) * int(grid[2]) if grid else _package(text) or _first(_WAYS.search(text))


def _contacts(text: str) -> int | None:
    """Tags of a switch: each pole has a common and its throws."""
    found = _SWITCHED.search(text)
    if found is None:
        return None
    poles, throws = (int({"s": "1", "d": "2"}.get(letter, letter)) for letter in found.groups())
    return poles * (throws + 1)


def _switch(text: str) -> int | None:
    return _first(_PINS.search(text)) or _contacts(text)


def _button(text: str) -> int | None:
    return _switch(text) or (4 if re.search(r"tact|6 ?x ?6|12 ?x ?12|lit|illuminated", text) else None)


def _rotary(text: str) -> int | None:
    found = _POLES.search(text) or _GRID.search(text)
    return int(found[1]) * (int(found[2]) + 1) if found else _switch(text)


def _relay(text: str) -> int | None:
    contacts = _contacts(text)
    return _package(text) or (contacts + 2 if contacts else None)


def _lugs(text: str) -> int:
    found = _LUGS.search(text)
    return int(found[1] or 2) if found else 0


def _pot(text: str) -> int | None:
    gangs = 2 if re.search(r"\b(?:dual|stereo|ganged|double)\b|\b2[x×]", text) else 1
    switch = 2 if re.search(r"switch", text) else 0
    return _first(_PINS.search(text)) or 3 * gangs + switch + _lugs(text)


def _encoder(text: str) -> int | None:
    switch = 0 if re.search(r"(?:without|no) (?:a )?(?:switch|button)", text) else 2
    return _first(_PINS.search(text)) or 3 + switch + _lugs(text)


def _jack(text: str) -> int | None:
    stereo = re.search(r"stereo|\btrs\b", text)
    plain = re.search(r"unswitched|without switch|no switch", text)
    if stereo and "switched" in text and not plain:
        return _first(_PINS.search(text)) or (6 if re.search(r"6[.,]35|1/4", text) else 5)
    return _first(_PINS.search(text)) or (2 if plain and not stereo else 3)


def _led(text: str) -> int | None:
    colours = 4 if "rgb" in text else 3 if re.search(r"bi-?colou?r|two-?colou?r|dual", text) else None
    return _first(_PINS.search(text)) or colours


def _display(text: str) -> int | None:
    return _package(text) or (
        16 if re.search(r"lcd|(?:16|20) ?x ?[24]", text) else 4 if "oled" in text else None
    )


def _crystal(text: str) -> int | None:
    four = _ROWS.search(text) or re.search(r"oscillator|tcxo", text)
    return 4 if four else _first(_PINS.search(text))


def _valve_base(text: str) -> int | None:
    named = next((pins for name, pins in _BASES.items() if re.search(rf"\b{name}\b", text)), None)
    return named or _first(_BASE.search(text)) or _first(_PINS.search(text))


def _coil(text: str) -> int | None:
    return _first(_PINS.search(text)) or (4 if "bifilar" in text else 6 if "trifilar" in text else None)


READERS: dict[Pins, Callable[[str], int | None]] = {
    "package": _package, "chip": _chip, "optocoupler": _optocoupler, "plug": _plug, "switch": _switch,
    "button": _button, "rotary": _rotary, "relay": _relay, "pot": _pot, "encoder": _encoder, "jack": _jack,
    "led": _led, "display": _display, "crystal": _crystal, "valve_base": _valve_base, "coil": _coil,
}  # fmt: skip
"""What `Kind.pins` names."""


def pins_of(kind: str, package: str, value: str) -> int | None:
    """Return the joints that package or value state for a kind; None when they leave it open.

    >>> pins_of("IC", "DIP-14", "TL074"), pins_of("pin header", "", "2x5"), pins_of("resistor", "", "4k7")
    (14, 10, None)
    """
    reader = READERS.get(KINDS[kind].pins)
    pins = reader(f"{package_said(package[:100])} {value[:100]}".casefold()) if reader else None
    return pins if pins and pins <= MOST else None


def joints_for(kind: str, package: str = "", value: str = "") -> int:
    """Return the solder joints of one part of a kind (a name of `KINDS`): as its texts state, else the usual.

    >>> joints_for("IC", "DIP-14"), joints_for("transistor", "TO-92"), joints_for("box header", value="2x8")
    (14, 3, 16)
    """
    stated = pins_of(kind, package, value)
    return KINDS[kind].joints if stated is None else stated
