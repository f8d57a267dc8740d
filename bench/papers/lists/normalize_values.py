"""What a list says in passing about all its values, and what each value comes to."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from decimal import Decimal
from functools import lru_cache

from msgspec.structs import replace

from bench.papers.lists.cell_patterns import FARADS, HENRIES, OHMS, is_rating, is_type, worth_end
from bench.papers.lists.draft import Doubt, ListPart
from bench.papers.lists.printed_codes import code_against
from bench.papers.lists.refs import KNOWN_CLASSES
from bench.papers.lists.value_text import from_description
from bench.papers.lists.vocabulary import is_optional, not_fitted, says_nothing
from bench.parts.designators import class_letters, shorten
from bench.parts.protection import protection
from bench.parts.quantity import Quantity, read_value, show

_NUMBER = r"[0-9]{1,6}(?:[.,][0-9]{1,4})?"
_BARE = re.compile(rf"({_NUMBER})(?=\s|$|[;/(])")
_UNITS = (
    r"(pF|nF|[uµμ]F|mfd|picofarads?|nanofarads?|microfarads?|[kM]?Ω|[kM]?ohms?|kilo-?ohms?|megohms?|[munµμ]H)"
)
_STATED = re.compile(
    rf"(?:all|caps?|capacitors?|capacitances?|resistors?|resistances?|inductors?|values?|werte|kondensatoren|widerst[aä]nde"
    rf"|condensateurs?|r[eé]sistances?|コンデンサ|抵抗)[^.;\n]{{0,40}}?(?<![\w.]){_UNITS}(?![\w])",
    re.IGNORECASE,
)
_OR = re.compile(r"\s*/\s*|\s+(?:or|oder|ou|to|bis)\s+|\s+[-–]\s+", re.IGNORECASE)
_DOUBLED = re.compile(r"(?<=[0-9][kM])R$")
"""The R behind `100kR`, as drawing programs write it for ohms."""
_DIGITS_BEFORE = re.compile(r"[0-9]\s*(?:kilo|mega|[a-zµ])?[\s-]*$", re.IGNORECASE)
_CONNECTOR = re.compile(
    r"header|conn|jack|socket|plug|terminal|usb|screw|pin|mount|hole|logo|fiducial", re.IGNORECASE
)
_FIGURE = re.compile("[0-9]")
_WOUND = re.compile(r"\b[0-9]+\s?(?:T|turns?)\b|\b(?:F?T|BN)[0-9]{2,4}-[0-9]", re.IGNORECASE)
_MECHANICAL = frozenset(
    "J JP CN CON CONN P PL SK SKT HDR H MH MP TP FID SW S SP LS MIC BT TB GND PAD ANT M".split()  # noqa: SIM905
)
"""Class letters of parts that need no value."""
_NAMES = {
    "picofarad": "pF", "picofarads": "pF", "nanofarad": "nF", "nanofarads": "nF", "microfarad": "uF",
    "microfarads": "uF", "mfd": "uF", "ohm": "ohm", "ohms": "ohm", "kiloohms": "kohm", "kilo-ohms": "kohm",
    "kilohms": "kohm", "megohm": "Mohm", "megohms": "Mohm",
}  # fmt: skip
_ON_TEST = re.compile(r"\W*(?:SOT|AOT|TBD|TODO|(?:select|adjust)(?:ed)? (?:on|in|at) test)\b", re.IGNORECASE)
_PLACEHOLDER = re.compile(
    r"(?:R|C|L|CTRIM|RTRIM|TRIM|TODO|TBD|VAL|VALUE|ANY|SEE.*|SELECT.*|\?+|\*+|XX+|SOT|AOT)", re.I
)


def stated_units(lines: Sequence[str]) -> tuple[dict[str, str], tuple[Doubt, ...]]:
    """The unit of bare numbers by family (`farad`, `ohm`, `henry`), where the list states it in words."""
    units: dict[str, str] = {}
    doubts: list[Doubt] = []
    for at, line in enumerate(lines, 1):
        if len(line) > 300 or not any(sign in line for sign in "FfΩHoO"):
            continue
        found = _STATED.search(line)
        if not found or _DIGITS_BEFORE.search(line[: found.start(1)]):
            continue
        unit = _NAMES.get(found[1].casefold(), found[1])
        family = "farad" if unit[-1] in "Ff" else "henry" if unit[-1] == "H" else "ohm"
        if family not in units:
            units[family] = unit
            what = (
                f"bare numbers are read as {unit}, because this line says so: '{' '.join(line.split())[:60]}'"
            )
            doubts.append(Doubt(line=at, what=what))
    return units, tuple(doubts)


def family_of(letters: str) -> str:
    """The unit that parts with these class letters are measured in; empty for none."""
    plain = letters.upper()
    return "ohm" if plain in OHMS else "farad" if plain in FARADS else "henry" if plain in HENRIES else ""


@lru_cache(maxsize=8192)
def understand(text: str, family: str, unit: str) -> Quantity | None:
    """What a value comes to, a bare number in `unit` where the list states one; None when it is no quantity."""
    if not text or len(text) > 120:
        return None
    text = text if text.isascii() else unicodedata.normalize("NFKC", text)
    text = _DOUBLED.sub("", text) if family == "ohm" else text
    bare = _BARE.match(text)
    if bare and unit and family:
        said = read_value(f"{bare[1]} {unit}", family).main
        if said is not None:
            return said
    main = read_value(text, family).main
    return main if main is not None and (not family or main.unit == family or family == "ohm") else None


def understood(part: ListPart, units: dict[str, str]) -> ListPart:
    """The part with its value in plain units beside the value as written."""
    letters = class_letters(part.refs[0]) if part.refs else ""
    family = family_of(letters)
    said = _shown(part.value_text, family, units.get(family, ""))
    if family and not said:
        said = _shown(from_description(part.value_text, part.refs[0]), family, "")
    return replace(part, understood=said) if said else part


@lru_cache(maxsize=8192)
def _shown(text: str, family: str, unit: str) -> str:
    quantity = understand(text, family, unit)
    return "" if quantity is None else show(quantity)


def value_doubts(parts: Sequence[ListPart], units: dict[str, str]) -> Iterator[Doubt]:
    """Values that were not understood, or that mean something else than they seem to."""
    for part in parts:
        amiss = _amiss(part, class_letters(part.refs[0]).upper(), units) if part.refs and part.fitted else ""
        if amiss:
            said = ", ".join(part.refs[:3]) + (" ..." if len(part.refs) > 3 else "")
            yield Doubt(line=part.line, what=f"{said}: {amiss}", kind="value", refs=part.refs)
        elif part.refs and part.understood:
            yield from _against_code(part, units)


def _against_code(part: ListPart, units: dict[str, str]) -> Iterator[Doubt]:
    """The code that stands beside a value and means another one."""
    family = family_of(class_letters(part.refs[0]))
    amount = understand(part.value_text, family, units.get(family, "")) if family else None
    if amount is not None:
        told = f"{part.value_text} {part.description} {part.note}"
        code, there = code_against(amount, part.marking, told)
        if code:
            what = f"{shorten(part.refs)}: '{code}' is {there}, the value beside it {part.value_text}"
            yield Doubt(line=part.line, what=what, kind="code", refs=part.refs, there=there)


def _amiss(part: ListPart, letters: str, units: dict[str, str]) -> str:
    """What is doubtful about a value; empty when nothing is."""
    text, family = part.value_text, family_of(letters)
    if not text or says_nothing(text) or (family and is_optional(text) and not _FIGURE.search(text)):
        return ("no value" + (f" ('{text}')" if text else "")) if _needs_value(part, letters) else ""
    if _ON_TEST.match(text) and part.understood:
        return f"'{text[:60]}' is chosen at the bench; {part.understood} is where to begin"
    if family and not part.understood and not not_fitted(text) and not _otherwise(part, letters):
        return _why_not(text, family)
    if family == "ohm" and re.match(r"[0-9]+m(?![a-zA-Z])", text) and _tiny(text, units):
        return f"'{text[:30]}' reads as {part.understood}; if megohms are meant, write a capital M"
    if family and (offered := alternatives(text, family)):
        return f"'{text[:40]}' offers {' and '.join(offered)}; the first is taken"
    return f"'{text[:40]}' seems to be one value for each designator" if _one_for_each(part) else ""


def _needs_value(part: ListPart, letters: str) -> bool:
    """Whether a part of this class is nothing without its value: no connector, and no hardware."""
    told = f"{part.package} {part.description} {part.value_text}"
    return letters in KNOWN_CLASSES - _MECHANICAL and not _CONNECTOR.search(told)


def _one_for_each(part: ListPart) -> bool:
    """Whether a value has as many pieces as there are designators, and none of them is a rating."""
    pieces = part.value_text.split(",")
    apart = re.fullmatch(r"[^,]+(?:,\s[^,]+)+", part.value_text)
    if not apart or len(pieces) != len(part.refs) or any(map(is_rating, pieces[1:])):
        return False
    shapes = {(len(piece.split()), piece.strip()[:1].isdigit()) for piece in pieces}
    return len(shapes) == 1 and "(" not in pieces[0]


def alternatives(text: str, family: str) -> tuple[str, ...]:
    """Two or more values of one unit that a text leaves open; empty when it leaves none.

    >>> alternatives("100n / 220n", "farad"), alternatives("10uF/16V", "farad")
    (('100n', '220n'), ())
    >>> alternatives("1M to 2M2", "ohm")
    ('1M', '2M2')
    """
    pieces = [piece.strip() for piece in _OR.split(text)] if len(text) < 80 else []
    if len(pieces) < 2 or not worth_end(text):
        return ()
    found = {piece: read_value(piece, family).main for piece in pieces[:4]}
    worth = {quantity.amount for quantity in found.values() if quantity is not None and quantity.unit == family}
    return tuple(found) if len(worth) == len(pieces) and None not in found.values() else ()


def _otherwise(part: ListPart, letters: str) -> bool:
    """Whether a value is right although it is not a quantity: a code, a bead, turns, a connector's name."""
    wound = family_of(letters) == "henry" and _WOUND.search(part.value_text)
    if letters == "FB" or wound or _coded(part.value_text):
        return True
    if len(letters) > 1 and is_type(part.value_text.split()[0]):
        return True
    told = f"{part.package} {part.description} {part.value_text}"
    return letters in _MECHANICAL and bool(_CONNECTOR.search(told))


def _coded(text: str) -> bool:
    """Whether a value is the code of a part that protects, such as `07D471K`."""
    return any(not meaning.doubt for meaning in protection(text.strip()[:40].upper()))


def _why_not(text: str, family: str) -> str:
    if _PLACEHOLDER.fullmatch(text.strip()):
        return f"'{text[:40]}' is a placeholder, not a value"
    if family == "farad" and _BARE.fullmatch(text.strip()):
        return f"'{text[:40]}' has no unit: picofarads, or a three-digit code?"
    if is_type(text) and any(map(str.isalpha, text)):
        return f"'{text[:40]}' is a part number, not a value"
    return f"the value '{text[:40]}' was not understood"


def _tiny(text: str, units: dict[str, str]) -> bool:
    quantity = understand(text, "ohm", units.get("ohm", ""))
    return quantity is not None and 0 < quantity.amount < Decimal("0.1")
