"""The shelf: builds under way and kits to start."""

from __future__ import annotations

from pathlib import Path

from bench.build.batch import Shelved
from bench.build.folders import Summary, summaries
from bench.errors import BenchError
from bench.log.clock import spell
from bench.settings import kits_folder, shipped_kits_folder
from bench.tui.screens.lists import ListPlace
from bench.tui.screens.pages import faults_page
from bench.tui.text import clean


class ShelfScreen(ListPlace):
    """Builds first, then kits."""

    place = "shelf"

    def __init__(self) -> None:
        super().__init__()
        self._targets: list[str] = []
        self._titles: list[str] = []

    def on_mount(self) -> None:
        """Fill the shelf."""
        self.fill()

    def on_screen_resume(self) -> None:
        """Fill it anew when the builder comes back to it."""
        if self._targets:
            self.fill()

    def fill(self) -> None:
        """Read what there is."""
        app = self.bench_app
        lines: list[tuple[str, str]] = []
        self._targets = []
        self._titles = []
        batch = Shelved.of(app.data)
        for build in summaries(app.data, app.settings):
            lines.append((batch.mark(build.name, build.kit) + build_line(build), "plain"))
            self._targets.append(build.folder)
            self._titles.append(build.kit)
        builds = len(lines)
        for path in kit_files(app.data):
            mark = batch.mark(str(path.resolve()))
            lines.append((clean(f"{mark}kit    {path.stem.replace('-', ' ')}   ({path})", 400), "refs"))
            self._targets.append(str(path))
        self.pane.show(lines, 0)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))
        if batch.words:
            self.say(batch.words)
        elif builds:
            self.say("Builds under way, then kits that can be started.")
        else:
            key = app.keymap.key_of("from_list")
            self.say(f"No build yet. Choose a kit and press Enter to begin it, or {key}: read a parts list.")

    def _target(self) -> str:
        if not self._targets:
            raise BenchError("there is nothing here yet", "", "start with solderside build and a kit file")
        return self._targets[self.pane.chosen]

    def do_back(self) -> None:
        """Nowhere: all ways begin at the shelf."""

    def do_open(self) -> None:
        """Open the build or kit on this line."""
        self._open(again=False)

    def do_record(self) -> None:
        """The builder's own record."""
        from bench.tui.screens.record import record_page

        self.app.push_screen(record_page(self.bench_app.data, self.bench_app.settings))

    def do_again(self) -> None:
        """Another build of the kit on this line."""
        self._open(again=True)

    def do_in_or_out(self) -> None:
        """Put the line into the batch or take it out."""
        target = Path(self._target())
        chosen = self.pane.chosen
        title = self._titles[chosen] if chosen < len(self._titles) else ""
        Shelved.of(self.bench_app.data).toggle(target.name if title else str(target.resolve()), title)
        self.fill()
        self.pane.choose(chosen)
        self.call_after_refresh(lambda: self.pane.choose(chosen))

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
        from bench.tui.screens.listfiles import ListFilesScreen

        self.app.push_screen(ListFilesScreen())

    def do_write(self) -> None:
        """The retrospective of the build on this line."""
        from bench.build.folders import read_back
        from bench.tui.screens.retro import RetroScreen

        target, app = Path(self._target()), self.bench_app
        if not target.is_dir():
            raise BenchError("this line is a kit, not a build", "", "choose a build, or begin one with Enter")
        _, _, build = read_back(app.data, target, app.settings)
        self.app.push_screen(RetroScreen(build))

    def _open(self, *, again: bool) -> None:
        target = self._target()
        try:
            self.bench_app.to_bench(target, again=again)
        except BenchError as error:
            about = clean(f"{Path(target).name} cannot be opened", 200)
            self.app.push_screen(faults_page(error.faults, about))


def build_line(build: Summary) -> str:
    """One build in one line."""
    share = f"{100 * build.items_done // build.items:>3} %" if build.items else "    "
    state = "built" if build.finished else share
    held = f", {build.held} held back" if build.held else ""
    day = build.last[:10]
    trouble = f"  ! {build.problem}" if build.problem else ""
    spent = f"{spell(build.bench_seconds)} at the bench"
    return clean(f"{state:<6} {build.kit}  ({build.name}){held}, {spent}, {day}{trouble}", 500)


def kit_files(data: Path) -> list[Path]:
    """Kit files at hand: those made from makers' lists, those here or in ./kits, those that ship."""
    found: dict[str, Path] = {}
    for folder in (kits_folder(data), Path(), Path("kits"), shipped_kits_folder()):
        try:
            paths = sorted(folder.glob("*.yaml"))
        except OSError:
            continue
        for path in paths:
            if _is_kit(path):
                found.setdefault(path.name, path)
    return list(found.values())


def _is_kit(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            head = file.read(4000)
    except OSError:
        return False
    return any(line.startswith(b"kit:") for line in head.splitlines())
