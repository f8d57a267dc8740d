"""Readings as people type them from a meter: `4k69`, `12.03`, `-11.98`, `OL`, `160m`, `103.2n`, `12,03 V`."""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct

from bench.errors import BenchError
from bench.measure.expectation import OPEN_WORDS, Expectation, plural, show_amount
from bench.parts.quantity import QuantityError, parse_quantity

_BARE = re.compile(r"(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,2})?")
_MOST = {"volt": Decimal(100_000), "ampere": Decimal(1000), "farad": Decimal(100)}
"""A reading above this is a slip of the prefix: `160M` for `160m`."""


class ReadingError(BenchError):
    """A text is no reading, or not one of what is measured."""


class Reading(Struct, frozen=True, kw_only=True):
    """What the meter showed."""

    text: str
    """As typed."""
    unit: str
    amount: Decimal | None
    """In base units; None for overload."""
    resolution: Decimal | None
    """Worth of the last digit typed, base units; None for overload."""
    negative: bool = False
    """True for overload with a minus sign in front."""
    bare: bool = False
    """True when neither prefix nor unit was typed."""

    @property
    def overload(self) -> bool:
        """True when the meter showed OL."""
        return self.amount is None

    @property
    def words(self) -> str:
        """The reading for people."""
        if self.amount is None:
            return "-OL" if self.negative else "OL"
        return show_amount(self.amount, self.unit) if self.unit else str(self.amount)


def parse_reading(text: str, unit: str = "") -> Reading:
    """Read what was typed; `unit` is what is measured, and a number alone is in that base unit.

    A comma is the decimal sign: meters group no thousands. Raises ReadingError.

    >>> parse_reading("4k69", "ohm").amount, parse_reading("12,03", "volt").resolution
    (Decimal('4.69E+3'), Decimal('0.01'))
    """
    plain = " ".join(text.replace("−", "-").split())
    negative = plain.startswith("-")
    body = plain[1:].strip() if plain[:1] in ("-", "+") else plain
    if body.casefold() in OPEN_WORDS:
        return Reading(text=text, unit=unit, amount=None, resolution=None, negative=negative)
    if body.count(",") == 1 and "." not in body:
        body = body.replace(",", ".")
    hint = "type it as the meter shows it: 12.03, 4k69, 160m or OL"
    if not body or len(body) > 40 or body[0] in "+-" or not any(c.isdigit() for c in body):
        raise ReadingError(f"'{plain[:40]}' is no reading" if plain else "no reading was typed", hint=hint)
    bare = _BARE.fullmatch(body) is not None
    if bare:
        amount, resolution, found_unit = Decimal(body), _last_digit(Decimal(body)), unit
    else:
        try:
            found = parse_quantity(body, unit)
            last = parse_quantity(_only_last_digit(body), found.unit)
        except QuantityError as error:
            raise ReadingError(f"'{plain}' is no reading", hint=hint) from error
        amount, resolution, found_unit = found.amount, abs(last.amount), found.unit
    if unit and found_unit != unit:
        raise ReadingError(
            f"'{plain}' is in {plural(found_unit)}, but {plural(unit)} are measured here", hint=hint
        )
    if amount > _MOST.get(found_unit, amount):
        raise ReadingError(
            f"'{plain}' would be {show_amount(amount, found_unit)}",
            hint="M is mega and m is milli: type 160m for 160 thousandths",
        )
    return Reading(
        text=text, unit=found_unit, amount=-amount if negative else amount, resolution=resolution, bare=bare
    )


def read_against(text: str, expectation: Expectation) -> Reading:
    """Read what was typed where this is expected; raises ReadingError.

    A number alone is in the base unit. Where the expectation is written with a prefix, such as `< 40 mA`, and
    the number would be outside in the base unit but inside with the prefix, nobody can know which was meant,
    and the error asks.
    """
    reading = parse_reading(text, expectation.unit)
    if reading.bare and reading.amount is not None and expectation.scale != 1:
        with_prefix = reading.amount * expectation.scale
        if not _inside(reading.amount, expectation) and _inside(with_prefix, expectation):
            raise ReadingError(
                f"'{text.strip()}' alone would be {show_amount(reading.amount, reading.unit)}",
                hint=f"type the prefix if the meter showed {show_amount(with_prefix, reading.unit)}",
            )
    return reading


def _inside(amount: Decimal, expectation: Expectation) -> bool:
    above = expectation.low is None or amount >= expectation.low
    return above and (expectation.high is None or amount <= expectation.high)


def _last_digit(amount: Decimal) -> Decimal:
    exponent = amount.as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)


def _only_last_digit(body: str) -> str:
    """The same text with every digit 0 but the last, which is 1: worth one step of the last digit.

    >>> _only_last_digit("4k69"), _only_last_digit("12.03 V")
    ('0k01', '00.01 V')
    """
    last = max(place for place, character in enumerate(body) if character.isdigit())
    return "".join(
        ("1" if place == last else "0") if character.isdigit() else character
        for place, character in enumerate(body)
    )
