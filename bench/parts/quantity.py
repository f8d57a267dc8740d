"""Values as people write them: `4k7 1%`, `47uF 6,3V ±20%`, `B100k`, `TL072`.

A value may say what the part is worth, what it stands, how exact it is, its taper and more besides;
`read_value` sorts that out and keeps in the remark whatever it does not understand.
"""

from __future__ import annotations

from collections.abc import Container, Iterable
from decimal import ROUND_HALF_EVEN, Context, Decimal
from itertools import takewhile

from msgspec import Struct

from bench.errors import SoldersideError
from bench.parts.english import cut
from bench.parts.notation import Quantity as Quantity
from bench.parts.notation import decimal_of
from bench.parts.value_words import WORTH, ValueMatch, sort_words

_NUMBERS_ARE = ("ohm", "volt", "ampere", "watt", "hertz")
"""Units that a bare number may mean."""
_LONGEST_VALUE = 300
"""Characters; a longer text is prose, not a value."""


class Value(Struct, frozen=True, kw_only=True):
    """What was understood of a value as written."""

    main: Quantity | None = None
    """What the part is worth, None when the text states no quantity."""
    type_number: str = ""
    """`TL072`, `1N4148`; empty unless the value is one."""
    ratings: tuple[Quantity, ...] = ()
    """Volts, amperes and watts it stands, in the order written."""
    tolerance_percent: Decimal | None = None
    """Symmetric tolerance in per cent, None when not stated."""
    taper: str = ""
    """Law of a potentiometer: `A`, `B`, `C`, `lin`, `log`, `reverse log`; empty when not stated."""
    remark: str = ""
    """What else stood there, as written: `(omit)`, `(104)`, `X7R`."""


class QuantityError(SoldersideError):
    """A text is not one quantity, or a quantity cannot be written as asked."""


def read_value(text: str, unit: str = "") -> Value:
    """Parse a value as written; never raises, whatever the text.

    `unit` (`ohm`, `farad`, `henry`; also `volt`, `ampere`, `watt`, `hertz`) is what a bare prefix means
    here: `1m` is a milliohm with `ohm`. A bare number states ohms with `ohm`; a number of picofarads or
    henries is never taken for granted.

    >>> read_value("10uF/25V").ratings
    (Quantity(amount=Decimal('25'), unit='volt'),)
    >>> read_value("TL072").type_number, read_value("n/a").main
    ('TL072', None)
    """
    whole = " ".join(text.replace("\u200b", "").replace("\ufeff", "").split())
    if not whole or len(whole) > _LONGEST_VALUE:
        return Value(remark=whole)
    found = sort_words(whole, unit)
    main, quantity = _main(found, unit)
    none = ValueMatch(said="")
    typed = next((f for f in found if f.type_number), none) if main is None else none
    percent = next((f for f in found if f.percent is not None), none)
    law = next((f for f in found if f.taper), none)
    ratings = [f for f in found if f is not main and f.quantity and f.quantity.unit not in ("", *WORTH)]
    understood = {id(f) for f in (main, typed, percent, law, *ratings)} - {id(None), id(none)}
    left = [f.said for f in found if id(f) not in understood]
    return Value(
        main=quantity,
        type_number=typed.type_number,
        ratings=tuple(f.quantity for f in ratings if f.quantity),
        tolerance_percent=percent.percent,
        taper=law.taper,
        remark=" ".join(left) if understood else whole,
    )


_Pair = tuple[ValueMatch, Quantity]


def _main(found: tuple[ValueMatch, ...], unit: str) -> _Pair | tuple[None, None]:
    """The words that say what the part is worth, and the quantity they state."""
    stated = [(f, f.quantity) for f in found if f.quantity]
    early = [(f, f.quantity) for f in takewhile(lambda f: not f.type_number, found) if f.quantity]
    in_unit, number = _first(stated, (unit,)) if unit else None, _first(early, ("",))
    if in_unit or (number and unit in _NUMBERS_ARE):
        return in_unit or _in_unit(number, unit)
    worth = _first(stated if unit else early, WORTH)
    if worth or number:
        return worth or _in_unit(number, "ohm" if _first(stated, ("watt",)) else "")
    alone = all(f.quantity or f.percent is not None for f in found)
    return early[0] if early and (alone or unit not in WORTH) else (None, None)


def _first(pairs: Iterable[_Pair], units: Container[str]) -> _Pair | None:
    return next((pair for pair in pairs if pair[1].unit in units), None)


def _in_unit(number: _Pair | None, unit: str) -> _Pair | tuple[None, None]:
    """A bare number as a quantity in this unit; nothing without both."""
    return (number[0], Quantity(amount=number[1].amount, unit=unit)) if number and unit else (None, None)


def parse_quantity(text: str, unit: str = "") -> Quantity:
    """Parse the one quantity that a text states, with nothing beside it; `unit` as for `read_value`.

    Raises `QuantityError`, which says what was understood.

    >>> parse_quantity("4,7 kΩ")
    Quantity(amount=Decimal('4.7E+3'), unit='ohm')
    """
    value = read_value(text, unit)
    shown = cut(text.strip())
    hint = "write it like 4k7, 100 nF or 12 V"
    if value.main is None and value.type_number:
        raise QuantityError(f"'{shown}' is a type number ({value.type_number}), not a quantity", "", hint)
    if value.main is None and decimal_of(value.remark) is not None:
        raise QuantityError(f"'{shown}' is a number without a unit", "", hint)
    if value.main is None:
        raise QuantityError(f"'{shown}' is not a quantity", "", hint)
    beside = [show(q) for q in value.ratings]
    beside += [f"±{value.tolerance_percent} %"] if value.tolerance_percent is not None else []
    beside += [f"'{part}'" for part in (value.taper, value.remark) if part]
    if beside:
        raise QuantityError(
            f"'{shown}' states {show(value.main)}, and beside it {', '.join(beside)}",
            "",
            "write one quantity alone",
        )
    return value.main


def quantity_in(text: str, unit: str = "") -> Quantity | None:
    """As `parse_quantity`; None for what is not one quantity alone."""
    try:
        return parse_quantity(text, unit)
    except QuantityError:
        return None


_MARKS = {
    "ohm": "Ω", "farad": "F", "henry": "H", "volt": "V", "ampere": "A", "watt": "W", "hertz": "Hz", "": "",
}  # fmt: skip
_SHOWN = {
    "ohm": "m k M G", "farad": "p n µ", "henry": "n µ m", "volt": "µ m k", "ampere": "n µ m", "watt": "m k",
    "hertz": "m k M G", "": "",
}  # fmt: skip
_WIDE = Context(prec=80)
_POWERS = {"p": -12, "n": -9, "µ": -6, "m": -3, "": 0, "k": 3, "M": 6, "G": 9}
_WHOLE_FROM = {"ohm": Decimal("0.1"), "watt": Decimal("0.1")}
"""Smallest amount shown without a prefix: people write 0.47 Ω and 0.25 W, not 470 mΩ and 250 mW."""


def show(q: Quantity, digits: int = 4) -> str:
    """Format a quantity for people, rounded to `digits` significant digits.

    >>> show(parse_quantity("4k7")), show(parse_quantity("0.1uF")), show(parse_quantity("0.25W"))
    ('4.7 kΩ', '100 nF', '0.25 W')
    """
    mark = _MARKS.get(q.unit, q.unit)
    if not q.amount.is_finite() or (q.amount and abs(q.amount.adjusted()) > 30):
        return f"{q.amount} {mark}".strip()
    rounded = Context(prec=max(digits, 1), rounding=ROUND_HALF_EVEN).plus(q.amount)
    prefix = ""
    if rounded:
        offered = ("", *_SHOWN.get(q.unit, "").split())
        offered = tuple(sorted(offered, key=_POWERS.__getitem__))
        prefix = [offered[0], *(p for p in offered if abs(rounded) >= _least(p, q.unit))][-1]
    number = f"{rounded.scaleb(-_POWERS[prefix], _WIDE):f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number} {prefix}{mark}".strip()


def _least(prefix: str, unit: str) -> Decimal:
    """Smallest amount shown with a prefix."""
    return Decimal(f"1E{_POWERS[prefix]}") if prefix else _WHOLE_FROM.get(unit, Decimal(1))


_CODES = {
    "ohm": ((9, "G"), (6, "M"), (3, "k"), (0, "R"), (-3, "L")),
    "farad": ((0, "F"), (-3, "m"), (-6, "u"), (-9, "n"), (-12, "p")),
    "henry": ((0, "H"), (-3, "m"), (-6, "u"), (-9, "n")),
}


def letter_code(q: Quantity) -> str:
    """Format a quantity with a letter for the decimal point; `parse_quantity` with its unit reads it back.

    IEC 60062 has letters for ohms and farads; henries are written alike (common practice). Raises
    `QuantityError` for other units and for what three digits on each side of the letter cannot hold.

    >>> letter_code(parse_quantity("4.7 kΩ")), letter_code(parse_quantity("0.47 ohm"))
    ('4k7', 'R47')
    """
    codes = _CODES.get(q.unit, ())
    if not codes or not q.amount.is_finite() or q.amount < 0 or abs(q.amount.adjusted()) > 30:
        raise QuantityError(f"{show(q)} has no letter code", "", "ohms, farads and henries have one")
    if not q.amount:
        return {"ohm": "0R", "farad": "0p", "henry": "0u"}[q.unit]
    fitting = [code for code in codes if q.amount >= Decimal("0.1" if code[1] == "R" else f"1E{code[0]}")]
    power, letter = fitting[0] if fitting else codes[-1]
    whole, _, rest = f"{q.amount.scaleb(-power, _WIDE):f}".partition(".")
    rest = rest.rstrip("0")
    if len(whole) > 3 or len(rest) > 3:
        raise QuantityError(f"{show(q)} has too many digits for a letter code", "", "write its unit")
    return f"{letter if whole == '0' else whole + letter}{rest}"
