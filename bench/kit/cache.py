"""Parsed kits, kept so that a kit opens without reading its YAML again.

One file for each kit file ever parsed, named by what went into it: the kit file's bytes and the program
that read them. Nothing here is needed: an entry that is missing, damaged or of another program is not used,
and a folder that cannot be written stays as it is.
"""

from __future__ import annotations

import contextlib
import functools
import hashlib
import os
from pathlib import Path

import msgspec

import bench
from bench.kit.model import Kit

_FORMAT = 1
_CHECKSUM_BYTES = 32


def fetch(folder: Path, digest: str) -> Kit | None:
    """The kit whose file has this SHA-256 (hexadecimal); None without a sound entry for it."""
    try:
        stored = entry(folder, digest).read_bytes()
    except (OSError, ValueError):
        return None
    checksum, body = stored[:_CHECKSUM_BYTES], stored[_CHECKSUM_BYTES:]
    if hashlib.sha256(body).digest() != checksum:
        return None
    try:
        kit = msgspec.msgpack.decode(body, type=Kit)
    except (msgspec.DecodeError, RecursionError):
        return None
    return kit if kit.digest == digest else None


def keep(folder: Path, kit: Kit) -> None:
    """Store a parsed kit under its digest, all of it or nothing; a failure is passed over."""
    import tempfile

    body = msgspec.msgpack.encode(kit)
    target = entry(folder, kit.digest)
    with contextlib.suppress(OSError, ValueError):
        folder.mkdir(parents=True, exist_ok=True)
        handle, unfinished = tempfile.mkstemp(dir=folder, prefix=".", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(hashlib.sha256(body).digest() + body)
            os.replace(unfinished, target)  # noqa: PTH105
        except OSError:
            os.unlink(unfinished)  # noqa: PTH108


def entry(folder: Path, digest: str) -> Path:
    """Where the parsed kit with this digest is kept."""
    return folder / f"{hashlib.sha256(f'{digest} {_program()}'.encode()).hexdigest()}.kit"


@functools.cache
def _program() -> str:
    """What tells this program's reading of a kit from any other's.

    Version, format, and the source files that decide what a kit file means, by size and time of change: the
    tables of kinds change too.
    """
    stamps = [f"{bench.__version__} {_FORMAT}"]
    rooms = Path(__file__).parent, Path(__file__).parent.parent / "parts"
    with contextlib.suppress(OSError):
        for room in rooms:
            for file in sorted(os.scandir(room), key=lambda found: found.name):
                stat = file.stat()
                stamps += [f"{file.name} {stat.st_size} {stat.st_mtime_ns}"] if file.is_file() else []
    return "\n".join(stamps)
