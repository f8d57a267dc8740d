"""The film as OpenTimelineIO, an open exchange format for editing programs, through its library (extra `film`).

The film is the first track; each further camera is a track above it, its clips turned off, so that an editor
can switch to it. Marks are those of the whole film. A clip is found by its name beside the file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import quote

from bench.errors import SoldersideError
from bench.writeup.film.edited import CutItem, Edited
from bench.writeup.film.edl import START_HOUR, colour_of
from bench.writeup.words import one_line

if TYPE_CHECKING:
    import opentimelineio as otio


def otio_file(film: Edited) -> str:
    """The film as JSON of OpenTimelineIO. Raises SoldersideError when the library is not installed."""
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
    tracks = [("Film", film.cut, True), *((name, items, False) for name, items in film.beside)]
    for name, items, enabled in tracks:
        track = otio.schema.Track(name=one_line(name), kind=otio.schema.TrackKind.Video)
        track.extend([_item(otio, item, film, enabled=enabled) for item in items])
        timeline.tracks.append(track)
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


def _item(otio: otio, item: CutItem, film: Edited, *, enabled: bool) -> otio.core.Item:
    if not item.clip:
        return otio.schema.Gap(source_range=_range(otio, 0, item.frames, film.rate))
    length = film.lengths.get(item.clip)
    media = otio.schema.ExternalReference(
        target_url=quote(one_line(item.clip), safe=""),
        available_range=_range(otio, 0, round(length * film.rate), film.rate) if length else None,
    )
    clip = otio.schema.Clip(
        name=one_line(item.clip),
        media_reference=media,
        source_range=_range(otio, item.start, item.frames, film.rate),
    )
    if item.speed != 1:
        clip.effects.append(otio.schema.LinearTimeWarp(name=f"{item.speed:g}x", time_scalar=item.speed))
    clip.enabled = enabled
    return clip


def _range(otio: otio, start: int, frames: int, rate: float) -> otio.opentime.TimeRange:
    return otio.opentime.TimeRange(
        otio.opentime.RationalTime(start, rate), otio.opentime.RationalTime(frames, rate)
    )
