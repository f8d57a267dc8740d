"""Whole files on the disk: never half of one, and never in place of one that this program did not write.

What was written is remembered by its digest in a small list beside the log (or in the data folder, for what
belongs to no build). A file whose digest is not there was written or changed by somebody else; it is replaced
only by force, and then a copy of it stays beside the new one.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
from pathlib import Path

from msgspec import Struct

from bench.errors import BenchError, Refused
from bench.files import write_whole

LIST_NAME = "written.json"
"""The list of what was written: path -> SHA-256."""


class Saved(Struct, frozen=True, kw_only=True):
    """What became of a file."""

    path: Path
    changed: bool
    """False when the file said all of this already and was left alone."""
    kept_as: Path | None = None
    """Where the former file is kept, when `force` replaced one that was not ours."""


def save_whole(path: Path, data: bytes, folder: Path, *, force: bool = False) -> Saved:
    """Write all of `data` to `path`; `folder` keeps the list of what was written.

    Raises Refused, with nothing touched, when a file stands there that this program did not write or that
    was changed since, unless `force` is set; BenchError when a file cannot be read or written.
    """
    target = Path(os.path.realpath(path)) if path.is_symlink() else path
    old = read_plain(target)
    known = _known(folder)
    ours = old is None or known.get(_name(target)) == _digest(old)
    if old == data:
        return Saved(path=path, changed=False)
    if not ours and not force:
        hint = "name another file, or overwrite it by force: what stands there is then kept beside it"
        raise Refused(
            "a file stands there that this program did not write, or that was changed since", str(path), hint
        )
    kept = None
    try:
        kept = None if ours else keep_beside(target)
        write_whole(target, data)
    except OSError as error:
        raise cannot_write(path, error) from error
    known[_name(target)] = _digest(data)
    with contextlib.suppress(OSError):  # without the list the next run asks once more
        write_whole(folder / LIST_NAME, json.dumps(known, indent=1, sort_keys=True).encode())
    return Saved(path=path, changed=True, kept_as=kept)


def is_ours(path: Path, folder: Path) -> bool:
    """True when there is no file, or one that stands as this program wrote it; raises BenchError."""
    target = Path(os.path.realpath(path)) if path.is_symlink() else path
    old = read_plain(target)
    return old is None or _known(folder).get(_name(target)) == _digest(old)


def read_plain(path: Path) -> bytes | None:
    """The bytes of a plain file, None when there is none; raises BenchError when it cannot be read."""
    try:
        if path.exists() and not path.is_file():
            raise BenchError("this is not a plain file", str(path), "name a file, such as build.md")
        return path.read_bytes()
    except FileNotFoundError:
        return None
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise BenchError(
            f"the file cannot be read ({why})", str(path), "check its name and permissions"
        ) from error


def keep_beside(path: Path) -> Path:
    """Copy a file beside itself, under a name that is free; raises OSError."""
    number = 1
    copy = path.with_name(f"{path.stem}.before{path.suffix}")
    while copy.exists():
        number += 1
        copy = path.with_name(f"{path.stem}.before-{number}{path.suffix}")
    shutil.copy2(path, copy)
    return copy


def cannot_write(path: Path, error: OSError) -> BenchError:
    """What to say when a file cannot be written."""
    return BenchError(
        f"the file cannot be written ({error.strerror or error})",
        str(path),
        "check the folder, its permissions and the room on the disk; what stood there is unharmed",
    )


def _known(folder: Path) -> dict[str, str]:
    """What was written, by path; a list that cannot be read knows nothing."""
    try:
        found = json.loads((folder / LIST_NAME).read_bytes())
    except (OSError, ValueError):
        return {}
    return {str(key): str(value) for key, value in found.items()} if isinstance(found, dict) else {}


def _name(path: Path) -> str:
    return str(path.absolute())


def _digest(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
