"""The photos that a page shows: near-doubles left out, and all of it under three megabytes.

Pillow is asked where it is installed; without it all photos count as different and go in as they are.
"""

from __future__ import annotations

import contextlib
from collections.abc import Mapping
from functools import lru_cache
from io import BytesIO
from pathlib import Path

from bench.errors import SoldersideError
from bench.writeup.own_words import picture_paths
from bench.writeup.photo_choice import spread
from bench.writeup.photos.copies import copy_bytes
from bench.writeup.photos.web_copy import PICTURE_FAULTS, web_copy
from bench.writeup.story_model import PhotoRow, Story

ROOM = 1_900_000
"""Bytes of all pictures of one page; inside a page they take a third more."""
LONG_SIDE, QUALITY = 960, 72
"""Pixels of the longer side and JPEG quality of a picture inside a page."""
SAME = 8
"""So many of the 64 gradients may differ in near-doubles (difference hash, common practice, no source)."""


def chosen(build_folder: Path, story: Story) -> tuple[str, ...]:
    """Files of the photos to show, the ones not to be missed first."""

    @lru_cache(maxsize=512)
    def gradients(file: str) -> int | None:
        row = next(row for row in story.photos if row.file == file)
        try:
            return _gradients(copy_bytes(build_folder, row))
        except SoldersideError:
            return None

    def alike(one: PhotoRow, other: PhotoRow) -> bool:
        first, second = gradients(one.file), gradients(other.file)
        return first is not None and second is not None and (first ^ second).bit_count() <= SAME

    return spread(story, alike)


def pictures_for_page(build_folder: Path, story: Story, own: Mapping[str, bytes]) -> dict[str, bytes]:
    """Those of own words, then the chosen photos (file -> JPEG) as far as there is room for them.

    Raises SoldersideError when a copy is gone.
    """
    rows = {row.file: row for row in story.photos}
    told = dict(own)
    taken = sum(map(len, own.values()))
    for file in chosen(build_folder, story):
        data = _smaller(copy_bytes(build_folder, rows[file]))
        if taken + len(data) <= ROOM or not told:
            told[file] = data
            taken += len(data)
    return told


def own_pictures(texts: Mapping[str, str], folder: Path) -> dict[str, bytes]:
    """Path -> JPEG of each picture in the own words of a page in `folder`, as far as there is room.

    One that is not there, lies outside of the folder or is none is left out: the page says what it is of.
    """
    told: dict[str, bytes] = {}
    for path in picture_paths(texts):
        file = _inside(path, folder)
        with contextlib.suppress(SoldersideError):
            data = web_copy(file, LONG_SIDE, QUALITY).data if file else b""
            if data and sum(map(len, told.values())) + len(data) <= ROOM:
                told[path] = data
    return told


def _inside(path: str, folder: Path) -> Path | None:
    """The file of a path below a folder, to which no link leads and no step back."""
    steps = path.removeprefix("./").split("/")
    if not all(steps) or any(step.startswith(".") or "\\" in step or "\0" in step for step in steps):
        return None
    ways = [folder.joinpath(*steps[: count + 1]) for count in range(len(steps))]
    return None if any(way.is_symlink() for way in ways) else ways[-1]


def _gradients(jpeg: bytes) -> int | None:
    """64 bits, each true where a point of the small grey picture is lighter than the one beside it."""
    try:
        from PIL import Image
    except ImportError:
        return None
    try:
        with Image.open(BytesIO(jpeg)) as image:
            image.draft("L", (72, 64))
            grey = list(image.convert("L").resize((9, 8)).tobytes())
    except PICTURE_FAULTS:
        return None
    bits = 0
    for row in range(8):
        for column in range(8):
            bits = bits * 2 + (grey[row * 9 + column] > grey[row * 9 + column + 1])
    return bits


def _smaller(jpeg: bytes) -> bytes:
    """A copy fit for a page; the copy itself where it is small or cannot be made smaller."""
    try:
        from PIL import Image
    except ImportError:
        return jpeg
    try:
        with Image.open(BytesIO(jpeg)) as image:
            if max(image.size) <= LONG_SIDE:
                return jpeg
            image.draft("RGB", (LONG_SIDE, LONG_SIDE))
            image.thumbnail((LONG_SIDE, LONG_SIDE))
            out = BytesIO()
            image.convert("RGB").save(out, "JPEG", quality=QUALITY, progressive=True, optimize=True)
    except PICTURE_FAULTS:
        return jpeg
    return min(out.getvalue(), jpeg, key=len)
