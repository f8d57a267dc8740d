"""A maker's list with the builder's answers to its doubts: the list again, and what is still open.

Pure: the same list and the same answers give the same outcome, and an answer is taken back by leaving it out.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.doubts.decisions import Amend, DecisionEntry, DecisionTable, Key, Ruling, carry_out, keyed
from bench.papers.doubts.kinds import kind_of, usual_kind
from bench.papers.lists.contradictions import doubts_about, total_doubts
from bench.papers.lists.draft import MISSING, Doubt, ListPart, ListReading
from bench.papers.lists.normalize_values import understood, value_doubts
from bench.parts.designators import shorten


class ResolvedList(Struct, frozen=True, kw_only=True):
    """A list after the builder's answers."""

    reading: ListReading
    """The list as it stands now; its doubts are those that are still open, and what was decided."""
    entries: tuple[DecisionEntry, ...]
    """Its parts with their keys, in the same order."""
    again: tuple[DecisionEntry, ...]
    """What was left out as a repetition, with keys."""
    questions: tuple[Doubt, ...]
    """All that is still open, in the order of the lines."""
    idle: tuple[Ruling, ...] = ()
    """Answers that fit nothing in the list as it is read now."""

    @property
    def designators(self) -> int:
        """How many designators the list has."""
        return sum(len(part.refs) for part in self.reading.parts)


def settle(reading: ListReading, rulings: Sequence[Ruling] = ()) -> ResolvedList:
    """The list after these answers, in their order."""
    table = _table(reading)
    idle = [ruling for ruling in rulings if not _carried_out(ruling, table)]
    carried = [ruling for ruling in rulings if ruling not in idle]
    table.entries = _understood(table.entries, dict(reading.units))
    parts = tuple(entry.part for entry in table.entries)
    found = _raised_anew(reading, parts) if rulings else reading.doubts
    still = [doubt for doubt in _open(dict.fromkeys(found), carried) if doubt.check not in table.checks]
    own = _open(_own(_listed(table.entries, carried), still), carried)
    errata = {ruling: said for ruling in carried if (said := between_papers(ruling))}
    return ResolvedList(
        reading=replace(
            reading,
            parts=tuple(_noted(part, errata) for part in parts),
            errata=tuple(errata.values()),
            checks=tuple(sorted(table.checks, key=lambda each: each.line)),
            doubts=_by_line([*still, *_decided(carried, idle)]),
            skipped=tuple(sorted(table.skipped, key=lambda each: each.line)),
            again=tuple(entry.part for entry in table.again),
            shopping_list=bool(parts) and not any(part.refs for part in parts),
        ),
        entries=tuple(table.entries),
        again=tuple(table.again),
        questions=_by_line([*still, *own]),
        idle=tuple(idle),
    )


def between_papers(ruling: Ruling) -> str:
    """What two papers say differently and what was chosen, in a sentence; empty for any other answer."""
    doubt = ruling.doubt
    if doubt is None or doubt.other is None:
        return ""
    other, named = doubt.other, shorten(doubt.refs) if doubt.refs else ""
    taken = bool(ruling.decisions) or f"{other.name} is right" in ruling.said
    if other.what == MISSING and other.here:
        said = f"the list has it ({other.here}), {other.name} does not"
        chosen = "left out" if taken else "kept"
    elif other.what == MISSING:
        said = f"only {other.name} has it ({doubt.there})"
        chosen = "taken" if taken else "left out"
    else:
        said = f"the list says {other.here}, {other.name} says {doubt.there}"
        chosen = f"{doubt.there if taken else other.here} was chosen"
    return f"{named}: {said}; {chosen}" if named else f"{said}; {chosen}"


def _noted(part: ListPart, errata: Mapping[Ruling, str]) -> ListPart:
    """The part with a note of each contradiction between papers that was settled about it."""
    mine = set(part.refs)
    notes = [
        said
        for ruling, said in errata.items()
        if ruling.doubt and (mine & set(ruling.doubt.refs) or (not mine and part.line == ruling.line))
    ]
    return replace(part, note="; ".join(filter(None, (part.note, *notes)))) if notes else part


def _table(reading: ListReading) -> DecisionTable:
    """The entries of a list as it was read, with their keys."""
    entries = keyed((*reading.parts, *reading.again))
    number = len(reading.parts)
    return DecisionTable(entries=entries[:number], again=entries[number:], skipped=list(reading.skipped))


def _understood(entries: Sequence[DecisionEntry], units: dict[str, str]) -> list[DecisionEntry]:
    """The entries, with the values understood that an answer brought in."""
    return [
        entry if entry.part.understood else DecisionEntry(key=entry.key, part=understood(entry.part, units))
        for entry in entries
    ]


def _raised_anew(reading: ListReading, parts: Sequence[ListPart]) -> list[Doubt]:
    """The doubts of a reading, with those that follow from the entries drawn from `parts` instead."""
    before = set(_derived(reading.parts, reading))
    return [*(doubt for doubt in reading.doubts if doubt not in before), *_derived(parts, reading)]


def _open(doubts: Iterable[Doubt], carried: Sequence[Ruling]) -> list[Doubt]:
    """The doubts that no answer settles."""
    answered = {ruling.doubt for ruling in carried}
    return [doubt for doubt in doubts if doubt not in answered]


def _listed(entries: Sequence[DecisionEntry], carried: Sequence[Ruling]) -> tuple[ListPart, ...]:
    """The parts but those that an answer took out."""
    decided_out = {key for ruling in carried for key in _taken_out(ruling)}
    return tuple(entry.part for entry in entries if entry.part.fitted or entry.key not in decided_out)


def _decided(carried: Sequence[Ruling], idle: Sequence[Ruling]) -> Iterator[Doubt]:
    """What was answered, as remarks for the list: first what held, then what fits no longer."""
    for ruling in carried:
        yield Doubt(line=ruling.line, what=f"answered: {ruling.said}", kind="settled")
    for ruling in idle:
        yield Doubt(
            line=ruling.line,
            what=f"this answer no longer matches any line of the list: {ruling.said}",
            kind="settled",
        )


def _carried_out(ruling: Ruling, table: DecisionTable) -> bool:
    outcomes = [carry_out(decision, table) for decision in ruling.decisions]
    return any(outcomes) or not outcomes


def _taken_out(ruling: Ruling) -> Iterator[Key]:
    """The entries that an answer says are not fitted: the list need not be asked about them again."""
    for decision in ruling.decisions:
        if isinstance(decision, Amend) and decision.fitted is False:
            yield decision.key


def _by_line(doubts: Sequence[Doubt]) -> tuple[Doubt, ...]:
    return tuple(sorted(doubts, key=lambda doubt: doubt.line))


def _derived(parts: Sequence[ListPart], reading: ListReading) -> list[Doubt]:
    """The doubts that follow from the entries alone, as the reading has them."""
    return [
        *doubts_about(parts, reading.source),
        *value_doubts(parts, dict(reading.units)),
        *total_doubts(parts, reading.totals),
    ]


def _own(parts: Sequence[ListPart], still: Sequence[Doubt]) -> Iterator[Doubt]:
    """What no list says, but a kit file needs to know."""
    boards = tuple(dict.fromkeys(part.board for part in parts))
    if len(boards) > 1 and all(doubt.kind != "boards" for doubt in still):
        counts = [f"{board or 'no name'} ({_count(parts, board)})" for board in boards[:6]]
        first = next(part.line for part in parts if part.board == boards[1])
        what = f"the list has {len(boards)} boards, all of which are taken: {', '.join(counts)}"
        yield Doubt(line=first, what=what, kind="several boards")
    valueless = {(doubt.line, doubt.refs) for doubt in still if doubt.kind == "value"}
    for part in parts:
        if not part.fitted:
            what = f"{_said(part)}: the list says that it is not fitted; it is left out"
            yield Doubt(line=part.line, what=what, kind="not fitted", refs=part.refs)
        elif (part.line, part.refs) not in valueless and kind_of(part)[0] is None:
            taken = _a(usual_kind(part.refs))
            what = f"{_said(part)}: its kind cannot be told; it would be taken for {taken}"
            yield Doubt(line=part.line, what=what, kind="kind", refs=part.refs)


def _said(part: ListPart) -> str:
    said = shorten(part.refs) if part.refs else f"'{part.value_text[:40]}'"
    return said if len(said) < 40 else f"{said[:37]}..."


def _count(parts: Sequence[ListPart], board: str) -> int:
    return sum(len(part.refs) or part.quantity for part in parts if part.board == board)


def _a(kind: str) -> str:
    """A kind with its article.

    >>> _a("IC"), _a("hardware"), _a("resistor")
    ('an IC', 'hardware', 'a resistor')
    """
    if kind == "hardware":
        return kind
    return f"{'an' if kind[0] in 'aeio' or kind.startswith(('IC', 'LED', 'LCD')) else 'a'} {kind}"
