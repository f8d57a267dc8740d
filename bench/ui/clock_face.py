"""The clock that is filmed, and the mark that a clap makes; pure, cells only.

All digits are as wide as one another, so that nothing on the face moves but what changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta, tzinfo
from functools import lru_cache

from msgspec import Struct

from bench.log.clock import utc_seconds
from bench.log.events import SyncMarked
from bench.parts.english import counted
from bench.ui.big_type import draw, height_of
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, cut
from bench.writeup.film.clock_map import how_found
from bench.writeup.film.footage import Filmed
from bench.writeup.words import clock_text

DIGIT, COLON = 5, 1
"""Dots that a digit and a colon are wide."""
TIME_DOTS = 6 * DIGIT + 2 * COLON + 7
"""Width of hours, minutes and seconds with the gaps between."""
LARGEST = 12
"""Cells that a dot is wide at most."""
TENTHS = 10
_DRAWN = {":": "∶", "0": "O"}
"""A narrow colon, and a zero without its bar: out of focus a zero with one is an 8."""
_DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip


class Face(Struct, frozen=True, kw_only=True):
    """What a clock shows at one moment."""

    time: str
    """`18:20:05`."""
    part: str
    """Frame, in two digits, or `.4` for tenths."""
    date: str
    offset: str
    """`UTC+01:00`."""


def face_of(seconds: float, zone: tzinfo | None = None, frames: int = 0) -> Face:
    """The face at a moment (seconds since 1970) in a zone, without one in this computer's.

    `frames` a second are counted, or tenths with 0.

    >>> from datetime import timezone
    >>> face = face_of(1_927_819_205.48, timezone.utc, 25)
    >>> face.time, face.part, face.date, face.offset
    ('17:20:05', '12', 'Sunday 2 February 2031', 'UTC+00:00')
    """
    utc = datetime.fromtimestamp(seconds, UTC)
    local = utc.astimezone(zone)
    milliseconds = int(utc.microsecond / 1000 + 0.5)
    ahead = local.replace(tzinfo=None) - utc.replace(tzinfo=None)
    part = (
        f"{min(milliseconds * frames // 1000, frames - 1):02d}" if frames else f".{utc.microsecond // 100_000}"
    )
    return Face(
        time=f"{local:%H:%M:%S}",
        part=part,
        date=f"{_DAYS[local.weekday()]} {local.day} {_MONTHS[local.month - 1]} {local.year}",
        offset=offset_text(ahead),
    )


def offset_text(ahead: timedelta) -> str:
    """An offset from UTC.

    >>> offset_text(timedelta(hours=1)), offset_text(-timedelta(hours=3, minutes=30))
    ('UTC+01:00', 'UTC-03:30')
    """
    minutes = round(ahead.total_seconds() / 60)
    return f"UTC{'-' if minutes < 0 else '+'}{abs(minutes) // 60:02d}:{abs(minutes) % 60:02d}"


def until_next(seconds: float, frames: int = 0) -> float:
    """Seconds until the face changes.

    >>> round(until_next(100.02, 25), 3), round(until_next(100.02), 3)
    (0.02, 0.08)
    """
    rate = frames or TENTHS
    return max(0.001, (int(seconds * rate + 1e-6) + 1) / rate - seconds)


def clap_time(clap: SyncMarked, zone: tzinfo | None = None) -> str:
    """When a clap was made, to the hundredth of a second, in a zone."""
    seconds = utc_seconds(clap.at) or 0.0
    return f"{face_of(seconds, zone).time}.{int(seconds * 100 + 1e-3) % 100:02d}"


def clap_words(clap: SyncMarked, zone: tzinfo | None = None) -> str:
    """What to say of a clap just made: its number and its moment."""
    return (
        f"CLAP {clap.number} at {clap_time(clap, zone)}. Say later where the clip shows it: {clap.number}=12.48"
    )


def local_time(seconds: float) -> str:
    """A bench time in this machine's zone, to the tenth of a second."""
    return f"{datetime.fromtimestamp(seconds, UTC).astimezone():%Y-%m-%d %H:%M:%S}.{int(seconds * 10) % 10}"


def clip_line(filmed: Filmed) -> str:
    """A clip on one line: when, how long, how many chapters, how it was placed, whether that is doubtful."""
    clip = filmed.clip
    if clip.map is None:
        return f"clip {clip.name}   NOT PLACED: {' '.join(clip.doubts)}"
    length = clock_text(clip.length) if clip.length_known else "length unknown"
    doubts = f"   ! {counted(len(clip.doubts), 'question')}" if clip.doubts else ""
    return (
        f"clip {clip.name}   {local_time(clip.begins)}   {length}   "
        f"{counted(len(filmed.chapters.chapters), 'chapter')}   {how_found(clip.map)}{doubts}"
    )


def lay_face(face: Face, about: str, word: str, width: int, height: int) -> tuple[StyledRow, ...]:
    """The clock in `width` by `height` cells: the time as large as it fits, frames or tenths under it."""
    small: list[StyledRow] = [
        _middle(cut(f"{face.date}   {face.offset}", width), "plain", width),
        _middle(cut(clean(about, 200), width), "faint", width),
        _middle(cut(clean(word, 200), width), "loud" if word else "plain", width),
    ]
    for scale in range(LARGEST, 0, -1):
        left = height - 2 * height_of(scale) - len(small)
        if TIME_DOTS * scale <= width and left >= 0:
            air: list[StyledRow] = [()] if left >= 2 else []
            time = [_middle(row, "value", width) for row in digits(face.time, scale)]
            part = [_middle(row, "refs", width) for row in digits(face.part, scale)]
            return _centred([*time, *air, *part, *air, *small], height)
    plain = _middle(f"{face.time} {face.part}", "value", width)
    return _centred([plain, *small][: max(1, height)], height)


def lay_mark(number: int, said: str, width: int, height: int) -> tuple[StyledRow, ...]:
    """The mark of a clap over the whole room: its number, dark on light, as large as it fits."""
    body: list[str] = [f"CLAP {number}"]
    for scale in range(LARGEST, 0, -1):
        big = digits(str(number), scale)
        if len(big[0]) <= width - 2 and len(big) + 4 <= height:
            body = ["CLAP", "", *big, "", cut(said, width)]
            break
    above = max(0, (height - len(body)) // 2)
    rows = [""] * above + body
    rows += [""] * (height - len(rows))
    return tuple(((row.center(width)[:width], "loud"),) for row in rows[:height])


@lru_cache(maxsize=64)
def digits(text: str, scale: int) -> tuple[str, ...]:
    """Digits, colons and a point in large type, each digit equally wide.

    >>> print("\\n".join(row.rstrip() for row in digits("1:0", 1)))
      ▄█    ▄▀▀▀▄
     ▀ █  ▀ █   █
       █  ▀ █   █
       ▀     ▀▀▀
    """
    columns = []
    for char in text:
        rows = draw(_DRAWN.get(char, char), scale)
        room = (COLON if char == ":" else len(rows[0]) // scale if char == "." else DIGIT) * scale
        columns.append([row.center(room) for row in rows])
    return tuple((" " * scale).join(column[row] for column in columns) for row in range(height_of(scale)))


def _middle(text: str, look: str, width: int) -> StyledRow:
    left = max(0, (width - cells(text)) // 2)
    return ((" " * left, "plain"), (text, look)) if text else ()


def _centred(rows: Sequence[StyledRow], height: int) -> tuple[StyledRow, ...]:
    return (*[()] * max(0, (height - len(rows)) // 2), *rows)
