"""A build's own copies of its kit and procedure file: written from what was read, checked when read again.

A copy is named by the beginning of its digest, and the log holds the whole digest.
"""

from __future__ import annotations

import contextlib
import hashlib
from collections.abc import Iterator
from pathlib import Path

from bench.errors import SoldersideError
from bench.files import home_path, read_plain_file, write_whole
from bench.kit.yaml_text import MAX_BYTES


def digest_of(data: bytes) -> str:
    """SHA-256, hexadecimal."""
    return hashlib.sha256(data).hexdigest()


def copy_path(folder: Path, what: str, digest: str) -> Path:
    """Where the copy of a kit (`what` is `kit`) or procedure with this digest lies."""
    return folder / f"{what}-{digest[:12]}.yaml"


def keep_copy(folder: Path, what: str, data: bytes, digest: str) -> None:
    """Keep the bytes that were read, unless a sound copy of them is there; raises SoldersideError."""
    copy = copy_path(folder, what, digest)
    if sound_copy(folder, what, digest) is not None:
        return
    try:
        write_whole(copy, data)
    except OSError as error:
        raise SoldersideError(
            f"the {what} file cannot be copied beside the log ({error.strerror})",
            str(copy),
            "fix that and try again",
        ) from error


def sound_copy(folder: Path, what: str, digest: str) -> bytes | None:
    """The bytes of the copy with this digest; None where it is gone, or is not what was kept."""
    data = _read(copy_path(folder, what, digest)) if digest else None
    return data if data is not None and digest_of(data) == digest else None


def other_copies(folder: Path, what: str) -> Iterator[tuple[Path, bytes, bool]]:
    """All copies, the sound ones first, each sort newest first: path, bytes, and whether it is sound."""
    found = []
    with contextlib.suppress(OSError):
        for path in folder.glob(f"{what}-*.yaml"):
            data = _read(path)
            if data:
                found.append((path, data, path.stem.endswith(digest_of(data)[:12]), path.stat().st_mtime))
    for path, data, sound, _ in sorted(found, key=lambda each: (not each[2], -each[3])):
        yield path, data, sound


def what_is_wrong(folder: Path, what: str, digest: str) -> str:
    """Why a copy is not used, in words."""
    path = copy_path(folder, what, digest)
    data = _read(path)
    if data is None:
        return "is gone" if not path.exists() else "cannot be read"
    return "was changed" if data else "is empty"


def read_source(named: str | Path) -> bytes | None:
    """The bytes of a kit or procedure file where it was; None when it cannot be read."""
    return _read(home_path(named)) if str(named) else None


def _read(path: Path) -> bytes | None:
    try:
        return read_plain_file(path, MAX_BYTES)
    except SoldersideError:
        return None
