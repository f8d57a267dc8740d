"""Questions asked and answered line by line, over any way to read a line and to say one."""

from __future__ import annotations

import sys
from collections.abc import Callable

from msgspec import structs

from bench.errors import SoldersideError
from bench.session.drafts import Drafts
from bench.ui.forms import Form, Question, asked, meant_by
from bench.ui.text import clean

GIVE_UP = "."
"""A line of its own that gives up a question."""


_LONGEST = 100_000
"""Characters of a line that comes through a pipe; no field takes so many."""


def typed_line(prompt: str) -> str:
    """A line that was typed, or came through a pipe, then of bounded length; raises EOFError at the end."""
    if sys.stdin is None:
        raise EOFError
    if sys.stdin.isatty():
        return input(prompt)
    print(prompt, end="", flush=True)
    line = sys.stdin.readline(_LONGEST)
    if not line or (len(line) == _LONGEST and not line.endswith("\n")):
        raise EOFError
    return line.rstrip("\n")


class GivenUp(Exception):
    """A question was given up: nothing is recorded."""


class Talk:
    """Questions asked and answered line by line.

    `read` asks for a line and returns it, raising EOFError at the end of the input; `say` puts one out.
    """

    def __init__(self, read: Callable[[str], str], say: Callable[[str], None], drafts: Drafts) -> None:
        self.read, self.say, self.drafts = read, say, drafts
        self.over = False
        """True once the input has ended."""

    def choose(self, ask: str, choices: tuple[tuple[str, str], ...]) -> str:
        """The key of one of a few answers; raises GivenUp."""
        self.say(ask + " " + ", ".join(f"{key}: {text}" for key, text in choices) + ".")
        keys = [key for key, _ in choices]
        while (answer := self._typed("? ").strip()) not in keys:
            self.say(f"Type one of {', '.join(keys)}.")
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
        if form.questions:
            self.say(f"{form.title}. A line with {GIVE_UP} alone cancels.")
        key = asked(build, form.title, form.questions)
        begun, answers = self.drafts.of(key), list[str]()
        try:
            for number, question in enumerate(form.questions):
                draft = begun[number] if number < len(begun) else ""
                answers.append(self.ask(structs.replace(question, given=draft) if draft else question))
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

    def ask(self, question: Question) -> str:
        """The answer to a question; raises GivenUp."""
        said = [f"{question.ask[:1].upper()}{question.ask[1:]}", question.hint]
        if question.given:
            said.append(f"Enter alone: {clean(question.given, 100)}.")
        self.say(" ".join(word for word in said if word))
        offered: tuple[tuple[str, str], ...] = ()
        while True:
            answer = self._typed("? ")
            answer = meant_by(answer.strip(), offered) or answer or question.given
            wrong = question.objection(answer)
            if not wrong:
                return answer
            offered = question.meanings(answer) if question.meanings else ()
            self.say(wrong)
