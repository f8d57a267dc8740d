"""The words of a value, sorted: quantities, bare numbers, tolerance, taper, type numbers, the rest.

The notations are those found in makers' lists (common practice); tolerance letters follow IEC 60062.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec import Struct

from bench.parts.notation import ALIKE, LONGEST, Quantity, decimal_of, one_quantity

WORTH = ("ohm", "farad", "henry", "hertz")
"""Units of what a part is worth; volts, amperes and watts are what it stands."""


class ValueMatch(Struct, frozen=True, kw_only=True):
    """Something understood, or left over."""

    said: str
    """The words as written."""
    quantity: Quantity | None = None
    """What they state; a bare number has an empty unit."""
    percent: Decimal | None = None
    """A symmetric tolerance."""
    taper: str = ""
    type_number: str = ""


_TOLERANCES = {"D": "0.5", "F": "1", "G": "2", "H": "3", "J": "5", "K": "10", "M": "20"}
_PER_CENT_ALWAYS = "JKM"
"""On capacitors the other letters mean picofarads, at least on small ones."""
_TAPERS = {
    "lin": "lin", "linear": "lin", "log": "log", "logarithmic": "log", "audio": "log",
    "reverse log": "reverse log", "rev log": "reverse log", "rev. log": "reverse log",
    "reverse audio": "reverse log", "anti log": "reverse log", "anti-log": "reverse log",
    "antilog": "reverse log", "revlog": "reverse log",
}  # fmt: skip
_SPLIT = re.compile(r"\([^()]*\)|\[[^\[\]]*\]|[^\s;|()\[\]]+|[()\[\]]")
_INSIDE = re.compile(r"(?<![0-9])[,/]|[,/](?![0-9])")
_PLUS_MINUS = re.compile(r"\+/-|\+-|±")
_PERCENT = re.compile(r"±?([0-9]{1,3}(?:[.,][0-9]{1,6})?)%")
_MOST_TOGETHER = 5
"""Words that can belong together: `47 k - 100 k`."""
_TAIL = re.compile(r"[A-Za-zΩµμ\u2126%]{1,8}")
_CAN = re.compile(r"([0-9.,]{1,8}[unp]F?)([0-9]{1,3}(?:[.,][0-9])?[Vv])")
_SPAN = re.compile(r"([0-9][0-9A-Za-z.,]{0,11})((?:-|–|—|…|\.\.|to)([0-9.,]{1,12})([A-Za-zΩ]{0,8}[0-9]{0,3}))")
_TIMES = re.compile(r"([0-9][x×])([0-9]\S*)")
_POT_CODE = re.compile(r"([ABC])([0-9]{2})([1-6])")
_TYPE = re.compile(
    r"[A-Za-z]{1,7}-?[0-9]{2,}[\w.+-]*|[A-Za-z]{2,7}-?[0-9][\w.+-]*|[0-9]{1,2}[A-Za-z]{1,4}[0-9]{1,5}(?![0-9])[\w-]*"
    r"|(?:4[0-5][0-9]{2}|74[0-9]{2,4}|7[89][0-9]{2}|55[56]|56[567]|74[178])[A-Za-z]{0,4}"
)
_NUMBER_TYPE = re.compile(r"4[0-5][0-9]{2}|74[0-9]{2,4}|7[89][0-9]{2}|55[56]|56[567]|74[178]")
_NO_TYPE = re.compile(
    r"[0-9]+[x×].*|M[0-9]+(?:\.[0-9])?(?:x.*)?|(?:DIP|DIL|SIP|SIL|TO|SOT|SOIC|SO|DO)-?[0-9].*"
    r"|E(?:3|6|12|24|48|96|192)|NP0|[0-9.]+mm.*|[0-9]+e[0-9].*",
    re.IGNORECASE,
)


def sort_words(text: str, unit: str) -> tuple[ValueMatch, ...]:
    """Tokenize a value in the order written; `unit` as for `read_value`."""
    words = tuple(_words(text))
    sorted_words: list[ValueMatch] = []
    at = 0
    while at < len(words):
        found, count = _longest(words[at : at + _MOST_TOGETHER], unit)
        sorted_words += found
        at += count
    return tuple(sorted_words)


def _longest(words: Sequence[str], unit: str) -> tuple[tuple[ValueMatch, ...], int]:
    """What the longest run of words at the beginning says, and how many words that is."""
    for count in range(len(words), 0, -1):
        found = _read(words[:count], unit)
        if found:
            return found, count
    return (ValueMatch(said=words[0]),), 1


def _words(text: str) -> Iterator[str]:
    for found in _SPLIT.finditer(_PLUS_MINUS.sub(" ±", text)):
        word = found[0]
        yield from (word,) if word[0] in "([" else filter(None, _INSIDE.split(word))


def _read(group: Sequence[str], unit: str) -> tuple[ValueMatch, ...]:
    """What these words say together; empty when they do not belong together."""
    said, joined = " ".join(group), "".join(group)
    if joined[0] in "([":
        return _bracket(said) if len(group) == 1 else ()
    law = _TAPERS.get(said.casefold())
    if law:
        return (ValueMatch(said=said, taper=law),)
    if len(joined) > LONGEST * 2:
        return ()
    if len(group) > 1 and not _belong(group):
        return _span(said, joined, unit) if group[1] in ("-", "–", "—", "…", "..", "to") else ()
    percent = _PERCENT.fullmatch(joined)
    if percent:
        return (ValueMatch(said=said, percent=decimal_of(percent[1])),)
    number = decimal_of(joined)
    if number is not None and not unit and _NUMBER_TYPE.fullmatch(joined):
        return (ValueMatch(said=said, type_number=said),)
    if number is not None:
        return (ValueMatch(said=said, quantity=Quantity(amount=number, unit="")),)
    can = _CAN.fullmatch(joined)
    if can:
        return tuple(found for part in can.groups() for found in _quantity(part, part, unit))
    worth = _quantity(said, joined, unit) or _pot(said, joined, unit) or _span(said, joined, unit)
    return worth or _type(said)


def _belong(group: Sequence[str]) -> bool:
    """Whether words make one: a number with its unit, `± 5 %`, a taper letter before its ohms."""
    first, *rest = group
    if first == "±":
        return rest[0][0].isdigit() and rest[1:] in ([], ["%"])
    if first in ("A", "B", "C"):
        first, *rest = rest
    return first[0] in "0123456789.±+-−" and first[-1] != "%" and all(map(_TAIL.fullmatch, rest))


def _quantity(said: str, joined: str, unit: str) -> tuple[ValueMatch, ...]:
    times = _TIMES.fullmatch(joined)
    bare = times[2] if times else joined
    found = one_quantity(bare, unit)
    if found is None or decimal_of(bare) is not None:
        return ()
    read = [ValueMatch(said=times[1])] if times else []
    read.append(ValueMatch(said=said, quantity=found.quantity))
    suffix = found.suffix
    if suffix in ("A", "B", "C") and found.quantity.unit == "ohm":
        read.append(ValueMatch(said=suffix, taper=suffix))
    elif suffix and suffix in (_TOLERANCES if found.quantity.unit == "ohm" else _PER_CENT_ALWAYS):
        read.append(ValueMatch(said=suffix, percent=Decimal(_TOLERANCES[suffix])))
    elif suffix:
        read.append(ValueMatch(said=suffix))
    return tuple(read)


def _pot(said: str, joined: str, unit: str) -> tuple[ValueMatch, ...]:
    """`B100k`, and in a resistor's value `B104` (letter and digits as pots are marked, common practice)."""
    code = _POT_CODE.fullmatch(joined) if unit == "ohm" else None
    if code:
        ohms = Quantity(amount=Decimal(f"{code[2]}E{code[3]}"), unit="ohm")
        return (ValueMatch(said=said, quantity=ohms), ValueMatch(said=code[1], taper=code[1]))
    if joined[0] not in "ABC" or not joined[1:2].isdigit():
        return ()
    read = _quantity(said, joined[1:], unit)
    if len(read) != 1 or read[0].quantity is None or read[0].quantity.unit != "ohm":
        return ()
    return (*read, ValueMatch(said=joined[0], taper=joined[0]))


def _span(said: str, joined: str, unit: str) -> tuple[ValueMatch, ...]:
    """The lower end of `47-100uF`; what stands behind it is a remark."""
    span = _SPAN.fullmatch(joined.translate(ALIKE))
    if span is None:
        return ()
    low, behind, upper, tail = span.groups()
    high = one_quantity(upper + tail, unit)
    if high is None or (not tail and decimal_of(low) is None):
        return ()
    found = one_quantity(low + tail if decimal_of(low) is not None else low, unit)
    if found is None or found.suffix or found.quantity.unit != high.quantity.unit:
        return ()
    rest = said[said.index(behind[0], 1) :] if behind[0] in said[1:] else behind
    return (ValueMatch(said=low, quantity=found.quantity), ValueMatch(said=rest))


def _type(said: str) -> tuple[ValueMatch, ...]:
    plain = said.translate(ALIKE)
    if len(plain) > LONGEST or _NO_TYPE.fullmatch(plain) or not _TYPE.fullmatch(plain):
        return ()
    return (ValueMatch(said=said, type_number=said),)


def _bracket(group: str) -> tuple[ValueMatch, ...]:
    """Ratings and tolerances in brackets; anything else there is a remark."""
    inner = sort_words(group[1:-1], "") if len(group) > 2 and group[-1] in ")]" else ()
    worth = ("", *WORTH)
    rated = [f for f in inner if f.percent is not None or (f.quantity and f.quantity.unit not in worth)]
    return inner if len(rated) == len(inner) else ()
