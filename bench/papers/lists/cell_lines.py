"""Tables typed a cell or a few to a line: in the marks of wikis and of AsciiDoc, or with none at all."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import takewhile

from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.refs import STRONG, find_refs
from bench.papers.lists.vocabulary import heading_roles

FORM = "a cell on each line"
_WIKI_OPENS, _WIKI_CLOSES = re.compile(r"\s*\{\|"), re.compile(r"\s*\|\}")
_WIKI_CELL = re.compile(r"\|\||!!")
_SETTINGS = re.compile(r"""^(?:\s*[a-z-]{2,20}\s*=\s*(?:"[^"|]*"|'[^'|]*'|[\w%#.]+))+\s*\|(?!\|)""")
"""How a wiki's cell is set, before the stroke that begins its text."""
_ASCIIDOC_EDGE = re.compile(r"\s*\|={3,}\s*")
_ASCIIDOC_CELL = re.compile(r"(?<!\\)(?:(?<=\s)|^)(?:\d+\*|[\d.]*\+)?[<^>.]{0,3}[adehlms]?\|")
_COLUMNS = re.compile(r"""\[.*\bcols\s*=\s*["']?(?:(\d+)\*|([^"'\]]+))""")
_MOST_COLUMNS = 8
_SOON = 60
"""Lines among which the headings of a table without marks must begin."""
_NEARLY_ALL = 0.8
"""Share of the rows that must begin with designators where no marks tell rows apart."""
_Cells = list[tuple[int, str]]
"""Cells with their lines, from 1."""


def cell_lines(lines: Sequence[str]) -> Iterator[Layout]:
    """The layouts in which a row of a table goes over several lines."""
    marked = [*_wiki_tables(lines), *_asciidoc_tables(lines)]
    yield from filter(None, (_layout(lines, marked), _layout(lines, list(_bare_tables(lines)))))


def _layout(lines: Sequence[str], tables: Sequence[tuple[range, SourceTable]]) -> Layout | None:
    if not tables:
        return None
    inside = {at for where, _ in tables for at in where}
    loose = (SourceRow(line=at, cells=(line.strip(),)) for at, line in enumerate(lines, 1) if at not in inside)
    return Layout(form=FORM, tables=tuple(table for _, table in tables), loose=tuple(loose))


def _table(rows: Sequence[_Cells], *, headed: bool) -> SourceTable:
    full = (SourceRow(line=row[0][0], cells=tuple(plain_cell(text) for _, text in row)) for row in rows if row)
    return SourceTable(rows=tuple(full), headed=headed)


def _rows(cells: _Cells, width: int) -> list[_Cells]:
    return [cells[at : at + width] for at in range(0, len(cells), width)]


def _wiki_tables(lines: Sequence[str]) -> Iterator[tuple[range, SourceTable]]:
    """Tables from `{|` to `|}`, their rows between lines that begin with `|-`."""
    began, rows, headed = 0, list[_Cells](), False
    for at, line in enumerate(lines, 1):
        text = line.strip()
        if _WIKI_OPENS.match(line):
            began, rows, headed = at, [[]], False
        elif began and _WIKI_CLOSES.match(line):
            yield range(began, at + 1), _table(rows, headed=headed)
            began = 0
        elif began and text.startswith("|-"):
            rows.append([])
        elif began and text.startswith(("|", "!")) and not text.startswith("|+"):
            headed |= text.startswith("!") and len(list(filter(None, rows))) < 2
            rows[-1] += [(at, _SETTINGS.sub("", each)) for each in _WIKI_CELL.split(text[1:])]
        elif began and rows[-1]:
            before, said = rows[-1][-1]
            rows[-1][-1] = before, f"{said} {text}"


def _asciidoc_tables(lines: Sequence[str]) -> Iterator[tuple[range, SourceTable]]:
    """Tables between two lines of `|===`: as wide as `cols` says, else as their first line."""
    began, cells, width, said = 0, _Cells(), 0, 0
    for at, line in enumerate(lines, 1):
        if _ASCIIDOC_EDGE.fullmatch(line):
            if began and width:
                yield range(began, at + 1), _table(_rows(cells, width), headed=True)
            began, cells, width, said = 0 if began else at, [], said, 0
        elif not began:
            found = _COLUMNS.match(line.strip())
            said = 0 if found is None else int(found[1]) if found[1] else found[2].count(",") + 1
        elif parts := _ASCIIDOC_CELL.split(line)[1:]:
            cells += [(at, each) for each in parts]
            width = width or len(parts)
        elif cells and line.strip():
            cells[-1] = cells[-1][0], f"{cells[-1][1]} {line.strip()}"


def _bare_tables(lines: Sequence[str]) -> Iterator[tuple[range, SourceTable]]:
    """A table copied cell by cell: its headings under each other, then its cells in the same order."""
    filled = [(at, line.strip()) for at, line in enumerate(lines, 1) if line.strip()]
    for first, (_, text) in enumerate(filled[:_SOON]):
        if "ref" not in heading_roles(text):
            continue
        heads = list(takewhile(lambda each: heading_roles(each[1]), filled[first : first + _MOST_COLUMNS]))
        rows = _rows(filled[first:], len(heads))
        named = [find_refs(row[0][1]) for row in rows[1:]]
        sure = sum(each.trust >= STRONG and not each.left for each in named)
        if len(heads) > 1 and sure > 1 and sure >= _NEARLY_ALL * len(named):
            yield range(filled[first][0], len(lines) + 1), _table(rows, headed=True)
            return
