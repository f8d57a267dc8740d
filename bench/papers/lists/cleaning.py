"""Markup taken off the text of a cell; what is left is the text as a reader of the page sees it."""

from __future__ import annotations

import html
import re
from collections.abc import Sequence
from functools import lru_cache

_IMAGE = re.compile(r"!\[[^\[\]]{0,300}\]\([^()]{0,600}\)")
_LINK = re.compile(r"\[([^\[\]]{0,300})\]\((?:[^()]|\([^()]{0,300}\)){0,800}\)")
_LINK_BY_NAME = re.compile(r"\[([^\[\]]{1,300})\]\[[^\[\]]{0,80}\]")
_BREAK = re.compile(r"<\s{0,3}/?\s{0,3}br\s{0,3}/?\s{0,3}>", re.IGNORECASE)
_TAG = re.compile(r"</?[A-Za-z][A-Za-z0-9]{0,15}(?:\s[^<>]{0,600})?/?>")
_STRONG = re.compile(r"(\*\*|__|~~)(?=\S)([^*_~\n]{1,400}?)(?<=\S)\1")
_STRUCK_TAG = re.compile(r"<(?:s|del|strike)>", re.IGNORECASE)
_STRUCK = re.compile(r"~~(?=\S)([^~\n]{1,200}?)(?<=\S)~~|<(s|del|strike)>([^<>]{1,200})</\2>", re.IGNORECASE)
_EMPHASIS = re.compile(r"(?<![\w*])\*(?=[^\s*])([^*\n]{1,400}?)(?<=[^\s*])\*(?![\w*])")
_UNDERSCORES = re.compile(r"_([^_]{1,300})_")
_CODE = re.compile(r"`{1,2}([^`\n]{1,400})`{1,2}")
_ESCAPE = re.compile(r"\\([\\`*_{}\[\]()#+.!|<>~-])")
_MARKS = re.compile(r"[\[\]*_`~<>&\\]")
_BOARD_MARK = re.compile(
    r"\[/?(?:[bius]|list|size|colou?r|font|code|table|t[rdh]|url|quote|center)(?:=[^\[\]]{0,200})?\]",
    re.IGNORECASE,
)
"""Marks of bulletin boards, which stand in brackets."""
_EXCEL = re.compile(r'="([^"]*)"')


@lru_cache(maxsize=4096)
def plain_cell(cell: str) -> str:
    """The text of a cell without links, emphasis, tags and entities; line breaks stay.

    >>> plain_cell("**R1**, [R2](https://example.org)<br>R3"), plain_cell("SW_3PDT_x3")
    ('R1, R2\\nR3', 'SW_3PDT_x3')
    """
    if not _MARKS.search(cell):
        return cell.strip()
    text = _BREAK.sub("\n", cell)
    if "](" in text or "][" in text:
        text = _LINK_BY_NAME.sub(r"\1", _LINK.sub(r"\1", _IMAGE.sub("", text)))
    if "<" in text:
        text = _struck_behind(text) if _STRUCK_TAG.search(text) else text
        text = _TAG.sub("", text)
    if "&" in text:
        text = html.unescape(text)
    if "~~" in text:
        text = _struck_behind(text)
    if "**" in text or "__" in text or "~~" in text:
        text = _STRONG.sub(r"\2", text)
    if "*" in text and "\\*" not in text:
        text = _EMPHASIS.sub(r"\1", text)
    if "`" in text:
        text = _CODE.sub(r"\1", text)
    if "\\" in text:
        text = _ESCAPE.sub(r"\1", text)
    text = text.strip()
    emphasised = _UNDERSCORES.fullmatch(text)
    return emphasised[1] if emphasised and " " not in text.strip("_")[:1] else text


def _struck_behind(text: str) -> str:
    """A text with what is struck out behind the rest, in brackets: it no longer holds, but it is not lost.

    >>> _struck_behind("~~22k~~ 27k"), _struck_behind("~~22k~~")
    ('27k (struck out: 22k)', '22k (struck out)')
    """
    struck = [found[1] or found[3] for found in _STRUCK.finditer(text)]
    rest = " ".join(_STRUCK.sub(" ", text).split())
    if not struck:
        return text
    return f"{rest} (struck out: {', '.join(struck)})" if rest else f"{', '.join(struck)} (struck out)"


def without_board_marks(lines: Sequence[str]) -> Sequence[str]:
    """Lines of a bulletin board without its marks, one for one; others as they are.

    >>> without_board_marks(["[b]Resistors[/b]", "[*]R1 - 10k"]), without_board_marks(["[x] R1 10k"])
    (['Resistors', '- R1 - 10k'], ['[x] R1 10k'])
    """
    if not any("[*]" in line or ("[/" in line and _BOARD_MARK.search(line)) for line in lines):
        return lines
    return [_BOARD_MARK.sub("", line).replace("[*]", "- ", 1) for line in lines]


def unquoted_formula(cell: str) -> str:
    """A cell that was protected from a spreadsheet's guesses: `="0603"` is 0603."""
    found = _EXCEL.fullmatch(cell.strip()) if cell[:1] == "=" else None
    return found[1] if found else cell
