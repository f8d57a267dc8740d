"""Two papers of one kit laid beside each other: where they contradict, each with its own words. Pure."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.cell_patterns import TYPES
from bench.papers.lists.draft import Doubt, ListPart, ListReading
from bench.papers.lists.normalize_values import family_of, understand
from bench.papers.lists.value_text import PACKAGE
from bench.parts.designators import class_letters, natural_key

VALUE, MISSING = "value", "missing"
_SAME = 1e-6
_WORD = re.compile(r"[A-Z0-9]{3,}")
_RATING = re.compile(r"[0-9]+[KMU]?(?:V|A|W|HZ|OHM|F|MM|VAC|VDC)")
_NAMED = re.compile(r"led|jack|conn|header|switch|relay|test ?point|hole|logo|fiducial", re.IGNORECASE)
"""What is a name and not a value."""


class Contradiction(Struct, frozen=True, kw_only=True):
    """One designator about which two papers do not say the same."""

    ref: str
    what: str
    """`VALUE`, or `MISSING` where only one of them has it."""
    here: str
    """The value in the first paper; empty where it has no such part."""
    there: str
    """The value in the other paper; empty where it has no such part."""
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
    letter at all: a board file has holes and test points that no list names.
    """
    mine, theirs = _by_ref(here.parts), _by_ref(there.parts)
    letters = {class_letters(ref) for ref in mine} & {class_letters(ref) for ref in theirs}
    found, agree = [], 0
    for ref in sorted(mine.keys() | theirs.keys(), key=natural_key):
        one, other = mine.get(ref), theirs.get(ref)
        if one is None or other is None:
            known = one or other
            if known is not None and known.fitted and known.value_text and class_letters(ref) in letters:
                found.append(_contradiction(ref, MISSING, one, other))
        elif one.fitted and other.fitted and differ(ref, one.value_text, other.value_text):
            found.append(_contradiction(ref, VALUE, one, other))
        else:
            agree += 1
    return Comparison(other=there.name.rpartition("/")[2], agree=agree, contradictions=tuple(found))


def _by_ref(parts: Sequence[ListPart]) -> dict[str, ListPart]:
    return {ref: part for part in reversed(parts) for ref in part.refs}


def _contradiction(ref: str, what: str, one: ListPart | None, other: ListPart | None) -> Contradiction:
    return Contradiction(
        ref=ref, what=what, here=_said(one), there=_said(other), line=one.line if one else 0,
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
        if sum(map(str.isdigit, word)) >= 2 and not word.isdigit()
        if not _RATING.fullmatch(word) and not PACKAGE.fullmatch(word)
    ]


def as_doubts(comparison: Comparison) -> list[Doubt]:
    """What contradicts, as open questions on the first paper; the same about several parts is one."""
    grouped: dict[tuple[str, str, str, int], list[str]] = {}
    for each in comparison.contradictions:
        grouped.setdefault((each.what, each.here, each.there, each.line), []).append(each.ref)
    doubts = []
    for (what, here, there, line), refs in grouped.items():
        named = ", ".join(refs)
        if what == VALUE:
            said = f"{named}: {here} here, {there} in {comparison.other}"
        elif here:
            said = f"{named} ({here}) not in {comparison.other}"
        else:
            said = f"{named} ({there}) only in {comparison.other}"
        doubts.append(Doubt(line=line, what=said, kind="other paper", refs=tuple(refs), there=there))
    return doubts


def with_others(here: ListReading, comparisons: Iterable[Comparison]) -> ListReading:
    """The first paper with all that contradicts it as open questions."""
    more = [doubt for comparison in comparisons for doubt in as_doubts(comparison)]
    return replace(here, doubts=tuple(sorted((*here.doubts, *more), key=lambda doubt: doubt.line)))
