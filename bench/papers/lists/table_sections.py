"""Stretches of a table that share one heading, turned the right way round."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.aligned import is_heading
from bench.papers.lists.draft import SourceRow, SourceTable
from bench.papers.lists.refs import STRONG, find_refs
from bench.papers.lists.vocabulary import heading_roles

_NO_REFS = ("package", "other", "value", "note", "rotation", "side", "x", "y")
"""Roles of columns whose cells may look like designators."""


class Segment(Struct, frozen=True, kw_only=True):
    """Rows under one heading."""

    header: tuple[str, ...] = ()
    header_line: int = 0
    rows: tuple[SourceRow, ...]
    title: str = ""
    roles: tuple[str, ...] = ()
    turned: bool = False
    """True when the list ran across the page and was turned."""
    again: tuple[int, ...] = ()
    """Lines where the heading stands again, as on every page."""


def segments(table: SourceTable) -> Iterator[Segment]:
    """The table's stretches; a heading repeated on every page begins no new one."""
    if table.roles:
        yield Segment(rows=table.rows, title=table.title, roles=table.roles)
        return
    header: tuple[str, ...] = ()
    header_line = 0
    rows: list[SourceRow] = []
    again: list[int] = []
    for at, row in enumerate(table.rows):
        cells = _filled(row)
        by_form = table.headed and at == 0 and not _lettered(row)
        if by_form or (len(cells) > 1 and _is_header(cells)):
            if header and _same(row.cells, header):
                again.append(row.line)
                continue
            if rows:
                yield from _noted(_shaped(header, header_line, rows, table.title), again)
            header, header_line, rows, again = row.cells, row.line, [], []
        else:
            rows.append(row)
    for block in _by_order(rows) if rows and not header else [rows] if rows else []:
        yield from _noted(_shaped(header, header_line, block, table.title), again)


def _by_order(rows: list[SourceRow]) -> list[list[SourceRow]]:
    """The rows cut where the columns change places: first by designator, then by value."""
    blocks: list[list[SourceRow]] = [[]]
    for before, row in pairwise([None, *rows]):
        alone = row is not None and len(_filled(row)) < 2
        if row is not None and alone and before is not None and len(_filled(before)) > 1:
            blocks.append([])
        blocks[-1] += [row] if row is not None else []
    joined: list[list[SourceRow]] = []
    for block in blocks:
        if joined and _ref_place(block) in (_ref_place(joined[-1]), None):
            joined[-1] += block
        else:
            joined.append(block)
    return joined


def _ref_place(rows: Sequence[SourceRow]) -> int | None:
    """Where the designators of a run of rows stand, None where few are to be seen."""
    full = [row for row in rows if len(_filled(row)) > 1]
    counts = _lettered_by_column(full)
    most = max(counts, default=0)
    return counts.index(most) if len(full) > 2 and most * 2 > len(full) else None


def _lettered_by_column(rows: Sequence[SourceRow]) -> list[int]:
    """How many cells of each column hold designators."""
    width = max((len(row.cells) for row in rows), default=0)
    return [sum(len(row.cells) > at and _has_refs(row.cells[at]) for row in rows) for at in range(width)]


def _noted(found: Iterator[Segment], again: list[int]) -> Iterator[Segment]:
    """The stretches, the first of them with the lines where its heading stands again."""
    for at, segment in enumerate(found):
        yield segment if at or not again else replace(segment, again=tuple(again))


def _filled(row: SourceRow) -> list[str]:
    return [cell for cell in row.cells if cell]


def _is_header(cells: Sequence[str]) -> bool:
    return len(cells) < 60 and all(len(cell) < 60 for cell in cells) and is_heading(cells)


def _same(cells: Sequence[str], header: Sequence[str]) -> bool:
    return [cell.casefold() for cell in cells if cell] == [cell.casefold() for cell in header if cell]


def _lettered(row: SourceRow) -> bool:
    """Whether a row holds designators and so cannot be a heading."""
    return any(map(_has_refs, _filled(row)))


def _has_refs(cell: str) -> bool:
    """Whether a cell holds designators beyond doubt."""
    return find_refs(cell).trust >= STRONG


def _shaped(header: tuple[str, ...], line: int, rows: list[SourceRow], title: str) -> Iterator[Segment]:
    """One stretch: turned when it runs across the page, cut when entries stand side by side."""
    across = _turned(([SourceRow(line=line, cells=header)] if header else []) + rows)
    if across is not None:
        yield Segment(
            header=across[0].cells, header_line=line, rows=tuple(across[1:]), title=title, turned=True
        )
        return
    cuts = _side_by_side(header, rows)
    if not cuts:
        widest = max(len(row.cells) for row in rows)
        if len(header) == widest + 1 and not header[0]:
            header = header[1:]
        head, body = _unknown_header(header, rows)
        yield Segment(header=head, header_line=line, rows=body, title=title)
        return
    width = max(len(header), *(len(row.cells) for row in rows))
    for begin, end in zip(cuts, [*cuts[1:], width], strict=True):
        part = tuple(
            SourceRow(line=row.line, cells=row.cells[begin:end]) for row in rows if any(row.cells[begin:end])
        )
        yield Segment(header=header[begin:end], header_line=line, rows=part, title=title)


def _unknown_header(
    header: tuple[str, ...], rows: list[SourceRow]
) -> tuple[tuple[str, ...], tuple[SourceRow, ...]]:
    """A heading in unknown words: the first full row, when it alone has neither figures nor designators."""
    if header or len(rows) < 3:
        return header, tuple(rows)
    first = next((at for at, row in enumerate(rows) if len(_filled(row)) > 1), None)
    if first is None:
        return header, tuple(rows)
    wordy = all(not any(sign.isdigit() for sign in cell) and len(cell) < 40 for cell in rows[first].cells)
    later = [row for row in rows[first + 1 : first + 30] if len(_filled(row)) > 1]
    lettered = sum(map(_lettered, later))
    if wordy and later and lettered * 2 >= len(later) and not _lettered(rows[first]):
        return rows[first].cells, tuple(rows[:first] + rows[first + 1 :])
    return header, tuple(rows)


def _turned(rows: Sequence[SourceRow]) -> list[SourceRow] | None:
    """A list that runs across the page, as rows of entries with a heading first; None when it runs down."""
    if not 2 <= len(rows) <= 400:
        return None
    heads = [at for at, row in enumerate(rows) if _runs_across(row)]
    if not heads or max(_lettered_by_column(rows)) > len(heads):
        return None
    blocks = [
        [row for row in rows[head:end] if len(_filled(row)) > 1]
        for head, end in zip(heads, [*heads[1:], len(rows)], strict=True)
    ]
    labels = next((tuple(row.cells[0] for row in block) for block in blocks if _labelled(block)), ())
    found = [entry for block in blocks for entry in _entries_across(block)]
    return [SourceRow(line=rows[0].line, cells=labels), *found] if found else None


def _labelled(block: Sequence[SourceRow]) -> bool:
    """Whether the rows of a block across the page begin with what they hold."""
    return not _has_refs(block[0].cells[0])


def _entries_across(block: Sequence[SourceRow]) -> Iterator[SourceRow]:
    """The columns of a block across the page, each as the row of an entry."""
    for at in range(1 if _labelled(block) else 0, len(block[0].cells)):
        if block[0].cells[at]:
            cells = tuple(row.cells[at] if at < len(row.cells) else "" for row in block)
            yield SourceRow(line=block[0].line, cells=cells)


def _runs_across(row: SourceRow) -> bool:
    """Whether a row is one of designators, perhaps with a word before them."""
    cells = _filled(row)
    own = cells if _has_refs(cells[0] if cells else "") else cells[1:]
    return len(own) > 2 and sum(map(_has_refs, own)) >= 0.8 * len(own)


def _side_by_side(header: Sequence[str], rows: Sequence[SourceRow]) -> list[int]:
    """Where each group of columns begins, when several entries stand in one row; otherwise nothing."""
    sample = [row for row in rows if len(_filled(row)) > 2][:100]
    if len(sample) < 2:
        return []
    if period := _repeated(header):
        return list(range(0, len(header), period))
    width = max(len(row.cells) for row in sample)
    lettered = _lettered_columns(header, sample, min(width, 60))
    if len(lettered) < 2 or any(after - before < 2 for before, after in pairwise([*lettered, width])):
        return []
    return [0, *lettered[1:]]


def _repeated(header: Sequence[str]) -> int:
    """After how many columns the same headings, designators first, begin again; 0 where they do not."""
    names = [name.casefold() for name in header]
    if not names or heading_roles(names[0]).get("ref", 0.0) < 0.4:
        return 0
    return next((at for at in range(2, len(names) - 1) if names[at:] == names[: len(names) - at]), 0)


def _lettered_columns(header: Sequence[str], sample: Sequence[SourceRow], width: int) -> list[int]:
    """The columns that hold designators, each its own, among the first `width`."""
    lettered: list[int] = []
    taken: set[str] = set()
    for at in range(width):
        refs = _column_refs([row.cells[at] for row in sample if at < len(row.cells) and row.cells[at]])
        own = set(refs)
        if len(own) > 0.8 * len(refs) and not taken & own and not _named_otherwise(header[at : at + 1]):
            lettered.append(at)
            taken |= own
    return lettered


def _column_refs(cells: Sequence[str]) -> list[str]:
    """The designators in the cells of a column; none unless nearly all of its cells hold some."""
    found = [find_refs(cell) for cell in cells]
    strong = sum(each.trust >= 0.8 for each in found)
    if len(cells) < 2 or strong < 0.8 * len(cells):
        return []
    return [ref for each in found for ref in each.refs[:100]]


def _named_otherwise(heading: Sequence[str]) -> bool:
    """Whether a column's heading, where it has one, names something that may look like designators."""
    roles = heading_roles(heading[0]) if heading else {}
    return any(roles.get(role, 0.0) >= 0.8 for role in _NO_REFS)
