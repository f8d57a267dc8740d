"""A folder of photos on the disk: read, dated and matched to a build.

The originals are opened for reading only; nothing in their folder is written, renamed or touched.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator, Sequence
from datetime import tzinfo
from fnmatch import fnmatch
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.files import real_path
from bench.log.clock import stamp_text
from bench.log.photos import MatchedPhoto, PhotoBatch
from bench.session.build import Build
from bench.writeup.moments import Calendar
from bench.writeup.photos import exif_time as exiftime
from bench.writeup.photos import web_copy as webcopy
from bench.writeup.photos.camera_clock import Dated, Shot, find_dates
from bench.writeup.photos.clock_photo import clock_photo
from bench.writeup.photos.photo_map import (
    PhotoMoment,
    Shown,
    likely_shift,
    place_photos,
    unmet_marks,
)
from bench.writeup.photos.spots import WorkSpans

MOST_FILES = 20_000
"""Files looked at in one folder; more are not the photos of a build."""

Tell = Callable[[str, int, int], None]
"""Called with what is being done, how many are done and how many there are."""


class LeftOut(Struct, frozen=True, kw_only=True):
    """A file that does not go with the build."""

    file: str
    why: str


class MatchResult(Struct, frozen=True, kw_only=True):
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
def read_folder(folder: Path, without: Sequence[str] = (), tell: Tell | None = None) -> MatchResult:
    """Every photo in a folder and its sub-folders, by name, with what it says of its time.

    Raises SoldersideError when the folder cannot be read or Pillow is missing; a photo that cannot be read is
    left out with a word.
    """
    webcopy.need_pillow()
    try:
        root = real_path(folder)
        root.lstat()
        if not root.is_dir():
            raise SoldersideError(
                "this is not a folder", str(folder), "name the folder in which the photos are"
            )
        files = sorted(_files(root))
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise SoldersideError(f"the folder cannot be read ({why})", str(folder), "check its name") from error
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
        except SoldersideError as error:
            why, shot = f"{error.what}; {error.hint}", None
        if shot:
            shots.append(shot)
        else:
            left_out.append(LeftOut(file=file, why=why))
    return MatchResult(shots=tuple(shots), left_out=tuple(left_out), others=others)


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
                raise SoldersideError(
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
        inside = real_path(path).is_relative_to(root)
        return "a link to another file of the folder" if inside else "a link that leads out of the folder"
    if not stat.S_ISREG(path.lstat().st_mode):
        return "not a regular file"
    return ""


def _shot(path: Path, file: str) -> Shot:
    """What a picture says of its time; its pixels are not read. Raises SoldersideError."""
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
    where the photo is gone or is told of anew. Raises SoldersideError; see `read_folder` and `find_dates`.
    """
    calendar = Calendar(zone)
    given = [clock_photo(text) for text in clocks]
    found = read_folder(folder, without, tell)
    files = {shot.file for shot in found.shots}
    before = [clock for clock in map(clock_photo, remembered) if clock.file in files]
    timeline = WorkSpans(build.events, build.progress)
    dates = find_dates(found.shots, [*before, *given], zone, timeline.runs)
    of_clock = {file for batch in dates.batches for file, _ in batch.clocks}
    pictures = [_picture(photo) for photo in dates.photos if photo.file not in of_clock]
    placed = place_photos(pictures, build.events, build.progress)
    return Match(
        folder=real_path(folder),
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
        doubts=(
            *_missing(unmet_marks(build.events, pictures), calendar),
            *_wrong_zones(dates.photos, timeline.runs),
        ),
    )


def _missing(marks: Sequence[PhotoMoment], calendar: Calendar) -> Iterator[str]:
    """The photos that were marked at the bench and are not in the folder."""
    for mark in marks:
        yield f"the photo marked at {_clock(mark.at, calendar)} is missing" + _quoted(mark.words)


def _wrong_zones(photos: Sequence[Dated], runs: Sequence[tuple[float, float]]) -> Iterator[str]:
    """Cameras of which most photos fall into time at the bench when their clock is moved by hours."""
    for name in dict.fromkeys(photo.batch for photo in photos):
        times = [photo.at for photo in photos if photo.batch == name]
        shift, then, now = likely_shift(times, runs)
        if shift:
            hours = f"{abs(shift)} h {'more' if shift > 0 else 'less'}"
            yield (
                f"{name}: {now} of {len(times)} fall into time at the bench, {then} with {hours}: "
                "is the camera set to another zone or to summer time?"
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
    for event in build.progress.photos_matched:
        if event.folder == str(real_path(folder)):
            return tuple(f"{file}={shows}" for batch in event.batches for file, shows in batch.clocks)
    return ()
