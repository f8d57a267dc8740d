"""Tables in Markdown and in HTML, in whatever order they stand in one file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from bench.kit.reading.cleaning import plain_cell
from bench.kit.reading.model import Layout, Row, Table
from bench.kit.reading.refs import STRONG, find_refs
from bench.kit.reading.shapes import whole_number

FORM = "Markdown or HTML table"
_RULE_SIGNS = frozenset("|-:+= \t")
_PIPE = re.compile(r"(?<!\\)\|")
_HEADING = re.compile(r"\s*#{1,6}\s+(.*?)\s*#*\s*")
_BOLD_LINE = re.compile(r"\s*(?:\*\*|__)([^*_]{1,80})(?:\*\*|__)\s*:?\s*")
_TAG = re.compile(
    r"<(/?)(table|tr|td|th|caption|h[1-6]|title|script|style|br|p|div|li)\b([^<>]{0,2000})>", re.I
)
_SPAN = re.compile(r"colspan\s*=\s*[\"']?(\d{1,2})", re.IGNORECASE)
_DOWN = re.compile(r"rowspan\s*=\s*[\"']?(\d{1,3})", re.IGNORECASE)
_HAS_TABLE = re.compile(r"<(?:table|tr)\b", re.IGNORECASE)
_MOST_CELLS = 120


def marked_up(lines: Sequence[str]) -> Layout | None:
    """The tables among these lines, or None when there are none."""
    tables: list[tuple[int, Table]] = []
    loose: list[Row] = []
    html_lines: set[int] = set()
    if any(_HAS_TABLE.search(line) for line in lines):
        for table, first, last in _html_tables(lines):
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
            loose.append(Row(line=at + 1, cells=(plain_cell(line),)))
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


def _table(lines: Sequence[str], at: int, end: int, title: str) -> Table:
    rule = lines[at + 1].replace("+", "|")
    outer = rule.lstrip().startswith("|")
    width = len(_cells(rule, 0, outer))
    rows = [
        Row(line=here + 1, cells=tuple(map(plain_cell, _cells(lines[here], width, outer))))
        for here in (at, *range(at + 2, end))
    ]
    return Table(rows=tuple(rows), headed=True, title=title)


def _cells(line: str, width: int, outer: bool) -> list[str]:
    """The cells of one line; the outer strokes may be there or not, usually as in the table's rule."""
    cells = [cell.replace("\\|", "|") for cell in _PIPE.split(line)]
    opened = line.lstrip().startswith("|")
    if opened and (outer or len(cells) > width):
        cells = cells[1:]
    if cells and not cells[-1].strip() and (not width or len(cells) > width):
        cells = cells[:-1]
    return cells[:_MOST_CELLS]


def _html_tables(lines: Sequence[str]) -> Iterator[tuple[Table, int, int]]:
    """Each table with its first and last line."""
    text = "\n".join(lines)
    place = _Places(text)
    rows: list[Row] = []
    cells: list[str] = []
    cell: list[str] | None = None
    headed, heading, span, down, row_line, first, after, silent = False, "", 1, 1, 1, 0, 0, ""
    caught: list[str] | None = None
    hanging = _Hanging()
    for tag in _TAG.finditer(text):
        if not silent:
            said = text[after : tag.start()]
            if cell is not None:
                cell.append(said.replace("\n", " "))
            elif caught is not None:
                caught.append(said)
        after = tag.end()
        closing, name = bool(tag[1]), tag[2].lower()
        if name in ("script", "style"):
            silent = "" if closing else name
        elif name in ("br", "p", "div", "li"):
            if cell is not None and (name == "br" or not closing):
                cell.append("\n")
        elif name in ("caption", "title") or name[0] == "h":
            if closing and caught is not None:
                heading, caught = plain_cell(" ".join("".join(caught).split())), None
            elif not closing:
                caught = []
        else:
            if cell is not None:
                cells += hanging.before(len(cells))
                hanging.hang(len(cells), down, text_of := _html_text("".join(cell)))
                cells += [text_of] + [""] * (span - 1)
                cell = None
            if name in ("td", "th") and not closing:
                cell = []
                found = _SPAN.search(tag[3])
                span = min(int(found[1]), 50) if found else 1
                below = _DOWN.search(tag[3])
                down = int(below[1]) if below else 1
                headed = headed or (name == "th" and not rows)
                row_line = place.line(tag.start()) if not cells else row_line
                first = first or row_line
            if name in ("tr", "table") and cells:
                cells += hanging.row_done(len(cells))
                rows.append(Row(line=row_line, cells=tuple(cells[:_MOST_CELLS])))
                cells = []
            if name == "table" and rows:
                yield Table(rows=tuple(rows), headed=headed, title=heading), first, place.line(tag.start())
                rows, headed, first, heading, hanging = [], False, 0, "", _Hanging()
            if name == "table" and not closing:
                first = place.line(tag.start())
    if cells:
        rows.append(Row(line=row_line, cells=tuple(cells)))
    if rows:
        yield Table(rows=tuple(rows), headed=headed, title=heading), first, len(lines)


def _html_text(text: str) -> str:
    pieces = (" ".join(piece.split()) for piece in text.split("\n"))
    return plain_cell("\n".join(piece for piece in pieces if piece))


class _Hanging:
    """Cells that reach down over several rows, by the column they stand in."""

    def __init__(self) -> None:
        self._cells: dict[int, tuple[str, int]] = {}
        self._new: dict[int, tuple[str, int]] = {}

    def hang(self, at: int, rows: int, text: str) -> None:
        """Note a cell that covers so many rows; designators and counts are not said twice."""
        if rows > 1:
            again = "" if find_refs(text).trust >= STRONG or whole_number(text) is not None else text
            self._new[at] = again, rows - 1

    def before(self, at: int) -> list[str]:
        """The cells that hang where the next cell of this row would begin."""
        found: list[str] = []
        while at + len(found) in self._cells and len(found) < _MOST_CELLS:
            found.append(self._cells[at + len(found)][0])
        return found

    def row_done(self, at: int) -> list[str]:
        """The cells that hang at the end of a row; each then reaches one row less far."""
        found = self.before(at)
        left = {place: (text, rows - 1) for place, (text, rows) in self._cells.items() if rows > 1}
        self._cells, self._new = left | self._new, {}
        return found


class _Places:
    """Line numbers of ascending places in a text."""

    def __init__(self, text: str) -> None:
        self._text, self._at, self._line = text, 0, 1

    def line(self, at: int) -> int:
        """The line, from 1, of a place not before the last one asked for."""
        self._line += self._text.count("\n", self._at, at)
        self._at = max(self._at, at)
        return self._line
