"""Whole files on the disk: never half of one, and never in place of one that this program did not write.

What was written is remembered by its digest in a small list beside the log (or in the data folder, for what
belongs to no build). A file whose digest is not there was written or changed by somebody else; it is replaced
only by force, and then a copy of it stays beside the new one.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
from pathlib import Path

from msgspec import Struct

from bench.errors import Refused, SoldersideError
from bench.files import MEGABYTE, make_folder, read_plain_file, real_path, write_whole
from bench.log.file import LOG_NAME

LIST_NAME = "written.json"
"""The list of what was written: path -> SHA-256."""
_MOST_BYTES = 500 * MEGABYTE
"""Of a page, pictures and all."""


class Saved(Struct, frozen=True, kw_only=True):
    """What became of a file."""

    path: Path
    changed: bool
    """False when the file said all of this already and was left alone."""
    kept_as: Path | None = None
    """Where the former file is kept, when `force` replaced one that was not ours or was changed by hand."""
    own_words: tuple[str, ...] = ()
    """Places whose text by the builder was carried over, in the order of the old page."""


def save_whole(path: Path, data: bytes, folder: Path, *, force: bool = False) -> Saved:
    """Write all of `data` to `path`; `folder` keeps the list of what was written.

    Raises Refused, with nothing touched, when a file stands there that this program did not write or that
    was changed since, unless `force` is set; SoldersideError when a file cannot be read or written.
    """
    target, known = target_of(path), _known(folder)
    old = read_plain(target)
    ours = old is None or known.get(_name(target)) == _digest(old)
    why = "" if ours else "there is a file that solderside did not write, or that was changed since"
    saved = put(path, data, why, force=force)
    if not saved.changed:
        return saved
    known[_name(target)] = _digest(data)
    with contextlib.suppress(OSError):  # without the list the next run asks once more
        write_whole(folder / LIST_NAME, json.dumps(known, indent=1, sort_keys=True).encode())
    return saved


def put(path: Path, data: bytes, why: str = "", *, force: bool = False) -> Saved:
    """Write all of `data` to `path`; `why` says what speaks against replacing the file there.

    Raises Refused where something does, unless `force` is set: then that file is kept beside it.
    """
    target = target_of(path)
    if read_plain(target) == data:
        return Saved(path=path, changed=False)
    if why and not force:
        hint = "choose another name, or overwrite it by force: the old file is then kept beside it"
        raise Refused(why, str(path), hint)
    try:
        kept = keep_beside(target) if why else None
        write_whole(target, data)
    except OSError as error:
        raise _cannot_write(path, error) from error
    return Saved(path=path, changed=True, kept_as=kept)


def is_ours(path: Path, folder: Path) -> bool:
    """True when there is no file, or one that stands as this program wrote it; raises SoldersideError."""
    target = target_of(path)
    old = read_plain(target)
    return old is None or _known(folder).get(_name(target)) == _digest(old)


def target_of(path: Path) -> Path:
    """The file itself where a path is a link; raises Refused for one that leads out of a build's folder.

    Somebody else may have made that folder; links that a builder named elsewhere are followed.
    """
    if not path.is_symlink():
        return path
    target = real_path(path)
    home = next((folder for folder in list(path.parents)[:3] if (folder / LOG_NAME).exists()), None)
    if home is not None and not target.is_relative_to(real_path(home)):
        raise Refused("this is a link that leads out of the build's folder", str(path), "remove the link")
    return target


def own_folder(folder: Path, *, follow: bool = False) -> None:
    """Make a folder, for good; with `follow`, one that the builder named, be it a link to one.

    Raises SoldersideError for another one that is a link, or one that cannot be made.
    """
    try:
        if folder.is_symlink() and not follow:
            raise Refused("this is a link, not a folder", str(folder), "remove the link")
        make_folder(folder)
    except OSError as error:
        raise _cannot_write(folder, error) from error


def write_file(path: Path, data: bytes) -> None:
    """Write a file, whatever stands there; raises SoldersideError."""
    try:
        write_whole(path, data)
    except OSError as error:
        raise _cannot_write(path, error) from error


def read_plain(path: Path) -> bytes | None:
    """The bytes of a plain file, None when there is none; raises SoldersideError when it cannot be read."""
    try:
        return read_plain_file(path, _MOST_BYTES, "page")
    except SoldersideError as error:
        if isinstance(error.__cause__, FileNotFoundError):
            return None
        raise


def keep_beside(path: Path) -> Path:
    """Copy a file beside itself, under a name that is free; raises OSError."""
    number = 1
    copy = path.with_name(f"{path.stem}.before{path.suffix}")
    while copy.exists():
        number += 1
        copy = path.with_name(f"{path.stem}.before-{number}{path.suffix}")
    write_whole(copy, path.read_bytes())
    with contextlib.suppress(OSError):
        copy.chmod(path.stat().st_mode & 0o777)
    return copy


def _cannot_write(path: Path, error: OSError) -> SoldersideError:
    hint = "check the folder, its permissions and the space on the disk; the old file is unharmed"
    return SoldersideError(f"the file cannot be written ({error.strerror or error})", str(path), hint)


def _known(folder: Path) -> dict[str, str]:
    """What was written, by path; a list that cannot be read knows nothing."""
    try:
        found = json.loads(read_plain_file(folder / LIST_NAME, 10 * MEGABYTE, follow=False))
    except (SoldersideError, ValueError, RecursionError):
        return {}
    return {str(key): str(value) for key, value in found.items()} if isinstance(found, dict) else {}


def _name(path: Path) -> str:
    return str(path.absolute())


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
