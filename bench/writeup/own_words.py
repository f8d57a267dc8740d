"""The builder's own words, typed in Markdown, as a small tree that a page can show safely. Pure.

Understood are paragraphs, headings, lists, quotes, `code`, *emphasis*, **strong** words and links with http
or https: a subset of CommonMark 0.31.2. All else is shown as the text it is; nothing is ever passed through as
HTML.
A picture is told by its words, since a page carries no files of its own.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import ClassVar

from msgspec import Struct

from bench.writeup.words import one_line


class PlainText(Struct, frozen=True):
    """Words set in one way."""

    text: str
    style: str = ""
    """`em`, `strong`, `code`, or empty."""
    link: str = ""
    """An http or https address; empty for none."""


Inlines = tuple[PlainText, ...]


class Prose(Struct, frozen=True, kw_only=True):
    """A paragraph, a heading or a quote."""

    form: ClassVar[str] = "prose"
    line: Inlines
    role: str = ""
    """`heading`, `quote`, or empty."""


class Items(Struct, frozen=True, kw_only=True):
    """A list."""

    form: ClassVar[str] = "items"
    items: tuple[Inlines, ...]
    numbered: bool = False


class Code(Struct, frozen=True, kw_only=True):
    """Lines set as they are typed."""

    form: ClassVar[str] = "code"
    text: str


class Table(Struct, frozen=True, kw_only=True):
    """A table; every row has as many cells as the head."""

    form: ClassVar[str] = "table"
    head: tuple[Inlines, ...]
    rows: tuple[tuple[Inlines, ...], ...]


OwnBlock = Prose | Items | Code | Table
LONGEST_RULE = 2_000
"""Characters of the line of dashes under the head of a table."""
LONGEST = 200_000
"""Characters of one place that are read; the rest is left to the Markdown file."""

_COMMENT = re.compile(r"<!--(?:>|->|.*?(?:-->|\Z))", re.DOTALL)
_HEADING = re.compile(r" {0,3}#{1,6}[ \t]+(.*?)(?:[ \t]+#+)?[ \t]*")
_BULLET = re.compile(r" {0,3}[-*+][ \t]+(.*)")
_NUMBER = re.compile(r" {0,3}[0-9]{1,9}[.)][ \t]+(.*)")
_QUOTE = re.compile(r" {0,3}>[ \t]?(.*)")
_RULE = re.compile(r" {0,3}(?:(?:-[ \t]*){3,}|(?:\*[ \t]*){3,}|(?:_[ \t]*){3,}|=+|`{3,}.*|~{3,}.*)")
_ADDRESS = r"https?://[^\s<>()\"'`\\]+(?:\([^\s<>()\"'`\\]*\)[^\s<>()\"'`\\]*)*"
_INLINE = re.compile(
    r"\\(?P<plain>[!-/:-@\[-`{-~])"
    r"|(?P<ticks>`+)(?P<code>[^`]+)(?P=ticks)(?!`)"
    r"|!\[(?P<alt>[^\[\]]*)\]\([^()]*\)"
    r"|\[(?P<label>[^\[\]]+)\]\(<?(?P<address>" + _ADDRESS + r")>?(?:[ \t]+\"[^\"]*\")?\)"
    r"|<(?P<auto>" + _ADDRESS + r")>"
    r"|\*\*(?P<strong>[^\s*](?:[^*]*[^\s*])?)\*\*|__(?P<strong2>[^\s_](?:[^_]*[^\s_])?)__(?!\w)"
    r"|\*(?P<em>[^\s*](?:[^*]*[^\s*])?)\*|(?<!\w)_(?P<em2>[^\s_](?:[^_]*[^\s_])?)_(?!\w)"
)


def read(text: str) -> tuple[OwnBlock, ...]:
    """The builder's words as blocks.

    >>> read("It *works*.\\n\\n- one\\n- two")[0].line[1]
    PlainText(text='works', style='em', link='')
    >>> read("[x](javascript:y)")[0].line
    (PlainText(text='[x](javascript:y)', style='', link=''),)
    """
    blocks: list[OwnBlock] = []
    held: list[str] = []
    lines = _COMMENT.sub("", text[:LONGEST]).splitlines()
    at = 0
    while at < len(lines):
        block, ended = _fenced(lines, at) or _tabled(lines, at) or (None, at + 1)
        if block is None:
            held.append(lines[at])
        else:
            blocks += [*_prose(held), block]
            held = []
        at = ended
    return (*blocks, *_prose(held))


_FENCE = re.compile(r" {0,3}(`{3,}|~{3,})[^`]*")
_RULED = re.compile(r" {0,3}\|?[ \t]*:?-+:?[ \t]*(\|[ \t]*:?-+:?[ \t]*)*\|?[ \t]*")
_BAR = re.compile(r"(?<!\\)\|")


def _fenced(lines: Sequence[str], at: int) -> tuple[Code, int] | None:
    """Code between two fences (CommonMark, section 4.5), up to the end where the second one is missing."""
    opened = _FENCE.fullmatch(lines[at])
    if opened is None:
        return None
    ended = at + 1
    while ended < len(lines) and not lines[ended].strip().startswith(opened[1]):
        ended += 1
    text = "\n".join(_printable(line) for line in lines[at + 1 : ended])
    return Code(text=text), ended + 1


def _tabled(lines: Sequence[str], at: int) -> tuple[Table, int] | None:
    """A table as GitHub Flavored Markdown has it (section 4.10): a head, a line of dashes, rows of bars."""
    if at + 1 >= len(lines) or "|" not in lines[at] or len(lines[at + 1]) > LONGEST_RULE:
        return None
    if not _RULED.fullmatch(lines[at + 1]):
        return None
    head = _cells(lines[at])
    if "|" not in lines[at + 1] or len(_cells(lines[at + 1])) != len(head):
        return None
    ended = at + 2
    rows = []
    while ended < len(lines) and "|" in lines[ended]:
        cells = _cells(lines[ended])[: len(head)]
        rows.append((*cells, *[()] * (len(head) - len(cells))))
        ended += 1
    return Table(head=head, rows=tuple(rows)), ended


def _cells(line: str) -> tuple[Inlines, ...]:
    bare = line.strip().removeprefix("|")
    bare = bare[:-1] if bare.endswith("|") and not bare.endswith("\\|") else bare
    return tuple(_inline(one_line(cell)) for cell in _BAR.split(bare))


def _printable(line: str) -> str:
    return "".join(sign for sign in line.expandtabs(4) if sign.isprintable())


def _prose(text: Sequence[str]) -> list[Prose | Items]:
    blocks: list[Prose | Items] = []
    for form, lines in _runs(text):
        if form in ("bullet", "number"):
            items = tuple(line for each in lines if (line := _inline(each)))
            blocks += [Items(items=items, numbered=form == "number")] if items else []
        else:
            blocks += [Prose(line=line, role=form) for line in [_inline(" ".join(lines))] if line]
    return blocks


def _runs(lines: Sequence[str]) -> Iterator[tuple[str, list[str]]]:
    """Lines that belong together, with what they are: a list has an entry for each item."""
    form, held, gap = "", list[str](), False
    for line in lines:
        found, said = _line(line)
        if not said and not found:
            gap = True
            continue
        goes_on = bool(held) and _goes_on(form, found, line, gap=gap)
        if held and not goes_on and not _same(form, found, gap=gap):
            yield form, held
            held = []
        gap = False
        if found == "heading":
            yield found, [said]
        elif goes_on and form in _LISTS:
            held[-1] += f" {said}"
        elif found != "rule":
            form = form if goes_on else found
            held.append(said)
    if held:
        yield form, held


_LISTS = ("bullet", "number")


def _goes_on(form: str, found: str, line: str, *, gap: bool) -> bool:
    """Whether a line goes on with what the lines before it say; in a list it does so when it is indented."""
    return not found and (line[:1] in (" ", "\t") if form in _LISTS else not gap)


def _same(form: str, found: str, *, gap: bool) -> bool:
    """Whether a line is another item of a list, or another line of a quote."""
    return form == found and (found in _LISTS or (found == "quote" and not gap))


def _line(line: str) -> tuple[str, str]:
    """What a line is, and what it says."""
    if _RULE.fullmatch(line):
        return "rule", ""
    for form, sign in (("heading", _HEADING), ("bullet", _BULLET), ("number", _NUMBER), ("quote", _QUOTE)):
        found = sign.fullmatch(line)
        if found:
            return form, one_line(found[1])
    return "", one_line(line)


def _inline(text: str) -> Inlines:
    """A line with its emphasis and links; what is not understood stays as it is."""
    told: list[PlainText] = []
    plain = ""
    at = 0
    for found in _INLINE.finditer(text):
        plain += text[at : found.start()]
        at = found.end()
        if found["plain"] is not None:
            plain += found["plain"]
            continue
        if found["alt"] is not None:
            plain += f"(picture: {one_line(found['alt'])})" if one_line(found["alt"]) else "(a picture)"
            continue
        told += [PlainText(plain)] if plain else []
        plain = ""
        told.append(_styled(found))
    plain += text[at:]
    return (*told, *([PlainText(plain)] if plain.strip() else []))


def _styled(found: re.Match[str]) -> PlainText:
    if found["code"] is not None:
        return PlainText(one_line(found["code"]), "code")
    if found["label"] is not None:
        return PlainText(_bare(found["label"]), link=found["address"])
    if found["auto"] is not None:
        return PlainText(found["auto"], link=found["auto"])
    strong = found["strong"] or found["strong2"]
    return PlainText(_bare(strong), "strong") if strong else PlainText(_bare(found["em"] or found["em2"]), "em")


def _bare(text: str) -> str:
    """Words without the marks of a second style, which a page does not set."""
    return re.sub(r"\\([!-/:-@\[-`{-~])", r"\1", text).replace("**", "")
