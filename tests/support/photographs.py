"""Photos made for tests: EXIF written by Pillow, a build to match them to, a reader of what a JPEG holds."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

from PIL import Image

from bench.session.build import Build
from tests.support.samples import START, HandClock, small_build

ORIGINAL, OFFSET, SUBSEC = 0x9003, 0x9011, 0x9291
"""DateTimeOriginal, OffsetTimeOriginal, SubSecTimeOriginal: CIPA DC-008 (Exif 2.32), table 8."""
MAKE, MODEL, ORIENTATION, EXIF_IFD, GPS_IFD = 0x010F, 0x0110, 0x0112, 0x8769, 0x8825
"""CIPA DC-008 (Exif 2.32), tables 3 and 4."""


def photo(
    path: Path,
    at: float | str | None = None,
    *,
    zone: tzinfo = UTC,
    offset: str = "",
    subsec: str = "",
    make: str = "Lantern Yard",
    model: str = "K2",
    size: tuple[int, int] = (64, 48),
    colour: str = "",
    orientation: int = 1,
    file_time: float | None = None,
) -> Path:
    """A photo whose camera showed `at` (UTC seconds told in `zone`, or a text as it stands in the EXIF).

    Each path gets a picture of its own, so that no two photos are the same.
    """
    exif = Image.Exif()
    inside = exif.get_ifd(EXIF_IFD)
    if isinstance(at, float):
        at = datetime.fromtimestamp(at, UTC).astimezone(zone).strftime("%Y:%m:%d %H:%M:%S")
    if at is not None:
        inside[ORIGINAL] = at
    if offset:
        inside[OFFSET] = offset
    if subsec:
        inside[SUBSEC] = subsec
    if make:
        exif[MAKE], exif[MODEL] = make, model
    if orientation != 1:
        exif[ORIENTATION] = orientation
    picture = Image.new("RGB", size, colour or "white")
    if not colour:
        for number, byte in enumerate(str(path).encode()):
            picture.putpixel((number % size[0], number // size[0] % size[1]), (byte, byte, 90))
    path.parent.mkdir(parents=True, exist_ok=True)
    picture.save(path, exif=exif) if len(exif) or len(inside) else picture.save(path)
    if file_time is not None:
        os.utime(path, (file_time, file_time))
    return path


def evening(folder: Path, clock: HandClock | None = None) -> Build:
    """A build of the small kit on a hand clock: flat parts of `main` from START to START + 300 s, a snag at
    130 s, then `control` to 360 s, a break to 960 s, `Before power` to 1020 s; the program closed at 1030 s.
    """
    clock = clock or HandClock()
    build = small_build(folder, clock)
    build.opened()
    clock.work(100)
    build.done()
    clock.work(30)
    build.snag("D1 sat the wrong way round", "D1")
    clock.work(70)
    build.done()
    clock.work(100)
    build.done()
    clock.work(60)
    build.done()
    build.break_begin()
    clock.work(600)
    build.break_end()
    clock.work(60)
    build.reading("1k21")
    clock.work(10)
    build.opened()
    return build


def at(seconds: float) -> float:
    """UTC seconds so long after the evening began."""
    return START + seconds


def local(seconds: float, hours: float = 0.0) -> str:
    """The evening's time as EXIF has it, on a clock so many hours ahead of UTC."""
    moment = datetime.fromtimestamp(at(seconds), UTC) + timedelta(hours=hours)
    return moment.strftime("%Y:%m:%d %H:%M:%S")


def segments(jpeg: bytes) -> list[tuple[int, bytes]]:
    """Marker and payload of every segment up to the scan, and what follows the end of the image as marker 0.

    The structure is that of ITU-T T.81, annex B.1: FF, a marker, and but for SOI and EOI a length of two bytes
    that counts itself.
    """
    assert jpeg[:2] == b"\xff\xd8"
    found, place = [], 2
    while jpeg[place + 1] != 0xD9:
        assert jpeg[place] == 0xFF
        marker, length = jpeg[place + 1], int.from_bytes(jpeg[place + 2 : place + 4], "big")
        found.append((marker, jpeg[place + 4 : place + 2 + length]))
        place += 2 + length
        if marker == 0xDA:
            while not (jpeg[place] == 0xFF and jpeg[place + 1] not in (0x00, *range(0xD0, 0xD8))):
                place += 1
    found.append((0, jpeg[place + 2 :]))
    return found
