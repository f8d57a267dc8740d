"""The pieces of a capacitor's marking, and what each can mean."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from bench.parts.capacitors import (
    PICO,
    TANTALUM_VOLTS,
    VOLTAGE_CODES,
    CodeError,
    Dielectric,
    Tolerance,
    dielectric,
    rated_volts,
    read_code,
)
from bench.parts.series import is_preferred

MICRO = Decimal("1E-6")


class Worth(Struct, frozen=True, kw_only=True):
    """One meaning of the piece that holds the capacitance."""

    farads: Decimal
    doubt: int
    """0 for a plain case; the greater, the less likely."""
    how: str
    """The way it was read, in words."""
    letter: str = ""
    """Tolerance letter, or empty."""
    volts: Decimal | None = None
    """Rated voltage in the same piece."""
    remark: str = ""


class Sides(Struct, kw_only=True):
    """What stands beside the capacitance; filled piece by piece."""

    volts: list[Decimal]
    """Every rated voltage found, in volts."""
    said: list[str]
    """How each piece was read."""
    tolerance: Tolerance | None = None
    letter: str = ""
    dielectric: Dielectric | None = None
    ac: bool = False
    """Whether the rated voltage is one of AC."""
    kinds: tuple[str, ...] = ()
    """Kinds of capacitor that the pieces point to; empty when they point to none."""


_VOLTS = re.compile(
    r"([1-9]\d{0,4}(?:\.\d{1,2})?)(k?)(?:V|WV|VDC|V-|V=|(?P<ac>VAC|V~|~V?))", re.ASCII | re.IGNORECASE
)
_VOLTS_WITH_POINT = re.compile(r"([26])V([35])", re.ASCII)
_CLASSES = re.compile(r"([XY][1-4])([XY][1-4])?", re.ASCII)
"""Classes of interference suppression capacitors, IEC 60384-14."""
_PERCENT = re.compile(r"(?:±|\+-)?(\d{1,2}(?:\.\d{1,2})?)%", re.ASCII)
_LOPSIDED = re.compile(r"\+(\d{1,3})[-−](\d{1,2})%", re.ASCII)
_LETTER = "[BCDFGHJKMNPQSTZjkz]"
_WORDS = {
    "MKT": "metallised polyester film",
    "MKP": "metallised polypropylene film",
    "MKC": "metallised polycarbonate film",
    "KT": "polyester film and foil",
    "KP": "polypropylene film and foil",
    "KS": "polystyrene film and foil",
    "BP": "bipolar",
    "NP": "not polarised",
}
"""Film types after DIN 41379 (from memory) and other words found beside a value: common practice."""

_NOT_POLARISED = ("bipolar electrolytic capacitor", "film capacitor")

_END = rf"(?:(?P<letter>{_LETTER})(?:(?P<volts>[1-9]\d{{1,3}})[Vv]?|(?P<after>[0-3][A-Z]))?)?"
_CODE = re.compile(rf"(?P<before>[0-3][A-Z])?(?P<code>[1-9]\d\d|\d*R\d+|\d+R){_END}", re.ASCII)
_UNIT = re.compile(
    rf"(?P<whole>\d*)(?P<rest>\.\d+)?(?P<unit>[pnuPNU]|MFD|mfd)(?P<tail>\d*?)F?"
    rf"(?:{_END}|(?P<rated>[1-9]\d{{0,3}}(?:\.\d)?)[Vv])",
    re.ASCII,
)
_NUMBER = re.compile(rf"(?P<number>\d{{1,5}}|\d*\.\d{{1,4}}){_END}", re.ASCII)
_TANTALUM = re.compile(r"([1-9]\d)([5-8])([eGJACDEVT])", re.ASCII)
AC_VOLTS = frozenset(map(Decimal, (275, 305, 310, 440)))
"""Rated voltages that are those of AC where a number stands alone: common practice."""
_FARADS = re.compile(r"(?P<number>\d{1,4}(?:\.\d{1,3})?|\.\d{1,3})(?P<milli>m?)F", re.ASCII)
_USUAL_VOLTS = {*VOLTAGE_CODES.values(), *map(Decimal, ("3", "6", "12", "15", "150", "300", "330")), *AC_VOLTS}
_LARGE_FOR_PICOFARADS = Decimal("1E-9")
"""Farads above which a tolerance in picofarads means nothing."""
_LARGE_FOR_FILM = Decimal("10E-6")
"""Farads from which tolerances of 2 and 5 % are rare: common practice."""
_EXPONENTS = {"p": -12, "n": -9, "u": -6, "mfd": -6}


def cut(text: str) -> list[str]:
    """Tokenize a marking at spaces and strokes, with units joined to their numbers.

    >>> cut("0,1 µF / 63 V")
    ['0.1uF', '63V']
    """
    plain = text.replace("\u00b5", "u").replace("\u03bc", "u").strip()
    plain = re.sub(r"(?<=\d),(?=\d)", ".", plain)
    plain = re.sub(r"(?<=\d) +(?=(?:[pnum]?F|[pnu]|MFD|mfd|k?V(?:DC|AC)?|%)(?:[\s/;|]|$))", "", plain)
    plain = re.sub(r"(?<=\d)(NP|BP)\b", r" \1", plain)
    pieces = (piece.rstrip("+") for piece in re.split(r"[\s/;|,]+", plain))
    return [piece for piece in pieces if piece not in ("", "-", "−")]


def take_side(piece: str, sides: Sides) -> bool:
    """Parse a token that states no capacitance into `sides`; False when it is not such a token."""
    upper = piece.upper()
    if found := _VOLTS.fullmatch(piece):
        sides.volts.append(Decimal(f"{Decimal(found[1]) * (1000 if found[2] else 1):f}"))
        sides.ac = sides.ac or bool(found["ac"])
        said = f"{sides.volts[-1]} V" + (" AC" if found["ac"] else "")
    elif found := _VOLTS_WITH_POINT.fullmatch(piece):
        sides.volts.append(Decimal(f"{found[1]}.{found[2]}"))
        said = f"{sides.volts[-1]} V"
    elif found := _CLASSES.fullmatch(upper):
        sides.ac = True
        sides.kinds = ("ceramic capacitor", "film capacitor") if "Y" in upper else ("film capacitor",)
        said = f"safety class {'/'.join(filter(None, found.groups()))}"
    elif piece in VOLTAGE_CODES:
        sides.volts.append(rated_volts(piece))
        said = f"{sides.volts[-1]} V"
    elif found := _PERCENT.fullmatch(piece):
        sides.tolerance = Tolerance(minus=Decimal(found[1]), plus=Decimal(found[1]), unit="%")
        said = sides.tolerance.text
    elif found := _LOPSIDED.fullmatch(piece):
        sides.tolerance = Tolerance(minus=Decimal(found[2]), plus=Decimal(found[1]), unit="%")
        said = sides.tolerance.text
    elif re.fullmatch(_LETTER, piece) and not sides.letter:
        sides.letter = upper
        return True
    elif upper in _WORDS:
        said = _WORDS[upper]
        sides.kinds = sides.kinds or (_NOT_POLARISED if upper in ("BP", "NP") else ("film capacitor",))
    else:
        try:
            sides.dielectric = dielectric(piece if piece[:1].isupper() else "")
        except CodeError:
            return False
        said = sides.dielectric.text
        sides.kinds = sides.kinds or ("ceramic capacitor",)
    sides.said.append(f"{piece}: {said}")
    return True


def value_first(pieces: list[str]) -> list[str]:
    """Swap two bare numbers so that the capacitance comes first: `35 10` is 10 µF for 35 V."""
    if len(pieces) != 2 or not all(re.fullmatch(r"\d+(?:\.\d+)?", each, re.ASCII) for each in pieces):
        return pieces
    first, second = map(Decimal, pieces)
    volts_first = first and second and bare_volts(pieces[0]) and not is_preferred(first, "E6")
    return pieces[::-1] if volts_first and is_preferred(second, "E6") else pieces


def alone(piece: str) -> bool:
    """Return whether a token states a capacitance although it looks like volts: `226V`, 22 µF for 35 V."""
    return _TANTALUM.fullmatch(piece) is not None


def bare_volts(piece: str) -> Decimal | None:
    """Parse a rated voltage written as a number alone; None when none is sold.

    >>> bare_volts("16"), bare_volts("17")
    (Decimal('16'), None)
    """
    if not re.fullmatch(r"\d{1,4}(?:\.\d)?", piece, re.ASCII):
        return None
    return Decimal(piece) if Decimal(piece) in _USUAL_VOLTS else None


def worths(piece: str, rated: Decimal | None = None) -> list[Worth]:
    """List every capacitance that a token can mean, likeliest first; empty when it states none.

    `rated` is a voltage that stands beside it, as on electrolytic and tantalum capacitors. Raises
    CodeError for a digit and a letter before a code that are no voltage code.
    """
    found = [
        *_with_unit(piece), *_farads(piece), *_as_code(piece, rated), *_tantalum(piece),
        *_plain_number(piece, rated),
    ]  # fmt: skip
    return sorted(found, key=lambda worth: worth.doubt)


def _with_unit(piece: str) -> Iterator[Worth]:
    """4n7, n33, 100n, 0.1uF, 1n5J100, 10uF25V."""
    found = _UNIT.fullmatch(piece)
    if not found:
        return
    whole, rest, tail = found["whole"], found["rest"] or "", found["tail"]
    exponent = _EXPONENTS[found["unit"].lower()]
    letter = (found["letter"] or "").upper()
    volts = _volts(found["rated"] or found["volts"], found["after"])
    if not rest and len(tail) <= 2 and (whole or tail):
        farads = Decimal(f"{whole or 0}.{tail or 0}E{exponent}")
        yield from _worth(farads, 0, "with its unit", letter, volts)
    if not tail and rest:
        yield from _worth(Decimal(f"{whole}{rest}E{exponent}"), 0, "with its unit", letter, volts)
    if (whole or rest) and 2 <= len(tail) <= 4 and volts is None:
        farads = Decimal(f"{whole}{rest}E{exponent}")
        yield from _worth(farads, 1, "with its unit", letter, Decimal(tail))


def _farads(piece: str) -> Iterator[Worth]:
    """1F, 0.47F, 10mF."""
    if found := _FARADS.fullmatch(piece):
        farads = Decimal(found["number"]).scaleb(-3 if found["milli"] else 0)
        if farads <= 1000:
            yield from _worth(farads, 0 if farads <= 10 else 4, "with its unit", "", None)


def _as_code(piece: str, rated: Decimal | None) -> Iterator[Worth]:
    """104, 104J, 2A104J, 104K100, 3R9."""
    found = _CODE.fullmatch(piece)
    if not found or not found["code"].strip("0R"):
        return
    code, letter = found["code"], (found["letter"] or "").upper()
    volts = _volts(found["volts"], found["after"] or found["before"])
    remark = ""
    if "R" in code:
        how = "R is the point, in pF"
    else:
        factor = {"8": "0.01", "9": "0.1"}.get(code[2], f"10^{code[2]}")
        how = f"{code[:2]} × {factor} pF"
    if code[2:] == "7":
        remark = "7 as the power of ten is common on tantalum parts, but in no list of codes"
    doubt = bool(remark) + (code[2:] == "0" and not found["before"] and _electrolytic(rated, letter))
    yield from _worth(read_code(code), doubt, how, letter, volts, remark)


def _tantalum(piece: str) -> Iterator[Worth]:
    """106C, 107e: a code and one letter for the rated voltage."""
    if found := _TANTALUM.fullmatch(piece):
        farads, volts = read_code(piece[:3]), TANTALUM_VOLTS[found[3]]
        tolerance = found[3] in "GJ"
        how = f"{piece[:2]} × 10^{found[2]} pF; {found[3]}: {volts} V"
        doubt = 1 if tolerance and found[2] == "5" else 0
        yield from _worth(farads, doubt, how, "", volts, "one letter for the volts is usual on tantalum parts")


_UNIT_DOUBTS = {
    False: {1: (0, 1), 2: (0, 1), 3: (1, 3), 4: (0, 2)},
    True: {1: (2, 0), 2: (2, 0), 3: (2, 0), 4: (1, 0)},
}
"""Doubt of picofarads and microfarads by figures before the point; True: with a rating such as cans carry."""


def _plain_number(piece: str, rated: Decimal | None) -> Iterator[Worth]:
    """10, 47, 100, 4700, .1, 0.047, 4.7, .1K63: picofarads or microfarads."""
    found = _NUMBER.fullmatch(piece)
    letter = (found["letter"] or "").upper() if found else ""
    if not found or letter in ("P", "N") or not found["number"].strip("0."):
        return
    text, number = found["number"], Decimal(found["number"])
    volts = _volts(found["volts"], found["after"])
    rated = rated or volts
    late = int(letter == "F")
    if number < 1:
        yield from _worth(number * MICRO, late, "in µF", letter, volts)
        return
    whole, _, decimals = text.partition(".")
    odd = len(whole) == 3 and not (text.endswith("0") and is_preferred(number, "E24"))
    if len(decimals) > 2 or text[0] == "0" or odd:
        return
    big = _electrolytic(rated, letter) if len(whole) == 3 else rated is not None
    in_pico, in_micro = _UNIT_DOUBTS[big][min(len(whole), 4)]
    remark = "no unit is marked: ceramics count in pF, electrolytic, tantalum and film capacitors in µF"
    yield from _worth(number * PICO, in_pico + late, "in pF", letter, volts, remark)
    if letter not in ("B", "C", "D"):
        yield from _worth(number * MICRO, in_micro + late, "in µF", letter, volts, remark)


def _electrolytic(rated: Decimal | None, letter: str) -> bool:
    """Whether a voltage and the tolerance letter, or none, are what electrolytic capacitors carry."""
    return rated is not None and rated <= 500 and letter in ("", "M")


def _worth(
    farads: Decimal, doubt: int, how: str, letter: str, volts: Decimal | None, remark: str = ""
) -> Iterator[Worth]:
    """The meaning, doubted more when the value is none that is sold; nothing for 0 F or an odd voltage."""
    if letter in ("B", "C", "D") and farads >= MICRO:
        return
    if farads > 0 and (volts is None or volts in _USUAL_VOLTS):
        doubt += 0 if is_preferred(farads, "E24") else 2
        doubt += 3 if letter in ("B", "C", "D") and farads > _LARGE_FOR_PICOFARADS else 0
        doubt += 3 if letter in ("G", "J") and farads >= _LARGE_FOR_FILM else 0
        doubt += 4 if letter and volts is not None and volts < 10 and volts == volts.to_integral_value() else 0
        yield Worth(farads=farads, doubt=doubt, how=how, letter=letter, volts=volts, remark=remark)


def _volts(number: str | None, code: str | None) -> Decimal | None:
    """Rated voltage from a number or a code."""
    if number:
        return Decimal(number)
    return rated_volts(code) if code else None
