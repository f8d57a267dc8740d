"""A build in one file: its log, kit, procedure, own words and photos, and the settings it was built with.

The archive is a ZIP file. Nothing in a stranger's archive is trusted: only names that this program gives are
taken, sizes are counted while they are unpacked, and the build appears only once all of it is sound.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, BinaryIO

import msgspec

from bench import __version__
from bench.errors import SoldersideError
from bench.files import MEGABYTE, make_folder, open_plain, sync_folder, write_whole
from bench.log.events import Started
from bench.log.file import LOG_NAME, read_log
from bench.session.folders import free_folder, slug
from bench.settings import Settings, builds_folder

ENDING = ".solderside.zip"
ABOUT = "about.json"
"""The member that says what the archive is."""
VERSION = 1
INSIDE = "build/"
TAKEN = re.compile(
    r"log\.jsonl|log\.torn-at-\d{1,12}(-\d{1,4})?\.txt|put-away|(article|retrospective)\.md"
    r"|(kit|procedure)-[0-9a-f]{1,64}\.yaml|photos/[A-Za-z0-9-]{1,100}\.jpg"
)
"""Files of a build's folder that are carried; all others can be made again."""
MOST_FILES = 10_000
MOST_BYTES = 2_000 * MEGABYTE
"""Of all files together, unpacked."""
MOST_RATIO = 200
"""How much smaller a member may be packed; a log of one key held down packs 60 times."""
_BLOCK = 1 << 16


class About(msgspec.Struct, frozen=True, kw_only=True):
    """What an archive says of itself."""

    solderside_build: int
    """Version of the form of the archive."""
    name: str
    """Name of the build's folder."""
    program: str
    settings: dict[str, Any] = {}
    """Settings that decided how the build was planned and judged."""


class Carried(msgspec.Struct, frozen=True, kw_only=True):
    """A build that was unpacked."""

    folder: Path
    passed_over: tuple[str, ...]
    """Members of the archive that are no part of a build."""
    settings: tuple[str, ...]
    """Settings that were other where it was built, a sentence each."""


def export_name(build: str) -> str:
    """What the archive of a build is called."""
    return f"{build}{ENDING}"


def export_build(folder: Path, target: Path, settings: Settings) -> Path:
    """Write a build into one file; returns its path. A folder as the target gets a file named after the build.

    Raises SoldersideError when it cannot be written, or when something else stands there.
    """
    path = target / export_name(folder.name) if target.is_dir() else target
    about = About(
        solderside_build=VERSION, name=folder.name, program=__version__, settings=_settings_of(settings)
    )
    if path.exists() and not _is_ours(path):
        raise SoldersideError("there is another file", str(path), "choose another name")
    try:
        make_folder(path.parent)
        with tempfile.TemporaryFile(dir=path.parent) as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
                archive.writestr(ABOUT, msgspec.json.format(msgspec.json.encode(about), indent=2))
                for name in _names_in(folder):
                    with (
                        open_plain(folder / name, follow=False) as source,
                        archive.open(INSIDE + name, "w") as to,
                    ):
                        shutil.copyfileobj(source, to, _BLOCK)
            file.seek(0)
            write_whole(path, file.read())
    except OSError as error:
        raise SoldersideError(f"it cannot be written ({error.strerror})", str(path), "") from error
    return path


def _settings_of(settings: Settings) -> dict[str, Any]:
    return {
        "step_size": settings.step_size,
        "break_after_minutes": settings.break_after_minutes,
        "meter": dict(settings.meter),
    }


def _is_ours(path: Path) -> bool:
    """Whether a file is an archive of this program, which may be replaced."""
    with contextlib.suppress(SoldersideError, OSError, zipfile.BadZipFile), path.open("rb") as file:
        _about(zipfile.ZipFile(file), str(path))
        return True
    return False


def _names_in(folder: Path) -> Iterator[str]:
    for path in sorted([*folder.iterdir(), *(folder / "photos").glob("*")]):
        name = path.relative_to(folder).as_posix()
        if TAKEN.fullmatch(name) and path.is_file() and not path.is_symlink():
            yield name


def import_build(data: Path, path: Path, settings: Settings) -> Carried:
    """Unpack a build into a folder of its own among the builds of `data`.

    Raises SoldersideError, with nothing left behind, for what is no archive of a build, for paths that lead out
    of it, for more files or bytes than a build has, and for a log that cannot be read.
    """
    where = str(path)
    try:
        with open_plain(path, "archive") as file, zipfile.ZipFile(file) as archive:
            about = _about(archive, where)
            members, others = _members(archive, where)
            root = builds_folder(data)
            make_folder(root)
            beside = Path(tempfile.mkdtemp(prefix=".arriving-", dir=root))
            try:
                _unpack(archive, members, beside, where)
                _require_build(beside, where)
                folder = free_folder(root, slug(about.name))
                beside.chmod(0o755)
                beside.rename(folder)
                sync_folder(root)
            finally:
                shutil.rmtree(beside, ignore_errors=True)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError) as error:
        raise _no_build(where, "is damaged or no archive") from error
    except OSError as error:
        raise SoldersideError(f"it cannot be unpacked ({error.strerror})", where, "") from error
    here = _settings_of(settings)
    other = tuple(
        f"{name} was {value} where it was built, and is {here[name]} here"
        for name, value in about.settings.items()
        if name in here and value != here[name]
    )
    return Carried(folder=folder, passed_over=tuple(others), settings=other)


def _no_build(where: str, why: str) -> SoldersideError:
    return SoldersideError(f"this file {why}", where, "export the build again: solderside export BUILD")


def _about(archive: zipfile.ZipFile, where: str) -> About:
    try:
        with archive.open(ABOUT) as file:
            about = msgspec.json.decode(file.read(MEGABYTE), type=About)
    except (KeyError, msgspec.DecodeError, RecursionError) as error:
        raise _no_build(where, "is not an exported build") from error
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError) as error:
        raise _no_build(where, "is damaged or no archive") from error
    if about.solderside_build > VERSION:
        raise SoldersideError(
            "this archive is from a newer version", where, "get a newer version of solderside"
        )
    return about


def _members(archive: zipfile.ZipFile, where: str) -> tuple[dict[str, zipfile.ZipInfo], list[str]]:
    """What to unpack, by its name in the build's folder, and what is passed over."""
    found: dict[str, zipfile.ZipInfo] = {}
    others: list[str] = []
    infos = archive.infolist()
    if len(infos) > MOST_FILES or sum(each.file_size for each in infos) > MOST_BYTES:
        raise _no_build(where, "holds more than a build can have")
    for info in infos:
        name = info.filename.removeprefix(INSIDE)
        leads_out = info.filename.startswith(("/", "\\")) or ".." in re.split(r"[/\\]", info.filename)
        if leads_out or ":" in info.filename or (info.external_attr >> 16) & 0o170000 == 0o120000:
            raise _no_build(where, f"holds a path that leads out of it: {info.filename!r}")
        if name == info.filename or not TAKEN.fullmatch(name):
            others += [] if info.is_dir() or info.filename == ABOUT else [info.filename]
        elif name in found:
            raise _no_build(where, f"holds {name} twice")
        else:
            found[name] = info
    if LOG_NAME not in found:
        raise _no_build(where, "holds no log")
    return found, others


def _unpack(archive: zipfile.ZipFile, members: dict[str, zipfile.ZipInfo], folder: Path, where: str) -> None:
    """Unpack by what comes out, whatever the archive says of sizes."""
    total = 0
    for name, info in members.items():
        target = folder / name
        target.parent.mkdir(exist_ok=True)
        most = min(MOST_BYTES - total, max(MEGABYTE, MOST_RATIO * info.compress_size))
        with archive.open(info) as source, target.open("xb") as file:
            total += _copied(source, file, most, where)
            file.flush()
            os.fsync(file.fileno())
    sync_folder(folder)


def _copied(source: Any, target: BinaryIO, most: int, where: str) -> int:
    done = 0
    while block := source.read(_BLOCK):
        done += len(block)
        if done > most:
            raise _no_build(where, "unpacks to more than a build can have")
        target.write(block)
    return done


def _require_build(folder: Path, where: str) -> None:
    events = read_log(folder / LOG_NAME)[0].events
    if not events or not isinstance(events[0], Started):
        raise _no_build(where, "holds a log that does not begin a build")
