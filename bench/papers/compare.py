"""Two papers of one kit laid beside each other: where they contradict, each with its own words. Pure."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from unicodedata import normalize

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.boards.as_list import ONLY_DRAWN
from bench.papers.doubts.kinds import kind_of
from bench.papers.lists.cell_patterns import TYPES
from bench.papers.lists.draft import (
    CASE,
    COUNT,
    FITTED,
    MISSING,
    SIDE,
    VALUE,
    Doubt,
    ListPart,
    ListReading,
    OtherPaper,
)
from bench.papers.lists.normalize_values import family_of, understand
from bench.papers.lists.value_text import PACKAGE
from bench.parts.designators import class_letters, natural_key, shorten
from bench.parts.kinds import measured_in

_SAME = 1e-6
_WORD = re.compile(r"[A-Z0-9]{3,}")
_RATING = re.compile(r"[0-9]+[KMU]?(?:V|A|W|HZ|OHM|F|MM|VAC|VDC)")
_SIDES = {"top": "front", "bottom": "back"}
_MAKES = {"DIL": "DIP", "PDIP": "DIP", "SO": "SOIC", "SOP": "SOIC", "SSOP": "TSSOP"}
"""Makes of packages that share a land pattern, or are two words for one."""
_MADE_AS = re.compile(r"(?<![A-Z])(P?DIP|DIL|SOIC|T?SSOP|SOP|SO|TO|SOT)[ _-]?0*([0-9]{1,3})(?![0-9])")
_CHIP = re.compile(r"(?<![0-9])(?:0402|0603|0805|1206|1210|1812|2512)(?![0-9])")
_METRIC = re.compile(r"[0-9]{4}METRIC")
_NAMED = re.compile(r"led|jack|conn|header|switch|relay|test ?point|hole|logo|fiducial", re.IGNORECASE)
"""What is a name and not a value."""


class Contradiction(Struct, frozen=True, kw_only=True):
    """One designator about which two papers do not say the same."""

    ref: str
    what: str
    """`VALUE`, `COUNT`, `SIDE`, `CASE`, `FITTED`, or `MISSING` where only one of them has it."""
    here: str
    """What the first paper says; empty where it has no such part."""
    there: str
    """What the other paper says; empty where it has no such part."""
    line: int
    """Where the first paper says it; 0 where it does not."""
    other_line: int


class Comparison(Struct, frozen=True, kw_only=True):
    """A paper laid beside the first one."""

    other: str
    """The other paper, as people know it."""
    agree: int
    """Designators about which both say the same, or nothing that could differ."""
    contradictions: tuple[Contradiction, ...]
    partly: str = ""
    """What one of the two is, where it need not name all parts, so that only values were compared."""

    @property
    def said(self) -> str:
        """What came of it, in words."""
        number = self.agree + len(self.contradictions)
        if not number:
            return "nothing in it can be compared"
        said = f"{self.agree} of {number} designators agree ({100 * self.fit:.0f} %)"
        return f"{said}; {self.partly} says nothing about missing parts" if self.partly else said

    @property
    def fit(self) -> float:
        """The share of all designators of both papers about which they agree, 0 to 1."""
        return self.agree / max(self.agree + len(self.contradictions), 1)


def compared(here: ListReading, others: Iterable[ListReading]) -> tuple[Comparison, ...]:
    """The first paper beside each of the others, the one that fits best first."""
    found = [compare(here, other) for other in others]
    return tuple(sorted(found, key=lambda each: -each.fit))


def compare(here: ListReading, there: ListReading) -> Comparison:
    """What two papers say differently about the same board.

    A designator that only one of them has counts when it has a value and the other one lists parts of its
    letter at all: a board file has holes and test points that no list names. It never counts beside a paper
    that need not name all parts, such as a schematic.
    """
    if here.shopping_list or there.shopping_list:
        return _counted(here, there)
    mine, theirs = _by_ref(here.parts), _by_ref(there.parts)
    marks = _marks_unfitted(here), _marks_unfitted(there)
    sides = _sides(here), _sides(there)
    letters = {class_letters(ref) for ref in mine} & {class_letters(ref) for ref in theirs}
    drawn = {each.text.split()[0] for each in (*here.skipped, *there.skipped) if each.why == ONLY_DRAWN}
    found, agree = [], 0
    for ref in sorted(mine.keys() | theirs.keys(), key=natural_key):
        one, other = mine.get(ref), theirs.get(ref)
        if one is None or other is None:
            known = None if here.partly or there.partly or ref in drawn else one or other
            if known is not None and known.fitted and known.value_text and class_letters(ref) in letters:
                found.append(_contradiction(ref, MISSING, one, other))
            continue
        apart = list(_apart(ref, one, other, marks, (sides[0].get(ref, ""), sides[1].get(ref, ""))))
        found += apart
        agree += not apart
    partly = here.partly or there.partly
    return Comparison(other=_file_name(there), agree=agree, contradictions=tuple(found), partly=partly)


def _file_name(paper: ListReading) -> str:
    return paper.name.rpartition("/")[2]


def _apart(
    ref: str, one: ListPart, other: ListPart, marks: tuple[bool, bool], sides: tuple[str, str]
) -> Iterator[Contradiction]:
    """What two papers that both have a designator say differently about it."""
    if not one.fitted or not other.fitted:
        # a paper that marks nothing as left out does not say that this is fitted
        if one.fitted != other.fitted and (marks[0] if one.fitted else marks[1]):
            said = tuple("fitted" if part.fitted else "not fitted" for part in (one, other))
            yield _contradiction(ref, FITTED, one, other, said)
        return
    if differ(ref, one.value_text, other.value_text):
        yield _contradiction(ref, VALUE, one, other)
    if packages_differ(one.package, other.package):
        yield _contradiction(ref, CASE, one, other, (one.package, other.package))
    if all(sides) and sides[0] != sides[1]:
        yield _contradiction(ref, SIDE, one, other, sides)


def _marks_unfitted(paper: ListReading) -> bool:
    """Whether a paper tells which parts are left out at all."""
    return any(not part.fitted for part in paper.parts)


def _sides(paper: ListReading) -> dict[str, str]:
    """The side of the board that each designator sits on, where a paper tells sides apart."""
    if paper.placement is None or not paper.placement.has_sides:
        return {}
    return {each.ref: _SIDES.get(each.side, each.side) for each in paper.placement.places}


def packages_differ(here: str, there: str) -> bool:
    """Whether two packages are of different makes or have different numbers of legs, as far as they tell.

    >>> packages_differ("DIP-8", "DIL08"), packages_differ("0805", "R_0603_1608Metric")
    (False, True)
    >>> packages_differ("SOIC-8", "DIP-8"), packages_differ("axial", "0207"), packages_differ("TO-92", "SOT-23")
    (True, False, True)
    """
    ones, others = _packages(here), _packages(there)
    return bool(ones and others) and ones.isdisjoint(others)


def _packages(text: str) -> frozenset[str]:
    """The packages that a text names, spelled alike."""
    plain = _METRIC.sub("", text.upper())
    named = {f"{_MAKES.get(found[1], found[1])}{int(found[2])}" for found in _MADE_AS.finditer(plain)}
    return frozenset(named | set(_CHIP.findall(plain)))


def _counted(here: ListReading, there: ListReading) -> Comparison:
    """Two papers of which one has no designators: a value of which it has fewer than the other has parts."""
    mine, theirs = _number_of(here), _number_of(there)
    found, agree = [], 0
    for kind in mine.keys() & theirs.keys():
        one, other = mine[kind], theirs[kind]
        short = one.number < other.number if here.shopping_list else other.number < one.number
        if not short:
            agree += other.number if here.shopping_list else one.number
            continue
        refs = one.refs or other.refs
        found.append(
            Contradiction(
                ref=shorten(refs) if refs else one.said,
                what=COUNT,
                here=f"{one.number} x {one.said}",
                there=f"{other.number} x {other.said}",
                line=one.line,
                other_line=other.line,
            )
        )
    found.sort(key=lambda each: each.line)
    return Comparison(other=_file_name(there), agree=agree, contradictions=tuple(found))


class _Number(Struct, kw_only=True):
    """How many parts of one kind and value a paper has."""

    number: int = 0
    refs: tuple[str, ...] = ()
    said: str = ""
    line: int = 0


def _number_of(paper: ListReading) -> dict[tuple[str, str], _Number]:
    """Parts by the unit that they are measured in and their worth, or by their one type number."""
    found: dict[tuple[str, str], _Number] = defaultdict(_Number)
    for part in paper.parts:
        key = _kind_and_worth(part)
        if key is not None and part.fitted:
            each = found[key]
            each.number += len(part.refs) or part.quantity
            each.refs += part.refs
            each.said, each.line = each.said or part.value_text, each.line or part.line
    return found


def _kind_and_worth(part: ListPart) -> tuple[str, str] | None:
    kind = kind_of(part)[0] or ""
    unit = next((unit for unit in ("ohm", "farad", "henry") if kind in measured_in(unit)), "")
    if unit:
        amount = understand(part.value_text, unit, "")
        return None if amount is None else (kind, str(amount.amount.normalize()))
    types = _type_numbers(part.value_text)
    return (kind, types[0]) if len(types) == 1 else None


def _by_ref(parts: Sequence[ListPart]) -> dict[str, ListPart]:
    return {normalize("NFKC", ref): part for part in reversed(parts) for ref in part.refs}


def _contradiction(
    ref: str, what: str, one: ListPart | None, other: ListPart | None, said: tuple[str, ...] = ()
) -> Contradiction:
    here, there = said or (_said(one), _said(other))
    return Contradiction(
        ref=ref, what=what, here=here, there=there, line=one.line if one else 0,
        other_line=other.line if other else 0,
    )  # fmt: skip


def _said(part: ListPart | None) -> str:
    if part is None:
        return ""
    return part.value_text or "no value"


def differ(ref: str, here: str, there: str) -> bool:
    """Whether two values of a part are really different, as far as they can be understood.

    >>> differ("R1", "4k7", "4.7 kohm"), differ("R1", "10k", "1k"), differ("C1", "100n", "0.1uF 50V")
    (False, True, False)
    >>> differ("U1", "TL072", "TL072CP"), differ("U1", "TL072", "NE5532"), differ("J1", "Out", "Jack 6.3")
    (False, True, False)
    >>> differ("U2", "4066", "CD4066BE"), differ("U2", "4066", "CD4016BE"), differ("U2", "8 pins", "4066")
    (False, True, False)
    """
    letters = class_letters(ref).upper()
    family = family_of(letters)
    if family:
        one, other = understand(here, family, ""), understand(there, family, "")
        if one is None or other is None or one.unit != other.unit:
            return False
        return not math.isclose(float(one.amount), float(other.amount), rel_tol=_SAME)
    if letters not in TYPES or _NAMED.search(here) or _NAMED.search(there):
        return False
    ones, others = _type_numbers(here), _type_numbers(there)
    return bool(ones and others) and not any(a in b or b in a for a in ones for b in others)


def _type_numbers(text: str) -> list[str]:
    """The type numbers in a text, without what stands between their letters and figures."""
    joined = re.sub(r"(?<=[A-Z0-9])[ _/-](?=[0-9])", "", text.upper())
    return [
        word
        for word in _WORD.findall(joined)
        if sum(map(str.isdigit, word)) >= 2 and (not word.isdigit() or word == joined.strip())
        if not _RATING.fullmatch(word) and not PACKAGE.fullmatch(word)
    ]


def as_doubts(comparison: Comparison) -> list[Doubt]:
    """What contradicts, as open questions on the first paper; the same about several parts is one."""
    grouped: dict[tuple[str, str, str, int], list[str]] = {}
    name = comparison.other
    for each in comparison.contradictions:
        grouped.setdefault((each.what, each.here, each.there, each.line), []).append(each.ref)
    doubts = []
    for (what, here, there, line), refs in grouped.items():
        named = ", ".join(refs)
        if what != MISSING:
            said = f"{named}: {here} here, {there} in {name}"
        elif here:
            said = f"{named} ({here}) not in {name}"
        else:
            said = f"{named} ({there}) only in {name}"
        doubts.append(
            Doubt(
                line=line,
                what=said,
                kind="other paper",
                refs=() if what == COUNT else tuple(refs),
                there=there,
                other=OtherPaper(name=name, what=what, here=here),
            )
        )
    return doubts


def with_others(here: ListReading, comparisons: Iterable[Comparison]) -> ListReading:
    """The first paper with all that contradicts it as open questions."""
    more = [doubt for comparison in comparisons for doubt in as_doubts(comparison)]
    return replace(here, doubts=tuple(sorted((*here.doubts, *more), key=lambda doubt: doubt.line)))
