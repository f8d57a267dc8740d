"""What a picture's EXIF says of when it was taken, and by which camera.

Tag numbers and the form of their texts follow CIPA DC-008 (Exif 2.32): dates in section 4.6.5 F (`YYYY:MM:DD
HH:MM:SS`, blanks where unknown), offsets from UTC (`+01:00`), fractions of a second, and section 4.6.4 for
make, model and DateTime. The position and its clock are never read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime, timedelta

from msgspec import Struct

MAKE, MODEL, SERIAL = 0x010F, 0x0110, 0xA431
EXIF_IFD = 0x8769
"""Points to the tags about the taking of the picture."""
DATE_TIME_ORIGINAL, DATE_TIME_DIGITIZED, DATE_TIME = 0x9003, 0x9004, 0x0132
OFFSET_ORIGINAL, OFFSET_DIGITIZED, OFFSET_TIME = 0x9011, 0x9012, 0x9010
SUBSEC_ORIGINAL, SUBSEC_DIGITIZED, SUBSEC_TIME = 0x9291, 0x9292, 0x9290

_DATES = (
    (DATE_TIME_ORIGINAL, OFFSET_ORIGINAL, SUBSEC_ORIGINAL, ""),
    (DATE_TIME_DIGITIZED, OFFSET_DIGITIZED, SUBSEC_DIGITIZED, ""),
    (DATE_TIME, OFFSET_TIME, SUBSEC_TIME, "the picture has only the date of its last change"),
)
_DATE = re.compile(r"(\d{4})[:/-](\d{2})[:/-](\d{2})[ T](\d{2}):(\d{2}):(\d{2})")
_UNKNOWN = re.compile(r"[\s:0]*")
_OFFSET = re.compile(r"([+-])(\d{2}):?(\d{2})")
YEARS = range(1900, 2200)
"""A date outside of these is none."""


class Stamp(Struct, frozen=True, kw_only=True):
    """When a picture says that it was taken."""

    local: datetime | None = None
    """What the camera's clock showed, without a zone; None when the picture does not say."""
    zone: int | None = None
    """Seconds that the camera's zone is ahead of UTC; None when the picture does not say."""
    camera: str = ""
    """Make, model and serial number, as far as they are there."""
    doubt: str = ""


def stamp_of(tags: Mapping[int, object]) -> Stamp:
    """The stamp in these EXIF tags, the main ones and those about the taking together.

    >>> stamp_of({0x9003: "2031:02:03 18:20:05", 0x9011: "+01:00", 0x9291: "25"}).local.isoformat()
    '2031-02-03T18:20:05.250000'
    """
    camera = _camera(tags)
    doubt = ""
    for date, offset, fraction, remark in _DATES:
        text = _text(tags.get(date))
        if _UNKNOWN.fullmatch(text):
            continue
        local = _local(text, _text(tags.get(fraction)))
        if local is not None:
            zone = offset_seconds(_text(tags.get(offset)))
            return Stamp(local=local, zone=zone, camera=camera, doubt=doubt or remark)
        doubt = doubt or f"its date is impossible ({text[:40]})"
    return Stamp(camera=camera, doubt=doubt)


def offset_seconds(text: str) -> int | None:
    """Seconds ahead of UTC; None when the text is no offset.

    The form is that of RFC 3339, section 5.6 (`time-numoffset`, hours up to 23 and minutes up to 59, or `Z`).

    >>> offset_seconds("-08:00"), offset_seconds("Z"), offset_seconds("   :  "), offset_seconds("+01:75")
    (-28800, 0, None, None)
    """
    text = text.strip()
    if text in ("Z", "z"):
        return 0
    found = _OFFSET.fullmatch(text)
    if not found or int(found[2]) > 23 or int(found[3]) > 59:
        return None
    seconds = int(found[2]) * 3600 + int(found[3]) * 60
    return -seconds if found[1] == "-" else seconds


def offset_text(seconds: float) -> str:
    """An offset from UTC as people write it.

    >>> offset_text(-28800), offset_text(0), offset_text(20700)
    ('-08:00', '+00:00', '+05:45')
    """
    minutes = round(abs(seconds) / 60)
    return f"{'-' if seconds < 0 else '+'}{minutes // 60:02d}:{minutes % 60:02d}"


def _local(text: str, fraction: str) -> datetime | None:
    found = _DATE.fullmatch(text)
    if not found:
        return None
    if int(found[1]) not in YEARS:
        return None
    try:
        local = datetime.fromisoformat(f"{found[1]}-{found[2]}-{found[3]}T{found[4]}:{found[5]}:{found[6]}")
    except ValueError:
        return None
    digits = fraction.strip()
    if digits.isascii() and digits.isdigit():
        local += timedelta(microseconds=int(digits[:6].ljust(6, "0")))
    return local


def _camera(tags: Mapping[int, object]) -> str:
    make, model, serial = (_text(tags.get(tag)) for tag in (MAKE, MODEL, SERIAL))
    named = model if not make or model.casefold().startswith(make.casefold()) else f"{make} {model}".strip()
    return " ".join(f"{named} {serial}".split())[:120]


def _text(value: object) -> str:
    """A tag's text without the NUL that ends it; empty when it is none."""
    if isinstance(value, bytes):
        value = value.decode("utf-8", "replace")
    return value.split("\0")[0].strip() if isinstance(value, str) else ""
