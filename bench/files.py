"""Whole files: read within bounds and from plain files only; written all or not at all, for good."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

from bench.errors import BenchError

MEGABYTE = 1_000_000


def read_plain_file(path: Path, most: int, what: str = "file") -> bytes:
    """All bytes of a plain file of at most `most` bytes; `what` is what people call it, such as `parts list`.

    A folder, a pipe or a device is refused before a byte of it is read, a growing file after `most` bytes.
    Raises BenchError that says what, where and what to do; its cause is the OSError, where there is one.
    """
    where = str(path)
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        try:
            mode = os.fstat(handle).st_mode
            if not stat.S_ISREG(mode):
                kind = "a folder" if stat.S_ISDIR(mode) else "a pipe or a device, not a file"
                raise BenchError(f"this is {kind}", where, "save it in a plain file and name that")
            file = os.fdopen(handle, "rb", closefd=False)
            data = file.read(most + 1)
        finally:
            os.close(handle)
    except FileNotFoundError as error:
        raise BenchError("there is no such file", where, "check the spelling and the folder") from error
    except (OSError, ValueError) as error:
        raise _unreadable(what, where, error) from error
    if len(data) > most:
        limit = f"{most // MEGABYTE} MB" if most >= MEGABYTE else f"{most:,} bytes"
        raise BenchError(f"this is larger than any {what} (over {limit})", where, "name another file")
    return data


def read_text_file(path: Path, most: int, what: str = "file") -> str:
    """As `read_plain_file`, for UTF-8 text with or without a byte-order mark."""
    try:
        return read_plain_file(path, most, what).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BenchError(f"the {what} is not UTF-8 text", str(path), "save it as UTF-8") from error


def write_whole(path: Path, data: bytes) -> None:
    """Put a whole file in place of another in one move, on the disk when this returns; its mode is kept.

    The bytes reach the disk before the name does, and the folder is synced after it, so that a power cut leaves
    the old file or the new one. On any failure (OSError) the old one stays.
    """
    beside = path.with_name(f".{os.urandom(16).hex()}.tmp")
    try:
        with beside.open("xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            beside.chmod(path.stat().st_mode & 0o777)
        beside.replace(path)
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
    sync_folder(path.parent)


def sync_folder(folder: Path) -> None:
    """Make names in a folder durable, where folders can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def make_folder(folder: Path) -> None:
    """Make a folder and those above it, durable by name; raises OSError."""
    missing = [each for each in (folder, *folder.parents) if not each.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    for made in reversed(missing):
        sync_folder(made.parent)


def _unreadable(what: str, where: str, error: OSError | ValueError) -> BenchError:
    why = getattr(error, "strerror", None) or str(error)
    hint = "change its permissions" if isinstance(error, PermissionError) else "check the name and the disk"
    return BenchError(f"the {what} cannot be read ({why})", where, hint)
