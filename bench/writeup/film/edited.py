"""A film as an editing program takes it: cuts on whole frames, the other cameras beside them, marks. Pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bench.writeup.film.cameras import cameras_of, seen_at
from bench.writeup.film.clips import Clip
from bench.writeup.film.cut_list import ClipPart, FilmSpots
from bench.writeup.film.marks import FilmMark


class FilmNote(Struct, frozen=True, kw_only=True):
    """A mark in the film."""

    frame: int
    """From the film's first frame, 0."""
    text: str
    """On one line, never empty."""
    kind: str
    """As in `marks.RANK`."""


class CutItem(Struct, frozen=True, kw_only=True):
    """So many frames of a clip, or of nothing."""

    clip: str
    """Empty for a gap."""
    start: int
    """Frame in the clip at which it begins, counted from 0."""
    frames: int
    """Frames in the film."""
    speed: float = 1.0


class Edited(Struct, frozen=True, kw_only=True):
    """The whole film."""

    title: str
    rate: float
    """Frames a second: as many as they truly are, so 29.97 is 30000/1001."""
    cut: tuple[CutItem, ...]
    """What is shown."""
    beside: tuple[tuple[str, tuple[CutItem, ...]], ...]
    """Name and items of each further camera: what it shows at the same time, gaps where it does not run."""
    notes: tuple[FilmNote, ...]
    lengths: Mapping[str, float]
    """Length of each clip, in seconds; only of those whose length is known."""


def true_rate(rate: float) -> float:
    """Frames a second of a rate as people write it.

    >>> true_rate(25.0), round(true_rate(29.97), 6)
    (25.0, 29.97003)
    """
    return rate if rate == int(rate) else round(rate) * 1000 / 1001


def edited(
    title: str, parts: Sequence[ClipPart], clips: Mapping[str, Clip], marks: Sequence[FilmMark], rate: float
) -> Edited:
    """The film of these parts, which lie on whole frames (`cut_list.on_frames` at the true rate)."""
    cut = tuple(
        CutItem(
            clip=part.clip, start=round(part.start * rate), frames=round(part.lasts * rate), speed=part.speed
        )
        for part in parts
    )
    cameras = cameras_of(list(clips.values()))
    beside = [
        (
            camera[0].name,
            tuple(_other(part, item, camera, clips, rate) for part, item in zip(parts, cut, strict=True)),
        )
        for camera in cameras
    ]
    return Edited(
        title=title,
        rate=rate,
        cut=cut,
        beside=tuple((name, items) for name, items in beside if any(item.clip for item in items)),
        notes=tuple(_notes(parts, clips, marks, rate)),
        lengths={name: clip.length for name, clip in clips.items() if clip.length_known},
    )


def _other(
    part: ClipPart, item: CutItem, camera: Sequence[Clip], clips: Mapping[str, Clip], rate: float
) -> CutItem:
    """What a camera shows during a part of the film: a gap where it is the one in the film."""
    gap = CutItem(clip="", start=0, frames=item.frames)
    shown = clips[part.clip].map
    if shown is None or any(clip.name == part.clip for clip in camera):
        return gap
    begins = shown.bench(part.start)
    other = seen_at(camera, begins, shown.bench(part.end))
    if other is None or other.map is None:
        return gap
    return CutItem(
        clip=other.name,
        start=max(0, round(other.map.clip(begins) * rate)),
        frames=item.frames,
        speed=part.speed,
    )


def _notes(
    parts: Sequence[ClipPart], clips: Mapping[str, Clip], marks: Sequence[FilmMark], rate: float
) -> list[FilmNote]:
    """Every mark that is in the film, and the stage at work where a stage is cut into."""
    put = FilmSpots(parts, clips, marks)
    last = round(put.length * rate) - 1
    return [
        FilmNote(frame=min(round(each.at * rate), last), text=each.title, kind=each.kind) for each in put.spots
    ]
