"""The log on disk: append, fsync, lock, and recovery after whatever happened to it.

One folder for each build, one JSON object a line in `log.jsonl`. A line is on the disk before `append`
returns. Nothing in the file is ever rewritten; only a torn last line, which no screen ever showed as
done, is moved into a file of its own beside the log.
"""

from __future__ import annotations

import contextlib
import errno
import os
from pathlib import Path
from types import TracebackType
from typing import Self

from bench.errors import LogError, SoldersideError
from bench.files import MEGABYTE, make_folder, open_plain, sync_folder, too_much
from bench.log.events import AnyEvent, Started
from bench.log.lines import Recovery, decoded, encoded, read_blocks

LOG_NAME = "log.jsonl"
LOCK_NAME = "log.lock"
_MOST_BYTES = 500 * MEGABYTE
"""Of a log; a million events take half of that."""


class LogFile:
    """One build's log, open for reading and, when nobody else writes to it, for appending."""

    def __init__(self, folder: Path, *, read_only: bool = False) -> None:
        """Open the log in `folder`, which is made if need be.

        Raises LogError when the folder or file cannot be read, or comes from a newer version.
        """
        self.folder = folder
        self.path = folder / LOG_NAME
        self.read_only = read_only
        self.why_read_only = "opened for reading only" if read_only else ""
        self.remarks: list[str] = []
        self._fd = -1
        self._size = 0
        self._lock: object | None = None
        if not read_only:
            self._open_for_writing()
        found, size, ended = self._read()
        self.events = found.events
        self.remarks += found.remarks
        if not self.read_only:
            self._mend(size, found.torn, ended)
        elif found.torn:
            self.remarks.append(f"{self.path}: the last line is torn ({len(found.torn)} bytes) and is not read")

    # -- opening --------------------------------------------------------------------------------
    def _open_for_writing(self) -> None:
        try:
            make_folder(self.folder)
            for path in (self.path, self.folder / LOCK_NAME):
                if path.is_symlink():  # somebody else's folder may lead anywhere
                    raise OSError(errno.ELOOP, f"{path.name} is a link, not a file")
            if not self._acquire():
                self._only_read("another window has this build open")
                return
            fresh = not self.path.exists()
            self._fd = os.open(
                self.path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o644
            )
            if fresh:
                sync_folder(self.folder)
        except OSError as error:
            self.close()
            if not self.path.exists():
                raise LogError(
                    f"the build's folder cannot be written ({error.strerror})",
                    str(self.folder),
                    "mend its permissions, or name another folder with --data",
                ) from error
            self._only_read(f"the log cannot be written ({error.strerror})")

    def _acquire(self) -> bool:
        from filelock import FileLock, Timeout

        lock = FileLock(self.folder / LOCK_NAME, timeout=0)
        try:
            lock.acquire()
        except Timeout:
            return False
        self._lock = lock
        return True

    def _only_read(self, why: str) -> None:
        self.read_only, self.why_read_only = True, why

    def _read(self) -> tuple[Recovery, int, bool]:
        """What the file holds, its size in bytes, and whether it ends in a line end (or is empty)."""
        try:
            return read_log(self.path)
        except FileNotFoundError as error:
            raise LogError("there is no log here", str(self.path), "check the name of the build") from error
        except OSError as error:
            raise LogError(
                f"the log cannot be read ({error.strerror})", str(self.path), "check its permissions"
            ) from error

    def _mend(self, size: int, torn: bytes, ended: bool) -> None:
        """Move a torn last line aside, or end a whole one that lacks its line end."""
        self._size = size
        try:
            if torn:
                aside = _unused(self.folder / f"log.torn-at-{size - len(torn)}.txt")
                with aside.open("xb") as file:
                    file.write(torn)
                    file.flush()
                    os.fsync(file.fileno())
                sync_folder(self.folder)
                os.ftruncate(self._fd, size - len(torn))
                self._size = size - len(torn)
                os.fsync(self._fd)
                self.remarks.append(
                    f"{self.path}: the last line was torn; its {len(torn)} bytes are kept in {aside.name}"
                )
            elif not ended:
                os.write(self._fd, b"\n")
                os.fsync(self._fd)
                self._size += 1
        except OSError as error:
            self._only_read(f"the log cannot be mended ({error.strerror})")

    # -- writing --------------------------------------------------------------------------------
    def append(self, event: AnyEvent) -> None:
        """Write one event and wait until it is on the disk.

        Raises LogError, with nothing added, when that cannot be done.
        """
        if self.read_only:
            raise LogError(f"nothing can be added: {self.why_read_only}", str(self.path), "")
        line = encoded(event)
        try:
            self._still_ours()
            self._write(line)
        except OSError as error:
            raise LogError(
                f"not written: {error.strerror}", str(self.path), "fix that, then try again"
            ) from error
        self._size += len(line)
        self.events.append(event)

    def _write(self, line: bytes) -> None:
        """All of a line, on the disk; or none of it, and OSError."""
        try:
            if os.write(self._fd, line) != len(line):
                raise OSError(28, "no space left on the disk")
            os.fsync(self._fd)
        except OSError:
            with contextlib.suppress(OSError):
                os.ftruncate(self._fd, self._size)
            raise

    def _still_ours(self) -> None:
        now = os.fstat(self._fd)
        if now.st_nlink == 0:
            raise OSError(2, "the log was deleted or its folder moved while the build was open")
        try:
            replaced = not os.path.samestat(now, self.path.stat())
        except FileNotFoundError:
            replaced = self.folder.exists()  # a folder that was moved as a whole takes its log along
        if replaced:
            raise OSError(5, "another program has moved the log aside; close the build and open it again")
        if now.st_size != self._size:
            raise OSError(5, "another program has changed the log; close the build and open it again")

    # -- closing --------------------------------------------------------------------------------
    def close(self) -> None:
        """Close the file and release the lock. Idempotent."""
        if self._fd >= 0:
            os.close(self._fd)
            self._fd = -1
        if self._lock is not None:
            self._lock.release()  # type: ignore[attr-defined]
            self._lock = None
        if not self.read_only:
            self._only_read("the log is closed")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def read_log(path: Path) -> tuple[Recovery, int, bool]:
    """What a log holds, its size in bytes, and whether it ends in a line end (or is empty).

    Read in blocks, so that a long log needs little more memory than its events. Raises OSError, and LogError
    when it was written by a newer version.
    """
    try:
        file = open_plain(path, "log")
    except SoldersideError as error:
        if isinstance(error.__cause__, OSError):
            raise error.__cause__ from None
        raise LogError(error.what, error.where, error.hint) from None
    with file:
        if os.fstat(file.fileno()).st_size > _MOST_BYTES:
            told = too_much(_MOST_BYTES, "log", str(path))
            raise LogError(told.what, told.where, told.hint)
        found = read_blocks(file.read, os.fstat(file.fileno()).st_size, str(path))
        size = file.tell()
        if size:
            file.seek(-1, os.SEEK_END)
        return found, size, not size or file.read(1) == b"\n"


def first_event(folder: Path) -> Started | None:
    """The event that a build in `folder` began with, read without opening the rest; None if there is none."""
    try:
        with open_plain(folder / LOG_NAME, "log") as file:
            event = decoded(file.readline(MEGABYTE))
    except (OSError, ValueError, SoldersideError):
        return None
    return event if isinstance(event, Started) else None


def _unused(path: Path) -> Path:
    number = 1
    candidate = path
    while candidate.exists():
        number += 1
        candidate = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return candidate
