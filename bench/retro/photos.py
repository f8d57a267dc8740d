"""A folder of photos on the disk: read, dated, matched to a build, copied for the web, recorded.

The originals are opened for reading only; nothing in their folder is written, renamed or touched.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Iterator, Sequence
from datetime import tzinfo
from fnmatch import fnmatch
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench.build.folders import slug
from bench.build.session import Build
from bench.errors import BenchError
from bench.log.clock import stamp_text
from bench.log.photos import MatchedPhoto, PhotoBatch
from bench.retro import exiftime, webcopy
from bench.retro.disk import cannot_write, replace_whole
from bench.retro.gather import Calendar
from bench.retro.model import PhotoRow
from bench.retro.photoclock import Dated, Shot, clock_photo, find_dates
from bench.retro.photomap import Shown, Timeline, matched, place_photos, unmet_marks

COPIES = "photos"
"""Folder of the copies, beside the log."""
MOST_FILES = 20_000
"""Files looked at in one folder; more are not the photos of a build."""

Tell = Callable[[str, int, int], None]
"""Called with what is being done, how many are done and how many there are."""


class LeftOut(Struct, frozen=True, kw_only=True):
    """A file that does not go with the build."""

    file: str
    why: str


class Found(Struct, frozen=True, kw_only=True):
    """What lies in a folder of photos."""

    shots: tuple[Shot, ...]
    left_out: tuple[LeftOut, ...]
    others: int
    """Files that are no photos by their names."""


class Match(Struct, frozen=True, kw_only=True):
    """Which photos of a folder go with a build."""

    folder: Path
    zone: str
    """As given; empty for the machine's."""
    calendar: Calendar
    """Tells days and times in that zone."""
    without: tuple[str, ...]
    batches: tuple[PhotoBatch, ...]
    remarks: dict[str, str]
    """How the clock of each batch was read, by its name."""
    photos: tuple[Shown, ...]
    """In order of time."""
    left_out: tuple[LeftOut, ...]
    others: int
    doubts: tuple[str, ...]
    """What concerns no single photo."""


# -- reading -----------------------------------------------------------------------------------------
def read_folder(folder: Path, without: Sequence[str] = (), tell: Tell | None = None) -> Found:
    """Every photo in a folder and its sub-folders, by name, with what it says of its time.

    Raises BenchError when the folder cannot be read or Pillow is missing; a photo that cannot be read is left
    out with a word.
    """
    webcopy.need_pillow()
    try:
        root = folder.resolve(strict=True)
        if not root.is_dir():
            raise BenchError("this is not a folder", str(folder), "name the folder in which the photos are")
        files = sorted(_files(root))
    except OSError as error:
        why = error.strerror or str(error)
        raise BenchError(f"the folder cannot be read ({why})", str(folder), "check its name") from error
    shots: list[Shot] = []
    left_out: list[LeftOut] = []
    others = 0
    for number, file in enumerate(files, 1):
        if tell:
            tell("reading", number, len(files))
        path = root / file
        if path.suffix.lower() not in webcopy.ENDINGS:
            others += 1
            continue
        why = _objection(root, path, file, without)
        try:
            shot = None if why else _shot(path, file)
        except BenchError as error:
            why, shot = f"{error.what}; {error.hint}", None
        if shot:
            shots.append(shot)
        else:
            left_out.append(LeftOut(file=file, why=why))
    return Found(shots=tuple(shots), left_out=tuple(left_out), others=others)


def _files(root: Path) -> Iterator[str]:
    """Paths of all files inside, parts apart by `/`; neither hidden ones nor through links to folders."""
    seen = 0

    def refuse(error: OSError) -> None:
        if Path(error.filename or root) == root:
            raise error

    for here, folders, names in os.walk(root, onerror=refuse):
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in names:
            seen += 1
            if seen > MOST_FILES:
                raise BenchError(
                    f"there are more than {MOST_FILES} files in it",
                    str(root),
                    "name the folder of this build's photos",
                )
            if not name.startswith("."):
                yield (Path(here) / name).relative_to(root).as_posix()


def _objection(root: Path, path: Path, file: str, without: Sequence[str]) -> str:
    """Why a file is not even opened; empty when it is."""
    if any(fnmatch(file, pattern) or fnmatch(path.name, pattern) for pattern in without):
        return "left out as you asked"
    if path.is_symlink():
        inside = path.resolve().is_relative_to(root)
        return "a link to another file of the folder" if inside else "a link that leads out of the folder"
    if not stat.S_ISREG(path.lstat().st_mode):
        return "not a plain file"
    return ""


def _shot(path: Path, file: str) -> Shot:
    """What a picture says of its time; its pixels are not read. Raises BenchError."""
    doubt = ""
    tags: dict[int, object] = {}
    with webcopy.opened(path) as image:
        try:
            exif = image.getexif()
            tags = {**exif, **exif.get_ifd(exiftime.EXIF_IFD)}
        except webcopy.PICTURE_FAULTS:
            doubt = "its EXIF is damaged"
    stamp = exiftime.stamp_of(tags)
    stamp = replace(stamp, doubt=stamp.doubt or doubt)
    return Shot(file=file, stamp=stamp, file_time=path.stat().st_mtime)


# -- matching ----------------------------------------------------------------------------------------
def match(
    build: Build,
    folder: Path,
    clocks: Sequence[str] = (),
    remembered: Sequence[str] = (),
    zone: tzinfo | None = None,
    zone_name: str = "",
    without: Sequence[str] = (),
    tell: Tell | None = None,
) -> Match:
    """Which photos of a folder go with a build; writes nothing, copies have no size yet.

    `clocks` are texts such as `IMG_0012.jpg=18:20:05`; `remembered` the same from an earlier match, passed over
    where the photo is gone or is told of anew. Raises BenchError; see `read_folder` and `find_dates`.
    """
    from bench.retro.publish import LocalZone

    zone = zone or LocalZone()
    calendar = Calendar(zone)
    given = [clock_photo(text) for text in clocks]
    found = read_folder(folder, without, tell)
    files = {shot.file for shot in found.shots}
    before = [clock for clock in map(clock_photo, remembered) if clock.file in files]
    timeline = Timeline(build.events, build.progress)
    dates = find_dates(found.shots, [*before, *given], zone, timeline.runs)
    of_clock = {file for batch in dates.batches for file, _ in batch.clocks}
    pictures = [_picture(photo) for photo in dates.photos if photo.file not in of_clock]
    placed = place_photos(pictures, build.events, build.progress)
    unmet = unmet_marks(build.events, pictures)
    doubts = [
        f"the photo marked at {_clock(mark.at, calendar)} is not here" + _quoted(mark.words) for mark in unmet
    ]
    return Match(
        folder=folder.resolve(),
        zone=zone_name,
        calendar=calendar,
        without=tuple(without),
        batches=dates.batches,
        remarks=dict(dates.remarks),
        photos=tuple(each for each in placed if each.spot.kept),
        left_out=(
            *found.left_out,
            *(LeftOut(file=file, why="the photo of the bench clock") for file in sorted(of_clock)),
            *(LeftOut(file=each.photo.file, why=each.spot.why) for each in placed if not each.spot.kept),
        ),
        others=found.others,
        doubts=tuple(doubts),
    )


def _picture(photo: Dated) -> MatchedPhoto:
    at = stamp_text(photo.at)
    return MatchedPhoto(
        file=photo.file, copy=photo.file, at=at, source=photo.source, doubt=photo.doubt, width=0, height=0
    )


def _clock(at: float, calendar: Calendar) -> str:
    when = calendar.when(stamp_text(at))
    return f"{when.day} {when.time}"


def _quoted(words: str) -> str:
    return f": {words}" if words else ""


def earlier(build: Build, folder: Path) -> tuple[str, ...]:
    """What the builder said of the bench clock when this folder was matched before, as for `match`."""
    for event in matched(build.events):
        if event.folder == str(folder.resolve()):
            return tuple(f"{file}={shows}" for batch in event.batches for file, shows in batch.clocks)
    return ()


# -- copies ------------------------------------------------------------------------------------------
def take_in(build: Build, found: Match, tell: Tell | None = None) -> Match:
    """Write the copies and record the match; returns it with the copies' names and sizes.

    A photo that turns out to be damaged, or to be the same picture as another, is left out with a word. Raises
    BenchError when a copy or the log cannot be written: then nothing is recorded.
    """
    build.require_writable()
    target = build.log.folder / COPIES
    try:
        target.mkdir(exist_ok=True)
    except OSError as error:
        raise cannot_write(target, error) from error
    photos: list[Shown] = []
    left_out = list(found.left_out)
    first: dict[str, str] = {}
    for number, each in enumerate(found.photos, 1):
        if tell:
            tell("copying", number, len(found.photos))
        try:
            copied = _copy(found.folder / each.photo.file, each.photo, target)
        except BenchError as error:
            if isinstance(error.__cause__, OSError) and error.where.startswith(str(target)):
                raise
            left_out.append(LeftOut(file=each.photo.file, why=f"{error.what}; {error.hint}"))
            continue
        same = first.setdefault(copied.copy.rpartition("-")[2], each.photo.file)
        if same != each.photo.file:
            left_out.append(LeftOut(file=each.photo.file, why=f"the same picture as {same}"))
        else:
            photos.append(replace(each, photo=copied))
    build.photos_matched(
        str(found.folder), tuple(each.photo for each in photos), found.batches, found.zone, found.without
    )
    return replace(found, photos=tuple(photos), left_out=tuple(left_out))


def _copy(source: Path, photo: MatchedPhoto, target: Path) -> MatchedPhoto:
    """Write one copy unless it is there already; its name tells what it was made from."""
    name = f"{slug(source.stem)}-{_digest(source)[:12]}.jpg"
    path = target / name
    if path.is_file():
        try:
            with webcopy.opened(path) as image:
                return replace(photo, copy=name, width=image.width, height=image.height)
        except BenchError:
            pass  # a damaged copy is made anew
    made = webcopy.web_copy(source)
    try:
        replace_whole(path, made.data)
    except OSError as error:
        raise cannot_write(path, error) from error
    return replace(photo, copy=name, width=made.width, height=made.height)


def _digest(source: Path) -> str:
    """SHA-256 of a photo and of how its copy is made; raises BenchError."""
    digest = hashlib.sha256(f"{webcopy.LONG_SIDE} {webcopy.QUALITY}".encode())
    try:
        with source.open("rb") as file:
            while block := file.read(1 << 20):
                digest.update(block)
    except OSError as error:
        raise BenchError(
            f"the file cannot be read ({error.strerror})", str(source), "check its permissions"
        ) from error
    return digest.hexdigest()


def copy_bytes(build_folder: Path, row: PhotoRow) -> bytes:
    """The web-sized copy of a photo in a story, a JPEG, for a page that carries its pictures inside.

    Raises BenchError when the copy is gone or cannot be read.
    """
    path = build_folder / COPIES / Path(row.file).name
    try:
        return path.read_bytes()
    except OSError as error:
        raise BenchError(
            f"the copy of a photo cannot be read ({error.strerror})",
            str(path),
            "make the copies again: solderside photos BUILD",
        ) from error


def copy_beside(build_folder: Path, rows: Sequence[PhotoRow], folder: Path) -> None:
    """Put the copies of these photos into a folder beside a page; raises BenchError.

    A copy that stands there already is left alone: its name tells what is in it.
    """
    for row in rows:
        path = folder / row.file
        if path.is_file():
            continue
        data = copy_bytes(build_folder, row)
        try:
            folder.mkdir(parents=True, exist_ok=True)
            replace_whole(path, data)
        except OSError as error:
            raise cannot_write(path, error) from error
