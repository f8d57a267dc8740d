"""What is done to the builds and kits on the shelf, the same on the screen and in plain lines; with undo."""

from __future__ import annotations

from pathlib import Path

from bench.batch.gather import Shelved
from bench.batch.shelf import KitAtHand
from bench.errors import SoldersideError
from bench.files import home_path, real_path
from bench.log.clock import Clock
from bench.log.unit_names import unit_words
from bench.session.build_archive import export_build, export_name
from bench.session.folders import build_folders
from bench.session.put_away import Tidied, tidy_away, tidy_out
from bench.session.summaries import Summary
from bench.session.which_build import rename_unit
from bench.settings import Settings, exports_folder, kits_folder

Thing = Summary | KitAtHand


class ShelfAtWork:
    """The shelf of a data folder: what is on a line, and what is done with it.

    What tells of a change returns it in words. Raises SoldersideError where a line is none for it.
    """

    def __init__(self, data: Path) -> None:
        self._data = data
        self._done: list[Tidied] = []
        self.things: list[Thing] = []
        """The lines, as they are shown."""

    def thing(self, at: int) -> Thing:
        """The build or kit on a line."""
        if not self.things:
            raise SoldersideError("there is nothing here yet", "", "read a parts list, or make a kit by hand")
        return self.things[at]

    def build(self, at: int, hint: str = "choose a build") -> Summary:
        """The build on a line."""
        thing = self.thing(at)
        if not isinstance(thing, Summary):
            raise SoldersideError("this line is a kit, not a build", "", hint)
        return thing

    def target(self, at: int) -> str:
        """The folder of a build, the file of a kit."""
        thing = self.thing(at)
        return thing.folder if isinstance(thing, Summary) else thing.path

    def put_away(self, at: int) -> str:
        """Archive a build, or bring it back."""
        build = self.build(at)
        return self._did(tidy_away(Path(build.folder), build.title))

    def delete(self, at: int) -> str:
        """Delete a build; it is kept until it is undone or its folder is emptied."""
        build = self.build(at)
        return self._did(tidy_out(self._data, Path(build.folder), build.title))

    def _did(self, done: Tidied) -> str:
        self._done.append(done)
        return done.said

    @property
    def can_undo(self) -> bool:
        """Whether something was put away or deleted here."""
        return bool(self._done)

    def undo(self) -> str:
        """Undo the last of these."""
        if not self._done:
            raise SoldersideError("there is nothing to undo here", "", "a step is undone at the bench")
        done = self._done.pop()
        done.undo()
        return done.undone

    def rename(self, build: Summary, name: str, clock: Clock) -> str:
        """Give a build another name."""
        _, now = rename_unit(Path(build.folder), build_folders(self._data), name, clock)
        return f"{build.name} is {unit_words(now)} now."

    def export(self, at: int, settings: Settings) -> Path:
        """Write a build into one file, to carry to another computer."""
        folder = Path(self.build(at).folder)
        return export_build(folder, exports_folder(self._data) / export_name(folder.name), settings)

    def toggle(self, at: int) -> None:
        """Put a build or kit into the batch, or take it out."""
        Shelved.of(self._data).toggle(*in_batch(self.thing(at)))

    def new_kit(self, name: str, typed: str) -> Path:
        """Write a kit file to fill in by hand, at the path that was typed; it ends in .yaml."""
        from bench.kit.write import write_skeleton

        path = home_path(typed.strip())
        path = path if path.suffix.lower() == ".yaml" else path.with_name(f"{path.name}.yaml")
        write_skeleton(path, name, own_folder=kits_folder(self._data))
        return path


def in_batch(thing: Thing) -> tuple[str, str]:
    """How the batch names a build or kit, and the title of a build's kit."""
    if isinstance(thing, Summary):
        return thing.name, thing.kit
    return str(real_path(Path(thing.path))), ""
