"""What people type about clips: seconds and times of day, read strictly. Pure.

12.48   25:10   1:25:10.5          seconds, minutes, hours in a clip
1=12.48                            clap 1 is seen there
18:20:05.3=12.48                   the filmed clock shows that there
18:20:05   2031-02-03 18:20:05+01:00   when the clip starts, by the camera's clock
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, time, timedelta, timezone, tzinfo
from itertools import pairwise
from typing import TypedDict

from msgspec import Struct

from bench.errors import Refused
from bench.log.camera_events import ClipNamed
from bench.log.clock import stamp_text
from bench.writeup.moments import zone_name
from bench.writeup.sittings import SITTING_GAP_SECONDS
from bench.writeup.words import clock_text

MOST_SECONDS = 7 * 86400.0
"""No clip is longer than this."""
OPEN_END = 6 * 3600.0
"""How long a clip without a length may last, seconds, when its day is looked for."""
NEARLY = 600.0
"""A short clip in which nothing was recorded was filmed on the day with an event this near, seconds."""
_CLOCK = re.compile(r"(?:(?:(\d{1,3}):)?(\d{1,5}):)?(\d{1,6}(?:[.,]\d{1,9})?)", re.ASCII)
_EXIF_DAY = re.compile(r"(\d{4}):(\d\d):(\d\d)(?=[ T])", re.ASCII)
_FRAMES = re.compile(r"(.*\d\d:\d\d:\d\d):(\d\d)", re.ASCII)
_CODE = re.compile(r"\d\d:\d\d:\d\d[:;]\d\d", re.ASCII)
_Choice = tuple[datetime, list[str]]
"""A moment that can be meant, and what was assumed."""
_HINT = "write seconds, or minutes and seconds such as 25:10, or hours too: 1:25:10.5"


class Named(Struct, frozen=True, kw_only=True):
    """What was typed about a clip, read."""

    starts: str = ""
    """ISO 8601; with a day, a time and, unless nothing is known of it, a zone."""
    claps: tuple[tuple[int, float], ...] = ()
    shows: tuple[tuple[str, float], ...] = ()
    length: float = 0.0
    remarks: tuple[str, ...] = ()
    """What was taken for granted."""


def read_seconds(text: str) -> float:
    """Seconds of a length or a place in a clip. Raises Refused.

    >>> read_seconds("12.48"), read_seconds("25:10"), read_seconds("1:25:10,5"), read_seconds("90:00")
    (12.48, 1510.0, 5110.5, 5400.0)
    """
    found = _CLOCK.fullmatch(text.strip())
    if not found:
        raise Refused(f"{text!r} is not a time in a clip", "", _HINT)
    hours, minutes, seconds = found[1], found[2], float(found[3].replace(",", "."))
    if (minutes and seconds >= 60) or (hours and int(minutes) >= 60):
        raise Refused(f"{text!r} has 60 or more minutes or seconds", "", _HINT)
    whole = int(hours or 0) * 3600 + int(minutes or 0) * 60 + seconds
    if whole > MOST_SECONDS:
        raise Refused(f"{text!r} is longer than a week", "", _HINT)
    return whole


def frames_meant(*seconds: float) -> str:
    """What to do where frames may have been typed last and were read as seconds; empty where they were not.

    >>> frames_meant(540.0, 8 * 3600 + 11 * 60 + 6)
    '8:11:06 is read as hours, minutes, seconds; if 06 are frames, write a decimal: 8:11.24 at 25 a second'
    """
    for each in seconds:
        if each >= 3600 and each == int(each):
            hours, minutes, last = int(each) // 3600, int(each) // 60 % 60, int(each) % 60
            meant = f"if {last:02d} are frames, write a decimal: {hours}:{minutes:02d}.{last * 4 % 100:02d}"
            return f"{clock_text(each)} is read as hours, minutes, seconds; {meant} at 25 a second"
    return ""


def read_clip(
    starts: str,
    claps: Iterable[str],
    shows: Iterable[str],
    length: str,
    *,
    stamps: Sequence[float],
    zone: tzinfo | None,
    frames: int = 0,
    before: ClipNamed | None = None,
) -> Named:
    """Everything about one clip. Raises Refused when something cannot be read or contradicts itself.

    `stamps` are the bench times of the log, by which the day of a bare time of day is found; `zone` is that
    of times without one; `frames` is how many frames a second the filmed clock counts. What is left out stays
    as `before` says.
    """
    lasts = read_seconds(length) if length.strip() else before.length if before else 0.0
    if length.strip() and lasts <= 0:
        raise Refused("the length of the clip is zero", "", _HINT)
    remarks: list[str] = []
    told = tuple(map(_clap, claps))
    seen = tuple(_shown(text, stamps, zone, frames, remarks) for text in shows)
    if before:
        remarks += _known_before(before, starts=bool(starts.strip()), claps=bool(told), shows=bool(seen))
        told, seen = told or before.claps, seen or before.shows
    _refuse_contradictions(told, seen, lasts)
    begins = before.starts if before else ""
    if starts.strip():
        moment = _moment(starts, stamps, zone, lasts or OPEN_END, remarks)
        begins = moment.isoformat(timespec="milliseconds")
    if not (begins or told or seen):
        raise Refused(
            "nothing says when this clip was filmed",
            "",
            "give a clap such as 1=12.48, or its start such as 18:20:05",
        )
    return Named(starts=begins, claps=told, shows=seen, length=lasts, remarks=tuple(dict.fromkeys(remarks)))


def _known_before(before: ClipNamed, *, starts: bool, claps: bool, shows: bool) -> list[str]:
    """What was said of a clip before and stands or falls now that it is said anew when it was filmed."""
    if not (starts or claps or shows):
        return []
    said = [
        (", ".join(f"clap {number} at {at:g} s" for number, at in before.claps), claps),
        (before.starts and f"its start {before.starts}", starts),
        (", ".join(f"the clock at {at:g} s" for _, at in before.shows), shows),
    ]
    kept = " and ".join(words for words, anew in said if words and not anew)
    gone = " and ".join(words for words, anew in said if words and anew)
    found = [f"replaced: {gone}"] if gone else []
    found += [f"kept from before: {kept}"] if kept else []
    other = "another camera's file of the same name needs its folder in the name: B/C0001.MP4"
    return [*found, *([] if "/" in before.clip else [other])]


def _shown(
    text: str, stamps: Sequence[float], zone: tzinfo | None, frames: int, remarks: list[str]
) -> tuple[str, float]:
    """UTC stamp that the filmed clock shows, and seconds in the clip: `18:21:00.5=55.5`."""
    left, _, right = text.rpartition("=")
    at = read_seconds(right)
    moment = _moment(_with_frames(left, frames), stamps, zone, 0.0, remarks)
    return stamp_text(moment.timestamp()), at


def _refuse_contradictions(
    claps: Sequence[tuple[int, float]], shows: Sequence[tuple[str, float]], lasts: float
) -> None:
    """Raise Refused for a clap in two places, or a mark after the end."""
    numbers = [number for number, _ in claps]
    doubled = next((number for number in numbers if numbers.count(number) > 1), None)
    if doubled is not None:
        raise Refused(f"clap {doubled} is given twice", "", "give each clap one place in the clip")
    late = next((at for _, at in (*claps, *shows) if lasts and at > lasts), None)
    if late is not None:
        raise Refused(
            f"{late:g} s is past the clip's end at {lasts:g} s", "", frames_meant(late) or "check both"
        )


class ClipWords(TypedDict):
    """One line about a clip's clock, sorted."""

    starts: str
    claps: list[str]
    shows: list[str]
    timecode: str


def read_words(text: str) -> ClipWords:
    """One line about a clip's clock, sorted: its start, claps, readings of the filmed clock, timecode.

    >>> read_words("1=12.48, 2=30:04.2")["claps"]
    ['1=12.48', '2=30:04.2']
    >>> list(read_words("2031-02-03 18:20:05 18:21:00.5=55.5 18:03:30:12").values())
    ['2031-02-03 18:20:05', [], ['18:21:00.5=55.5'], '18:03:30:12']
    """
    words = [word for word in re.split(r"[,;]?\s+", text.replace(" = ", "=").strip()) if word]
    pairs = [word for word in words if "=" in word]
    codes = [word for word in words if _CODE.fullmatch(word)]
    return ClipWords(
        starts=" ".join(word for word in words if "=" not in word and word not in codes),
        claps=[word for word in pairs if word.split("=")[0].isdecimal()],
        shows=[word for word in pairs if not word.split("=")[0].isdecimal()],
        timecode=" ".join(codes),
    )


def _clap(text: str) -> tuple[int, float]:
    number, equals, second = text.partition("=")
    number = number.strip()
    if not equals or not number.isascii() or not number.isdecimal() or len(number) > 6:
        raise Refused(f"{text!r} is not a clap", "", "write its number and its place in the clip: 1=12.48")
    return int(number), read_seconds(second)


def _with_frames(text: str, frames: int) -> str:
    """A reading of the filmed clock that ends in frames, with a decimal part instead.

    >>> _with_frames("18:20:05:12", 25)
    '18:20:05.480'
    """
    found = _FRAMES.fullmatch(text.strip())
    if not found:
        return text
    if not frames:
        raise Refused(
            f"{text!r} ends in frames, but the clock counts tenths", "", "set clock_frames, or write .5"
        )
    if int(found[2]) >= frames:
        raise Refused(
            f"{text!r} has frame {found[2]} of {frames}", "", f"frames go from 00 to {frames - 1:02d}"
        )
    return f"{found[1]}.{round(int(found[2]) * 1000 / frames):03d}"


# -- times of day ------------------------------------------------------------------------------------
def _moment(
    text: str, stamps: Sequence[float], zone: tzinfo | None, lasts: float, remarks: list[str]
) -> datetime:
    """A time of day, with or without day and zone, as a moment with a zone; says in `remarks` what it assumed.

    It is the start of a stretch of `lasts` seconds, or with 0 a moment at which somebody was at the bench.
    """
    kept = _EXIF_DAY.sub(r"\1-\2-\3", text.strip())
    try:
        if "-" in kept[:9]:
            whole = datetime.fromisoformat(kept)
            return whole if whole.tzinfo else _in_zone(whole, zone, stamps, lasts, remarks)
        clock = time.fromisoformat(kept)
    except (ValueError, OverflowError):
        hint = "write 18:20:05, or with its day 2031-02-03 18:20:05; +01:00 at the end gives the zone"
        raise Refused(f"{text!r} is not a time of day", "", hint) from None
    if not stamps:
        raise Refused("the log is empty: it cannot say which day is meant", "", "add the day")
    own = clock.tzinfo or zone
    days: set[date] = set()
    for stamp in stamps:
        day = datetime.fromtimestamp(stamp, UTC).astimezone(own).date()
        days |= {day - timedelta(days=1), day}
    choices = []
    for day in sorted(days):
        bare, said = datetime.combine(day, clock), list[str]()
        choices.append((bare if bare.tzinfo else _in_zone(bare, zone, stamps, lasts, said), said))
    moment, said = _nearest(choices, stamps) if lasts <= 0 else _busy(choices, stamps, lasts, text.strip())
    remarks += [*said, f"read as {moment.isoformat(sep=' ', timespec='seconds')}"]
    return moment


def _nearest(choices: Sequence[_Choice], stamps: Sequence[float]) -> _Choice:
    """The choice that comes closest to an event."""
    return min(choices, key=lambda each: min(abs(stamp - each[0].timestamp()) for stamp in stamps))


def _busy(choices: Sequence[_Choice], stamps: Sequence[float], lasts: float, text: str) -> _Choice:
    """The one choice during or near which something happened; Refused when there are none or several."""
    busy = [each for each in choices if was_there(each[0].timestamp(), stamps, lasts)]
    busy = busy or [each for each in choices if was_there(each[0].timestamp(), stamps, lasts, NEARLY)]
    if len(busy) == 1:
        return busy[0]
    found = ", ".join(each[0].date().isoformat() for each in busy)
    why = (
        f"there was work at that time on several days: {found}"
        if busy
        else "nobody was at work then on any day"
    )
    raise Refused(f"{text}: {why}", "", f"add the day, such as {(busy or choices)[0][0].date()} {text}")


def _in_zone(
    bare: datetime, zone: tzinfo | None, stamps: Sequence[float], lasts: float, remarks: list[str]
) -> datetime:
    """A time of day in a zone; where clocks are put back it stands for two moments, where forward for none."""
    early, late = _offset(bare, zone, -26), _offset(bare, zone, 26)
    moments = sorted(
        moment
        for offset in {early, late}
        if (moment := bare.replace(tzinfo=timezone(offset))).astimezone(zone).replace(tzinfo=None) == bare
    )
    remarks.append(f"the camera's clock gives no zone; read in this computer's ({zone_name(zone, bare)})")
    if not moments:
        remarks.append("clocks went forward at that time; the camera is taken not to have followed")
        return bare.replace(tzinfo=timezone(early))
    if len(moments) == 1:
        return moments[0]
    chosen = next((moment for moment in moments if was_there(moment.timestamp(), stamps, lasts)), moments[0])
    which = "first" if chosen == moments[0] else "second"
    remarks.append(f"clocks went back, so that time came twice; the {which} is taken")
    return chosen


def _offset(bare: datetime, zone: tzinfo | None, hours: int) -> timedelta:
    """The zone's offset from UTC so many hours from about that time."""
    about = bare.replace(tzinfo=UTC) + timedelta(hours=hours)
    return about.astimezone(zone).utcoffset() or timedelta()


def was_there(begins: float, stamps: Sequence[float], lasts: float, around: float = 0.0) -> bool:
    """Whether something was recorded while it lasts or near it, or somebody sat at the bench all the while.

    `begins` is bench time, `stamps` those of what was recorded there, rising; `lasts` and `around` in seconds.
    """
    ends = begins + max(lasts, 1.0)
    return any(begins - around <= stamp < ends + around for stamp in stamps) or any(
        before <= begins and ends <= after
        for before, after in pairwise(stamps)
        if after - before <= SITTING_GAP_SECONDS
    )


def start_of(starts: str, zone: tzinfo | None, stamps: Sequence[float]) -> tuple[float, tuple[str, ...]] | None:
    """Seconds since 1970 of a start as it stands in the log, and what was assumed; None when it is not one."""
    remarks: list[str] = []
    try:
        moment = datetime.fromisoformat(starts)
        if moment.tzinfo is None:
            moment = _in_zone(moment, zone, stamps, OPEN_END, remarks)
        return moment.timestamp(), tuple(remarks)
    except (ValueError, OverflowError):
        return None
