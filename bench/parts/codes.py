"""What is printed on a capacitor: three-digit codes, letters, plain numbers, stripes.

The same digits can mean different things on different parts, so a marking has one or more readings. Stripes of
old dipped film capacitors run from the top down, in picofarads: common practice, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec import Struct

from bench.parts.capacitors import (
    PICO,
    CodeError,
    Dielectric,
    Tolerance,
    tolerance_letter,
)
from bench.parts.markings import AC_VOLTS, Sides, Worth, alone, bare_volts, cut, take_side, value_first, worths
from bench.parts.meaning import Meaning, quantity, valued
from bench.parts.palette import COLOURS
from bench.parts.quantity import Quantity, show
from bench.parts.series import is_preferred


class CodeReading(Struct, frozen=True, kw_only=True):
    """One way to read a capacitor's marking."""

    farads: Decimal
    tolerance: Tolerance | None = None
    """None when not marked."""
    volts: Decimal | None = None
    """Rated voltage in volts, None when not marked."""
    dielectric: Dielectric | None = None
    """None when not marked."""
    understood: str
    """How each piece of the marking was read, in words."""
    doubts: tuple[str, ...] = ()
    """What else it may mean, or what does not fit."""
    doubt: int = 0
    """0 for a plain case; the greater, the less likely."""
    ac: bool = False
    """Whether the rated voltage is one of AC."""
    kinds: tuple[str, ...] = ()
    """Kinds of capacitor that it points to; empty when that is open."""

    @property
    def text(self) -> str:
        """The part in words: `470 nF ±5 % 100 V X7R`."""
        said = [_show(self.farads)]
        said += [self.tolerance.text] if self.tolerance else []
        said += [f"{self.volts} V" + (" AC" if self.ac else "")] if self.volts is not None else []
        said += [self.dielectric.code] if self.dielectric else []
        return " ".join(said)


def read_marking(text: str) -> tuple[CodeReading, ...]:
    """Parse what is printed on a capacitor: all readings, best first.

    Raises CodeError, with what was understood, when there is no capacitance in it or a piece makes no
    sense.

    >>> [found.text for found in read_marking("2A474J")]
    ['470 nF ±5 % 100 V']
    >>> [found.text for found in read_marking("10 16V")]
    ['10 µF 16 V', '10 pF 16 V']
    """
    sides = Sides(volts=[], said=[])
    value, strange = "", []
    pieces = value_first(cut(text))
    for piece in pieces:
        if len(pieces) == 1 and alone(piece):
            value = piece
            continue
        if take_side(piece, sides):
            continue
        if not value and worths(piece):
            value = piece
        elif value and not sides.volts and (volts := bare_volts(piece)):
            sides.volts.append(volts)
            sides.said.append(f"{piece}: {volts} V")
        else:
            strange.append(piece)
    meanings = worths(value, min(sides.volts, default=None))
    if strange or not meanings:
        what = f"{', '.join(map(repr, strange))[:60]} not understood" if strange else "no capacitance"
        known = [f"{value}: {_show(meanings[0].farads)}"] if meanings else []
        known += [f"{sides.letter}: tolerance letter"] if sides.letter else []
        understood = "; ".join([*known, *sides.said]) or "nothing"
        raise CodeError(
            f"{what} in {text.strip()[:60]!r} (understood: {understood})",
            hint="write what is printed on the part, such as 104J, 2A474J, .1K63, 4n7 or 10 16V",
        )
    readings: dict[tuple[Decimal, Tolerance | None, Decimal | None], CodeReading] = {}
    for each in meanings:
        reading = _reading(value, each, sides)
        readings.setdefault((reading.farads, reading.tolerance, reading.volts), reading)
    return tuple(readings.values())


def _reading(piece: str, worth: Worth, sides: Sides) -> CodeReading:
    """One meaning of the value together with what stands beside it."""
    said = [f"{piece}: {_show(worth.farads)} ({worth.how})"]
    doubts = [worth.remark] if worth.remark else []
    tolerance = sides.tolerance
    if letter := worth.letter or sides.letter:
        tolerance = tolerance_letter(letter, worth.farads)
        said.append(f"{letter}: {tolerance.text}")
        if tolerance.unit == "pF" and worth.farads > 10 * PICO:
            doubts.append(f"some makers mean ±{tolerance.plus} % by {letter} above 10 pF")
    volts = list(sides.volts)
    if worth.volts is not None:
        volts.append(worth.volts)
        said.append(f"{worth.volts} V")
    if len(set(volts)) > 1:
        doubts.append(f"{' V and '.join(map(str, volts))} V are marked; the lowest counts")
    rated = min(volts, default=None)
    ac = sides.ac or rated in AC_VOLTS
    return CodeReading(
        doubt=worth.doubt,
        ac=ac,
        kinds=sides.kinds or (("film capacitor", "ceramic capacitor") if ac else ()),
        farads=worth.farads,
        tolerance=tolerance,
        volts=rated,
        dielectric=sides.dielectric,
        understood="; ".join([*said, *sides.said]),
        doubts=tuple(doubts),
    )


def _show(farads: Decimal) -> str:
    """A capacitance for people."""
    return show(Quantity(amount=farads, unit="farad"))


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
        yield valued(
            amount, percent, f"{volts} V", source="stripes of a film capacitor, from the top down", doubt=1,
            kinds=("film capacitor",), volts=volts,
            remarks=("if it is a flat dipped film capacitor: the stripe next to the legs is its voltage",),
        )  # fmt: skip
