"""Questions, forms and choices, and a line of the table of forms: for the screen and plain lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Generic, TypeVar

from msgspec import Struct

from bench.errors import SoldersideError
from bench.log.file import LOG_NAME
from bench.parts.english import counted
from bench.ui.agree_words import changed_words
from bench.ui.commands import Keymap
from bench.ui.text import clean

if TYPE_CHECKING:
    from pathlib import Path

    from bench.plan.plan import Step
    from bench.session.build import Build
    from bench.settings import Settings

T = TypeVar("T")


class Question(Struct, frozen=True, kw_only=True):
    """One line to type."""

    ask: str
    hint: str = ""
    """What a good answer looks like."""
    needed: bool = True
    """False when Enter on an empty line is an answer too."""
    given: str = ""
    """Initial value of the input line."""
    large: tuple[str, str] = ("", "")
    """What stands in large type beside the question, with the word over it: what a meter should show."""
    replaced: bool = True
    """True when typing replaces the initial value; False where a text is to be edited."""
    counts: bool = False
    """True when Space adds one to the number in the line, so that a pedal can count."""
    wrong: Callable[[str], str] | None = None
    """Says what is wrong with an answer; empty when nothing is."""
    complete: Callable[[str], str] | None = None
    """The rest of an answer that was begun, for the Tab key."""

    meanings: Callable[[str], tuple[tuple[str, str], ...]] | None = None
    """What an answer that can be read in more ways than one may mean: a key and the answer in full for each."""

    def objection(self, answer: str) -> str:
        """What is wrong with an answer, as a sentence; empty when nothing is."""
        if self.needed and not answer.strip():
            return "Type an answer first."
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


class Choice(Struct, frozen=True, kw_only=True):
    """A question that one key answers."""

    ask: str
    choices: tuple[tuple[str, str], ...]
    """Each key with what it stands for."""
    about: str = ""
    """The line over the question, where it is not about the step on screen."""
    large: str = ""
    """What stands in large type, where that is less than the whole question."""
    settle: Callable[[str], str]
    """Records what a key stands for and returns a word for the builder; raises SoldersideError."""
    usual: str = ""
    """The key whose answer the key for `done` takes too: the one that does no harm; empty for none."""
    leads: Mapping[str, str] = {}
    """Keys that ask the form of another command instead."""
    then: Callable[[], Choice | None] = lambda: None
    """What is asked once it is settled, if anything."""


class Form(Struct, frozen=True, kw_only=True):
    """Questions that belong together."""

    command: str = ""
    """The command that asks them, where one does."""
    title: str
    questions: tuple[Question, ...]
    record: Callable[[tuple[str, ...]], str]
    """Records the answers and returns a word for the builder; raises SoldersideError when that cannot be."""
    about: str = ""
    """As in `Choice`."""
    warning: tuple[str, ...] = ()
    """What to read before the questions, where lives depend on it."""
    given_up: str = ""
    """What to say when the builder gives up, where that is more than 'nothing recorded'."""
    then: Callable[[], Choice | None] = lambda: None
    """What is asked once it is recorded, if anything."""


class Situation(Struct, frozen=True, kw_only=True):
    """Where the builder is when a form comes up."""

    build: Build
    step: Step | None
    """The step on screen."""
    settings: Settings
    keymap: Keymap
    data: Path | None
    """The folder of the settings; None where they cannot be written."""
    chosen: object = None
    """What the chosen line of a list is about."""

    def require_writable(self) -> None:
        """Refuse, before anything is typed, where nothing could be kept; raises SoldersideError."""
        if self.build.log.read_only:
            raise SoldersideError(f"nothing can be recorded: {self.build.log.why_read_only}", "", "")


class FormLine(Struct, Generic[T], frozen=True, kw_only=True):
    """A line of the table: a command, when it may be asked, what it asks and what it records."""

    command: str
    """A name of `ui/commands.py`."""
    about: Callable[[Situation], T]
    """What the answers are about; raises SoldersideError where the form cannot be asked now."""
    title: str | Callable[[T], str]
    questions: tuple[Question, ...] | Callable[[Situation, T], tuple[Question, ...]]
    record: Callable[[Situation, T, tuple[str, ...]], object]
    """Records the answers; a text that it returns is said in place of `word`."""
    word: str | Callable[[T], str] = ""
    """What is said when it is recorded."""
    instead: Callable[[Situation], Choice | None] = lambda _: None
    """A choice that comes in place of the form, while there is one."""
    then: Callable[[Situation], Choice | None] = lambda _: None
    """A choice that comes once the form is recorded, while there is one."""
    over: str | Callable[[T], str] = ""
    """The line over the question, where it is not about the step on screen."""
    given_up: str = ""
    """As in `Form`."""
    warning: Callable[[Situation], tuple[str, ...]] = lambda _: ()
    """As in `Form`."""

    def ask(self, at: Situation) -> Form | Choice:
        """The form, or the choice in its place; raises SoldersideError where it cannot be asked now."""
        at.require_writable()
        return self.instead(at) or self.form(at, self.about(at))

    def form(self, at: Situation, about: T) -> Form:
        """The questions about something, and what records their answers."""

        def record(answers: tuple[str, ...]) -> str:
            said = self.record(at, about, answers)
            return said if isinstance(said, str) else in_words(self.word)

        def in_words(text: str | Callable[[T], str]) -> str:
            return text if isinstance(text, str) else text(about)

        return Form(
            command=self.command,
            title=in_words(self.title),
            questions=self.questions if isinstance(self.questions, tuple) else self.questions(at, about),
            record=record,
            about=in_words(self.over),
            warning=self.warning(at),
            given_up=self.given_up,
            then=lambda: self.then(at),
        )


def table(*lines: FormLine[Any]) -> dict[str, FormLine[Any]]:
    """Lines by their commands; raises ValueError for two lines of one command."""
    named: dict[str, FormLine[Any]] = {}
    for line in lines:
        if line.command in named:
            raise ValueError(f"the command {line.command!r} has two forms")
        named[line.command] = line
    return named


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
        words.append(f"{counted(more, 'more such line')}: {keymap.key_of('log')} lists all.")
    if changed := changed_words(build.kit_changes, keymap.key_of("agree")):
        words.append(changed)
    step = build.next_step
    if build.progress.sessions and step is not None and build.progress.done:
        last = build.progress.last_done
        where = f"Last done: {last.value} {' '.join(last.refs)}.".replace(" .", ".") if last else ""
        words.append(f"You were here. {where} {keymap.key_of('look_back')} shows the last steps again.")
    return " ".join(words)
