"""A page of tables and simple drawings, for groups, classes and the builder's record; pure."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence

from msgspec import Struct

from bench.writeup.templating import render

_RISKY = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet may take for a formula at the beginning of a cell."""


class Span(Struct, frozen=True, kw_only=True):
    """One line of a drawing: a range with a mark in it, in the unit of its drawing."""

    label: str
    said: str
    """The figures in words."""
    mark: float
    low: float | None = None
    high: float | None = None


class Drawn(Struct, frozen=True, kw_only=True):
    """A span as shares of the width, in per cent."""

    label: str
    said: str
    mark: float
    low: float
    wide: float
    outside: bool
    """True where the mark lies outside of the range."""


class Section(Struct, frozen=True, kw_only=True):
    """A heading with sentences, a table and a drawing, each of which may be missing."""

    title: str
    lines: tuple[str, ...] = ()
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    spans: tuple[Span, ...] = ()
    about: str = ""
    """What the drawing shows, in a sentence."""

    @property
    def drawn(self) -> tuple[Drawn, ...]:
        """The drawing with its widest value at the right edge."""
        top = max((max(each.mark, each.high or 0.0) for each in self.spans), default=0.0) or 1.0
        return tuple(
            Drawn(
                label=each.label,
                said=each.said,
                mark=round(100 * each.mark / top, 2),
                low=round(100 * (each.low if each.low is not None else 0.0) / top, 2),
                wide=round(100 * _wide(each) / top, 2),
                outside=each.low is not None and not each.low <= each.mark <= (each.high or 0.0),
            )
            for each in self.spans
        )


def _wide(span: Span) -> float:
    if span.low is None or span.high is None:
        return span.mark
    return max(0.0, span.high - span.low)


def table_page(title: str, about: str, sections: Sequence[Section]) -> str:
    """The page as HTML, in itself complete: no script, nothing fetched."""
    shown = [each for each in sections if each.lines or each.rows or each.spans]
    return render("table-page.html", title=title, about=about, sections=shown)


def csv_text(heads: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table for a spreadsheet; a text that could be a formula gets an apostrophe before it.

    >>> print(csv_text(["a", "b"], [["=1+1", 2.5]]), end="")
    a,b
    '=1+1,2.5
    """
    lines = _Lines()
    writer = csv.writer(lines, lineterminator="\n")
    writer.writerow(heads)
    writer.writerows([_inert(cell) for cell in row] for row in rows)
    return "".join(lines)


class _Lines(list[str]):
    """What a CSV writer writes to, in memory."""

    write = list[str].append


def _inert(cell: object) -> object:
    if not isinstance(cell, str):
        return cell
    return f"'{cell}" if cell.lstrip(" ").startswith(_RISKY) or cell.startswith(_RISKY) else cell
