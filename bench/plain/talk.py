"""Questions asked and answered line by line, over any way to read a line and to say one."""

from __future__ import annotations

from collections.abc import Callable

from msgspec import structs

from bench.errors import SoldersideError
from bench.session.drafts import Drafts
from bench.ui.forms import Form, Question, asked, meant_by
from bench.ui.text import clean

GIVE_UP = "."
"""A line of its own that gives up a question."""
_CANCELS = "A dot cancels."


class GivenUp(Exception):
    """A question was given up: nothing is recorded."""


class Talk:
    """Questions asked and answered line by line.

    `read` asks for a line and returns it, raising EOFError at the end of the input; `say` puts one out.
    """

    def __init__(self, read: Callable[[str], str], say: Callable[[str], None], drafts: Drafts) -> None:
        self.read, self.say, self.drafts = read, say, drafts
        self.over = False
        """True once the input has ended, or the builder leaves."""
        self.ahead = ""
        """What was typed before its form was asked: the answer to the form's first question."""

    def choose(self, ask: str, choices: tuple[tuple[str, str], ...]) -> str:
        """The key of one of a few answers; raises GivenUp."""
        self.say(f"{ask} Type one of these; a dot cancels.")
        for key, text in choices:
            self.say(f"{key}: {text}.")
        keys = [key for key, _ in choices]
        while (answer := self._typed("? ").strip()) not in keys:
            self.say(f"Type one of {', '.join(keys)}; a dot cancels.")
        return answer

    def _typed(self, prompt: str) -> str:
        try:
            line = self.read(prompt)
        except EOFError:
            self.over = True
            raise GivenUp from None
        if line.strip() == GIVE_UP:
            raise GivenUp
        return line

    def ask_form(self, form: Form, build: str) -> None:
        """Ask a form's questions about a build line by line, record the answers, say the word for it.

        Raises GivenUp, and SoldersideError where the answers cannot be recorded; what was typed is kept.
        """
        for line in form.warning:
            self.say(line)
        title, ahead, self.ahead = f"{form.title}. ", self.ahead, ""
        key = asked(build, form.title, form.questions)
        begun, answers = self.drafts.of(key), list[str]()
        try:
            for number, question in enumerate(form.questions):
                draft = begun[number] if number < len(begun) else ""
                question = structs.replace(question, given=draft) if draft else question
                answers.append(self.ask(question, title, ahead))
                title = ahead = ""
            word = form.record(tuple(answers))
        except (GivenUp, SoldersideError):
            kept = self.drafts.keep(key, (*answers, *begun[len(answers) :]))
            if kept:
                self.say(f"Not recorded: {clean(' / '.join(answers) or begun[0], 1_000)}")
                self.say(kept)
            raise
        self.drafts.drop(key)
        if word:
            self.say(word)

    def ask(self, question: Question, title: str = "", ahead: str = "") -> str:
        """The answer to a question behind a title; `ahead` is one that is there already. Raises GivenUp."""
        asked = f"{title}{question.ask[:1].upper()}{question.ask[1:]}"
        said = [asked if asked.endswith((".", "?", "!")) else f"{asked}.", question.hint]
        if question.given:
            said.append(f"Enter alone: {clean(question.given, 100)}.")
        if question.given and not question.needed:
            said.append("A space and Enter: nothing.")
        elif not question.needed:
            said.append("Enter alone: nothing.")
        elif not question.hint and not question.given:
            said.append("Type it, then Enter.")
        if not ahead:
            self.say(" ".join(word for word in (*said, _CANCELS) if word))
        offered: tuple[tuple[str, str], ...] = ()
        while True:
            answer, ahead = ahead or self._typed("? "), ""
            answer = meant_by(answer.strip(), offered) or answer or question.given
            wrong = question.objection(answer)
            if not wrong:
                return answer
            offered = question.meanings(answer) if question.meanings else ()
            self.say(f"{wrong} {_CANCELS}")

    def ask_title(self, title: str, about: str, *questions: Question) -> tuple[str, ...]:
        """The answers to questions that are no form of a build; kept as a draft when given up."""
        answers: list[tuple[str, ...]] = []

        def record(said: tuple[str, ...]) -> str:
            answers.append(said)
            return ""

        self.ask_form(Form(title=title, questions=questions, record=record), about)
        return answers[0]
