"""Tables in Markdown and in HTML, in whatever order they stand in one file."""

from __future__ import annotations

import re
from collections.abc import Sequence

from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.html_tables import MOST_CELLS, html_tables

FORM = "Markdown or HTML table"
_RULE_SIGNS = frozenset("|-:+= \t")
_PIPE = re.compile(r"(?<!\\)\|")
_HEADING = re.compile(r"\s*#{1,6}\s+(.*?)\s*#*\s*")
_BOLD_LINE = re.compile(r"\s*(?:\*\*|__)([^*_]{1,80})(?:\*\*|__)\s*:?\s*")


def marked_up(lines: Sequence[str]) -> Layout | None:
    """The tables among these lines, or None when there are none."""
    tables: list[tuple[int, SourceTable]] = []
    loose: list[SourceRow] = []
    html_lines: set[int] = set()
    for first, last, table in html_tables(lines):
        tables.append((first, table))
        html_lines.update(range(first, last + 1))
    at, title = 0, ""
    while at < len(lines):
        line = lines[at]
        end = _pipe_table(lines, at) if "|" in line and at + 1 not in html_lines else at
        if end > at:
            tables.append((at + 1, _table(lines, at, end, title)))
            at = end
            continue
        if at + 1 not in html_lines and line.strip():
            loose.append(SourceRow(line=at + 1, cells=(plain_cell(line),)))
            title = _title(line) or title
        at += 1
    if not tables:
        return None
    tables.sort(key=lambda pair: pair[0])
    return Layout(form=FORM, tables=tuple(table for _, table in tables), loose=tuple(loose))


def _title(line: str) -> str:
    found = _HEADING.fullmatch(line[:200]) or _BOLD_LINE.fullmatch(line[:200])
    return plain_cell(found[1]) if found else ""


def _pipe_table(lines: Sequence[str], at: int) -> int:
    """Where the table that begins in line `at` ends; `at` itself when none begins there."""
    if at + 1 >= len(lines) or not _is_rule(lines[at + 1]) or _is_rule(lines[at]):
        return at
    end = at + 2
    while end < len(lines) and lines[end].strip() and "|" in lines[end]:
        if end + 1 < len(lines) and _is_rule(lines[end + 1]):
            break
        end += 1
    return end


def _is_rule(line: str) -> bool:
    return ("-" in line or "=" in line) and "|" in line and _RULE_SIGNS.issuperset(line)


def _table(lines: Sequence[str], at: int, end: int, title: str) -> SourceTable:
    rule = lines[at + 1].replace("+", "|")
    outer = rule.lstrip().startswith("|")
    width = len(_cells(rule, 0, outer))
    rows = [
        SourceRow(line=here + 1, cells=tuple(map(plain_cell, _cells(lines[here], width, outer))))
        for here in (at, *range(at + 2, end))
    ]
    return SourceTable(rows=tuple(rows), headed=True, title=title)


def _cells(line: str, width: int, outer: bool) -> list[str]:
    """The cells of one line; the outer strokes may be there or not, usually as in the table's rule."""
    cells = [cell.replace("\\|", "|") for cell in _PIPE.split(line)]
    opened = line.lstrip().startswith("|")
    if opened and (outer or len(cells) > width):
        cells = cells[1:]
    if cells and not cells[-1].strip() and (not width or len(cells) > width):
        cells = cells[:-1]
    return cells[:MOST_CELLS]
