"""Which parts of a kit can be mistaken for which, and why.

Pairs are found through shared keys (same digits, same bands but one, same code but one character), so the
work grows with the number of lines and of pairs found, not with the square of the list.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Sequence
from decimal import Decimal
from functools import cache
from itertools import combinations, product

from msgspec import Struct
from msgspec.structs import replace

from bench.parts import capacitors, colours
from bench.parts.footprints import package_said
from bench.parts.kinds import KINDS, THREE_LEGGED, marked_by
from bench.parts.palette import ColourError, confusable, mistaken_for
from bench.parts.printed_values import bears_bands, surface_mounted
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.type_numbers import TypeFacts, facts, mistaken

WORST, LIKELY, POSSIBLE, SLIGHT, FAINT = 1, 2, 3, 4, 5
"""Ranks: other legs, polarity or print; same digits or bands read backwards; colours, codes and names that
are close; the same case alone; the same value with another rating."""

_TYPED = marked_by("type")
_CODED = marked_by("code", "microfarads or code")
_USUAL_RESISTOR_PERCENT = Decimal(1)
_TIMES = {1: "10", 2: "100", 3: "1000", 6: "a million"}


class LookalikePart(Struct, frozen=True, kw_only=True):
    """What a look-alike search needs to know of one line of a parts list."""

    board: str = ""
    value: str
    """As written."""
    kind: str
    """The name of an entry of `kinds`."""
    tolerance: str = ""
    """As written, such as `1 %`; resistors without one are taken for 1 %."""
    marking: str = ""
    """What is printed on it, as written."""
    package: str = ""


class LookAlike(Struct, frozen=True, kw_only=True):
    """Two lines whose parts can be mistaken for one another."""

    a: LookalikePart
    b: LookalikePart
    reason: str
    """Why, in words; several reasons are joined, the worst first."""
    rank: int
    """1 (worst) to 5; see `WORST` to `FAINT`."""


class _Kin(Struct, kw_only=True):
    """All lines that are the same part for a person who looks at it, with what was understood of it."""

    kind: str
    value: str
    marking: str
    package: str
    flat: bool
    """Soldered to pads on the surface: nobody takes a chip for a part with legs."""
    lines: list[LookalikePart]
    known: TypeFacts | None
    tolerance: Decimal | None
    """± per cent, None when not stated."""
    amount: Decimal | None = None
    """In base units; None for what has a type number or no value."""
    unit: str = ""
    volts: Decimal | None = None
    """Rated voltage, when the value states one."""
    name: str = ""
    """Type number in capitals without spaces; empty for a quantity and for other than electronic parts."""


_Pair = tuple[int, int]


def find_lookalikes(parts: Sequence[LookalikePart], *, on_one_board: bool = False) -> tuple[LookAlike, ...]:
    """Find every pair of lines that can be mistaken, worst first, each pair once with all its reasons.

    `on_one_board` leaves out pairs of lines on different boards; of many boards alike that is most of them.

    >>> [(found.reason, found.rank) for found in find_lookalikes([
    ...     LookalikePart(value="100R", kind="resistor"), LookalikePart(value="100k", kind="resistor")])]
    [('same digits, 1000 times apart', 2)]
    """
    kin = _gather(parts)
    found: dict[_Pair, dict[str, int]] = defaultdict(dict)
    rules = (_same_print, _types, _names, _figures, _bands, _codes, _bare, _same_value)
    for first, second, reason, rank in (hit for rule in rules for hit in rule(kin)):
        if kin[first].flat != kin[second].flat:
            continue
        reasons = found[(first, second) if first < second else (second, first)]
        reasons[reason] = rank
    alike = [
        LookAlike(a=a, b=b, reason=reason, rank=rank)
        for (first, second), reasons in found.items()
        for reason, rank in [_joined(reasons)]
        for a, b in (_on_one_board if on_one_board else product)(kin[first].lines, kin[second].lines)
    ]
    return tuple(sorted(alike, key=lambda pair: pair.rank))


def _on_one_board(
    first: Iterable[LookalikePart], second: Iterable[LookalikePart]
) -> Iterator[tuple[LookalikePart, LookalikePart]]:
    """As `product`, without pairs on different boards."""
    by_board: dict[str, list[LookalikePart]] = defaultdict(list)
    for part in second:
        by_board[part.board].append(part)
    return ((a, b) for a in first for b in by_board.get(a.board, ()))


def _joined(reasons: dict[str, int]) -> tuple[str, int]:
    """The reasons in one line, the worst first, and the rank of the worst."""
    ordered = sorted(reasons, key=reasons.__getitem__) if len(reasons) > 1 else list(reasons)
    return "; ".join(ordered), reasons[ordered[0]]


def _gather(parts: Iterable[LookalikePart]) -> list[_Kin]:
    """Lines of the same part put together, values read once."""
    together: dict[Hashable, _Kin] = {}
    for part in parts:
        key = (part.kind, part.value, part.tolerance, part.marking, part.package)
        if key not in together:
            together[key] = _understood(part)
        together[key].lines.append(part)
    return list(together.values())


def _understood(part: LookalikePart) -> _Kin:
    """What one line says, read."""
    kind, typed = KINDS.get(part.kind), part.kind in _TYPED
    stated = re.search(r"\d+(?:[.,]\d+)?", part.tolerance) if part.tolerance else None
    one = _Kin(
        kind=part.kind,
        value=part.value.strip(),
        marking=part.marking.strip().casefold(),
        package=_plain(package_said(part.package)),
        flat=surface_mounted(part.kind, part.value, part.package) if kind else False,
        lines=[],
        known=_known(part) if typed else None,
        tolerance=Decimal(stated[0].replace(",", ".")) if stated else None,
    )
    if kind and kind.unit:
        value = read_value(part.value, kind.unit)
        one.volts = next((found.amount.normalize() for found in value.ratings if found.unit == "volt"), None)
        one.tolerance = one.tolerance or value.tolerance_percent
        if value.main and value.main.amount > 0:
            one.amount, one.unit = value.main.amount.normalize(), value.main.unit
    if typed and one.amount is None:
        one.name = _plain(part.value)
    return one


def _known(part: LookalikePart) -> TypeFacts | None:
    """What is known of a type, in the case that the list states; the order of legs is the usual case's."""
    known, package = facts(part.value), re.sub(r"^(TO|DIP)(?=\d)", r"\1-", _plain(part.package))
    if known is None or not re.fullmatch(r"(?:TO|DIP)-\d+", package) or package == known.case:
        return known
    return replace(known, case=package, legs="")


def _grouped(keys: Iterable[tuple[Hashable, int]]) -> Iterator[_Pair]:
    """Pairs of numbers that share a key."""
    groups: dict[Hashable, list[int]] = defaultdict(list)
    for key, number in keys:
        groups[key].append(number)
    for group in groups.values():
        yield from combinations(group, 2)


def _same_print(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """The same marking on different parts."""
    marked = (((one.package, one.marking), number) for number, one in enumerate(kin) if one.marking)
    for first, second in _grouped(marked):
        if kin[first].value != kin[second].value or kin[first].kind != kin[second].kind:
            case = "the same marking and case" if kin[first].package else "the same marking"
            yield first, second, f"{case} on {kin[first].value} and {kin[second].value}", WORST


def _types(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """Types that are known to be mixed up, or that sit in the same case on three legs."""
    known = [(one.known, n) for n, one in enumerate(kin) if one.known]
    shared = {
        *_grouped((one.case, n) for one, n in known),
        *_grouped((one.family, n) for one, n in known if one.family),
    }
    for first, second in shared:
        a, b = kin[first].known, kin[second].known
        if a and b and (verdict := mistaken(a, b)):
            yield first, second, verdict[1], verdict[0]
    legged = ((one.package, n) for n, one in enumerate(kin) if one.kind in THREE_LEGGED and one.package)
    for first, second in _grouped(legged):
        here, there = kin[first], kin[second]
        if here.name != there.name and not (here.known and there.known):
            yield first, second, "the same case; only the print tells them apart", SLIGHT


def _names(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """Type numbers that are close in spelling."""
    long = [(one.kind, one.name, n) for n, one in enumerate(kin) if len(one.name) > 3]
    but_one = (
        ((kind, name[:place], name[place + 1 :]), n) for kind, name, n in long for place in range(len(name))
    )
    turned = (((kind, "".join(sorted(name))), n) for kind, name, n in long)
    for keys, how in (
        (but_one, "that differ by one character"),
        (turned, "with the same characters in another order"),
    ):
        for first, second in _grouped(keys):
            if kin[first].name != kin[second].name:
                yield first, second, f"type numbers {how}", POSSIBLE


def _figures(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """Quantities with the same digits, one or more powers of ten apart."""
    keys = (
        ((_sight(one.kind), one.unit, one.amount.as_tuple().digits), n)
        for n, one in enumerate(kin)
        if one.amount is not None
    )
    for first, second in _grouped(keys):
        a, b = kin[first].amount, kin[second].amount
        if a is None or b is None or a == b:
            continue
        apart = abs(a.adjusted() - b.adjusted())
        times = _TIMES.get(apart, f"{10**apart:,}")
        yield first, second, f"same digits, {times} times apart", LIKELY


def _bands(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """Resistors whose bands read as the other from the far end, or differ by one easily confused colour."""
    by_bands: dict[tuple[str, ...], list[int]] = defaultdict(list)
    for number, one in enumerate(kin):
        if one.amount is not None and bears_bands(one.kind, one.value, one.package):
            percent = one.tolerance or _USUAL_RESISTOR_PERCENT
            try:
                by_bands[colours.encode(one.amount, percent)].append(number)
            except ColourError:
                continue
    for bands, here in by_bands.items():
        for there in by_bands.get(bands[::-1], ()):
            for first in here:
                if first < there and kin[first].amount != kin[there].amount:
                    a, b = (
                        show(Quantity(amount=kin[n].amount or Decimal(0), unit=kin[n].unit))
                        for n in (first, there)
                    )
                    yield first, there, f"{a} reads as {b} from the other end", LIKELY
        for place, band in enumerate(bands):
            for other, reason, rank in _easily_taken_for(band):
                swapped = by_bands.get((*bands[:place], other, *bands[place + 1 :]))
                for first, second in product(here, swapped or ()):
                    if kin[first].amount != kin[second].amount:
                        yield first, second, reason, rank


@cache
def _easily_taken_for(band: str) -> tuple[tuple[str, str, int], ...]:
    """The colours after this one by name that it is confused with, with reason and rank."""
    found = ((other, confusable(band, other)) for other in mistaken_for(band) if other > band)
    return tuple(
        (other, f"only one band differs: {reason}", SLIGHT if str(reason).endswith("eyes") else POSSIBLE)
        for other, reason in found
    )


def _codes(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """Small capacitors whose three-digit codes differ by one character."""
    codes: dict[int, str] = {}
    for number, one in enumerate(kin):
        if _coded(one) and one.amount is not None and one.unit == "farad":
            try:
                codes[number] = capacitors.encode(one.amount)
            except capacitors.CodeError:
                continue
    masks = (
        ((code[:place], code[place + 1 :], len(code)), n)
        for n, code in codes.items()
        for place in range(len(code))
    )
    for first, second in _grouped(masks):
        if codes[first] != codes[second]:
            yield first, second, f"codes {codes[first]} and {codes[second]} differ by one character", POSSIBLE


def _coded(one: _Kin) -> bool:
    """Whether it bears a code: chips of tantalum do, others do not (common practice, no source)."""
    if one.kind == "tantalum capacitor":
        return True
    return one.kind in _CODED and not one.flat


def _bare(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """Chip capacitors of one size: they bear no print at all."""
    bare = (
        ((one.kind, one.package), number)
        for number, one in enumerate(kin)
        if one.kind in _CODED and not one.marking and not _coded(one)
    )
    for first, second in _grouped(bare):
        if kin[first].amount != kin[second].amount:
            yield first, second, "the same size, and both unmarked", LIKELY


def _same_value(kin: list[_Kin]) -> Iterator[tuple[int, int, str, int]]:
    """The same value as another kind of part, or with another tolerance or rated voltage."""
    keys = (((_shelf(one.kind), one.amount), n) for n, one in enumerate(kin) if one.amount is not None)
    for first, second in _grouped(keys):
        a, b = kin[first], kin[second]
        if {a.kind, b.kind} == {"electrolytic capacitor", "bipolar electrolytic capacitor"}:
            yield first, second, "the same value, but only one of them is polarised", WORST
        elif a.kind != b.kind:
            yield first, second, f"the same value in two kinds: {a.kind} and {b.kind}", FAINT
        if a.volts != b.volts and a.volts and b.volts:
            yield first, second, f"the same value, rated {a.volts:f} V and {b.volts:f} V", SLIGHT
        if a.tolerance != b.tolerance and a.tolerance and b.tolerance:
            yield first, second, f"the same value at ±{a.tolerance} % and ±{b.tolerance} %", FAINT


def _shelf(kind: str) -> str:
    """Kinds that lie in the same bag: a kind of its own unless its name says that it is a variant."""
    for base in ("capacitor", "potentiometer", "inductor", "diode"):
        if kind.endswith(base):
            return base
    return kind


def _sight(kind: str) -> str:
    """Kinds that look alike from outside: a can is not taken for a ceramic capacitor, whatever its value."""
    if kind in _CODED:
        return "coded capacitor"
    return "can" if kind.endswith("electrolytic capacitor") else _shelf(kind)


def _plain(text: str) -> str:
    """A type number or package in capitals without spaces and dashes."""
    return re.sub(r"[\s_-]+", "", text.upper()) if text else ""
