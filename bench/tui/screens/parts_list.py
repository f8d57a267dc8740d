"""A maker's parts list: what was read, every question with its answers, and the way to a kit file."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual.app import ComposeResult

from bench.errors import Fault, SoldersideError
from bench.files import home_path
from bench.papers.doubts.decisions import DecisionEntry, Ruling
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered, left
from bench.papers.list_files import complete_path
from bench.papers.list_session import ListSession, State
from bench.papers.lists.draft import Doubt
from bench.parts.english import counted
from bench.tui.screens.ask import Ask, Choose
from bench.tui.screens.lists import Chosen, Detail, ListingScreen, Word
from bench.tui.screens.pages import Page
from bench.tui.widgets.work import Foot
from bench.ui.commands import COMMANDS
from bench.ui.forms import Question, trouble
from bench.ui.list_forms import (
    ListForm,
    add_form,
    change_form,
    entry_of,
    maker_question,
    taken_out,
    typed_answer,
)
from bench.ui.list_rows import ListRow, about, in_full, list_lines, ruling_told, told
from bench.ui.text import clean


class ListScreen(ListingScreen):
    """What was read, then questions, answers given, parts, and lines skipped."""

    place = "list"
    unchanged = "nothing changed"
    DEFAULT_CSS = "ListScreen Detail { height: 60%; max-height: 10; }"

    def __init__(self, work: ListSession, faults: Sequence[Fault] = (), papers: Sequence[str] = ()) -> None:
        super().__init__()
        self.work = work
        self._papers = papers
        """What each paper of the kit gave, and what none of them did."""
        self._warnings = [trouble(SoldersideError(fault.what, fault.where, fault.hint)) for fault in faults]
        self._lines: tuple[ListRow, ...] = ()
        self._shown: State | None = None
        """What the lines on screen were made from."""

    def compose(self) -> ComposeResult:
        """A word, the list, the chosen line with its answers, the keys."""
        keymap = self.bench_app.keymap
        yield Word()
        yield Chosen(self._show_chosen)
        yield Detail(tight=True)
        first = (
            "as_it_is",
            "make_kit",
            "undo",
            "change",
            "columns",
            "maker",
            "add_part",
            "leave_out",
            "lay_beside",
            "whole",
        )
        labels = {command.name: command.label for command in COMMANDS}
        keys = [(keymap.key_of(name), labels[name]) for name in first]
        yield Foot(keys, (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Show the list at its first doubt."""
        word = self._warnings[0] if self._warnings else ""
        if not word and self.work.resumed:
            undo = self._keys["undo"]
            many = self.work.resumed
            again = f"{many} answers from last time were" if many > 1 else "1 answer from last time was"
            word = f"{again} restored; {undo} undoes."
        self.fill(word)
        at = next((at for at, line in enumerate(self._lines) if line.doubt is not None), 0)
        self.call_after_refresh(lambda: self.pane.choose(at))

    def on_screen_resume(self) -> None:
        """Show what changed on another screen."""
        if self._shown is not None and self._shown is not self.work.state:
            self.fill()

    @property
    def _keys(self) -> dict[str, str]:
        keymap = self.bench_app.keymap
        return {command.name: keymap.key_of(command.name) for command in COMMANDS}

    def fill(self, word: str = "") -> None:
        """Show the list as it stands; where nothing is to be said, how far it is."""
        settled, self._shown = self.work.settled, self.work.state
        self._lines = list_lines(settled, self.work.state.rulings, self.work.note, self._warnings, self._papers)
        self.pane.show([(line.text, line.look) for line in self._lines])
        self._show_chosen()
        doubts = len(settled.questions)
        far = f"{counted(doubts, 'question')} left" if doubts else "No questions left"
        unkept = self.work.unkept and f"Not saved, in memory only: {self.work.unkept}. "
        self.show_message(unkept + (word or f"{far}. {told(settled)}."))

    def _show_chosen(self) -> None:
        if self._lines:
            self.query_one(Detail).show(about(self._line, self.work.settled, self._keys))

    @property
    def _line(self) -> ListRow:
        return self._lines[min(self.pane.chosen, len(self._lines) - 1)]

    def _doubt(self) -> Doubt:
        if self._line.doubt is None:
            raise SoldersideError("there is no question on this line", "", "go up to one that is still open")
        return self._line.doubt

    # -- answering -------------------------------------------------------------------------------
    def _rule(self, ruling: Ruling) -> None:
        """Take a ruling, and go to the next doubt that is open."""
        before = self._line
        self.work.rule(ruling)
        self.fill(clean(ruling_told(ruling), 500))
        if before.doubt is None:
            return
        doubts = [at for at, line in enumerate(self._lines) if line.doubt is not None]
        later = [at for at in doubts if (self._lines[at].line, at) >= (before.line, self.pane.chosen)]
        self.pane.choose(next(iter(later or doubts), 0))
        self._show_chosen()

    def do_as_it_is(self) -> None:
        """The doubt is left as it is."""
        self._rule(left(self._doubt()))

    def _answer(self, number: int) -> None:
        doubt = self._doubt()
        offered = answers(self.work.settled, doubt)
        if number > len(offered):
            raise SoldersideError(f"this question has no answer {number}", "", "choose from those below")
        answer = offered[number - 1]
        if not answer.typed:
            self._rule(answered(doubt, answer))
            return
        self._form(typed_answer(doubt, answer))

    def _form(self, form: ListForm) -> None:
        self.ask(form.title, form.questions, lambda typed: self._rule(form.ruling(typed)))

    def do_answer_1(self) -> None:
        """The first answer."""
        self._answer(1)

    def do_answer_2(self) -> None:
        """The second answer."""
        self._answer(2)

    def do_answer_3(self) -> None:
        """The third answer."""
        self._answer(3)

    def do_answer_4(self) -> None:
        """The fourth answer."""
        self._answer(4)

    def do_answer_5(self) -> None:
        """The fifth answer."""
        self._answer(5)

    def do_answer_6(self) -> None:
        """The sixth answer."""
        self._answer(6)

    def do_undo(self) -> None:
        """Take the last thing back."""
        self.fill(clean(f"Undone: {self.work.undo()}.", 500))

    # -- one line -------------------------------------------------------------------------------
    def _entry(self) -> DecisionEntry:
        return entry_of(self._line, self.work.settled)

    def do_change(self) -> None:
        """Designators, value, kind and count of a part."""
        self._form(change_form(self._entry(), self._line.doubt))

    def do_leave_out(self) -> None:
        """The part is none."""
        self._rule(taken_out(self._entry(), self._line.doubt))

    def do_add_part(self) -> None:
        """A part that was not read."""
        self._form(add_form(self._line, self.work.settled))

    # -- the list as a whole --------------------------------------------------------------------
    def do_columns(self) -> None:
        """What each column holds."""
        from bench.tui.screens.list_columns import ColumnsScreen

        self.app.push_screen(ColumnsScreen(self.work))

    def do_maker(self) -> None:
        """Whose list it is."""
        question = maker_question([each.maker for each in self.work.lists], self.work.state.maker)

        def named(typed: tuple[str, ...]) -> None:
            self.work.set_maker(typed[0])
            self.fill(
                clean(f"{self.work.note[:1].upper()}{self.work.note[1:]}.", 300) if self.work.note else ""
            )

        self.ask("Maker", [question], named)

    def do_lay_beside(self) -> None:
        """Another paper of the same kit."""
        question = Question(
            ask="which other paper?",
            hint="A list, PDF, drawing or board file of the same kit; Tab completes the name.",
            complete=complete_path,
        )

        def named(typed: tuple[str, ...]) -> None:
            said = self.work.lay_beside(home_path(typed[0].strip().strip("'\"")))
            self.fill(clean(f"{said}.", 300))
            kinds = [line.doubt.kind if line.doubt else "" for line in self._lines]
            if "other paper" in kinds:
                self.pane.choose(kinds.index("other paper"))
                self._show_chosen()

        self.ask("Another paper", [question], named)

    def do_whole(self) -> None:
        """All about this line."""
        self.app.push_screen(Page(in_full(self._line, self.work.settled, self._keys)))

    def do_section_before(self) -> None:
        """To the beginning of the section, or of the one before."""
        starts = self._starts()
        self.pane.choose(max([at for at in starts if at < self.pane.chosen], default=0))

    def do_section_after(self) -> None:
        """To the beginning of the next section."""
        self.pane.choose(
            min([at for at in self._starts() if at > self.pane.chosen], default=len(self._lines) - 1)
        )

    def _starts(self) -> list[int]:
        sections = [line.section for line in self._lines]
        return [at for at, name in enumerate(sections) if not at or sections[at - 1] != name]

    def do_make_kit(self) -> None:
        """Write the kit file."""
        from bench.tui.screens.list_kit import write_kit

        write_kit(self)

    def do_back(self) -> None:
        """Back to the files; the answers are kept for the next time."""
        self.app.pop_screen()

    def ask(self, title: str, questions: Sequence[Question], then: Callable[[tuple[str, ...]], None]) -> None:
        """As `push_ask`, about this list."""
        self.push_ask(Ask(title, questions, self.work.name), then)

    def choose_key(self, ask: str, choices: Sequence[tuple[str, str]], then: Callable[[str], None]) -> None:
        """One key out of a few; Escape changes nothing."""

        def chosen(key: str | None) -> None:
            if key is None:
                self.fill()
                return
            try:
                then(key)
            except SoldersideError as error:
                self.show_message(trouble(error))

        self.app.push_screen(Choose(ask, choices), chosen)
