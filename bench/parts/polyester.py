"""Film capacitors with five stripes: two figures, zeros, tolerance, voltage; pure.

Old dipped polyester capacitors carry them from the top down; the value is in
picofarads. Common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from bench.parts.meaning import Meaning, quantity, worth
from bench.parts.palette import COLOURS
from bench.parts.series import is_preferred

_PERCENT = {"black": 20, "white": 10, "green": 5}
_VOLTS = {"red": 250, "yellow": 400, "brown": 100}


def striped(stripes: Sequence[str]) -> Iterator[Meaning]:
    """Decode the five stripes of a capacitor; nothing for what no such capacitor carries.

    >>> [found.text for found in striped(("brown", "black", "yellow", "white", "red"))]
    ['100 nF ±10 % 250 V']
    """
    for order in (tuple(stripes), tuple(reversed(stripes))):
        if len(order) != 5 or order[3] not in _PERCENT or order[4] not in _VOLTS:
            continue
        figures, power = [COLOURS[band].digit for band in order[:2]], COLOURS[order[2]].exponent
        if not figures[0] or figures[1] is None or not 3 <= power <= 5:
            continue
        amount = quantity(Decimal(f"{figures[0]}{figures[1]}").scaleb(power - 12), "farad")
        if not is_preferred(amount.amount, "E12"):
            continue
        percent, volts = Decimal(_PERCENT[order[3]]), Decimal(_VOLTS[order[4]])
        yield Meaning(
            text=worth(amount, percent, f"{volts} V"), source="stripes of a film capacitor, from the top down",
            doubt=1, kinds=("film capacitor",), amount=amount, percent=percent, volts=volts,
            remarks=("if it is a flat dipped film capacitor: the stripe next to the legs is its voltage",),
        )  # fmt: skip
