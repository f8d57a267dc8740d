"""The shelf: builds under way and kits to start."""

from __future__ import annotations

from pathlib import Path
from typing import TypeGuard

from bench.batch.gather import Shelved
from bench.batch.shelf import KitAtHand, kits_at_hand
from bench.batch.store import Batch
from bench.errors import SoldersideError
from bench.files import home_path, real_path
from bench.log.units import next_number, plain_name, unit_words
from bench.papers.list_files import complete_path
from bench.session.folders import Summary, build_folders, slug, summaries
from bench.session.kit_names import kit_folders
from bench.session.units import rename_unit
from bench.settings import cache_folder, kits_folder
from bench.tui.screens.ask import Ask
from bench.tui.screens.lists import ListingScreen, Spans
from bench.tui.screens.pages import faults_page
from bench.ui.forms import Question, trouble
from bench.ui.shelf_card import about_build, about_kit, build_line, kit_line, unit_question
from bench.ui.text import clean

WIDEST_TITLE = 34
"""Cells of the longest title that the columns beside it make room for."""


class ShelfScreen(ListingScreen):
    """Builds first, then kits."""

    place = "shelf"
    unchanged = "nothing written"
    detailed = True

    def __init__(self) -> None:
        super().__init__()
        self._things: list[Summary | KitAtHand] = []
        self._batch = Shelved(Path(), Batch(), {})

    def on_mount(self) -> None:
        """Fill the shelf."""
        self.fill()

    def on_screen_resume(self) -> None:
        """Fill it anew when the builder comes back to it."""
        if self._things:
            self.fill()

    def fill(self, word: str = "") -> None:
        """Read what there is; the cursor stays on its build or kit."""
        app = self.bench_app
        here = _name(self._things[self.pane.chosen]) if self._things else ""
        try:
            builds = summaries(app.data, app.settings)
        except SoldersideError as error:
            builds, word = [], trouble(error)
        kits = kits_at_hand(kit_folders(app.data), cache_folder(app.data))
        self._things = [*builds, *kits]
        self._batch = Shelved.of(app.data)
        at = next((at for at, thing in enumerate(self._things) if _name(thing) == here), None)
        if at is not None:
            self.pane.chosen = at
        self._show()
        self.show_message(word or self._batch.words or self._standing(bool(builds)), standing=not word)

    def on_resize(self) -> None:
        """Lines for the new width."""
        if self._things:
            self._show()

    def _show(self) -> None:
        batch, width = self._batch, self.app.size.width - 2
        titles = [each.title for each in self._things]
        wide = min(WIDEST_TITLE, max(map(len, titles), default=0))
        lines = []
        for thing in self._things:
            if isinstance(thing, Summary):
                mark = batch.mark(thing.name, thing.kit)
                lines.append((build_line(thing, wide, mark), "plain"))
            else:
                mark = batch.mark(str(real_path(Path(thing.path))))
                lines.append((kit_line(thing, wide, width, mark), "caution" if thing.faults else "refs"))
        self.pane.show(lines)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def _standing(self, builds: bool) -> str:
        keys = self.bench_app.keymap
        if builds:
            return "Builds in progress, then kits. Easiest first."
        begin, read, write = (keys.key_of(name) for name in ("open", "from_list", "new_kit"))
        return f"{begin} starts the kit on this line, {read} reads a parts list, {write} makes a blank kit."

    def about_line(self, line: int) -> Spans:
        """All about a build or a kit."""
        if line >= len(self._things):
            return [("No builds or kits yet. Read a maker's parts list, or make a kit by hand.", "plain")]
        thing = self._things[line]
        return about_build(thing) if isinstance(thing, Summary) else about_kit(thing)

    def _thing(self) -> Summary | KitAtHand:
        if not self._things:
            raise SoldersideError("there is nothing here yet", "", "read a parts list, or make a kit by hand")
        return self._things[self.pane.chosen]

    def _target(self) -> str:
        thing = self._thing()
        return thing.folder if isinstance(thing, Summary) else thing.path

    def do_back(self) -> None:
        """Nowhere: all ways begin at the shelf."""

    def do_open(self) -> None:
        """Open the build or kit on this line."""
        self._open(again=False)

    def do_record(self) -> None:
        """The builder's own record."""
        from bench.estimate.history import know
        from bench.estimate.stats_text import record_lines
        from bench.tui.screens.pages import Page

        lines = record_lines(know(self.bench_app.data, self.bench_app.settings).record)
        self.app.push_screen(Page([(clean(text, 400), look) for text, look in lines]))

    def do_again(self) -> None:
        """Another unit of the kit on this line; it is asked what this one is called."""
        thing = self._thing()
        title = thing.kit if isinstance(thing, Summary) else thing.title
        units = [each for each in self._things if isinstance(each, Summary) and each.kit == title]
        if isinstance(thing, Summary):
            thing = next((each for each in self._things if _is_kit_called(each, title)), thing)
        if isinstance(thing, Summary) or not units:
            self._open(again=True)
            return
        path = thing.path
        ask = _ask_unit("Another unit", next_number(plain_name(each.unit) for each in units), path)
        self.push_ask(ask, lambda answers: self.bench_app.to_bench(path, again=True, unit=answers[0]))

    def do_rename(self) -> None:
        """Another name for the build on this line."""
        thing = self._thing()
        if not isinstance(thing, Summary):
            raise SoldersideError("this line is a kit, not a build", "", "a kit's name is in its file")

        def named(answers: tuple[str, ...]) -> None:
            app = self.bench_app
            _, now = rename_unit(Path(thing.folder), build_folders(app.data), answers[0], app.clock)
            self.call_after_refresh(self.fill, clean(f"{thing.name} is {unit_words(now)} now.", 200))

        self.push_ask(_ask_unit("Rename", plain_name(thing.unit), thing.folder), named)

    def do_in_or_out(self) -> None:
        """Put the line into the batch or take it out."""
        target = Path(self._target())
        thing = self._things[self.pane.chosen]
        name, title = (target.name, thing.kit) if isinstance(thing, Summary) else (str(real_path(target)), "")
        Shelved.of(self.bench_app.data).toggle(name, title)
        self.fill()

    def do_batch(self) -> None:
        """Show the batch."""
        from bench.tui.screens.batch import BatchScreen

        self.app.push_screen(BatchScreen())

    def do_sheet(self) -> None:
        """Write a page for the printer about the build or kit on this line."""
        target = self._target()
        self._choose_sheet(lambda what: self.bench_app.write_sheet(target, what))

    def do_from_list(self) -> None:
        """A maker's parts list becomes a new kit."""
        from bench.tui.screens.list_files import ListFilesScreen

        self.app.push_screen(ListFilesScreen())

    def do_write(self) -> None:
        """The retrospective of the build on this line."""
        from bench.session.folders import read_back
        from bench.tui.screens.retro import RetroScreen

        target, app = Path(self._target()), self.bench_app
        if not target.is_dir():
            hint = f"choose a build, or start one with {app.keymap.key_of('open')}"
            raise SoldersideError("this line is a kit, not a build", "", hint)
        _, _, build = read_back(app.data, target, app.settings)
        self.app.push_screen(RetroScreen(build))

    def do_new_kit(self) -> None:
        """A kit file to fill in by hand, where the builder says."""
        folder = kits_folder(self.bench_app.data)

        named = Ask("A kit by hand", [Question(ask="the kit's name?", hint="The name shown on the shelf.")])

        def ask_where(name: tuple[str, ...]) -> None:
            given = str(folder / f"{slug(name[0])}.yaml")
            hint = "A path that ends in .yaml."
            place = Question(ask="where to?", hint=hint, given=given, complete=complete_path)
            named.keep(name)  # until the file is there
            self.push_ask(Ask("Kit file", [place]), lambda typed: write(name[0], typed[0]))

        def write(name: str, typed: str) -> None:
            path = self._write_kit(name, typed)
            named.forget()
            self.call_after_refresh(self._show_written, path)  # after the shelf has said what it says of itself

        self.push_ask(named, ask_where)

    def _write_kit(self, name: str, typed: str) -> Path:
        from bench.kit.skeleton import write_skeleton

        path = home_path(typed.strip())
        path = path if path.suffix.lower() == ".yaml" else path.with_name(f"{path.name}.yaml")
        write_skeleton(path, name, own_folder=kits_folder(self.bench_app.data))
        return path

    def _show_written(self, path: Path) -> None:
        key = self.bench_app.keymap.key_of("open")
        self.fill(f"Written: {path}. Fill it in with an editor, then press {key} to start it here.")
        paths = [thing.path if isinstance(thing, KitAtHand) else "" for thing in self._things]
        at = paths.index(str(path)) if str(path) in paths else self.pane.chosen
        self.call_after_refresh(lambda: self.pane.choose(at))

    def _open(self, *, again: bool) -> None:
        target = self._target()
        try:
            self.bench_app.to_bench(target, again=again)
        except SoldersideError as error:
            about = clean(f"{Path(target).name} cannot be opened", 200)
            self.app.push_screen(faults_page(error.faults, about))


def _ask_unit(title: str, given: str, about: str) -> Ask:
    return Ask(title, [unit_question(given)], about=about)


def _is_kit_called(thing: Summary | KitAtHand, title: str) -> TypeGuard[KitAtHand]:
    return isinstance(thing, KitAtHand) and thing.title == title and not thing.faults


def _name(thing: Summary | KitAtHand) -> str:
    """What a line of the shelf is known by."""
    return thing.name if isinstance(thing, Summary) else thing.path
