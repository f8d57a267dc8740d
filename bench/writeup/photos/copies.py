"""Web-sized copies of a build's photos: made, recorded, put beside a page or inside it.

They lie in the build's folder, each under a name that tells what it was made from; nothing is written twice.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from pathlib import Path

from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.files import MEGABYTE, open_plain, read_plain_file
from bench.log.photos import MatchedPhoto
from bench.session.build import Build
from bench.session.folders import slug
from bench.writeup.output_files import own_folder, write_file
from bench.writeup.photos import web_copy as webcopy
from bench.writeup.photos.matching import LeftOut, Match, Tell
from bench.writeup.photos.photo_map import Shown, shown
from bench.writeup.story_model import PhotoRow

COPIES = "photos"
"""Folder of the copies, beside the log."""
_MOST_BYTES = 20 * MEGABYTE
"""Of a copy; one has about a hundredth of that."""


def take_in(build: Build, found: Match, tell: Tell | None = None) -> Match:
    """Write the copies and record the match; returns it with the copies' names and sizes.

    A photo that turns out to be damaged, or to be the same picture as another, is left out with a word. With
    no photo left nothing is recorded. Raises SoldersideError when a copy or the log cannot be written: then
    nothing is recorded either.
    """
    build.writer.require_writable()
    if not found.photos:
        return found
    target = build.log.folder / COPIES
    own_folder(target)
    photos: list[Shown] = []
    left_out = list(found.left_out)
    first: dict[str, str] = {}
    for number, each in enumerate(found.photos, 1):
        if tell:
            tell("copying", number, len(found.photos))
        try:
            copied = _copy(found.folder / each.photo.file, each.photo, target)
        except SoldersideError as error:
            if isinstance(error.__cause__, OSError) and error.where.startswith(str(target)):
                raise
            left_out.append(LeftOut(file=each.photo.file, why=f"{error.what}; {error.hint}"))
            continue
        same = first.setdefault(copied.copy.rpartition("-")[2], each.photo.file)
        if same != each.photo.file:
            left_out.append(LeftOut(file=each.photo.file, why=f"the same picture as {same}"))
        else:
            photos.append(replace(each, photo=copied))
    if photos:
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
        except SoldersideError:
            pass  # a damaged copy is made anew
    made = webcopy.web_copy(source)
    write_file(path, made.data)
    return replace(photo, copy=name, width=made.width, height=made.height)


def _digest(source: Path) -> str:
    """SHA-256 of a photo and of how its copy is made; raises SoldersideError."""
    digest = hashlib.sha256(f"{webcopy.LONG_SIDE} {webcopy.QUALITY}".encode())
    with open_plain(source, "photo", follow=False) as file:
        try:
            while block := file.read(1 << 20):
                digest.update(block)
        except OSError as error:
            raise SoldersideError(
                f"the file cannot be read ({error.strerror})", str(source), "check its permissions"
            ) from error
    return digest.hexdigest()


def copy_bytes(build_folder: Path, row: PhotoRow) -> bytes:
    """The web-sized copy of a photo in a story, a JPEG, for a page that carries its pictures inside.

    Raises SoldersideError when the copy is gone or cannot be read.
    """
    path = _copy_path(build_folder, row)
    try:
        return read_plain_file(path, _MOST_BYTES, "photo", follow=False)
    except SoldersideError as error:
        raise _no_copy(path, error.what) from error


def _copy_path(build_folder: Path, row: PhotoRow) -> Path:
    """Where a copy lies; raises SoldersideError when it would lie elsewhere than in the folder of copies."""
    folder = build_folder / COPIES
    if folder.is_symlink() or row.file != Path(row.file).name:
        raise _no_copy(folder / row.file, "it lies outside the build's folder")
    return folder / row.file


def unused_copies(build: Build) -> int:
    """How many copies lie there that the article does not show any more.

    They are never deleted: the originals may be gone from the camera's card.
    """
    used = {each.photo.copy for each in shown(build.events, build.progress)}
    return sum(path.name not in used for path in (build.log.folder / COPIES).glob("*.jpg"))


def need_copies(build_folder: Path, rows: Sequence[PhotoRow]) -> None:
    """Raise SoldersideError when the copy of one of these photos is gone."""
    for row in rows:
        path = _copy_path(build_folder, row)
        if not path.is_file():
            raise _no_copy(path, "it is gone")


def _no_copy(path: Path, why: str) -> SoldersideError:
    hint = "make the copies again: solderside photos BUILD"
    return SoldersideError(f"the copy of a photo cannot be read ({why})", str(path), hint)


def copy_beside(build_folder: Path, rows: Sequence[PhotoRow], folder: Path) -> None:
    """Put the copies of these photos into a folder beside a page; raises SoldersideError.

    A copy that stands there already is left alone: its name tells what is in it.
    """
    for row in rows:
        if not (folder / row.file).is_file():
            data = copy_bytes(build_folder, row)
            own_folder(folder, follow=True)
            write_file(folder / row.file, data)


def beside_page(pictures: Mapping[str, bytes], folder: str) -> dict[str, str]:
    """Path -> where each of these (path -> JPEG) lies in a folder beside a page, seen from the page."""
    return {
        path: f"{folder}/{slug(Path(path).stem)}-{hashlib.sha256(data).hexdigest()[:12]}.jpg"
        for path, data in pictures.items()
    }


def write_beside(pictures: Mapping[str, bytes], folder: Path) -> None:
    """Write pictures (path -> JPEG) below the folder of a page; raises SoldersideError."""
    for path, data in pictures.items():
        own_folder((folder / path).parent)
        write_file(folder / path, data)
