"""Whole files: read within bounds and from plain files only; written all or not at all, for good."""

from __future__ import annotations

import contextlib
import os
import re
import stat
import sys
from pathlib import Path
from typing import Any, BinaryIO

from bench.errors import SoldersideError

MEGABYTE = 1_000_000
_DEEPEST = 20
"""Parts of a dotted TOML key."""
_NO_KEYS = re.compile(r"""\"[^"\\]*(?:\\.[^"\\]*)*\"|'[^']*'|#.*""")
"""Texts and comments in a line of TOML."""


def open_plain(path: Path, what: str = "file", *, follow: bool = True) -> BinaryIO:
    """A plain file, open for reading; `what` is what people call it, such as `parts list`.

    A folder, a pipe or a device is refused before a byte of it is read; so is a link unless `follow` is set.
    Raises SoldersideError that says what, where and what to do; its cause is the OSError, where there is one.
    """
    where = str(path)
    flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
    try:
        if not follow and path.is_symlink():
            raise SoldersideError("this is a link, not a file", where, "put the file itself there")
        handle = os.open(path, flags if follow else flags | getattr(os, "O_NOFOLLOW", 0))
        mode = os.fstat(handle).st_mode
        if stat.S_ISREG(mode):
            return os.fdopen(handle, "rb")
        os.close(handle)
    except FileNotFoundError as error:
        raise SoldersideError("there is no such file", where, "check the spelling and the folder") from error
    except (OSError, ValueError) as error:
        raise _unreadable(what, where, error) from error
    kind = "a folder" if stat.S_ISDIR(mode) else "a pipe or a device, not a file"
    raise SoldersideError(f"this is {kind}", where, "save it in a plain file and name that")


def read_plain_file(path: Path, most: int, what: str = "file", *, follow: bool = True) -> bytes:
    """All bytes of a plain file of at most `most` bytes, as `open_plain` opens it.

    Raises SoldersideError; its cause is the OSError, where there is one.
    """
    with open_plain(path, what, follow=follow) as file:
        try:
            too_large = os.fstat(file.fileno()).st_size > most
            data = b"" if too_large else file.read(most + 1)
        except OSError as error:
            raise _unreadable(what, str(path), error) from error
    if too_large or len(data) > most:
        raise too_much(most, what, str(path))
    return data


def too_much(most: int, what: str, where: str) -> SoldersideError:
    """What to say of something that is larger than `most` bytes."""
    limit = f"{most // MEGABYTE} MB" if most >= MEGABYTE else f"{most:,} bytes"
    return SoldersideError(f"this is larger than any {what} (over {limit})", where, "name another file")


def read_stdin(most: int, what: str = "file") -> bytes:
    """All that comes on standard input, at most `most` bytes; raises SoldersideError."""
    if sys.stdin is None:
        raise SoldersideError("standard input is closed", "stdin", f"give the {what} as a file")
    data = sys.stdin.buffer.read(most + 1)
    if len(data) > most:
        raise too_much(most, what, "stdin")
    return data


def read_text_file(path: Path, most: int, what: str = "file") -> str:
    """As `read_plain_file`, for UTF-8 text with or without a byte-order mark."""
    try:
        return read_plain_file(path, most, what).decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise SoldersideError(f"the {what} is not UTF-8 text", str(path), "save it as UTF-8") from error


def parse_toml(text: str) -> dict[str, Any]:
    """TOML as plain data; raises ValueError, also for what is nested too deeply to be worth parsing.

    A key of very many parts (`a.a.a`) takes the parser time and memory with the square of their number.

    >>> parse_toml('look_back = 5')
    {'look_back': 5}
    """
    import tomllib

    by_line = '"""' not in text and "'''" not in text  # no text runs over several lines
    for number, line in enumerate(text.splitlines(), 1):
        if line.count(".") > _DEEPEST and (not by_line or _NO_KEYS.sub("", line).count(".") > _DEEPEST):
            raise ValueError(f"too many dots in one line (at line {number})")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise ValueError("nested too deeply") from error


def home_path(text: str | Path) -> Path:
    """A path that a person wrote, with `~` for a home folder; that of nobody known stays as written."""
    return Path(os.path.expanduser(text))  # noqa: PTH111 (that of pathlib raises over somebody unknown)


def real_path(path: Path) -> Path:
    """A path without links, as far as they lead anywhere; never raises over links in a circle."""
    try:
        return Path(os.path.realpath(path))
    except ValueError:  # a zero byte in a name out of a log
        return path


def stands(path: Path) -> bool:
    """Whether anything has this name, be it a link that leads nowhere."""
    return os.path.lexists(path)


def write_whole(path: Path, data: bytes, *, for_good: bool = True) -> None:
    """Put a whole file in place of another in one move, on the disk when this returns; its mode is kept.

    The bytes reach the disk before the name does, and the folder is synced after it, so that a power cut leaves
    the old file or the new one. On any failure (OSError) the old one stays. Not `for_good`: whoever reads sees
    the old file or the new one, but a power cut may leave neither.
    """
    beside = path.with_name(f".{os.urandom(16).hex()}.tmp")
    try:
        with beside.open("xb") as file:
            file.write(data)
            if for_good:
                file.flush()
                os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            beside.chmod(path.stat().st_mode & 0o777)
        beside.replace(path)
    finally:
        with contextlib.suppress(OSError):
            beside.unlink(missing_ok=True)
    if for_good:
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


def _unreadable(what: str, where: str, error: OSError | ValueError) -> SoldersideError:
    why = getattr(error, "strerror", None) or str(error)
    hint = "change its permissions" if isinstance(error, PermissionError) else "check the name and the disk"
    return SoldersideError(f"the {what} cannot be read ({why})", where, hint)
