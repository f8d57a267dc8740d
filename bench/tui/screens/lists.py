"""List screens: rows with a cursor, a message above and details below."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.strip import Strip
from textual.widgets import Static

from bench.tui.mouse import press
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, cut, wrap

Spans = list[tuple[str, str]]
"""Texts with their looks."""


ListLine = tuple[str | StyledRow, str]
"""A line of a list: its text, or spans of it, and the look of all that has none of its own."""


class ListPane(Lines):
    """Lines of text, each with a look, in groups with a head each; the chosen one is marked.

    The head of the group on screen stays in the top row while its lines are scrolled.
    """

    def __init__(self) -> None:
        super().__init__(id="body")
        self._lines: Sequence[ListLine] = ()
        self._heads: Mapping[int, StyledRow] = {}
        self._laid: tuple[list[StyledRow], list[int], list[StyledRow]] = ([], [], [])
        """Rows without a cursor, the row of each line, and the head above each row."""
        self._laid_width = -1
        self.chosen = 0
        """Which line, from 0."""

    def show(
        self,
        lines: Sequence[ListLine],
        chosen: int | None = None,
        heads: Mapping[int, StyledRow] | None = None,
    ) -> None:
        """Show these lines; `heads` are rows that stand above the lines of these numbers."""
        self._lines, self._heads, self._laid_width = lines, heads or {}, -1
        self.choose(self.chosen if chosen is None else chosen)

    def choose(self, line: int) -> None:
        """Mark a line and bring it on screen."""
        self.chosen = max(0, min(line, len(self._lines) - 1))
        height, width = self.size.height, self.size.width
        if not height:
            return
        if self._laid_width != width:
            self._lay(width)
        plain, row_of, _ = self._laid
        rows = list(plain)
        if not self._lines:
            self.show_rows(rows)
            return
        here = row_of[self.chosen]
        above = min(here, 1 if self._heads else 0)
        self.scroll_to_row(max(min(self.top, here - above), here - height + 1, 0))
        said = cut("> " + _text_of(self._lines[self.chosen][0]), width)
        rows[here] = ((said + " " * (width - cells(said)), "here"),)
        self.show_rows(rows)

    def _lay(self, width: int) -> None:
        rows: list[StyledRow] = []
        row_of: list[int] = []
        heads: list[StyledRow] = []
        head: StyledRow = ()
        for number, (text, look) in enumerate(self._lines):
            if number in self._heads:
                head = cut_row(self._heads[number], width)
                rows.append(head)
                heads.append(head)
            row_of.append(len(rows))
            spans = ((text, look),) if isinstance(text, str) else text
            row = cut_row((("  ", look), *spans), width)
            left = width - sum(cells(each) for each, _ in row)
            rows.append((*row, (" " * left, look)) if left > 0 else row)
            heads.append(head)
        self._laid, self._laid_width = (rows, row_of, heads), width

    @property
    def texts(self) -> list[str]:
        """The lines as plain texts, without heads."""
        return [_text_of(text) for text, _ in self._lines]

    def line_at(self, y: int) -> int | None:
        """The line painted in row `y` of the pane; None for a head and for empty room."""
        row = y + self.top
        if y == 0 and self._head_stays:
            return None
        return self._laid[1].index(row) if row in self._laid[1] else None

    @property
    def _head_stays(self) -> bool:
        """Whether the top row shows the head of a group whose own row is scrolled out."""
        heads = self._laid[2]
        return 0 < self.top < len(heads) and bool(heads[self.top])

    def render_line(self, y: int) -> Strip:
        """Row `y`; at the top the head of the group, where its own row is scrolled out."""
        if y == 0 and self._head_stays:
            return self._strip(self._laid[2][self.top])
        return super().render_line(y)

    def lay_out(self) -> None:
        """Re-truncate the lines on resize."""
        self.choose(self.chosen)

    def on_click(self, event: events.Click) -> None:
        """A line that is tapped is chosen; tapped again it is as if Enter were pressed."""
        line = self.line_at(event.y)
        if line is None:
            return
        if line == self.chosen:
            press(self.app, "enter")
        else:
            self.choose(line)


def _text_of(text: str | StyledRow) -> str:
    return text if isinstance(text, str) else "".join(each for each, _ in text)


def cut_row(row: StyledRow, width: int) -> StyledRow:
    """The spans of a row that have room in `width` cells, the last one cut.

    >>> cut_row((("abc", "plain"), ("defg", "faint")), 5)
    (('abc', 'plain'), ('d…', 'faint'))
    """
    spans = []
    for text, look in row:
        said = cut(text, width)
        width -= cells(said)
        spans.append((said, look))
        if said != text or width <= 0:
            break
    return tuple(spans)


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

    def show(
        self,
        lines: Sequence[ListLine],
        chosen: int | None = None,
        heads: Mapping[int, StyledRow] | None = None,
    ) -> None:
        """Show these lines; the chosen one may read otherwise than before."""
        super().show(lines, chosen, heads)
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

    def do_first(self) -> None:
        """The first line."""
        self.pane.choose(0)

    def do_last(self) -> None:
        """The last line."""
        self.pane.choose(10**9)


class SearchedScreen(ListingScreen):
    """A list that is searched by typing: only lines that hold what was typed are shown."""

    sought = ""
    """What is looked for; empty while all lines are shown."""
    _typing = False

    def show_found(self) -> None:
        """Show the lines that hold what is sought."""
        raise NotImplementedError

    def standing_word(self) -> str:
        """What the place is, in one row."""
        raise NotImplementedError

    def holds(self, text: str) -> bool:
        """Whether a line's text holds every word that is sought, small and capital letters alike."""
        return all(word in text.casefold() for word in self.sought.casefold().split())

    def found_word(self, found: int, of: int) -> str:
        """What the place is; while something is sought, that and how many lines hold it."""
        if self._typing:
            return f"Find: {self.sought}_  {found} of {of}. Enter: keep. Escape: all lines."
        if self.sought:
            return f"{self.sought}: {found} of {of}. Escape: all lines."
        return self.standing_word()

    def do_seek(self) -> None:
        """Type what to look for."""
        self._typing, self.sought = True, ""
        self.show_found()

    async def on_key(self, event: events.Key) -> None:
        """While something is looked for, letters go into it."""
        if not self._typing or event.key in _MOVES:
            return  # the handler of the base class comes next
        event.stop()
        event.prevent_default()
        if event.key in ("escape", "enter"):
            self._typing = False
            self.sought = self.sought.strip() if event.key == "enter" else ""
        elif event.key == "backspace":
            self.sought = self.sought[:-1]
        elif event.character and event.is_printable:
            self.sought += event.character
        self.show_found()

    def do_back(self) -> None:
        """All lines again; then back to the screen before."""
        if self.sought:
            self.sought = ""
            self.show_found()
        else:
            super().do_back()


_MOVES = ("up", "down", "pageup", "pagedown", "home", "end")
