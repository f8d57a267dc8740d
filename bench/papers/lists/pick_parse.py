"""Several ways to read a list, and the one that explains most of it with the fewest contradictions."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.aligned import BY_GAPS, BY_PLACE, BY_STRIPS, aligned
from bench.papers.lists.cell_lines import FORM as CELL_LINES
from bench.papers.lists.cell_lines import cell_lines
from bench.papers.lists.columns import headings, seen_columns
from bench.papers.lists.contradictions import DesignatorBlock, doubts_about, merged, total_doubts
from bench.papers.lists.delimited import BY_AMPERSANDS, BY_TABS, FORMS, delimited
from bench.papers.lists.draft import Doubt, Draft, Layout, ListColumn, ListPart, Skipped, SourceRow
from bench.papers.lists.footnotes import footnotes, with_footnote
from bench.papers.lists.free_lines import FORM as FREE
from bench.papers.lists.free_lines import WITHOUT_NAMES, free_lines, parts_without_names
from bench.papers.lists.headings import heading_key
from bench.papers.lists.markup import FORM as MARKUP
from bench.papers.lists.markup import marked_up
from bench.papers.lists.normalize_values import family_of, understand, understood, value_doubts
from bench.papers.lists.records import FORM as RECORDS
from bench.papers.lists.records import records
from bench.papers.lists.refs import trust_of
from bench.papers.lists.roles import Roles
from bench.papers.lists.rows import Entries, read_segment
from bench.papers.lists.table_sections import Segment, segments
from bench.papers.lists.vocabulary import heading_roles, stated_total, unit_in_heading
from bench.parts.designators import class_letters

_SAMPLE, _SAMPLE_CHARACTERS = 1_100, 100_000
"""Lines and characters on which every way of reading is tried."""
_NEARLY_ALL = 0.85
"""Share of the lines that a reading must explain to end the search."""
_REGULAR, _STEADY = 0.6, 0.95
"""Share of the lines that columns must explain to be preferred to lines read one by one."""


_AS_MANY = 0.9
"""Share of the designators of loose lines that columns typed by hand must find to be preferred to them."""
_BY_HAND = (BY_PLACE, BY_STRIPS, BY_GAPS, FORMS["\t"], BY_TABS)
_TABLE_TAG = re.compile(r"<(?:td|th|tr|table)\b", re.IGNORECASE)
_COST = {"two values": 0.5, "count": 0.5, "no designator": 0.3, "twice": 0.3}
"""What a doubt takes from a reading's score, in designators."""
_PREFERENCE = {MARKUP: 1.03, CELL_LINES: 1.03, FREE: 0.93, BY_STRIPS: 0.97, BY_GAPS: 0.9}
"""Layouts that explain more or less than others when they find the same."""


def layouts(lines: Sequence[str], wanted: Collection[str] = ()) -> Iterator[Layout]:
    """Every way of cutting up these lines that is worth a try, or those `wanted`, likeliest first."""
    families: tuple[tuple[Collection[str], Callable[[Sequence[str]], Iterable[Layout]]], ...] = (
        ((MARKUP,), lambda given: filter(None, [marked_up(given)])),
        ((CELL_LINES,), cell_lines),
        ((BY_AMPERSANDS, *FORMS.values(), BY_TABS), delimited),
        ((RECORDS,), records),
        ((BY_PLACE, BY_STRIPS, BY_GAPS), aligned),
        ((FREE,), lambda given: [free_lines(given)]),
        ((WITHOUT_NAMES,), lambda given: filter(None, [parts_without_names(given)])),
    )
    outside = ["" if _TABLE_TAG.search(line) else line for line in lines]
    for forms, cut in families:
        if not wanted or not set(forms).isdisjoint(wanted):
            yield from (
                layout
                for layout in cut(lines if forms == (MARKUP,) else outside)
                if not wanted or layout.form in wanted
            )


def best_draft(
    lines: Sequence[str], units: Mapping[str, str], known: Mapping[str, str], more: Sequence[Layout] = ()
) -> tuple[Draft, ...]:
    """All drafts that were compared, the one that reads best first; `more` are ways found beforehand.

    A long list is tried on its first lines, and read in whole only in the way that serves these best.
    """
    sample = _sample(lines)
    drafts = sorted_drafts([*more, *layouts(sample)], units, known)
    if len(sample) == len(lines) or drafts[0].form in {each.form for each in more}:
        return drafts
    better = [drafts[0].form] if drafts[0].parts else [drafts[0].form, FREE]
    full = sorted_drafts(layouts(lines, better), units, known)
    return (*full, *(draft for draft in drafts if draft.form != full[0].form))


def _sample(lines: Sequence[str]) -> Sequence[str]:
    """The first lines, as many as may be read in every way within a second."""
    size = 0
    for at, line in enumerate(lines):
        size += len(line)
        if at >= _SAMPLE or size > _SAMPLE_CHARACTERS:
            return lines[: max(at, 1)]
    return lines


def sorted_drafts(
    candidates: Iterable[Layout], units: Mapping[str, str], known: Mapping[str, str]
) -> tuple[Draft, ...]:
    """What each layout gives, best first; no further one is tried after one that leaves nothing to wish for."""
    drafts: list[Draft] = []
    for layout in candidates:
        drafts.append(draft_of(layout, dict(units), known))
        if _leaves_nothing(drafts[-1], layout) and bool(drafts[-1].settled) >= bool(known):
            break
    filled = max((len(_lines(draft)) for draft in drafts), default=0)
    loose = max((_number(draft) for draft in drafts if draft.form == FREE), default=0)
    regular = [
        draft
        for draft in drafts
        if draft.form != FREE
        and _regular(draft, filled) >= _REGULAR
        and (draft.form not in _BY_HAND or _number(draft) >= _AS_MANY * loose)
    ]
    if any(draft.columns for draft in regular):
        sure = any({"ref", "value"} <= named_roles(draft) or _is_steady(draft, filled) for draft in regular)
        less = 0.4 if sure else 0.75
        drafts = [replace(draft, score=draft.score * less) if draft.form == FREE else draft for draft in drafts]
    return tuple(sorted(drafts, key=lambda draft: (-draft.settled, -draft.score)))


def named_roles(draft: Draft) -> set[str]:
    """The roles of columns whose heading is a known one."""
    return {role for heading, role in draft.columns if heading_roles(heading)}


def _number(draft: Draft) -> int:
    """How many designators a draft finds."""
    return len({(part.board, ref) for part in draft.parts for ref in part.refs})


def _is_steady(draft: Draft, filled: int) -> bool:
    """Whether signs between the columns cut nearly every line into at least three cells."""
    return draft.form in FORMS.values() and len(draft.table) > 2 and _regular(draft, filled) >= _STEADY


def _leaves_nothing(draft: Draft, layout: Layout) -> bool:
    """Whether columns with known headings hold nearly every line, and their values are values."""
    if not {"ref", "value"} <= named_roles(draft) or layout.form == BY_GAPS:
        return False
    filled = sum(any(row.cells) for table in layout.tables for row in table.rows) + len(layout.loose)
    odd = sum(doubt.kind in _COST for doubt in draft.doubts)
    lettered = sum(len(part.refs) for part in draft.parts)
    return (
        len(_lines(draft)) >= _NEARLY_ALL * filled and odd * 10 <= len(draft.parts)
        and draft.score >= 0.85 * lettered
    )  # fmt: skip


class _Gathered(Struct, kw_only=True):
    """What the stretches of a layout gave so far."""

    skipped: list[Skipped]
    totals: list[tuple[int, int]]
    blocks: list[DesignatorBlock] = []
    doubts: list[Doubt] = []
    columns: list[tuple[str, str]] = []
    table: dict[str, ListColumn] = {}
    """The columns by the keys of their headings."""


def draft_of(layout: Layout, units: dict[str, str], known: Mapping[str, str]) -> Draft:
    """What one layout gives; units that headings state are added to `units`."""
    found = _gathered(layout, units, known)
    merged_parts, repeated, dropped = merged(found.blocks)
    skipped = [*found.skipped, *map(_listed_elsewhere, dropped)]
    notes = footnotes(skipped)
    parts = tuple(understood(with_footnote(part, notes), units) for part in merged_parts)
    doubts = [*found.doubts, *repeated]
    doubts += doubts_about(parts)
    doubts += value_doubts(parts, units)
    doubts += total_doubts(parts, found.totals)
    draft = Draft(
        form=layout.form,
        parts=parts,
        doubts=tuple(doubts),
        skipped=tuple(skipped),
        columns=tuple(found.columns),
        table=tuple(found.table.values()),
        again=tuple(understood(part, units) for part in dropped),
        totals=tuple(found.totals),
        units=tuple(units.items()),
        settled=len(known.keys() & found.table.keys()),
    )
    return replace(draft, score=_score(draft, units))


def _gathered(layout: Layout, units: dict[str, str], known: Mapping[str, str]) -> _Gathered:
    """What all stretches of a layout and the lines outside them give."""
    found = _Gathered(
        skipped=[_outside(row) for row in layout.loose if row.cells[0]],
        totals=[
            (row.line, number) for row in layout.loose if (number := stated_total(row.cells[0])) is not None
        ],
    )
    board = ""
    for table in layout.tables:
        board = "" if table.title else board
        for segment in segments(table):
            board = _gather(found, segment, board, units, known)
    return found


def _gather(
    found: _Gathered, segment: Segment, board: str, units: dict[str, str], known: Mapping[str, str]
) -> str:
    """Add what one stretch holds to what was found; returns the board it ends with."""
    entries = Entries(parts=[], doubts=[], skipped=[], totals=[])
    roles, board = read_segment(segment, entries, board, known)
    _take_unit(segment, roles, units)
    found.blocks += _blocks(entries.parts, segment)
    found.doubts += entries.doubts
    found.skipped += entries.skipped
    found.skipped += _heading_lines(segment)
    found.totals += entries.totals
    if (entries.parts or known) and not segment.roles:
        found.columns += [pair for pair in headings(segment, roles) if pair not in found.columns]
        for column in seen_columns(segment, roles):
            found.table.setdefault(heading_key(column.heading), column)
    return board


def _take_unit(segment: Segment, roles: Roles, units: dict[str, str]) -> None:
    """Add the unit that the heading above the values states; the first one stated for a quantity holds."""
    at = roles.get("value")
    if at is None or at >= len(segment.header):
        return
    unit = unit_in_heading(segment.header[at])
    if unit:
        units.setdefault({"F": "farad", "H": "henry"}.get(unit[-1], "ohm"), unit)


def _outside(row: SourceRow) -> Skipped:
    """A line outside the tables."""
    text = row.cells[0]
    why = "heading" if text[0] == "#" else "outside the table"
    return Skipped(line=row.line, text=text[:80], why=why)


def _heading_lines(segment: Segment) -> Iterator[Skipped]:
    """The lines of a stretch that hold the heading of its columns."""
    if segment.header and segment.header_line:
        text = " ".join(filter(None, segment.header))[:80]
        yield Skipped(line=segment.header_line, text=text, why="heading of the columns")
    for line in segment.again:
        yield Skipped(line=line, text="", why="heading of the columns, again")


def _listed_elsewhere(part: ListPart) -> Skipped:
    """The line of a part that another listing has too."""
    text = f"{', '.join(part.refs)} {part.value_text}".strip()
    return Skipped(line=part.line, text=text[:80], why="listed elsewhere too")


def _blocks(parts: Sequence[ListPart], segment: Segment) -> Iterator[DesignatorBlock]:
    """The entries of one stretch, cut where a new board or a repeated listing begins."""
    places = [(part.board, part.section, sum(line < part.line for line in segment.again)) for part in parts]
    run: list[ListPart] = []
    seen: set[str] = set()
    for at, part in enumerate(parts):
        moved = bool(run) and places[at] != places[at - 1]
        if moved and (part.board != run[-1].board or _restarts(parts[at:], places[at:], seen)):
            yield DesignatorBlock(parts=tuple(run), name=run[0].section or segment.title, sheet=segment.title)
            run, seen = [], set()
        run.append(part)
        seen.update(part.refs)
    if run:
        yield DesignatorBlock(parts=tuple(run), name=run[0].section or segment.title, sheet=segment.title)


def _restarts(parts: Sequence[ListPart], places: Sequence[tuple[str, str, int]], seen: set[str]) -> bool:
    """Whether the section that begins here mostly uses designators seen already."""
    mine = [ref for part, place in zip(parts, places, strict=True) if place == places[0] for ref in part.refs]
    return len(mine) > 1 and sum(ref in seen for ref in mine) * 2 >= len(mine)


def _score(draft: Draft, units: dict[str, str]) -> float:
    """Designators that can be trusted and values that were understood, less what contradicts."""
    score = 0.0
    named = 0.4 if "ref" in named_roles(draft) else 0.0
    seen: set[tuple[str, str]] = set()
    for part in draft.parts:
        if not part.refs:
            score += 0.05
            continue
        quality = _value_quality(part, units)
        for ref in part.refs:
            if (part.board, ref) not in seen:
                seen.add((part.board, ref))
                trust = trust_of(ref)
                score += (
                    trust * (0.7 + 0.3 * quality)
                    if trust >= 0.8
                    else max(trust * 0.5, named if ref.isalpha() else 0.0)
                )
    score -= sum(
        _COST.get(doubt.kind, 0.0) * (len(doubt.refs) if doubt.kind == "two values" else 1)
        for doubt in draft.doubts
    )
    if any(role == "inside" for _, role in draft.columns):
        score *= 0.9
    return score * _PREFERENCE.get(draft.form, 1.0)


def _lines(draft: Draft) -> set[int]:
    return {part.line for part in draft.parts if part.refs}


def _regular(draft: Draft, lines: int) -> float:
    """Share of the filled lines that a draft accounts for as parts."""
    return len(_lines(draft)) / max(lines, 1)


def _value_quality(part: ListPart, units: dict[str, str]) -> float:
    """How good a value is, 0 to 1: understood and short is best."""
    text = part.value_text
    if not text:
        return 0.2
    family = family_of(class_letters(part.refs[0]))
    if family:
        good = understand(text, family, units.get(family, "")) is not None
        return (1.0 if len(text) < 30 else 0.7) if good else 0.2
    return 0.8 if len(text) <= 40 else 0.3
