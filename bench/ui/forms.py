"""What is asked when something is recorded, and what is made of the answers: for the screen and plain lines."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from msgspec import Struct

from bench.errors import SoldersideError
from bench.log.file import LOG_NAME
from bench.parts.english import counted
from bench.ui.agree_words import changed_words
from bench.ui.commands import Keymap
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.kit.kit import Kit
    from bench.plan.plan import Step
    from bench.session.build import Build


class Question(Struct, frozen=True, kw_only=True):
    """One line to type."""

    ask: str
    hint: str = ""
    """What a good answer looks like."""
    needed: bool = True
    """False when Enter on an empty line is an answer too."""
    given: str = ""
    """What stands in the line at first."""
    replaced: bool = False
    """True when the first key typed takes the place of what stands there."""
    wrong: Callable[[str], str] | None = None
    """Says what is wrong with an answer; empty when nothing is."""
    complete: Callable[[str], str] | None = None
    """The rest of an answer that was begun, for the Tab key."""

    meanings: Callable[[str], tuple[tuple[str, str], ...]] | None = None
    """What an answer that can be read in more ways than one may mean: a key and the answer in full for each."""

    def objection(self, answer: str) -> str:
        """What is wrong with an answer, as a sentence; empty when nothing is."""
        if self.needed and not answer.strip():
            return "There is nothing in the line yet."
        wrong = self.wrong(answer) if self.wrong else ""
        return f"{wrong[:1].upper()}{wrong[1:]}.".replace("..", ".") if wrong else ""


def meant_by(key: str, offered: Sequence[tuple[str, str]]) -> str:
    """The answer that a key chooses out of those offered; small and capital letters count alike where they can.

    >>> meant_by("K", [("o", "10 ohm"), ("k", "10 kohm")]), meant_by("m", [("m", "1 mohm"), ("M", "1 Mohm")])
    ('10 kohm', '1 mohm')
    """
    exact = dict(offered)
    alike = [text for each, text in offered if each.casefold() == key.casefold()]
    return exact.get(key, alike[0] if len(alike) == 1 else "")


class Form(Struct, frozen=True, kw_only=True):
    """Questions that belong together."""

    title: str
    questions: tuple[Question, ...]
    record: Callable[[tuple[str, ...]], str]
    """Records the answers and returns a word for the builder; raises SoldersideError when that cannot be."""


def asked(build: str, title: str, questions: Sequence[Question]) -> tuple[str, ...]:
    """By what drafts of answers are kept: the build's name, the title and each question."""
    return (build, title, *(question.ask for question in questions))


def a_number(text: str) -> str:
    """What keeps a text from being a number that is not negative; empty text is zero.

    >>> a_number("12"), a_number("2,5"), a_number("x")
    ('', '', 'type a number such as 12')
    """
    try:
        value = number(text)
    except ValueError:
        return "type a number such as 12"
    return "" if 0 <= value <= 10_000 else "type a number from 0 to 10000"


def number(text: str) -> float:
    """A number as typed, with a point or a comma; empty text is zero. Raises ValueError.

    >>> number("2,5"), number("")
    (2.5, 0.0)
    """
    return float(text.strip().replace(",", ".") or "0")


def a_count(text: str) -> str:
    """What keeps a text from being a whole number.

    >>> a_count("46"), a_count("4.5")
    ('', 'type a whole number such as 46')
    """
    text = text.strip()
    return "" if text.isascii() and text.isdigit() and len(text) < 7 else "type a whole number such as 46"


def trouble(error: SoldersideError) -> str:
    """An error in one line: what, and what to do."""
    where = f" ({error.where})" if error.where else ""
    hint = f" {error.hint[:1].upper()}{error.hint[1:]}." if error.hint else ""
    end = "" if (error.what + where).endswith("?") else "."
    return clean(f"{error.what[:1].upper()}{error.what[1:]}{where}{end}{hint}", 600)


def damage(build: Build) -> list[str]:
    """What is wrong with a build's log, a sentence each; empty when nothing is."""
    return [_of_the_log(clean(remark, 600)) for remark in build.log.remarks]


def _of_the_log(remark: str) -> str:
    said = remark.partition(f"{LOG_NAME}:")[2].strip() or remark
    line, _, rest = said.partition(": ")
    said = f"Line {line} of the log: {rest}" if line.isdigit() else said
    return f"{said[:1].upper()}{said[1:]}."


def welcome(build: Build, keymap: Keymap) -> str:
    """What to say when a build is opened: where the builder was, and what was odd about the log."""
    words = damage(build)[:1]
    if (more := len(build.log.remarks) - 1) > 0:
        words.append(f"{counted(more, 'more such line')}: {keymap.key_of('log')} lists them.")
    if changed := changed_words(build.kit_watch.changes(), keymap.key_of("agree")):
        words.append(changed)
    step = build.next_step
    if build.progress.sessions and step is not None and build.progress.done:
        last = build.progress.last_done
        where = f"Last done: {last.value} {' '.join(last.refs)}.".replace(" .", ".") if last else ""
        words.append(
            f"You were here. {where} Press {keymap.key_of('look_back')} to look at the last steps again."
        )
    return " ".join(words)


# -- words -------------------------------------------------------------------------------------------
MARKS = {
    "note": ("Note", "what?"),
    "tip": ("Tip", "what should the next builder know?"),
    "show": ("Worth showing", "what is to be seen? (may be empty)"),
}
"""What can be written down: its mark in the log -> title and question."""


def words_form(build: Build, step: Step | None, mark: str) -> Form:
    """A note, a tip or a moment worth showing."""
    title, ask = MARKS[mark]

    def record(answers: tuple[str, ...]) -> str:
        build.note(answers[0] or "worth showing", mark, step)
        return f"{title} kept."

    return Form(title=title, questions=(Question(ask=ask, needed=mark != "show"),), record=record)


def caption_form(build: Build) -> Form:
    """A caption for the photo just marked; the mark stands with or without one."""
    of = build.progress.events

    def record(answers: tuple[str, ...]) -> str:
        if not answers[0].strip():
            return "Photo marked, without a caption."
        build.correct(of, "caption", answers[0])
        return "Photo marked, with its caption."

    question = Question(ask="what does it show? (may be empty)", needed=False)
    return Form(title="Photo", questions=(question,), record=record)


def snag_form(build: Build, step: Step | None, seen: str = "", part: str = "") -> Form:
    """A problem: what, which part, how mended, minutes lost.

    `seen` and `part` stand in the first two answers already; without a part, that of the step.
    """
    refs = part or (" ".join(step.refs) if step and len(step.refs) == 1 else "")

    def record(answers: tuple[str, ...]) -> str:
        what, part, fix, minutes = answers
        build.snag(what, part, number(minutes), fix, step)
        return "Snag kept." if fix.strip() else "Snag kept, still open."

    questions = (
        Question(ask="what is wrong?", given=seen),
        Question(ask="which part?", hint="A designator; may be empty.", needed=False, given=refs),
        Question(ask="how was it mended?", hint="Empty while it is open.", needed=False),
        Question(ask="minutes lost?", hint="A number; may be empty.", needed=False, wrong=a_number),
    )
    return Form(title="Snag", questions=questions, record=record)


def mend_form(build: Build, of: int = 0) -> Form:
    """An open snag was mended, by its number, else the oldest one; raises SoldersideError when none is open."""
    snag = next((each for each in build.progress.snags if not each.fix and of in (0, each.n)), None)
    if snag is None:
        raise SoldersideError("no snag is open", "", "")
    number_of, given = snag.n, f"{snag.minutes:g}" if snag.minutes else ""

    def record(answers: tuple[str, ...]) -> str:
        build.mend(number_of, answers[0], number(answers[1]))
        return "Mended."

    questions = (
        Question(ask=f"how was '{clean(snag.what, 60)}' mended?"),
        Question(ask="minutes lost in all?", needed=False, wrong=a_number, given=given),
    )
    return Form(title="Mended", questions=questions, record=record)


def substitute_form(build: Build, step: Step | None) -> Form:
    """Another part goes in."""
    given = (" ".join(step.refs) or step.value) if step else ""
    items = tuple(item.removesuffix("#placed") for item in step.items) if step else ()

    def record(answers: tuple[str, ...]) -> str:
        part, instead, why = answers
        build.substitute(part, instead, why, items if part == given else ())
        return "Substitute kept."

    questions = (
        Question(ask="in place of which part?", given=given),
        Question(ask="what goes in instead?"),
        Question(ask="why?", hint="May be empty. Mind pinout and rating.", needed=False),
    )
    return Form(title="Substitute", questions=questions, record=record)


def erratum_form(build: Build) -> Form:
    """The documents are wrong."""

    def record(answers: tuple[str, ...]) -> str:
        build.erratum(answers[0])
        return "Erratum kept."

    question = Question(ask="what is wrong in the kit's documents?")
    return Form(title="Erratum", questions=(question,), record=record)


# -- the step at work --------------------------------------------------------------------------------
def hold_form(build: Build) -> Form:
    """Leave the step for later, with a reason if there is one."""
    step = build.next_step
    what = clean(step.value, 60) if step else ""

    def record(answers: tuple[str, ...]) -> str:
        build.hold_back(answers[0])
        return f"Held back: {what}."

    question = Question(ask="why?", hint="May be left empty.", needed=False)
    return Form(title=f"Hold back {what}", questions=(question,), record=record)


def pass_form(build: Build) -> Form:
    """Override a hold point with a reason; raises SoldersideError when there is none."""
    stage = build.view().stage
    if stage is None or not stage.hold:
        raise SoldersideError("this is no hold point", "", "")

    def record(answers: tuple[str, ...]) -> str:
        build.pass_hold(answers[0])
        return "Recorded with your reason."

    question = Question(ask="why?", hint="It stands in the log and in the retrospective.")
    title = "Override the hold point although something is not settled"
    return Form(title=title, questions=(question,), record=record)


def wait_form(build: Build) -> Form:
    """Something takes its time; the minutes that the step names stand in the line already."""
    step = build.next_step
    minutes = minutes_in(f"{step.value} {step.detail}") if step else ""

    def record(answers: tuple[str, ...]) -> str:
        build.wait(number(answers[0]), answers[1])
        return f"Waiting {answers[0].strip()} minutes; the bar counts down."

    questions = (
        Question(ask="how many minutes?", given=minutes, wrong=a_number),
        Question(ask="what for?", needed=False, given=clean(step.value, 60) if step and minutes else ""),
    )
    return Form(title="Wait", questions=questions, record=record)


_NUMBERS = {"five": "5", "ten": "10", "fifteen": "15", "twenty": "20", "thirty": "30", "sixty": "60"}
_MINUTES = re.compile(rf"\b(\d{{1,3}}|{'|'.join(_NUMBERS)}) ?min(?:utes?)?\b", re.IGNORECASE)


def minutes_in(text: str) -> str:
    """The first number of minutes that a text names; empty when it names none.

    >>> minutes_in("Twenty minutes of warming up"), minutes_in("wait 5 min"), minutes_in("at once")
    ('20', '5', '')
    """
    found = _MINUTES.search(text)
    return _NUMBERS.get(found[1].lower(), found[1]) if found else ""


def joints_form(build: Build) -> Form:
    """Count the joints of the stage just finished; raises SoldersideError when no stage waits for it."""
    place = build.view().count_for
    if place is None:
        raise SoldersideError("no stage waits for its joints to be counted", "", "")
    name = f"{place[0]}, {place[1]}" if place[1] else place[0]

    def record(answers: tuple[str, ...]) -> str:
        counted = int(answers[0].strip())
        expected, _ = build.count_joints(counted)
        if counted == expected:
            return f"{counted} joints, as it should be."
        off = abs(expected - counted)
        word = f"{off} too few: look for forgotten ones" if counted < expected else f"{off} too many"
        return f"You counted {counted}, there should be {expected}: {word}. Undo, then count again."

    question = Question(
        ask=f"{clean(name, 60)} is done. How many joints do you count on it?",
        hint="Count the joints of this stage, not your memory.",
        wrong=a_count,
    )
    return Form(title="Joints", questions=(question,), record=record)


# -- what can kill -----------------------------------------------------------------------------------
KILLS: dict[str, tuple[str, ...]] = {
    "mains": (
        "MAINS CAN KILL. It is there as soon as the plug is in, whatever the switch and the fuse do.",
        "Plug out, and seen to be out, before a hand goes in. Covers on before it goes in again.",
        "Protective earth first, tested with a meter. The right fuse. A residual-current device ahead of it.",
    ),
    "non-isolated supply": (
        "NOT ISOLATED: all of it is live, 0 V and the low rails too, as soon as the plug is in.",
        "Covers on before it is plugged in. Nothing earthed is connected to it: no oscilloscope, no computer.",
    ),
    "high voltage": (
        "HIGH VOLTAGE CAN KILL, and it stays when the switch is off: capacitors keep it for minutes or days.",
        "Discharge through a resistor made for it, then measure until nothing is left. Every time.",
        "One hand in a pocket while anything is charged. No rings, no watch. Not alone in the house.",
    ),
    "stored charge": (
        "A CHARGED CAPACITOR CAN KILL, with the plug out and the switch off.",
        "Discharge each through a resistor made for it, then measure it, before a hand goes in. Every time.",
    ),
}
"""What to read for each deadly hazard of a kit; common practice, no source."""


def danger_lines(kit: Kit) -> tuple[str, ...]:
    """What to read before somebody answers for a deadly kit: what kills, and what its file omits."""
    from bench.kit.danger import danger_of

    danger = danger_of(kit)
    said = [line for hazard in danger.kills for line in KILLS[hazard]]
    return (*said, *((danger.omission,) if danger.omission else ()))


LOCAL_RULES = (
    "Local rules and licensed practice come first. If you are not trained for this: stop here and ask "
    "somebody who is."
)
WORDS = "off and measured"
"""What has to be typed."""


def danger_form(build: Build) -> Form:
    """Before power: who answers for it, and three words that take time to type."""

    def record(answers: tuple[str, ...]) -> str:
        build.own_danger(answers[0], shown=answers[1].strip().casefold() in ("y", "yes"))
        return "Recorded. Now the checks, one by one."

    questions = (
        Question(
            ask="who answers for this? A licensed person, or the local rule you work by.",
            hint="A name or a rule; it is kept in the log.",
            wrong=_a_name,
        ),
        Question(
            ask="show that in the write-up, for anyone to read?", hint="y, or empty for no.", needed=False
        ),
        Question(ask=f"type: {WORDS}", wrong=_the_words),
    )
    return Form(title="Before power", questions=questions, record=record)


def _a_name(text: str) -> str:
    """A reading or a key typed ahead is nobody's name; two letters are, in any script."""
    return "" if sum(map(str.isalpha, text)) > 1 else "type a name, or the rule you work by"


def _the_words(text: str) -> str:
    return "" if text.strip().casefold() == WORDS else f"type the three words: {WORDS}"
