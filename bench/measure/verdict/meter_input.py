"""Readings as people type them from a meter: `4k69`, `12.03`, `-11.98`, `OL`, `160m`, `103.2n`, `12,03 V~`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.parts.expectation import MOST, NO_SIGN, OPEN_WORDS, Expectation, plural, show_amount
from bench.parts.quantity import QuantityError, parse_quantity

_BARE = re.compile(r"(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,2})?")
_KIND = re.compile(
    r"(?:(?<=[VvAa])|(?<=olts)|(?<=olt)|(?<=mps)|(?<=[\d.]))\s*[-,]?\s*"
    r"\(?(~|≈|∿|⎓|⏦|=|r\.?m\.?s\.?|[aA][cC]|[dD][cC]|ac\s*rms|AC\s*RMS)\)?\s*$",
    re.IGNORECASE,
)
_KIND_AHEAD = re.compile(r"^(~|ac|dc|⎓|⏦)\s*(?=[-+\d.])", re.IGNORECASE)
_DIRECT = ("dc", "=", "⎓")
_OL_UNIT = re.compile(r"\s*(?:[mkM]?(?:Ω|ohms?|V|A)|[kM]|volts?|amps?)$")
_E_FOR_OHMS = re.compile(r"(\d+)E(\d{0,3})")
_HINT = "type it as the meter shows it: 12.03, 4k69, 160m or OL"
_LETTERS = {-12: "p", -9: "n", -6: "u", -3: "m", 3: "k", 6: "M", 9: "G"}
_POWERS = {
    "volt": (-3, 3), "ampere": (-6, -3), "ohm": (3, 6), "farad": (-12, -9, -6), "henry": (-6, -3),
    "hertz": (3, 6), "watt": (-3,),
}  # fmt: skip
"""Powers of ten that meters show for a unit."""
_FAR_OFF = Decimal(3)
"""A number this many times outside is asked about where a prefix would bring it nearer: our own figure."""


class ReadingError(SoldersideError):
    """A text is no reading, or not one of what is measured."""


class InputMeaning(Struct, frozen=True, kw_only=True):
    """One thing that a text may mean."""

    key: str
    """The letter that chooses it."""
    text: str
    """The reading in full, as `parse_reading` reads it without doubt."""


class ReadingDoubt(ReadingError):
    """A text can be read in more ways than one: `meanings` are offered, one letter each."""

    def __init__(self, what: str, meanings: tuple[InputMeaning, ...]) -> None:
        offered = ", ".join(f"{each.key} for {each.text}" for each in meanings)
        super().__init__(what, "", f"press {offered}, or type it in full")
        self.meanings = meanings


class MeterReading(Struct, frozen=True, kw_only=True):
    """What the meter showed."""

    text: str
    """As typed."""
    unit: str
    amount: Decimal | None
    """In base units; None for overload."""
    resolution: Decimal
    """Worth of the last digit typed, base units; 0 for overload."""
    negative: bool = False
    """True for overload with a minus sign in front."""
    bare: bool = False
    """True when neither prefix nor unit was typed."""
    kind: str = ""
    """`ac` or `dc` where that was typed: `2.89V~`, `12 Vdc`."""

    @property
    def number(self) -> Decimal:
        """The amount; 0 for overload."""
        return self.amount or Decimal(0)

    @property
    def words(self) -> str:
        """The reading for people."""
        if self.amount is None:
            return "-OL" if self.negative else "OL"
        return show_amount(self.amount, self.unit) if self.unit else str(self.amount)


def parse_reading(text: str, unit: str = "") -> MeterReading:
    """Read what was typed; `unit` is what is measured, and a number alone is in that base unit.

    A comma is the decimal sign: meters group no thousands. Raises ReadingError.

    >>> parse_reading("4k69", "ohm").amount, parse_reading("12,03", "volt").resolution
    (Decimal('4.69E+3'), Decimal('0.01'))
    >>> parse_reading("2.89V~", "volt").kind, str(parse_reading("680E", "ohm").amount)
    ('ac', '680')
    """
    reading = _read(text, unit)
    if reading.amount is not None and reading.amount > MOST.get(reading.unit, reading.amount):
        raise ReadingError(
            f"'{_plain(text)}' would be {show_amount(reading.amount, reading.unit)}",
            hint="M is mega and m is milli: type 160m for 160 thousandths",
        )
    return reading


def _plain(text: str) -> str:
    """One line with plain minus signs and blanks, and no blank before a point at the end."""
    for sign in "\u2212\u2010\u2011\u2012\u2013\ufe63\uff0d":
        text = text.replace(sign, "-")
    return re.sub(r" \.$", ".", " ".join(text.split()))


def _read(text: str, unit: str) -> MeterReading:
    """As `parse_reading`, however large."""
    plain = _plain(text)
    ahead = _KIND_AHEAD.match(plain)
    signed = plain[ahead.end() :] if ahead else plain
    negative = signed.startswith("-")
    body = signed[1:].strip() if signed[:1] in ("-", "+") else signed
    if _is_overload(body):
        return MeterReading(text=text, unit=unit, amount=None, resolution=Decimal(0), negative=negative)
    behind = _KIND.search(body)
    body = _body(body[: behind.start()].rstrip() if behind else body, unit)
    said = ahead or behind
    kind = "" if said is None else "dc" if said[1].casefold() in _DIRECT else "ac"
    if not body or len(body) > 40 or body[0] in "+-" or not any(c.isdigit() for c in body):
        what = f"'{plain[:40]}' is not a reading" if plain else "no reading was typed"
        raise ReadingError(what, hint=_HINT)
    amount, resolution, found_unit, bare = _amount(body, unit, plain)
    if unit and found_unit != unit:
        raise ReadingError(
            f"'{plain}' is in {plural(found_unit)}, but {plural(unit)} are measured here", hint=_HINT
        )
    if kind and found_unit not in ("volt", "ampere"):
        raise ReadingError(f"'{plain}': AC and DC go with volts and amperes", hint=_HINT)
    return MeterReading(
        text=text,
        unit=found_unit,
        amount=-amount if negative else amount,
        resolution=resolution,
        bare=bare,
        kind=kind,
    )


def _body(body: str, unit: str) -> str:
    """A number and its unit with a decimal point, and `R` where an `E` stands for ohms."""
    if body.count(",") == 1 and "." not in body:
        body = body.replace(",", ".")
    if unit == "ohm" and (ohms := _E_FOR_OHMS.fullmatch(body)):
        return f"{ohms[1]}R{ohms[2]}" if ohms[2] else f"{ohms[1]} ohm"
    return body


def _is_overload(body: str) -> bool:
    said = body.casefold()
    return said in OPEN_WORDS or _OL_UNIT.sub("", body).casefold() in OPEN_WORDS


def _amount(body: str, unit: str, plain: str) -> tuple[Decimal, Decimal, str, bool]:
    """Amount and worth of its last digit, both in base units, the unit, and whether the number stood alone."""
    if _BARE.fullmatch(body):
        amount = Decimal(body)
        return amount, _last_digit(amount), unit, True
    try:
        found = parse_quantity(body, unit)
        last = parse_quantity(_only_last_digit(body), found.unit)
    except QuantityError as error:
        raise ReadingError(f"'{plain}' is not a reading", hint=_HINT) from error
    return found.amount, abs(last.amount), found.unit, False


def read_against(text: str, expectation: Expectation) -> MeterReading:
    """Read what was typed where this is expected; raises ReadingError.

    A number alone is in the base unit. Where that is far outside, and a prefix that the limits are written with
    or that is usual for their size brings it nearer, nobody can know which was meant, and ReadingDoubt asks. It
    also asks about `1.`, which some meters show for over range. What cannot be is refused: AC where DC is
    measured, hertz below zero.
    """
    unit = "ohm" if expectation.open else expectation.unit
    reading = _read(text, unit)
    _refuse_impossible(reading, expectation)
    plain = _plain(text)
    if _lone_one(plain.lstrip("+-"), reading, expectation):
        sign = "-" if plain.startswith("-") else ""
        raise ReadingDoubt(
            f"{plain} alone: some meters show it for overload", (
                InputMeaning(key="l", text=f"{sign}OL"), InputMeaning(key=_letter(0, unit), text=reading.words),
            )
        )  # fmt: skip
    if reading.bare and not expectation.open:
        meanings = tuple(_meanings(reading, plain, expectation))
        if len(meanings) > 1:
            units = " or ".join(each.text.partition(" ")[2] for each in meanings)
            raise ReadingDoubt(f"{plain}: {units}?", meanings)
    return parse_reading(text, unit) if reading.bare else reading


def _lone_one(plain: str, reading: MeterReading, expectation: Expectation) -> bool:
    """`1.`, or a 1 and no more where one ohm is not what is expected."""
    if plain != "1" or reading.unit != "ohm" or reading.amount is None:
        return plain == "1."
    return expectation.open or not _inside(reading.amount, expectation)


def _refuse_impossible(reading: MeterReading, expectation: Expectation) -> None:
    kind = "ac" if expectation.alternating else "dc"
    if reading.kind and expectation.unit in ("volt", "ampere") and reading.kind != kind:
        raise ReadingError(
            f"'{_plain(reading.text)}' is {reading.kind.upper()}, but {kind.upper()} is measured here",
            hint=f"set the meter to {kind.upper()} and read again",
        )
    below = reading.negative or (reading.amount is not None and reading.amount < 0)
    if below and expectation.alternating:
        raise ReadingError(
            f"{reading.words}: a meter set to AC shows no sign", hint="set the meter to AC and read again"
        )
    if below and reading.unit in NO_SIGN and (reading.amount is None or reading.unit != "ohm"):
        raise ReadingError(f"{reading.words}: {plural(reading.unit)} cannot be negative", hint=_HINT)


def _meanings(reading: MeterReading, plain: str, expectation: Expectation) -> Iterator[InputMeaning]:
    """What a number alone may mean: in the base unit first; nothing when there is no doubt."""
    unit, number = expectation.unit, reading.number
    powers = {scale.adjusted() for scale in expectation.scales} | _usual_powers(expectation)
    if number:
        base = _times_off(number, expectation)
        shown = _POWERS.get(unit, ()) if number >= 1 or expectation.high is not None else ()
        inside = {power for power in shown if _likely(number.scaleb(power), expectation)}
        nearer = [
            power for power in powers | inside
            if power and base >= _FAR_OFF and _times_off(number.scaleb(power), expectation) < base
        ]  # fmt: skip
    else:  # 0 on which range: on one of amperes it says nothing about a milliampere
        nearer = [power for power in powers if power < 0 and _coarse(reading, expectation)]
    for power in (0, *sorted(nearer, key=lambda power: (abs(power), power))) if nearer else ():
        yield InputMeaning(key=_letter(power, unit), text=f"{plain} {_LETTERS.get(power, '')}{_MARKS[unit]}")


def _coarse(reading: MeterReading, expectation: Expectation) -> bool:
    """A zero whose last digit is worth more than the limits."""
    ends = [abs(end) for end in (expectation.low, expectation.high) if end]
    return bool(ends) and reading.resolution > min(ends)


def _likely(amount: Decimal, expectation: Expectation) -> bool:
    """What a builder may well have read: within an upper limit or two, and not next to nothing against it.

    Above a lower limit in ohms alone, the display of a range of kilohms: `1.2` where 1.2 ohm is a short.
    """
    low = expectation.low
    if expectation.high is None and low is not None and expectation.unit == "ohm":
        return low <= amount and _KILO <= amount < _KILO * _KILO
    if expectation.high is None or _times_off(amount, expectation) != 1:
        return False
    return expectation.low is not None or abs(amount) * 1000 > abs(expectation.high)


_KILO = Decimal(1000)
_MARKS = {"volt": "V", "ampere": "A", "ohm": "ohm", "farad": "F", "henry": "H", "hertz": "Hz", "watt": "W"}


def _letter(power: int, unit: str) -> str:
    return _LETTERS.get(power, unit[:1])


def _usual_powers(expectation: Expectation) -> set[int]:
    """Powers of ten in which a meter shows something of this size: -3 for 0.052 V, 3 for 4700 ohm."""
    ends = [abs(end) for end in (expectation.low, expectation.high) if end]
    if not ends:
        return set()
    return {power for power in _POWERS.get(expectation.unit, ()) if 1 <= max(ends).scaleb(-power) < 1000}


def _times_off(amount: Decimal, expectation: Expectation) -> Decimal:
    """How many times outside the limits by size alone; 1 inside."""
    ends = [abs(end) for end in (expectation.low, expectation.high) if end is not None]
    size, least, most = abs(amount), min(ends), max(ends)
    downwards = expectation.low is None and expectation.high is not None and expectation.high < 0
    if (expectation.high is not None and not downwards) and most and size > most:
        return size / most
    around_zero = expectation.low is None or expectation.low <= 0 <= (expectation.high or 0)
    if size and size < least and (downwards or not around_zero):
        return least / size
    return Decimal(1)


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
