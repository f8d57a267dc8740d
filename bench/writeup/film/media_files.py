"""What a folder's film files say of themselves: when each began, how long it is.

Source: ISO/IEC 14496-12, ISO base media file format (boxes in 4.2, the movie header box in 8.2.2; from memory):
seconds since 1904 in UTC. Many cameras write their local time there, and some the end of the clip in place of
its start (common practice, no source): whoever reads this compares it with the log.
"""

from __future__ import annotations

import os
import struct
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from msgspec import Struct

from bench.errors import SoldersideError
from bench.files import home_path

ENDINGS = (".mp4", ".mov", ".m4v", ".3gp")
MOST = 2_000
"""Files of one folder that are looked at."""
_EPOCH = 2_082_844_800
"""Seconds from 1904 to 1970."""
_BOXES = 10_000


class FilmFile(Struct, frozen=True, kw_only=True):
    """A film file below a folder."""

    name: str
    """Below the folder, with slashes."""
    begins: float | None = None
    """Seconds since 1970, by its header; None where it says nothing."""
    length: float = 0.0
    """Seconds; 0 where its header says nothing."""


def film_files(folder: Path) -> tuple[FilmFile, ...]:
    """The film files in a folder and those below it, by name. Raises SoldersideError when it cannot be read."""
    try:
        found = sorted(
            Path(root) / name
            for root, _, names in os.walk(folder, onerror=_refused)
            for name in names
            if name.lower().endswith(ENDINGS) and not name.startswith(".")
        )
    except OSError as error:
        raise SoldersideError(f"the folder cannot be read: {error.strerror}", str(folder), "") from error
    if len(found) > MOST:
        raise SoldersideError(f"{len(found):,} film files lie there", str(folder), "name a smaller folder")
    return tuple(_film_file(path, path.relative_to(folder).as_posix()) for path in found)


def folder_named(typed: str) -> Path | None:
    """The folder that was typed in place of a clip's name; None where there is none of that name."""
    folder = home_path(typed.strip())
    return folder if typed.strip() and os.path.isdir(folder) else None  # noqa: PTH112 (never raises)


def _refused(error: OSError) -> None:
    raise error


def _film_file(path: Path, name: str) -> FilmFile:
    try:
        with path.open("rb") as file:
            told = movie_header(file)
    except OSError:
        told = None
    if told is None:
        return FilmFile(name=name)
    created, length = told
    return FilmFile(name=name, begins=created - _EPOCH if created > _EPOCH else None, length=length)


def movie_header(file: BinaryIO) -> tuple[int, float] | None:
    """Seconds since 1904 and the length in seconds, of a file's movie header; None where there is none."""
    end = file.seek(0, os.SEEK_END)
    for kind, start, stop in _boxes(file, 0, end):
        if kind != b"moov":
            continue
        for inner, low, high in _boxes(file, start, stop):
            if inner == b"mvhd" and high - low >= 20:
                file.seek(low)
                return _header(file.read(32))
    return None


def _header(body: bytes) -> tuple[int, float] | None:
    layout = ">4xQQIQ" if body[0] == 1 else ">4xIIII"
    if len(body) < struct.calcsize(layout):
        return None
    created, _, scale, units = struct.unpack_from(layout, body)
    unknown = units in (0xFFFF_FFFF, 0xFFFF_FFFF_FFFF_FFFF)
    return created, 0.0 if unknown or not scale else units / scale


def _boxes(file: BinaryIO, start: int, end: int) -> Iterator[tuple[bytes, int, int]]:
    """Kind, first byte and end of what is in each box from `start`; stops at what is none."""
    for _ in range(_BOXES):
        if end - start < 8:
            return
        file.seek(start)
        size, kind = struct.unpack(">I4s", file.read(8))
        body = start + 8
        if size == 1 and end - body >= 8:
            (size,) = struct.unpack(">Q", file.read(8))
            body += 8
        stop = start + size if size else end
        if not body <= stop <= end:
            return
        yield kind, body, stop
        start = stop
