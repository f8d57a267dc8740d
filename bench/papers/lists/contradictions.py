"""What a list says twice, says differently, or leaves out."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import combinations

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.draft import Doubt, ListPart
from bench.papers.lists.refs import RefMatch, runs_backwards
from bench.papers.lists.vocabulary import is_optional, not_fitted
from bench.parts.designators import class_letters, shorten
from bench.parts.english import counted

_NUMBERED = re.compile(r"([^\W\d_]+\$?)([0-9]{1,4})[A-Za-z]?")
_REVISION = re.compile(
    r"\b(?:v(?:ersion)?|r(?:ev(?:ision)?)?)[.:]?\s?([0-9]+(?:\.[0-9]+)*|[a-z]\b)|\b([0-9]+(?:\.[0-9]+)+)",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W_]+")
_NOT_USED = re.compile(
    r"\bnot used\b|\bunused\b|\bno part\b|nicht (?:belegt|verwendet)|non utilis", re.IGNORECASE
)
_MANY = 6
"""Designators with two values from which one question is asked about all of them."""
_WIDEST_GAP = 5
"""Numbers in a row that may be missing by mistake; more is a new hundred."""
_OR = re.compile(r"\s(?:or|oder|ou)\s", re.IGNORECASE)


class DesignatorBlock(Struct, frozen=True, kw_only=True):
    """Entries of one stretch of the list."""

    parts: tuple[ListPart, ...]
    name: str = ""
    """Heading of the stretch."""
    sheet: str = ""
    """Title of the table or sheet that it stands in."""


def same_value(one: str, other: str) -> bool:
    """Whether two values are the same apart from spaces, or begin with the same word and one says more.

    >>> same_value("100 nF", "100nF"), same_value("10k", "10k 1 %"), same_value("10k", "1k")
    (True, True, False)
    """
    words, others = one.split(), other.split()
    if "".join(words) == "".join(others):
        return True
    if not words or not others or len(words) == len(others):
        return False
    first, second = (each[0].strip("+*,;()").casefold() for each in (words, others))
    return first == second and any(map(str.isdigit, first))


def _values(parts: Sequence[ListPart]) -> dict[str, ListPart]:
    return {ref: part for part in reversed(parts) for ref in part.refs}


def merged(
    blocks: Sequence[DesignatorBlock],
) -> tuple[tuple[ListPart, ...], tuple[Doubt, ...], tuple[ListPart, ...]]:
    """The entries of all stretches without those that repeat others, doubts, and what was left out.

    Other boards with the same designators are told apart.
    """
    kept: list[DesignatorBlock] = []
    blocks, dropped, doubts = _newest(blocks)
    for block in blocks:
        mine = _values(block.parts)
        if not block.parts:
            continue
        if not mine and any(_values(other.parts) for other in kept):
            again = _shopping_again(block, kept)
            if again:
                doubts.append(Doubt(line=block.parts[0].line, what=again, kind="repeated"))
                dropped += block.parts
                continue
        place = next((at for at, other in enumerate(kept) if _overlap(mine, _values(other.parts)) >= 0.5), None)
        if place is None:
            kept.append(block)
            continue
        other = kept[place]
        theirs = _values(other.parts)
        common = mine.keys() & theirs.keys()
        alike = sum(same_value(mine[ref].value_text, theirs[ref].value_text) for ref in common)
        named = {part.board for part in other.parts} | {part.board for part in block.parts}
        if len(named) == 1 and alike >= 0.8 * len(common):
            kept[place], said = _once(other, block)
            held = {part.line for part in kept[place].parts}
            dropped += (part for part in (*other.parts, *block.parts) if part.line not in held)
            doubts += said
        else:
            kept.append(block)
    return _boards(kept, doubts), tuple(doubts), tuple(dropped)


def _newest(
    blocks: Sequence[DesignatorBlock],
) -> tuple[list[DesignatorBlock], list[ListPart], list[Doubt]]:
    """The stretches without older revisions of the same sheet, the entries of those, and a doubt about each."""
    sheets: dict[str, list[ListPart]] = defaultdict(list)
    for block in blocks:
        sheets[block.sheet] += block.parts
    older: dict[str, str] = {}
    for one, other in combinations(sheets, 2):
        first, second = _version(one), _version(other)
        alike = first[0] == second[0] and first[1] and second[1] and first[1] != second[1]
        if alike and _overlap(_values(sheets[one]), _values(sheets[other])) >= 0.5:
            old, new = (one, other) if first[1] < second[1] else (other, one)
            older[old] = new
    doubts = [
        Doubt(
            line=sheets[old][0].line,
            what=f"'{old}' and '{new}' are revisions of the same list; the newer one is taken",
            kind="repeated",
        )
        for old, new in older.items()
    ]
    dropped = [part for old in older for part in sheets[old]]
    return [block for block in blocks if block.sheet not in older], dropped, doubts


def _version(title: str) -> tuple[str, tuple[int, ...]]:
    """A title without its revision, and the revision: numbers, or the place of a letter."""
    found = _REVISION.search(title)
    if found is None:
        return title, ()
    rest = " ".join((title[: found.start()] + title[found.end() :]).split()).casefold()
    said = found[1] or found[2]
    return rest, tuple(map(int, re.findall("[0-9]+", said))) or (ord(said.upper()),)


def _overlap(mine: dict[str, ListPart], theirs: dict[str, ListPart]) -> float:
    common = len(mine.keys() & theirs.keys())
    return common / min(len(mine), len(theirs)) if common > 1 or (common and len(mine) == 1) else 0.0


def _shopping_again(block: DesignatorBlock, kept: Sequence[DesignatorBlock]) -> str:
    """Why a stretch without designators is left out; empty when it is not."""
    known = {"".join(part.value_text.casefold().split()) for other in kept for part in other.parts if part.refs}
    told = {"".join(f"{p.description}".casefold().split()) for other in kept for p in other.parts if p.refs}
    mine = ["".join(part.value_text.casefold().split()) for part in block.parts]
    again = sum(value in known or value in told for value in mine)
    if again * 2 < len(mine):
        return ""
    return f"{len(mine)} lines repeat parts listed elsewhere with their designators; they are not counted"


def _once(first: DesignatorBlock, second: DesignatorBlock) -> tuple[DesignatorBlock, list[Doubt]]:
    """One of two stretches that list the same parts, with what only the other has."""
    one, other = (_values(block.parts) for block in (first, second))
    better = len(other) > len(one) or (len(other) == len(one) and len(second.parts) < len(first.parts))
    keep, drop = (second, first) if better else (first, second)
    alike = len(one.keys() & other.keys()) > 0.7 * max(len(one), len(other))
    line = second.parts[0].line
    doubts = [
        Doubt(line=line, what="the list repeats its parts from here on; each is taken once", kind="repeated")
    ]
    mine, others = _values(keep.parts), _values(drop.parts)
    for ref in mine.keys() & others.keys():
        if not same_value(mine[ref].value_text, others[ref].value_text):
            what = (
                f"{ref} has two values: '{mine[ref].value_text}' (line {mine[ref].line}) and "
                f"'{others[ref].value_text}' (line {others[ref].line})"
            )
            line = max(mine[ref].line, others[ref].line)
            doubts.append(Doubt(line=line, what=what, kind="two values", refs=(ref,)))
    extra = []
    for part in drop.parts:
        new = tuple(ref for ref in part.refs if ref not in mine)
        if new:
            extra.append(replace(part, refs=new, quantity=len(new), quantity_text=""))
            if alike:
                what = f"only one of the two listings has {shorten(new)}"
                doubts.append(Doubt(line=part.line, what=what, kind="repeated", refs=new))
    if not any(not part.refs for part in keep.parts):
        extra += [part for part in drop.parts if not part.refs]
    return DesignatorBlock(
        parts=tuple(sorted((*keep.parts, *extra), key=lambda part: part.line)), name=first.name
    ), doubts


def _boards(kept: Sequence[DesignatorBlock], doubts: list[Doubt]) -> tuple[ListPart, ...]:
    """All entries, with board names where stretches use the same designators for other parts."""
    found: list[ListPart] = []
    clashing = len(kept) > 1 and any(
        _overlap(_values(one.parts), _values(other.parts)) >= 0.5 and not _named_apart(one, other)
        for at, one in enumerate(kept)
        for other in kept[at + 1 :]
    )
    sheets = len({block.sheet for block in kept}) == len(kept)
    for number, block in enumerate(kept, 1):
        if clashing and not any(part.board for part in block.parts):
            name = (block.sheet if sheets else block.name) or block.name or f"board {number}"
            found += (replace(part, board=name) for part in block.parts)
        else:
            found += block.parts
    if clashing:
        found = _unique_names(kept, found)
        what = "the same designators stand for different parts here: taken for several boards"
        doubts.append(Doubt(line=kept[1].parts[0].line, what=what, kind="boards"))
    return tuple(found)


def _unique_names(kept: Sequence[DesignatorBlock], found: list[ListPart]) -> list[ListPart]:
    """Entries whose boards have different names, stretch by stretch."""
    taken: dict[str, int] = {}
    renamed: list[ListPart] = []
    at = 0
    for number, block in enumerate(kept):
        mine = found[at : at + len(block.parts)]
        at += len(block.parts)
        for part in mine:
            owner = taken.setdefault(part.board, number)
            renamed.append(part if owner == number else replace(part, board=f"{part.board} ({number + 1})"))
    return renamed


def _named_apart(one: DesignatorBlock, other: DesignatorBlock) -> bool:
    return not ({part.board for part in one.parts} & {part.board for part in other.parts})


def ref_doubts(cell: str, found: RefMatch, refs: tuple[str, ...], line: int) -> Iterator[Doubt]:
    """What is odd about the designators of an entry."""
    said = cell.strip()[:60]
    if found.left and not is_optional(found.left) and not not_fitted(found.left):
        what = f"'{found.left[:60]}' among the designators is not a designator"
        yield Doubt(line=line, what=what, kind="no designator", refs=refs)
    if found.again:
        yield Doubt(line=line, what=f"{shorten(found.again)} is named twice in this line", refs=found.again)
    if len(found.refs) > 1 and runs_backwards(cell):
        yield Doubt(line=line, what=f"'{said}' runs backwards: every number between is taken", refs=refs)
    if len(found.refs) > 1 and _OR.search(cell):
        what = f"'{said}': one or the other is meant, both are taken"
        yield Doubt(line=line, what=what, kind="either", refs=refs)


def doubts_about(parts: Sequence[ListPart], source: Sequence[str] = ()) -> Iterator[Doubt]:
    """Designators twice, two values, counts that disagree, gaps; board by board.

    `source` are the list's lines, in which a missing designator is looked for.
    """
    for board in dict.fromkeys(part.board for part in parts):
        mine = [part for part in parts if part.board == board]
        yield from _twice(mine)
        yield from _gaps(mine, source)
    yield from _counts(parts)


def _twice(parts: Sequence[ListPart]) -> Iterator[Doubt]:
    first: dict[str, ListPart] = {}
    again: dict[tuple[int, int], list[str]] = defaultdict(list)
    differing: list[Doubt] = []
    for part in parts:
        for ref in part.refs:
            if ref not in first:
                first[ref] = part
            elif same_value(first[ref].value_text, part.value_text):
                again[(first[ref].line, part.line)].append(ref)
            else:
                what = (
                    f"{ref} has two values: '{first[ref].value_text[:40]}' (line {first[ref].line}) and "
                    f"'{part.value_text[:40]}' (line {part.line})"
                )
                differing.append(Doubt(line=part.line, what=what, kind="two values", refs=(ref,)))
    if len(differing) >= _MANY:
        begins, both = differing[0].line, tuple(doubt.refs[0] for doubt in differing)
        what = f"{len(both)} designators have two values, from line {begins} on: perhaps of another board"
        differing = [Doubt(line=begins, what=what, kind="two values", refs=both)]
    yield from differing
    for (earlier, line), refs in again.items():
        verb = "is" if len(refs) == 1 else "are"
        what = f"{shorten(refs)} {verb} listed twice, here and in line {earlier}"
        yield Doubt(line=line, what=what, kind="twice", refs=tuple(refs))


def _counts(parts: Sequence[ListPart]) -> Iterator[Doubt]:
    for part in parts:
        if part.refs and part.quantity_text and part.quantity != len(part.refs):
            said = shorten(part.refs)
            said = said if len(said) < 60 else f"{said[:57]}..."
            number = counted(len(part.refs), "designator")
            verb = "are" if len(part.refs) > 1 else "is"
            what = f"the count is {part.quantity_text[:20]}, but there {verb} {number}: {said}"
            yield Doubt(line=part.line, what=what, kind="count", refs=part.refs)
        letters = {class_letters(ref).upper() for ref in part.refs}
        if len(letters & {"R", "C", "L", "D", "Q", "U", "IC"}) > 1:
            what = f"different kinds of parts in one line: {', '.join(part.refs[:6])}"
            yield Doubt(line=part.line, what=what, refs=part.refs)


def _gaps(parts: Sequence[ListPart], source: Sequence[str]) -> Iterator[Doubt]:
    numbers: dict[str, dict[int, int]] = defaultdict(dict)
    for part in parts:
        for ref in part.refs:
            if found := _NUMBERED.fullmatch(ref.rstrip("+-")):
                numbers[found[1]].setdefault(int(found[2]), part.line)
    for letters, used in numbers.items():
        ordered = sorted(used)
        missing: list[str] = []
        line = 0
        starts = [0] if ordered[0] <= 3 and len(ordered) > 3 else [ordered[0]]
        for before, after in zip([*starts, *ordered], ordered, strict=False):
            if 1 < after - before <= _WIDEST_GAP + 1:
                missing += (f"{letters}{number}" for number in range(before + 1, after))
                line = line or used[after]
        named = _named_in(source, missing) if missing else {}
        for ref, at in named.items():
            if at:
                what = f"{ref} is named in line {at}, but was not read as a part"
                yield Doubt(line=at, what=what, kind="gap", refs=(ref,))
        missing = [ref for ref in missing if ref not in named]
        if missing:
            which = "numbers not used, or parts" if len(missing) > 1 else "number not used, or a part"
            what = f"{shorten(missing)}: {which} missing?"
            yield Doubt(line=line, what=what, kind="gap", refs=tuple(missing))


def _named_in(source: Sequence[str], refs: Sequence[str]) -> dict[str, int]:
    """The line that names each of these designators, 0 where it says that they are not used."""
    wanted = set(refs)
    found: dict[str, int] = {}
    for at, line in enumerate(source, 1):
        words = wanted.intersection(_WORD.findall(line))
        for ref in refs if words else ():
            if ref in words:
                found.setdefault(ref, 0 if _NOT_USED.search(line) else at)
    return found


def total_doubts(parts: Sequence[ListPart], totals: Sequence[tuple[int, int]]) -> Iterator[Doubt]:
    """Totals (line and number) that are not what was found."""
    lettered = sum(len(part.refs) for part in parts)
    every = lettered + sum(part.quantity for part in parts if not part.refs)
    for line, total in totals:
        if lettered and total not in (lettered, every, len(parts)):
            found = counted(lettered, "designator") + (
                f" ({every} parts with hardware)" if every != lettered else ""
            )
            yield Doubt(
                line=line,
                what=f"the list states {counted(total, 'part')}, but has {found}",
                kind="total",
            )
