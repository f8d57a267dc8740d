"""Tables in HTML, one in another as well; read by Python's own parser, however tags are left open."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from html.parser import HTMLParser

from bench.papers.lists.cell_patterns import whole_number
from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import SourceRow, SourceTable
from bench.papers.lists.refs import STRONG, find_refs

MOST_CELLS = 120
"""Cells of a row that are kept."""
_MOST_NESTED = 30
_MOST_COLUMNS, _MOST_ROWS = 50, 999
"""Cells that one cell may span."""
_HAS_TABLE = re.compile(r"<(?:table|tr)\b", re.IGNORECASE)
_UNREAD = [
    (re.compile(begin, re.IGNORECASE), re.compile(end, re.IGNORECASE))
    for begin, end in (("<!--", "-->"), (r"<script\b", r"</script\s*>"), (r"<style\b", r"</style\s*>"))
]
"""How what nobody reads on a page begins and ends."""
_TAG = re.compile(r"<(/?(?!script|style)[a-z][a-z0-9]{0,30}\b[^<>]{0,2000}>)?", re.IGNORECASE)
_NUMBER = re.compile(r"\s*(\d{1,4})")
_HEADINGS = frozenset(("caption", "title", "h1", "h2", "h3", "h4", "h5", "h6"))
_NEW_LINES = frozenset(("br", "p", "div", "li"))

HtmlRows = tuple[int, int, SourceTable]
"""First line, last line, and the table there."""


def html_tables(lines: Sequence[str]) -> list[HtmlRows]:
    """The tables among these lines, each where it begins; a table in a cell stands for itself."""
    if not any(_HAS_TABLE.search(line) for line in lines):
        return []
    reader = _Reader()
    reader.feed(_TAG.sub(_sound, _read_part("\n".join(lines)).replace("&", "&amp;")))
    reader.close()
    reader.end_all(len(lines))
    return [each for _, each in sorted(reader.found, key=lambda found: found[0])]


def _read_part(text: str) -> str:
    """A text with only the line ends left of what nobody reads; what never ends is no such thing."""
    for begins, ends in _UNREAD:
        kept, at = [], 0
        while (begin := begins.search(text, at)) and (end := ends.search(text, begin.end())):
            kept += [text[at : begin.start()], "\n" * text.count("\n", begin.start(), end.start())]
            at = end.end()
        text = "".join([*kept, text[at:]])
    return text


def _sound(found: re.Match[str]) -> str:
    """A tag without the quotes that lack their other half; the sign for less than where it is no tag."""
    if found[1] is None:
        return "&lt;"
    odd = found[0].count('"') % 2 or found[0].count("'") % 2
    return found[0].replace('"', "").replace("'", "") if odd else found[0]


class _Open:
    """A table that is being read."""

    def __init__(self, first: int = 0, title: str = "", number: int = 0) -> None:
        self.first, self.title, self.number = first, title, number
        self.rows: list[SourceRow] = []
        self.headed = False
        self.cell: list[str] | None = None
        self._cells: list[str] = []
        self._row_line, self._span, self._down = 1, 1, 1
        self._hanging = _Hanging()

    def begin_cell(self, tag: str, line: int, attributes: dict[str, str | None]) -> None:
        """A new cell; the one before it ends here."""
        self.end_cell()
        self.cell = []
        self._span = _number(attributes.get("colspan"), _MOST_COLUMNS)
        self._down = _number(attributes.get("rowspan"), _MOST_ROWS)
        self.headed = self.headed or (tag == "th" and not self.rows)
        if not self._cells:
            self._row_line = line
        self.first = self.first or line

    def end_cell(self) -> None:
        """The open cell, if there is one, ends."""
        if self.cell is None:
            return
        self._cells += self._hanging.before(len(self._cells))
        text = _text("".join(self.cell))
        self._hanging.hang(len(self._cells), self._down, text)
        self._cells += [text] + [""] * (self._span - 1)
        self.cell = None

    def end_row(self) -> None:
        """The open row, if there is one, ends."""
        self.end_cell()
        if self._cells:
            self._cells += self._hanging.row_done(len(self._cells))
            self.rows.append(SourceRow(line=self._row_line, cells=tuple(self._cells[:MOST_CELLS])))
            self._cells = []


class _Reader(HTMLParser):
    """Goes through a page and keeps its tables."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[int, HtmlRows]] = []
        """Each table with its number in the order in which they begin."""
        self._open = [_Open()]
        self._begun = 0
        """Tables by depth; the first is for rows outside of any."""
        self._heading = ""
        self._caught: list[str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag begins something; what is no part of a table stays in its cell for `plain_cell`."""
        table, line = self._open[-1], self.getpos()[0]
        if tag == "table":
            self._begin_table(line)
        elif tag == "tr":
            table.end_row()
        elif tag in ("td", "th"):
            table.begin_cell(tag, line, dict(attrs))
        elif table.cell is not None:
            table.cell.append("\n" if tag in _NEW_LINES else html.unescape(self.get_starttag_text() or ""))
        elif tag in _HEADINGS:
            self._caught = []

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """In HTML a stroke at the end of a tag says nothing."""
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        """A tag ends something."""
        table = self._open[-1]
        if tag == "table":
            self._end_table(self.getpos()[0])
        elif tag == "tr":
            table.end_row()
        elif tag in ("td", "th"):
            table.end_cell()
        elif table.cell is not None and tag not in _NEW_LINES:
            table.cell.append(f"</{tag}>")
        elif tag in _HEADINGS and self._caught is not None:
            self._head(plain_cell(" ".join("".join(self._caught).split())))

    def handle_data(self, data: str) -> None:
        """Text between tags."""
        cell = self._open[-1].cell
        if cell is not None:
            cell.append(data.replace("\n", " "))
        elif self._caught is not None:
            self._caught.append(data)

    def end_all(self, line: int) -> None:
        """The page is at its end, and with it all that was left open."""
        while len(self._open) > 1:
            self._end_table(line)
        self._end_table(line)

    def _head(self, heading: str) -> None:
        self._caught = None
        if len(self._open) > 1:
            self._open[-1].title = heading
        else:
            self._heading = heading

    def _begin_table(self, line: int) -> None:
        """One in a cell of another, or one after another that was left open."""
        if self._open[-1].cell is None or len(self._open) in (1, _MOST_NESTED):
            self._end_table(line)
        self._begun += 1
        self._open.append(_Open(line, self._heading, self._begun))
        self._heading = ""

    def _end_table(self, line: int) -> None:
        table = self._open.pop()
        table.end_row()
        outermost = not self._open
        title = self._heading if outermost else table.title
        if table.rows:
            found = SourceTable(rows=tuple(table.rows), headed=table.headed, title=title)
            self.found.append((table.number, (table.first, line, found)))
            title = ""
        self._heading = title if outermost else self._heading or title
        if outermost:
            self._open = [_Open(number=self._begun)]


def _number(text: str | None, most: int) -> int:
    """What an attribute says of columns or rows; 1 where it says nothing."""
    found = _NUMBER.match(text or "")
    return min(int(found[1]), most) if found else 1


def _text(text: str) -> str:
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
        while at + len(found) in self._cells and len(found) < MOST_CELLS:
            found.append(self._cells[at + len(found)][0])
        return found

    def row_done(self, at: int) -> list[str]:
        """The cells that hang at the end of a row; each then reaches one row less far."""
        found = self.before(at)
        left = {place: (text, rows - 1) for place, (text, rows) in self._cells.items() if rows > 1}
        self._cells, self._new = left | self._new, {}
        return found
