"""Values that stand inside a longer text."""

from __future__ import annotations

import re

from bench.papers.lists.cell_patterns import FARADS, HENRIES, OHMS, TYPES, is_type, worth, worth_end
from bench.parts.designators import class_letters

_PROPERTY = re.compile(r"\b(?:resistance|capacitance|inductance)\s+([^;]{1,60})", re.IGNORECASE)
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
        if end and worth(said) == 1.0 and _measures(said, letters):
            return said
    return text


def _measures(said: str, letters: str) -> bool:
    """Whether a quantity is in the unit of a part with these class letters, not a rating."""
    unit = re.search(r"[0-9][0-9.,]*\s?([pnuµμmkKMGR]?)(F|H|Hz|V|W|A|%|mm|Ω|[Oo]hms?)?(?![A-Za-z])", said)
    if unit is None:
        return True
    if unit[2] in ("V", "W", "A", "%", "mm", "Hz"):
        return False
    if letters in FARADS:
        return unit[2] in ("F", None) and bool(unit[1] or unit[2])
    return unit[2] != "F" and bool(unit[1] or unit[2])
