"""Resistances as they are printed: letters, figures, three-character codes, watts in front; pure.

IEC 60062 gives the letters and the codes of three and four characters; everything else is common practice.
Each reader yields what a text can mean, with its doubt (`meaning.Meaning`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from bench.parts.meaning import (
    CODED_RESISTORS,
    LETTER_PERCENT,
    POTENTIOMETERS,
    RESISTORS,
    Meaning,
    percent_of,
    quantity,
    valued,
    worth,
)
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.series import SERIES, is_preferred, series_of

EIA_96_FACTORS = {
    "Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5,
}  # fmt: skip
"""Letter of the three-character code -> power of ten (IEC 60062:2016 Annex A, EIA-96)."""

_LINK = re.compile(r"0{1,4}|0?R0{1,3}|0[RΩ]|(?:0|[Zz]ero)[ -]?[Oo]hms?", re.ASCII)
_LETTER_CODE = re.compile(r"\d*(?:R|r|k|K|M|G|L|Ω|ohms?|Ohms?)\d*.*|\d+(?:[.,]\d+ ?| )(?:k|K|M|G|R|Ω|ohm).*")
_NO_LETTER_CODE = re.compile(r"[ABC]?\d{3}G|[0-3][A-Z]\d{3}[A-Z]?|\d{3}[kKM]\d{2,3}", re.ASCII)
"""Codes of networks and of capacitors with their volts."""
_E_POINT = re.compile(r"(?=[E\d]*\d)(\d{0,3})E(\d{0,2}|0\d\d)([FGJKM]?)", re.ASCII)
_THREE_FIGURES = re.compile(r"([ABC]?)([1-9]\d)(\d)([FGJKM]?)", re.ASCII)
_FOUR_FIGURES = re.compile(r"([1-9]\d\d)([0-6])([BCDFGJKM]?)", re.ASCII)
_THREE_CHARACTERS = re.compile(r"(\d\d)([ABCDEFHRSXYZ])", re.ASCII)
_WATTS_FIRST = re.compile(
    r"(?![0-3]W\d{3}[A-Z]?$)(0\.\d{1,3}|[1-9]\d?0?|1/[248]) ?W[ -]*(?=\S*[RrKkMΩo]|\d+ ?[JΩo]| )"
    r"(\d*\.\d+|\d*[RrKkM]\d+|\d+)([RrKkM]?) ?(?:Ω|ohms?|OHMS?)?[ -]*([FGJKM]?)",
    re.ASCII,
)
_RATED = "0.125 0.25 0.5 1 2 3 4 5 6 7 8 9 10 11 15 17 20 25 30 50 100"
_WATTS = frozenset(_RATED.split())
"""Watts in which resistors are sold: common practice."""
_POT_NUMBERS = (10, 20, 22, 25, 47, 50)
"""First figures of the values in which variable resistors are sold: common practice."""
_WITH_PERCENT = re.compile(r"([1-9]\d{2,3}) ?(?:±|\+/?-)? ?(\d{1,2}(?:\.\d)?) ?%", re.ASCII)
_LETTERS = {percent: letter for letter, percent in LETTER_PERCENT.items()}
_ROUND = ((5,), (2, 5))
"""Figures of variable resistors that are in no series."""
_NETWORK = re.compile(r"(?:RN)?(\d{1,2})?([ABCEF])(\d\d)(\d)([FGJK])?", re.ASCII)
_NETWORK_ORDER = re.compile(r"4[136](\d\d)[A-Z]-(\d{1,3})-(\d\d)(\d)(?:[A-Z]{1,3})?", re.ASCII)
_NETWORK_PINS = re.compile(r"[ALM]?0?(\d{1,2})(?:X|X?-(?:[123]-)?)(\d\d)([0-6])([FGJ])?(?:LF)?", re.ASCII)
_CIRCUITS = {"A": "bussed", "B": "isolated", "1": "isolated", "2": "bussed", "101": "bussed", "102": "isolated"}
_TRIMMER = re.compile(
    r"W([1-9]\d)(\d)|"
    r"(?:3[0-4]\d\d(?:[A-Z]{1,2}|(?=-))|RM-?0?\d{2}|(?:PT|CA)-?\d{1,2}[A-Z]?(?=[- ]))"
    r"(?:-\d)?[- ]?(\d\d)(\d)(?:LF)?",
    re.ASCII,
)


def resistances(text: str) -> Iterator[Meaning]:
    """Yield every reading of a text as a resistance.

    >>> [found.text for found in resistances("4702")], [found.text for found in resistances("5W0R22J")]
    (['47 kΩ'], ['0.22 Ω ±5 % 5 W'])
    """
    if _LINK.fullmatch(text):
        yield Meaning(
            text="0 Ω, a link", source="value as written", kinds=("wire link", "resistor"),
            amount=Quantity(amount=Decimal(0), unit="ohm"),
        )  # fmt: skip
        return
    if not _WATTS_FIRST.fullmatch(text):
        yield from _letter_code(text)
    yield from coded_resistances(text)


def coded_resistances(text: str) -> Iterator[Meaning]:
    """Yield the same without letters for prefixes, whose case counts; the text in capitals.

    >>> [found.text for found in coded_resistances("W103")]
    ['10 kΩ trimmer']
    """
    if found := _WATTS_FIRST.fullmatch(text):
        yield from _power(*found.groups())
        return
    if (spelled := _WITH_PERCENT.fullmatch(text)) and (letter := _LETTERS.get(spelled[2])):
        text = spelled[1] + letter
    yield from _e_point(text)
    yield from _three_figures(text)
    yield from _four_figures(text)
    yield from _three_characters(text)
    yield from _network(text)
    yield from _trimmer(text)


def _letter_code(text: str) -> Iterator[Meaning]:
    """`4k7`, `47R`, `R47J`, `B100k`: a resistance with a letter for its power of ten."""
    text = re.sub(r"^(?:R[KV]?\d\w* )?([ABC])[ -]+(?=\d)|^R[KV]?\d\w* ([ABC])(?=\d)", r"\1\2", text)
    text = re.sub(r"(?<=\d[kKMΩ]) ([ABC])$", r"\1", re.sub(r"(?<=[RΩJkKM])(\d+W)$", r" \1", text))
    text = re.sub(r"^[abc](?=\d+[kKmM]?$)|(?<=\d[kKM])[abc]$", lambda law: law[0].upper(), text)
    value = read_value(text, "ohm")
    without_law = text[1:] if text[:1] in ("A", "B", "C") else text
    if value.main is None or value.main.unit != "ohm" or not value.main.amount or value.remark:
        leading = re.fullmatch(r"R(\d{1,3})([BCDFGJKM])", text, re.ASCII)
        if leading:
            yield from _lettered(text, quantity(f".{leading[1]}", "ohm"), leading[2])
        return
    rated = any(each.unit == "volt" for each in value.ratings)
    if _LETTER_CODE.match(without_law) and not rated and not _NO_LETTER_CODE.fullmatch(text):
        if value.taper == "C" and "R" in text:
            yield from _lettered(text, value.main, "C")
            return
        letter = text[-1] if re.search(r"[\dRrKkM][BCDFGHJKM]$", text) and value.tolerance_percent else ""
        yield from _lettered(text, value.main, letter, value.tolerance_percent, value.taper, *value.ratings)


def _lettered(
    text: str, amount: Quantity, letter: str, percent: Decimal | None = None, law: str = "", *ratings: Quantity
) -> Iterator[Meaning]:
    spelled = re.search("[., Ωo]", text) is not None
    percent = percent_of(letter) or percent
    yield valued(
        amount, percent, f"law {law}" if law else "", *map(show, ratings),
        source="value as written" if spelled else "letter code (IEC 60062)",
        doubt=2 * _other_unit(text, amount) if law or spelled else _doubt_of_letters(text, amount, letter),
        kinds=(*POTENTIOMETERS, "trimmer") if law else RESISTORS,
    )  # fmt: skip


def _other_unit(text: str, amount: Quantity) -> bool:
    """Whether it rather is a resonator's megahertz, `16.00M`, or a film capacitor's microfarads, `.0022K`."""
    if re.fullmatch(r"0?\.0\d+[kK]", text):
        return True
    return re.fullmatch(r"\d{1,2}\.\d{1,3}M", text) is not None and amount.amount >= 12_000_000


def _doubt_of_letters(text: str, amount: Quantity, letter: str) -> int:
    """How much a letter code rather is a capacitor's or a choke's."""
    if re.fullmatch(r"\d{2,3}R\d{3}", text):
        return 4
    if re.fullmatch(r"\d\d\dM", text) and amount.amount > 22_000_000:
        return 3
    if "R" in text.upper() and letter:
        return {"K": 1, "M": 1, "B": 2, "C": 2, "D": 1}.get(letter, 0)
    if re.fullmatch(r"\d+[kKM]", text):
        figures = amount.amount.normalize().as_tuple().digits
        return 0 if is_preferred(amount.amount, "E24") or figures in _ROUND else 4
    return 0 if series_of(amount.amount) else 1 if re.search(r"[RkKMG]\d", text) else 4


def _e_point(text: str) -> Iterator[Meaning]:
    """`4E7`, `680E`, `0E22J`: E for the point, as in India and in old European prints."""
    found = _E_POINT.fullmatch(text)
    if not found:
        return
    amount = quantity(f"{found[1] or 0}.{found[2] or 0}", "ohm")
    if amount.amount and series_of(amount.amount):
        doubt = int(re.fullmatch(r"\d\d[5-8]E", text) is not None)
        source = "E for the point, in ohms"
        yield valued(amount, percent_of(found[3]), source=source, kinds=RESISTORS, doubt=doubt)


def _three_figures(text: str) -> Iterator[Meaning]:
    """`104`, `B103`, `104J`: a resistance as two figures and a power of ten."""
    found = _THREE_FIGURES.fullmatch(text)
    if not found or int(found[3]) > 6 or (found[1] and found[4] in ("K", "M")):
        return
    law, figures, power, letter = found.groups()
    amount, percent = quantity(Decimal(figures).scaleb(int(power)), "ohm"), percent_of(letter)
    sold = int(figures) in _POT_NUMBERS or is_preferred(amount.amount, "E24")
    doubt = (
        (2 if law and letter else 0 if law else 1 if int(figures) in (25, 50) else 2)
        + (0 if sold else 2)
        + 2 * (letter in "KM")
    )
    yield valued(
        amount, percent, f"law {law}" if law else "", source="three-figure code in ohms",
        doubt=doubt if letter else doubt - 2 * (letter in "KM"),
        kinds=CODED_RESISTORS[2:] if law else CODED_RESISTORS,
        remarks=("potentiometers carry such a code",) if law else ("trimmers and networks carry such codes",),
    )  # fmt: skip


def _four_figures(text: str) -> Iterator[Meaning]:
    """`4702`, `1002F`: three figures and a power of ten (IEC 60062)."""
    found = _FOUR_FIGURES.fullmatch(text)
    if not found:
        return
    figures, power, letter = found.groups()
    amount, percent = quantity(Decimal(figures).scaleb(int(power)), "ohm"), percent_of(letter)
    if not (is_preferred(amount.amount, "E24") or is_preferred(amount.amount, "E96")):
        return
    doubt = 0 if power != "0" or letter else 1
    source = "four-figure code in ohms (IEC 60062)"
    yield valued(amount, percent, source=source, kinds=RESISTORS[:2], doubt=doubt)


def _three_characters(text: str) -> Iterator[Meaning]:
    """`01C`, `68X`: the number of a value of E96, and a letter for its power of ten."""
    found = _THREE_CHARACTERS.fullmatch(text)
    if not found or not 1 <= int(found[1]) <= 96:
        return
    number, letter = int(found[1]), found[2]
    amount = quantity(Decimal(SERIES["E96"][number - 1]).scaleb(EIA_96_FACTORS[letter]), "ohm")
    doubt = {"R": 3, "E": 4, "F": 2, "H": 1, "C": 1 if number == 10 else 0, "D": 1 if number == 10 else 0}
    yield valued(
        amount, Decimal(1), source="three-character code of E96 (EIA-96)", kinds=("resistor",),
        doubt=0 if number < 10 else doubt.get(letter, 0),
        remarks=("such codes stand on small resistors of 1 %",),
    )  # fmt: skip


def _power(watts: str, number: str, unit: str, letter: str) -> Iterator[Meaning]:
    """`5W0R22J`, `10W 4R7K`: a power resistor, its watts first."""
    if unit in ("K", "M") and not letter and re.fullmatch(r"\d*[Rr]\d+", number):
        unit, letter = "", unit
    value = read_value(number + (unit or ("" if re.search(r"[RrKkM]", number) else "R")), "ohm").main
    rating = read_value(f"{watts}W").main
    if value is None or not value.amount or rating is None or f"{rating.amount.normalize():f}" not in _WATTS:
        return
    source = "power, then value"
    yield valued(value, percent_of(letter), show(rating), source=source, kinds=("resistor",))


def _network(text: str) -> Iterator[Meaning]:
    """`A103J`, `9A103J`, `4114R-1-103`: several resistors in one case."""
    if (found := _NETWORK_PINS.fullmatch(text)) and 4 <= int(found[1]) <= 20:
        pins, figures, power, tolerance = found.groups()
        yield _several(figures, power, tolerance or "", "", pins, 0)
        return
    if found := _NETWORK_ORDER.fullmatch(text):
        pins, circuit, figures, power = found.groups()
        yield _several(figures, power, "", _CIRCUITS.get(circuit, ""), pins, 0)
        return
    found = _NETWORK.fullmatch(text)
    if not found or int(found[4]) > 6 or (found[1] and not 4 <= int(found[1]) <= 20):
        return
    pins, letter, figures, power, tolerance = found.groups()
    if not (pins or tolerance or letter in "AB") or not is_preferred(Decimal(figures), "E24"):
        return
    yield _several(
        figures, power, tolerance or "", _CIRCUITS.get(letter, ""), pins or "", 0 if pins or tolerance else 2
    )


def _several(figures: str, power: str, letter: str, circuit: str, pins: str, doubt: int) -> Meaning:
    amount, percent = quantity(Decimal(figures).scaleb(int(power)), "ohm"), percent_of(letter)
    said = [circuit] if circuit else []
    said += [f"{int(pins)} pins"] if pins else []
    return Meaning(
        text=", ".join([worth(amount, percent) + " network", *said]), source="code of a network",
        kinds=("resistor network",), doubt=doubt, amount=amount, percent=percent,
        remarks=("bussed: one end of every resistor is at the marked pin",) if circuit == "bussed" else (),
    )  # fmt: skip


def _trimmer(text: str) -> Iterator[Meaning]:
    """`W103`, `3296W-1-103`: a trimmer by its code."""
    if found := _TRIMMER.fullmatch(text):
        figures, power = found[1] or found[3], found[2] or found[4]
        amount = quantity(Decimal(figures).scaleb(int(power)), "ohm")
        yield valued(amount, None, "trimmer", source="code of a trimmer", kinds=("trimmer",))
