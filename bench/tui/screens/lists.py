"""A list of lines with one of them chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from bench.tui.blocks import Row
from bench.tui.screens.place import Place
from bench.tui.text import cells, clean, cut, wrap
from bench.tui.widgets.bench import Foot
from bench.tui.widgets.lines import Lines

Spans = list[tuple[str, str]]
"""Texts with their looks."""


class ListPane(Lines):
    """Lines of text, each with a look; the chosen one is marked."""

    def __init__(self) -> None:
        super().__init__(id="body")
        self._lines: Sequence[tuple[str, str]] = ()
        self.chosen = 0
        """Which line, from 0."""

    def show(self, lines: Sequence[tuple[str, str]], chosen: int | None = None) -> None:
        """Show these lines (text and look)."""
        self._lines = lines
        self.choose(self.chosen if chosen is None else chosen)

    def choose(self, line: int) -> None:
        """Mark a line and bring it on screen."""
        self.chosen = max(0, min(line, len(self._lines) - 1))
        height, width = self.size.height, self.size.width
        if not height:
            return
        self.scroll_to_row(max(min(self.top, self.chosen), self.chosen - height + 1, 0))
        rows: list[Row] = []
        for number, (text, look) in enumerate(self._lines):
            here = number == self.chosen
            said = cut(("> " if here else "  ") + text, width)
            rows.append(((said + " " * (width - cells(said)), "here" if here else look),))
        self.show_rows(rows)

    def lay_out(self) -> None:
        """Cut the lines anew for the new width."""
        self.choose(self.chosen)


class Chosen(ListPane):
    """The list; says when another line is chosen."""

    def __init__(self, on_choice: Callable[[], None]) -> None:
        super().__init__()
        self._on_choice = on_choice

    def choose(self, line: int) -> None:
        """Mark a line and bring it on screen."""
        before = self.chosen
        super().choose(line)
        if self.chosen != before:
            self._on_choice()


class Detail(Lines):
    """More about the chosen line; what does not fit is a key away."""

    DEFAULT_CSS = "Detail { height: 50%; min-height: 4; max-height: 11; background: $b-raised; }"

    def __init__(self, *, tight: bool = False) -> None:
        """`tight`: where the room is short, each paragraph is cut to one row, so that the last ones show."""
        super().__init__(id="detail")
        self._spans: Spans = []
        self._tight = tight

    def show(self, spans: Spans) -> None:
        """Show these paragraphs."""
        self._spans = spans
        self.lay_out()

    def lay_out(self) -> None:
        """Wrap for the present size; nothing while there is none."""
        width, height = self.size.width, self.size.height
        rows: list[Row] = [
            ((f" {line}", look),) for text, look in self._spans for line in wrap(text, width - 2, hang=2)
        ]
        if len(rows) > height and self._tight:
            rows = [((cut(f" {text}", width - 1), look),) for text, look in self._spans]
        if len(rows) > height:
            rows = [*rows[: height - 1], ((cut(" ▼ enter: all of it", width), "loud"),)]
        self.show_rows(rows)


class ListPlace(Place):
    """A place that is a list."""

    def compose(self) -> ComposeResult:
        """A word, the list, the keys."""
        keymap = self.bench_app.keymap
        yield Static(id="word")
        yield ListPane()
        yield Foot(keymap.foot(self.place), (keymap.key_of("help"), "all keys"))

    def say(self, text: str) -> None:
        """A word above the list."""
        self.query_one("#word", Static).update(Content(clean(text, 600)))

    @property
    def pane(self) -> ListPane:
        """The list."""
        return self.query_one(ListPane)

    def do_up(self) -> None:
        """The line before."""
        self.pane.choose(self.pane.chosen - 1)

    def do_down(self) -> None:
        """The line after."""
        self.pane.choose(self.pane.chosen + 1)

    def do_page_up(self) -> None:
        """A page up."""
        self.pane.choose(self.pane.chosen - self.pane.size.height)

    def do_page_down(self) -> None:
        """A page down."""
        self.pane.choose(self.pane.chosen + self.pane.size.height)
