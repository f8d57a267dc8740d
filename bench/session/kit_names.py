"""Kit files by name: `first-evening-metronome` is enough, wherever the file is stored."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from bench.errors import SoldersideError
from bench.files import home_path
from bench.parts.english import near
from bench.settings import kits_folder, shipped_kits_folder

ENDINGS = (".yaml", ".yml")
_MOST_NAMES = 20


def kit_folders(data: Path) -> tuple[Path, ...]:
    """Where kit files are looked for: the builder's own, those here or in ./kits, then those that ship."""
    return (kits_folder(data), Path(), Path("kits"), shipped_kits_folder())


def kit_names(data: Path) -> dict[str, Path]:
    """The files of all kits that can be named without a path, by name; where two share one, the builder's own.

    Files in the current folder are named with their ending, so they are not among these.
    """
    found: dict[str, Path] = {}
    for folder in kit_folders(data):
        for path in _yaml_in(folder) if folder != Path() else ():
            found.setdefault(path.stem, path)
    return found


def name_of(data: Path, path: str) -> str:
    """What to call the kit file at a path on the command line: its name where that finds it, else the path."""
    stem = Path(path).stem
    return stem if kit_names(data).get(stem) == Path(path) else path


def _yaml_in(folder: Path) -> list[Path]:
    try:
        return sorted(path for path in folder.iterdir() if path.suffix in ENDINGS)
    except OSError:  # not there, or not to be looked into
        return []


def find_kit(data: Path, named: str, builds: Iterable[str] | None = None) -> Path:
    """The kit file of this name or at this path; a path wins where it has a folder or an ending in it.

    With `builds`, names of builds would have done as well. Raises SoldersideError, with the names that come
    near, when there is no such kit.
    """
    path = home_path(named)
    is_file_name = path.name != named or path.suffix.lower() in ENDINGS
    if named and is_file_name and _there(path):
        return path
    known = kit_names(data)
    name = "-".join(named.removesuffix(".yaml").casefold().split())
    if name in known:
        return known[name]
    if named and _there(path):
        return path
    names = ", ".join(sorted(known)[:_MOST_NAMES])
    hint = near(path.stem, [*known, *(builds or ())]) or f"known by name: {names}; or give the path of a file"
    if is_file_name:
        raise SoldersideError("there is no such file", named, hint)
    what = f"there is no kit {named!r}" if builds is None else f"there is neither a build nor a kit {named!r}"
    raise SoldersideError(what, "", hint)


def _there(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):  # a name too long, or with a zero byte in it
        return False
