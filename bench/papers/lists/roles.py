"""Which column holds what: by what stands in it first, by its heading second."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from msgspec import Struct

from bench.papers.lists.cell_patterns import (  # fmt: skip
    FARADS,
    HENRIES,
    OHMS,
    is_footprint,
    is_link_or_price,
    is_turn,
    value_likeness,
    whole_number,
    worth,
)
from bench.papers.lists.draft import SourceRow
from bench.papers.lists.headings import NOTHING, heading_at, heading_key
from bench.papers.lists.refs import RefMatch, find_refs
from bench.papers.lists.runs import runs_of_refs
from bench.papers.lists.vocabulary import heading_roles, says_nothing
from bench.parts.designators import class_letters

_SAMPLE, _MOST_COLUMNS = 300, 60
_BESIDE = (
    "description", "kind", "package", "tolerance", "voltage", "marking", "note", "dnp", "fitted", "board",
    "section", "order number", "unit",
)  # fmt: skip
_STOCK_NUMBER = re.compile(r"C[0-9]{4,9}")
"""A shop's number of a part, where nothing else stands in a column; alone it may be a transistor."""
_POSITION = ("x", "y", "rotation", "side")
_MEASURED = OHMS | FARADS | HENRIES
_NOT_REFS = ("package", "other", "dnp", "fitted", *_POSITION)
"""Headings of columns whose cells may look like designators and are none."""
_AGAINST_VALUE = {
    "other": 0.6, "package": 0.5, "number": 0.4, "quantity": 0.5, "note": 0.3, "x": 0.9, "y": 0.9,
    "rotation": 0.9, "side": 0.9, "tolerance": 0.8, "voltage": 0.7, "section": 0.4, "board": 0.4, "dnp": 0.6,
    "fitted": 0.6, "unit": 0.8,
}  # fmt: skip
"""What another meaning of its heading takes from a column's claim to hold the values."""
_BRACKET = re.compile(r"\((?!\s?\+)[^()]{0,80}\)")
_PROPERTY = re.compile(r"\b(?:resistance|capacitance|inductance)\s+[^;]+", re.IGNORECASE)


class Column(Struct, frozen=True, kw_only=True):
    """One column of a sample of rows."""

    at: int
    cells: tuple[str, ...]
    heading: dict[str, float]
    """What its heading may stand for."""

    def says(self, *roles: str) -> float:
        """The most that the heading says for any of these roles, 0 to 1."""
        return max(self.heading.get(role, 0.0) for role in roles)

    @property
    def filled(self) -> list[str]:
        """The cells that are not empty."""
        return [cell for cell in self.cells if cell]

    def share(self, test: Callable[[str], object]) -> float:
        """Share of the filled cells that pass a test."""
        filled = self.filled
        return sum(bool(test(cell)) for cell in filled) / len(filled) if filled else 0.0


class Roles(Struct, frozen=True, kw_only=True):
    """Where things stand in a row: index of the cell by role."""

    places: dict[str, int]
    sure_of_refs: bool = False
    """True when the heading or most cells of the designator column leave no doubt: then names are parts too."""
    more_refs: tuple[int, ...] = ()
    """Further columns of designators that share the row's value, as for a second board."""
    value_is_description: bool = False
    """True when there is no column of values and they must be picked out of the description."""
    instead: tuple[int, ...] = ()
    """Columns that may name a part whose own cell of the value column is empty, likeliest first."""
    device: int | None = None
    """The column of a drawing program's own names of parts, which are type numbers for some."""

    def get(self, role: str) -> int | None:
        """Index of the cell with this role."""
        return self.places.get(role)


def decide(rows: Sequence[SourceRow], header: Sequence[str], known: Mapping[str, str]) -> Roles:
    """The role of each column; `known` are headings (see `heading_key`) whose role a person has settled."""
    sample = ([row for row in rows if sum(map(bool, row.cells)) > 1] or list(rows))[:_SAMPLE]
    width = max((len(row.cells) for row in sample), default=0)
    settled = {
        at: role
        for at in range(max(width, len(header)) if known else 0)
        if (role := known.get(heading_key(heading_at(header, at))))
    }
    allocation = _Allocation(_columns(sample, header, settled), settled, len(sample))
    allocation.take_refs(bool(header))
    allocation.take_properties()
    allocation.take_quantity()
    allocation.take_value()
    allocation.take_beside()
    return allocation.roles()


def _columns(sample: Sequence[SourceRow], header: Sequence[str], settled: Mapping[int, str]) -> list[Column]:
    """The columns of a sample; what only a few overlong rows have is none."""
    lengths = sorted(len(row.cells) for row in sample)
    usual = max(lengths[len(lengths) * 9 // 10], len(header)) if lengths else 0
    number = min(max(lengths, default=0), max(usual + 1, *settled, 0), _MOST_COLUMNS)
    return [
        Column(
            at=at,
            cells=tuple(row.cells[at] if at < len(row.cells) else "" for row in sample),
            heading={} if at in settled else heading_roles(header[at] if at < len(header) else ""),
        )
        for at in range(number)
    ]


class _Allocation:
    """Roles given to columns one after the other, the surest first."""

    def __init__(self, columns: list[Column], settled: Mapping[int, str], rows: int) -> None:
        self.columns = columns
        self.held = [columns[at] for at, role in settled.items() if role == "ref" and at < len(columns)]
        """Columns of designators that a person has settled."""
        self.places: dict[str, int] = {}
        for at, role in settled.items():
            if role != NOTHING and at < len(columns):
                self.places.setdefault(role, at)
        self.free = [column for column in columns if column.at not in settled]
        self.found = [RefMatch()] * rows
        """The designators of each row."""
        self.sure = self.described = False
        self.more: tuple[Column, ...] = ()
        self.instead: tuple[int, ...] = ()

    def _give(self, role: str, column: Column) -> None:
        self.places[role] = column.at
        if column in self.free:
            self.free.remove(column)

    def take_refs(self, headed: bool) -> None:
        """The columns of designators, or a column of descriptions that name them."""
        if self.held:
            refs, self.sure, self.more = self.held[0], True, tuple(self.held[1:])
        else:
            chosen, self.sure = _ref_column(self.free)
            if chosen is None:
                self._take_inside(headed)
                return
            refs = chosen
        self._give("ref", refs)
        self.found = [find_refs(cell) for cell in refs.cells]
        if not self.held:
            self.more = _more_ref_columns(self.free, self.found)
        self.free = [column for column in self.free if column not in self.more]

    def _take_inside(self, headed: bool) -> None:
        inside = _refs_inside(self.free) if headed else None
        if inside is not None:
            self.places["inside"] = inside.at
            self.found = [find_refs(refs_inside(cell)) for cell in inside.cells]

    def take_properties(self) -> None:
        """A column that lists all properties of a part, its value among them."""
        listed = next((column for column in self.free if column.share(_PROPERTY.search) >= 0.3), None)
        if listed is not None:
            self._give("properties", listed)

    def take_quantity(self) -> None:
        """The column of counts."""
        number = _quantity_column(self.free, self.found) if "quantity" not in self.places else None
        if number is not None:
            self._give("quantity", number)

    def take_value(self) -> None:
        """The column of values, and those that may stand in for it."""
        lettered = "ref" in self.places or "inside" in self.places
        if "value" not in self.places:
            value = _value_column(self.free, self.found, lettered) or _type_column(self.free)
            if value is not None:
                self.described = value.says("description", "note") > value.says("value")
                self._give("value", value)
        if lettered:
            sold = any(column.says("seller") for column in self.columns)
            self.instead = tuple(_stand_ins(self.free, sold))

    def take_beside(self) -> None:
        """The columns beside: by their headings, and packages also by what they look like."""
        for column in sorted(self.free, key=lambda each: -max(each.heading.values(), default=0.0)):
            if role := _beside(column):
                self.places.setdefault(role, column.at)

    def roles(self) -> Roles:
        """All that was given."""
        return Roles(
            places=self.places,
            sure_of_refs=self.sure,
            value_is_description=self.described,
            more_refs=tuple(each.at for each in self.more),
            instead=self.instead,
            device=next((column.at for column in self.columns if column.says("library") >= 0.5), None),
        )


def _ref_column(columns: Sequence[Column]) -> tuple[Column | None, bool]:
    """The designator column, and whether it is beyond doubt."""
    best: tuple[float, Column, bool] | None = None
    for column in columns:
        heading, taken, content = column.says("ref"), column.says(*_NOT_REFS), _ref_content(column)
        against = 0.6 * taken if taken > heading else 0.0
        by_content = content >= 0.55 + against / 2 and (heading or taken < 0.9)
        by_heading = (heading >= 0.85 and content >= 0.08) or (heading >= 0.4 and content >= 0.35)
        score = content + 0.4 * heading - against + 0.2 * len(column.filled) / len(column.cells)
        if (by_content or by_heading) and (best is None or score > best[0]):
            best = (score, column, heading >= 0.85 or content >= 0.55 or min(heading, content) >= 0.4)
    return (best[1], best[2]) if best else (None, False)


def _ref_content(column: Column) -> float:
    """How much the cells of a column are designators, each its own, 0 to 1."""
    found = [find_refs(cell) for cell in column.filled]
    named = [ref for each in found for ref in each.refs[:100]]
    if not named or (len(named) > 2 and all(map(is_turn, named))):
        return 0.0
    trust = sum(each.trust * (0.6 if each.left else 1.0) for each in found) / len(found)
    return trust * math.sqrt(len(set(named)) / len(named))


def _more_ref_columns(columns: Sequence[Column], found: Sequence[RefMatch]) -> tuple[Column, ...]:
    """Columns that hold designators too: sure ones, none of them in the first column, with a like heading."""
    first = {ref for each in found for ref in each.refs}
    further: list[Column] = []
    for column in columns:
        cells = [find_refs(cell) for cell in column.filled]
        named = [ref for each in cells for ref in each.refs]
        alike = column.says("ref") >= 0.2 and column.says("other") < 0.5
        own = len(named) > 1 and not first & set(named) and len(set(named)) == len(named)
        if alike and own and sum(each.trust for each in cells) >= 0.9 * len(cells):
            further.append(column)
    return tuple(further)


def _refs_inside(columns: Sequence[Column]) -> Column | None:
    """A column of descriptions that name the designators, where none holds them alone."""
    headed = [column for column in columns if column.heading and column.says("other") < 0.5]
    shares = [(column.share(refs_inside), column) for column in headed]
    best = max(shares, key=lambda pair: pair[0], default=(0.0, None))
    return best[1] if best[0] >= 0.5 else None


def refs_inside(text: str) -> str:
    """The designators that a text names, with commas between them; in brackets only those behind a plus.

    >>> refs_inside("Resistors R1, R2 and R5 (1 %)"), refs_inside("R6 resistor (+R1 on the upper board)")
    ('R1, R2 and R5', 'R6, R1')
    """
    plain = _BRACKET.sub(" ", text[:2_000]).replace("(+", "( ")
    return ", ".join(run.text for run in runs_of_refs(plain) or runs_of_refs(text[:2_000]))


def _quantity_column(columns: Sequence[Column], found: Sequence[RefMatch]) -> Column | None:
    best: tuple[float, Column] | None = None
    for column in columns:
        numbers = [whole_number(cell) for cell in column.cells]
        if not column.filled or column.share(lambda cell: whole_number(cell) is not None) < 0.6:
            continue
        beside = zip(numbers, found, strict=True)
        pairs = [(number, len(each.refs)) for number, each in beside if number and each.refs]
        agreement = sum(number == count for number, count in pairs) / len(pairs) if pairs else 0.0
        score = agreement + 0.7 * column.says("quantity") - _against_quantity(column, numbers)
        if score >= _needed(column, columns, len(pairs)) and (best is None or score > best[0]):
            best = (score, column)
    return best[1] if best else None


def _against_quantity(column: Column, numbers: Sequence[int | None]) -> float:
    """What speaks against counts: numbers of the rows, and a heading of values."""
    counting = all((after or 0) - (before or 0) == 1 for before, after in pairwise(numbers))
    against = 0.5 * column.says("number") + (0.7 if counting and len(column.filled) > 3 else 0.0)
    return against + (0.6 * column.says("value") if column.says("quantity") < 0.5 else 0.0)


def _needed(column: Column, columns: Sequence[Column], pairs: int) -> float:
    """The score that a column of numbers needs to be one of counts; below 0 for none at all."""
    heading = column.says("quantity")
    if heading >= 0.5:
        return 0.3
    if heading < 0.2 and pairs < 3:
        return 2.0 if pairs or not _headless_count(column, columns) else -1.0
    if heading >= 0.3 and not pairs:
        return 0.25
    valued = any(
        other is not column and other.share(lambda cell: worth(cell) == 1.0) >= 0.5 for other in columns
    )
    return 0.6 if valued and not column.heading else 0.75


def _headless_count(column: Column, columns: Sequence[Column]) -> bool:
    """Whether a column of small numbers without a heading can be the count of a shopping list."""
    filled = column.filled
    return len(columns) > 1 and not column.heading and len(filled) > 2 and all(len(cell) < 4 for cell in filled)


def _value_column(columns: Sequence[Column], found: Sequence[RefMatch], lettered: bool) -> Column | None:
    """The column of values or, where there is none, of descriptions with values in them."""
    letters = [class_letters(each.refs[0]) if each.refs else "" for each in found]
    best: tuple[float, Column] | None = None
    for column in columns:
        score = _value_content(column, letters, lettered)
        if score is None or column.says("ref") >= 0.9 > column.says("value"):
            continue
        score += 0.5 * column.says("value") - _against_value(column)
        if score > 0.12 and (best is None or score > best[0] + 1e-9):
            best = (score, column)
    return best[1] if best else None


def _type_column(columns: Sequence[Column]) -> Column | None:
    """The column of the makers' type numbers, which stand for the values where no other column gives any."""
    return next((column for column in columns if column.says("type number") and column.filled), None)


def _value_content(column: Column, letters: Sequence[str], lettered: bool) -> float | None:
    """How much the cells of a column are values of the parts beside them; None for an empty column."""
    cells = [(cell, kind) for cell, kind in zip(column.cells, letters, strict=True) if kind or not lettered]
    filled = [(cell[:300], kind) for cell, kind in cells if cell and not says_nothing(cell)]
    if not filled:
        return 0.0 if column.says("value") >= 0.9 else None
    alike = [max(value_likeness(*each), 0.0 if lettered else 0.8 * worth(each[0])) for each in filled]
    likeness = sum(alike) / len(alike)
    measured = [value_likeness(*each) for each in filled if each[1].upper() in _MEASURED]
    if len(measured) > 2:
        likeness = (likeness + 2 * sum(measured) / len(measured)) / 3
    if not lettered and not column.heading and column.share(whole_number) >= 0.9:
        likeness -= 0.5  # a price or a count
    return likeness * (0.4 + 0.6 * len(filled) / len(cells))


def _against_value(column: Column) -> float:
    """What speaks against a column of values: other meanings of its heading, links, prices, quarter turns."""
    heading = column.says("value")
    against = 0.4 * column.share(is_link_or_price) + (1.0 if column.share(is_turn) >= 0.9 else 0.0)
    if len(column.filled) > 2 and all(map(_STOCK_NUMBER.fullmatch, column.filled)):
        against += 1.0
    numbers = column.share(whole_number) >= 0.5
    for role, weight in _AGAINST_VALUE.items():
        if column.says(role) > heading and (numbers or role not in ("number", "quantity")):
            against += weight * column.says(role)
    return against


def _stand_ins(columns: Iterable[Column], sold: bool) -> Iterator[int]:
    """Columns that may name a part where its value is empty: those headed like a type, then descriptions.

    Beside prices a part number is one of the shop.
    """
    named = []
    for column in columns:
        claim = max(column.says("value"), 0.3 * column.says("description"), 0.2 * column.says("kind"))
        ordered = sold and column.says("part number") > 0
        if claim >= 0.15 and not ordered and column.says("other", "package", "library", *_POSITION) < 0.5:
            named.append((-claim, column.at))
    return (at for _, at in sorted(named))


def _beside(column: Column) -> str:
    """The role of a column that holds neither designators nor values; empty for none."""
    heading = column.heading
    if not heading:
        if column.share(is_footprint) >= 0.5:
            return "package"
        return "description" if column.share(lambda cell: len(cell) > 12 and " " in cell) >= 0.5 else ""
    role, weight = max(heading.items(), key=lambda pair: pair[1])
    if role in _POSITION and weight >= 0.8:
        return role
    beside = max((other for other in heading if other in _BESIDE), key=lambda other: heading[other], default="")
    return beside if beside and weight >= 0.4 and (beside == role or heading[beside] >= 0.4) else ""
