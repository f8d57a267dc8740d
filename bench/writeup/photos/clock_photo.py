"""What a builder says of a photo of the bench clock: `IMG_0012.jpg=18:20:05`. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date
from datetime import time as time_of_day

from msgspec import Struct

from bench.errors import SoldersideError
from bench.writeup.photos.exif_time import YEARS, offset_seconds

_SHOWS = re.compile(
    r"(?:(\d{4}-\d{2}-\d{2})[T ]\s*)?(\d{1,2}):(\d{2})(?::(\d{2})(?:\.(\d{1,6}))?)?\s*(Z|z|[+-]\d{2}:?\d{2})?"
)


class ClockPhoto(Struct, frozen=True, kw_only=True):
    """What the bench clock showed in a photo of it."""

    file: str
    day: date | None
    """None when only the time of day is known."""
    time: time_of_day
    zone: int | None
    """Seconds ahead of UTC; None for the builder's zone."""


def clock_photo(text: str) -> ClockPhoto:
    """What a builder says of a photo of the bench clock; raises SoldersideError when it cannot be read.

    A time without seconds is taken as the middle of its minute.

    >>> clock_photo("IMG_0012.jpg=18:20:05").time
    datetime.time(18, 20, 5)
    >>> clock_photo("a=b.jpg=2031-02-03T18:20+01:00").file
    'a=b.jpg'
    """
    file, _, shows = text.rpartition("=")
    found = _SHOWS.fullmatch(shows.strip())
    hint = "write it as --clock IMG_0012.jpg=18:20:05 or IMG_0012.jpg=2031-02-03T18:20:05"
    if not file.strip() or not found:
        raise SoldersideError("this is not a photo and what the clock shows in it", text, hint)
    try:
        day = date.fromisoformat(found[1]) if found[1] else None
        if day and day.year not in YEARS:
            raise ValueError(found[1])
        return ClockPhoto(
            file=file.strip(),
            day=day,
            time=time_of_day(
                int(found[2]), int(found[3]), int(found[4] or 30), int((found[5] or "0").ljust(6, "0"))
            ),
            zone=_zone(found[6]),
        )
    except ValueError:
        raise SoldersideError("this is not a time", text, hint) from None


def _zone(text: str | None) -> int | None:
    seconds = offset_seconds(text) if text else None
    if text and seconds is None:
        raise ValueError(text)
    return seconds


def find_file(named: str, files: Iterable[str], where: str = "in the folder") -> str:
    """The file that somebody means, by its path or its name alone; raises SoldersideError when none or several.

    >>> find_file("IMG_2.jpg", ["desk/IMG_1.jpg", "desk/IMG_2.jpg"])
    'desk/IMG_2.jpg'
    """
    known = list(files)
    if named in known:
        return named
    wanted = named.replace("\\", "/").removeprefix("./").casefold()
    found = [
        file for file in known if file.casefold() == wanted or file.rpartition("/")[2].casefold() == wanted
    ]
    if len(found) == 1:
        return found[0]
    if found:
        raise SoldersideError("several photos have this name", named, f"say which: {', '.join(found[:3])}")
    raise SoldersideError(f"there is no such photo {where}", named, "give its name as the folder has it")
