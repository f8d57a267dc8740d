"""The film as OpenTimelineIO, an open exchange format for editing programs, through its library (extra `film`).

The film is the first track; each further camera is a track above it, its clips turned off, so that an editor
can switch to it; inserts come last. Each has its sound where it plays at normal speed. Marks are those of the
whole film.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import quote

from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.writeup.film.clip_names import file_parts
from bench.writeup.film.edited import CutItem, Edited, Track
from bench.writeup.film.edl import START_HOUR, colour_of
from bench.writeup.words import one_line

if TYPE_CHECKING:
    import opentimelineio as otio


def otio_file(film: Edited, media: str = "") -> str:
    """The film as JSON of OpenTimelineIO; `media` is the URL of the folder that its clips are in.

    Raises SoldersideError when the library is not installed.
    """
    try:
        import opentimelineio as otio
    except ImportError as error:
        raise SoldersideError(
            "writing a timeline for editing programs needs OpenTimelineIO, which is not installed",
            "",
            "install solderside with its extra: pip install 'solderside[film]'",
        ) from error

    timeline = otio.schema.Timeline(name=one_line(film.title))
    timeline.global_start_time = otio.opentime.RationalTime(START_HOUR * 3600 * round(film.rate), film.rate)
    for track in (Track(name="Film", items=film.cut), *film.beside):
        enabled = track.items is film.cut
        kinds = [(otio.schema.TrackKind.Video, track.name, track.items)]
        sound = tuple(item if item.speed == 1 else replace(item, clip="") for item in track.items)
        if any(item.clip for item in sound):
            kinds.append((otio.schema.TrackKind.Audio, f"{track.name}, sound", sound))
        for kind, name, items in kinds:
            made = otio.schema.Track(name=one_line(name), kind=kind)
            made.extend([_item(otio, item, film, media, enabled=enabled) for item in items])
            timeline.tracks.append(made)
    for note in film.notes:
        timeline.tracks.markers.append(
            otio.schema.Marker(
                name=one_line(note.text),
                marked_range=_range(otio, note.frame, 0, film.rate),
                color=colour_of(note.kind),
                metadata={"solderside": {"kind": note.kind}},
            )
        )
    text: str = otio.adapters.write_to_string(timeline, "otio_json")
    return text


def media_url(clip: str, media: str) -> str:
    """Where a clip's file is: a URL below that of the folder of all clips, or a path beside the timeline.

    Slashes stay, all else that means something in a URL is escaped (RFC 3986), as OpenTimelineIO reads it back.

    >>> media_url("A/C 1.MP4", None), media_url("C1.MP4", "file:///film")
    ('A/C%201.MP4', 'file:///film/C1.MP4')
    """
    path = quote("/".join(file_parts(clip)), safe="/")
    return f"{media.rstrip('/')}/{path}" if media else path


def _item(otio: otio, item: CutItem, film: Edited, media: str, *, enabled: bool) -> otio.core.Item:
    if not item.clip:
        return otio.schema.Gap(
            name=f"no sound at {item.speed:g}x" if item.speed != 1 else "",
            source_range=_range(otio, 0, item.frames, film.rate),
        )
    source = film.sources[item.clip]
    length = round(source.length * film.rate)
    file = otio.schema.ExternalReference(
        target_url=media_url(item.clip, media),
        available_range=_range(otio, source.first, length, film.rate) if length else None,
    )
    clip = otio.schema.Clip(
        name=one_line(item.clip),
        media_reference=file,
        source_range=_range(otio, source.first + item.start, item.frames, film.rate),
    )
    if item.speed != 1:
        clip.effects.append(otio.schema.LinearTimeWarp(name=f"{item.speed:g}x", time_scalar=item.speed))
    clip.enabled = enabled
    return clip


def _range(otio: otio, start: int, frames: int, rate: float) -> otio.opentime.TimeRange:
    return otio.opentime.TimeRange(
        otio.opentime.RationalTime(start, rate), otio.opentime.RationalTime(frames, rate)
    )
