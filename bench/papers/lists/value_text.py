"""Values that stand inside a longer text."""

from __future__ import annotations

import re

from bench.papers.lists.cell_patterns import (
    FARADS,
    HENRIES,
    OHMS,
    TYPES,
    is_footprint,
    is_type,
    worth,
    worth_end,
)
from bench.papers.lists.vocabulary import is_plain_word, says_nothing
from bench.parts.designators import class_letters
from bench.parts.kinds import kind_named

_PROPERTY = re.compile(r"\b(?:resistance|capacitance|inductance)\s+([^;]{1,60})", re.IGNORECASE)
_KIND_BEFORE = re.compile(
    r"(?:(?:resistor|capacitor|cap|inductor|coil|choke|diode|transistor|ic|potentiometer|trimmer|widerstand|kondensator"
    r"|elko|drossel|poti|quarz|résistance|condensateur|resistencia|condensador|weerstand|resistore|condensatore)s?)"
    r"\s*[,:]\s*(\S.*)",
    re.IGNORECASE,
)
_KIND_AND_BRACKET = re.compile(r"[^\W\d_][^\W\d_ -]*(?:[ -][^\W\d_]+){0,2}s?\s?\(([^()]{2,60})\)")
_START = re.compile(r"(?<![\w.,])(?:[ABC])?[0-9.]")
_WORDS = re.compile(r"[^\s,;()]+")
_NEXT = re.compile(r",\s|;|\s+(?=[0-9][0-9.,]*\s?(?:V|VDC|VAC|W|mW|%))")
"""Where the value ends and a rating begins."""
PACKAGE = re.compile(r"(?:SO[TDP]|TO|DO|SOIC|T?SSOP|DIP|DIL|QFN|[TL]QFP|SIP|SMD)-?[0-9]+[A-Z]*", re.IGNORECASE)


def from_properties(text: str) -> str:
    """The value in a list of properties: `220Ω` in `package axial; resistance 220Ω; tolerance ±5%`."""
    found = _PROPERTY.search(text)
    return found[1].strip() if found else ""


def from_description(text: str, ref: str) -> str:
    """The value of the part `ref` inside its description; the whole text when none can be told apart.

    >>> from_description("Resistor, 4.7k, metal film", "R1"), from_description("Dual op-amp TL072", "U1")
    ('4.7k', 'TL072')
    """
    letters = class_letters(ref).upper()
    if letters in TYPES:
        words = [word for word in _WORDS.findall(text) if not PACKAGE.fullmatch(word)]
        typed = [word for word in words if is_type(word) and not word.isdigit()]
        return typed[0] if len(typed) == 1 else text
    if letters not in OHMS and letters not in FARADS and letters not in HENRIES:
        return text
    for found in _START.finditer(text[:300]):
        end = worth_end(text[found.start() :])
        said = _NEXT.split(text[found.start() : found.start() + end])[0].strip(" ,;")
        if end and worth(said) == 1.0 and measures(said, letters):
            return said
    return text


def names_a_type(order_number: str) -> bool:
    """Whether an order number has letters and digits, as type numbers do, and is no number of a shop's shelf.

    >>> names_a_type("IRLML 2402"), names_a_type("1734-5521"), names_a_type("")
    (True, False, False)
    """
    return any(map(str.isalpha, order_number)) and any(map(str.isdigit, order_number))


def measures(said: str, letters: str) -> bool:
    """Whether a quantity is in the unit of a part with these class letters, not a rating."""
    unit = re.search(r"[0-9][0-9.,]*\s?([pnuµμmkKMGR]?)(F|H|Hz|V|W|A|%|mm|Ω|[Oo]hms?)?(?![A-Za-z])", said)
    if unit is None:
        return True
    if unit[2] in ("V", "W", "A", "%", "mm", "Hz"):
        return False
    if letters in FARADS:
        return unit[2] in ("F", None) and bool(unit[1] or unit[2])
    other = ("F",) if letters in OHMS else ("F", "Ω", "ohm", "ohms", "Ohm", "Ohms")  # a bead's are no henries
    return unit[2] not in other and bool(unit[1] or unit[2])


def without_kind(text: str) -> str:
    """A description that is a kind and a value, without the kind.

    >>> without_kind("capacitor, 33nF"), without_kind("Elko: 47u/25V"), without_kind("Resistor, metal film")
    ('33nF', '47u/25V', 'Resistor, metal film')
    >>> without_kind("Resistor (1.3k)"), without_kind("Timer (NE555P, DIP-8)"), without_kind("Jumper (3 pins)")
    ('1.3k', 'NE555P', 'Jumper (3 pins)')
    """
    if (bracket := _KIND_AND_BRACKET.fullmatch(text)) and _is_whole(said := bracket[1].split(",")[0].strip()):
        return said
    found = _KIND_BEFORE.fullmatch(text)
    alone = found is not None and "," not in found[1]
    return found[1] if found and alone and (worth_end(found[1]) == len(found[1]) or is_type(found[1])) else text


def _is_whole(said: str) -> bool:
    """Whether a text is a quantity or a type number and nothing else."""
    return (worth_end(said) == len(said) and worth(said) == 1.0) or is_type(said)


def stand_in(text: str, letters: str) -> str:
    """What a cell says of a part with these class letters whose value is empty; empty when it says nothing.

    A part that is measured needs a quantity there; any other needs more than the name of its kind.

    >>> stand_in("20k log pot, 12mm shaft", "R"), stand_in("Resistor, metal film", "R")
    ('20k log pot, 12mm shaft', '')
    >>> stand_in("BAT42 diode", "D"), stand_in("diode", "D")
    ('BAT42 diode', '')
    """
    plain = letters.upper()
    if not text or says_nothing(text) or is_footprint(text):
        return ""
    if plain in OHMS or plain in FARADS or plain in HENRIES:
        bare = without_kind(text)
        return bare if worth(text) >= 0.4 or bare != text else ""
    return "" if kind_named(text) is not None or is_plain_word(text) else text
