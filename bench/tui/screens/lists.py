"""A list of lines with one of them chosen."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from bench.tui.blocks import Row
from bench.tui.screens.place import Place
from bench.tui.text import cells, clean, cut
from bench.tui.widgets.bench import Foot
from bench.tui.widgets.lines import Lines


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
