"""One quantity as written without spaces: `4k7`, `100nF`, `R47`, `1,000µF`.

Letters for decimal points follow IEC 60062 (R, K, M, G and L for ohms; p, n, µ, m and F for farads);
everything else is everyday practice.
"""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct


class Quantity(Struct, frozen=True, kw_only=True):
    """An amount of something measured."""

    amount: Decimal
    """Exact, in base units: ohms, farads, henries, volts, amperes, watts, hertz."""
    unit: str
    """`ohm`, `farad`, `henry`, `volt`, `ampere`, `watt`, `hertz`, or empty for a plain number."""


class Notation(Struct, frozen=True, kw_only=True):
    """A quantity and the letter written behind it."""

    quantity: Quantity
    suffix: str = ""
    """A tolerance or taper letter: the J of `4k7J`, the B of `100kB`."""


ALIKE = str.maketrans(
    {"µ": "u", "μ": "u", "\u2126": "Ω", "−": "-", "㏀": "kΩ", "㏁": "MΩ", "㎌": "uF", "㎊": "pF"}
)
"""Characters that mean the same: both micro signs and u, ohm sign and omega, minus and hyphen."""

LONGEST = 24
"""Characters in the longest quantity; longer words are something else."""

_PREFIXES = {
    "": 0, "p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "K": 3, "M": 6, "Meg": 6, "meg": 6, "MEG": 6,
    "G": 9, "P": -12, "N": -9, "U": -6,
}  # fmt: skip
_WORDS: tuple[tuple[str, str, str], ...] = (
    ("ohm", "Ω ohm ohms Ohm Ohms OHM OHMS", ",u,m,k,K,M,Meg,meg,MEG,G"),
    ("farad", "F", ",p,n,u,m,P,N,U"),
    ("farad", "f", "p,n,u,P,N,U"),
    ("henry", "H", ",p,n,u,m,N,U"),
    ("henry", "h", "n,u,m,U"),
    ("volt", "V v Vdc VDC Vac VAC volt volts Volt Volts", ",u,m,k,K"),
    ("ampere", "A amp amps Amp Amps", ",n,u,m"),
    ("ampere", "a", "n,u,m"),
    ("watt", "W w watt watts Watt Watts", ",u,m,k"),
    ("hertz", "Hz hz HZ", ",k,K,M,G"),
    ("hertz", "Hz", "m"),
)
_TAILS: dict[str, tuple[int, str]] = {
    prefix + word: (_PREFIXES[prefix], unit)
    for unit, words, prefixes in _WORDS
    for word in words.split()
    for prefix in prefixes.split(",")
} | {
    "mhz": (6, "hertz"), "mfd": (-6, "farad"), "MFD": (-6, "farad"), "ufd": (-6, "farad"),
    "pfd": (-12, "farad"), "kilohm": (3, "ohm"), "kilohms": (3, "ohm"), "megohm": (6, "ohm"),
    "megohms": (6, "ohm"),
}  # fmt: skip
"""What stands behind a number when the unit is spelled out -> power of ten and unit. `mf` and `MF` are
left out: old lists mean microfarad by them, others millifarad."""

_OHMS = {"R": 0, "r": 0, "Ω": 0, "k": 3, "K": 3, "M": 6, "Meg": 6, "meg": 6, "MEG": 6, "G": 9}
_SMALL = {"p": -12, "n": -9, "u": -6, "m": -3, "N": -9, "U": -6}
_PLAIN_UNITS = ("volt", "ampere", "watt", "hertz")
_SUFFIXES = frozenset("ABCDFGHJKMZ")

_THOUSANDS = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3}){1,3}(?:\.[0-9]{1,9})?")
_NUMBER = rf"{_THOUSANDS.pattern}|[0-9]{{1,12}}(?:[.,][0-9]{{1,12}})?|\.[0-9]{{1,12}}"
_PLAIN = re.compile(rf"([+-]?)({_NUMBER})([A-Za-zΩ]{{0,8}})")
_INFIX = re.compile(r"([0-9]{1,4})([RrLkKMGΩpnumNUPFVH])([0-9]{1,3})([A-Za-zΩ]{0,5})")
_LEADING = re.compile(r"([RrkKMLpnuNUP])([0-9]{1,3})([FHΩ]?)")
_WATTS = {"1/8": "0.125", "1/6": "0.167", "1/4": "0.25", "1/3": "0.333", "1/2": "0.5"}
_FAMILY = re.compile(r"(?:54|74|78|79)[A-Za-z]{1,4}[0-9]{2,4}[A-Za-z]*")
_MOST_DIGITS = {"N": 1, "n": 2, "F": 1}
"""Digits behind these letters where no capacitor is spoken of: `1N914` and `4N35` are type numbers."""
_VALVES = frozenset({"6V6", "6L6", "6F6", "5U4"})


def decimal_of(number: str) -> Decimal | None:
    """Parse a number with point or comma; None when it is none.

    A comma before exactly three digits parts thousands, unless the number starts with 0.

    >>> decimal_of("4,7"), decimal_of("1,000"), decimal_of("0,047"), decimal_of("4k7")
    (Decimal('4.7'), Decimal('1000'), Decimal('0.047'), None)
    """
    found = _PLAIN.fullmatch(number) if len(number) <= LONGEST else None
    return None if found is None or found[3] else _scaled(found[1] + found[2], 0)


def _scaled(number: str, exponent: int) -> Decimal:
    bare = number.lstrip("+-")
    plain = number.replace(",", "") if _THOUSANDS.fullmatch(bare) else number.replace(",", ".")
    return Decimal(f"{plain}E{exponent}")


def _bare(prefix: str, unit: str, infix: bool) -> tuple[int, str] | None:
    """What a prefix alone means, when the text should state a `unit`."""
    if unit in _PLAIN_UNITS:
        return (_PREFIXES[prefix], unit) if prefix in _PREFIXES and prefix not in ("P", "N", "U") else None
    if unit in ("farad", "henry"):
        if prefix in _SMALL or prefix == "P":
            return _PREFIXES[prefix], unit
        if prefix in ("R", "r"):
            return (-12 if unit == "farad" else -6), unit
        if prefix in ("K", "M") and not infix:
            return None
    if prefix == "L":
        return (-3, "ohm") if infix or unit == "ohm" else None
    if prefix == "m" and unit == "ohm":
        return -3, "ohm"
    if prefix in _OHMS:
        return _OHMS[prefix], "ohm"
    if prefix in _SMALL:
        return _SMALL[prefix], "farad"
    return (0, unit) if not prefix and unit == "ohm" else None


def _notation(number: str, scale: tuple[int, str], suffix: str = "") -> Notation | None:
    if number[0] in "+-" and scale[1] not in ("volt", "ampere"):
        return None
    return Notation(quantity=Quantity(amount=_scaled(number, scale[0]), unit=scale[1]), suffix=suffix)


def _number_first(word: str, unit: str) -> Notation | None:
    found = _PLAIN.fullmatch(word)
    if found is None:
        fraction = _WATTS.get(word[:-1]) if word[-1] in "Ww" else None
        return _notation(fraction, (0, "watt")) if fraction else None
    number, tail = found[1] + found[2], found[3]
    scale = _TAILS.get(tail) or _bare(tail, unit, infix=False)
    if scale is not None:
        return _notation(number, scale)
    if tail and tail[-1] in _SUFFIXES and (tail != "MF" or unit == "ohm"):
        scale = _TAILS.get(tail[:-1]) or _bare(tail[:-1], unit, infix=False)
        if scale is not None and scale[1] not in _PLAIN_UNITS:
            return _notation(number, scale, tail[-1])
    return None


def _letter_inside(word: str, unit: str) -> Notation | None:
    found = _INFIX.fullmatch(word)
    if found is None:
        return None
    whole, letter, rest, tail = found[1], found[2], found[3], found[4]
    if len(rest) > (_MOST_DIGITS.get(letter, 3) if unit not in ("farad", "henry") else 3):
        return None
    named = {"F": (0, "farad"), "V": (0, "volt"), "H": (0, "henry")}.get(letter)
    scale = named or _bare(letter, unit, infix=True)
    spelled = _TAILS.get(tail)
    if spelled is not None and spelled[0] == 0 and spelled[1] not in ("volt", "ampere", "watt"):
        scale, tail = _TAILS.get(letter + tail, scale if scale and scale[1] == spelled[1] else None), ""
        if scale is None and found[4] in _SUFFIXES:
            scale, tail = named or _bare(letter, unit, infix=True), found[4]
    if scale is None or len(tail) > 1 or (tail and tail not in _SUFFIXES):
        return None
    return _notation(f"{whole}.{rest}", scale, tail)


def _letter_first(word: str, unit: str) -> Notation | None:
    found = _LEADING.fullmatch(word)
    if found is None:
        return None
    if (found[1] in "ML" and unit != "ohm") or (found[1] in "NUP" and unit not in ("farad", "henry")):
        return None
    scale = _TAILS.get(found[1] + found[3]) if found[3] else _bare(found[1], unit, infix=True)
    return _notation(f"0.{found[2]}", scale) if scale else None


def one_quantity(word: str, unit: str = "") -> Notation | None:
    """Parse the quantity that a word without spaces states, or None.

    `unit` says what a bare number or prefix means here: in a resistor's value `1m` is a milliohm, in a
    capacitor's `3R9` is 3.9 pF (IEC 60062), in an inductor's `4R7` is 4.7 µH (common practice).

    >>> one_quantity("4k7").quantity.amount
    Decimal('4.7E+3')
    >>> one_quantity("1N4148") is None and one_quantity("78L05") is None
    True
    """
    if not 0 < len(word) <= LONGEST:
        return None
    plain = word.translate(ALIKE)
    if _FAMILY.fullmatch(plain) or (not unit and plain in _VALVES):
        return None
    return _number_first(plain, unit) or _letter_inside(plain, unit) or _letter_first(plain, unit)
