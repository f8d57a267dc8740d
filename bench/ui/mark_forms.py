"""What stands behind the key for marks: the choice, a question for the maker, what was held back."""

from __future__ import annotations

from bench.plan.plan import Step
from bench.ui.commands import COMMANDS, MARKS
from bench.ui.forms import Choice, FormLine, Question, Situation, table
from bench.ui.text import clean


def _marks(_: Situation) -> Choice:
    """What can be written down, each behind its second key."""
    named = {each.name: each for each in COMMANDS}
    choices = tuple((key, named[name].label) for key, name in MARKS.items())
    return Choice(ask="Mark what?", choices=choices, settle=lambda _: "", leads=MARKS)


def _question(at: Situation, step: Step | None, said: tuple[str, ...]) -> None:
    at.build.note(f"For the maker: {said[0]}", step=step)


def which_held(at: Situation) -> Choice | None:
    """Which of several things held back goes on; None where there is no choice."""
    held = at.build.progress.held
    if len(held) < 2:
        return None

    def settle(key: str) -> str:
        at.build.take_up(held[int(key) - 1].n)
        return "Resumed."

    choices = tuple(
        (str(n), clean(f"{each.value} {' '.join(each.refs)} {each.reason}", 80))
        for n, each in enumerate(held[:9], 1)
    )
    return Choice(ask="Resume which?", choices=choices, settle=settle)


MARK_FORMS = table(
    FormLine(
        command="jot",
        about=lambda _: None,
        title="Mark",
        questions=(),
        record=lambda *_: None,
        instead=_marks,
    ),
    FormLine(
        command="ask_them",
        about=lambda at: at.step,
        title="For the maker",
        questions=(Question(ask="what do you want to ask?"),),
        record=_question,
        word="Kept among the notes, marked for the maker.",
    ),
)
