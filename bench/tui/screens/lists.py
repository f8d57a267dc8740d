"""List screens: rows with a cursor, a message above and details below."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from bench.tui.mouse import press
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.blocks import StyledRow
from bench.ui.text import cells, clean, cut, wrap

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
        rows: list[StyledRow] = []
        for number, (text, look) in enumerate(self._lines):
            here = number == self.chosen
            said = cut(("> " if here else "  ") + text, width)
            rows.append(((said + " " * (width - cells(said)), "here" if here else look),))
        self.show_rows(rows)

    def lay_out(self) -> None:
        """Re-truncate the lines on resize."""
        self.choose(self.chosen)

    def on_click(self, event: events.Click) -> None:
        """A line that is tapped is chosen; tapped again it is as if Enter were pressed."""
        line = event.y + self.top
        if line == self.chosen:
            press(self.app, "enter")
        elif line < len(self._lines):
            self.choose(line)


class Word(Static):
    """What a place is, in one line; or what has just happened, in up to three."""

    def __init__(self) -> None:
        super().__init__(id="word")
        self._said, self._standing = "", False

    def say(self, text: str, *, standing: bool = False) -> None:
        """Show a message; a standing one is cut to whole sentences that fit one row."""
        self._said, self._standing = clean(text, 600), standing
        self._fit()

    def on_resize(self) -> None:
        """The sentences for the new width."""
        self._fit()

    def _fit(self) -> None:
        width = self.size.width
        self.styles.height = 1 if self._standing else "auto"
        self.update(Content(whole_sentences(self._said, width) if self._standing else self._said))


def whole_sentences(text: str, width: int) -> str:
    """The sentences of a clean text that have room in one row; the first one in any case.

    >>> whole_sentences("The log. Nothing in it is ever erased.", 20)
    'The log.'
    """
    first, *more = text.split(". ")
    said = first
    for sentence in more:
        if cells(f"{said}. {sentence}") > width - 1:
            return cut(f"{said}.", width)
        said += f". {sentence}"
    return cut(said, width)


class Chosen(ListPane):
    """The list; says when another line is chosen."""

    def __init__(self, on_choice: Callable[[], None]) -> None:
        super().__init__()
        self._on_choice = on_choice

    def show(self, lines: Sequence[tuple[str, str]], chosen: int | None = None) -> None:
        """Show these lines; the chosen one may read otherwise than before."""
        super().show(lines, chosen)
        self._on_choice()

    def choose(self, line: int) -> None:
        """Mark a line and bring it on screen."""
        before = self.chosen
        super().choose(line)
        if self.chosen != before:
            self._on_choice()


class Detail(Lines):
    """More about the chosen line; what does not fit is a key away."""

    DEFAULT_CSS = """
    Detail { height: 50%; min-height: 4; max-height: 11; background: $b-raised; }
    Detail.brief { height: 20%; min-height: 4; max-height: 8; }
    """

    def __init__(self, *, tight: bool = False, more: str = "enter: all of it", classes: str = "") -> None:
        """`tight`: where the room is short, each paragraph is cut to one row, so that the last ones show."""
        super().__init__(id="detail", classes=classes)
        self._more = more
        self._spans: Spans = []
        self._tight = tight

    def show(self, spans: Spans) -> None:
        """Show these paragraphs."""
        self._spans = spans
        self.lay_out()

    def lay_out(self) -> None:
        """Wrap for the present size; nothing while there is none."""
        width, height = self.size.width, self.size.height
        rows: list[StyledRow] = [
            ((f" {line}", look),) for text, look in self._spans for line in wrap(text, width - 2, hang=2)
        ]
        if len(rows) > height and self._tight:
            rows = [((cut(f" {text}", width - 1), look),) for text, look in self._spans]
        if len(rows) > height:
            rows = [*rows[: height - 1], ((cut(f" ▼ {self._more}", width), "loud"),)]
        self.show_rows(rows)


class ListingScreen(CommandScreen):
    """List screen; with `detailed`, `about_line` fills a pane below the list."""

    detailed = False
    """True for a place whose lines can be longer than the screen is wide."""

    def compose(self) -> ComposeResult:
        """A word, the list, all of the chosen line, the keys."""
        keymap = self.bench_app.keymap
        yield Word()
        if self.detailed:
            yield Chosen(self.show_about)
            yield Detail(tight=True, more="more", classes="brief")
        else:
            yield ListPane()
        yield Foot(keymap.foot(self.place), (keymap.key_of("help"), "all keys"))

    def show_message(self, text: str, *, standing: bool = False) -> None:
        """A word above the list; a standing one says what the place is, in one row."""
        self.query_one(Word).say(text, standing=standing)

    def about_line(self, line: int) -> Spans:
        """All there is to say about a line, counted from 0."""
        return []

    def show_about(self) -> None:
        """Show more about the chosen line."""
        self.query_one(Detail).show(self.about_line(self.pane.chosen))

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
