"""The ruling that an answer makes, with what was typed for it."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.papers.doubts.decisions import Add, Again, Amend, Decision, DecisionEntry, Move, Ruling
from bench.papers.doubts.options import DoubtAnswer, as_it_is
from bench.papers.doubts.settle import ResolvedList
from bench.papers.doubts.typed_answers import (  # fmt: skip
    typed_board,
    typed_count,
    typed_kind,
    typed_part,
    typed_refs,
    typed_value,
)
from bench.papers.lists.draft import Doubt, Skipped
from bench.parts.designators import shorten


def left(doubt: Doubt) -> Ruling:
    """The ruling that leaves all as it was read."""
    mark = "" if doubt.what.endswith("?") else ":"
    said = as_it_is(doubt) if doubt.kind == "gap" else f"{doubt.what}{mark} {as_it_is(doubt)}"
    return Ruling(said=said, line=doubt.line, doubt=doubt)


def answered(doubt: Doubt, answer: DoubtAnswer, typed: str = "") -> Ruling:
    """The ruling that an answer makes, with what was typed for it.

    Raises SoldersideError when that cannot be.
    """
    decisions, said = answer.decisions, answer.text
    if answer.typed:
        decisions, said = _from_typed(doubt, answer, typed)
    about = "" if doubt.kind in ("two values", "twice") else f"{_about(doubt)}: "
    return Ruling(
        said=f"{about}{said}",
        line=doubt.line,
        # a gap with one part typed in is another doubt, asked about anew; the same holds for totals
        doubt=None if answer.typed == "part" else doubt,
        decisions=decisions,
    )


def part_after_all(skipped: Skipped, typed: str) -> Ruling:
    """The ruling that a skipped line is a part; raises SoldersideError when what was typed is none."""
    refs, value, number = typed_part(typed)
    add = Add(line=skipped.line, refs=refs, value=value, quantity=number, text=skipped.text)
    said = f"'{skipped.text[:60]}' is a part: {shorten(refs) if refs else f'{number} x'} {value}"
    return Ruling(said=said, line=skipped.line, decisions=(add,))


def more_parts(settled: ResolvedList, typed: str, line: int = 0, board: str = "") -> Ruling:
    """The ruling that a part is missing in the list; raises SoldersideError when what was typed is none."""
    refs, value, number = typed_part(typed)
    taken = {ref for part in settled.reading.parts if part.board == board for ref in part.refs}
    if double := [ref for ref in refs if ref in taken]:
        raise SoldersideError(
            f"{shorten(double)} is in the list already", "", "change its line, or type another"
        )
    last = max((part.line for part in settled.reading.parts), default=1)
    add = Add(line=line or last, refs=refs, value=value, quantity=number, board=board)
    said = f"added by hand: {shorten(refs) if refs else f'{number} x'} {value}"
    return Ruling(said=said, line=add.line, decisions=(add,))


def changed(entry: DecisionEntry, refs: str, value: str, kind: str, number: str) -> Ruling:
    """The ruling that an entry reads differently; raises SoldersideError for what cannot be.

    Empty designators make it a part without any; an empty kind leaves it to be guessed.
    """
    named = typed_refs(refs) if refs.strip() else ()
    count = len(named) or typed_count(number)
    amend = Amend(key=entry.key, refs=named, value=typed_value(value), kind=typed_kind(kind), quantity=count)
    said = f"now {shorten(named) if named else f'{count} x'} {amend.value}"
    said += f", {amend.kind}" if amend.kind else ""
    return Ruling(said=said, line=entry.part.line, decisions=(amend,))


def _about(doubt: Doubt) -> str:
    return shorten(doubt.refs)[:60] if doubt.refs else doubt.what[:60]


def _from_typed(doubt: Doubt, answer: DoubtAnswer, typed: str) -> tuple[tuple[Decision, ...], str]:
    key = answer.key
    match answer.typed:
        case "value" if key is not None:
            value = typed_value(typed)
            return (Amend(key=key, value=value),), f"the value is {value}"
        case "refs" if key is not None:
            refs = typed_refs(typed)
            return (Amend(key=key, refs=refs),), f"the designators are {shorten(refs)}"
        case "kind" if key is not None:
            kind = typed_kind(typed)
            return (Amend(key=key, kind=kind),), f"the kind is {kind or 'to be guessed'}"
        case "part":
            refs, value, number = typed_part(typed)
            add = Add(line=doubt.line, refs=refs, value=value, quantity=number, board=answer.board)
            return (add,), f"added {shorten(refs) if refs else f'{number} x'} {value}"
        case "board":
            board = typed_board(typed)
            if answer.decisions:
                return (Again(beside=True, board=board),), f"another board, {board}"
            move = Move(board=answer.board, to=board, line=doubt.line)
            return (move,), f"another board from here on, {board}"
    raise SoldersideError("this answer cannot be typed", "", "choose another one")
