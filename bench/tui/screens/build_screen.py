"""A place with a build: questions whose answers are recorded."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bench.errors import SoldersideError
from bench.session.build import Build
from bench.tui.screens.ask import Ask
from bench.tui.screens.command_screen import CommandScreen
from bench.ui.forms import Question


class BuildPlace(CommandScreen):
    """A place where something can be written about a build."""

    def __init__(self, build: Build) -> None:
        super().__init__()
        self.build = build

    def _writable(self) -> None:
        """Refuse, before anything is typed, when nothing could be kept; raises SoldersideError."""
        if self.build.log.read_only:
            raise SoldersideError(f"nothing can be recorded: {self.build.log.why_read_only}", "", "")

    def _ask(self, title: str, questions: Sequence[Question], then: Callable[[tuple[str, ...]], None]) -> None:
        """As `put`, where something can be recorded."""
        self._writable()
        self.put(Ask(title, questions), then)
