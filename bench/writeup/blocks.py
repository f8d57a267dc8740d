"""What an article is made of: blocks of plain words, which each writer sets in its own format. Pure.

All text in a block is clean: one line, without controls or signs that turn the direction of writing. It is
plain text; a writer makes it safe for its format.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import ClassVar

from msgspec import Struct

from bench.writeup.words import one_line


class Strong(Struct, frozen=True):
    """Words that stand out."""

    web: ClassVar[bool] = False
    text: str


class Link(Struct, frozen=True):
    """An address on the web, one that `WEB` matches."""

    web: ClassVar[bool] = True
    text: str


WEB = re.compile(r"https?://[^\s<>\"'`\\]+", re.IGNORECASE)
Run = str | Strong | Link
"""Some words; runs stand one after the other with a space between them."""
Words = tuple[Run, ...]


class Paragraph(Struct, frozen=True, kw_only=True):
    """A paragraph."""

    form: ClassVar[str] = "paragraph"
    words: Words


class Callout(Struct, frozen=True, kw_only=True):
    """A paragraph that must be seen first."""

    form: ClassVar[str] = "callout"
    words: Words


class Subheading(Struct, frozen=True, kw_only=True):
    """A heading within a section."""

    form: ClassVar[str] = "subheading"
    text: str


class Listing(Struct, frozen=True, kw_only=True):
    """A list."""

    form: ClassVar[str] = "listing"
    items: tuple[Words, ...]
    numbered: bool = False


class Grid(Struct, frozen=True, kw_only=True):
    """A table; the first cell of each row names the row."""

    form: ClassVar[str] = "grid"
    caption: str
    head: tuple[str, ...]
    rows: tuple[Words, ...]
    right: tuple[str, ...] = ()
    """Columns of numbers, set flush right."""
    total: Words = ()
    """A last row that sums up; empty for none."""


class Picture(Struct, frozen=True, kw_only=True):
    """A photo."""

    form: ClassVar[str] = "picture"
    file: str
    """Name of its web-sized copy: letters, digits and `-` only."""
    alt: str
    """What to say in place of it; never empty."""
    caption: str
    """Empty where the text beside it says it already."""
    width: int
    """In pixels."""
    height: int


class FillIn(Struct, frozen=True, kw_only=True):
    """A place for what only the builder can say, until it is said."""

    form: ClassVar[str] = "fill in"
    what: str


Block = Paragraph | Callout | Subheading | Listing | Grid | Picture | FillIn


class Section(Struct, frozen=True, kw_only=True):
    """A part of an article, with a place for the builder's own words at its end."""

    title: str
    place: str
    """Name of that place: small letters and spaces."""
    blocks: tuple[Block, ...]
    folded: bool = False
    """True for a table of record, which a form that can fold shows only when asked."""


Figure = tuple[str, str, str]
"""A figure, what it is, and a word on it that may be empty."""


class Article(Struct, frozen=True, kw_only=True):
    """An article; its own words go after `opening`, after each section and before `about`."""

    title: str
    byline: str = ""
    """Who built it and when; empty where that is not known."""
    figures: tuple[Figure, ...] = ()
    """What it came to."""
    opening: tuple[Block, ...]
    sections: tuple[Section, ...]
    about: str
    """What to know of the whole; empty for nothing."""

    def homeless(self, places: Iterable[str]) -> list[str]:
        """Places of own words that have no section here."""
        homes = {"opening", "closing", *(section.place for section in self.sections)}
        return [place for place in places if place not in homes]


def paragraph(*runs: Run) -> Paragraph:
    """A paragraph of these runs."""
    return Paragraph(words=words_of(runs))


def callout(*runs: Run) -> Callout:
    """A paragraph that must be seen first."""
    return Callout(words=words_of(runs))


def subheading(text: str) -> Subheading:
    """A heading within a section."""
    return Subheading(text=one_line(text))


def listing(items: Iterable[Run | Sequence[Run]], *, numbered: bool = False) -> Listing:
    """A list of these items, each one run or several."""
    runs = ((item,) if isinstance(item, str | Strong | Link) else item for item in items)
    return Listing(items=tuple(map(words_of, runs)), numbered=numbered)


def grid(
    caption: str,
    head: Sequence[str],
    rows: Iterable[Sequence[Run]],
    *,
    right: Sequence[str] = (),
    total: Sequence[Run] = (),
) -> Grid:
    """A table of these rows, each with a cell for each column of the head."""
    return Grid(
        caption=one_line(caption),
        head=tuple(map(one_line, head)),
        rows=tuple(tuple(map(_clean, row)) for row in rows),
        right=tuple(map(one_line, right)),
        total=tuple(map(_clean, total)),
    )


def words_of(runs: Iterable[Run]) -> Words:
    """Runs made clean; those with nothing in them are left out."""
    return tuple(run for run in map(_clean, runs) if text_of(run))


def text_of(run: Run) -> str:
    """The text of a run."""
    return run if isinstance(run, str) else run.text


def _clean(run: Run) -> Run:
    return one_line(run) if isinstance(run, str) else type(run)(one_line(run.text))
