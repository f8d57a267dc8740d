"""A place with a build: questions whose answers are recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import zip_longest

from msgspec import structs

from bench.build.session import Build
from bench.errors import BenchError
from bench.tui.forms import Question, trouble
from bench.tui.screens.ask import Ask
from bench.tui.screens.place import Place


class BuildPlace(Place):
    """A place where something can be written about a build."""

    def __init__(self, build: Build) -> None:
        super().__init__()
        self.build = build

    def _writable(self) -> None:
        """Refuse, before anything is typed, when nothing could be kept; raises BenchError."""
        if self.build.log.read_only:
            raise BenchError(f"nothing can be recorded: {self.build.log.why_read_only}", "", "")

    def _ask(self, title: str, questions: Sequence[Question], then: Callable[[tuple[str, ...]], None]) -> None:
        """Ask, and hand the answers on; giving up and what goes wrong is said on screen.

        What was typed before giving up stands in the same questions when they are asked again.
        """

        drafts = self.bench_app.drafts
        key = (title, *(question.ask for question in questions))
        begun = drafts.pop(key, ())
        filled = [
            structs.replace(question, given=draft) if draft else question
            for question, draft in zip_longest(questions, begun, fillvalue="")
            if isinstance(question, Question)
        ]
        ask = Ask(title, filled)

        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is None:
                typed = [
                    "" if answer == question.given else answer
                    for answer, question in zip(ask.left_behind, questions, strict=False)
                ]
                if any(typed):
                    drafts[key] = tuple(typed)
                kept = " What you typed is kept: it stands there again next time." if any(typed) else ""
                self.say(f"{title}: given up, nothing recorded.{kept}")
                return
            try:
                then(answers)
            except BenchError as error:
                self.say(trouble(error))

        self._writable()
        self.app.push_screen(ask, answered)
