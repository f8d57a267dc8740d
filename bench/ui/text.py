"""The only door through which people's text reaches the screen.

Control characters, escape sequences and characters that change the direction of writing become visible
signs; nothing is ever read as markup. Widths are counted in terminal cells.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache

from rich.cells import cell_len, set_cell_size

MOST = 5_000
"""Characters of one text that are shown; the rest is counted, not shown."""

_SIGNS: dict[int, str] = {code: chr(0x2400 + code) for code in range(32)} | {
    9: " ",
    10: " ",
    13: " ",
    0x7F: "␡",
    0xA0: " ",
    0xAD: "",
}
ONE_CELL = "█▀▄·─│┌┐└┘├┤╔╗╚╝═║╦╩≠▲▼»…Ω±µ×°✓✗–"
"""Signs of ours that are one cell wide."""
_NARROW = str.maketrans("", "", ONE_CELL)
_UNSEEN = {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}


def clean(text: str, most: int = MOST) -> str:
    """One line of text that a terminal can be trusted with.

    >>> clean("a\\x1b[31mb\\nc")
    'a␛[31mb c'
    >>> clean("abc" * 3, most=4)
    'abca… (5 more)'
    """
    kept = text if len(text) <= most else text[:most]
    if not kept.isascii() or not kept.isprintable():
        kept = "".join(map(_safe, kept.translate(_SIGNS)))
        kept = _thin(kept)
    return kept if len(text) <= most else f"{kept}… ({len(text) - most} more)"


def _safe(char: str) -> str:
    if char.isascii():
        return char
    return f"⟨{ord(char):X}⟩" if unicodedata.category(char) in _UNSEEN else char


def _thin(text: str) -> str:
    """At most two combining marks on one character: more of them climb out of the line."""
    out: list[str] = []
    marks = 0
    for char in text:
        marks = marks + 1 if unicodedata.combining(char) else 0
        if marks <= 2:
            out.append(char)
    return "".join(out)


def masked(text: str) -> str:
    """A text in which each character that a terminal cannot be trusted with is one visible sign: same length.

    >>> masked("a\\x1b[31m\\u202eb")
    'a␛[31m·b'
    """
    if text.isascii() and text.isprintable():
        return text
    out: list[str] = []
    marks = 0
    for char in text.translate(_SIGNS | {0xAD: "·"}):
        marks = marks + 1 if unicodedata.combining(char) else 0
        seen = char.isascii() or unicodedata.category(char) not in _UNSEEN
        out.append(char if seen and marks <= 2 else "·")
    return "".join(out)


def cells(text: str) -> int:
    """Width of clean text in terminal cells, with a fast path for single-width characters."""
    return len(text) if text.isascii() or text.translate(_NARROW).isascii() else cell_len(text)


def paragraphs(text: str) -> list[str]:
    """Clean text, one entry for each line that the author made."""
    return [clean(line) for line in text.splitlines() if line.strip()] or [""]


def cut(text: str, width: int) -> str:
    """Clean text that is at most `width` cells wide, with an ellipsis where it was cut.

    >>> cut("electrolytic", 8)
    'electro…'
    """
    if width <= 0:
        return ""
    if cells(text) <= width:
        return text
    return set_cell_size(text, width - 1).rstrip() + "…"


def cut_title(text: str, width: int) -> str:
    """The same for a kit's title: a unit behind its last comma stays, since it tells lines of one kit apart.

    >>> cut_title("Fog filter rev. A, unit B", 18), cut_title("Fog filter rev. A", 12)
    ('Fog filte…, unit B', 'Fog filter…')
    """
    kit, comma, unit = text.rpartition(", ")
    room = width - cells(comma + unit)
    return cut(kit, room) + comma + unit if comma and _LEAST_TITLE <= room < cells(kit) else cut(text, width)


_LEAST_TITLE = 6
"""Cells of a title below which its unit is not worth keeping."""


def wrap(text: str, width: int, hang: int = 0) -> list[str]:
    """Clean text in lines of at most `width` cells; lines after the first are indented by `hang`.

    >>> wrap("one two three", 7)
    ['one two', 'three']
    >>> wrap("abcdefgh", 3)
    ['abc', 'def', 'gh']
    """
    return list(_wrapped(text, width, hang))


@lru_cache(maxsize=1024)
def _wrapped(text: str, width: int, hang: int) -> tuple[str, ...]:
    width = max(1, width)
    hang = hang if hang < width - 4 else 0
    lines: list[str] = []
    line = ""
    for word in text.split(" "):
        if not word:
            continue
        room = width - (hang if lines else 0)
        joined = f"{line} {word}" if line else word
        if cells(joined) <= room:
            line = joined
            continue
        if line:
            lines.append(line)
            room = width - hang
        *full, line = chop(word, room, first=width if not lines else room)
        lines.extend(full)
    if line or not lines:
        lines.append(line)
    return (*lines[:1], *(" " * hang + each for each in lines[1:]))


def chop(word: str, width: int, first: int | None = None) -> list[str]:
    """A word in pieces of at most `width` cells; the first piece may have another width."""
    pieces: list[str] = []
    piece, used, room = "", 0, first or width
    for char in word:
        size = cells(char)
        if used + size > room and piece:
            pieces.append(piece)
            piece, used, room = "", 0, width
        piece += char
        used += size
    return [*pieces, piece]


def rows_of(words: Iterable[str], width: int, gap: str = "  ") -> list[str]:
    """Words set in rows of at most `width` cells, none of them broken unless it is wider than a row."""
    rows: list[str] = []
    for word in words:
        fitted = cut(word, width)
        if rows and cells(rows[-1]) + len(gap) + cells(fitted) <= width:
            rows[-1] += gap + fitted
        else:
            rows.append(fitted)
    return rows
