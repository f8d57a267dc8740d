"""What the log keeps of a folder of photos: which ones, when they were taken, how the clocks were read."""

from __future__ import annotations

import re

from msgspec import Struct

_COPY = re.compile(r"[A-Za-z0-9-]{1,100}\.jpg")


class PhotoBatch(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """Photos of one camera, and how its clock was read."""

    name: str
    """Make, model and serial number, or the sub-folder."""
    photos: int
    clocks: tuple[tuple[str, str], ...] = ()
    """Photos of the bench clock and what it showed in them: `IMG_0012.jpg`, `2031-02-03T18:20:05.000+01:00`."""
    seconds: tuple[float, ...] = ()
    """What is added to the camera's time to get UTC, one for each of these photos."""


class MatchedPhoto(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """One photo that goes with the build."""

    file: str
    """Its path inside the folder, parts apart by `/`."""
    copy: str
    """File name of the copy sized for the web, in the build's `photos/`."""
    at: str
    """When it was taken, UTC, put right by the batch's clock."""
    source: str
    """Where that time comes from: `camera`, `camera with zone` or `file`."""
    doubt: str = ""
    """What is doubtful about that time."""
    width: int
    """Of the copy, in pixels."""
    height: int

    @property
    def has_sound_name(self) -> bool:
        """Whether the copy is named as this program names copies: a log may claim to have one anywhere."""
        return _COPY.fullmatch(self.copy) is not None
