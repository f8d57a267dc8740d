"""Codes of what protects: varistors, inrush thermistors, resettable and melting fuses; pure.

The forms are those of makers' data sheets (IEC 61051 for varistors, IEC 60127 for fuses); from memory, except
where a test names a source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from bench.parts.meaning import Meaning, percent_of, quantity, valued
from bench.parts.quantity import show

_DISC = r"(05|5|07|7|10|14|20|25|32|40)"
_VARISTOR = re.compile(rf"(?:[A-Z]{{2,4}}-?)?{_DISC}([DNK])[- ]?([1-9]\d)([0-2])([JKL]?)", re.ASCII)
_VARISTOR_PREFIX = re.compile(rf"(?:TVR|MYG|CNR)-?{_DISC}[DN]?([1-9]\d)([0-2])([JKL]?)", re.ASCII)
_VARISTOR_DISC_LAST = re.compile(rf"([1-9]\d)([0-2])([JKL]?)[ -]?D?{_DISC}D?[A-Z]?", re.ASCII)
_VARISTOR_ALONE = re.compile(r"([1-9]\d)([12])(K)", re.ASCII)
_AC_DISC = re.compile(
    rf"(?:SIOV-?)?[SV]{_DISC}K([1-9]\d{{1,3}})(?:E\d+\w*)?|V{_DISC}E([1-9]\d{{1,3}})P?", re.ASCII
)
_AC_FIRST = re.compile(r"V([1-9]\d{1,3})L[AT]\d{1,2}[A-Z]{0,2}", re.ASCII)
_DC_FIRST = re.compile(r"V([1-9]\d{0,2})ZA\d{1,3}[A-Z]{0,2}", re.ASCII)
_VARISTOR_FROM, _VARISTOR_TO = 18, 1800
"""Volts at 1 mA between which varistors are sold: common practice."""
_INRUSH = re.compile(
    r"(?:NTC|MF72|SCK)?[ -]*(\d{1,3}(?:\.\d)?)D[ -]?(5|7|8|9|10|11|13|15|18|20|22|25|30)(?:[A-Z]{1,2})?",
    re.ASCII,
)
_BEAD = re.compile(r"(?:NTC|MF5\d[A-Z]{0,2})[ -]*([1-9]\d)([1-5])([FGHJK]?)(?:[ -]?3\d{3})?[A-Z]?", re.ASCII)
_RESETTABLE = re.compile(
    r"(?:(?:R[XUGKH]EF?|MF-?R(?:HT|[XGM])?|[XU]F?|PTC|JK)[ -]*|"
    r"(?P<volts>16|30|60|72|90|120|250)R|[A-Z]{1,2}(?P<rated>16|30|60|72|90|120|250|265|600)-)"
    r"(?P<hundredths>\d{3})[A-Z]{0,2}",
    re.ASCII,
)
_FUSE = re.compile(
    r"(?P<speed>FF|TT|[FTM])? ?(?P<number>\d{1,3}(?:\.\d{1,2})?)(?P<milli>m?)A ?(?P<breaking>[LHE])?"
    r"(?:[ /]*(?P<volts>\d{2,3}) ?V(?:AC|~)?)?",
    re.ASCII,
)
_SUPPRESSOR = re.compile(
    r"(?:(?P<breaks>P[46]KE|1\.?5KE|P[46]SM[ABC])|SM[ABCF]J|SA(?=[1-9]\d{0,2}(?:\.\d)?C?A)|5KP)"
    r"(?P<volts>[1-9]\d{0,2}(?:\.\d)?)(?P<both>C?)A?",
    re.ASCII,
)
_SPEEDS = {"FF": "very fast", "F": "fast", "M": "medium", "T": "slow", "TT": "very slow"}


def protection(text: str) -> Iterator[Meaning]:
    """Yield every reading of a text as a part that protects.

    >>> [found.text for found in protection("07D471K")], [found.text for found in protection("5D-9")]
    (['470 V ±10 % varistor, 7 mm disc'], ['5 Ω inrush NTC thermistor, 9 mm disc'])
    """
    yield from _varistor(text)
    yield from _suppressor(text)
    yield from _thermistor(text)
    yield from _resettable(text)
    yield from _fuse(text)


def _varistor(text: str) -> Iterator[Meaning]:
    if found := _VARISTOR.fullmatch(text):
        disc, style, figures, power, letter = found.groups()
        if style != "K" or power != "0":
            yield from _by_milliamp(disc, figures, power, letter or ("K" if style == "K" else ""), 0)
    elif found := _VARISTOR_PREFIX.fullmatch(text):
        yield from _by_milliamp(found[1], found[2], found[3], found[4], 0)
    elif found := _VARISTOR_DISC_LAST.fullmatch(text):
        figures, power, letter, disc = found.groups()
        if letter or "D" in text:
            yield from _by_milliamp(disc, figures, power, letter, 0)
    elif found := _VARISTOR_ALONE.fullmatch(text):
        yield from _by_milliamp("", found[1], found[2], found[3], 3)
    elif found := _AC_DISC.fullmatch(text):
        yield _by_mains(found[2] or found[4], found[1] or found[3])
    elif found := _AC_FIRST.fullmatch(text):
        yield _by_mains(found[1], "")
    elif found := _DC_FIRST.fullmatch(text):
        yield Meaning(
            text=f"{found[1]} V varistor", source="varistor code", kinds=("varistor",),
            amount=quantity(found[1], "volt"), remarks=("the volts at 1 mA DC: see its data sheet",),
        )  # fmt: skip


def _by_milliamp(disc: str, figures: str, power: str, letter: str, doubt: int) -> Iterator[Meaning]:
    """A varistor by its voltage at 1 mA."""
    amount, percent = quantity(Decimal(figures).scaleb(int(power)), "volt"), percent_of(letter.replace("L", ""))
    if not _VARISTOR_FROM <= amount.amount <= _VARISTOR_TO:
        return
    size = f", {int(disc)} mm disc" if disc else ""
    yield valued(
        amount, percent, f"varistor{size}", source="varistor code", doubt=doubt, kinds=("varistor",),
        remarks=("the volts at 1 mA DC, not those of the mains it may sit at: see its data sheet",),
    )  # fmt: skip


def _by_mains(volts: str, disc: str) -> Meaning:
    """A varistor by the AC voltage that it stands for good."""
    amount = quantity(volts, "volt")
    size = f", {int(disc)} mm disc" if disc else ""
    return Meaning(
        text=f"{show(amount)} AC varistor{size}", source="varistor code", kinds=("varistor",), amount=amount,
        remarks=("the highest AC voltage (RMS) that it may sit at; it clamps far above that",),
    )  # fmt: skip


def _suppressor(text: str) -> Iterator[Meaning]:
    """`P6KE15CA`: 15 V at which it breaks down; `SMBJ12A`: 12 V that it stands for good; with a C both ways."""
    if found := _SUPPRESSOR.fullmatch(text):
        amount = quantity(found["volts"], "volt")
        ways = "both ways" if found["both"] else "one way: its band is the cathode"
        at = "the volts at which it breaks down" if found["breaks"] else "the volts that it stands for good"
        yield Meaning(
            text=f"{show(amount)} suppressor diode, {ways}", source="code of a suppressor diode",
            kinds=("Zener diode",), amount=amount, remarks=(at,),
        )  # fmt: skip


def _thermistor(text: str) -> Iterator[Meaning]:
    if found := _INRUSH.fullmatch(text):
        amount = quantity(found[1], "ohm")
        yield Meaning(
            text=f"{show(amount)} inrush NTC thermistor, {found[2]} mm disc", source="NTC code",
            kinds=("thermistor",), amount=amount, remarks=("ohms at 25 °C; in use it gets hot",),
        )  # fmt: skip
    elif found := _BEAD.fullmatch(text):
        amount, percent = quantity(Decimal(found[1]).scaleb(int(found[2])), "ohm"), percent_of(found[3])
        yield valued(
            amount, percent, "NTC thermistor", source="NTC code", kinds=("thermistor",),
            remarks=("ohms at 25 °C",),
        )  # fmt: skip


def _resettable(text: str) -> Iterator[Meaning]:
    found = _RESETTABLE.fullmatch(text)
    if not found or not int(found["hundredths"]):
        return
    amount = quantity(Decimal(found["hundredths"]).scaleb(-2), "ampere")
    stated = found["volts"] or found["rated"]
    volts = Decimal(stated) if stated else None
    rated = f" {volts} V" if volts else ""
    yield Meaning(
        text=f"{show(amount)}{rated} resettable fuse", source="code of a PTC", amount=amount, volts=volts,
        kinds=("resettable fuse",), remarks=("the current that it holds; it opens at about twice that",),
    )  # fmt: skip


def _speed_first(text: str) -> str:
    """A fuse's rating in the order of IEC 60127: speed, amperes, breaking capacity, volts.

    >>> _speed_first("250V 500mAT"), _speed_first("T500L250V"), _speed_first("3.15A slow")
    ('T500mA 250V', 'T500mAL250V', 'T3.15A')
    """
    text = re.sub(r"^(\d{2,3} ?V(?:AC|~)?)[ /]+(\S.*)$", r"\2 \1", text)
    text = re.sub(r"^([FT])(\d{2,3})([LHE])(?=\d{2,3}V)", r"\1\2mA\3", text)
    text = re.sub(r"(?<=\d) (?=m?A\b)", "", text)
    text = re.sub(r"(?i)^(.*?\d *m?A)(.*?)[ -]*\b(?:slow|time-?lag|slow-blow)\b", r"T\1\2", text)
    text = re.sub(r"(?i)^(.*?\d *m?A)(.*?)[ -]*\b(?:fast|quick)\b", r"F\1\2", text)
    return re.sub(r"^(\d+(?:\.\d+)?m?A)[ ]?([FT]|FF|TT)(?=$| )", r"\2\1", text)


def _fuse(text: str) -> Iterator[Meaning]:
    found = _FUSE.fullmatch(_speed_first(text))
    if not found or not Decimal(found["number"]):
        return
    amount = quantity(Decimal(found["number"]).scaleb(-3 if found["milli"] else 0), "ampere")
    marked = found["speed"] or found["volts"]
    if amount.amount > 63 or (not marked and not found["milli"] and amount.amount > 30):
        return
    sold = str(found["number"]).rstrip("0").rstrip(".") in _RATINGS or found["milli"]
    volts = Decimal(found["volts"]) if found["volts"] else None
    said = f" {_SPEEDS[found['speed']]}" if found["speed"] else ""
    rated = f" {volts} V" if volts else ""
    yield Meaning(
        text=f"{show(amount)}{rated}{said} fuse", source="fuse rating (IEC 60127)",
        doubt=0 if marked or sold else 3,
        kinds=("fuse",) if marked else ("fuse", "resettable fuse"), amount=amount, volts=volts,
    )  # fmt: skip


_FUSES = "0.5 0.63 0.8 1 1.25 1.6 2 2.5 3.15 4 5 6.3 8 10 12.5 15 16 20 25 30"
_RATINGS = frozenset(_FUSES.split())
"""Amperes of IEC 60127, and of the 6 x 30 mm fuses sold beside them; from memory."""
