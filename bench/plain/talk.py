"""Talking line by line: keys and words become actions, questions are asked and answered."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Callable
from pathlib import Path

from msgspec import structs

from bench.errors import SoldersideError
from bench.log.clock import spell
from bench.log.sitting import RUN_WORDS, rest_words, run_of_snags, sitting_seconds
from bench.session.build import Build
from bench.session.drafts import Drafts
from bench.settings import Settings
from bench.ui.agree_words import open_words
from bench.ui.clock_forms import clock_form
from bench.ui.commands import Command, Keymap, commands_of
from bench.ui.forms import Form, Question, asked, damage, meant_by, trouble
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
    """One build, talked through line by line.

    `read` asks for a line and returns it, raising EOFError at the end of the input; `say` puts one out. `data`
    is the folder of the settings; without it they are not written.
    """

    def __init__(
        self,
        build: Build,
        settings: Settings,
        read: Callable[[str], str],
        say: Callable[[str], None],
        data: Path | None = None,
    ) -> None:
        self.build, self.settings, self.data = build, settings, data
        self.drafts = Drafts(data)
        self.keymap = Keymap(settings.keys)
        self._read, self._say = read, say
        self._over = False
        self._rest_told = False
        self._snags_told = run_of_snags(build.progress)
        self.commands = {
            command.name: command for command in commands_of("bench") if hasattr(self, f"do_{command.name}")
        }

    def tell(self) -> None:
        """Say what is on hand."""
        raise NotImplementedError

    # -- the talk -------------------------------------------------------------------------------
    def run(self) -> None:
        """Talk until the builder leaves or the input ends."""
        if self.build.log.read_only:
            self._say(f"Reading only: {self.build.log.why_read_only}. Nothing you do here is kept.")
        else:
            self.build.opened()
        for said in damage(self.build):
            self._say(said)
        self._say_changes()
        self._ask_clock()
        self._say(f"{self.keymap.key_of('help')} and Enter tells every key; Enter alone: done.")
        self.tell()
        while not self._over:
            try:
                line = self._read("> ")
            except EOFError:
                return
            self._answer(line)

    def _say_changes(self) -> None:
        """What is done and no longer agrees with the kit, a line each."""
        changes = self.build.kit_watch.changes()
        for each in changes:
            self._say(clean(f"The kit changed: {each.words}. {open_words(each)}", 600))
        if changes:
            self._say(f"{self.keymap.key_of('agree')} and Enter answers these.")

    def _ask_clock(self) -> None:
        form = clock_form(self.build)
        if form is not None:
            with contextlib.suppress(GivenUp):
                self._fill_in(form)

    def _answer(self, line: str) -> None:
        """Carry out what a line asks for; what goes wrong is said, and the talk goes on."""
        command = self._meant(line)
        if command is None:
            known = self.keymap.key_of("help")
            self._say(f"Nothing here is called {clean(line.strip(), 40)}; {known} and Enter tells every key.")
            return
        try:
            if not self.build.log.read_only and self.build.timer.gap():
                self._settle_gap()
            getattr(self, f"do_{command.name}")()
        except GivenUp:
            self._say("Given up, nothing recorded.")
        except SoldersideError as error:
            self._say(trouble(error))
        self._suggest_rest()

    def _suggest_rest(self) -> None:
        """One line, once: after a long sitting, or a run of snags."""
        build, after = self.build, 60 * self.settings.rest_after_minutes
        if build.log.read_only or build.progress.on_break:
            return
        sitting = sitting_seconds(build.events, self.settings.break_after_minutes * 60)
        if sitting < after or not after:
            self._rest_told = False
        elif not self._rest_told:
            self._rest_told = True
            self._say(rest_words(sitting))
        run = run_of_snags(build.progress)
        if run > self._snags_told:
            self._snags_told = run
            self._say(RUN_WORDS)

    def _meant(self, line: str) -> Command | None:
        """The command of a key or of its words; an empty line is the key Enter, a blank the space bar."""
        word = line.strip()
        key = {"": "space" if line else "enter"}.get(word, word)
        found = self.keymap.command("bench", key, word if len(word) == 1 else None)
        if found is None:
            named = word.casefold()
            found = next((each for each in self.commands.values() if named in (each.label, each.name)), None)
        return found if found is not None and found.name in self.commands else None

    def _settle_gap(self) -> None:
        gap = spell(self.build.timer.gap())
        answer = self._choose(
            f"No key for {gap}. What was it?", (("w", "at the bench all the time"), ("b", "a break"))
        )
        self.build.settle_gap(worked=answer == "w")

    def _choose(self, ask: str, choices: tuple[tuple[str, str], ...]) -> str:
        self._say(ask + " " + ", ".join(f"{key}: {text}" for key, text in choices) + ".")
        keys = [key for key, _ in choices]
        while (answer := self._typed("? ").strip()) not in keys:
            self._say(f"Type one of {', '.join(keys)}.")
        return answer

    def _typed(self, prompt: str) -> str:
        try:
            line = self._read(prompt)
        except EOFError:
            self._over = True
            raise GivenUp from None
        if line.strip() == GIVE_UP:
            raise GivenUp
        return line

    def _fill_in(self, form: Form) -> None:
        """Ask a form's questions line by line, record the answers, say the word for it."""
        if self.build.log.read_only:
            raise SoldersideError(f"nothing can be recorded: {self.build.log.why_read_only}", "", "")
        self._say(f"{form.title}. A line with {GIVE_UP} alone gives up.")
        key = asked(self.build.name, form.title, form.questions)
        begun, answers = self.drafts.of(key), list[str]()
        try:
            for number, question in enumerate(form.questions):
                draft = begun[number] if number < len(begun) else ""
                answers.append(self._ask(structs.replace(question, given=draft) if draft else question))
            word = form.record(tuple(answers))
        except (GivenUp, SoldersideError):
            kept = self.drafts.keep(key, (*answers, *begun[len(answers) :]))
            if kept:
                self._say(f"Not recorded: {clean(' / '.join(answers) or begun[0], 1_000)}")
                self._say(kept)
            raise
        self.drafts.drop(key)
        self._say(word)

    def _ask(self, question: Question) -> str:
        said = [f"{question.ask[:1].upper()}{question.ask[1:]}", question.hint]
        if question.given:
            said.append(f"Enter alone: {clean(question.given, 100)}.")
        self._say(" ".join(word for word in said if word))
        offered: tuple[tuple[str, str], ...] = ()
        while True:
            answer = self._typed("? ")
            answer = meant_by(answer.strip(), offered) or answer or question.given
            wrong = question.objection(answer)
            if not wrong:
                return answer
            offered = question.meanings(answer) if question.meanings else ()
            self._say(wrong)
