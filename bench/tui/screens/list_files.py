"""Which file is the maker's parts list: likely ones at hand, or a path typed."""

from __future__ import annotations

from pathlib import Path

from bench.errors import Fault, SoldersideError
from bench.files import home_path
from bench.papers.list_files import FOLDERS, complete_path, likely_lists, paper_folders
from bench.papers.list_session import ListSession
from bench.papers.pdf.extract import watched
from bench.session.from_list import open_papers
from bench.tui.screens.ask import Ask
from bench.tui.screens.lists import ListingScreen
from bench.tui.screens.pages import faults_page
from bench.ui.forms import Question
from bench.ui.text import clean

_LONG = 8
"""Pages of a paper whose reading is told page by page."""


class ListFilesScreen(ListingScreen):
    """One line for each file that may be a parts list."""

    place = "files"
    unchanged = "nothing read"

    def __init__(self) -> None:
        super().__init__()
        self._files: list[Path] = []
        self._reading = ""
        """The paper that is being read beside the screen; empty when none is, or when it is to stop."""

    def on_mount(self) -> None:
        """Look for files."""
        folders = paper_folders()
        self._files = [*folders, *likely_lists(FOLDERS)]
        self.pane.show(
            [(clean(f"{path}/" if path in folders else f"{path}", 400), "refs") for path in self._files], 0
        )
        self.call_after_refresh(lambda: self.pane.choose(0))
        key = self.bench_app.keymap.key_of("type_path")
        here = "Which file is the parts list?" if self._files else "No likely file here."
        here = "Which file or folder of papers?" if folders else here
        self.show_message(f"{here} {key}: type its path.", standing=True)

    def do_open_list(self) -> None:
        """Read the file on this line."""
        if not self._files:
            self.do_type_path()
            return
        self.open(self._files[self.pane.chosen])

    def do_type_path(self) -> None:
        """Type a path."""

        question = Question(ask="where is it?", hint="A path; ~ is your home folder.", complete=complete_path)
        self.push_ask(
            Ask("Parts list", [question]),
            lambda answers: self._read(home_path(answers[0].strip().strip("'\""))),
        )

    def open(self, path: Path) -> None:
        """Read a file and show what is in it; what cannot be read is said with a page of its faults."""
        try:
            self._read(path)
        except SoldersideError as error:
            self.app.push_screen(faults_page(error.faults, clean(f"{path.name} cannot be read", 200)))

    def do_all_papers(self) -> None:
        """Read all papers in the folder of the file on this line."""
        chosen = self._files[self.pane.chosen] if self._files else Path("x")
        folder = chosen if chosen.is_dir() else chosen.parent
        try:
            self._read(folder)
        except SoldersideError as error:
            self.app.push_screen(faults_page(error.faults, clean(f"{folder} cannot be read", 200)))

    def do_back(self) -> None:
        """Stop the reading of a long paper; else leave."""
        if self._reading:
            self._reading = ""
        else:
            super().do_back()

    def _read(self, path: Path) -> None:
        """Read a file, or all papers in a folder, and show what is in it; raises SoldersideError.

        PDFs and folders are read beside the screen, since they may be long.
        """
        if self._reading:
            return
        if not path.is_dir() and not (path.is_file() and path.suffix.lower() == ".pdf"):
            self._show(*open_papers(self.bench_app.data, path))
            return
        self._reading = path.name or "all papers"
        self.show_message(f"Reading {self._reading} ...")
        self.run_worker(lambda: self._read_beside(path), thread=True)

    def _read_beside(self, path: Path) -> None:
        """Read papers in another thread than that of the screen."""
        try:
            with watched(self._page):
                found = open_papers(self.bench_app.data, path)
        except SoldersideError as error:
            self.app.call_from_thread(self._failed, path, error)
        else:
            self.app.call_from_thread(self._finished, *found)

    def _page(self, name: str, page: int, number: int) -> bool:
        """Show how far the reading is; False when it was stopped."""
        if self._reading and number >= _LONG:
            stop = self.bench_app.keymap.key_of("back")
            said = f"Reading {Path(name).name}: page {page} of {number}. {stop}: stop."
            self.app.call_from_thread(self.show_message, said)
        return bool(self._reading)

    def _failed(self, path: Path, error: SoldersideError) -> None:
        """What could not be read is said with a page of its faults; what was stopped in a line."""
        stopped, self._reading = not self._reading, ""
        if stopped:
            self.show_message("Stopped: nothing read.")
        else:
            self.show_message("")
            self.app.push_screen(faults_page(error.faults, clean(f"{path.name} cannot be read", 200)))

    def _finished(self, work: ListSession, faults: tuple[Fault, ...], papers: list[str]) -> None:
        stopped, self._reading = not self._reading, ""
        self.show_message("Stopped: nothing read." if stopped else "")
        if not stopped:
            self._show(work, faults, papers)

    def _show(self, work: ListSession, faults: tuple[Fault, ...], papers: list[str]) -> None:
        from bench.tui.screens.parts_list import ListScreen

        self.app.push_screen(ListScreen(work, faults, papers))
