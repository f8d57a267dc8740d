"""Colour bands and figures that a list names beside a value, held against that value. Pure."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from decimal import Decimal

from bench.parts.capacitors import CodeError
from bench.parts.codes import read_marking
from bench.parts.colours import decode
from bench.parts.palette import ColourError, parse_bands
from bench.parts.quantity import Quantity, show

_COLOUR = "black|brown|red|orange|yellow|green|blue|violet|purple|gr[ae]y|white|gold|silver"
_BANDS = re.compile(rf"\b(?:{_COLOUR})(?:(?:\s*[-,/–]\s*|\s+)(?:{_COLOUR})\b){{2,5}}", re.IGNORECASE)
_FIGURES = re.compile(r"[0-9]{3}[A-Z]?")
_SAME = 0.006
"""Of a value: how far a code may be off, for values that are rounded."""


def code_against(amount: Quantity, marking: str, told: str) -> tuple[str, str]:
    """A code that means another value, and that value; two empty texts when none does.

    `marking` is what a column of markings says, `told` all the rest that stands beside the value: colours
    are looked for in both, the three figures of a capacitor only in a marking. Bands count from either end,
    and a list may leave out the tolerance.

    >>> code_against(Quantity(amount=Decimal(10_000), unit="ohm"), "brown black red gold", "")
    ('brown black red gold', '1 kΩ')
    >>> code_against(Quantity(amount=Decimal(10_000), unit="ohm"), "", "brown black orange, 1/4 W")
    ('', '')
    """
    if amount.unit == "ohm":
        found = _BANDS.search(marking) or _BANDS.search(told)
        worth = list(_by_bands(found[0])) if found else []
        code = found[0] if found else ""
    elif amount.unit == "farad" and _FIGURES.fullmatch(marking.strip().upper()):
        code, worth = marking.strip(), list(_by_figures(marking.strip().upper()))
    else:
        return "", ""
    if not worth or any(math.isclose(each, amount.amount, rel_tol=_SAME) for each in worth):
        return "", ""
    return code, show(Quantity(amount=worth[0], unit=amount.unit))


def _by_bands(text: str) -> Iterator[Decimal]:
    """Ohms that bands can mean, likeliest first; the last one may be no tolerance, which a list leaves out."""
    try:
        bands = parse_bands(text)
    except ColourError:
        return
    for ending in ((), ("brown",)):
        try:
            yield from (each.ohms for each in decode((*bands, *ending)) if each.ohms is not None)
        except ColourError:
            continue


def _by_figures(text: str) -> Iterator[Decimal]:
    try:
        yield from (each.farads for each in read_marking(text) if not each.doubt)
    except CodeError:
        return
