"""What is printed on a part -> everything it can mean: bands, capacitor markings, letter codes, type numbers.

Nothing here knows a kit or a meter; `measure.identify` puts the two together.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from msgspec import Struct

from bench.errors import BenchError
from bench.parts.codes import CodeError, read_marking
from bench.parts.colours import BandReading, decode
from bench.parts.palette import ColourError, colour_named, parse_bands
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.series import is_preferred, series_of
from bench.parts.typenumbers import TypeFacts, facts

RESISTORS = (
    "resistor", "resistor network", "thermistor", "trimmer", "potentiometer", "slide potentiometer",
)  # fmt: skip
"""Kinds whose value in ohms can be read from them, or measured at their outer legs."""
CODED_RESISTORS = RESISTORS[1:]
"""Kinds that carry a resistance as three figures: common practice."""
CAPACITORS = (
    "ceramic capacitor", "film capacitor", "electrolytic capacitor", "bipolar electrolytic capacitor",
    "tantalum capacitor",
)  # fmt: skip

_LONGEST = 80
"""Characters of a text that is looked at."""
_LETTER_CODE = re.compile(r"\d*(?:R|r|k|K|M|G|L|Ω|ohms?|Ohms?)\d*.*|\d+[.,]\d+ ?(?:k|K|M|G|R|Ω|ohm).*")
_THREE_FIGURES = re.compile(r"([ABC]?)([1-9]\d)(\d)([FGJKM]?)", re.ASCII)
_LETTER_PERCENT = {"F": 1, "G": 2, "J": 5, "K": 10, "M": 20}
_LEFT_OUT = (
    (re.compile(r"\d{3,4}[A-Z]?"), "1N", "diodes are often printed without their 1N"),
    (re.compile(r"[ABCD]\d{2,4}[A-Z]*"), "2S", "Japanese transistors are printed without their 2S"),
)
"""What makers leave out where there is little room: common practice."""


class PrintError(BenchError):
    """What is printed makes no sense as a part's marking; says what was understood."""


class Meaning(Struct, frozen=True, kw_only=True):
    """One thing that what is printed can mean."""

    text: str
    """The part in words: `10 kΩ ±1 %`."""
    source: str
    """How it was read: `bands, left to right`."""
    kinds: tuple[str, ...] = ()
    """Kinds of part it can stand on; empty when that is open."""
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
    source: str
    why: tuple[str, ...]


class Print(Struct, frozen=True, kw_only=True):
    """All that a print can mean."""

    meanings: tuple[Meaning, ...]
    """Likeliest first."""
    excluded: tuple[Excluded, ...] = ()


def read_print(text: str) -> Print:
    """Everything that a part's bands or marking can mean.

    Raises ColourError for bands that are none, and PrintError when nothing was understood.

    >>> [(found.text, found.source) for found in read_print("brown black black red brown").meanings]
    [('10 kΩ ±1 %', 'bands, left to right'), ('120 Ω ±1 %', 'bands, right to left')]
    >>> [found.text for found in read_print("104J").meanings]
    ['100 nF ±5 %', '100 kΩ ±5 %']
    """
    plain = " ".join(text.split())[:_LONGEST]
    if names_colours(plain):
        return _read_bands(plain)
    typed = list(_types(plain))
    known = [found for found in typed if found.facts]
    letters, figures = list(_letter_code(plain)), list(_three_figures(plain))
    farads, why_not = _capacitor(plain)
    if letters and _sold(letters[0]):
        parts = [*letters, *figures, *(() if re.search(r"\dk", plain) else farads)]
    else:
        parts = [*farads, *letters, *figures]
    found = (*known, *parts, *_zener(plain)) or tuple(typed)
    if not found:
        understood = why_not is not None and "understood: nothing" not in why_not.what
        raise PrintError(
            why_not.what if understood and why_not else f"{plain!r} says nothing about a part",
            hint="give bands (brown black red gold), what is printed (104J, 4k7, BC547B) or a reading (4k69)",
        )
    return Print(meanings=found)


def names_colours(text: str) -> bool:
    """Whether a text names bands: a colour's name in it, or two-letter codes throughout.

    >>> names_colours("brn blak red"), names_colours("BNBKRDGD"), names_colours("104J")
    (True, True, False)
    """
    for word in re.findall(r"[^\W\d_]{3,}", text):
        try:
            colour_named(word)
        except ColourError:
            continue
        return True
    try:
        return len(parse_bands(text)) >= 3
    except ColourError:
        return False


def _read_bands(text: str) -> Print:
    """Every reading of the bands from both ends."""
    bands = parse_bands(text)
    found = decode(bands)
    excluded = [
        Excluded(text=each.text, source=_from(each), why=each.ruled_out) for each in found if not each.possible
    ]
    return Print(meanings=tuple(_banded(each) for each in found if each.possible), excluded=tuple(excluded))


def _banded(reading: BandReading) -> Meaning:
    """A possible reading of bands."""
    assert reading.ohms is not None
    link = not reading.ohms
    return Meaning(
        text="0 Ω, a link" if link else reading.text,
        source=_from(reading),
        kinds=("wire link", "resistor") if link else ("resistor",),
        amount=Quantity(amount=reading.ohms, unit="ohm"),
        percent=reading.tolerance_percent,
        bands=reading.bands,
        remarks=(*reading.against, *reading.remarks),
    )


def _from(reading: BandReading) -> str:
    edition = "" if reading.edition.startswith("IEC") else f", as on {reading.edition}"
    if reading.edition.startswith("EN"):
        edition = f", by {reading.edition}"
    return f"bands, {reading.direction}{edition}"


def _letter_code(text: str) -> Iterator[Meaning]:
    """`4k7`, `47R`, `R47J`, `B100k`: a resistance with a letter for its power of ten."""
    value = read_value(text, "ohm")
    without_law = text[1:] if text[:1] in ("A", "B", "C") else text
    if value.main is None or value.main.unit != "ohm" or value.remark or not _LETTER_CODE.match(without_law):
        return
    yield Meaning(
        text=_worth(value.main, value.tolerance_percent, value.taper),
        source="value as written" if re.search("[., Ωo]", text) else "letter code (IEC 60062)",
        kinds=("potentiometer", "slide potentiometer", "trimmer") if value.taper else RESISTORS,
        amount=value.main,
        percent=value.tolerance_percent,
    )


def _three_figures(text: str) -> Iterator[Meaning]:
    """`104`, `B103`, `104J`: a resistance as two figures and a power of ten."""
    found = _THREE_FIGURES.fullmatch(text)
    if not found or int(found[3]) > 6:
        return
    law, figures, power, letter = found.groups()
    amount = Quantity(amount=_lean(Decimal(figures).scaleb(int(power))), unit="ohm")
    percent = Decimal(_LETTER_PERCENT[letter]) if letter else None
    yield Meaning(
        text=_worth(amount, percent, law),
        source="three-figure code in ohms",
        kinds=CODED_RESISTORS[2:] if law else CODED_RESISTORS,
        amount=amount,
        percent=percent,
        remarks=("potentiometers carry such a code",) if law else ("trimmers and networks carry such codes",),
    )


def _capacitor(text: str) -> tuple[list[Meaning], CodeError | None]:
    """All readings as a capacitor's marking; or why there is none."""
    plain_number = text.isdecimal()
    try:
        readings = read_marking(text)
    except CodeError as error:
        return [], error
    return [
        Meaning(
            text=each.text,
            source="capacitor marking",
            kinds=CAPACITORS,
            amount=Quantity(amount=_lean(each.farads), unit="farad"),
            percent=each.tolerance.plus
            if each.tolerance and each.tolerance.unit == "%" and each.tolerance.minus == each.tolerance.plus
            else None,
            volts=each.volts,
            remarks=(each.understood, *each.doubts),
        )
        for each in readings
        if not plain_number or series_of(each.farads)
    ], None


def _zener(text: str) -> Iterator[Meaning]:
    """`5V1`, `C5V1`: a Zener diode's voltage, V for the point: common practice."""
    if found := re.fullmatch(r"C?(\d{1,2})V(\d)", text, re.ASCII):
        amount = Quantity(amount=Decimal(f"{found[1]}.{found[2]}"), unit="volt")
        yield Meaning(
            text=f"{show(amount)} Zener diode", source="Zener voltage", kinds=("Zener diode",), amount=amount
        )


def _types(text: str) -> Iterator[Meaning]:
    """A type number, known or not, also with the front of it left out."""
    known = facts(text)
    if known is not None:
        yield _typed(text, known)
        return
    for pattern, front, remark in _LEFT_OUT:
        whole = front + text.upper()
        if pattern.fullmatch(text.upper()) and (known := facts(whole)):
            yield _typed(whole, known, remark)
            return
    if (number := read_value(text).type_number) and number == text:
        yield Meaning(
            text=f"{number}, a type number", source="type number", type_number=number,
            remarks=("nothing more is known of it here: look at its data sheet",),
        )  # fmt: skip


def _typed(number: str, known: TypeFacts, *remarks: str) -> Meaning:
    legs = (f"legs {' '.join(known.legs)} with the print towards you: check the data sheet at hand",)
    return Meaning(
        text=f"{number}: {known.role}, {known.case}",
        source="type number",
        type_number=number,
        facts=known,
        remarks=(*remarks, *(legs if known.legs else ())),
    )


def _sold(meaning: Meaning) -> bool:
    """Whether a resistance is one that is sold, so that K and M in it are prefixes and no tolerance."""
    return meaning.amount is not None and is_preferred(meaning.amount.amount, "E24")


def _worth(amount: Quantity, percent: Decimal | None, law: str = "") -> str:
    said = [show(amount)]
    said += [f"±{percent.normalize():f} %"] if percent is not None else []
    said += [f"law {law}"] if law else []
    return " ".join(said)


def _lean(amount: Decimal) -> Decimal:
    """The same number without an exponent where that is short."""
    return amount.quantize(Decimal(1)) if amount == amount.to_integral_value() else amount.normalize()
