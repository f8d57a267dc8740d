"""The shelf: builds under way and kits to start."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator, Sequence
from pathlib import Path
from time import monotonic

from textual.app import SuspendNotSupported

from bench.batch.gather import Shelved
from bench.batch.shelf import KitAtHand, at_hand, easiest_first, kit_paths
from bench.batch.shelf import only_named as kit_named
from bench.batch.shelf_at_work import ShelfAtWork, Thing, in_batch
from bench.batch.store import Batch
from bench.errors import SoldersideError
from bench.files import home_path
from bench.log.unit_names import next_number, plain_name
from bench.papers.list_files import complete_path
from bench.session.build_archive import ENDING, import_build
from bench.session.folders import build_folders, slug, touched
from bench.session.kit_names import kit_folders, name_of
from bench.session.summaries import Summary, summary_of
from bench.session.summaries import only_named as build_named
from bench.settings import cache_folder, editor, kits_folder
from bench.tui.screens.ask import Ask
from bench.tui.screens.lists import SearchedScreen, Spans
from bench.tui.screens.pages import faults_page
from bench.tui.widgets.work import Foot
from bench.ui.forms import Question, trouble
from bench.ui.shelf_card import (
    about_build,
    about_kit,
    arranged,
    group_head,
    group_of,
    thing_line,
    title_width,
    unit_question,
    words_of,
)
from bench.ui.text import clean

BARS_FROM = 80
"""Columns from which the record has bars and columns."""
OF_A_KIT = ("edit",)
OF_A_BUILD = ("again", "write", "rename", "put_away", "delete", "export", "page")
"""Commands for lines of one sort only."""
AT_ONCE = 30
"""So many builds and kits are read before the shelf is shown; with more it shows their names, then fills."""
SLICE_SECONDS = 0.012
"""Reading goes on for so long before keys are looked at again."""
SHOWN_EVERY = 0.3
"""Seconds between two pictures of a shelf that fills."""


class ShelfScreen(SearchedScreen):
    """Builds under way, kits ready to build, builds that are done, those put away."""

    place = "shelf"
    unchanged = "nothing written"
    detailed = True

    def __init__(self, at: str = "") -> None:
        """`at`: the folder name of the build that the cursor is on at first."""
        super().__init__()
        self._at = at
        self._builds: dict[str, Summary] = {}
        self._kits: dict[str, KitAtHand] = {}
        self._to_read: Iterator[None] = iter(())
        self._said = ""
        self._work = ShelfAtWork(Path())
        self._batch = Shelved(Path(), Batch(), {})

    def on_mount(self) -> None:
        """Fill the shelf."""
        self._work = ShelfAtWork(self.bench_app.data)
        self.fill()

    def on_screen_resume(self) -> None:
        """Fill it anew when the builder comes back to it."""
        if self._work.things:
            self.fill()

    def fill(self, word: str = "") -> None:
        """Read what there is; the cursor stays on its build or kit."""
        app = self.bench_app
        try:
            folders = sorted(build_folders(app.data), key=touched, reverse=True)
        except SoldersideError as error:
            folders, word = [], trouble(error)
        paths = kit_paths(kit_folders(app.data))
        before = {**self._builds}
        self._builds = {each.name: before.get(each.name) or build_named(each) for each in folders}
        known = {**self._kits}
        self._kits = {str(each): known.get(str(each)) or kit_named(each) for each in paths}
        self._batch = Shelved.of(app.data)
        self._said = word
        self._to_read = self._reading(folders, paths)
        if len(folders) + len(paths) <= AT_ONCE:
            for _ in self._to_read:
                pass
            self._in_order()
        else:
            self.set_timer(0.01, self._read_some)
        self.show_found()

    def _reading(self, folders: Sequence[Path], paths: Sequence[Path]) -> Iterator[None]:
        """Read one build or kit after the other, those that can be seen first."""
        app = self.bench_app
        for folder in folders:
            self._builds[folder.name] = summary_of(app.data, folder, app.settings)
            yield
        cache = cache_folder(app.data)
        for path in paths:
            self._kits[str(path)] = at_hand(path, cache)
            yield

    def _read_some(self) -> None:
        """Read for a moment, and go on after the keys that came meanwhile."""
        reading, until = self._to_read, monotonic() + SLICE_SECONDS
        for _ in reading:
            if monotonic() > until:
                if monotonic() > self._shown_at + SHOWN_EVERY:
                    self.show_found()
                self.set_timer(0.001, self._read_some)
                return
        self._in_order()
        self.show_found()

    _shown_at = 0.0

    def _in_order(self) -> None:
        builds = sorted(self._builds.values(), key=lambda each: each.last, reverse=True)
        self._builds = {each.name: each for each in builds}
        kits = easiest_first(list(self._kits.values()), kit_folders(self.bench_app.data))
        self._kits = {each.path: each for each in kits}

    def on_resize(self) -> None:
        """Lines for the new width."""
        if self._work.things:
            self.show_found()

    def show_found(self) -> None:
        """The builds and kits that hold what is sought, in groups; the cursor stays on its own."""
        self._shown_at = monotonic()
        here = _name(self._work.things[self.pane.chosen]) if self._work.things else self._at
        every = arranged([*self._builds.values(), *self._kits.values()])
        self._work.things = things = [thing for thing in every if self.holds(words_of(thing))]
        width = self.app.size.width - 2
        wide = title_width(things, width)
        heads, group = {}, ""
        for number, thing in enumerate(things):
            if group_of(thing) != group:
                group = group_of(thing)
                heads[number] = group_head(group, wide, width + 2)
        lines = [thing_line(thing, wide, width, self._mark(thing)) for thing in things]
        at = next((at for at, thing in enumerate(things) if _name(thing) == here), 0)
        self.pane.show(lines, at, heads)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))
        word = self._said or self.found_word(len(things), len(every))
        self.show_message(word, standing=not self._said)
        self._said = ""

    def _mark(self, thing: Thing) -> str:
        return self._batch.mark(*in_batch(thing))

    def standing_word(self) -> str:
        """What the place is, or how to begin."""
        keys = self.bench_app.keymap
        if self._batch.words:
            return self._batch.words
        if self._builds:
            return f"Builds and kits, the easiest kit first. {keys.key_of('seek')} finds one by typing."
        begin, read, write = (keys.key_of(name) for name in ("open", "from_list", "new_kit"))
        return f"{begin} starts the kit on this line, {read} reads a parts list, {write} makes a blank kit."

    def about_line(self, line: int) -> Spans:
        """All about a build or a kit."""
        if line >= len(self._work.things):
            return [("No builds or kits yet. Read a maker's parts list, or make a kit by hand.", "plain")]
        thing = self._work.things[line]
        if isinstance(thing, Summary):
            return about_build(thing)
        return about_kit(thing, name_of(self.bench_app.data, thing.path))

    def show_about(self) -> None:
        """All about the chosen line, and the keys that do something there."""
        super().show_about()
        things = self._work.things
        idle = OF_A_KIT if things and isinstance(things[self.pane.chosen], Summary) else OF_A_BUILD
        if not self._work.can_undo:
            idle = (*idle, "undo")
        self.query_one(Foot).show(self.bench_app.keymap.foot("shelf", idle))

    def _thing(self) -> Thing:
        return self._work.thing(self.pane.chosen)

    def _target(self) -> str:
        return self._work.target(self.pane.chosen)

    def do_back(self) -> None:
        """All lines again; else nowhere: all ways begin at the shelf."""
        if self.sought:
            super().do_back()

    def do_open(self) -> None:
        """Open the build or kit on this line."""
        self._open(again=False)

    def do_record(self) -> None:
        """The builder's own record."""
        from bench.estimate.history import know
        from bench.estimate.stats_text import record_lines
        from bench.tui.screens.pages import Page

        wide = self.app.size.width >= BARS_FROM
        record = know(self.bench_app.data, self.bench_app.settings).record
        lines = record_lines(record, name_width=32 if wide else 0, bar_width=16 if wide else 0)
        self.app.push_screen(Page([(clean(text, 400), look) for text, look in lines]))

    def do_again(self) -> None:
        """Another unit of the kit on this line; it is asked what this one is called."""
        thing = self._thing()
        title = thing.kit if isinstance(thing, Summary) else thing.title
        units = [each for each in self._builds.values() if each.kit == title]
        if isinstance(thing, Summary):
            kits = (each for each in self._kits.values() if each.title == title and not each.faults)
            thing = next(kits, thing)
        if isinstance(thing, Summary) or not units:
            self._open(again=True)
            return
        path = thing.path
        ask = _ask_unit("Another unit", next_number(plain_name(each.unit) for each in units), path)
        self.push_ask(ask, lambda answers: self.bench_app.to_bench(path, again=True, unit=answers[0]))

    def do_rename(self) -> None:
        """Another name for the build on this line."""
        build = self._work.build(self.pane.chosen, "a kit's name is in its file")

        def named(answers: tuple[str, ...]) -> None:
            app = self.bench_app
            self.call_after_refresh(self.fill, clean(self._work.rename(build, answers[0], app.clock), 200))

        self.push_ask(_ask_unit("Rename", plain_name(build.unit), build.folder), named)

    def do_put_away(self) -> None:
        """Archive the build on this line, or bring it back."""
        self._did(self._work.put_away(self.pane.chosen))

    def do_delete(self) -> None:
        """Delete the build on this line; it is kept until it is undone or its folder is emptied."""
        self._did(self._work.delete(self.pane.chosen))

    def _did(self, said: str) -> None:
        """Say what was done here, and how it is undone."""
        self.fill(clean(f"{said} {self.bench_app.keymap.key_of('undo')} undoes it.", 400))

    def do_undo(self) -> None:
        """Undo the last thing done here."""
        self.fill(clean(self._work.undo(), 300))

    def do_export(self) -> None:
        """Write the build on this line into one file, to carry to another computer."""
        path = self._work.export(self.pane.chosen, self.bench_app.settings)
        self.show_message(f"Written: {path}. On the other computer: solderside import, or i on its shelf.")

    def do_import(self) -> None:
        """Unpack a build that was exported on another computer."""
        question = Question(ask="which file?", hint=f"It ends in {ENDING}.", complete=complete_path)

        def typed(answers: tuple[str, ...]) -> None:
            app = self.bench_app
            carried = import_build(app.data, home_path(answers[0].strip()), app.settings)
            words = [f"{carried.folder.name} is on the shelf.", *(f"{each}." for each in carried.settings)]
            self.call_after_refresh(self._show_arrived, carried.folder.name, clean(" ".join(words), 600))

        self.push_ask(Ask("Import", [question], about="import"), typed)

    def _show_arrived(self, name: str, word: str) -> None:
        self.fill(word)
        self._point_at(name)

    def do_edit(self) -> None:
        """Open the kit file on this line in $VISUAL or $EDITOR, then read it again."""
        thing = self._thing()
        if isinstance(thing, Summary):
            raise SoldersideError("this line is a build, not a kit", "", "choose a kit")
        command = editor(os.environ)
        try:
            with self.app.suspend():
                done = subprocess.run([*command, thing.path], check=False).returncode
        except (OSError, SuspendNotSupported) as error:
            raise SoldersideError(f"{command[0]} cannot be started here", thing.path, "") from error
        word = f"{thing.path} was read again." if done == 0 else f"{command[0]} ended with code {done}."
        self.fill(clean(word, 400))

    def do_page(self) -> None:
        """Open the article of the build on this line in the browser."""
        import webbrowser

        from bench.writeup.publish import article_in

        page = article_in(Path(self._work.build(self.pane.chosen).folder), "html")
        if not page.is_file():
            key = self.bench_app.keymap.key_of("write")
            raise SoldersideError("its article is not written yet", "", f"{key} previews and writes it")
        if not webbrowser.open(page.absolute().as_uri()):
            raise SoldersideError("no browser could be started", str(page), "open it by hand")
        self.show_message(f"In the browser: {page}")

    def do_copy_path(self) -> None:
        """Copy the path of the kit file or the build's folder to the clipboard of the terminal."""
        self.app.copy_to_clipboard(self._target())
        self.show_message(f"Copied, where the terminal allows it: {self._target()}")

    def do_in_or_out(self) -> None:
        """Put the line into the batch or take it out."""
        self._work.toggle(self.pane.chosen)
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
        """The article of the build on this line."""
        from bench.session.folders import read_back
        from bench.tui.screens.article import ArticleScreen

        target, app = Path(self._target()), self.bench_app
        if not target.is_dir():
            hint = f"choose a build, or start one with {app.keymap.key_of('open')}"
            raise SoldersideError("this line is a kit, not a build", "", hint)
        _, _, build = read_back(app.data, target, app.settings)
        self.app.push_screen(ArticleScreen(build))

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
            path = self._work.new_kit(name, typed)
            named.forget()
            self.call_after_refresh(self._show_written, path)  # after the shelf has said what it says of itself

        self.push_ask(named, ask_where)

    def _show_written(self, path: Path) -> None:
        key = self.bench_app.keymap.key_of("open")
        self.fill(f"Written: {path}. Fill it in with an editor, then press {key} to start it here.")
        self._point_at(str(path))

    def _point_at(self, name: str) -> None:
        """Put the cursor on a build or kit, by the name of its folder or the path of its file."""
        at = next((at for at, thing in enumerate(self._work.things) if _name(thing) == name), None)
        if at is not None:
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


def _name(thing: Summary | KitAtHand) -> str:
    """What a line of the shelf is known by."""
    return thing.name if isinstance(thing, Summary) else thing.path
