"""Which clips are of one camera, and which camera is seen when. Pure."""

from __future__ import annotations

from collections.abc import Sequence

from bench.errors import SoldersideError
from bench.writeup.film.clip_names import camera_name
from bench.writeup.film.clips import Clip

_TOGETHER = 1.0
"""Clips of one camera overlap by no more than this, in seconds: its clock may be off."""


def cameras_of(clips: Sequence[Clip]) -> tuple[tuple[Clip, ...], ...]:
    """The clips camera by camera, each in the order of time; the camera named first comes first.

    Clips whose names differ in a last number alone (`close-1.mov`, `close-2.mov`) are of one camera, unless
    they were filmed at the same time. Clips that cannot be placed are left out.
    """
    cameras: dict[str, list[list[Clip]]] = {}
    for clip in sorted((each for each in clips if each.map is not None), key=lambda each: each.begins):
        alike = cameras.setdefault(camera_name(clip.name), [])
        free = next((camera for camera in alike if camera[-1].ends - clip.begins <= _TOGETHER), None)
        if free is None:
            alike.append([clip])
        else:
            free.append(clip)
    found = [tuple(camera) for alike in cameras.values() for camera in alike]
    return tuple(sorted(found, key=lambda camera: min(clip.n for clip in camera)))


def with_first(cameras: Sequence[tuple[Clip, ...]], name: str) -> tuple[tuple[Clip, ...], ...]:
    """The cameras with the one of this name (`camera_name`, or one of its clips) before the others.

    Raises SoldersideError when no camera is called so.
    """
    chosen = [each for each in cameras if any(name in (clip.name, camera_name(clip.name)) for clip in each)]
    if not chosen:
        known = ", ".join(dict.fromkeys(camera_name(each[0].name) for each in cameras)) or "none"
        raise SoldersideError(f"no camera is called {name!r}", "", f"cameras so far: {known}")
    return (*chosen, *(each for each in cameras if each not in chosen))


def seen_at(camera: Sequence[Clip], begins: float, ends: float) -> Clip | None:
    """The clip of a camera that shows all of a stretch of bench time, to the millisecond."""
    return next((clip for clip in camera if clip.begins <= begins + 1e-3 and ends <= clip.ends + 1e-3), None)


def edges(cameras: Sequence[Sequence[Clip]]) -> tuple[float, ...]:
    """Bench times at which any clip begins or ends, rising."""
    return tuple(sorted({at for camera in cameras for clip in camera for at in (clip.begins, clip.ends)}))
