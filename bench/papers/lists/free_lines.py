"""Lists without columns: `R1: 120k`, `- [ ] 2 x 10k (R1, R2)`, `R1, R2 15k 5% 1/4 Watt`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from bench.papers.lists.cell_patterns import FARADS, HENRIES, OHMS, is_type, worth_end
from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.draft import Layout, SourceRow, SourceTable
from bench.papers.lists.refs import find_refs
from bench.papers.lists.runs import RefRun, runs_of_refs
from bench.papers.lists.vocabulary import heading_roles, is_plain_word, is_total, not_fitted
from bench.parts.designators import class_letters

FORM = "one entry a line"
ROLES = ("ref", "value", "quantity", "description")

_NAME_THEN_VALUE = re.compile(r"([^\W\d_][\w+-]{0,9})(?:,\s*([^\W\d_][\w+-]{0,9}))*,?\s+(?=[ABC]?[0-9.])")
_BULLET = re.compile(
    r"\s*(?:(?:[-*+•·◦▪●‣–—>]|[0-9]{1,3}[.)](?=\s)|\([0-9]{1,3}\))\s+)?"
    r"(?:\[\s?[xX✓✔]?\s?\]|\(\s{0,2}[xX✓✔]?\s{0,2}\)|[☐☑☒□■✓✔]|_{2,10})?\s*"
)
_COUNT = re.compile(
    r"(?:qty\.?:?\s*)?([0-9]{1,4})\s*(?:[x×*](?=[\s0-9A-Za-z])|pcs?\b\.?|pieces?\b|off\b|ea\b\.?|stk\b\.?|stück\b|st\.)\s*(?:of\s+)?",
    re.IGNORECASE,
)
_BARE_COUNT = re.compile(r"([0-9]{1,3})\s+(?=\S)")
_LATE_COUNT = re.compile(
    r"[\s,;(]*(?:[x×]\s?([0-9]{1,3})|\(([0-9]{1,3})\s?(?:x|×|pcs?|off)?\)|([0-9]{1,3})\s?(?:x|×|pcs?\.?|off|Stk\.?))[\s)]*$",
    re.IGNORECASE,
)
_LEAD = re.compile(r"(?:[-–—](?=[0-9A-Za-z]))?\s*(?:[:=|]|[-–—→>](?=\s)|\.{2,}|…|_{2,})*\s*(?:\.{2,}\s*)?")
_TRAIL = re.compile(r"\s*(?:[:=|@]|[-–—→,;](?=\s|$)|\.{2,}|for\b|at\b|->)*\s*$")
_EXPLICIT = re.compile(r"[:=|→]|[-–—](?=\s)|\.{2,}|…")
_PIECES = re.compile(r"\s{2,}|\s[-–—|]\s(?!\s?[0-9.,]+\s?[pnuµμmkM]?[FΩR]?\b)|;\s|\t")
_PROSE = re.compile(
    r"\b(?:is|are|was|the|should|will|you|your|this|that|then|must|have|has|been|which|sind|ist|wird)\b",
    re.IGNORECASE,
)
_KIND_WORD = re.compile(
    r"(?:resistors?|capacitors?|caps?|inductors?|potentiometers?|pots?|trimmers?|widerst[aä]nde?|kondensator(?:en)?"
    r"|elkos?|poti|ics?|diodes?|dioden?|transistor(?:s|en)?|résistances?|condensateurs?|resistencias?|condensador(?:es)?"
    r"|leds?|electrolytic|ceramic|film|crystal|quartz)[\s:,-]+",
    re.IGNORECASE,
)
_NAMED = re.compile(r"([^\W\d_][\w+-]{1,15})\s*[:=]\s*([ABC]?[0-9.]+\s?[kKM][\w\s]{0,12})")
_NAMED_POT = re.compile(
    r"([^\W\d_][\w+/-]{1,15})\s+([ABCW]?[0-9][0-9.]*[kKM][0-9]?(?:\s?(?:lin|log))?)\s*(?:[\[(].{0,60})?"
)
_FIELD = re.compile(r"\s*[-*•]?\s*([^\W\d_][\w ]{2,20}?)\s*[:=]\s*(\S.*)")
_MOST_ENTRIES = 10_000


def free_lines(lines: Sequence[str]) -> Layout:
    """Each line by itself: designators at its beginning or end, and the rest."""
    columns = any(_is_column_head(line) for line in lines[:60])
    rows: list[SourceRow] = []
    for at, line in enumerate(lines, 1):
        if line.strip() and len(rows) <= _MOST_ENTRIES:
            if rows and _completes(line, rows):
                continue
            rows += (SourceRow(line=at, cells=cells) for cells in _entries(line, columns))
    return Layout(form=FORM, tables=(SourceTable(rows=tuple(rows), roles=ROLES),))


def _completes(line: str, rows: list[SourceRow]) -> bool:
    """Take a line like `- Value: 10k` under a bare designator for its value."""
    cells = rows[-1].cells
    field = _FIELD.fullmatch(line[:200])
    if field is None:
        return False
    if (
        len(cells) == 1
        and find_refs(cells[0]).trust >= 0.5
        and heading_roles(field[1]).get("value", 0.0) >= 0.9
    ):
        cells = (cells[0], "", "", "")
    if len(cells) != len(ROLES) or not cells[0]:
        return False
    roles = heading_roles(field[1])
    for role in ("value", "description"):
        at = ROLES.index(role)
        if roles.get(role, 0.0) >= 0.9 and not cells[at]:
            rows[-1] = SourceRow(line=rows[-1].line, cells=(*cells[:at], field[2].strip(), *cells[at + 1 :]))
            return True
    return roles.get("package", 0.0) >= 0.9


def _is_column_head(line: str) -> bool:
    """Whether a line of words names at least three columns, of which the second is the value."""
    words = line.split()[:8]
    roles = [heading_roles(word) for word in words]
    return (
        len(words) >= 3 and roles[0].get("ref", 0) >= 0.4 and roles[1].get("value", 0) >= 0.5
        and sum(bool(role) for role in roles) * 2 >= len(words)
    )  # fmt: skip


def _entries(line: str, columns: bool) -> Iterator[tuple[str, ...]]:
    """The entries of one line; a single cell for a line that holds none."""
    text = plain_cell(_after(_BULLET, line))
    if len(text) > 2_000 or is_total(text):
        yield (line.strip(),)
        return
    groups = runs_of_refs(text)
    if len(groups) > 1:
        pairs = list(_pairs(text, groups)) or list(_bracketed(text, groups))
        if pairs:
            yield from pairs
            return
    found = _single(text, groups, columns) if groups else _without(line, text)
    if found is None and columns and (named := _NAME_THEN_VALUE.match(text)) and worth_end(text[named.end() :]):
        value, description = _value(text[named.end() :], explicit=False, columns=True)
        found = named[0].strip(), value, "", description
    yield found or (plain_cell(line),)


def _after(pattern: re.Pattern[str], text: str) -> str:
    """A text without what the pattern matches at its beginning."""
    found = pattern.match(text)
    return text[found.end() :] if found else text


def _pairs(text: str, groups: Sequence[RefRun]) -> Iterator[tuple[str, ...]]:
    """Several entries in one line: `R1 10k, R2 22k`; nothing when the line is not of that kind."""
    if text[: groups[0].begin].strip():
        return
    ends = [group.begin for group in groups[1:]] + [len(text)]
    between = [text[group.end : end] for group, end in zip(groups, ends, strict=True)]
    values = [_after(_LEAD, piece).strip(" ,;/|\t") for piece in between]
    good = [worth_end(value) >= len(value) * 0.6 or is_type(value) for value in values]
    if all(value and len(value.split()) < 5 for value in values) and sum(good) * 2 >= len(good):
        yield from ((group.text, value, "", "") for group, value in zip(groups, values, strict=True))


def _bracketed(text: str, groups: Sequence[RefRun]) -> Iterator[tuple[str, ...]]:
    """Several entries in one line with the designators in brackets: `10k (R1, R2), 22k (R3)`."""
    at = text.find(":") + 1 if 0 < text.find(":") < groups[0].begin else 0
    found: list[tuple[str, ...]] = []
    for group in groups:
        before, after = text[at : group.begin].rstrip(), text[group.end :].lstrip()
        count, begin = _count(before.lstrip(" ,;"))
        value = before.rstrip("([").strip(" ,;")[begin:].strip()
        if before[-1:] not in ("(", "[") or after[:1] not in (")", "]") or not value:
            return
        found.append((group.text, value, count, text[: text.find(":")] if at and not found else ""))
        at = len(text) - len(after) + 1
    if all(worth_end(entry[1]) or is_type(entry[1]) or len(entry[1]) < 20 for entry in found):
        yield from found


def _single(text: str, groups: Sequence[RefRun], columns: bool) -> tuple[str, ...] | None:
    """The one entry of a line with designators; None when it looks like prose."""
    count, begin = _count(text)
    first, last = groups[0], groups[-1]
    if not text[begin : first.begin].strip(" (["):
        before, rest = "", text[first.end :]
        group = first
        if text[begin : first.begin].strip():
            rest = rest.lstrip(" )]")
    elif not text[last.end :].strip(" )].,;*") or text[last.end :].lstrip()[:1] in (")", "]"):
        group = last
        before, rest = text[begin : last.begin].rstrip("([ "), text[last.end :].lstrip(" )].,;*")
        trail = _TRAIL.search(before)
        before = before[: trail.start()] if trail else before
    elif worth_end(text[begin : first.begin].strip()) and len(groups) == 1:
        group, before, rest = first, text[begin : first.begin].strip(" :-([,"), text[first.end :].strip(" )]-,")
    else:
        return None
    refs = group.text
    if before:
        before, count = _late_count(before, count, refs)
        value, more = _value(before, explicit=False, columns=False)
        description = " ".join(filter(None, (more, rest)))
    else:
        rest, count = _late_count(rest, count, refs)
        lead = _LEAD.match(rest)
        explicit = bool(lead and _EXPLICIT.search(lead[0]))
        tail_comma = rest.strip() in (",", ";")
        if tail_comma:
            return refs + ",", "", count, ""
        value, description = _value(rest[lead.end() if lead else 0 :].strip(" ,;"), explicit, columns)
    if not _plausible(refs, value, description):
        return None
    if not count and before and (bare := _BARE_COUNT.match(value)):
        number = len(find_refs(refs).refs)
        if int(bare[1]) == number and worth_end(value[bare.end() :]):
            count, value = bare[1], value[bare.end() :]
    if text.rstrip().endswith(",") and before:
        refs += ","
    return refs, value, count, description


def _late_count(text: str, count: str, refs: str) -> tuple[str, str]:
    """A text without the count at its end, and the count; a bare number in brackets may be a marking."""
    late = _LATE_COUNT.search(text)
    if not late or count or (late[2] and int(late[2]) != len(find_refs(refs).refs)):
        return text, count
    return text[: late.start()], next(filter(None, late.groups()))


def _count(text: str) -> tuple[str, int]:
    """The count at the beginning of a line, and where the rest begins."""
    found = _COUNT.match(text)
    if found:
        return found[1], found.end()
    bare = _BARE_COUNT.match(text)
    if bare and _is_value(text[bare.end() :]):
        unit = re.match(
            r"(?:ohms?|[kKMR]?Ω|[kKMR]|[munpµμ]?[FHVAW]|k?Hz|MHz|watts?|volts?|%|turns?|pins?|to|or)\b",
            text[bare.end() :],
            re.I,
        )
        if not unit:
            return bare[1], bare.end()
    return "", 0


def _is_value(text: str) -> bool:
    """Whether a text begins with a letter, a quantity or a type number."""
    return text[0].isalpha() or bool(worth_end(text)) or is_type(text.split(" ", 1)[0])


def _value(text: str, explicit: bool, columns: bool) -> tuple[str, str]:
    """Value and description in what stands beside the designators."""
    first, *others = _PIECES.split(text, maxsplit=1)
    more = others[0].strip() if others else ""
    kind = _KIND_WORD.match(first)
    if kind and first[kind.end() :] and ":" in kind[0]:
        return _value(first[kind.end() :], explicit, columns)[0], " ".join(
            filter(None, (kind[0].strip(" :,-"), more))
        )
    if explicit and not columns:
        return first.strip(), more
    if columns:
        word, _, rest = first.partition(" ")
        end = worth_end(first)
        unit = re.match(r"(?:ohms?|[kKM]?Ω|[kKM]|[munpµμ]?[FH])(?=\s|$)", rest)
        if end > len(word) and unit:
            return f"{word} {unit[0]}", " ".join(filter(None, (rest[unit.end() :].strip(), more)))
        return word, " ".join(filter(None, (rest.strip(), more)))
    return first.strip(" *"), more


def _plausible(refs: str, value: str, description: str) -> bool:
    """Whether this can be an entry of a list rather than a sentence about parts."""
    words = value.split()
    typed = bool(words) and is_type(words[0]) and len(words[0]) > 2
    if len(words) > 14 or (not typed and len(words) > 2 and _PROSE.search(value) and not worth_end(value)):
        return False
    found = find_refs(refs)
    letters = class_letters(found.refs[0]).upper() if found.refs else ""
    if letters in OHMS or letters in FARADS or letters in HENRIES:
        has_digit = any(sign.isdigit() for sign in value)
        return not words or has_digit or len(words) <= 2 or not_fitted(value) or value[0] in "(["
    return typed or (
        bool(words) and not _PROSE.search(f"{value} {description[:60]}" if len(words) < 3 else value)
    )


def _without(line: str, text: str) -> tuple[str, ...] | None:
    """A line without designators that still is an entry: a count with `x`, or a name with a value."""
    named = _NAMED.fullmatch(text)
    if named and worth_end(named[2]) == len(named[2]):
        return named[1], named[2].strip(), "", ""
    if len(text) > 120:
        return None
    pot = _NAMED_POT.fullmatch(text)
    if pot and (pot[2][0] in "ABCW" or text != line.strip()) and not is_plain_word(pot[1]):
        return pot[1], text[pot.start(2) :].strip(), "", ""
    found = _COUNT.match(text)
    if found and text[found.end() :].strip():
        return "", text[found.end() :].strip(), found[1], ""
    late = _LATE_COUNT.search(text)
    if late and text != line.strip() and text[: late.start()].strip():
        return "", text[: late.start()].strip(), next(filter(None, late.groups())), ""
    bare = _BARE_COUNT.match(text)
    if bare and text[bare.end()].isalnum() and not worth_end(text) > bare.end() and not _PROSE.search(text):
        return "", text[bare.end() :].strip(), bare[1], ""
    return None
