"""What can be answered to a doubt about a list."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from msgspec import Struct

from bench.papers.doubts.decisions import (
    Add,
    Again,
    Amend,
    Decision,
    DecisionEntry,
    Key,
    Move,
    Only,
    Remove,
    Strike,
    TakeChecks,
)
from bench.papers.doubts.kinds import usual_kind
from bench.papers.doubts.settle import ResolvedList
from bench.papers.lists.choices import choice_tables
from bench.papers.lists.draft import CASE, COUNT, FITTED, MISSING, VALUE, Doubt, ListPart, OtherPaper
from bench.papers.lists.normalize_values import alternatives, family_of
from bench.parts.codes import read_marking
from bench.parts.designators import class_letters, shorten
from bench.parts.english import counted

MOST = 6
"""Answers to one doubt, beside leaving it as it is."""


class DoubtAnswer(Struct, frozen=True, kw_only=True):
    """One answer to a doubt."""

    text: str
    """In a few words."""
    decisions: tuple[Decision, ...] = ()
    typed: str = ""
    """What is to be typed for it: `value`, `refs`, `part`, `board`, `kind`; empty when nothing is."""
    given: str = ""
    """What stands in the line at first."""
    key: Key | None = None
    """The entry that what is typed goes to."""
    board: str = ""
    """The board that what is typed goes to, or that is told apart."""


def answers(settled: ResolvedList, doubt: Doubt) -> tuple[DoubtAnswer, ...]:
    """The answers to a doubt, likeliest first; leaving it as it is comes on top."""
    offer = _OFFERS.get(doubt.kind, _others)
    return tuple(offer(settled, doubt))[:MOST]


def as_it_is(doubt: Doubt) -> str:
    """What it means to leave a doubt as it is."""
    if doubt.kind == "gap" and doubt.refs:
        return f"{shorten(doubt.refs)} {'is' if len(doubt.refs) == 1 else 'are'} not used"
    return _AS_IT_IS.get(doubt.kind, "all right as it stands")


def _entry(settled: ResolvedList, doubt: Doubt) -> DecisionEntry | None:
    """The entry that a doubt is about: on its line, with its designators, or the nearest before it."""
    mine = set(doubt.refs)
    here = [entry for entry in settled.entries if entry.part.line == doubt.line]
    return next(
        (entry for entry in here if mine & set(entry.part.refs)),
        here[0] if here else next((e for e in settled.entries if mine & set(e.part.refs)), None),
    )


def board_of(settled: ResolvedList, line: int) -> str:
    """The board that a line of the list belongs to."""
    before = [entry.part.board for entry in settled.entries if entry.part.line <= line]
    return before[-1] if before else ""


def _places(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    """Designators that stand in several lines: which line holds them."""
    mine = set(doubt.refs)
    entry = _entry(settled, doubt)
    board = entry.part.board if entry else board_of(settled, doubt.line)
    holding = [
        each
        for each in (*settled.entries, *settled.again)
        if each.part.board == board and mine & set(each.part.refs)
    ]
    said = shorten(doubt.refs)
    verb = "is" if len(doubt.refs) == 1 else "are"
    for each in holding[:3]:
        value = each.part.value_text[:40] or "without a value"
        yield DoubtAnswer(
            text=f"{said} {verb} {value}, as in line {each.part.line}",
            decisions=(Strike(board=board, refs=doubt.refs, keep=each.key),),
        )
    if entry is not None:
        if len(holding) > 1 and entry.key != holding[0].key:
            yield DoubtAnswer(
                text=f"line {entry.part.line} has other designators: type them",
                typed="refs",
                given=", ".join(entry.part.refs),
                key=entry.key,
            )
        text = f"another board begins at line {doubt.line}: type its name"
        yield DoubtAnswer(text=text, typed="board", given=_new_board(settled), board=board)


def _new_board(settled: ResolvedList) -> str:
    return f"board {len(settled.reading.boards) + 1}"


def _count(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    entry = _entry(settled, doubt)
    if entry is None:
        return
    number = len(entry.part.refs)
    yield DoubtAnswer(
        text=f"the designators are right: {counted(number, 'part')}",
        decisions=(Amend(key=entry.key, quantity=number),),
    )
    yield DoubtAnswer(
        text="the count is right: type the designators",
        typed="refs",
        given=", ".join(entry.part.refs),
        key=entry.key,
    )


def _other_paper(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    """Another paper says something else: take that, for these designators alone."""
    if doubt.other is not None and doubt.other.what not in (VALUE, MISSING):
        yield from _not_the_value(settled, doubt, doubt.other)
        return
    entry = next((e for e in settled.entries if set(doubt.refs) & set(e.part.refs)), None)
    board = entry.part.board if entry else board_of(settled, doubt.line)
    out = Strike(board=board, refs=doubt.refs)
    if doubt.there and doubt.there != "no value":
        add = Add(line=doubt.line, refs=doubt.refs, value=doubt.there, board=board)
        if entry is not None and set(entry.part.refs) == set(doubt.refs):
            decisions: tuple[Decision, ...] = (Amend(key=entry.key, value=doubt.there),)
        else:
            decisions = (out, add) if entry is not None else (add,)
        yield DoubtAnswer(text=f"take {doubt.there}, as {_paper(doubt)} says", decisions=decisions)
    elif entry is not None:
        yield DoubtAnswer(
            text=f"leave {'it' if len(doubt.refs) == 1 else 'them'} out, as {_paper(doubt)} does",
            decisions=(out,),
        )


def _paper(doubt: Doubt) -> str:
    """The other paper by its name."""
    return doubt.other.name if doubt.other is not None else "the other paper"


def _not_the_value(settled: ResolvedList, doubt: Doubt, other: OtherPaper) -> Iterator[DoubtAnswer]:
    """Another paper gives another count, package or side, or leaves a part out: take that."""
    entry = _entry(settled, doubt)
    if entry is None:
        return
    decisions: tuple[Decision, ...] = ()
    if other.what == CASE:
        decisions = (Amend(key=entry.key, package=doubt.there),)
    elif other.what == FITTED and set(entry.part.refs) == set(doubt.refs):
        decisions = (Amend(key=entry.key, fitted=doubt.there == "fitted"),)
    elif other.what == FITTED and entry.part.fitted:
        decisions = (Strike(board=entry.part.board, refs=doubt.refs),)
    elif other.what == COUNT and not entry.part.refs:
        decisions = (Amend(key=entry.key, quantity=int(doubt.there.partition(" ")[0])),)
    yield DoubtAnswer(text=f"{other.name} is right: {doubt.there}", decisions=decisions)


def _gap(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    given = f"{doubt.refs[0]} = " if doubt.refs else ""
    board = board_of(settled, doubt.line)
    yield DoubtAnswer(text="a part is missing from the list: type it", typed="part", given=given, board=board)


def _alike(part: ListPart, other: ListPart) -> bool:
    """Whether two entries have designators of one letter: a capacitor takes no value from a resistor."""
    first, second = ({class_letters(ref).upper() for ref in each.refs[:1]} for each in (part, other))
    return first == second


def _value(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    entry = _entry(settled, doubt)
    if entry is None:
        return
    text = entry.part.value_text.strip()
    before = [each.part for each in settled.entries if each.part.line < entry.part.line]
    if not text and before and before[-1].value_text and _alike(entry.part, before[-1]):
        above = before[-1].value_text
        yield DoubtAnswer(text=f"it is {above}, as above", decisions=(Amend(key=entry.key, value=above),))
    for value in dict.fromkeys(_likely_values(text, doubt, class_letters(entry.part.refs[0]))):
        yield DoubtAnswer(text=f"it is {value}", decisions=(Amend(key=entry.key, value=value),))
    singles = [each.strip() for each in text.split(",")]
    if "one value for each" in doubt.what and len(singles) == len(entry.part.refs):
        pairs = list(zip(entry.part.refs, singles, strict=True))
        first = Amend(key=entry.key, refs=(pairs[0][0],), value=pairs[0][1])
        line, board = entry.part.line, entry.part.board
        more = tuple(Add(line=line, refs=(ref,), value=value, board=board) for ref, value in pairs[1:])
        shown = ", ".join(f"{ref} {value}" for ref, value in pairs[:4])
        yield DoubtAnswer(text=f"one each: {shown}", decisions=(first, *more))
    yield DoubtAnswer(text="type the value", typed="value", given=text, key=entry.key)
    yield DoubtAnswer(text="leave it out", decisions=(Amend(key=entry.key, fitted=False),))


def _code(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    """A code beside a value means another one: take that, or type what it is."""
    entry = _entry(settled, doubt)
    if entry is not None:
        amend = Amend(key=entry.key, value=doubt.there)
        yield DoubtAnswer(text=f"it is {doubt.there}, as the code says", decisions=(amend,))
        yield DoubtAnswer(text="type the value", typed="value", given=entry.part.value_text, key=entry.key)


def _check(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    """A check that a guide asks for: take it, or all of them that are still open."""
    if doubt.check is not None:
        text = f"take it as a check at '{doubt.check.point}'"
        yield DoubtAnswer(text=text, decisions=(TakeChecks(checks=(doubt.check,)),))
    more = tuple(each.check for each in settled.questions if each.check is not None)
    if len(more) > 1:
        yield DoubtAnswer(text=f"take all {len(more)} checks", decisions=(TakeChecks(checks=more),))


def _likely_values(text: str, doubt: Doubt, letters: str) -> Iterator[str]:
    """What a value may mean: with its unit, with a large M, or one of those that it offers."""
    if "has no unit" in doubt.what:
        if "." in text or "," in text:
            yield f"{text} uF"
        yield f"{text} pF"
        if len(text) == 3 and text.isdigit():
            yield from (found.text for found in read_marking(text)[:1])
        yield f"{text} nF"
        yield f"{text} uF"
    elif " offers " in doubt.what:
        yield from alternatives(text, family_of(letters))
    elif "capital M" in doubt.what:
        yield text.replace("m", "M", 1)


def _repeated(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    if doubt.refs:
        board = board_of(settled, doubt.line)
        said = shorten(doubt.refs)
        yield DoubtAnswer(
            text=f"there is no {said}: take it out", decisions=(Strike(board=board, refs=doubt.refs),)
        )
    elif settled.again:
        if any(entry.part.refs for entry in settled.again):
            yield DoubtAnswer(text="the other listing counts instead", decisions=(Again(beside=False),))
            yield DoubtAnswer(
                text="both count, on two boards: type the other's name",
                typed="board",
                given=_new_board(settled),
                decisions=(Again(beside=True),),
            )
        else:
            yield DoubtAnswer(text="they count too", decisions=(Again(beside=True),))


def _boards(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    boards = settled.reading.boards
    for board in boards[:4]:
        name = board or "the part without a name"
        yield DoubtAnswer(text=f"take {name} only", decisions=(Only(board=board),))
    if len(boards) > 1:
        joined = tuple(Move(board=board, to=boards[0]) for board in boards[1:])
        yield DoubtAnswer(text="it is one board after all", decisions=joined)


def _kind(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    entry = _entry(settled, doubt)
    if entry is None:
        return
    usual = usual_kind(entry.part.refs)
    likely = [usual] if entry.part.refs else ["hardware", "spacer", "screw"]
    for kind in likely:
        yield DoubtAnswer(text=f"its kind is '{kind}'", decisions=(Amend(key=entry.key, kind=kind),))
    yield DoubtAnswer(text="type the kind", typed="kind", key=entry.key)
    yield DoubtAnswer(text="it is not a part: take it out", decisions=(Remove(key=entry.key),))


def _not_fitted(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    entry = _entry(settled, doubt)
    if entry is not None:
        yield DoubtAnswer(text="it is fitted", decisions=(Amend(key=entry.key, fitted=True),))
        yield DoubtAnswer(
            text="it is left to the builder", decisions=(Amend(key=entry.key, fitted=True, optional=True),)
        )


def _either(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    entry = _entry(settled, doubt)
    for ref in entry.part.refs[:3] if entry else ():
        yield DoubtAnswer(text=f"only {ref}", decisions=(Amend(key=entry.key, refs=(ref,)),) if entry else ())


def _choice(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    board = board_of(settled, doubt.line)
    table = next((each for each in choice_tables(settled.reading.source) if each.line == doubt.line), None)
    for name, values in table.rows if table else ():
        parts = zip(table.refs, values, strict=True) if table else ()
        added = tuple(Add(line=doubt.line, refs=refs, value=value, board=board) for refs, value in parts)
        yield DoubtAnswer(text=f"it is {name}: take its values", decisions=added)


def _total(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    yield DoubtAnswer(
        text="a part is missing from the list: type it", typed="part", board=board_of(settled, doubt.line)
    )


def _others(settled: ResolvedList, doubt: Doubt) -> Iterator[DoubtAnswer]:
    entry = _entry(settled, doubt) if doubt.line else None
    if entry is not None and entry.part.line == doubt.line:
        given = ", ".join(entry.part.refs)
        yield DoubtAnswer(text="type the designators of this line", typed="refs", given=given, key=entry.key)
        yield DoubtAnswer(text="it is not a part: take it out", decisions=(Remove(key=entry.key),))


_OFFERS: dict[str, Callable[[ResolvedList, Doubt], Iterator[DoubtAnswer]]] = {
    "other paper": _other_paper,
    "two values": _places, "twice": _places, "count": _count, "gap": _gap, "value": _value,
    "repeated": _repeated, "boards": _boards, "several boards": _boards, "kind": _kind,
    "not fitted": _not_fitted, "total": _total, "either": _either,
    "choice": _choice, "code": _code, "check": _check,
}  # fmt: skip
_AS_IT_IS = {
    "other paper": "this list is right",
    "two values": "as read: the first line counts", "twice": "as read: the first line counts",
    "count": "as read: the designators count",
    "not fitted": "leave it out, as the list says", "repeated": "as read: each counts once",
    "boards": "as read: several boards", "several boards": "take all boards",
    "value": "all right as it stands", "either": "all of them are fitted", "total": "the total is wrong",
    "kind": "take it as that kind", "choice": "leave these parts out",
    "code": "the value is right", "check": "leave it out",
}  # fmt: skip
