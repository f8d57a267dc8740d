"""Inductances as they are printed on chokes, and as bands show them: in microhenries; pure.

Codes are those of IEC 60062 counted in microhenries, as moulded and drum chokes carry them: common practice.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from bench.parts.meaning import INDUCTORS, Meaning, percent_of, quantity, valued
from bench.parts.palette import COLOURS, NO_BAND_PERCENT
from bench.parts.quantity import Quantity, read_value
from bench.parts.series import is_preferred

_LEAST, _MOST = Decimal("0.1E-6"), Decimal("0.1")
"""Henries between which chokes are sold by codes and bands: common practice."""
_FIGURES = re.compile(r"([1-9]\d)([0-4])([JKM]?)", re.ASCII)
_POINT = re.compile(r"(\d*)R(\d{1,2})([JKM]?)", re.ASCII)
_RATED = re.compile(r"[ /,]+\d+(?:\.\d+)? ?m?A$")
"""The current that a choke stands, behind its value."""
_BAND_PERCENT = {"gold": 5, "silver": 10, "black": 20}
_AXIAL = "if it is an axial choke: measure it, a choke reads next to no ohms"


def inductances(text: str) -> Iterator[Meaning]:
    """Yield every reading of a text as an inductance.

    >>> [found.text for found in inductances("4R7M")], [found.text for found in inductances("47uH K")]
    (['4.7 µH ±20 %'], ['47 µH ±10 %'])
    """
    text = _RATED.sub("", text)
    spelled = re.sub(r"(?<=[Hh])[ ,/]*([JKM])$", r" \1", text)
    spelled, letter = (spelled[:-2], spelled[-1]) if re.search(r"[Hh] [JKM]$", spelled) else (spelled, "")
    value = read_value(spelled)
    stated = states_henries(spelled) and not re.fullmatch(r"\d+\.\d{3,}H", spelled)
    if stated and value.main is not None and value.main.unit == "henry":
        percent = percent_of(letter) or value.tolerance_percent
        yield _coil(value.main, percent, "value as written", 0)
        return
    if found := _POINT.fullmatch(text.upper()):
        microhenries, letter = Decimal(f"{found[1] or 0}.{found[2]}"), found[3]
        doubt = 0 if letter in ("K", "M") else 2
    elif found := _FIGURES.fullmatch(text.upper()):
        figures, power, letter = found.groups()
        microhenries = Decimal(figures).scaleb(int(power))
        doubt = {"M": 0 if power == "0" else 1, "K": 1, "J": 3}.get(letter, 4)
    else:
        return
    amount = quantity(microhenries.scaleb(-6), "henry")
    if _LEAST <= amount.amount <= _MOST and is_preferred(amount.amount, "E24"):
        yield _coil(amount, percent_of(letter), "code in microhenries", doubt)


def states_henries(text: str) -> bool:
    """Return whether a text is in henries, so that it is no capacitor: `10uH`, `4u7H`, `100 µH 1A`."""
    return re.match(r"(?:[\d.,]+ ?[numµμ]?|\d*[numµμ]\d+)H(?![a-z0-9])", text, re.IGNORECASE) is not None


def banded(bands: Sequence[str]) -> Iterator[Meaning]:
    """Decode the three or four bands of a choke, from either end: two figures, a factor, a tolerance.

    >>> [found.text for found in banded(("brown", "black", "brown", "silver"))]
    ['100 µH ±10 %']
    """
    ways = [("left to right", tuple(bands)), ("right to left", tuple(reversed(bands)))]
    for direction, order in ways if ways[0][1] != ways[1][1] else ways[:1]:
        if len(order) not in (3, 4) or order[0] == "black":
            continue
        figures, end = [COLOURS[band].digit for band in order[:2]], order[3:]
        if None in figures or (end and end[0] not in _BAND_PERCENT):
            continue
        percent = Decimal(_BAND_PERCENT[end[0]]) if end else NO_BAND_PERCENT
        microhenries = Decimal(f"{figures[0]}{figures[1]}").scaleb(COLOURS[order[2]].exponent)
        amount = quantity(microhenries.scaleb(-6), "henry")
        if _LEAST <= amount.amount <= _MOST and is_preferred(amount.amount, "E24"):
            yield _coil(amount, percent, f"bands of a choke, {direction}", 2, _AXIAL)


def _coil(amount: Quantity, percent: Decimal | None, source: str, doubt: int, *remarks: str) -> Meaning:
    kinds = INDUCTORS[:1] if remarks else INDUCTORS
    return valued(amount, percent, source=source, doubt=doubt, kinds=kinds, remarks=remarks)
