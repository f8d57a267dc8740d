"""What sort of complaint a builder's words are, and what each sort is looked for in first. Pure.

Sorts and orders follow what is usual in the trade: six-step troubleshooting (NEETS module 19, NAVEDTRA
14191), the trouble charts of TM 11-4000 and the symptoms of the ARRL Handbook's chapter on troubleshooting;
each sort's source stands in the table of the tests.
"""

from __future__ import annotations

import re

from bench.suspects.complaint_words import WORDS

_BURNT_OUT = ("power", "joints", "left open", "polarity", "pinout", "valves", "seating", "values", "fittings")
ORDERS: dict[str, tuple[str, ...]] = {
    "shock": _BURNT_OUT,
    "smoke": _BURNT_OUT,
    "hot": _BURNT_OUT,
    "short": _BURNT_OUT,
    "rail": _BURNT_OUT,
    "overvoltage": ("power", "pinout", "joints", "left open", "adjustment", "values"),
    "reversed": ("power", "polarity", "seating", "joints"),
    "microphonic": ("valves", "seating", "joints", "power"),
    "heater": ("power", "valves", "joints"),
    "drift": ("warmth", "power", "adjustment", "joints", "left open", "path"),
    "scratchy": ("fittings", "joints", "polarity", "values", "power"),
    "button": ("fittings", "joints", "values", "path", "power"),
    "relay": ("fittings", "joints", "power", "polarity"),
    "display": ("power", "joints", "seating", "fittings", "polarity", "adjustment"),
    "controller": ("power", "joints", "seating", "values", "polarity", "fittings"),
    "clock": ("power", "adjustment", "values", "joints", "left open"),
    "channel": ("joints", "fittings", "path", "values", "polarity", "seating", "valves", "left open"),
    "oscillation": ("power", "joints", "path", "fittings", "values", "adjustment", "valves"),
    "radio": ("power", "joints", "adjustment", "path", "values"),
    "hum": ("power", "fittings", "joints", "path", "polarity", "values", "valves"),
    "intermittent": ("joints", "fittings", "seating", "left open", "power", "warmth", "valves"),
    "stops": ("warmth", "power", "joints", "seating", "fittings", "left open", "valves"),
    "distortion": ("power", "joints", "adjustment", "left open", "path", "values", "polarity", "pinout",
                   "valves"),
    "symmetry": ("power", "adjustment", "joints", "left open"),
    "bias": ("power", "adjustment", "joints", "left open", "values"),
    "offset": ("power", "adjustment", "joints", "polarity", "left open", "values"),
    "pitch": ("power", "adjustment", "joints", "left open", "values"),
    "setting": ("power", "adjustment", "joints", "left open", "values"),
    "loud": ("adjustment", "values", "fittings", "joints", "power"),
    "quiet": ("power", "joints", "adjustment", "fittings", "path", "values", "polarity", "valves"),
    "noise": ("joints", "power", "fittings", "valves", "path", "values"),
    "tone": ("joints", "values", "left open", "path", "power"),
    "stuck": ("joints", "fittings", "polarity", "path", "pinout", "adjustment", "values", "power"),
    "data": ("power", "joints", "polarity", "fittings", "path"),
    "battery": ("power", "joints", "left open", "polarity", "fittings"),
    "lamp": ("power", "polarity", "joints", "values", "fittings"),
    "mechanical": ("fittings", "joints", "power"),
    "silent": ("power", "joints", "left open", "fittings", "path"),
    "no effect": ("power", "joints", "left open", "fittings", "path"),
    "dead": ("power", "joints", "left open"),
}  # fmt: skip
"""For each complaint the groups of suspicions that are looked into first, in this order."""
LAST = {
    "drift": ("values", "polarity", "pinout"),
    "channel": ("power",),
    "pitch": ("pinout",),
    "setting": ("pinout",),
}
"""Groups that come after all the others but the documents and the ICs."""
_OFF = frozenset(("shock", "smoke", "hot", "short", "rail", "overvoltage", "reversed"))
"""Complaints with which the supply goes off at once and nothing is measured live while looking."""
_PATTERNS = {name: re.compile(rf"(?<!\w)(?:{words})", re.IGNORECASE) for name, words in WORDS.items()}
_DENIED = re.compile(
    r"\b(?:no|not|without|nothing|never) (?!(?:but|only|just|this|that|so|longer|idea|wonder|doubt|more)\b)"
    r"(?:\w+ )?(?:hot|hums?|humming|smok\w*|smell\w*|warm|short|"
    r"fuses? (?:blown|blew))\b",
    re.IGNORECASE,
)
"""What is said not to be so."""
_INSTEAD = re.compile(
    r"\b(\d+(?:[.,]\d+)?) ?v(?:olts?)? (?:instead of|rather than|where|when) "
    r"(?:\w+ ){0,3}?[+]?(\d+(?:[.,]\d+)?)\b",
    re.IGNORECASE,
)
"""So many volts where others should be: which of the two is the higher tells what is wrong."""
LONGEST = 300
"""Characters of a complaint that are looked at."""
_STAND_IN = {"short": "short", "reversed": "reversed"}


def complaints_in(words: str) -> tuple[str, ...]:
    """The sorts of complaint that words tell of, the weightiest first; empty when they tell of none.

    >>> complaints_in("F1 blows at once"), complaints_in("it hums"), complaints_in("R7 is a resistor")
    (('short',), ('hum',), ())
    """
    said = _DENIED.sub(" ", " ".join(words[:LONGEST].replace("\u2019", "'").split()))
    found = [name for name, pattern in _PATTERNS.items() if pattern.search(said)]
    if volts := _INSTEAD.search(said):
        got, wanted = (float(number.replace(",", ".")) for number in volts.groups())
        right, wrong = ("rail", "overvoltage") if got < wanted else ("overvoltage", "rail")
        found = [each for each in WORDS if (each in found and each != wrong) or each == right]
    return tuple(found)


def of_trouble(trouble: str) -> tuple[str, ...]:
    """The complaint that a reading's trouble is: see `Symptom.trouble`."""
    return (_STAND_IN[trouble],) if trouble in _STAND_IN else ()


def must_be_off(names: tuple[str, ...]) -> bool:
    """Whether the supply goes off at once and stays off while looking."""
    return not _OFF.isdisjoint(names)


def order_of(groups: tuple[str, ...], names: tuple[str, ...]) -> tuple[str, ...]:
    """The groups in the order in which these complaints are looked into; the first complaint decides.

    This build's own loose ends come after the joints where a complaint gives them no other place.
    """
    if not names:
        return groups
    first, last, tail = list(ORDERS[names[0]]), LAST.get(names[0], ()), ("documents", "ICs")
    if "left open" not in first:
        first.insert(first.index("joints") + 1, "left open")
    middle = [each for each in groups if each not in (*first, *last, *tail)]
    return (*first, *middle, *last, *tail)
