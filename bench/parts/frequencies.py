"""Frequencies as crystals and ceramic resonators carry them; pure. Common practice, no source."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal

from bench.parts.meaning import Meaning, quantity, valued
from bench.parts.series import is_preferred

_MEGAHERTZ = """
1 1.8432 2 2.097152 2.4576 3 3.2768 3.579545 3.58 3.6864 4 4.096 4.194304 4.32 4.433619 4.43 4.9152
5 5.0688 6 6.144 6.5536 7.3728 7.68 8 8.192 8.388608 8.867238 9.216 9.8304 10 10.24 10.245 10.695
10.7 11.0592 11.2896 12 12.288 13 13.56 14.31818 14.318 14.7456 15 15.36 16 16.384 16.9344 17.734475
18 18.432 19.6608 20 22 22.1184 24 24.576 25 26 27 27.12 28 28.224 28.63636 29.4912 30 32 33 33.333
33.8688 36 40 48 49.152 50
"""
_SOLD = frozenset(map(Decimal, _MEGAHERTZ.split()))
"""Megahertz in which crystals are commonly sold; from memory."""
_KILOHERTZ = {Decimal("32.768"), Decimal(100), Decimal("77.5"), Decimal(60)}
_WATCH = ("32768", "32.768K", "32.768k", "32K768", "32K", "32.7K")
_RESONATORS = {"400", "429", "455", "456", "480", "485", "500", "503", "560", "640"}
"""Kilohertz of ceramic resonators."""
_CASE = re.compile(r"\b(?:HC-?\d\d\w*(?:/\w+)?|UM-?\d|XTAL|Q)\b[ -]*", re.IGNORECASE)
_LOAD = re.compile(r"[ ,]+\d{1,2} ?pF$", re.IGNORECASE)
"""The load capacitance beside a crystal's frequency."""
_SPELLED = re.compile(r"(\d{1,6}(?:\.\d{1,6})?) ?([kKM]?)[Hh][Zz]", re.ASCII)
_BARE = re.compile(r"(\d{1,3}\.\d{3,6})[AGHLSTX]?", re.ASCII)
_MEGA = re.compile(r"(?:ZT[TAB]|CST\w?|CRB|JT)? ?(\d{1,2}(?:\.\d{1,3})?)M[GTXVJ]{0,2}", re.ASCII)
_KILO = re.compile(r"(?:ZTB|CRB|CSB|JTB)? ?(\d{3})[EPJ]", re.ASCII)


def frequencies(text: str) -> Iterator[Meaning]:
    """Yield every reading of a text as a frequency.

    >>> [found.text for found in frequencies("16.000")], [found.text for found in frequencies("ZTT 8.00MG")]
    (['16 MHz crystal'], ['8 MHz ceramic resonator'])
    """
    text = _LOAD.sub("", text)
    plain = _CASE.sub("", text).strip(" -")
    cased = plain != text
    if plain in _WATCH:
        yield _of(Decimal(32768), "crystal", "frequency of a watch crystal", 0)
    elif plain == "455":
        yield _of(Decimal(455_000), "ceramic resonator", "kilohertz of a resonator", 1)
    elif found := _SPELLED.fullmatch(plain):
        exponent = {"k": 3, "K": 3, "M": 6}.get(found[2], 0)
        kind = "ceramic resonator" if exponent == 3 and found[1] in _RESONATORS else "crystal"
        yield _of(Decimal(found[1]).scaleb(exponent), kind, "frequency as written", 0)
    elif cased and re.fullmatch(r"\d{1,3}(?:\.\d{1,6})?", plain, re.ASCII) and Decimal(plain):
        exponent = 3 if Decimal(plain) in _KILOHERTZ else 6
        yield _of(Decimal(plain).scaleb(exponent), "crystal", "frequency of a crystal", 0)
    elif found := _BARE.fullmatch(plain):
        number = Decimal(found[1])
        if number in _KILOHERTZ:
            yield _of(number.scaleb(3), "crystal", "kilohertz of a watch crystal", 0)
        elif 1 <= number <= 150:
            yield _of(number.scaleb(6), "crystal", "megahertz of a crystal", 0 if number in _SOLD else 5)
    elif (found := _MEGA.fullmatch(plain)) and Decimal(found[1]) in _SOLD:
        yield from _resonator(text, found[1])
    elif (found := _KILO.fullmatch(plain)) and found[1] in _RESONATORS:
        yield _of(Decimal(found[1]).scaleb(3), "ceramic resonator", "kilohertz of a resonator", 0)


def _resonator(text: str, number: str) -> Iterator[Meaning]:
    """Megahertz before an M: sure behind a resonator's letters, else as likely as no resistor is sold so."""
    decimals = "." in number
    certain = not re.fullmatch(r"[\d.]+M", text)
    resistor = is_preferred(Decimal(number), "E24") and Decimal(number) < 12
    doubt = 0 if certain or (decimals and not resistor) else 1 if not resistor else 3
    yield _of(Decimal(number).scaleb(6), "ceramic resonator", "megahertz of a resonator", doubt)


def _of(hertz: Decimal, kind: str, source: str, doubt: int) -> Meaning:
    kinds = (kind, "crystal" if kind != "crystal" else "ceramic resonator")
    return valued(quantity(hertz, "hertz"), None, kind, source=source, doubt=doubt, kinds=kinds)
