"""The film as an edit decision list in plain text: CMX 3600, the form that most editing programs read. Pure.

Source: "Edl Overview" of the EdlMax manual (edlmax.com: plain ASCII text, at most 999 events, the common ground
of editing systems) and, from memory, the layout of an event: number, reel of up to eight characters, channels
(`V`, `A`, `AA/V`), kind of edit, source in and out, record in and out; `M2` for speed in frames a second;
`* FROM CLIP NAME:` and `* LOC:` as remarks. Timecode counts as in SMPTE ST 12-1 without dropped frames (from
memory). The first frame is at one hour (common practice, no source).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from bench.errors import SoldersideError
from bench.writeup.film.clip_names import file_parts
from bench.writeup.film.edited import Edited
from bench.writeup.words import one_line

MOST_EVENTS = 999
START_HOUR = 1
_REEL = 8
_WIDEST = 70
_COLOURS = {
    "works": "GREEN", "snag": "RED", "mended": "CYAN", "show": "MAGENTA", "tip": "YELLOW", "insert": "WHITE",
}  # fmt: skip
COLOUR_OF_THE_REST = "BLUE"
_NO_REELS = {"BL", "BLACK", "BARS", "AX"}
"""Reels with a meaning of their own."""
_SPELT = str.maketrans(
    {
        "\u03a9": "ohm", "\u2126": "ohm", "\u00b5": "u", "\u03bc": "u", "\u00b1": "+/-", "\u00b0": "deg",
        "\u00d7": "x", "\u2026": "...", "\u2013": "-", "\u2014": "-", "\u2019": "'", "\u2018": "'",
        "\u201c": '"', "\u201d": '"',
    }
)  # fmt: skip


def colour_of(kind: str) -> str:
    """The colour of a mark, by the names that edit decision lists use."""
    return _COLOURS.get(kind, COLOUR_OF_THE_REST)


def edl_file(film: Edited) -> str:
    """The film's cuts and marks; further cameras have no place in it, but inserts are marks.

    Picture and two channels of sound where a clip plays as it was filmed (`AA/V`), else picture alone. Times in
    clips are counted from their timecode, or from their first frame. Raises SoldersideError for too many cuts.
    """
    if len(film.cut) > MOST_EVENTS:
        raise SoldersideError(
            f"an EDL holds {MOST_EVENTS} cuts, and this film has {len(film.cut)}", "", "shorten the cut list"
        )
    count = round(film.rate)
    zero = START_HOUR * 3600 * count
    reels = reel_names(dict.fromkeys(item.clip for item in film.cut))
    notes = list(film.notes)
    lines = [f"TITLE: {ascii_words(film.title)}", "FCM: NON-DROP FRAME", ""]
    at = 0
    for number, item in enumerate(film.cut, 1):
        reel = f"{reels[item.clip]:<8}"
        # a camera begins anew after a day; an event that runs over midnight ends past 24 hours
        start = (item.start + film.sources[item.clip].first) % (86_400 * count)
        used = max(1, round(item.frames * item.speed))
        times = (start, start + used, zero + at, zero + at + item.frames)
        told = " ".join(timecode(frame, count) for frame in times)
        lines.append(f"{number:03d}  {reel} {'AA/V' if item.speed == 1 else 'V   '}  C        {told}")
        if item.speed != 1:
            speed = f"{item.speed * film.rate:05.1f}"
            lines.append(f"M2   {reel}       {speed}                {timecode(start, count)}")
            lines.append(f"* NO SOUND AT {item.speed:g}X")
        lines.append(f"* FROM CLIP NAME: {_letters(file_parts(item.clip)[-1])}")
        at += item.frames
        while notes and notes[0].frame < at:
            note = notes.pop(0)
            where, colour = timecode(zero + note.frame, count), colour_of(note.kind)
            lines.append(f"* LOC: {where} {colour:<7} {ascii_words(note.text)}")
    return "\n".join(lines) + "\n"


def timecode(frame: int, count: int) -> str:
    """Hours, minutes, seconds and frames, `count` frames a second.

    >>> timecode(90_062, 25)
    '01:00:02:12'
    """
    seconds, frames = divmod(frame, count)
    return f"{seconds // 3600:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}:{frames:02d}"


def ascii_words(text: str) -> str:
    """A text in plain letters on one line of at most 70; what no letter stands for becomes a question mark.

    >>> ascii_words("4k7 Ω – café")
    '4k7 ohm - cafe'
    """
    plain = _letters(text)
    return plain if len(plain) <= _WIDEST else plain[: _WIDEST - 3].rstrip() + "..."


def _letters(text: str) -> str:
    flat = unicodedata.normalize("NFKD", one_line(text).translate(_SPELT))
    kept = "".join(char for char in flat if not unicodedata.combining(char))
    return kept.encode("ascii", "replace").decode()


def reel_names(clips: Iterable[str]) -> dict[str, str]:
    """A reel for each clip: capitals and figures of its name, eight at most, each once.

    >>> reel_names(["close-1.mov", "close-1.mp4", "BL.mov"])
    {'close-1.mov': 'CLOSE1', 'close-1.mp4': 'CLOSE12', 'BL.mov': 'BL2'}
    """
    found: dict[str, str] = {}
    taken = set(_NO_REELS)
    for clip in clips:
        stem = re.sub(r"[^A-Z0-9]", "", re.sub(r"\.[A-Za-z0-9]{2,4}$", "", clip).upper()) or "CLIP"
        reel, number = stem[:_REEL], 1
        while reel in taken:
            number += 1
            reel = f"{stem[: _REEL - len(str(number))]}{number}"
        taken.add(reel)
        found[clip] = reel
    return found
