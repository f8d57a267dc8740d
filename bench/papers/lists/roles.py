"""Which column holds what: by what stands in it first, by its heading second."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from msgspec import Struct

from bench.papers.lists.cell_patterns import (  # fmt: skip
    FARADS,
    HENRIES,
    OHMS,
    is_footprint,
    is_link_or_price,
    value_likeness,
    whole_number,
)
from bench.papers.lists.draft import SourceRow
from bench.papers.lists.headings import NOTHING, heading_at, heading_key
from bench.papers.lists.refs import RefMatch, find_refs
from bench.papers.lists.runs import runs_of_refs
from bench.papers.lists.vocabulary import heading_roles
from bench.parts.designators import class_letters

_SAMPLE = 300
_BESIDE = (
    "description",
    "kind",
    "package",
    "tolerance",
    "voltage",
    "marking",
    "note",
    "dnp",
    "board",
    "section",
)
_MEASURED = OHMS | FARADS | HENRIES
_BRACKET = re.compile(r"\([^()]{0,80}\)")
_PROPERTY = re.compile(r"\b(?:resistance|capacitance|inductance)\s+[^;]+", re.IGNORECASE)


class Column(Struct, frozen=True, kw_only=True):
    """One column of a sample of rows."""

    at: int
    cells: tuple[str, ...]
    heading: dict[str, float]
    """What its heading may stand for."""

    def share(self, test: Callable[[str], object]) -> float:
        """Share of the filled cells that pass a test."""
        filled = [cell for cell in self.cells if cell]
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

    def get(self, role: str) -> int | None:
        """Index of the cell with this role."""
        return self.places.get(role)


def decide(rows: Sequence[SourceRow], header: Sequence[str], known: Mapping[str, str]) -> Roles:
    """The role of each column; `known` are headings (see `heading_key`) whose role a person has settled."""
    sample = [row for row in rows if sum(map(bool, row.cells)) > 1] or list(rows)
    sample = sample[:_SAMPLE]
    width = max((len(row.cells) for row in sample), default=0)
    settled = {
        at: role
        for at in range(max(width, len(header)))
        if known and (role := known.get(heading_key(heading_at(header, at))))
    }
    usual = max(sorted(len(row.cells) for row in sample)[len(sample) * 9 // 10], len(header)) if sample else 0
    columns = [
        Column(
            at=at,
            cells=tuple(row.cells[at] if at < len(row.cells) else "" for row in sample),
            heading={} if at in settled else heading_roles(header[at] if at < len(header) else ""),
        )
        for at in range(min(width, max(usual + 1, *settled, 0), 60))
    ]
    places: dict[str, int] = {}
    for at, role in settled.items():
        if role != NOTHING and at < len(columns):
            places.setdefault(role, at)
    free = [column for column in columns if column.at not in settled]
    refs, sure = (columns[places["ref"]], True) if "ref" in places else _ref_column(free)
    if refs is not None:
        places["ref"] = refs.at
    found = [find_refs(cell) for cell in refs.cells] if refs is not None else [RefMatch()] * len(sample)
    inside = _refs_inside(free) if refs is None and header else None
    if inside is not None:
        places["inside"] = inside.at
        found = [find_refs(refs_inside(cell)) for cell in inside.cells]
    rest = [column for column in free if column is not refs]
    more: tuple[Column, ...] = ()
    if "ref" in settled.values():
        held = [at for at, role in settled.items() if role == "ref" and at < len(columns)]
        more = tuple(columns[at] for at in held if columns[at] is not refs)
    elif refs is not None:
        more = _more_ref_columns(rest, refs, found)
    rest = [column for column in rest if column not in more]
    listed = next((column for column in rest if column.share(_PROPERTY.search) >= 0.3), None)
    if listed is not None:
        places["properties"] = listed.at
        rest.remove(listed)
    number = _quantity_column(rest, found) if "quantity" not in places else None
    if number is not None:
        places["quantity"] = number.at
        rest.remove(number)
    lettered = refs is not None or inside is not None
    value, described = _value_column(rest, found, lettered) if "value" not in places else (None, False)
    if value is not None:
        places["value"] = value.at
        rest.remove(value)
    _others(rest, places)
    return Roles(
        places=places,
        sure_of_refs=sure,
        value_is_description=described,
        more_refs=tuple(each.at for each in more),
    )


def _ref_column(columns: Sequence[Column]) -> tuple[Column | None, bool]:
    """The designator column, and whether it is beyond doubt."""
    best: tuple[float, Column, bool] | None = None
    for column in columns:
        found = [find_refs(cell) for cell in column.cells if cell]
        if not found:
            continue
        heading = column.heading.get("ref", 0.0)
        trust = sum(each.trust * (0.6 if each.left else 1.0) for each in found) / len(found)
        named = [ref for each in found for ref in each.refs[:100]]
        own = (len(set(named)) / len(named)) ** 0.5 if named else 0.0
        content = trust * own
        taken = max(
            column.heading.get("package", 0.0), column.heading.get("other", 0.0), column.heading.get("dnp", 0.0)
        )
        against = 0.6 * taken if taken > heading else 0.0
        if not (
            content >= 0.55 + against / 2
            or (heading >= 0.85 and content >= 0.08)
            or (heading >= 0.4 and content >= 0.35)
        ):
            continue
        score = content + 0.4 * heading - against
        if best is None or score > best[0]:
            best = (score, column, heading >= 0.85 or content >= 0.55)
    return (best[1], best[2]) if best else (None, False)


def _more_ref_columns(columns: Sequence[Column], refs: Column, found: Sequence[RefMatch]) -> tuple[Column, ...]:
    """Columns that hold designators too: sure ones, none of them in the first column, with a like heading."""
    first = {ref for each in found for ref in each.refs}
    further: list[Column] = []
    for column in columns:
        cells = [find_refs(cell) for cell in column.cells if cell]
        named = [ref for each in cells for ref in each.refs]
        alike = column.heading.get("ref", 0.0) >= 0.2 and column.heading.get("other", 0.0) < 0.5
        own = len(named) > 1 and not first & set(named) and len(set(named)) == len(named)
        if alike and own and sum(each.trust for each in cells) >= 0.9 * len(cells):
            further.append(column)
    return tuple(further)


def _refs_inside(columns: Sequence[Column]) -> Column | None:
    """A column of descriptions that name the designators, where none holds them alone."""
    headed = [column for column in columns if column.heading and column.heading.get("other", 0.0) < 0.5]
    shares = [(column.share(refs_inside), column) for column in headed]
    best = max(shares, key=lambda pair: pair[0], default=(0.0, None))
    return best[1] if best[0] >= 0.5 else None


def refs_inside(text: str) -> str:
    """The designators that a text names, with commas between them.

    >>> refs_inside("Resistors R1, R2 and R5 (1 %)")
    'R1, R2 and R5'
    """
    plain = _BRACKET.sub(" ", text[:2_000])
    return ", ".join(run.text for run in runs_of_refs(plain) or runs_of_refs(text[:2_000]))


def _quantity_column(columns: Sequence[Column], found: Sequence[RefMatch]) -> Column | None:
    best: tuple[float, Column] | None = None
    for column in columns:
        heading = column.heading.get("quantity", 0.0)
        numbers = [whole_number(cell) for cell in column.cells]
        filled = sum(map(bool, column.cells))
        whole = sum(number is not None for number in numbers)
        if not filled or whole < 0.6 * filled:
            continue
        pairs = [
            (number, len(each.refs))
            for number, each in zip(numbers, found, strict=True)
            if number and each.refs
        ]
        agreeing = sum(number == count for number, count in pairs)
        agreement = agreeing / len(pairs) if pairs else 0.0
        counting = whole > 3 and all((after or 0) - (before or 0) == 1 for before, after in pairwise(numbers))
        score = agreement + 0.7 * heading - 0.5 * column.heading.get("number", 0.0) - (0.7 if counting else 0.0)
        score -= 0.6 * column.heading.get("value", 0.0) * (heading < 0.5)
        needed = 0.3 if heading >= 0.5 else 0.75
        if heading < 0.2 and len(pairs) < 3:
            needed = 2.0 if pairs or not _headless_count(column, columns) else -1.0
        if score >= needed and (best is None or score > best[0]):
            best = (score, column)
    return best[1] if best else None


def _headless_count(column: Column, columns: Sequence[Column]) -> bool:
    """Whether a column of small numbers without a heading can be the count of a shopping list."""
    filled = [cell for cell in column.cells if cell]
    return len(columns) > 1 and not column.heading and len(filled) > 2 and all(len(cell) < 4 for cell in filled)


def _value_column(
    columns: Sequence[Column], found: Sequence[RefMatch], lettered: bool
) -> tuple[Column | None, bool]:
    """The column of values, and whether it is no more than a description."""
    letters = [class_letters(each.refs[0]) if each.refs else "" for each in found]
    best: tuple[float, Column] | None = None
    for column in columns:
        heading = column.heading.get("value", 0.0)
        cells = [(cell, kind) for cell, kind in zip(column.cells, letters, strict=True) if kind or not lettered]
        filled = [(cell, kind) for cell, kind in cells if cell]
        if not filled and heading < 0.9:
            continue
        likeness = sum(value_likeness(cell[:300], kind) for cell, kind in filled) / max(len(filled), 1)
        measured = [value_likeness(cell[:300], kind) for cell, kind in filled if kind.upper() in _MEASURED]
        if len(measured) > 2:
            likeness = (likeness + 2 * sum(measured) / len(measured)) / 3
        coverage = len(filled) / max(len(cells), 1)
        score = likeness * (0.4 + 0.6 * coverage) + 0.5 * heading
        for role, weight in (
            ("other", 0.6), ("package", 0.5), ("number", 0.4), ("quantity", 0.5), ("note", 0.3), ("x", 0.9),
            ("y", 0.9), ("rotation", 0.9), ("side", 0.9), ("tolerance", 0.8), ("voltage", 0.7),
            ("section", 0.4), ("board", 0.4),
            ("dnp", 0.6),
        ):  # fmt: skip
            against = column.heading.get(role, 0.0)
            if role in ("number", "quantity") and column.share(whole_number) < 0.5:
                against = 0.0
            score -= weight * against if against > heading else 0.0
        score -= 0.4 * column.share(is_link_or_price)
        if score > 0.12 and (best is None or score > best[0] + 1e-9):
            best = (score, column)
    if best is None:
        return None, False
    chosen = best[1].heading
    words = max(chosen.get("description", 0.0), chosen.get("note", 0.0))
    described = words > chosen.get("value", 0.0)
    return best[1], described


def _others(columns: Sequence[Column], places: dict[str, int]) -> None:
    """The columns beside: by their headings, and packages also by what they look like."""
    for column in columns:
        heading = column.heading
        role, weight = max(heading.items(), key=lambda pair: pair[1], default=("", 0.0))
        if role in ("x", "y", "rotation", "side") and weight >= 0.8:
            places.setdefault(role, column.at)
        elif weight >= 0.4 and heading.keys() & set(_BESIDE):
            beside = max((other for other in heading if other in _BESIDE), key=lambda other: heading[other])
            if beside == role or heading[beside] >= 0.4:
                places.setdefault(beside, column.at)
        elif not heading and column.share(is_footprint) >= 0.5:
            places.setdefault("package", column.at)
        elif not heading and column.share(lambda cell: len(cell) > 12 and " " in cell) >= 0.5:
            places.setdefault("description", column.at)
