"""On-disk cache of parsed kits, procedures, plans and records, so that the first screen does not wait for them.

One file for each entry, named by its key: the digests of the files that went into it and the program that read
them. Nothing here is needed: an entry that is missing, damaged or of another program is a miss, and a folder
that cannot be written stays as it is.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
from pathlib import Path
from typing import TypeVar

import msgspec

import bench
from bench.errors import SoldersideError
from bench.files import read_plain_file

_FORMAT = 2
_MOST_BYTES = 50_000_000
_CHECKSUM_BYTES = 32
_FOLDERS = ("parts", "parts/kinds", "kit", "plan", "log", "estimate")
"""Source files of these, and data beside them, decide what a file means."""

T = TypeVar("T")


def fetch(folder: Path, key: str, kind: type[T]) -> T | None:
    """The value cached under this key; None on a miss."""
    try:
        stored = read_plain_file(entry(folder, key, kind), _MOST_BYTES)
    except (SoldersideError, ValueError):
        return None
    checksum, body = stored[:_CHECKSUM_BYTES], stored[_CHECKSUM_BYTES:]
    if hashlib.sha256(body).digest() != checksum:
        return None
    try:
        return msgspec.msgpack.decode(body, type=kind)
    except (msgspec.DecodeError, RecursionError):
        return None


def keep(folder: Path, key: str, value: object) -> None:
    """Store a value under its key, all of it or nothing; a failure is passed over."""
    import tempfile

    body = msgspec.msgpack.encode(value)
    with contextlib.suppress(OSError, ValueError):
        target = entry(folder, key, type(value))
        folder.mkdir(parents=True, exist_ok=True)
        handle, unfinished = tempfile.mkstemp(dir=folder, prefix=".", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(body).digest() + body)
            os.replace(unfinished, target)  # noqa: PTH105
        except OSError:
            os.unlink(unfinished)  # noqa: PTH108


def entry(folder: Path, key: str, kind: type[object]) -> Path:
    """Where the value of this kind with this key is kept."""
    kept_as = kind.__name__.lower()
    return folder / f"{hashlib.sha256(f'{key} {kept_as} {_program()}'.encode()).hexdigest()}.{kept_as}"


@functools.cache
def _program() -> str:
    """What tells this program's reading of a file from any other's.

    Version, format, and the source files that decide what a file means, by size and time of change.
    """
    stamps = [f"{bench.__version__} {_FORMAT}"]
    with contextlib.suppress(OSError):
        for folder in _FOLDERS:
            for file in sorted(os.scandir(Path(__file__).parent / folder), key=lambda found: found.name):
                stat = file.stat()
                stamps += [f"{folder}/{file.name} {stat.st_size} {stat.st_mtime_ns}"] if file.is_file() else []
    return "\n".join(stamps)
