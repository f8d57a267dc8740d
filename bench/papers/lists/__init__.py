"""Makers' parts lists of any form: from bytes to parts, doubts and what was skipped.

Bytes become text, text is cut up in every way that it allows, columns get roles by what stands in them,
rows become parts, and the reading with the most designators and the fewest contradictions wins. Nothing is
dropped without a word: what is no part is in `skipped`, what contradicts is in `doubts`.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from msgspec.structs import replace

from bench.papers.lists.choices import without_choices
from bench.papers.lists.cleaning import without_board_marks
from bench.papers.lists.contradictions import doubts_about
from bench.papers.lists.draft import Doubt, Draft, Layout, ListPart, ListReading, Skipped
from bench.papers.lists.encoding import decode
from bench.papers.lists.guide_checks import check_doubts
from bench.papers.lists.headings import settled_roles
from bench.papers.lists.normalize_values import stated_units
from bench.papers.lists.pick_parse import best_draft, named_roles, sorted_drafts
from bench.papers.lists.spreadsheet import is_spreadsheet, read_sheets
from bench.papers.lists.vocabulary import heading_roles
from bench.parts.designators import class_letters
from bench.parts.english import counted

__all__ = ["Doubt", "ListPart", "ListReading", "Skipped", "as_json", "read_list"]

_SAID = (
    "board", "section", "description", "package", "tolerance", "voltage", "marking", "note", "understood",
    "optional",
)  # fmt: skip
_MOST_SKIPPED = 2_000
_FAR_MORE = 3
"""Counted lines of a shopping list for each line with designators from which those are stray words."""
_LIST = r"bom|bill of materials?|parts? ?list|partlist|list of parts|parts|components?|stückliste|部品表"
_GENERIC = re.compile(rf"(?:the )?(?:{_LIST})(?: for .{{0,20}})?", re.IGNORECASE)
_LIST_WORDS = re.compile(
    rf"\s*[,:–-]\s*(?:{_LIST})\s*$|\s+(?:{_LIST})\s*$|^(?:{_LIST})(?: for| of)?\s*[:–-]?\s+", re.IGNORECASE
)
_PAGE = re.compile(r"\s+page\s+[0-9]+(?:\s*(?:of|/)\s*[0-9]+)?$", re.IGNORECASE)


def read_list(data: bytes, name: str, known: Mapping[str, str] | None = None) -> ListReading:
    """The parts list in the bytes of a file; `name` is the file as people know it.

    `known` settles the roles of columns: heading -> `ref`, `value`, `quantity`, `description`, `package`,
    `note` ... Raises SoldersideError when the bytes are no text and no spreadsheet.
    """
    if is_spreadsheet(data):
        sheets, lines, notes = read_sheets(data, name)
        return read_lines(lines, name, known, layouts=[sheets], whole=True, notes=notes, encoding="spreadsheet")
    decoded = decode(data, name)
    notes = tuple(Doubt(line=line, what=what) for line, what in decoded.doubts)
    return read_lines(decoded.lines, name, known, notes=notes, encoding=decoded.encoding)


def read_lines(
    lines: Sequence[str],
    name: str,
    known: Mapping[str, str] | None = None,
    *,
    layouts: Sequence[Layout] = (),
    whole: bool = False,
    notes: Sequence[Doubt] = (),
    encoding: str = "",
) -> ListReading:
    """The parts list in lines of text, which may be cut up beforehand in some `layouts`.

    With `whole` these are all the ways there are; otherwise the text is cut up in every other way too.
    """
    settled = settled_roles(known)
    lines = without_board_marks(lines)
    units, said = stated_units(lines)
    read, asked = without_choices(lines)
    drafts = sorted_drafts(layouts, units, settled) if whole else best_draft(read, units, settled, layouts)
    draft = _chosen(drafts)
    lettered = any(part.refs for part in draft.parts)
    gaps = [doubt for doubt in doubts_about(draft.parts, lines) if doubt.kind == "gap"]
    doubts = [*notes, *said, *asked, *gaps, *(doubt for doubt in draft.doubts if doubt.kind != "gap")]
    if {"x", "y"} <= {role for _, role in draft.columns}:
        what = "the columns of positions are not taken over; as a placement file they can be added to a kit"
        doubts.append(Doubt(line=0, what=what))
    checks = list(check_doubts(lines))
    draft = _without_test_points(draft, {doubt.line for doubt in checks})
    doubts += checks
    if draft.parts and not lettered:
        doubts.append(Doubt(line=0, what="the list has no designators: it is read as a shopping list"))
    if not draft.parts:
        doubts.append(Doubt(line=0, what="no parts were found in this file"))
    return ListReading(
        name=name,
        title=_title(lines, draft),
        parts=draft.parts,
        doubts=tuple(sorted(dict.fromkeys(doubts), key=lambda doubt: doubt.line)),
        skipped=tuple(sorted(draft.skipped, key=lambda skipped: skipped.line))[:_MOST_SKIPPED],
        shopping_list=bool(draft.parts) and not lettered,
        why=_why(draft, drafts, encoding),
        form=draft.form,
        encoding=encoding,
        columns=draft.columns,
        table=draft.table,
        again=draft.again,
        totals=draft.totals,
        units=draft.units,
        source=tuple(lines),
    )


def as_json(reading: ListReading) -> dict[str, object]:
    """The reading as plain lists and mappings, as `read --json` prints it; empty fields are left out."""
    parts = []
    for part in reading.parts:
        fields: dict[str, object] = {
            "refs": list(part.refs),
            "value_text": part.value_text,
            "quantity": part.quantity,
            "line": part.line,
        } | _page(reading, part.line)
        fields |= {field: said for field in _SAID if (said := getattr(part, field))}
        parts.append(fields if part.fitted else fields | {"fitted": False})
    doubts: list[dict[str, object]] = [
        {"line": doubt.line, "what": doubt.what}
        | _page(reading, doubt.line)
        | ({"refs": list(doubt.refs)} if doubt.refs else {})
        for doubt in reading.doubts
    ]
    skipped: list[dict[str, object]] = [
        {"line": skipped.line, "text": skipped.text, "why": skipped.why} for skipped in reading.skipped
    ]
    found: dict[str, object] = {"version": 1, "parts": parts, "doubts": doubts, "skipped": skipped}
    if reading.placement is not None:
        found["places"] = [
            {
                "ref": place.ref, "x": place.x, "y": place.y, "exact": place.exact,
                "side": "back" if place.side == "bottom" else "front",
            }
            for place in reading.placement.places
        ]  # fmt: skip
    return found | ({"nets": {net: list(pads) for net, pads in reading.nets}} if reading.nets else {})


def _without_test_points(draft: Draft, lines: set[int]) -> Draft:
    """The draft without test points that stand in a table of readings: they are no parts."""
    points = [part for part in draft.parts if part.line in lines and _are_points(part)]
    skipped = (
        Skipped(line=part.line, text=f"{', '.join(part.refs)} {part.value_text}"[:80], why="a reading")
        for part in points
    )
    parts = tuple(part for part in draft.parts if part not in points)
    return replace(draft, parts=parts, skipped=(*draft.skipped, *skipped))


def _are_points(part: ListPart) -> bool:
    return bool(part.refs) and all(class_letters(ref).upper() == "TP" for ref in part.refs)


def _page(reading: ListReading, line: int) -> dict[str, object]:
    """The page of a line, where the file has pages."""
    return {"page": reading.pages[line - 1]} if 0 < line <= len(reading.pages) else {}


def _chosen(drafts: Sequence[Draft]) -> Draft:
    """The draft that reads best, or a shopping list that explains far more lines than its designators do."""
    lines = {part.line for part in drafts[0].parts if part.refs}
    bought = [draft for draft in drafts if not any(part.refs for part in draft.parts)]
    best = max(bought, key=lambda each: (each.settled, _shopping_score(each)), default=drafts[0])
    counted = sum(bool(part.quantity_text) for part in best.parts)
    headed = "quantity" in named_roles(best) and "ref" not in named_roles(drafts[0])
    more = counted > len(lines) if headed else counted >= _FAR_MORE * len(lines)
    return best if not lines or (more and best.settled == drafts[0].settled) else drafts[0]


def _shopping_score(draft: Draft) -> float:
    """How good a shopping list a draft is: parts with counts, and columns rather than loose lines."""
    counted = sum(bool(part.quantity_text) for part in draft.parts)
    return counted * 2 + len(draft.parts) * 0.5 + (0.1 if draft.columns else 0.0)


def _title(lines: Sequence[str], draft: Draft) -> str:
    """The first heading of the list, where it has one above its parts."""
    first = min((part.line for part in draft.parts), default=0)
    for skipped in sorted(draft.skipped, key=lambda skipped: skipped.line):
        if skipped.line >= first:
            return ""
        text = _PAGE.sub("", skipped.text.strip(' #*-=|:,;"')).rstrip(" ,;:|–-")
        good = (
            skipped.why in ("heading", "outside the table") and 2 < len(text) <= 60 and not text.endswith(".")
        )
        if (
            good
            and not _names_columns(text)
            and any(sign.isalpha() for sign in text)
            and not _GENERIC.fullmatch(text)
        ):
            return _LIST_WORDS.sub("", text) or text
    return ""


def _names_columns(text: str) -> bool:
    """Whether a line is the heading of columns and no title: three words or more, most of them headings."""
    words = [word for word in re.split(r"[\s/|,;]+", text) if word]
    named = sum(max(heading_roles(word).values(), default=0.0) >= 0.5 for word in words)
    return len(words) >= 3 and named >= 3 and named * 2 > len(words)


def _why(draft: Draft, drafts: Sequence[Draft], encoding: str) -> str:
    """How the list was read, in a sentence or two."""
    number = sum(len(part.refs) for part in draft.parts)
    said = f"read as {draft.form} ({encoding})"
    named = [f"'{heading}' holds {_ROLE_NAMES[role]}" for heading, role in draft.columns if role in _ROLE_NAMES]
    if named:
        said += ": " + ", ".join(named[:4])
    lines = sum(bool(part.refs) for part in draft.parts)
    said += f"; {counted(number, 'designator')} in {counted(lines, 'line')}"
    rivals = [other for other in drafts if other.form != draft.form]
    if rivals:
        best = max(rivals, key=lambda other: other.score)
        found = len({ref for part in best.parts for ref in part.refs})
        said += f"; the next best way, {best.form}, gives {found}"
        contradictions = sum(doubt.kind in ("two values", "count") for doubt in best.doubts)
        if contradictions:
            said += f" and {counted(contradictions, 'contradiction')}"
    return said


_ROLE_NAMES = {
    "ref": "the designators", "value": "the values", "quantity": "the counts", "description": "descriptions",
    "package": "packages",
}  # fmt: skip
