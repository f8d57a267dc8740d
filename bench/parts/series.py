"""Preferred numbers: the series E3 to E192 of IEC 60063:2015.

Values are positive decimals in any unit; a series says nothing about ohms or farads.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from decimal import Decimal

from bench.errors import SoldersideError

_E24 = (10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91)


def _rounded(steps: int) -> tuple[int, ...]:
    """The geometric series of that many steps in a decade, rounded to three digits."""
    return tuple(round(100 * 10 ** (step / steps)) for step in range(steps))


SERIES: dict[str, tuple[int, ...]] = {
    "E3": _E24[::8],
    "E6": _E24[::4],
    "E12": _E24[::2],
    "E24": _E24,
    "E48": _rounded(48),
    "E96": _rounded(96),
    "E192": tuple(920 if number == 919 else number for number in _rounded(192)),
}
"""One decade of each series: two digits up to E24 (Table 1), three from E48 (Table 2), coarsest first.

E48 and E96 are the rounded geometric series exactly; E192 departs from it once, with 920 for 919.
"""

_FINE: dict[str, tuple[int, ...]] = {
    name: tuple(number * 10 for number in numbers) if numbers[0] == 10 else numbers
    for name, numbers in SERIES.items()
}
_MEMBERS: dict[str, frozenset[int]] = {name: frozenset(numbers) for name, numbers in _FINE.items()}
_STEPS: dict[str, tuple[Decimal, ...]] = {
    name: tuple(Decimal(number) / 100 for number in numbers) for name, numbers in _FINE.items()
}


class SeriesError(SoldersideError):
    """A series that does not exist, or a value that no series can hold."""


def is_preferred(value: Decimal, series: str) -> bool:
    """Return whether the value, in any unit, is exactly a number of the series.

    >>> is_preferred(Decimal("4700"), "E24"), is_preferred(Decimal("4750"), "E24")
    (True, False)
    """
    _steps(series)
    return value > 0 and value.is_finite() and _three_digits(value) in _MEMBERS[series]


def series_of(value: Decimal) -> tuple[str, ...]:
    """Name all series that hold the value, coarsest first; empty when none does.

    >>> series_of(Decimal(150)), series_of(Decimal("0.357"))
    (('E6', 'E12', 'E24', 'E96', 'E192'), ('E96', 'E192'))
    """
    if not (value.is_finite() and value > 0):
        return ()
    digits = _three_digits(value)
    return tuple(name for name, members in _MEMBERS.items() if digits in members)


def sold_at(tolerance_percent: Decimal) -> tuple[str, ...]:
    """Name the series usually sold at that tolerance (per cent), coarsest first.

    E24 values are sold at every tolerance from 5 % down as well as the series the standard has for
    it: common practice, no source.

    >>> sold_at(Decimal(10)), sold_at(Decimal(1)), sold_at(Decimal("0.1"))
    (('E12',), ('E24', 'E96'), ('E24', 'E192'))
    """
    if tolerance_percent >= 20:
        return ("E6",)
    sold = ((5, ("E12",)), (2, ("E24",)), (1, ("E24", "E48")))
    finest = ("E24", "E96") if tolerance_percent == 1 else ("E24", "E192")
    return next((names for percent, names in sold if tolerance_percent > percent), finest)


def next_higher(value: Decimal, series: str, *, strict: bool = False) -> Decimal:
    """Return the smallest number of the series that is not below the value; `strict`: that is above it.

    Raises SeriesError for an unknown series or a value that is not above 0.

    >>> next_higher(Decimal(184), "E96"), next_higher(Decimal(187), "E96", strict=True)
    (Decimal('187'), Decimal('191'))
    """
    steps, decade, mantissa = _split(value, series)
    place = bisect_right(steps, mantissa) if strict else bisect_left(steps, mantissa)
    return lean(steps[place].scaleb(decade) if place < len(steps) else Decimal(10).scaleb(decade))


def next_lower(value: Decimal, series: str, *, strict: bool = False) -> Decimal:
    """Return the greatest number of the series that is not above the value; `strict`: that is below it.

    Raises SeriesError for an unknown series or a value that is not above 0.

    >>> next_lower(Decimal(5000), "E12"), next_lower(Decimal(1000), "E12", strict=True)
    (Decimal('4700'), Decimal('820'))
    """
    steps, decade, mantissa = _split(value, series)
    place = (bisect_left(steps, mantissa) if strict else bisect_right(steps, mantissa)) - 1
    return lean(steps[place].scaleb(decade) if place >= 0 else steps[-1].scaleb(decade - 1))


def nearest(value: Decimal, series: str) -> Decimal:
    """Return the number of the series nearest to the value by ratio, the lower one of a tie.

    The standard does not say what is near: 33 is nearer to 47 than to 22 by ratio, and not by difference.
    Raises SeriesError for an unknown series or a value that is not above 0.

    >>> nearest(Decimal(33), "E3")
    Decimal('47')
    """
    low, high = next_lower(value, series), next_higher(value, series)
    return low if value * value <= low * high else high


def _steps(series: str) -> tuple[Decimal, ...]:
    """One decade of the series from 1 up."""
    steps = _STEPS.get(series)
    if steps is None:
        raise SeriesError(f"there is no series {series!r}", hint=f"the series are {', '.join(SERIES)}")
    return steps


def _split(value: Decimal, series: str) -> tuple[tuple[Decimal, ...], int, Decimal]:
    """The series' decade, the value's power of ten, and what is left of the value, from 1 to under 10."""
    steps = _steps(series)
    if not (value.is_finite() and value > 0):
        raise SeriesError(f"{value} has no preferred value near it", hint="give a value above 0")
    decade = value.adjusted()
    return steps, decade, value.scaleb(-decade)


def _three_digits(value: Decimal) -> int:
    """The first three digits of a positive value as a whole number, 0 when more than three count."""
    digits = "".join(map(str, value.as_tuple().digits)).strip("0")
    return int(digits.ljust(3, "0")) if len(digits) <= 3 else 0


def lean(value: Decimal) -> Decimal:
    """The same number without an exponent or idle zeros.

    >>> lean(Decimal("4.7E+3")), lean(Decimal("0.10"))
    (Decimal('4700'), Decimal('0.1'))
    """
    short = value.normalize()
    return short.quantize(Decimal(1)) if short == short.to_integral_value() and short.adjusted() < 27 else short
