"""Rows whose designators spread over several cells, put right."""

from __future__ import annotations

from bench.papers.lists.draft import SourceRow
from bench.papers.lists.refs import find_refs

_SURE = 0.8
"""Trust in a word from which it is a designator."""


def mended(row: SourceRow, at: int | None, width: int) -> SourceRow:
    """A row of a list `width` cells wide, its designators (cell `at`), split at their commas, in one cell."""
    row = _joined(row, at)
    extra = len(row.cells) - width
    if at is None or not width or extra <= 0 or at + 1 >= len(row.cells):
        return row
    end = at + 1
    while end < len(row.cells) and end <= at + extra and find_refs(row.cells[end]).trust >= _SURE:
        end += 1
    if end == at + 1:
        return row
    return SourceRow(line=row.line, cells=(*row.cells[:at], ", ".join(row.cells[at:end]), *row.cells[end:]))


def _joined(row: SourceRow, at: int | None) -> SourceRow:
    """A row whose designators reach over into the next cell, joined up again."""
    if at is None or at + 1 >= len(row.cells) or not row.cells[at].endswith(",") or not row.cells[at + 1]:
        return row
    words = row.cells[at + 1].split()
    count = next((n for n, word in enumerate(words) if find_refs(word).trust < _SURE), len(words))
    if not count:
        return row
    joined = " ".join((row.cells[at], *words[:count]))
    return SourceRow(
        line=row.line, cells=(*row.cells[:at], joined, " ".join(words[count:]), *row.cells[at + 2 :])
    )
