"""Columns with a sign between them: commas, semicolons, tabs, pipes."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator, Sequence

from bench.papers.lists.cleaning import plain_cell, unquoted_formula
from bench.papers.lists.draft import Layout, SourceRow, SourceTable

FORMS = {
    ",": "comma-separated columns", ";": "semicolon-separated columns", "\t": "tab-separated columns",
    "|": "columns with upright strokes", "，": "columns with wide commas", "；": "columns with wide semicolons",
    "~": "columns with tildes", " / ": "columns with slashes",
}  # fmt: skip
BY_TABS = "columns lined up with tabs"
BY_AMPERSANDS = "columns with ampersands"
_LONGEST_RECORD = 60
"""Lines that one quoted cell may cover; more is a quotation mark that was never closed."""
_MOST_CELLS = 120
_AMPERSAND = re.compile(r"(?<!\\)&")
_RULE = r"\\(?:hline|toprule|midrule|bottomrule)\b"
_ROW_END = re.compile(rf"\\\\(?:\[[^\[\]]{{0,20}}\])?\s*(?:{_RULE}\s*)*$")
_TYPESET = re.compile(f"{_ROW_END.pattern}|{_RULE}")
_TYPESET_SIGNS = [
    (re.compile(pattern), plain)
    for pattern, plain in (
        (r"\\(?:text)?(?:[Oo]hm|Omega)\b(?:\{\})?", "Ω"), (r"\\(?:text)?(?:micro|mu)\b(?:\{\})?", "µ"),
        (r"\\[,;: ]|(?<!\\)~", " "), (r"\{([,.])\}", r"\1"), (r"(?<!\\)\$", ""), (r"\\([%#_])", r"\1"),
    )
]  # fmt: skip
"""What a typesetter writes for signs, spaces and commas in numbers."""
_NAMES_THE_SIGN = frozenset({"sep=", *(f"sep={sign}" for sign in FORMS)})
"""A line that names the sign for a spreadsheet, with its own cells joined."""
_STEADY = 0.9
"""Share of rows of one length above which a sign is taken for the one that separates."""


def delimited(lines: Sequence[str]) -> Iterator[Layout]:
    """The layouts that the signs in these lines allow, likeliest first."""
    if sum("&" in line and bool(_ROW_END.search(line)) for line in lines) > 1:
        yield Layout(form=BY_AMPERSANDS, tables=(SourceTable(rows=tuple(_typeset_rows(lines))),))
    counts = Counter({sign: sum(sign in line for line in lines) for sign in FORMS})
    filled = sum(bool(line.strip()) for line in lines) or 1
    offered = [sign for sign, count in counts.most_common() if count and count * 5 >= filled]
    tables = {sign: tuple(_rows(lines, sign)) for sign in offered}
    steady = {sign: _steadiness(rows) for sign, rows in tables.items()}
    best = max(steady.values(), default=0.0)
    for sign, rows in tables.items():
        if best >= _STEADY and steady[sign] < best - 0.1:
            continue
        yield Layout(form=FORMS[sign], tables=(SourceTable(rows=rows),))
        if sign == "\t" and any("\t\t" in line.strip() for line in lines):
            packed = tuple(_packed(rows))
            yield Layout(form=BY_TABS, tables=(SourceTable(rows=packed),))


def _steadiness(rows: Sequence[SourceRow]) -> float:
    """Share of the filled rows that have the commonest number of cells; 0 when that is below three."""
    lengths = Counter(len(row.cells) for row in rows if any(row.cells))
    number, times = max(lengths.items(), key=lambda pair: pair[1], default=(0, 0))
    return times / lengths.total() if number >= 3 else 0.0


def _rows(lines: Sequence[str], sign: str) -> Iterator[SourceRow]:
    lines = [_with_dittos(line, sign) if '"' in line else line for line in lines]
    quoted = any('"' in line for line in lines)
    records = _records(lines, sign) if quoted and len(sign) == 1 else None
    if records is None:
        records = [(at, line.split(sign)) for at, line in enumerate(lines, 1)]
    for line, cells in records:
        if "".join(cells).strip().casefold() in _NAMES_THE_SIGN:
            continue
        yield SourceRow(
            line=line, cells=tuple(plain_cell(unquoted_formula(cell)) for cell in cells[:_MOST_CELLS])
        )


def _with_dittos(line: str, sign: str) -> str:
    """A line with another sign for quotation marks that stand alone in their cells, for the cell above."""
    cells = line.split(sign)
    alone = [cell.strip() == '"' for cell in cells]
    if sum(alone) != line.count('"'):
        return line
    return sign.join("〃" if quote else cell for cell, quote in zip(cells, alone, strict=True))


def _records(lines: Sequence[str], sign: str) -> list[tuple[int, list[str]]] | None:
    """Records with the line where each begins; None when quotation marks lead astray."""
    text = io.StringIO("\n".join(lines))
    reader = csv.reader(text, delimiter=sign, skipinitialspace=sign != "\t")
    found: list[tuple[int, list[str]]] = []
    begins = 1
    try:
        for cells in reader:
            if reader.line_num - begins >= _LONGEST_RECORD:
                return None
            found.append((begins, cells))
            begins = reader.line_num + 1
    except csv.Error:
        return None
    return found


def _typeset_rows(lines: Sequence[str]) -> Iterator[SourceRow]:
    """The rows of a table as typesetters write it: `R1 & 10k & 1 \\\\`."""
    for at, line in enumerate(lines, 1):
        text = _TYPESET.sub("", line)
        for pattern, plain in _TYPESET_SIGNS:
            text = pattern.sub(plain, text)
        yield SourceRow(line=at, cells=tuple(plain_cell(cell) for cell in _AMPERSAND.split(text)[:_MOST_CELLS]))


def _packed(rows: Sequence[SourceRow]) -> Iterator[SourceRow]:
    """Rows without their empty cells: several tabs in a row that only line columns up."""
    for row in rows:
        yield SourceRow(line=row.line, cells=tuple(cell for cell in row.cells if cell) or ("",))
