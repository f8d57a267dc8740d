"""Columns of a maker's list: heading, samples and inferred role, which one key changes."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.papers.list_session import ListSession
from bench.papers.lists.draft import ListColumn
from bench.papers.lists.headings import AS_FOUND, NOTHING, ROLE_WORDS
from bench.parts.english import counted
from bench.session.from_list import forget_maker
from bench.tui.screens.ask import Choose
from bench.tui.screens.lists import ListingScreen
from bench.ui.list_forms import ROLE_KEYS
from bench.ui.list_rows import told
from bench.ui.text import clean


class ColumnsScreen(ListingScreen):
    """One line for each column."""

    place = "columns"

    def __init__(self, work: ListSession) -> None:
        super().__init__()
        self.work = work
        self._columns: tuple[ListColumn, ...] = ()

    def on_mount(self) -> None:
        """Show the columns."""
        self.fill()
        self.call_after_refresh(lambda: self.pane.choose(0))

    def fill(self, word: str = "") -> None:
        """Show the columns as they are read now."""
        self._columns = self.work.settled.reading.table
        wide = min(max([len(column.heading) for column in self._columns], default=0), 16)
        lines = []
        for column in self._columns:
            role = ROLE_WORDS.get(column.role or NOTHING, column.role)
            samples = ", ".join(clean(each, 40) for each in column.samples)
            text = f"{clean(column.heading, 40):<{wide}}  {role:<13} {samples or '(empty)'}"
            lines.append((text, "refs" if column.role else "faint"))
        self.pane.show(lines)
        doubts = len(self.work.settled.questions)
        if not self._columns:
            self.show_message("This list has no columns: each line was read by itself.")
        else:
            self.show_message(word or f"{told(self.work.settled)}; {counted(doubts, 'question')}.")

    def do_set_role(self) -> None:
        """Another role for the column on this line."""
        if not self._columns:
            raise SoldersideError("this list has no columns", "", "change its lines one by one")
        column = self._columns[self.pane.chosen]
        choices = [(key, ROLE_WORDS[role]) for role, key in ROLE_KEYS.items()]

        def chosen(key: str | None) -> None:
            role = next((role for role, each in ROLE_KEYS.items() if each == key), AS_FOUND)
            if role != AS_FOUND:
                self.work.set_role(column.heading, role)
                self.fill(clean(f"Read again: {told(self.work.settled)}.", 300))

        self.app.push_screen(Choose(clean(f"'{column.heading}' holds", 80), choices), chosen)

    def do_plainly(self) -> None:
        """Without anything set or kept."""
        self.work.read_plainly()
        self.fill(clean(f"Read again without settings: {told(self.work.settled)}.", 300))

    def do_forget_maker(self) -> None:
        """Nothing more is kept for this list's maker."""
        said = forget_maker(self.bench_app.data, self.work)
        self.fill(clean(f"{said}. The list on screen stays as it is.", 300))

    def do_undo(self) -> None:
        """Take the last thing back."""
        self.fill(clean(f"Undone: {self.work.undo()}.", 300))
