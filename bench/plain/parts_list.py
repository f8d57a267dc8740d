"""A maker's list in plain lines: what was read, each question with its answers, and the way to a kit file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from bench.errors import SoldersideError
from bench.files import home_path
from bench.kit.load import load_kit
from bench.papers.doubts.decisions import Ruling
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered, left
from bench.papers.list_files import complete_path
from bench.papers.list_session import ListSession
from bench.papers.lists.draft import Doubt, ListColumn
from bench.papers.lists.headings import NOTHING, ROLE_WORDS
from bench.papers.pdf.extract import watched
from bench.papers.to_kit import name_from
from bench.parts.english import counted
from bench.plain.place import Desk, Rows
from bench.session.folders import builds_of, slug
from bench.session.from_list import forget_maker, keep_kit, kit_file_path, open_papers
from bench.settings import kits_folder
from bench.ui.forms import Question, trouble
from bench.ui.list_forms import (
    ROLE_KEYS,
    ListForm,
    add_form,
    change_form,
    entry_of,
    kit_questions,
    maker_question,
    taken_out,
    typed_answer,
)
from bench.ui.list_rows import ListRow, about, in_full, list_lines, ruling_told, told
from bench.ui.text import clean

_PAGES = 10
"""Pages of a PDF after which it is told how far the reading is."""


def open_list(desk: Desk, path: Path) -> PartsList:
    """The list of a file, or of all papers in a folder; raises SoldersideError."""
    with watched(lambda name, page, number: _told(desk, name, page, number)):
        work, faults, papers = open_papers(desk.folder, path)
    warnings = [trouble(SoldersideError(fault.what, fault.where, fault.hint)) for fault in faults]
    return PartsList(desk, work, warnings, papers)


def _told(desk: Desk, name: str, page: int, number: int) -> bool:
    """Say every tenth page of a long paper; Ctrl-C stops the reading."""
    if page % _PAGES == 0 and number > _PAGES:
        desk.talk.say(f"{Path(name).name}: page {page} of {number}.")
    return True


class PartsList(Rows):
    """What was read, then questions, answers given, parts, and lines skipped."""

    place = "list"

    def __init__(self, desk: Desk, work: ListSession, warnings: Sequence[str], papers: Sequence[str]) -> None:
        super().__init__(desk)
        self.work = work
        self._warnings, self._papers = warnings, papers
        self.chosen = next((at for at, line in enumerate(self._lines) if line.doubt is not None), 0)

    @property
    def _lines(self) -> tuple[ListRow, ...]:
        work = self.work
        return list_lines(work.settled, work.state.rulings, work.note, self._warnings, self._papers)

    @property
    def _line(self) -> ListRow:
        return self._lines[self.chosen]

    def rows(self) -> Sequence[str]:
        """Every line of the screen."""
        return [line.text for line in self._lines]

    def in_full(self, at: int) -> Iterator[str]:
        """A line with what can be done about it."""
        keys = {name: self.keymap.key_of(name) for name in self.commands}
        yield from (text for text, _ in about(self._lines[at], self.work.settled, keys))

    def enter(self) -> None:
        """How far it is, then the first question."""
        self._say(f"{told(self.work.settled)}.")
        if self.work.resumed:
            undo = self.keymap.key_of("undo")
            self._say(f"{counted(self.work.resumed, 'answer')} from last time restored; {undo} undoes.")
        self._say_left()
        super().enter()

    def _say_left(self) -> None:
        if self.work.unkept:
            self._say(f"Not saved, in memory only: {self.work.unkept}.")
        doubts = len(self.work.settled.questions)
        self._say(f"{counted(doubts, 'question')} left." if doubts else "No questions left.")

    # -- answering ------------------------------------------------------------------------------
    def _rule(self, ruling: Ruling) -> None:
        """Take a ruling, and go to the next question."""
        before, at = self._line, self.chosen
        self.work.rule(ruling)
        self._say(clean(ruling_told(ruling), 500))
        self._say_left()
        if before.doubt is None:
            return
        lines = self._lines
        doubts = [number for number, line in enumerate(lines) if line.doubt is not None]
        later = [number for number in doubts if (lines[number].line, number) >= (before.line, at)]
        if doubts:
            self.chosen = next(iter(later or doubts))
            self.tell()

    def _form(self, form: ListForm) -> None:
        self._rule(form.ruling(self._talk.ask_title(form.title, self.work.name, *form.questions)))

    def _doubt(self) -> Doubt:
        if self._line.doubt is None:
            raise SoldersideError("there is no question on this line", "", "go up to one that is still open")
        return self._line.doubt

    def do_as_it_is(self) -> None:
        """The doubt is left as it is."""
        self._rule(left(self._doubt()))

    def _answer(self, number: int) -> None:
        doubt = self._doubt()
        offered = answers(self.work.settled, doubt)
        if number > len(offered):
            raise SoldersideError(f"this question has no answer {number}", "", "choose from those said")
        answer = offered[number - 1]
        if answer.typed:
            self._form(typed_answer(doubt, answer))
        else:
            self._rule(answered(doubt, answer))

    def knows(self, name: str) -> bool:
        """As elsewhere; the answers by their numbers."""
        return name.startswith("answer_") or super().knows(name)

    def action_of(self, name: str) -> Callable[[], object]:
        """As elsewhere; the answers by their numbers."""
        if name.startswith("answer_"):
            return lambda: self._answer(int(name.removeprefix("answer_")))
        return super().action_of(name)

    def do_undo(self) -> None:
        """Take the last thing back."""
        self._say(clean(f"Undone: {self.work.undo()}.", 500))

    def do_change(self) -> None:
        """Designators, value, kind and count of a part."""
        self._form(change_form(entry_of(self._line, self.work.settled), self._line.doubt))

    def do_leave_out(self) -> None:
        """The part is none."""
        self._rule(taken_out(entry_of(self._line, self.work.settled), self._line.doubt))

    def do_add_part(self) -> None:
        """A part that was not read."""
        self._form(add_form(self._line, self.work.settled))

    # -- the list as a whole --------------------------------------------------------------------
    def do_columns(self) -> None:
        """What each column holds."""
        self.visit(Columns(self.desk, self.work))

    def do_maker(self) -> None:
        """Whose list it is."""
        question = maker_question([each.maker for each in self.work.lists], self.work.state.maker)
        self.work.set_maker(self._talk.ask_title("Maker", self.work.name, question)[0])
        if self.work.note:
            self._say(clean(f"{self.work.note[:1].upper()}{self.work.note[1:]}.", 300))

    def do_lay_beside(self) -> None:
        """Another paper of the same kit."""
        hint = "A path: a list, PDF, drawing or board file of the same kit."
        question = Question(ask="which other paper?", hint=hint, complete=complete_path)
        typed = self._talk.ask_title("Another paper", self.work.name, question)[0]
        said = self.work.lay_beside(home_path(typed.strip().strip("'\"")))
        self._say(clean(f"{said}.", 300))
        self._say_left()

    def do_whole(self) -> None:
        """This line in full, with the list's own lines around it."""
        keys = {name: self.keymap.key_of(name) for name in self.commands}
        self.say_spans(in_full(self._line, self.work.settled, keys))

    def _to_section(self, starts: Sequence[int], other: int) -> None:
        self.chosen = next(iter(starts), other)
        self.tell()

    def _starts(self) -> list[int]:
        sections = [line.section for line in self._lines]
        return [at for at, name in enumerate(sections) if not at or sections[at - 1] != name]

    def do_section_before(self) -> None:
        """To the beginning of the section, or of the one before."""
        self._to_section([at for at in reversed(self._starts()) if at < self.chosen], 0)

    def do_section_after(self) -> None:
        """To the beginning of the next section."""
        self._to_section([at for at in self._starts() if at > self.chosen], len(self._lines) - 1)

    def do_make_kit(self) -> None:
        """Write the kit file, and offer to start the build."""
        work, data = self.work, self.desk.folder
        if not work.settled.reading.parts:
            raise SoldersideError(
                "there are no parts in this list yet", "", "set its columns, or add parts by hand"
            )
        name = name_from(work.settled.reading)
        questions = kit_questions(name, work.state.maker, len(work.settled.questions))
        kit, maker = self._talk.ask_title("Kit", work.name, *questions)
        given = str(kits_folder(data) / f"{slug(kit)}.yaml")
        place = Question(
            ask="where to?", hint="A path that ends in .yaml.", given=given, complete=complete_path
        )
        path = kit_file_path(self._talk.ask_title("Kit file", work.name, place)[0])
        over = path.exists()
        if over:
            choices = (("n", "no, write nothing"), ("r", "replace it; its present content is lost"))
            if self._talk.choose(clean(f"{path} already exists.", 200), choices) == "n":
                return
        kept = keep_kit(data, work, path, kit, maker, overwrite=over)
        older = builds_of(data, load_kit(path))
        begin = "start a new build" if older else "start the build"
        stay = [("b", begin), ("s", "go to the shelf, where the kit is now"), ("l", "stay with the list")]
        answer = self._talk.choose(clean(f"Written: {path}.{kept} Now?", 500), tuple(stay))
        if answer != "l":
            self.desk.leave_for(str(path) if answer == "b" else "", again=answer == "b" and bool(older))


class Columns(Rows):
    """Each column of a list and what it was read as."""

    place = "columns"

    def __init__(self, desk: Desk, work: ListSession) -> None:
        super().__init__(desk)
        self.work = work

    @property
    def _columns(self) -> tuple[ListColumn, ...]:
        return self.work.settled.reading.table

    def rows(self) -> Sequence[str]:
        """Heading, role and samples."""
        return [
            clean(
                f"{each.heading}, read as {ROLE_WORDS.get(each.role or NOTHING, each.role)}: "
                f"{', '.join(each.samples) or 'empty'}",
                300,
            )
            for each in self._columns
        ]

    def _again(self, word: str) -> None:
        self._say(clean(f"{word}: {told(self.work.settled)}.", 300))

    def do_set_role(self) -> None:
        """Another role for the chosen column."""
        if not self._columns:
            raise SoldersideError("this list has no columns", "", "change its lines one by one")
        column = self._columns[self.chosen]
        choices = tuple((key, ROLE_WORDS[role]) for role, key in ROLE_KEYS.items())
        key = self._talk.choose(clean(f"'{column.heading}' holds?", 80), choices)
        self.work.set_role(column.heading, next(role for role, each in ROLE_KEYS.items() if each == key))
        self._again("Read again")

    def do_plainly(self) -> None:
        """Without anything set or kept."""
        self.work.read_plainly()
        self._again("Read again without settings")

    def do_forget_maker(self) -> None:
        """Nothing more is kept for this list's maker."""
        self._say(clean(f"{forget_maker(self.desk.folder, self.work)}.", 300))

    def do_undo(self) -> None:
        """Take the last thing back."""
        self._again(f"Undone: {self.work.undo()}. Read")
