"""A place with a build: questions whose answers are recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence

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

        What was typed before giving up, or could not be recorded, stands in the same questions again.
        """
        self._writable()
        self._put(title, questions, then)

    def _put(self, title: str, questions: Sequence[Question], then: Callable[[tuple[str, ...]], None]) -> None:
        ask = Ask(title, questions)

        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is None:
                self.say(f"{title}: given up, nothing recorded. {ask.kept}".strip())
                return
            try:
                then(answers)
            except BenchError as error:
                self.say(trouble(error))
                self.bench_app.drafts.keep(ask.asked, answers)
                self._put(title, questions, then)

        self.app.push_screen(ask, answered)
