"""Tables out of words in their places: by lines drawn, or by the gaps that run down the page. Pure."""

from __future__ import annotations

import itertools
import math
import statistics
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence

from msgspec import Struct

from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.refs import STRONG, find_refs
from bench.papers.pdf.bands import Piece, bands
from bench.papers.pdf.page import Extract, Page, Rule
from bench.papers.pdf.words import TextLine, Word, aligned, lines_of, repaired, words_of

RULED, BY_RIVERS = "a table with ruled lines", "columns by the gaps between them"
BY_BANDS = "columns by the gaps between them, with wrapped cells"
_SAME = 2.5
"""Points: edges no further apart are one."""
_PAGE = 5_000.0
"""Points from the top of one page to that of the next, when lines of several are looked at."""
_LEADING = 1.5
"""Of the size of the font: lines of one cell stand no further apart."""
_MOST_WRAPPED = 8
"""Lines of wrapped cells between two rows."""
_MOST_FITTING = 40
"""Lines below the cells of a row that may be more of them."""
_A_SIDE = 4.0
"""Points: what is shorter is no side of a cell."""
_BINS = 2
"""To a point, when gaps are looked for."""
_TOGETHER = 0.1
"""Of neighbours in a line: so many were set in one go, where a text set in one go is a cell."""
_BEGUN = 0.7
"""Of the lines: so many begin a text where a column begins without a gap before it."""
_CROSSED = 0.06
"""Of the lines of a table: so many may run across the gap between two columns."""


class Recovered(Struct, frozen=True, kw_only=True):
    """A PDF as lines of text, and the tables found in them."""

    lines: tuple[str, ...]
    pages: tuple[int, ...]
    """The page of each line."""
    layouts: tuple[Layout, ...] = ()


class _Line(Struct, frozen=True, kw_only=True):
    """A line of writing with its number in the whole text."""

    number: int
    text: TextLine


class _Table(Struct, frozen=True, kw_only=True):
    edges: tuple[float, ...]
    """Between its columns, from left to right; without the outer ones."""
    rows: tuple[SourceRow, ...]


def recovered(extract: Extract) -> Recovered:
    """All lines of all pages, with the tables that can be made of them."""
    texts: list[str] = []
    pages: list[int] = []
    ruled: list[_Table] = []
    everything: list[_Line] = []
    for page in extract.pages:
        of_page = lines_of(words_of(page), page.number)
        lines = [_Line(number=len(texts) + at, text=line) for at, line in enumerate(of_page, 1)]
        texts += [repaired(line) for line in aligned(of_page)]
        pages += [page.number] * len(of_page)
        ruled += _ruled(page, lines)
        everything += lines
    rivers, banded = _by_rivers(everything)
    ways = ((RULED, ruled), (BY_BANDS, banded), (BY_RIVERS, rivers))
    found = [_layout(form, tables, texts) for form, tables in ways if tables]
    return Recovered(lines=tuple(texts), pages=tuple(pages), layouts=tuple(found))


def _layout(form: str, tables: Sequence[_Table], texts: Sequence[str]) -> Layout:
    """Tables as one way of cutting up the file; one that goes on over the page is one table."""
    joined: list[_Table] = []
    for table in tables:
        if joined and _go_on(joined[-1], table):
            joined[-1] = _Table(edges=joined[-1].edges, rows=(*joined[-1].rows, *table.rows))
        else:
            joined.append(table)
    taken = {row.line for table in tables for row in table.rows}
    last = {row.line: max(row.line, 0) for table in tables for row in table.rows}
    loose = [
        SourceRow(line=number, cells=(text,))
        for number, text in enumerate(texts, 1)
        if text.strip() and number not in taken and number not in last
    ]
    return Layout(form=form, tables=tuple(SourceTable(rows=table.rows) for table in joined), loose=tuple(loose))


def _go_on(before: _Table, after: _Table) -> bool:
    """Whether a table goes on with another one: the same columns in the same places."""
    return len(before.edges) == len(after.edges) and all(
        abs(a - b) < 4 * _SAME for a, b in zip(before.edges, after.edges, strict=True)
    )


# -- tables with lines drawn ---------------------------------------------------------------------


def _ruled(page: Page, lines: Sequence[_Line]) -> Iterator[_Table]:
    """Tables whose cells lie between drawn lines."""
    for box in _boxes([rule for rule in page.rules if rule.x1 - rule.x0 + rule.y1 - rule.y0 > _A_SIDE]):
        upright = [rule for rule in box if rule.x1 - rule.x0 < rule.y1 - rule.y0]
        level = [rule for rule in box if rule.x1 - rule.x0 >= rule.y1 - rule.y0]
        edges = _places([rule.x0 for rule in upright])
        if len(edges) < 3:
            continue
        ends = [min(rule.y0 for rule in upright), max(rule.y1 for rule in upright)]  # where a page cuts a row
        heights = _places([*(rule.y0 for rule in level), *ends])
        rows = tuple(_cells(lines, edges, heights))
        if rows:
            yield _Table(edges=tuple(edges[1:-1]), rows=rows)


def _boxes(rules: Sequence[Rule]) -> list[list[Rule]]:
    """Rules that touch one another, table by table."""
    groups: list[tuple[list[float], list[Rule]]] = []
    for rule in sorted(rules, key=lambda rule: -rule.y1):
        box = [rule.x0 - _SAME, rule.y0 - _SAME, rule.x1 + _SAME, rule.y1 + _SAME]
        members = [rule]
        apart = []
        for other, of_other in groups:
            if other[0] <= box[2] and box[0] <= other[2] and other[1] <= box[3] and box[1] <= other[3]:
                box = [
                    min(box[0], other[0]),
                    min(box[1], other[1]),
                    max(box[2], other[2]),
                    max(box[3], other[3]),
                ]
                members = of_other + members
            else:
                apart.append((other, of_other))
        groups = [*apart, (box, members)]
    return [members for _, members in groups if len(members) >= 6]


def _places(values: Sequence[float]) -> list[float]:
    """Places at which lines stand, each once."""
    found: list[list[float]] = []
    for value in sorted(values):
        if found and value - found[-1][-1] <= _SAME:
            found[-1].append(value)
        else:
            found.append([value])
    return [statistics.fmean(each) for each in found]


def _cells(lines: Sequence[_Line], upright: Sequence[float], heights: Sequence[float]) -> Iterator[SourceRow]:
    """Rows from top to bottom: the words between two lines in each direction."""
    banded: dict[int, list[_Line]] = {}
    for line in lines:
        word = line.text.words[0]
        band = bisect_right(heights, (word.bottom + word.top) / 2)
        if 0 < band < len(heights):
            banded.setdefault(band, []).append(line)
    for band in sorted(banded, reverse=True):
        cells = [""] * (len(upright) - 1)
        for line in banded[band]:
            for word in line.text.words:
                column = bisect_right(upright, word.centre[0]) - 1
                if 0 <= column < len(cells):
                    cells[column] = f"{cells[column]} {word.text}".strip()
        if any(cells):
            yield SourceRow(line=banded[band][0].number, cells=tuple(map(repaired, cells)))


# -- tables without lines ------------------------------------------------------------------------


def _by_rivers(lines: Sequence[_Line]) -> tuple[list[_Table], list[_Table]]:
    """Tables whose columns lie between gaps that run down the page: line by line, and with wrapped cells."""
    plain, banded = [], []
    for block in _blocks(lines):
        edges = _rivers([line.text for line in block])
        if not edges:
            continue
        size = statistics.median(word.size for line in block for word in line.text.words)
        rows = [
            _Row(line.text.base - _PAGE * line.text.page, line.number, _in_columns(line.text, edges))
            for line in block
        ]
        merged = [
            SourceRow(line=row.number, cells=tuple(map(repaired, row.cells))) for row in _merged(rows, size)
        ]
        plain.append(_Table(edges=tuple(edges), rows=tuple(merged)))
        pieces = [piece for line in block for piece in _pieces(line, edges)]
        if found := bands(pieces, len(edges) + 1):
            cells = [SourceRow(line=row.number, cells=tuple(map(repaired, row.cells))) for row in found]
            banded.append(_Table(edges=tuple(edges), rows=tuple(cells)))
    return plain, banded


def _pieces(line: _Line, edges: Sequence[float]) -> Iterator[Piece]:
    """What a line of writing holds of each column."""
    for column, text in enumerate(_in_columns(line.text, edges)):
        if text:
            size = line.text.words[0].size
            yield Piece(
                column=column, text=text, base=line.text.base, size=size, number=line.number,
                page=line.text.page,
            )  # fmt: skip


class _Row:
    """A row of a table, or a piece of one that is wrapped."""

    def __init__(self, base: float, number: int, cells: list[str]) -> None:
        self.base = base
        self.number = number
        self.cells = cells
        self.filled = sum(map(bool, cells))

    def take(self, piece: _Row) -> None:
        """Take in a piece that stands above or below."""
        pairs = zip(self.cells, piece.cells, strict=True)
        self.cells = [
            " ".join(filter(None, (theirs, mine) if piece.number < self.number else (mine, theirs)))
            for mine, theirs in pairs
        ]
        self.number = min(self.number, piece.number)


def _in_columns(line: TextLine, edges: Sequence[float]) -> list[str]:
    cells = [""] * (len(edges) + 1)
    columns = [bisect_right(edges, word.centre[0]) for word in line.words]
    held = set(zip(columns, (word.run for word in line.words), strict=True))
    before: Word | None = None
    for at, word in enumerate(line.words):
        goes_on = before is not None and before.run == word.run and word.left - before.right <= 0.5 * word.size
        if goes_on and any(column == columns[at] and run != word.run for column, run in held):
            columns[at] = columns[at - 1]  # it reaches over into a column that has a cell of its own
        cells[columns[at]] = f"{cells[columns[at]]} {word.text}".strip()
        before = word
    return cells


def _merged(rows: Sequence[_Row], size: float) -> list[_Row]:
    """Rows with the pieces of their wrapped cells, which stand nearer to them than rows do to one another."""
    least = max(2, 0.6 * statistics.median(row.filled for row in rows))
    pairs = list(itertools.pairwise(rows))
    between = [a.base - b.base for a, b in pairs if min(a.filled, b.filled) >= least]
    near = min(0.9 * statistics.median(between) if between else math.inf, _LEADING * size)
    below = [*(a.base - b.base for a, b in pairs), math.inf]
    out: list[_Row] = []
    waiting: list[_Row] = []
    for row, above, under in zip(rows, [math.inf, *below], below, strict=False):
        if row.filled >= least:
            for piece in reversed(waiting):
                row.take(piece)
            waiting = []
            out.append(row)
        elif out and not waiting and (_goes_on(out[-1], row) or above <= min(near, under)):
            out[-1].take(row)
        elif under < near or (waiting and above < near):
            waiting.append(row)
        else:
            out += [*waiting, row]
            waiting = []
    return out + waiting


def _goes_on(row: _Row, piece: _Row) -> bool:
    """Whether a cell of the row ends with a comma, and the piece has more for it."""
    return any(mine.endswith(",") and more for mine, more in zip(row.cells, piece.cells, strict=True))


def _blocks(lines: Sequence[_Line]) -> Iterator[list[_Line]]:
    """Lines that may be rows of one table, over all pages: from the first with gaps to the last.

    Wrapped cells stand between them in lines with fewer gaps, below a cell of the row before; prose, or many
    other lines, end the table.
    """
    block: list[_Line] = []
    row: Sequence[tuple[float, float]] = ()
    begins: set[int] = set()
    loose = since = 0
    for line in lines:
        stretches = _stretches(line.text)
        if len(stretches) >= 3:
            row = stretches if len(stretches) >= len(row) or loose else row
            begins |= {round(begin) for begin, _ in stretches}
            block.append(line)
            loose = since = 0
        elif block:
            fits = since < _MOST_FITTING and all(
                round(each[0]) in begins or _lies_in(each, row) for each in stretches
            )
            block.append(line)
            since += 1
            loose = 0 if fits else loose + 1
            prose = _is_prose(stretches, row) and find_refs(line.text.text).trust < STRONG
            if loose > _MOST_WRAPPED or prose:
                yield from _long_enough(block[: -max(loose, 1)])
                block, row, begins, loose, since = [], (), set(), 0, 0
    yield from _long_enough(block[: len(block) - loose])


def _lies_in(stretch: tuple[float, float], row: Sequence[tuple[float, float]]) -> bool:
    """Whether a stretch of a line lies above or below one stretch of a row and no other."""
    return sum(begin < stretch[1] and stretch[0] < end for begin, end in row) == 1


def _is_prose(line: Sequence[tuple[float, float]], row: Sequence[tuple[float, float]]) -> bool:
    """Whether a line without gaps begins in the first column and reaches over half of the row."""
    (begin, end), *more = line
    reaches = end > row[1][0] and end - begin > 0.5 * (row[-1][1] - row[0][0])
    return not more and begin < row[0][1] and reaches


def _long_enough(block: list[_Line]) -> Iterator[list[_Line]]:
    if len(block) >= 4:
        yield block


def _segments(line: TextLine) -> int:
    """How many stretches of a line stand apart from one another."""
    return len(_stretches(line))


def _stretches(line: TextLine) -> list[tuple[float, float]]:
    """Where the stretches of a line that stand apart from one another begin and end."""
    found: list[tuple[float, float]] = []
    for word in line.words:
        if found and word.left - found[-1][1] <= 0.8 * word.size:
            found[-1] = found[-1][0], max(word.right, found[-1][1])
        else:
            found.append((word.left, word.right))
    return found


def _rivers(lines: Sequence[TextLine]) -> list[float]:
    """The middle of each gap that runs down between columns."""
    rows = [line for line in lines if _segments(line) >= 3]
    size = statistics.median(word.size for line in rows for word in line.words)
    left = min(line.words[0].left for line in lines)
    right = max(line.words[-1].right for line in lines)
    covered = [0] * (int((right - left) * _BINS) + 2)
    for line in lines:
        for at in {at for word in line.words for at in _bins(word, left)}:
            covered[at] += 1
    most = _CROSSED * len(lines)
    gaps, begins = [], None
    for at, number in enumerate(covered):
        if number <= most:
            begins = at if begins is None else begins
        elif begins is not None:
            if begins > 0 and at - begins >= _BINS * max(0.2 * size, 1.5):
                low, high = _emptiest(covered, begins, at)
                gaps.append((left + low / _BINS, left + high / _BINS))
            begins = None
    gaps += [gap for gap in _at_runs(lines, max(most, 1)) if all(abs(gap[1] - each[1]) > 3 for each in gaps)]
    return _between_columns(sorted(gaps), rows, lines, size)


def _at_runs(lines: Sequence[TextLine], most: float) -> list[tuple[float, float]]:
    """Places where text that was set in one go begins in most lines, and that no more than `most` run across.

    Nothing where each word was set by itself: there words of one cell may stand under one another.
    """
    pairs = [pair for line in lines for pair in itertools.pairwise(line.words)]
    together = sum(before.run == after.run for before, after in pairs)
    if together < _TOGETHER * len(pairs):
        return []
    begins = Counter(round(after.left) for before, after in pairs if before.run != after.run)
    found = []
    for at, number in begins.items():
        across = sum(
            any(word.left < at - 1.5 and word.right > at + 1.5 for word in line.words) for line in lines
        )
        if number >= _BEGUN * len(lines) and across <= most:
            found.append((at - 0.5, float(at)))
    return found


def _emptiest(covered: Sequence[int], begin: int, end: int) -> tuple[int, int]:
    """The widest stretch of a gap that the fewest lines run across."""
    least = min(covered[begin:end])
    runs = itertools.groupby(range(begin, end), key=lambda at: covered[at] == least)
    widest = max((list(run) for empty, run in runs if empty), key=len)
    return widest[0], widest[-1] + 1


def _between_columns(
    gaps: list[tuple[float, float]], rows: Sequence[TextLine], lines: Sequence[TextLine], size: float
) -> list[float]:
    """The middle of each gap that parts columns; of those that do not the narrowest is left out first."""
    while True:
        edges = [(begin + end) / 2 for begin, end in gaps]
        outer = [-math.inf, *edges, math.inf]
        poor = [
            gap
            for gap, begin, edge, end in zip(gaps, outer, edges, outer[2:], strict=False)
            if not _parts_columns(rows, begin, edge, math.inf, size)
            or not _parts_columns(rows, -math.inf, edge, end, size)
            or _is_inside(lines, begin, edge, end, size, len(rows))
        ]
        if not poor:
            return edges
        gaps.remove(min(poor, key=lambda gap: gap[1] - gap[0]))


def _parts_columns(rows: Sequence[TextLine], begin: float, edge: float, end: float, size: float) -> bool:
    """Whether a gap is one between columns, and not one of words that happen to stand under one another.

    Looked at are lines with words on both sides of it, from `begin` to `end`.
    """
    gaps = list(_gaps_at(rows, begin, edge, end))
    return bool(gaps) and (statistics.median(gaps) > 0.5 * size or len(gaps) >= 0.8 * len(rows))


def _is_inside(
    lines: Sequence[TextLine], begin: float, edge: float, end: float, size: float, rows: int
) -> bool:
    """Whether a gap is one of words inside a column: few lines have words on both sides, and those go on."""
    gaps = list(_gaps_at(lines, begin, edge, end))
    return 1 < len(gaps) < 0.8 * rows and statistics.median(gaps) <= 0.5 * size


def _gaps_at(lines: Sequence[TextLine], begin: float, edge: float, end: float) -> Iterator[float]:
    """How far apart the words before and behind a gap stand, line by line; looked at from `begin` to `end`."""
    for line in lines:
        before = [word.right for word in line.words if begin <= word.centre[0] < edge]
        after = [word.left for word in line.words if edge <= word.centre[0] < end]
        if before and after:
            yield min(after) - max(before)


def _bins(word: Word, left: float) -> range:
    return range(max(int((word.left - left) * _BINS), 0), max(int((word.right - left) * _BINS), 0) + 1)
