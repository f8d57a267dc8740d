"""Columns lined up with spaces: cut where the header's words begin, at gaps, or at empty strips."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from bench.papers.lists.cell_patterns import is_rating
from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.line_entries import with_ratings
from bench.papers.lists.refs import STRONG, find_refs
from bench.papers.lists.runs import runs_of_refs
from bench.papers.lists.vocabulary import heading_roles

BY_PLACE = "columns lined up with spaces"
BY_STRIPS = "columns lined up with spaces and no usable heading"
BY_GAPS = "columns with two or more spaces between them"
_WORD = re.compile(r"\S+")
_GAP = re.compile(r" {2,}|\t+ *")
_MOST_CELLS = 60
_RULE = re.compile(r"[\s=_*+|:.–—-]+")
_AGREE, _APART = 0.93, 0.6
"""Share of the lines with a space before a column: after one space in the heading, and after more."""


def aligned(lines: Sequence[str]) -> Iterator[Layout]:
    """The layouts that spaces allow."""
    spaced = [line.expandtabs(8).rstrip() for line in lines]
    gapped = sum(bool(_GAP.search(line.strip())) for line in spaced)
    filled = sum(bool(line) for line in spaced)
    if gapped < 2 or gapped * 4 < filled:
        return
    tabbed = sum("\t" in line.strip() for line in lines) * 3 > filled
    by_header = _by_header(
        [line.strip("\t").partition("\t")[0].rstrip() for line in lines] if tabbed else spaced
    )
    if by_header:
        yield Layout(form=BY_PLACE, tables=by_header)
    by_strips = None if tabbed else _by_strips(spaced)
    if by_strips:
        yield Layout(form=BY_STRIPS, tables=(by_strips,))
    yield Layout(form=BY_GAPS, tables=(SourceTable(rows=tuple(_gap_rows(spaced))),))


def _gap_rows(lines: Sequence[str]) -> Iterator[SourceRow]:
    split = [_GAP.split(line.strip("| "), maxsplit=_MOST_CELLS) for line in lines]
    headed = any(len(cells) > 1 and is_heading(cells) for cells in split)
    for at, (line, texts) in enumerate(zip(lines, split, strict=True), 1):
        cells = tuple(plain_cell(cell.strip("| ")) for cell in texts)
        if line[:4] == "    " and find_refs(cells[0]).trust >= STRONG and len(cells) == 1:
            cells = ("", *cells)
        for entry in [cells] if headed else _typed_entries(cells):
            yield SourceRow(line=at, cells=entry)


def _typed_entries(cells: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    """The entries of a line typed by hand: one or more, each with its ratings beside its value."""
    starts = [at for at, cell in enumerate(cells) if find_refs(cell).trust >= STRONG]
    if len(starts) > 1 and starts[-1] == len(cells) - 1 and is_rating(cells[-1]):
        starts.pop()  # `ECC83 valves   X2`
    apart = all(after - before > 1 for before, after in pairwise([*starts, len(cells)]))
    if not starts or starts[0] or not apart:
        yield _cut_behind_refs(cells) if len(cells) == 1 else cells
        return
    for begin, end in pairwise([*starts, len(cells)]):
        ref, *values = cells[begin:end]
        value, more = with_ratings(values[0], "  ".join(filter(None, values[1:])))
        yield (ref, value, *filter(None, [more])) if value != values[0] else (ref, *values)


def _cut_behind_refs(cells: tuple[str, ...]) -> tuple[str, ...]:
    """A line with one space instead of a gap behind its designators: `L3 10 uH`."""
    run = next(iter(runs_of_refs(cells[0])), None)
    value = cells[0][run.end :] if run is not None and not run.begin else ""
    fits = value[:1] == " " and any(map(str.isdigit, value)) and len(value) < 40
    return (cells[0][: run.end], value.strip()) if run is not None and fits else cells


def is_heading(words: Sequence[str]) -> bool:
    """Whether these words stand above columns: at least two known headings and hardly anything else."""
    known = [roles for word in words if not any(map(str.isdigit, word)) and (roles := heading_roles(word))]
    if len(known) < 2 or len(known) * 2 < len(words):
        return False
    sure = any(weight >= 0.4 for roles in known for weight in roles.values())
    return sure and not any(find_refs(word).trust >= STRONG for word in words)


def _by_header(lines: Sequence[str]) -> tuple[SourceTable, ...]:
    """One table for each line of headings, cut where its words begin."""
    heads = [at for at, line in enumerate(lines) if line and len(line) < 400 and _heads(line)]
    if not heads:
        return ()
    tables: list[SourceTable] = []
    before = tuple(SourceRow(line=at, cells=(line.strip(),)) for at, line in enumerate(lines[: heads[0]], 1))
    for head, end in zip(heads, [*heads[1:], len(lines)], strict=True):
        body = [line for line in lines[head + 1 : end] if line and not _RULE.fullmatch(line)]
        starts = _starts(lines[head], body)
        if len(starts) < 2:
            continue
        rows = [_strip_row(at + 1, lines[at], starts) for at in range(head, end)]
        tables.append(SourceTable(rows=(*before, *rows)))
        before = ()
    return tuple(tables)


def _heads(line: str) -> bool:
    words = _GAP.split(line.strip())
    return is_heading(words) or is_heading(line.split())


def _starts(head: str, body: Sequence[str]) -> list[int]:
    """Where columns begin: where a word of the heading begins and nearly every line has a space before."""
    starts: list[int] = []
    words = list(_WORD.finditer(head))
    for at, word in enumerate(words):
        start = word.start()
        gap = start - words[at - 1].end() if at else 2
        reaching = [line for line in body if len(line) > start]
        fitting = sum(line[start - 1] == " " for line in reaching) if start else len(reaching)
        both_known = all(heading_roles(each[0]) for each in words[max(0, at - 1) : at + 1])
        begun = sum(line[start] != " " and (not start or line[start - 1] == " ") for line in reaching)
        if (
            not at
            or (gap > 1 and fitting >= _APART * len(reaching))
            or (fitting >= _AGREE * len(reaching) and begun * 2 > len(reaching))
            or (fitting == len(reaching) and begun * 4 > len(reaching) and both_known)
        ):
            starts.append(start)
    return [0, *starts[1:]] if starts else []


def _cut(line: int, text: str, starts: Sequence[int]) -> SourceRow:
    """The cells of one line; a word that lies across a border goes to the cell where it begins."""
    cuts = [0]
    for start in starts[1:]:
        at = start
        if at < len(text) and text[at] != " " and text[at - 1] != " ":
            begin = text.rfind(" ", 0, at) + 1
            end = text.find(" ", at)
            at = begin if at - begin <= 2 and begin > cuts[-1] else (len(text) if end < 0 else end)
        cuts.append(max(at, cuts[-1]))
    cells = [text[cut:end].strip("| ") for cut, end in zip(cuts, [*cuts[1:], len(text)], strict=True)]
    return SourceRow(line=line, cells=tuple(map(plain_cell, cells)))


def _by_strips(lines: Sequence[str]) -> SourceTable | None:
    """Cut where at least two columns of signs are empty in nearly every line that has a gap."""
    body = [line for line in lines if line and not _RULE.fullmatch(line) and _GAP.search(line.strip())][:400]
    width = min(max(map(len, body), default=0), 300)
    if len(body) < 4:
        return None
    taken = [0] * (width + 1)
    for line in body:
        for word in _WORD.finditer(line[:width]):
            for at in range(*word.span()):
                taken[at] += 1
    allowed = len(body) * 0.03
    starts = [at for at in range(2, width) if taken[at] > allowed and max(taken[at - 2 : at]) <= allowed]
    if not starts:
        return None
    return SourceTable(rows=tuple(_strip_row(at, line, [0, *starts]) for at, line in enumerate(lines, 1)))


def _strip_row(at: int, line: str, starts: Sequence[int]) -> SourceRow:
    """The cells of one line; words without a gap, a count or designators are a title, not cells."""
    row, text = _cut(at, line, starts), line.strip()
    inside = text[:1].isdigit() or line[:1] == " "
    if inside or _GAP.search(text) or any(find_refs(cell).trust >= STRONG for cell in row.cells if cell):
        return row
    return SourceRow(line=at, cells=(plain_cell(line),))
