"""What is asked about a maker's list and what the answers settle; for the screen and plain lines. Pure."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec import Struct

from bench.errors import SoldersideError
from bench.papers.doubts.decisions import DecisionEntry, Remove, Ruling
from bench.papers.doubts.kinds import kind_of
from bench.papers.doubts.options import DoubtAnswer
from bench.papers.doubts.rulings import answered, changed, more_parts, part_after_all
from bench.papers.doubts.settle import ResolvedList
from bench.papers.lists.draft import Doubt
from bench.papers.lists.headings import NOTHING
from bench.parts.designators import shorten
from bench.parts.kinds import KINDS
from bench.ui.forms import Question
from bench.ui.list_rows import ListRow
from bench.ui.text import clean

_TYPED = {
    "value": ("what is its value?", "As it should appear in the kit, such as 4k7 or TL072."),
    "refs": ("which designators?", "R3, or R1, R2, or R1-R4."),
    "part": ("which part is missing?", "R3 = 10k, or 4 x M3 screw."),
    "board": ("what is the board called?", "A name such as main or control."),
    "kind": ("what kind of part is it?", "resistor, film capacitor, IC ... Empty: guess."),
}
"""What is asked, and a hint, for each thing that an answer wants typed."""

ROLE_KEYS = {
    "ref": "d", "value": "v", "quantity": "c", "description": "t", "package": "p", "note": "n", "kind": "k",
    "board": "b", "section": "s", NOTHING: "x",
}  # fmt: skip
"""The key for each role of a column that is offered."""


class ListForm(Struct, frozen=True, kw_only=True):
    """Questions about a line of a list, and the ruling that their answers come to."""

    title: str
    questions: tuple[Question, ...]
    ruling: Callable[[Sequence[str]], Ruling]
    """Raises SoldersideError for answers that mean nothing."""


def typed_answer(doubt: Doubt, answer: DoubtAnswer) -> ListForm:
    """What an answer to a doubt wants typed."""
    ask, hint = _TYPED[answer.typed]
    question = Question(
        ask=ask, hint=hint, given=answer.given, needed=answer.typed != "kind",
        wrong=lambda text: wrong_with(lambda: answered(doubt, answer, text)),
        complete=complete_kind if answer.typed == "kind" else None,
    )  # fmt: skip
    title = shorten(doubt.refs)[:20] if doubt.refs else f"line {doubt.line}"
    return ListForm(title=title, questions=(question,), ruling=lambda typed: answered(doubt, answer, typed[0]))


def entry_of(line: ListRow, settled: ResolvedList) -> DecisionEntry:
    """The part on a line, or the one that its doubt is about; raises SoldersideError where there is none."""
    if line.entry is not None:
        return line.entry
    refs = set(line.doubt.refs) if line.doubt else set()
    here = [each for each in settled.entries if line.line and each.part.line == line.line]
    for entry in here:
        if not refs or refs & set(entry.part.refs):
            return entry
    if here:
        return here[0]
    raise SoldersideError("there is no part on this line", "", "go to the line of a part")


def change_form(entry: DecisionEntry, doubt: Doubt | None) -> ListForm:
    """Designators, value, kind and count of a part."""
    part = entry.part
    kind = part.kind or kind_of(part)[0] or ""
    given = (", ".join(part.refs), part.value_text, part.kind, str(part.quantity))

    def of(typed: Sequence[str]) -> Ruling:
        four = [*typed, *given[len(typed) :]][:4]
        ruling = changed(entry, four[0], four[1], four[2], four[3])
        return Ruling(said=ruling.said, line=ruling.line, doubt=doubt, decisions=ruling.decisions)

    questions = (
        Question(ask="designators?", hint="R1, R2, or R1-R4. Empty: no designators.", needed=False,
                 given=given[0], wrong=lambda text: wrong_with(lambda: text.strip() and of((text,)))),
        Question(ask="value?", hint="As it should appear in the kit.", given=given[1]),
        Question(ask="kind?", hint=f"Empty: guessed{f', {kind}' if kind else ''}.", needed=False,
                 given=given[2], wrong=lambda text: wrong_with(lambda: of((*given[:2], text))),
                 complete=complete_kind),
        Question(ask="how many?", hint="Only for parts without designators.", given=given[3],
                 wrong=lambda text: wrong_with(lambda: of((*given[:3], text)))),
    )  # fmt: skip
    return ListForm(title=f"Line {part.line}", questions=questions, ruling=of)


def add_form(line: ListRow, settled: ResolvedList) -> ListForm:
    """A part that was not read: a skipped line after all, or one that the list has not."""
    skipped = line.skipped
    ask, hint = _TYPED["part"]
    board = line.entry.part.board if line.entry else settled.reading.boards[-1]

    def of(typed: Sequence[str]) -> Ruling:
        if skipped is not None:
            return part_after_all(skipped, typed[0])
        return more_parts(settled, typed[0], line.line, board)

    question = Question(
        ask="which part is it?" if skipped else ask,
        hint=hint,
        given=clean(skipped.text, 100) if skipped else "",
        wrong=lambda text: wrong_with(lambda: of((text,))),
    )
    return ListForm(title=f"Line {line.line}" if skipped else "A part", questions=(question,), ruling=of)


def taken_out(entry: DecisionEntry, doubt: Doubt | None) -> Ruling:
    """The part is none, or not in this kit."""
    part = entry.part
    said = f"taken out: {shorten(part.refs) if part.refs else f'{part.quantity} x'} {part.value_text}"
    return Ruling(said=said, line=part.line, doubt=doubt, decisions=(Remove(key=entry.key),))


def maker_question(known: Sequence[str], given: str) -> Question:
    """Whose list it is; `known` are the makers whose columns are kept."""
    kept = ", ".join(dict.fromkeys(known))
    return Question(
        ask="which maker is this list from?",
        hint=clean(f"Kept: {kept}.", 200) if kept else "Saved with the columns when you write the kit.",
        needed=False,
        given=given,
        complete=lambda text: _completed(text, known),
    )


def kit_questions(name: str, maker: str, open_doubts: int) -> tuple[Question, Question]:
    """The name and the maker of a kit that is about to be written."""
    left = f" Open questions ({open_doubts}) go into it as comments." if open_doubts else ""
    return (
        Question(ask="the kit's name?", hint=f"It is on the shelf.{left}", given=name),
        Question(
            ask="which maker is the list from?",
            hint="Its column settings are saved for the next list. Optional.",
            needed=False,
            given=maker,
        ),
    )


def complete_kind(text: str) -> str:
    """A kind's name that was begun, in full where there is one."""
    return _completed(text, list(KINDS))


def _completed(text: str, names: Sequence[str]) -> str:
    begun = text.strip().casefold()
    return next((name for name in names if begun and name.casefold().startswith(begun)), text)


def wrong_with(attempt: Callable[[], object]) -> str:
    """What keeps an answer from being one, empty when nothing does."""
    try:
        attempt()
    except SoldersideError as error:
        return clean(f"{error.what}; {error.hint}" if error.hint else error.what, 300)
    return ""
