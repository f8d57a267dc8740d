"""A cut list (which parts of which clips, in what order) and the chapters of the film it makes. Pure.

One part a line: clip, in, out. Blank lines and what follows `#` do not count; `start` and `end` stand for those
of the clip; commas may stand between the three.

    # the metronome, short version
    bench-1.mov   0:00    4:30
    bench-2.mov   12:04   end
"""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence

from msgspec import Struct

from bench.errors import Fault, FileFaults, Refused
from bench.writeup.film.chapters import NO_STAGE, Chapters, ClipSpot, at_work, set_apart
from bench.writeup.film.clip_times import read_seconds
from bench.writeup.film.clips import Clip
from bench.writeup.film.marks import CHAPTER_KINDS, FilmMark, shortened
from bench.writeup.words import clock_text


class ClipPart(Struct, frozen=True, kw_only=True):
    """A stretch of one clip."""

    clip: str
    start: float
    """Seconds in the clip at which it is cut in."""
    end: float
    """Seconds in the clip at which it is cut out; greater than `start`."""


def read_cut_list(text: str, where: str, clips: Mapping[str, Clip]) -> tuple[ClipPart, ...]:
    """The parts of a cut list. Raises FileFaults with every fault and its line."""
    parts: list[ClipPart] = []
    faults: list[Fault] = []
    for number, line in enumerate(text.lstrip("\ufeff").splitlines(), 1):
        told = _uncommented(line)
        if not told:
            continue
        try:
            parts.append(_part(told, clips))
        except Refused as error:
            faults.append(Fault(what=error.what, where=f"{where}:{number}", hint=error.hint))
    if not parts and not faults:
        faults.append(
            Fault(what="the cut list is empty", where=where, hint="write lines such as: one.mov 0:00 4:30")
        )
    if faults:
        raise FileFaults(faults)
    return tuple(parts)


def _uncommented(line: str) -> str:
    kept = [word for word in line.split(" ")]
    for at, word in enumerate(kept):
        if word.lstrip("\t").startswith("#"):
            kept = kept[:at]
            break
    return " ".join(kept).strip()


def _part(line: str, clips: Mapping[str, Clip]) -> ClipPart:
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
        raise Refused(f"it ends at {clock_text(end)}, before its start at {clock_text(start)}", "", "swap them")
    if clip.length_known and end > clip.length + 1.0:
        raise Refused(f"{name!r} is only {clock_text(clip.length)} long", "", "use an earlier out")
    return ClipPart(clip=name, start=start, end=end)


class Film(Struct, frozen=True, kw_only=True):
    """What a cut list makes."""

    length: float
    """Seconds."""
    chapters: Chapters


def film_of(parts: Sequence[ClipPart], clips: Mapping[str, Clip], marks: Sequence[FilmMark]) -> Film:
    """The film with its chapters; what was cut away is told in the remarks."""
    spots: list[ClipSpot] = []
    used: set[FilmMark] = set()
    said: list[str] = []
    film = 0.0
    stage = ""
    for part in parts:
        clip = clips[part.clip]
        if clip.map is None:
            said.append(f"'{part.clip}' cannot be placed: {' '.join(clip.doubts)}")
        else:
            begins, ends = clip.map.bench(part.start), clip.map.bench(part.end)
            here = at_work(marks, begins)
            if here != stage and (here != NO_STAGE or not stage):
                spots.append(ClipSpot(at=film, title=here, kind="stage"))
            inside = _inside(marks, begins, ends, used)
            used.update(inside)
            offset = film - part.start
            spots += [ClipSpot(at=offset + clip.map.clip(m.at), title=m.title, kind=m.kind) for m in inside]
            stage = at_work(marks, ends)
        film += part.end - part.start
    if not spots or spots[0].at > 0:
        spots.insert(0, ClipSpot(at=0.0, title=shortened(parts[0].clip) or NO_STAGE, kind="stage"))
    found = set_apart(spots, film)
    shown = {spot.title for spot in spots if spot.kind == "stage"}
    said += _cut_away([mark for mark in marks if mark.title not in shown], clips, used)
    return Film(length=film, chapters=Chapters(chapters=found.chapters, remarks=(*found.remarks, *said)))


def _inside(marks: Sequence[FilmMark], begins: float, ends: float, used: Container[FilmMark]) -> list[FilmMark]:
    """Marks of chapters in a stretch of bench time that are not in the film yet."""
    return [
        mark for mark in marks if mark.kind in CHAPTER_KINDS and begins <= mark.at < ends and mark not in used
    ]


def _cut_away(marks: Sequence[FilmMark], clips: Mapping[str, Clip], used: set[FilmMark]) -> list[str]:
    """Marks that are on a clip but not in the film: stages in one sentence, all else in one each."""
    stages: list[str] = []
    said: list[str] = []
    for mark in marks:
        clip = next((each for each in clips.values() if _holds(each, mark)), None)
        if clip is None or clip.map is None or mark in used:
            continue
        where = f"{clip.name} {clock_text(clip.map.clip(mark.at))}"
        if mark.kind == "stage":
            stages.append(f"'{mark.title}' ({where})")
        elif mark.kind in CHAPTER_KINDS:
            said.append(f"Not in the film: '{mark.title}' ({where}).")
    return [*said, *([f"Stages not in the film: {', '.join(stages)}."] if stages else [])]


def _holds(clip: Clip, mark: FilmMark) -> bool:
    return clip.map is not None and clip.begins <= mark.at < clip.ends
