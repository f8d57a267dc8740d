"""Tables of values that a builder chooses by row, such as a filter's parts for each band."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from msgspec import Struct

from bench.papers.lists.cell_patterns import worth
from bench.papers.lists.draft import Doubt
from bench.papers.lists.refs import STRONG, find_refs
from bench.papers.lists.vocabulary import heading_roles

_CELLS = re.compile(r"\s*[|\t;]\s*")


class ChoiceTable(Struct, frozen=True, kw_only=True):
    """Designators across, and a row of values for each choice."""

    line: int
    """The line of the designators; the rows follow it."""
    refs: tuple[tuple[str, ...], ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    """What each choice is called, and its value for each group of designators."""


def choice_tables(lines: Sequence[str]) -> Iterator[ChoiceTable]:
    """The tables among these lines whose rows are alternatives to each other."""
    at = 0
    while at < len(lines):
        refs = _designators_across(lines[at])
        rows: list[tuple[str, tuple[str, ...]]] = []
        while refs and (row := _choice(lines, at + 1 + len(rows), len(refs))):
            rows.append(row)
        if len(rows) > 1:
            yield ChoiceTable(line=at + 1, refs=refs, rows=tuple(rows))
        at += 1 + len(rows)


def _designators_across(line: str) -> tuple[tuple[str, ...], ...]:
    """The designators in the cells of a line, none before the first sign; empty when it is no such line."""
    first, *cells = _CELLS.split(line.strip("|\n ") if line[:1] != " " else line.strip("\n"))
    found = [find_refs(cell.strip()) for cell in cells if cell.strip()]
    if first.strip() or len(found) < 2 or any(each.trust < STRONG or each.left for each in found):
        return ()
    return tuple(each.refs for each in found)


def _choice(lines: Sequence[str], at: int, number: int) -> tuple[str, tuple[str, ...]] | None:
    """A row with a name that is no heading, and as many values."""
    if at >= len(lines):
        return None
    name, *cells = (cell.strip() for cell in _CELLS.split(lines[at].strip("|\n ")))
    valued = sum(worth(cell) >= 0.4 for cell in cells)
    if not name or heading_roles(name) or len(cells) != number or valued * 2 < number:
        return None
    return name, tuple(cells)


def without_choices(lines: Sequence[str]) -> tuple[Sequence[str], tuple[Doubt, ...]]:
    """The lines with such tables left blank, and a question about each."""
    kept, asked = list(lines), []
    for table in choice_tables(lines):
        last = table.line + len(table.rows)
        kept[table.line - 1 : last] = [""] * (last - table.line + 1)
        refs = tuple(ref for group in table.refs for ref in group)
        names = " or ".join(name[:30] for name, _ in table.rows[:4])
        what = f"{', '.join(refs[:8])}: the values depend on the choice of {names}; none is in the list yet"
        asked.append(Doubt(line=table.line, what=what, kind="choice", refs=refs))
    return (kept if asked else lines), tuple(asked)
