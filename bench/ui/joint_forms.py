"""Joints to count at the end of a stage, and what to do where the number is not right; for both front ends."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.log.unit_names import unit_words
from bench.parts.english import counted as in_words
from bench.ui.forms import Choice, FormLine, Question, Situation, a_count, table
from bench.ui.text import clean


def _to_count(at: Situation) -> str:
    """The stages to count, in words."""
    if not at.build.counting:
        raise SoldersideError("no stage waits for its joints to be counted", "", "")
    view = at.build.view()
    return ", ".join(filter(None, (at.build.counting, unit_words(view.unit) if view.units else "")))


def _questions(_: Situation, stages: str) -> tuple[Question, ...]:
    hint = f"Finished: {clean(stages, 300)}. Count on the board, not from memory."
    return (Question(ask="how many joints do you count?", hint=hint, wrong=a_count, counts=True),)


def _record(at: Situation, _: str, said: tuple[str, ...]) -> str:
    counted = int(said[0].strip())
    expected, _progress = at.build.count_joints(counted)
    if counted == expected:
        return f"{in_words(counted, 'joint')}: correct."
    return f"{_words(counted, expected)} {at.keymap.key_of('joints')} counts again."


def _words(counted: int, expected: int) -> str:
    off = abs(expected - counted)
    word = f"{off} too few: look for forgotten ones." if counted < expected else f"{off} too many."
    return f"You counted {counted}, there should be {expected}: {word}"


def _miscounted(at: Situation) -> Choice | None:
    """What to do where the joints just counted are not as many as there should be."""
    build = at.build
    if build.miscounted is None or build.log.read_only:
        return None
    count = build.progress.counts[-1]
    said = _words(count.counted, count.expected)
    return Choice(
        ask=said,
        about=build.counting,
        large=f"{count.counted}, not {count.expected}",
        choices=(("c", "count again"), ("k", "go on; the log keeps the number")),
        settle=lambda _: f"{said} {at.keymap.key_of('joints')} counts again.",
        usual="c",
        leads={"c": "joints"},
    )


JOINT_FORMS = table(
    FormLine(
        command="joints",
        about=_to_count,
        title="Joints",
        over=lambda stages: stages,
        questions=_questions,
        record=_record,
        then=_miscounted,
    ),
)
