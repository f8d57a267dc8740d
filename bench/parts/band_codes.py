"""The colour bands of a resistor as texts of a kit state it, each with what it stands for; pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from bench.parts.palette import COLOURS

_MULTIPLIERS = {-3: "×0.001", -2: "×0.01", -1: "×0.1"} | {
    3 * step + zeros: f"×{10**zeros}{prefix}"
    for step, prefix in enumerate(("", "k", "M", "G"))
    for zeros in range(3)
}
_PRINTED_FROM_WATTS = 5
"""From here up resistors bear print and no bands: common practice."""
_LETTERS = {
    colour.tolerance_letter: colour.tolerance_percent
    for colour in COLOURS.values()
    if colour.tolerance_percent is not None
}
_USUAL: list[tuple[str, Decimal | None]] = [("if ±5 %:", Decimal(5)), ("if ±1 %:", Decimal(1))]


class Band(Struct, frozen=True, kw_only=True):
    """One band and what it stands for in its place."""

    name: str
    """Name of its colour, one of `palette.COLOURS`."""
    label: str
    """The digit, the factor with its sign, or the tolerance."""
    apart: bool = False
    """After the wider gap, which tells the end of the code from its beginning."""


def band_codes(value: str, tolerance: str = "") -> list[tuple[str, list[Band]]]:
    """Yield each colour code that the texts of a kit leave open, with the condition under which it holds.

    The condition is empty when there is one code only. No code for what bears no bands: no resistance, a
    value or tolerance that bands cannot show, 5 W and up.

    >>> [(condition, [band.name for band in bands]) for condition, bands in band_codes("4k7", "5 %")]
    [('', ['yellow', 'violet', 'red', 'gold'])]
    """
    from bench.parts.colours import encode
    from bench.parts.palette import ColourError
    from bench.parts.quantity import read_value

    read = read_value(value[:100], "ohm")
    ohms, said = read.main, f"{tolerance[:100]} {value[:100]}"
    if ohms is None or ohms.unit != "ohm":
        return []
    if any(rating.unit == "watt" and rating.amount >= _PRINTED_FROM_WATTS for rating in read.ratings):
        return []
    percent = read_value(tolerance[:100]).tolerance_percent or read.tolerance_percent
    if percent is None and (letter := tolerance.strip()) in _LETTERS:
        percent = _LETTERS[letter]
    found = re.search(r"(\d{1,4}) ?ppm", said)
    tempco = int(found[1]) if found else None
    open_ones = [("", percent)] if percent is not None or not ohms.amount else _USUAL
    codes = []
    for condition, assumed in open_ones:
        try:
            bands = encode(ohms.amount, assumed, tempco)
        except ColourError:
            continue
        if condition and len(bands) != (4 if assumed == 5 else 5):
            continue
        codes.append((condition, _labelled(bands)))
    return codes


def _labelled(names: Sequence[str]) -> list[Band]:
    """Bands with what each stands for in its place."""
    if len(names) == 1:
        return [Band(name=names[0], label="0")]
    figures = 2 if len(names) < 5 else 3
    bands = [Band(name=name, label=str(COLOURS[name].digit)) for name in names[:figures]]
    bands.append(Band(name=names[figures], label=_MULTIPLIERS[COLOURS[names[figures]].exponent]))
    tolerance, tempco = names[figures + 1 : figures + 2], names[figures + 2 :]
    bands += (Band(name=name, label=f"±{COLOURS[name].tolerance_percent} %", apart=True) for name in tolerance)
    return bands + [Band(name=name, label=f"{COLOURS[name].tempco_ppm} ppm") for name in tempco]
