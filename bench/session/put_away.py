"""Builds put out of the way: archived where they are, or deleted into a folder from which they come back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import NamedTuple

from bench.errors import SoldersideError
from bench.files import make_folder, sync_folder
from bench.log.file import LOG_NAME, LogFile
from bench.settings import builds_folder

MARK = "put-away"
"""An empty file in a build's folder that keeps it out of the way on the shelf."""
DELETED = "deleted"
"""The folder beside that of the builds into which deleted ones are moved."""


class Tidied(NamedTuple):
    """What was done to a build on the shelf, and how it is undone."""

    said: str
    undone: str
    """What to say once it is undone."""
    undo: Callable[[], object]


def is_put_away(folder: Path) -> bool:
    """Whether a build is archived."""
    try:
        return (folder / MARK).is_file()
    except OSError:
        return False


def put_away(folder: Path, *, away: bool = True) -> None:
    """Archive a build, or bring it back onto the shelf; raises SoldersideError."""
    try:
        if away:
            (folder / MARK).touch()
        else:
            (folder / MARK).unlink(missing_ok=True)
    except OSError as error:
        raise _cannot(folder, error) from error


def tidy_away(folder: Path, title: str) -> Tidied:
    """Archive a build, or bring one back that is archived."""
    away = not is_put_away(folder)
    put_away(folder, away=away)
    word = "is put away" if away else "is back on the shelf"
    return Tidied(f"{title} {word}.", f"{title}: as before.", partial(put_away, folder, away=not away))


def tidy_out(data: Path, folder: Path, title: str) -> Tidied:
    """Delete a build, so that it can be restored."""
    kept = delete(data, folder)
    said = f"{title} is deleted; it is kept in {kept}."
    return Tidied(said, f"{title} is back.", partial(restore, data, kept.name))


def deleted_folder(data: Path) -> Path:
    """Where deleted builds are kept."""
    return data / DELETED


def deleted_builds(data: Path) -> list[Path]:
    """The folders of deleted builds that can be restored."""
    try:
        return sorted(each for each in deleted_folder(data).iterdir() if (each / LOG_NAME).is_file())
    except OSError:
        return []


def delete(data: Path, folder: Path) -> Path:
    """Move a build out of the builds, pictures and all; returns where it is kept.

    Raises SoldersideError when it is open in another window or cannot be moved.
    """
    with LogFile(folder) as log:
        if log.read_only:
            raise SoldersideError(f"{folder.name} cannot be deleted: {log.why_read_only}", "", "close it first")
    return _move(folder, deleted_folder(data))


def restore(data: Path, name: str) -> Path:
    """Move a deleted build back; returns its folder. Raises SoldersideError when there is none of this name."""
    found = {each.name: each for each in deleted_builds(data)}
    if name not in found:
        names = ", ".join(found) or "none"
        raise SoldersideError(f"there is no deleted build {name!r}", "", f"deleted builds: {names}")
    return _move(found[name], builds_folder(data))


def _move(folder: Path, to: Path) -> Path:
    target, number = to / folder.name, 1
    try:
        make_folder(to)
        while target.exists():
            number += 1
            target = to / f"{folder.name}-{number}"
        folder.rename(target)
        sync_folder(to)
    except OSError as error:
        raise _cannot(folder, error) from error
    return target


def _cannot(folder: Path, error: OSError) -> SoldersideError:
    return SoldersideError(
        f"the build cannot be moved ({error.strerror})", str(folder), "mend its permissions, then try again"
    )
