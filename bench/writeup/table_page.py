"""A page of tables and simple drawings, for groups, classes and the builder's record; pure."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from bench.writeup.blocks import Article, Block, grid, paragraph
from bench.writeup.blocks import Section as ArticleSection
from bench.writeup.charts import Bars, ChartBar
from bench.writeup.page import page
from bench.writeup.words import one_line

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


class Section(Struct, frozen=True, kw_only=True):
    """A heading with sentences, a table and a drawing, each of which may be missing."""

    title: str
    lines: tuple[str, ...] = ()
    heads: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    spans: tuple[Span, ...] = ()
    about: str = ""
    """What the drawing shows, in a sentence."""


def table_page(title: str, about: str, sections: Sequence[Section]) -> str:
    """The page as HTML, in itself complete: no script, nothing fetched."""
    told, bars = [], {}
    for each in sections:
        place = "time" if each.spans and each.rows else re.sub(r"[^a-z ]", "", each.title.casefold())
        blocks: list[Block] = [paragraph(line) for line in each.lines]
        blocks += [grid("", each.heads, each.rows)] if each.rows else []
        if each.spans:
            bars[place] = _drawn(each)
        if blocks or each.spans:
            told.append(ArticleSection(title=one_line(each.title), place=place, blocks=tuple(blocks)))
    article = Article(title=one_line(title), byline=one_line(about), opening=(), sections=tuple(told), about="")
    return page(article, bars, description=about)


def _drawn(section: Section) -> Bars:
    """The drawing with its widest value at the right edge."""
    top = max(max(each.mark, each.high or 0.0) for each in section.spans) or 1.0
    bars = []
    for each in section.spans:
        mark, low, high = (
            round(100 * value / top, 2) for value in (each.mark, each.low or 0.0, each.high or 0.0)
        )
        ranged = each.low is not None
        bars.append(
            ChartBar(
                label=one_line(each.label),
                said=one_line(each.said),
                share=max(0.0, round(high - low, 2)) if ranged else mark,
                low=low,
                mark=mark if ranged else None,
                outside=ranged and not low <= mark <= high,
            )
        )
    return Bars(bars=tuple(bars), about=one_line(section.about))


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
