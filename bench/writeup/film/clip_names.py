"""What a clip's name tells: its file, its camera; and the timecode of its first frame. Pure."""

from __future__ import annotations

import re

from bench.errors import Refused
from bench.writeup.words import one_line

_COUNTER = re.compile(r"\d+(?=\D*$)")
_ENDING = re.compile(r"\.[A-Za-z0-9]{2,4}$")
_TIMECODE = re.compile(r"(\d\d):(\d\d):(\d\d)([:;.])(\d\d)", re.ASCII)


def file_parts(clip: str) -> tuple[str, ...]:
    """Folders and file name of a clip below the folder that all clips are in; never leads out of it.

    >>> file_parts("A/C0001.MP4"), file_parts("..\\\\..\\\\x.mov"), file_parts("/")
    (('A', 'C0001.MP4'), ('x.mov',), ('clip',))
    """
    parts = one_line(clip).replace("\\", "/").split("/")
    return tuple(part for part in parts if part not in ("", ".", "..")) or ("clip",)


def camera_name(clip: str) -> str:
    """What clips of one camera have in common in their names; where that is nothing, their folder or `clips`.

    >>> camera_name("close-1.mov"), camera_name("A/C0012.MP4"), camera_name("0012.mov")
    ('close', 'A/C', 'clips')
    """
    stem = _ENDING.sub("", clip)
    return _COUNTER.sub("", stem).strip(" -_./") or "clips"


def read_timecode(text: str, count: int) -> int:
    """Number of a clip's first frame as its camera counted it, `count` frames a second. Raises Refused.

    >>> read_timecode("01:00:02:12", 25)
    90062
    """
    found = _TIMECODE.fullmatch(text.strip())
    if not found:
        raise Refused(f"{text!r} is not a timecode", "", "write hours, minutes, seconds, frames: 18:03:30:12")
    if found[4] != ":":
        raise Refused(
            f"{text!r} is timecode with dropped frames, which the timelines do not write",
            "",
            "set the camera to non-drop, or leave the timecode out and relink by name",
        )
    hours, minutes, seconds, frames = (int(found[at]) for at in (1, 2, 3, 5))
    if hours > 23 or minutes > 59 or seconds > 59 or frames >= count:
        raise Refused(
            f"{text!r} is no timecode at {count} frames a second",
            "",
            f"from 00:00:00:00 to 23:59:59:{count - 1}; film_frames in the settings is the rate",
        )
    return (hours * 3600 + minutes * 60 + seconds) * count + frames
