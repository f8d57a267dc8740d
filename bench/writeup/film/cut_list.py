"""A cut list (which parts of which clips, in what order) and the chapters of the film it makes. Pure.

One part a line: clip, in, out, and how many times as fast it plays. Blank lines and what follows `#` do not
count; `start` and `end` stand for those of the clip; commas may stand between them.

    # the metronome, short version
    bench-1.mov   0:00    4:30
    bench-1.mov   4:30    20:30   16x
    bench-2.mov   12:04   end
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from math import ceil
from typing import NamedTuple

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import Fault, FileFaults, Refused
from bench.writeup.film.chapters import (
    AFTER,
    BEFORE,
    NO_STAGE,
    SHORTEST_FILM,
    USUAL,
    ChapterMoment,
    ChapterRules,
    Chapters,
    ClipSpot,
    at_work,
    set_apart,
)
from bench.writeup.film.clip_times import frames_meant, read_seconds
from bench.writeup.film.clips import Clip
from bench.writeup.film.clock_map import ClockMap
from bench.writeup.film.marks import CHAPTER_KINDS, FilmMark, shortened
from bench.writeup.words import clock_text, one_line

SLOWEST, FASTEST = 0.1, 100.0
_NEARLY = 0.04
"""A part of a frame of the clip; times in a cut list are rounded to the millisecond."""
_AT_ONCE = 0.02
"""A cut so near a mark, in seconds, is made at the mark."""
_SPEED_WIDEST = 14
"""Characters at the end of a line that may name a speed: the search takes time with the square of them."""
_SPEED = re.compile(r"[\s,](\d{1,4}(?:[.,]\d{1,3})?) ?x$", re.IGNORECASE | re.ASCII)


class ClipPart(Struct, frozen=True, kw_only=True):
    """A stretch of one clip."""

    clip: str
    start: float
    """Seconds in the clip at which it is cut in."""
    end: float
    """Seconds in the clip at which it is cut out; greater than `start`."""
    speed: float = 1.0
    """So many times as fast as it was filmed."""

    @property
    def lasts(self) -> float:
        """Seconds in the film."""
        return (self.end - self.start) / self.speed


def read_cut_list(text: str, where: str, clips: Mapping[str, Clip]) -> tuple[ClipPart, ...]:
    """The parts of a cut list. Raises FileFaults with every fault and its line."""
    parts: list[ClipPart] = []
    faults: list[Fault] = []
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1):
        quoted, told = _uncommented(line)
        if not (quoted or told):
            continue
        try:
            parts.append(_part(quoted, told, clips))
        except Refused as error:
            faults.append(Fault(what=error.what, where=f"{where}:{number}", hint=error.hint))
    if not parts and not faults:
        hint = "write lines such as: one.mov 0:00 4:30"
        faults.append(Fault(what="the cut list is empty", where=where, hint=hint))
    if faults:
        raise FileFaults(faults)
    return tuple(parts)


def _uncommented(line: str) -> tuple[str, str]:
    """The name in quotes at a line's start, empty without any, and the rest up to a `#` that begins a word."""
    name, line = "", line.strip()
    end = line.find(line[0], 1) if line[:1] in ("'", '"') else -1
    if end > 0:
        name, line = line[1:end], line[end + 1 :]
    words = line.split(" ")
    at = next((at for at, word in enumerate(words) if word.lstrip("\t").startswith("#")), len(words))
    return name, " ".join(words[:at]).strip()


def _part(quoted: str, line: str, clips: Mapping[str, Clip]) -> ClipPart:
    line, speed = _speed(line)
    if quoted:
        cells = [quoted, *line.replace(",", " ").split()]
    else:
        cells = [cell.strip() for cell in line.split(",")] if line.count(",") == 2 else line.rsplit(None, 2)
    if len(cells) != 3:
        raise Refused("a line needs a clip, an in and an out", "", "write it as: bench-1.mov 0:00 4:30")
    name, start_text, end_text = cells
    name = name.strip("'\"")
    clip = clips.get(name)
    if clip is None:
        raise Refused(f"there is no clip {name!r}", "", f"clips so far: {', '.join(clips) or 'none'}")
    start = 0.0 if start_text == "start" else read_seconds(start_text)
    if end_text == "end" and not clip.length_known:
        raise Refused(f"the end of {name!r} is not known", "", "write a time, or name the clip with its length")
    end = clip.length if end_text == "end" else read_seconds(end_text)
    if end <= start:
        what = f"it ends at {clock_text(end)}, before its start at {clock_text(start)}"
        raise Refused(what, "", frames_meant(start, end) or "swap them")
    if clip.length_known and end > clip.length + 1.0:
        what = f"{name!r} is only {clock_text(clip.length)} long"
        raise Refused(what, "", frames_meant(start, end) or "use an earlier out")
    return ClipPart(clip=name, start=start, end=end, speed=speed)


def _speed(line: str) -> tuple[str, float]:
    """A line without its speed, and the speed."""
    told = _SPEED.search(line[-_SPEED_WIDEST:])
    if told is None:
        return line, 1.0
    speed = float(told[1].replace(",", "."))
    if not SLOWEST <= speed <= FASTEST:
        raise Refused(f"{speed:g} times is no speed for a film", "", f"from {SLOWEST:g}x to {FASTEST:g}x")
    return line[: len(line) - len(told[0])].rstrip(" ,\t"), speed


def cut_text(parts: Sequence[ClipPart], remarks: Sequence[str] = (), why: Sequence[str] = ()) -> str:
    """A cut list as text, read back by `read_cut_list` to the millisecond; `why` says of each part what it is.

    Raises Refused for a clip whose name a list cannot hold.
    """
    lines = [f"# {one_line(remark)}" for remark in remarks]
    for number, part in enumerate(parts):
        speed = f"  {part.speed:g}x" if part.speed != 1 else ""
        said = f"  # {one_line(why[number])}" if number < len(why) and why[number] else ""
        lines.append(f"{_in_quotes(part.clip)}  {exact_text(part.start)}  {exact_text(part.end)}{speed}{said}")
    return "\n".join(lines) + "\n"


def _in_quotes(name: str) -> str:
    """A clip's name as a cut list holds it: in quotes where it has more than letters, figures and `-_.()`."""
    if re.fullmatch(r"[\w.()-]+( [\w.()-]+)*", name):
        return name
    quote = next((each for each in ("'", '"') if each not in name), "")
    if not quote or name != one_line(name):
        raise Refused(f"a cut list cannot hold the clip name {name!r}", "", "name the clip otherwise")
    return f"{quote}{name}{quote}"


def exact_text(seconds: float) -> str:
    """A place in a clip to the millisecond, as `read_seconds` reads it.

    >>> exact_text(0.0), exact_text(3725.5)
    ('0:00.000', '1:02:05.500')
    """
    whole, thousandths = divmod(max(0, round(seconds * 1000)), 1000)
    return f"{clock_text(whole)}.{thousandths:03d}"


def on_frames(parts: Sequence[ClipPart], rate: float) -> tuple[ClipPart, ...]:
    """The parts with cuts on whole frames (`rate` a second), so that no sum of them drifts.

    Here alone times of a cut become frames. A part begins at or after its in, so that it never shows what comes
    before a mark that it begins with, and lasts as many whole frames of the film as end by its out, at least
    one: parts that join up never show a frame twice.
    """
    found = []
    for part in parts:
        first = ceil(part.start * rate - _NEARLY)
        frames = max(1, int((part.end * rate - first + _NEARLY) / part.speed))
        start = first / rate
        found.append(replace(part, start=start, end=start + frames / rate * part.speed))
    return tuple(found)


class Film(Struct, frozen=True, kw_only=True):
    """What a cut list makes."""

    length: float
    """Seconds."""
    chapters: Chapters
    rules: ChapterRules = USUAL
    moments: tuple[ChapterMoment, ...]
    """Where in the film what is worth showing can be seen; what was cut away is not in it."""


def film_of(
    parts: Sequence[ClipPart],
    clips: Mapping[str, Clip],
    marks: Sequence[FilmMark],
    rules: ChapterRules = USUAL,
) -> Film:
    """The film with its chapters; what was cut away is told in the remarks."""
    film = FilmMap(parts, clips)
    spots, used = film.spots([mark for mark in marks if mark.kind in rules.kinds])
    if not spots or spots[0].at > 0:
        spots.insert(0, ClipSpot(0.0, shortened(parts[0].clip) or NO_STAGE, "stage"))
    found = set_apart(spots, film.length, rules)
    shown = {spot.title for spot in spots if spot.kind == "stage"}
    lost = _cut_away([mark for mark in marks if mark.title not in shown and mark not in used], clips)
    remarks = (*found.remarks, *dict.fromkeys(film.said), *lost)
    return Film(
        length=film.length,
        chapters=Chapters(chapters=found.chapters, remarks=remarks),
        rules=rules,
        moments=_moments(film, marks),
    )


class FilmStretch(NamedTuple):
    """Where in the film a stretch of bench time is seen."""

    start: float
    end: float
    """Seconds; greater than `start`."""


class FilmMap:
    """Where in a film bench time is seen."""

    def __init__(self, parts: Sequence[ClipPart], clips: Mapping[str, Clip]) -> None:
        self.length = 0.0
        """Of the film, in seconds."""
        self.said: list[str] = []
        """What could not be placed."""
        self._placed: list[tuple[float, float, float, ClipPart, ClockMap]] = []
        for part in parts:
            clip = clips[part.clip]
            if clip.map is None:
                self.said.append(f"'{part.clip}' cannot be placed: {' '.join(clip.doubts)}")
            else:
                begins, ends = clip.map.bench(part.start), clip.map.bench(part.end)
                self._placed.append((begins, ends, self.length, part, clip.map))
            self.length += part.lasts

    def seen(self, begins: float, ends: float) -> tuple[FilmStretch, ...]:
        """Where a stretch of bench time is seen, in order; stretches that join up are one."""
        found: list[FilmStretch] = []
        for first, last, film, part, clock in self._placed:
            if last <= begins or ends <= first:
                continue
            start = film + (max(part.start, clock.clip(begins)) - part.start) / part.speed
            end = film + (min(part.end, clock.clip(ends)) - part.start) / part.speed
            if found and start - found[-1].end < 1e-6:
                found[-1] = FilmStretch(found[-1].start, end)
            elif end > start:
                found.append(FilmStretch(start, end))
        return tuple(found)

    def spots(self, marks: Sequence[FilmMark]) -> tuple[list[ClipSpot], set[FilmMark]]:
        """Where marks are, each once, rising, and the stage at work wherever another one is cut into.

        Also the marks that are in the film.
        """
        found: list[ClipSpot] = []
        used: set[FilmMark] = set()
        before = ""
        for begins, ends, film, part, clock in self._placed:
            stage = at_work(marks, begins + _AT_ONCE)
            if stage != before and (stage != NO_STAGE or not before):
                found.append(ClipSpot(film, stage, "stage"))
            for mark in marks:
                if begins - _AT_ONCE <= mark.at < ends - _AT_ONCE and mark not in used:
                    used.add(mark)
                    if mark.kind != "stage" or mark.at > begins + _AT_ONCE:
                        at = film + max(0.0, clock.clip(mark.at) - part.start) / part.speed
                        found.append(ClipSpot(at, mark.title, mark.kind))
            before = at_work(marks, ends - _AT_ONCE)
        return found, used


def _moments(film: FilmMap, marks: Sequence[FilmMark]) -> tuple[ChapterMoment, ...]:
    found = [
        ChapterMoment(clip="film", start=seen.start, end=seen.end, title=mark.title, kind=mark.kind)
        for mark in marks
        if mark.worth_showing
        for seen in film.seen(mark.begins - BEFORE, mark.ends + AFTER)
        if seen.end - seen.start >= SHORTEST_FILM
    ]
    return tuple(sorted(found, key=lambda moment: (moment.start, moment.end)))


def _cut_away(marks: Sequence[FilmMark], clips: Mapping[str, Clip]) -> list[str]:
    """Marks that are on a clip but not in the film: stages in one sentence, all else in one each."""
    stages: list[str] = []
    said: list[str] = []
    for mark in marks:
        for clip in clips.values():
            if clip.map is not None and clip.begins <= mark.at < clip.ends:
                told = f"'{mark.title}' ({clip.name} {clock_text(clip.map.clip(mark.at))})"
                if mark.kind == "stage":
                    stages.append(told)
                elif mark.kind in CHAPTER_KINDS:
                    said.append(f"Not in the film: {told}.")
                break
    return [*said, *([f"Stages not in the film: {', '.join(stages)}."] if stages else [])]
