"""What a print on a part can mean, as data; pure."""

from __future__ import annotations

from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.parts.kinds import measured_in, with_role
from bench.parts.quantity import Quantity, show
from bench.parts.series import lean
from bench.parts.type_numbers import TypeFacts

POTENTIOMETERS = with_role("pot")
RESISTORS = measured_in("ohm")
"""Kinds whose value in ohms can be read from them, or measured at their outer legs."""
CODED_RESISTORS = RESISTORS[1:]
"""Kinds that carry a resistance as three figures: common practice."""
CAPACITORS = measured_in("farad")
INDUCTORS = measured_in("henry")
LETTER_PERCENT = {"B": "0.1", "C": "0.25", "D": "0.5", "F": "1", "G": "2", "H": "3", "J": "5", "K": "10",
                  "M": "20"}  # fmt: skip
"""Tolerance letters of resistors and inductors, ± per cent (IEC 60062)."""


class PrintError(SoldersideError):
    """What is printed makes no sense as a part's marking; says what was understood."""


class Meaning(Struct, frozen=True, kw_only=True):
    """One thing that what is printed can mean."""

    text: str
    """The part in words: `10 kΩ ±1 %`."""
    source: str
    """How it was read: `bands, left to right`."""
    doubt: int = 0
    """0 for what a through-hole kit most likely holds; the greater, the less likely."""
    kinds: tuple[str, ...] = ()
    """Kinds of part it can stand on, likeliest first; empty when that is open."""
    amount: Quantity | None = None
    """What the part is worth, None for a type number."""
    percent: Decimal | None = None
    """The tolerance marked, ± per cent; None when there is none or it is lopsided or in picofarads."""
    volts: Decimal | None = None
    """The rated voltage marked, volts."""
    type_number: str = ""
    facts: TypeFacts | None = None
    """What is known of the type number."""
    bands: tuple[str, ...] = ()
    """Colours in the order in which this reading takes them."""
    remarks: tuple[str, ...] = ()
    """How it was understood, what speaks against it, what else to know."""


class Excluded(Struct, frozen=True, kw_only=True):
    """A reading that something rules out."""

    text: str
    why: tuple[str, ...]


class Print(Struct, frozen=True, kw_only=True):
    """All that a print can mean."""

    meanings: tuple[Meaning, ...]
    """Likeliest first."""
    excluded: tuple[Excluded, ...] = ()


def valued(
    amount: Quantity, percent: Decimal | None, *more: str, source: str, kinds: tuple[str, ...], doubt: int = 0,
    volts: Decimal | None = None, remarks: tuple[str, ...] = (),
) -> Meaning:  # fmt: skip
    """Return the meaning of a print that states an amount with its tolerance, and `more` that is marked."""
    return Meaning(
        text=worth(amount, percent, *more), source=source, doubt=doubt, kinds=kinds, amount=amount,
        percent=percent, volts=volts, remarks=remarks,
    )  # fmt: skip


def quantity(amount: Decimal | str, unit: str) -> Quantity:
    """Return a quantity without an exponent where that is short."""
    return Quantity(amount=lean(Decimal(amount)), unit=unit)


def percent_of(letter: str | None) -> Decimal | None:
    """Decode a tolerance letter of a resistor or an inductor to ± per cent; None without one.

    >>> percent_of("J"), percent_of("")
    (Decimal('5'), None)
    """
    return Decimal(LETTER_PERCENT[letter.upper()]) if letter else None


def worth(amount: Quantity, percent: Decimal | None, *more: str) -> str:
    """Format an amount with its tolerance and what else is marked: `10 kΩ ±1 %`."""
    said = [show(amount, 9)]
    said += [f"±{percent.normalize():f} %"] if percent is not None else []
    return " ".join([*said, *filter(None, more)])
