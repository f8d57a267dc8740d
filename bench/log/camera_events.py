"""Events about photos and film. Other modules have them from `log.events`."""

from bench.log.event import Event
from bench.log.photos import MatchedPhoto, PhotoBatch


class PhotoTaken(Event, frozen=True, kw_only=True, tag="photo taken"):
    """A photo was taken at this moment; it is found again by its time."""

    caption: str = ""
    """What is to be seen, in the builder's words."""


class PhotosMatched(Event, frozen=True, kw_only=True, tag="photos matched"):
    """A folder of photos goes with this build; the latest for a folder counts."""

    folder: str
    """Where the photos were."""
    zone: str = ""
    """The builder's zone, as given: `+01:00`, `Europe/Berlin`; empty for the machine's."""
    without: tuple[str, ...] = ()
    """Patterns of file names that were left out on purpose."""
    batches: tuple[PhotoBatch, ...] = ()
    photos: tuple[MatchedPhoto, ...] = ()


class PhotoCaptioned(Event, frozen=True, kw_only=True, tag="photo captioned"):
    """A caption for a photo; the latest counts."""

    file: str
    """As in `MatchedPhoto`."""
    caption: str
    """Empty to take a caption away."""


class SyncMarked(Event, frozen=True, kw_only=True, tag="clapped"):
    """A mark that the camera sees or hears as well: it ties the camera's clock to the bench clock."""

    number: int
    """From 1; shown as it was made, and never given twice, not even when a clap is taken back."""
    label: str = ""
    """What it marks, in the builder's words."""


class ClipNamed(Event, frozen=True, kw_only=True, tag="clip named"):
    """A clip from the camera, and what is known of its clock; a later one of the same name replaces it."""

    clip: str
    """Its name, such as that of its file."""
    starts: str = ""
    """When it starts by the camera's clock, ISO 8601, with or without a zone; empty when not given."""
    claps: tuple[tuple[int, float], ...] = ()
    """Number of a clap, and seconds in the clip at which it is seen."""
    shows: tuple[tuple[str, float], ...] = ()
    """UTC stamp that the filmed bench clock shows, and seconds in the clip at which it does."""
    length: float = 0.0
    """Seconds; 0 when not known."""
    timecode: str = ""
    """What the camera counted at its first frame, `HH:MM:SS:FF`, no frames dropped; empty when not given."""
