"""What can kill, before power goes to it; never passed with one key."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical

from bench.tui.screens.ask import Ask, SafeInput, Sheet
from bench.tui.screens.pages import TextPane
from bench.ui.card_blocks import StyledRow, lines
from bench.ui.forms import Form
from bench.ui.text import clean


class DangerScreen(Ask):
    """A screen of its own: what can kill, and questions that take time to answer."""

    def __init__(self, form: Form, why: str = "") -> None:
        super().__init__(form.title, form.questions, why=why)
        self._form = form
        self._spans = [
            (clean(line, 600), "caution" if number else "loud") for number, line in enumerate(form.warning)
        ]

    def compose(self) -> ComposeResult:
        """What can kill over the question."""
        yield TextPane(self._spans)
        with Vertical(id="ask"):
            yield Sheet(self._above, id="ask-title")
            yield SafeInput(id="ask-line")
            yield Sheet(self._below, id="ask-hint")
        yield Sheet(self._keys, id="ask-keys")

    def _place(self) -> None:
        """The question keeps to the foot: what can kill stands in the place of the card."""

    def _above(self, width: int) -> list[StyledRow]:
        """The question in as few rows as it takes: the warning needs the others."""
        number = f" {len(self._answers) + 1} of {len(self._questions)}"
        return lines(f"{self.title_asked}{number}: {self._question.ask}", "value", width)

    def _below(self, width: int) -> list[StyledRow]:
        return lines(self._said, "loud" if self._is_wrong else "plain", width) if self._said else []

    def again(self, why: str) -> DangerScreen:
        """The same screen, and why it comes once more."""
        return DangerScreen(self._form, why)

    def keep(self, typed: Sequence[str]) -> None:
        """All but the last answer: the words that take time to type are typed each time."""
        super().keep(tuple(typed)[: len(self._form.questions) - 1])
