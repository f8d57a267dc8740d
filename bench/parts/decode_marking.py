"""What is printed on a part -> everything it can mean: bands, capacitor markings, letter codes, type numbers.

Nothing here knows a kit or a meter; `measure.identify` puts the two together. Each sense has its readers in a
module of its own; here they are asked one after the other, and what they answer is put in order of doubt.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from msgspec.structs import replace

from bench.parts.capacitors import CodeError
from bench.parts.codes import CodeReading, read_marking, striped
from bench.parts.colours import BandReading, decode
from bench.parts.frequencies import frequencies
from bench.parts.inductances import banded, inductances, states_henries
from bench.parts.meaning import (
    CAPACITORS,
    Excluded,
    Meaning,
    Print,
    PrintError,
    quantity,
)
from bench.parts.palette import ColourError, colour_named, parse_bands
from bench.parts.part_words import set_apart
from bench.parts.protection import protection
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.resistances import coded_resistances, resistances
from bench.parts.series import is_preferred
from bench.parts.type_families import bridge, family, zener_volts
from bench.parts.type_numbers import TypeFacts, facts

_LONGEST = 80
"""Characters of a text that is looked at."""
_LEFT_OUT = (
    (re.compile(r"\d{3,4}[ABC]?"), "1N", "diodes are often printed without their 1N"),
    (re.compile(r"[ABCDJK]\d{2,4}[A-Z]*"), "2S", "Japanese transistors are printed without their 2S"),
)
"""What makers leave out where there is little room: common practice."""
_HINT = (
    "give the bands (brown black red gold), what is printed (104J, 4k7, BC547B), with the kind of part if you"
    " know it (103 trimmer), or a meter's reading (4k69)"
)


@lru_cache(maxsize=512)
def read_print(text: str) -> Print:
    """Decode a part's bands or marking to all that it can mean; words such as `trimmer` narrow it down.

    Raises ColourError for bands that are none, and PrintError when nothing was understood.

    >>> [(found.text, found.source) for found in read_print("brown black black red brown").meanings]
    [('10 kΩ ±1 %', 'bands, left to right'), ('120 Ω ±1 %', 'bands, right to left')]
    >>> [found.text for found in read_print("104J").meanings]
    ['100 nF ±5 %', '100 kΩ ±5 %', '100 mH ±5 %']
    >>> [found.text for found in read_print("trimmer 104").meanings]
    ['100 kΩ']
    """
    whole = " ".join(text.split())[:_LONGEST]
    plain, kinds = set_apart(whole)
    if names_colours(plain):
        return _narrowed(_read_bands(plain), kinds)
    if re.fullmatch(r"(?:ferrite ?)?bead|ferrite", whole, re.IGNORECASE):
        bead = Meaning(text="ferrite bead", source="its name", kinds=("ferrite bead",))
        return Print(meanings=(bead,))
    found, why_not = _printed(plain)
    if not found and (fewer := _without_series(plain)):
        found, _ = _printed(fewer)
        left = " ".join(word for word in plain.split() if word not in fewer.split())
        remark = f"{left!r} was left out: not understood"
        found = tuple(replace(each, remarks=(*each.remarks, remark)) for each in found)
    if not found:
        understood = why_not is not None and "understood: nothing" not in why_not.what
        raise PrintError(
            why_not.what if understood and why_not else f"{whole!r} is not understood",
            hint=_HINT,
        )
    return _narrowed(Print(meanings=found), kinds)


def _printed(plain: str) -> tuple[tuple[Meaning, ...], CodeError | None]:
    """Every meaning of a marking, likeliest first; and why it is no capacitor's."""
    dotted = re.sub(r"(?<=\d),(?=\d)", ".", plain).replace("\u2126", "Ω")
    coded = dotted.upper() if dotted.islower() else dotted
    known, unknown = _types(plain)
    ohms = [*resistances(dotted), *(coded_resistances(coded) if coded != dotted else ())]
    coils = list(inductances(dotted))
    farads, why_not = _capacitor(plain)
    if any(each.source == "value as written" for each in coils) or states_henries(dotted):
        farads = []
    if known and re.fullmatch(r"\dN ?\d{2,4}[A-Z]?", plain.upper()):
        farads = []
    if ohms and not ohms[0].doubt and re.search(r"\d ?k(?!V)", plain):
        farads = []
    found = [
        *known,
        *_surface_rectifier(coded),
        *ohms,
        *farads,
        *coils,
        *protection(coded),
        *frequencies(coded),
        *_typed_as(plain),
    ]
    if not found:
        found = unknown
    once: dict[tuple[str, tuple[str, ...]], Meaning] = {}
    for each in sorted(found, key=lambda meaning: meaning.doubt):
        once.setdefault((each.text, each.kinds), each)
    return tuple(once.values()), why_not


_RECTIFIERS = (50, 100, 200, 400, 600, 800, 1000)
"""Volts of 1N4001 to 1N4007, whose surface-mount sorts are marked M1 to M7; from memory."""


def _surface_rectifier(coded: str) -> Iterator[Meaning]:
    """`M7`, as it is printed on a rectifier without legs."""
    if found := re.fullmatch(r"M([1-7])", coded):
        volts, type_number = _RECTIFIERS[int(found[1]) - 1], f"1N400{found[1]}"
        yield Meaning(
            text=f"{type_number} without legs: rectifier for {volts} V, SMA", source="mark on an SMA case",
            kinds=("diode",), volts=Decimal(volts),
            remarks=("on a small black block; on a resistor it is ohms",),
        )  # fmt: skip


def _without_series(text: str) -> str:
    """A print without its one word that can be a maker's series or a temperature; empty without such a word."""
    words = text.split()
    series = [
        word for word in words if re.fullmatch(r"[A-Z]{2,}[A-Z0-9-]*|[+-]?\d{2,3}°C?", word) and word != "LED"
    ]
    return " ".join(word for word in words if word != series[0]) if len(series) == 1 < len(words) else ""


def _narrowed(found: Print, kinds: tuple[str, ...]) -> Print:
    """Only what can be of the kinds that were named, unless that is nothing."""
    if not kinds:
        return found
    kept = [
        replace(each, kinds=tuple(kind for kind in each.kinds if kind in kinds) or kinds[:1])
        for each in found.meanings
        if not each.kinds or not set(each.kinds).isdisjoint(kinds)
    ]
    return Print(meanings=tuple(kept), excluded=found.excluded) if kept else found


def names_colours(text: str) -> bool:
    """Return whether a text names bands: a colour's name in it, or two-letter codes throughout.

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
    """Every reading of the bands from both ends, as a resistor, a choke and a film capacitor."""
    bands = parse_bands(text)
    found = decode(bands)
    excluded = [
        Excluded(
            text=f"read {each.direction}" if each.ohms is None else each.text,
            why=each.ruled_out,
        )
        for each in found
        if not each.possible
    ]
    films = list(striped(bands))
    resistors = [_banded(each) for each in found if each.possible]
    if films:
        resistors = [_seldom(each) for each in resistors]
    meanings = sorted((*resistors, *banded(bands), *films), key=lambda each: each.doubt)
    return Print(meanings=tuple(meanings), excluded=tuple(excluded))


def _banded(reading: BandReading) -> Meaning:
    """A possible reading of bands."""
    assert reading.ohms is not None
    link = not reading.ohms
    unlikely = len(reading.against) + (2 if reading.against and reading.ohms > 10**8 else 0)
    return Meaning(
        text="0 Ω, a link" if link else reading.text,
        source=_from(reading),
        doubt=2 * unlikely,
        kinds=("wire link", "resistor") if link else ("resistor",),
        amount=Quantity(amount=reading.ohms, unit="ohm"),
        percent=reading.tolerance_percent,
        bands=reading.bands,
        remarks=(*reading.against, *reading.remarks),
    )


def _seldom(meaning: Meaning) -> Meaning:
    """The same, doubted more where it takes a value that kits seldom hold, read from the wrong end."""
    usual = meaning.amount is not None and is_preferred(meaning.amount.amount, "E24")
    return (
        meaning if usual or "right to left" not in meaning.source else replace(meaning, doubt=meaning.doubt + 2)
    )


def _from(reading: BandReading) -> str:
    edition = "" if reading.edition.startswith("IEC") else f", as on {reading.edition}"
    if reading.edition.startswith("EN"):
        edition = f", by {reading.edition}"
    return f"bands, {reading.direction}{edition}"


def _capacitor(text: str) -> tuple[list[Meaning], CodeError | None]:
    """All readings as a capacitor's marking; or why there is none."""
    plain_number = text.isdecimal() and len(text) != 3
    try:
        readings = read_marking(text)
    except CodeError as error:
        return [], error
    return [
        _farads(each, _more_doubt(text))
        for each in readings
        if not plain_number or is_preferred(each.farads, "E24")
    ], None


def _farads(reading: CodeReading, more: int) -> Meaning:
    tolerance = reading.tolerance
    even = tolerance and tolerance.unit == "%" and tolerance.minus == tolerance.plus
    return Meaning(
        text=reading.text,
        source="capacitor marking",
        doubt=reading.doubt + more,
        kinds=reading.kinds or CAPACITORS,
        amount=quantity(reading.farads, "farad"),
        percent=tolerance.plus if tolerance and even else None,
        volts=reading.volts,
        remarks=(reading.understood, *reading.doubts),
    )


def _more_doubt(text: str) -> int:
    """How much more than another capacitor's marking this one looks like a resistance."""
    if found := re.fullmatch(r"\d*R\d+([A-Z]?)|\d+R", text):
        return (
            0 if found[1] in ("B", "C", "D") and found[1] else 2 if found[1] in ("K", "M") and found[1] else 1
        )
    if re.fullmatch(r"\d+[KM]\d", text):
        return 4
    if re.fullmatch(r"[1-9]\d?\.\d+[KM]", text):
        return 2
    if re.fullmatch(r"\d{2}[A-Z]", text):
        return {"J": 0, "D": 0 if text[0] == "1" or text[1] == "2" else 1}.get(text[-1], 1)
    if re.fullmatch(r"\d{1,3}[KM]", text):
        return int(text[:-1][-1] == "0" or len(text) < 4)
    return 0


def _typed_as(text: str) -> Iterator[Meaning]:
    """Zener diodes and bridge rectifiers, whose print says their volts."""
    number = text.upper()
    if (said := bridge(text)) and not facts(text):
        yield Meaning(
            text=f"{number}: {said}", source="type number", kinds=("bridge rectifier",), type_number=number,
            remarks=("the volts are the highest reverse voltage, the amperes the mean current",),
        )  # fmt: skip
    volts = zener_volts(text)
    if volts is not None and not facts(text):
        full = re.match(r"1N|[A-Z]{2}", number) is not None
        yield Meaning(
            text=f"{number}: {show(volts)} Zener diode" if full else f"{show(volts)} Zener diode",
            source="Zener voltage", kinds=("Zener diode",), amount=volts, type_number=number if full else "",
        )  # fmt: skip


def _types(text: str) -> tuple[list[Meaning], list[Meaning]]:
    """Type numbers that are known, also with the front left out; and what else could be one."""
    known = facts(text) or _kin(text)
    if known is not None:
        return [_typed(text, known)], []
    for pattern, front, remark in _LEFT_OUT:
        whole = front + text.upper()
        if pattern.fullmatch(text.upper()) and (known := facts(whole) or _kin(whole)):
            logic = family(text) if front == "1N" else None
            return [_typed(whole, known, remark), *([_by_system(text, logic)] if logic else [])], []
    by_system = family(text)
    if by_system is not None:
        return [_by_system(text, by_system)], []
    for pattern, front, remark in _LEFT_OUT[1:]:
        whole = front + text.upper()
        if pattern.fullmatch(text.upper()) and re.match(r"\D\d{3}", text) and (known := family(whole)):
            return [], [_typed(whole, known, remark)]
    number = read_value(text).type_number
    one_case = number.isupper() or number.islower()
    if number and number == text and one_case and number[-1].isalnum():
        remark = "nothing more is known of it here: look at its data sheet"
        text = f"{number}, perhaps a type number"
        return [], [Meaning(text=text, source="type number", type_number=number, remarks=(remark,))]
    return [], []


def _by_system(text: str, known: TypeFacts) -> Meaning:
    """A type told by its system; a number alone is doubted more, but for logic of the 4000 family."""
    bare = text.isdecimal()
    doubt = 0 if bare and text.startswith("40") else 2 if bare else 1
    return replace(_typed(text, known), doubt=doubt)


def _kin(number: str) -> TypeFacts | None:
    """A type that `typefamilies` knows as such and not only by its system."""
    found = family(number)
    return found if found is not None and found.case else None


def _typed(number: str, known: TypeFacts, *remarks: str) -> Meaning:
    legs = (f"legs {' '.join(known.legs)} with the print towards you: check the data sheet at hand",)
    volts = zener_volts(number) if known.role == "Zener diode" else None
    what = known.role
    if volts is not None:
        what = f"{show(volts)} {what}"
    elif known.detail:
        sign = "−" if known.role.startswith("negative") and known.detail[0].isdigit() else ""
        what = f"{sign}{known.detail} {what}"
    elif known.count > 1:
        what = f"{ {2: 'dual', 4: 'quad'}[known.count] } {what}"
    if not known.case:
        remarks = (*remarks, "told by the system of its number only: look at its data sheet")
    return Meaning(
        text=f"{number}: {what}" + (f", {known.case}" if known.case else ""),
        source="type number",
        kinds=("Zener diode",) if volts is not None else (),
        amount=volts,
        type_number=number,
        facts=known,
        remarks=(*remarks, *(legs if known.legs else ())),
    )
