"""The log on disk: append, fsync, lock, and recovery after whatever happened to it.

One folder for each build, one JSON object a line in `log.jsonl`. A line is on the disk before `append`
returns. Nothing in the file is ever rewritten; only a torn last line, which no screen ever showed as
done, is moved into a file of its own beside the log.
"""

from __future__ import annotations

import contextlib
import os
from pathlib import Path
from types import TracebackType
from typing import Self

import msgspec

from bench.errors import LogError
from bench.log.events import LOG_VERSION, AnyEvent, Started

LOG_NAME = "log.jsonl"
LOCK_NAME = "log.lock"

_decoder = msgspec.json.Decoder(AnyEvent)
_encoder = msgspec.json.Encoder()


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
        raw = self._read()
        self.events, bad, torn = parse_log(raw, str(self.path))
        self.remarks += bad
        if not self.read_only:
            self._mend(raw, torn)
        elif torn:
            self.remarks.append(f"{self.path}: the last line is torn ({len(torn)} bytes) and is not read")

    # -- opening --------------------------------------------------------------------------------
    def _open_for_writing(self) -> None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if not self._acquire():
                self._only_read("another window has this build open")
                return
            fresh = not self.path.exists()
            self._fd = os.open(
                self.path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o644
            )
            if fresh:
                _sync_folder(self.folder)
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

    def _read(self) -> bytes:
        try:
            return self.path.read_bytes()
        except FileNotFoundError as error:
            raise LogError("there is no log here", str(self.path), "check the name of the build") from error
        except OSError as error:
            raise LogError(
                f"the log cannot be read ({error.strerror})", str(self.path), "check its permissions"
            ) from error

    def _mend(self, raw: bytes, torn: bytes) -> None:
        """Move a torn last line aside, or end a whole one that lacks its line end."""
        self._size = len(raw)
        try:
            if torn:
                aside = _unused(self.folder / f"log.torn-at-{len(raw) - len(torn)}.txt")
                with aside.open("xb") as file:
                    file.write(torn)
                    file.flush()
                    os.fsync(file.fileno())
                os.ftruncate(self._fd, len(raw) - len(torn))
                self._size = len(raw) - len(torn)
                os.fsync(self._fd)
                self.remarks.append(
                    f"{self.path}: the last line was torn; its {len(torn)} bytes are kept in {aside.name}"
                )
            elif raw and not raw.endswith(b"\n"):
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
        line = _encoder.encode(event) + b"\n"
        try:
            self._still_ours()
            self._write(line)
        except OSError as error:
            raise LogError(
                f"not written: {error.strerror}", str(self.path), "mend that, then press the key again"
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
        if now.st_size != self._size:
            raise OSError(5, "another program has changed the log; close the build and open it again")

    # -- closing --------------------------------------------------------------------------------
    def close(self) -> None:
        """Let go of the file and its lock; may be called twice."""
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


def parse_log(raw: bytes, where: str) -> tuple[list[AnyEvent], list[str], bytes]:
    """Events, remarks on lines that were passed over, and the bytes of a torn last line.

    Raises LogError when the log was written by a newer version.
    """
    events: list[AnyEvent] = []
    remarks: list[str] = []
    flawless = _all_at_once(raw)
    if flawless is not None:
        return flawless, remarks, b""
    whole, _, rest = raw.rpartition(b"\n")
    lines = whole.split(b"\n") if whole or raw.startswith(b"\n") else []
    last = 0
    for number, line in enumerate(lines, 1):
        try:
            event = _decoder.decode(line)
        except (msgspec.DecodeError, UnicodeDecodeError):
            _refuse_newer(line, where)
            if line.strip():
                remarks.append(f"{where}:{number}: not an event, passed over")
            continue
        if event.n == last + 1:
            last += 1
        elif event.n <= last:
            remarks.append(f"{where}:{number}: event {event.n} again, passed over")
            continue
        else:
            remarks.append(f"{where}:{number}: events {last + 1} to {event.n - 1} are missing")
            last = event.n
        if isinstance(event, Started) and event.log > LOG_VERSION:
            _refuse(where)
        events.append(event)
    if rest:
        try:
            event = _decoder.decode(rest)
        except (msgspec.DecodeError, UnicodeDecodeError):
            _refuse_newer(rest, where)
            return events, remarks, rest
        if event.n != last + 1:
            return events, remarks, rest
        if isinstance(event, Started) and event.log > LOG_VERSION:
            _refuse(where)
        events.append(event)
    return events, remarks, b""


def _all_at_once(raw: bytes) -> list[AnyEvent] | None:
    """The events of a log without a flaw, decoded in one go; None for one that has to be read line by line."""
    if not raw.endswith(b"\n"):
        return None
    try:
        events: list[AnyEvent] = _decoder.decode_lines(raw)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return None
    if raw.count(b"\n") != len(events) or [event.n for event in events] != list(range(1, len(events) + 1)):
        return None
    begun = [event for event in events if type(event) is Started]
    return None if any(event.log > LOG_VERSION for event in begun) else events


def _refuse_newer(line: bytes, where: str) -> None:
    """A first line that this version cannot read but that says a greater version is a newer log."""
    try:
        raw = msgspec.json.decode(line)
    except (msgspec.DecodeError, UnicodeDecodeError):
        return
    if isinstance(raw, dict) and isinstance(raw.get("log"), int) and raw["log"] > LOG_VERSION:
        _refuse(where)


def _refuse(where: str) -> None:
    raise LogError(
        "this build was written by a newer version of solderside",
        where,
        "install that version or a later one; nothing was changed",
    )


def first_event(folder: Path) -> Started | None:
    """The event that a build in `folder` began with, read without opening the rest; None if there is none."""
    try:
        with (folder / LOG_NAME).open("rb") as file:
            event = _decoder.decode(file.readline(1_000_000))
    except (OSError, msgspec.DecodeError, UnicodeDecodeError):
        return None
    return event if isinstance(event, Started) else None


def _sync_folder(folder: Path) -> None:
    """Make a new file's name durable, where folders can be synced."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _unused(path: Path) -> Path:
    number = 1
    candidate = path
    while candidate.exists():
        number += 1
        candidate = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return candidate
