"""Markdown that says what was meant: text made inert, tables, places for the builder's own words.

Escapes follow the CommonMark specification 0.31.2, sections 2.4 (backslash escapes), 2.5 (character
references) and 2.3 (insecure characters); tables, and the bars in them, follow the specification of
GitHub Flavored Markdown 0.29, section 4.10.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from bench.writeup.words import one_line

_MARKS = {ord(mark): f"\\{mark}" for mark in "\\`*_{}[]~#|$@"} | {
    ord("<"): "&lt;",
    ord(">"): "&gt;",
    ord("&"): "&amp;",
}
"""Character references for what begins live HTML, as they hold in every dialect of Markdown."""

_SPECIAL = re.compile(r"[\\`*_{}\[\]~#|$@<>&]")
_STARTS = re.compile(r"([-+=:])(?=[-+=:\s]|$)|([0-9]{1,9})[.)](?=\s|$)")
"""What makes a list, a heading underline, a rule or a table's second line at the start of a line
(CommonMark sections 4.1, 4.3 and 5.2)."""
_ADDRESS = re.compile(r":(?=//)|(?<=[Ww]{3})\.|(?<=mailto):|(?<=xmpp):", re.IGNORECASE)
"""What some dialects turn into a link without being asked (GitHub Flavored Markdown, section 6.9)."""


def inert(text: str) -> str:
    """People's words as Markdown that shows them, on one line, and does nothing else.

    >>> print(inert("<b>5*4</b> | [x](javascript:y)"))
    &lt;b&gt;5\\*4&lt;/b&gt; \\| \\[x\\](javascript:y)
    >>> print(inert("# 1"), inert("- 1"), inert("1. x"), inert("-11.98"))
    \\# 1 \\- 1 1\\. x -11.98
    """
    text = one_line(text)
    if _SPECIAL.search(text):
        text = text.translate(_MARKS)
    if "//" in text or "www." in text.lower() or "mailto:" in text.lower() or "xmpp:" in text.lower():
        text = _ADDRESS.sub(r"\\\g<0>", text)
    start = _STARTS.match(text)
    if start:
        text = f"\\{text}" if start[1] else f"{start[2]}\\{text[len(start[2]) :]}"
    return text


def table(head: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[str] = ()) -> str:
    """A table from Markdown cells, with the columns named in `right` flush right."""
    rule = ["---:" if title in right else "---" for title in head]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in (head, rule, *rows))


def bullets(items: Sequence[str]) -> str:
    """A list from Markdown items of one line each."""
    return "\n".join(f"- {item}" for item in items)


def numbered(items: Sequence[str]) -> str:
    """A numbered list from Markdown items of one line each."""
    return "\n".join(f"{number}. {item}" for number, item in enumerate(items, 1))


def begins(place: str) -> str:
    """The line after which the builder's own words for a place stand."""
    return f"<!-- your words: {place} -->"


def ends(place: str) -> str:
    """The line that ends them."""
    return f"<!-- end of your words: {place} -->"


def empty_place(place: str) -> str:
    """A place for the builder's own words, which stay when the page is written again."""
    return f"{begins(place)}\n{ends(place)}"
