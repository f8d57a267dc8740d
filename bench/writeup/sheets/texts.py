"""People's texts made fit for paper; pure."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable

from bench.writeup.words import one_line

MOST_MARKS = 2
"""Combining marks on one character; more of them climb out of the line."""


def tidy(text: str) -> str:
    """A text on one line, without characters that show nothing or that pile up.

    >>> tidy("a\\u202eb" + "e" + "\\u0301" * 5)
    'abe\u0301\u0301'
    """
    line = one_line(text)
    if line.isascii():
        return line
    kept: list[str] = []
    marks = 0
    for char in line:
        marks = marks + 1 if unicodedata.combining(char) else 0
        if marks <= MOST_MARKS:
            kept.append(char)
    return "".join(kept)


def tidied(texts: Iterable[str]) -> tuple[str, ...]:
    """Texts made fit, empty ones left out, each once."""
    return tuple(dict.fromkeys(filter(None, map(tidy, texts))))


def css_string(text: str) -> str:
    """A text as a string for a style sheet, without its quotes: whatever is no plain letter is a CSS escape.

    CSS Syntax Module Level 3, section 4.3.7: a backslash, up to six hexadecimal digits, one blank. What
    comes out holds neither quotes nor `<`, so it can stand in a `style` element as it is.

    >>> css_string('Fuzz "9"</style>')
    'Fuzz\\\\20 \\\\22 9\\\\22 \\\\3c \\\\2f style\\\\3e '
    """
    return "".join(char if char.isascii() and char.isalnum() else f"\\{ord(char):x} " for char in tidy(text))
