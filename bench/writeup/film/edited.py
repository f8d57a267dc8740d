"""A film as an editing program takes it: cuts on whole frames, other cameras, inserts, marks. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import ceil

from msgspec import Struct

from bench.errors import SoldersideError
from bench.writeup.film.cameras import cameras_of
from bench.writeup.film.clip_names import read_timecode
from bench.writeup.film.clips import Clip
from bench.writeup.film.cut_list import ClipPart, FilmMap
from bench.writeup.film.marks import FilmMark
from bench.writeup.words import clock_text, join

_NEARLY = 1e-3
"""A part of a frame."""
INSERTS = "Inserts"


class FilmNote(Struct, frozen=True, kw_only=True):
    """A mark in the film."""

    frame: int
    """From the film's first frame, 0."""
    text: str
    """On one line, never empty."""
    kind: str
    """As in `marks.RANK`, or `insert`."""


class CutItem(Struct, frozen=True, kw_only=True):
    """So many frames of a clip, or of nothing."""

    clip: str
    """Empty for a gap."""
    start: int
    """Frame in the clip at which it begins, counted from 0."""
    frames: int
    """Frames in the film."""
    speed: float = 1.0


class Track(Struct, frozen=True, kw_only=True):
    """What stands beside the cut: its items from the film's first frame, gaps between them."""

    name: str
    items: tuple[CutItem, ...]


class Source(Struct, frozen=True, kw_only=True):
    """What is known of a clip's file."""

    length: float = 0.0
    """Seconds; 0 when not known."""
    first: int = 0
    """Number of its first frame as the camera counted it; 0 when not known."""


class Edited(Struct, frozen=True, kw_only=True):
    """The whole film."""

    title: str
    rate: float
    """Frames a second: as many as they truly are, so 29.97 is 30000/1001."""
    cut: tuple[CutItem, ...]
    """What is shown."""
    beside: tuple[Track, ...] = ()
    """Each further camera: what it shows at the same time; then clips that the film has no such time for."""
    notes: tuple[FilmNote, ...] = ()
    """Rising."""
    sources: Mapping[str, Source]
    """Of each clip."""
    remarks: tuple[str, ...] = ()
    """Where the clips are that the cut does not show."""


def true_rate(rate: float) -> float:
    """Frames a second of a rate as people write it.

    >>> true_rate(25.0), round(true_rate(29.97), 6)
    (25.0, 29.97003)
    """
    return rate if rate == int(rate) else round(rate) * 1000 / 1001


def edited(
    title: str, parts: Sequence[ClipPart], clips: Mapping[str, Clip], marks: Sequence[FilmMark], rate: float
) -> Edited:
    """The film of these parts, which lie on whole frames (`cut_list.on_frames` at the true rate).

    A clip that the cut does not show stands on its camera's track for what it covers. One that is seen there
    only many times as fast, or not at all, is an insert: whole, at normal speed, where it was filmed.
    """
    film = _Frames(parts, clips, rate)
    beside = [
        Track(name=camera[0].name, items=film.track(camera)) for camera in cameras_of(list(clips.values()))
    ]
    beside = [track for track in beside if any(item.clip for item in track.items)]
    cut = {part.clip for part in parts}
    shown = {name for track in beside for name in film.seen_well(track)} - cut
    rest = [clip for clip in clips.values() if clip.map and clip.length > 0 and clip.name not in cut | shown]
    inserts, notes, said = film.inserts(rest)
    if shown:
        told = join(sorted(shown))
        said = [f"Not in the cut, but beside it on the track of its camera: {told}.", *said]
    return Edited(
        title=title,
        rate=rate,
        cut=film.cut,
        beside=(*beside, *inserts),
        notes=tuple(sorted([*_notes(parts, clips, marks, rate), *notes], key=lambda note: note.frame)),
        sources={name: _source(clip, round(rate)) for name, clip in clips.items()},
        remarks=tuple(said),
    )


def _source(clip: Clip, count: int) -> Source:
    try:
        first = read_timecode(clip.timecode, count) if clip.timecode else 0
    except SoldersideError:  # the log was written at another rate
        first = 0
    return Source(length=clip.length if clip.length_known else 0.0, first=first)


class _Frames:
    """The film's parts, counted in frames."""

    def __init__(self, parts: Sequence[ClipPart], clips: Mapping[str, Clip], rate: float) -> None:
        self._rate = rate
        self.cut = tuple(
            CutItem(
                clip=part.clip,
                start=round(part.start * rate),
                frames=round(part.lasts * rate),
                speed=part.speed,
            )
            for part in parts
        )
        self.frames = sum(item.frames for item in self.cut)
        self._parts = [(item, clips[item.clip]) for item in self.cut]

    # -- tracks of cameras ----------------------------------------------------------------------
    def track(self, camera: Sequence[Clip]) -> tuple[CutItem, ...]:
        """What a camera shows beside the cut, gaps where it does not run and where it is the one shown."""
        items: list[CutItem] = []
        for item, clip in self._parts:
            done = 0
            if clip.map is not None and all(each.name != clip.name for each in camera):
                for at, seen in self._overlaps(item, clip, camera):
                    items += [_gap(at - done)] if at > done else []
                    items.append(seen)
                    done = at + seen.frames
            items += [_gap(item.frames - done)] if item.frames > done else []
        return tuple(items)

    def _overlaps(self, item: CutItem, shown: Clip, camera: Sequence[Clip]) -> Iterator[tuple[int, CutItem]]:
        """Frames into a part, and what a camera shows from there."""
        rate, free = self._rate, 0
        for clip in camera:
            if shown.map is None or clip.map is None:
                continue
            low, high = (
                (shown.map.clip(at) * rate - item.start) / item.speed for at in (clip.begins, clip.ends)
            )
            at, end = max(free, ceil(low - _NEARLY)), min(item.frames, int(high + _NEARLY))
            if end <= at:
                continue
            bench = shown.map.bench((item.start + at * item.speed) / rate)
            start = max(0, round(clip.map.clip(bench) * rate))
            left = int((clip.length * rate - start) / item.speed + 0.5)
            if (frames := min(end - at, left)) > 0:
                yield at, CutItem(clip=clip.name, start=start, frames=frames, speed=item.speed)
                free = at + frames

    def seen_well(self, track: Track) -> set[str]:
        """Clips that a track shows for a second at normal speed, or all through some part of the cut."""
        wholes, at = set(), 0
        for item in self.cut:
            wholes.add((at, item.frames))
            at += item.frames
        found, at = set(), 0
        for item in track.items:
            if item.clip and ((item.speed == 1 and item.frames >= self._rate) or (at, item.frames) in wholes):
                found.add(item.clip)
            at += item.frames
        return found

    # -- inserts --------------------------------------------------------------------------------
    def inserts(self, clips: Sequence[Clip]) -> tuple[list[Track], list[FilmNote], list[str]]:
        """Clips at normal speed where they were filmed, on as many tracks as that takes; marks; a word."""
        rows: list[list[CutItem]] = []
        notes: list[FilmNote] = []
        told: list[str] = []
        for clip in sorted(clips, key=lambda each: each.begins):
            frames = min(max(1, int(clip.length * self._rate + _NEARLY)), self.frames)
            at = min(self._when(clip.begins), self.frames - frames)
            row = next((each for each in rows if sum(item.frames for item in each) <= at), None)
            if row is None:
                rows.append(row := [])
            done = sum(item.frames for item in row)
            row += [_gap(at - done)] if at > done else []
            row.append(CutItem(clip=clip.name, start=0, frames=frames))
            text = f"Insert: {clip.name} ({clock_text(clip.length)})"
            notes.append(FilmNote(frame=at, text=text, kind="insert"))
            told.append(f"{clip.name} at {clock_text(at / self._rate)}")
        tracks = [
            Track(name=f"{INSERTS} {number}" if number > 1 else INSERTS, items=tuple(row))
            for number, row in enumerate(rows, 1)
        ]
        offered = "an insert" if len(told) == 1 else f"{len(told)} inserts"
        said = f"Not in the cut, offered as {offered} at normal speed: {join(told)}."
        return tracks, notes, [said] if told else []

    def _when(self, bench: float) -> int:
        """The film's frame at a bench time, or that of what comes next in it; its end where nothing does."""
        found, at = [], 0
        for item, clip in self._parts:
            if clip.map is not None:
                into = (clip.map.clip(bench) * self._rate - item.start) / item.speed
                if 0 <= into < item.frames:
                    return at + int(into)
                if into < 0:
                    found.append((-into * item.speed, at))
            at += item.frames
        return min(found)[1] if found else at


def _gap(frames: int) -> CutItem:
    return CutItem(clip="", start=0, frames=frames)


def _notes(
    parts: Sequence[ClipPart], clips: Mapping[str, Clip], marks: Sequence[FilmMark], rate: float
) -> list[FilmNote]:
    """Every mark that is in the film, and the stage at work where a stage is cut into."""
    film = FilmMap(parts, clips)
    last = round(film.length * rate) - 1
    return [
        FilmNote(frame=min(round(each.at * rate), last), text=each.title, kind=each.kind)
        for each in film.spots(marks)[0]
    ]
