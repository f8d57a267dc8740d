"""Lists without columns: each line by itself, whatever stands around its entries."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from bench.papers.lists.cell_patterns import is_type, worth, worth_end
from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.line_entries import (
    KIND_WORD,
    LineEntry,
    after,
    bracketed,
    counted_in_brackets,
    counted_part,
    late_count,
    named_part,
    one_entry,
    pairs,
    split_value,
    told_of,
)
from bench.papers.lists.refs import STRONG, find_refs, other_names
from bench.papers.lists.runs import runs_of_refs
from bench.papers.lists.vocabulary import heading_roles, is_credit, is_hardware, is_total

FORM, WITHOUT_NAMES = "one entry a line", "one part a line, without designators"
ROLES = ("ref", "value", "quantity", "description")

_NAME_THEN_VALUE = re.compile(r"([^\W\d_][\w+-]{0,9})(?:,\s*([^\W\d_][\w+-]{0,9}))*,?\s+(?=[ABC]?[0-9.])")
_BULLET = re.compile(
    r"\s*(?:(?:[-*+•·◦▪●‣–—>]|[0-9]{1,3}[.)](?=\s)|\([0-9]{1,3}\))\s+)?"
    r"(?:\[\s?[xXoO_.✓✔-]?\s?\]|\(\s{0,2}[xX✓✔]?\s{0,2}\)|[☐☑☒□■✓✔]|_{2,10})?\s*"
    r"(?:(?:step|schritt|photo|picture|figure|fig\.|bild|foto)\s?[0-9]{1,3}\s*[.:)–-]\s*)?",
    re.IGNORECASE,
)
_STEP = re.compile(
    r"(?:(?:now|next|then|first|finally|start with|begin with),?\s+)?"
    r"(?:solder|install|insert|place|fit|mount|add|populate|stuff)(?:\s+in)?\s+(?:the\s+|all\s+)*",
    re.IGNORECASE,
)
_NUMBER_BEFORE = re.compile(r"\s*(?:[-*•]\s+)?(?:\(([0-9]{1,3})\)|([0-9]{1,3})\s+[-–])\s+(?=[^\W_])")
_SEVERAL = 3
_STROKES = re.compile(r"\s*\|\s*")
_COLUMN_BEFORE = ("number", "quantity")
_MOST_ENTRIES = 10_000


class _Context(Struct, frozen=True, kw_only=True):
    """What the list as a whole says about each of its lines."""

    columns: bool
    """Whether a line of words names columns, of which the second is the value."""
    numbers: tuple[str, ...] = ()
    """The columns of numbers that a heading puts before the designators: `number`, `quantity`."""
    counts_behind: bool
    """Whether several lines end in a count, which makes entries of them as bullets do."""
    seen: set[str]
    """Designators of the lines before, which a sentence further on only mentions."""


def free_lines(lines: Sequence[str]) -> Layout:
    """Each line by itself: designators at its beginning or end, and the rest."""
    head = next((found for line in lines[:60] if (found := _numbers_before(line))), ())
    context = _Context(
        columns=any(_is_column_head(line) for line in lines[:60]),
        numbers=head,
        counts_behind=sum(bool(late_count(line, "", "")[0]) for line in lines) > _SEVERAL,
        seen=set(),
    )
    rows: list[SourceRow] = []
    for at, line in enumerate(_with_counts(lines), 1):
        if line.strip() and len(rows) <= _MOST_ENTRIES:
            for cells in _entries(line, context):
                rows.append(SourceRow(line=at, cells=cells))
                context.seen.update(find_refs(cells[0]).refs if len(cells) > 1 else ())
    return Layout(form=FORM, tables=(SourceTable(rows=tuple(rows), roles=ROLES),))


def _with_counts(lines: Sequence[str]) -> Sequence[str]:
    """The lines with `2 x` for `(2)` or `2 -` before a part, where these numbers do not number the lines."""
    found = {at: number for at, line in enumerate(lines) if (number := _NUMBER_BEFORE.match(line))}
    counts = [int(number[1] or number[2]) for number in found.values()]
    if len(counts) < 2 or all(after - before == 1 for before, after in pairwise(counts)):
        return lines
    return [
        f"{found[at][1] or found[at][2]} x {line[found[at].end() :]}" if at in found else line
        for at, line in enumerate(lines)
    ]


def parts_without_names(lines: Sequence[str]) -> Layout | None:
    """A list of one part a line where none has a designator; None when this is no such list."""
    rows: list[SourceRow] = []
    entries = others = 0
    for at, line in enumerate(_with_counts(lines), 1):
        text = plain_cell(after(_BULLET, line)).rstrip(" -–—")
        if not text:
            continue
        words = text.split()
        value = len(words) <= 6 and (is_type(words[0]) or worth(words[0]) >= 0.7 or _kind_and_value(text))
        entries += value
        others += any(not run.begin for run in runs_of_refs(text)) or _counted(text, bulleted=False) is not None
        rows.append(SourceRow(line=at, cells=("", text, "1", "") if value else (text,)))
    if entries < max(3, 0.6 * len(rows), 3 * others):
        return None
    return Layout(form=WITHOUT_NAMES, tables=(SourceTable(rows=tuple(rows), roles=ROLES),))


def _kind_and_value(text: str) -> bool:
    """Whether a line is a kind and a value: `pot 20k`, `capacitor 100n`."""
    kind = KIND_WORD.match(text)
    return kind is not None and worth(text[kind.end() :]) >= 0.7


def _numbers_before(line: str) -> tuple[str, ...]:
    """The columns of numbers before the designators in a line of headings; empty when it is none."""
    found: list[str] = []
    for word in line.split()[:6]:
        roles = heading_roles(word)
        if roles.get("ref", 0.0) >= 0.9:
            return tuple(found)
        role = max(roles, key=lambda each: roles[each], default="")
        if role not in _COLUMN_BEFORE:
            return ()
        found.append(role)
    return ()


def _is_column_head(line: str) -> bool:
    """Whether a line of words names at least three columns, of which the second is the value."""
    words = line.split()[:8]
    words = words[len(_numbers_before(line)) :]
    roles = [heading_roles(word) for word in words]
    return (
        len(words) >= 3 and roles[0].get("ref", 0) >= 0.4 and roles[1].get("value", 0) >= 0.5
        and sum(bool(role) for role in roles) * 2 >= len(words)
    )  # fmt: skip


def _entries(line: str, context: _Context) -> Iterator[LineEntry | tuple[str]]:
    """The entries of one line; a single cell for a line that holds none."""
    text = plain_cell(after(_BULLET, line)).strip("| ")
    if len(text) > 2_000 or is_total(text) or is_credit(text) or other_names(text):
        yield (line.strip(),)
        return
    if "|" in text and (cells := _between_strokes(text)):
        yield from cells
        return
    found = _numbered(text, context) or _of_line(text, line, context)
    yield from found or ((plain_cell(line),),)


def _between_strokes(text: str) -> list[LineEntry]:
    """The entries of a line whose cells hold one each: `R1 10k | BIAS 20k trim`; none for any other."""
    cells = [cell for cell in _STROKES.split(text) if cell]
    found = [each for cell in cells if (each := _of_cell(cell)) is not None]
    return found if len(found) == len(cells) else []


def _of_cell(cell: str) -> LineEntry | None:
    run = next(iter(runs_of_refs(cell)), None)
    if run is None:
        return named_part(cell)
    value = cell[run.end :].strip(" :=-")
    return (
        (run.text, value, "", "") if not run.begin and value and not find_refs(value).trust >= STRONG else None
    )


def _numbered(text: str, context: _Context) -> list[LineEntry]:
    """The entry behind the numbers that a heading promises: `2 4 C2,C3,C42,C5 2.2u A2`."""
    if not context.numbers:
        return []
    words = re.match(rf"(?:[0-9]{{1,4}}\s+){{{len(context.numbers)}}}", text)
    groups = runs_of_refs(text)
    if words is None or not groups or groups[0].begin != words.end():
        return []
    count = dict(zip(context.numbers, words[0].split(), strict=True)).get("quantity", "")
    behind = text[groups[0].end :].strip()
    end = worth_end(behind) if context.columns else 0
    value, description = split_value(behind, explicit=False, columns=context.columns)
    if end:
        value, description = behind[:end], behind[end:].strip()
    return [(groups[0].text, value, count, description)] if value else []


def _of_line(text: str, line: str, context: _Context) -> list[LineEntry]:
    """The entries of a line without strokes."""
    groups = runs_of_refs(text)
    step = _STEP.match(text)
    if len(groups) > 1 or (groups and step):
        found = pairs(text, groups) or bracketed(text, groups)
        if found:
            return found
    if not groups:
        return counted_in_brackets(text) or _unlettered(text, line, context)
    if line.lstrip().startswith("#") and groups[0].begin:
        return []
    told = [each for each in told_of(text, groups) if not context.seen.issuperset(find_refs(each[0]).refs)]
    if told and (step or len(told) > 1):
        return told
    rest = text[step.end() :] if step and groups[0].begin >= step.end() else text
    one = one_entry(rest, runs_of_refs(rest), context.columns) or _called(text, context)
    return told if one is None else [one]


def _unlettered(text: str, line: str, context: _Context) -> list[LineEntry]:
    """The entry of a line without designators: a part that goes by a name, or a count and a part."""
    bulleted = context.counts_behind or text != line.strip()
    one = named_part(text, bulleted=bulleted) or _counted(text, bulleted=bulleted) or _called(text, context)
    return [] if one is None else [one]


def _called(text: str, context: _Context) -> LineEntry | None:
    """A name and a value in a list whose heading says that these stand first."""
    named = _NAME_THEN_VALUE.match(text) if context.columns else None
    behind = text[named.end() :] if named else ""
    if named is None or not worth_end(behind) or find_refs(behind.split()[0]).trust >= STRONG:
        return None
    value, description = split_value(behind, explicit=False, columns=True)
    return named[0].strip(), value, "", description


def _counted(text: str, *, bulleted: bool) -> LineEntry | None:
    """A line without designators that still is an entry: a count and a part, or a value behind a bullet."""
    if len(text) > 120:
        return None
    count, rest = late_count(text, "", "")
    if count and bulleted and rest.strip():
        return "", rest.strip(), count, ""
    return counted_part(text) or (("", text, "1", "") if bulleted and _is_value(text) else None)


def _is_value(text: str) -> bool:
    return worth_end(text) == len(text) and worth(text) == 1.0 and not is_hardware(text)
