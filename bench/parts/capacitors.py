"""The codes of capacitors one by one: value, tolerance, rated voltage, dielectric."""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.parts.quantity import Quantity, show

PICO = Decimal("1E-12")


class CodeError(SoldersideError):
    """A marking or code that cannot be read; says what was understood of it."""


class Tolerance(Struct, frozen=True, kw_only=True):
    """How far the capacitance may lie from what is marked."""

    minus: Decimal
    """Below the marked value, as a positive number."""
    plus: Decimal
    """Above the marked value."""
    unit: str
    """`%` or `pF`."""

    @property
    def text(self) -> str:
        """As people write it: `±5 %`, `+80/−20 %`."""
        if self.minus == self.plus:
            return f"±{self.plus} {self.unit}"
        return f"+{self.plus}/−{self.minus} {self.unit}"


class Dielectric(Struct, frozen=True, kw_only=True):
    """What a ceramic capacitor's three-character code promises (EIA-198)."""

    code: str
    """`X7R`, `C0G`."""
    low_celsius: int | None = None
    """Lowest temperature, °C; None for class I, whose code does not state it."""
    high_celsius: int | None = None
    change: Tolerance | None = None
    """Greatest change of capacitance in that range; None for class I."""
    tempco_ppm: Decimal | None = None
    """Class I: temperature coefficient, ppm/K."""
    tempco_spread_ppm: int | None = None
    """Class I: ± ppm/K."""

    @property
    def text(self) -> str:
        """What it promises, in words."""
        if self.change is None:
            return f"{self.tempco_ppm:f} ±{self.tempco_spread_ppm} ppm/K"
        return f"{self.low_celsius} to {self.high_celsius} °C, {self.change.text}"


PERCENT_LETTERS = dict(zip("FGHJKMN", map(Decimal, (1, 2, 3, 5, 10, 20, 30)), strict=True))
"""± per cent (IEC 60062); F and G only above 10 pF."""

PICOFARAD_LETTERS = dict(zip("BCDFG", map(Decimal, ("0.1", "0.25", "0.5", "1", "2")), strict=True))
"""± picofarads; F and G only up to 10 pF."""

LOPSIDED_LETTERS = {"P": (0, 100), "Q": (10, 30), "S": (20, 50), "T": (10, 50), "Z": (20, 80)}
"""Per cent below and above the marked value."""

_VOLTS_BY_CODE = """
0E 2.5 0G 4 0L 5.5 0J 6.3 1A 10 1C 16 1D 20 1E 25 1V 35 1G 40 1H 50 1J 63 1M 70 1N 75 1U 75 1K 80 2A
100 2Q 110 2B 125 2T 150 2C 160 2Z 180 2D 200 2P 220 2E 250 2F 315 2V 350 2G 400 2W 450 2H 500 2J
630 2I 650 2K 800 3A 1000 3L 1200 3B 1250 3N 1500 3C 1600 3D 2000 3E 2500 3F 3000 3G 4000 3H 5000 4A
10000 4V 35000
"""
_PAIRS = _VOLTS_BY_CODE.split()
VOLTAGE_CODES: dict[str, Decimal] = dict(zip(_PAIRS[::2], map(Decimal, _PAIRS[1::2]), strict=True))
"""Rated voltages by digit and letter (EIA, JIS C 5101). A closed list: not every letter follows a rule.

3F is 3150 V with some makers; the lower counts. 1N, 1M, 1U, 2T, 2I and the rows from 3L on, but for 3C and 3D,
are from memory.
"""

TANTALUM_VOLTS: dict[str, Decimal] = {
    pair[0]: Decimal(pair[1:]) for pair in ("e2.5", "G4", "J6.3", "A10", "C16", "D20", "E25", "V35", "T50")
}
"""Rated voltages by one letter behind the code, as on tantalum capacitors (EIA-535, from memory)."""

_LOW = {"X": -55, "Y": -30, "Z": 10}
_HIGH = {"2": 45, "4": 65, "5": 85, "6": 105, "7": 125, "8": 150, "9": 200}
_CHANGE = {
    "A": "1.0", "B": "1.5", "C": "2.2", "D": "3.3", "E": "4.7", "F": "7.5", "P": "10", "R": "15", "S": "22",
    "T": "33", "U": "56", "V": "82",
}  # fmt: skip
_MOST_ABOVE = Decimal(22)
"""Per cent: the last letters promise less above the value than below it (EIA-198)."""
_FIGURE = {"C": "0.0", "M": "1.0", "P": "1.5", "R": "2.2", "S": "3.3", "T": "4.7", "U": "7.5"}
_FACTOR = (-1, -10, -100, -1000, -10_000, 1, 10, 100, 1000, 10_000)
_SPREAD = {"G": 30, "H": 60, "J": 120, "K": 250, "L": 500, "M": 1000, "N": 2500}
_ZERO = {"NP0": "C0G", "NPO": "C0G", "COG": "C0G"}


def read_code(code: str) -> Decimal:
    """Decode a three-digit code, or digits around an R, to farads.

    The third digit is a power of ten of picofarads; 8 and 9 stand for 0.01 and 0.1. R is a point, in
    picofarads. Raises CodeError for anything else.

    >>> read_code("104"), read_code("479"), read_code("3R9")
    (Decimal('1.0E-7'), Decimal('4.7E-12'), Decimal('3.9E-12'))
    """
    if re.fullmatch(r"[1-9]\d\d", code, re.ASCII):
        power = {"8": -2, "9": -1}.get(code[2], int(code[2]))
        return Decimal(code[:2]).scaleb(power - 12)
    if re.fullmatch(r"\d*[Rr]\d+|\d+[Rr]", code, re.ASCII) and code.strip("0Rr"):
        return Decimal(code.upper().replace("R", ".")) * PICO
    raise CodeError(f"{code[:40]!r} is no capacitor code", hint="codes look like 104, 479 or 3R9")


def encode(farads: Decimal) -> str:
    """Encode a capacitance in farads: R as a point below 10 pF, three digits from there up.

    Raises CodeError when two digits and a power of ten cannot say it.

    >>> encode(Decimal("100E-9")), encode(Decimal("47E-12")), encode(Decimal("3.9E-12"))
    ('104', '470', '3R9')
    """
    if not (farads.is_finite() and farads > 0):
        raise CodeError(f"{farads} farad has no code", hint="give a capacitance above 0")
    picofarads = (farads / PICO).normalize()
    figures = "".join(map(str, picofarads.as_tuple().digits))
    if picofarads < 10:
        if picofarads.as_tuple().exponent in (0, -1, -2) and len(figures) <= 2:
            whole, _, rest = f"{picofarads:f}".partition(".")
            return f"{whole.strip('0')}R{rest}" if len(rest) > 1 else f"{whole}R{rest or '0'}"
    elif len(figures) <= 2 and picofarads.adjusted() <= 8:
        return f"{figures.ljust(2, '0')}{picofarads.adjusted() - 1}"
    shown = show(Quantity(amount=farads, unit="farad"))
    raise CodeError(f"{shown} has no code", hint="a code holds two figures, from 0.01 pF to 990 µF")


def tolerance_letter(letter: str, farads: Decimal) -> Tolerance:
    """Decode a tolerance letter on a capacitor of that many farads.

    B, C and D are picofarads; F and G are picofarads up to 10 pF and per cent above. Raises CodeError
    for a letter that stands for no tolerance.

    >>> tolerance_letter("J", Decimal("1E-7")).text, tolerance_letter("F", Decimal("10E-12")).text
    ('±5 %', '±1 pF')
    """
    letter = letter.upper()
    if letter in LOPSIDED_LETTERS:
        minus, plus = LOPSIDED_LETTERS[letter]
        return Tolerance(minus=Decimal(minus), plus=Decimal(plus), unit="%")
    in_picofarads = letter in "BCD" or (letter in "FG" and farads <= Decimal("10E-12"))
    table = PICOFARAD_LETTERS if in_picofarads else PERCENT_LETTERS
    if letter not in table:
        known = "".join(sorted({*PERCENT_LETTERS, *PICOFARAD_LETTERS, *LOPSIDED_LETTERS}))
        raise CodeError(f"{letter!r} is no tolerance letter", hint=f"the letters are {', '.join(known)}")
    return Tolerance(minus=table[letter], plus=table[letter], unit="pF" if in_picofarads else "%")


def rated_volts(code: str) -> Decimal:
    """Decode a digit and a letter to a rated voltage; CodeError for a pair not in the list.

    >>> rated_volts("2A")
    Decimal('100')
    """
    volts = VOLTAGE_CODES.get(code.upper())
    if volts is None:
        raise CodeError(f"{code!r} is no voltage code", hint="codes are a digit and a letter, such as 2A")
    return volts


def dielectric(code: str) -> Dielectric:
    """Decode a ceramic's dielectric code; NP0 means C0G. Raises CodeError for any other code.

    >>> dielectric("Z5U").text, dielectric("U2J").text
    ('10 to 85 °C, +22/−56 %', '-750 ±120 ppm/K')
    """
    known = _ZERO.get(code.upper(), code.upper())
    first, second, third = known[:1], known[1:2], known[2:]
    if first in _LOW and second in _HIGH and third in _CHANGE:
        minus = Decimal(_CHANGE[third])
        return Dielectric(
            code=known,
            low_celsius=_LOW[first],
            high_celsius=_HIGH[second],
            change=Tolerance(minus=minus, plus=min(minus, _MOST_ABOVE), unit="%"),
        )
    if first in _FIGURE and second.isdecimal() and second.isascii() and third in _SPREAD:
        tempco = (Decimal(_FIGURE[first]) * _FACTOR[int(second)]).normalize()
        return Dielectric(code=known, tempco_ppm=tempco + 0, tempco_spread_ppm=_SPREAD[third])
    raise CodeError(f"{code!r} is no dielectric code", hint="codes look like X7R, Y5V, Z5U, C0G or U2J")
