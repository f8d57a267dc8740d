"""Which builds are of a kit, by maker, name and revision; which may be meant all the same; and their units.

Each of several units of one kit gets a number or a name in its log.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from msgspec import Struct

from bench.errors import SoldersideError
from bench.files import home_path, real_path
from bench.kit.kit import Kit
from bench.kit.load import kit_of
from bench.log.clock import Clock
from bench.log.file import LOG_NAME, LogFile, first_event, read_log
from bench.log.unit_names import numbered, same_name, unit_words
from bench.session.event_writer import EventWriter
from bench.session.own_files import InUse, copy_path, in_use, sound_copy
from bench.session.typed_text import unit_name

THIS, REVISION, MAKER, FILE = "this", "revision", "maker", "file"


class Related(Struct, frozen=True, kw_only=True):
    """A build that a kit may belong to."""

    folder: Path
    how: str
    """`this`: of this kit. `revision`: of another revision. `maker`: the same, of no maker or now of one.
    `file`: of the same file, which had another name or maker then."""
    title: str
    """Title of the kit it was begun with or goes by."""
    maker: str
    revision: str
    unit: str = ""
    """Which unit of the kit it is; empty while it has no name."""

    @property
    def same(self) -> bool:
        """Whether it is of this kit beyond doubt."""
        return self.how == THIS


class WhichBuild(SoldersideError):
    """Only the builder can say whether a kit file goes with a build or begins a new one."""

    def __init__(self, kit: Kit, build: Related) -> None:
        self.build = build
        super().__init__(
            question(kit, build), kit.file, "solderside build --go-on goes on with it, --again starts anew"
        )


def question(kit: Kit, build: Related) -> str:
    """What is asked, in a sentence.

    >>> print(question(Kit(name="Moth filter", revision="B", boards=()), Related(
    ...     folder=Path("moth"), how="revision", title="Moth filter rev. A", maker="", revision="A")))
    this is revision B of the kit of the build moth, which is revision A: go on with that build, or start anew?
    """
    end = "go on with that build, or start anew?"
    name = build.folder.name
    if build.how == REVISION:
        now = f"revision {kit.revision}" if kit.revision else "an edition without a revision"
        then = f"is revision {build.revision}" if build.revision else "states none"
        return f"this is {now} of the kit of the build {name}, which {then}: {end}"
    if build.how == MAKER:
        return (
            f"this kit is of {kit.maker or 'no maker'}, and that of the build {name} of "
            f"{build.maker or 'no maker'}: {end}"
        )
    by = f" of {build.maker}" if build.maker else ""
    return f"this file was the kit of the build {name}, {build.title}{by}, and is {kit.title} now: {end}"


def related(folders: list[Path], kit: Kit, path: Path) -> list[Related]:
    """The builds in `folders` that a kit read from `path` may belong to: those of this very kit first."""
    found = [each for folder in folders if (each := _related(folder, kit, path)) is not None]
    order = (THIS, REVISION, FILE, MAKER)
    return sorted(found, key=lambda each: order.index(each.how))


def _related(folder: Path, kit: Kit, path: Path) -> Related | None:
    begun = first_event(folder)
    near = begun is None or kit.name in (begun.name, begun.kit) or begun.kit.startswith(kit.name)
    if not near and not _same_file(begun.kit_file if begun else "", path):
        return None
    try:
        used = in_use(read_log(folder / LOG_NAME)[0].events)
    except (OSError, SoldersideError):
        used = InUse()
    maker, name, revision = _identity(folder, used)
    how = _how(kit, path, used, (maker, name, revision))
    if not how:
        return None
    title = used.title or folder.name
    return Related(folder=folder, how=how, title=title, maker=maker, revision=revision, unit=used.unit)


def _how(kit: Kit, path: Path, used: InUse, then: tuple[str, str, str]) -> str:
    maker, name, revision = map(_plain, then)
    if kit.digest in used.kit_digests:
        return THIS
    one_file = _same_file(used.kit_file, path)
    if not name:  # an old log without a copy that could tell more than its title
        return THIS if used.title == kit.title else FILE if one_file else ""
    if (maker, name) == (_plain(kit.maker), _plain(kit.name)):
        return THIS if revision == _plain(kit.revision) else REVISION
    if name == _plain(kit.name) and revision == _plain(kit.revision) and not (maker and kit.maker.strip()):
        return MAKER
    return FILE if one_file else ""


def _identity(folder: Path, used: InUse) -> tuple[str, str, str]:
    """Maker, name and revision of a build's kit; from its copy where the log is older than these."""
    if used.name:
        return used.maker, used.name, used.revision
    data = sound_copy(folder, "kit", used.kit_digest)
    if data is None:
        return "", "", ""
    try:
        kit = kit_of(data, copy_path(folder, "kit", used.kit_digest), None, lenient=True)
    except SoldersideError:
        return "", "", ""
    return kit.maker, kit.name, kit.revision


def _same_file(named: str, path: Path) -> bool:
    try:
        return bool(named) and real_path(home_path(named)) == real_path(home_path(path))
    except (OSError, RuntimeError):
        return False


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()


def number_units(units: Sequence[Related], clock: Clock) -> None:
    """Give each unit that has no name its number, in the order in which they were begun.

    One that is open in another window, or cannot be written, stays without.
    """
    listed = sorted(units, key=lambda each: begun.at if (begun := first_event(each.folder)) else "")
    for each, name in zip(listed, numbered(each.unit for each in listed), strict=True):
        if each.unit:
            continue
        with contextlib.suppress(SoldersideError, OSError), LogFile(each.folder) as log:
            before = log.path.stat()
            EventWriter(log, clock).name_unit(name)
            os.utime(log.path, ns=(before.st_atime_ns, before.st_mtime_ns))  # nobody worked on it


def rename_unit(folder: Path, others: Iterable[Path], name: str, clock: Clock) -> tuple[str, str]:
    """Call a build by another name among the units of its kit; returns the name before and the one now.

    `others` are the folders of all builds.

    Raises SoldersideError when another unit of the kit has that name, or the build cannot be written.
    """
    name = unit_name(name)
    with LogFile(folder) as log:
        used = in_use(log.events)
        for other in others:
            if other.name == folder.name or (begun := first_event(other)) is None or begun.kit != used.title:
                continue
            if same_name(in_use(read_log(other / LOG_NAME)[0].events).unit, name):
                raise SoldersideError(f"{other.name} is {unit_words(name)} already", "", "choose another name")
        EventWriter(log, clock).name_unit(name)
    return used.unit, name
