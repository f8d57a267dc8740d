"""When photos were taken: their cameras' clocks, put right by photos of the bench clock.

Pure. Cameras drift, are set to another zone or were never set; one photo of a trusted clock tells by how
much, for all photos of that camera.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo

from msgspec import Struct

from bench.errors import SoldersideError
from bench.log.clock import spell, stamp_text
from bench.log.photos import PhotoBatch
from bench.writeup.moments import zone_name
from bench.writeup.photos.clock_photo import ClockPhoto, find_file
from bench.writeup.photos.exif_time import Stamp, offset_text

FAR_ZONES = 26 * 3600.0
"""Seconds between the clocks of the zones farthest apart, UTC+14 and UTC-12."""
NEAR_BUILD = 36 * 3600.0
"""A camera whose photo of the bench clock is this near the build has the right day, but for its zone."""
APART = 60.0
"""Seconds by which two photos of the bench clock may differ before it is remarked on."""

Runs = Sequence[tuple[float, float]]
"""When the program was open: UTC seconds from and to."""


class Shot(Struct, frozen=True, kw_only=True):
    """One picture of a folder."""

    file: str
    """Its path inside the folder, parts apart by `/`."""
    stamp: Stamp
    file_time: float
    """When the file was last changed, UTC seconds."""

    @property
    def source(self) -> str:
        """Where its time comes from; see `MatchedPhoto.source`."""
        if self.stamp.local is None:
            return "file"
        return "camera" if self.stamp.zone is None else "camera with zone"


class Dated(Struct, frozen=True, kw_only=True):
    """A picture and when it was taken."""

    file: str
    at: float
    """UTC seconds."""
    source: str
    doubt: str
    batch: str


class Dates(Struct, frozen=True, kw_only=True):
    """When all pictures of a folder were taken."""

    photos: tuple[Dated, ...]
    """In order of time."""
    batches: tuple[PhotoBatch, ...]
    remarks: Mapping[str, str]
    """What is to be said of a batch, by its name."""


class _Reference(Struct, frozen=True, kw_only=True):
    """One photo of the bench clock, worked out."""

    file: str
    raw: float
    """When it was taken by the camera's own clock, UTC seconds."""
    zone: float
    """Seconds ahead of UTC in which that clock is read."""
    error: float
    """Seconds to add to the camera's time."""
    shows: str


def find_dates(shots: Sequence[Shot], clocks: Sequence[ClockPhoto], zone: tzinfo | None, runs: Runs) -> Dates:
    """When each picture was taken; `zone` is the builder's.

    Raises SoldersideError when a photo of the bench clock is not there, or when nobody can tell of which day
    it is.
    """
    by_file = {shot.file: shot for shot in shots}
    references: dict[str, _Reference] = {}
    for clock in clocks:
        shot = by_file[find_file(clock.file, by_file)]
        references[shot.file] = _reference(shot, clock, zone, runs)
    photos: list[Dated] = []
    batches: list[PhotoBatch] = []
    remarks: dict[str, str] = {}
    for name, members in _batches(shots, references).items():
        known = sorted((references[shot.file] for shot in members if shot.file in references), key=_raw)
        remarks[name] = _remark(known, members, zone)
        photos += [_dated(shot, known, name, zone) for shot in members]
        batches.append(
            PhotoBatch(
                name=name,
                photos=len(members),
                clocks=tuple((each.file, each.shows) for each in known),
                seconds=tuple(round(each.error, 3) for each in known),
            )
        )
    return Dates(
        photos=tuple(sorted(photos, key=lambda each: (each.at, each.file))),
        batches=tuple(batches),
        remarks=remarks,
    )


# -- batches -----------------------------------------------------------------------------------------
def _batches(shots: Sequence[Shot], references: Mapping[str, _Reference]) -> dict[str, list[Shot]]:
    """Pictures by camera, or by sub-folder where they do not name one.

    Two cameras of one model look alike: where the photos of the bench clock in two sub-folders disagree, each
    sub-folder is a batch of its own.
    """
    cameras: dict[str, list[Shot]] = {}
    for shot in sorted(shots, key=lambda each: each.file):
        cameras.setdefault(_camera(shot), []).append(shot)
    batches: dict[str, list[Shot]] = {}
    for name, members in cameras.items():
        errors = {
            _folder(shot.file): references[shot.file].error for shot in members if shot.file in references
        }
        if len(errors) > 1 and max(errors.values()) - min(errors.values()) > APART:
            for shot in members:
                batches.setdefault(f"{name} in {_folder(shot.file) or 'the folder itself'}", []).append(shot)
        else:
            batches[name] = members
    return batches


def _camera(shot: Shot) -> str:
    if shot.stamp.local is None:
        return f"{_folder_words(shot.file)}, by file time"
    return shot.stamp.camera or _folder_words(shot.file)


def _folder(file: str) -> str:
    return file.rpartition("/")[0]


def _folder_words(file: str) -> str:
    return f"sub-folder {_folder(file)}" if _folder(file) else "photos that name no camera"


# -- clocks ------------------------------------------------------------------------------------------
def _by_camera(shot: Shot, zone: tzinfo | None, ahead: float | None = None) -> float:
    """When a picture was taken by its camera's own clock, UTC seconds.

    `ahead` are the seconds ahead of UTC for a camera that names no zone; without it, the builder's zone.
    """
    local = shot.stamp.local
    if local is None:
        return shot.file_time
    if shot.stamp.zone is not None:
        ahead = shot.stamp.zone
    if ahead is not None:
        return local.replace(tzinfo=UTC).timestamp() - ahead
    try:
        return local.replace(tzinfo=zone).timestamp()
    except (ValueError, OverflowError):
        return local.replace(tzinfo=UTC).timestamp()


def _ahead(shot: Shot, raw: float) -> float:
    local = shot.stamp.local
    return local.replace(tzinfo=UTC).timestamp() - raw if local is not None else 0.0


def _raw(reference: _Reference) -> float:
    return reference.raw


def _reference(shot: Shot, clock: ClockPhoto, zone: tzinfo | None, runs: Runs) -> _Reference:
    raw = _by_camera(shot, zone)
    at = _shown_at(clock, raw, zone, runs)
    bench = zone if clock.zone is None else timezone(timedelta(seconds=clock.zone))
    shows = datetime.fromtimestamp(at, UTC).astimezone(bench).isoformat(timespec="milliseconds")
    return _Reference(file=shot.file, raw=raw, zone=_ahead(shot, raw), error=at - raw, shows=shows)


def _shown_at(clock: ClockPhoto, raw: float, zone: tzinfo | None, runs: Runs) -> float:
    """When the bench clock showed that, UTC seconds; the day is found from camera and build."""
    bench = zone if clock.zone is None else timezone(timedelta(seconds=clock.zone))

    def on(day: date) -> float:
        return datetime.combine(day, clock.time, bench).timestamp()

    if clock.day is not None:
        return on(clock.day)
    began, ended = (runs[0][0], runs[-1][1]) if runs else (raw, raw)
    if began - NEAR_BUILD <= raw <= ended + NEAR_BUILD:
        days = _days(raw, raw, bench)
        near = [at for at in map(on, days) if abs(at - raw) <= FAR_ZONES]
        return min(near, key=lambda at: (not _within(at, runs), abs(at - raw)))
    worked = sorted({at for run in runs for at in map(on, _days(*run, bench)) if _within(at, [run])})
    if len(worked) == 1:
        return worked[0]
    why = "the build was open at that time on several days" if worked else "the build was not open at that time"
    raise SoldersideError(
        f"the camera's clock was far off ({stamp_text(raw)[:10]}), and {why}",
        clock.file,
        f"add the day: --clock {clock.file}=2031-02-03T{clock.time.isoformat()}",
    )


def _days(began: float, ended: float, zone: tzinfo | None) -> list[date]:
    first = datetime.fromtimestamp(began, UTC).astimezone(zone).date() - timedelta(days=1)
    last = datetime.fromtimestamp(ended, UTC).astimezone(zone).date() + timedelta(days=1)
    return [first + timedelta(days=number) for number in range((last - first).days + 1)]


def _within(at: float, runs: Runs) -> bool:
    return any(began <= at <= ended + 1 for began, ended in runs)


def _dated(shot: Shot, known: Sequence[_Reference], batch: str, zone: tzinfo | None) -> Dated:
    raw = _by_camera(shot, zone)
    at = raw
    if known:
        nearest = min(known, key=lambda each: abs(each.raw - raw))
        at = _by_camera(shot, zone, nearest.zone) + nearest.error
    doubts = [shot.stamp.doubt]
    if shot.source == "file":
        doubts.append("no date in the picture; the file's time is used")
    elif shot.source == "camera" and not known and _twice(shot, zone):
        doubts.append("the clocks were changed that night: it may be an hour off")
    return Dated(file=shot.file, at=at, source=shot.source, doubt="; ".join(filter(None, doubts)), batch=batch)


def _twice(shot: Shot, zone: tzinfo | None) -> bool:
    """Whether a time of day came twice or not at all in the zone."""
    if shot.stamp.local is None:
        return False
    once, again = (shot.stamp.local.replace(tzinfo=zone, fold=fold).timestamp() for fold in (0, 1))
    return once != again


def _remark(known: Sequence[_Reference], members: Sequence[Shot], zone: tzinfo | None) -> str:
    """How a batch's clock was read, in words."""
    return "; ".join([*_clock_words(known), *_zone_words(members, zone, shown=bool(known))])


def _clock_words(known: Sequence[_Reference]) -> list[str]:
    """What the photos of the bench clock say of the camera's."""
    if not known:
        return ["no photo of the bench clock, so the camera's clock is taken as right"]
    said = [f"{each.file} shows {each.shows[11:19]}, so its clock {off(each.error)}" for each in known]
    errors = [each.error for each in known]
    return said + (
        ["these differ: each photo uses the nearer one"] if max(errors) - min(errors) > APART else []
    )


def _zone_words(members: Sequence[Shot], zone: tzinfo | None, *, shown: bool) -> list[str]:
    """In which zones times are read; `shown` where the bench clock tells it of all."""
    dated = [(shot.stamp.local, shot.stamp.zone) for shot in members if shot.stamp.local]
    zones = sorted({ahead for _, ahead in dated if ahead is not None})
    said = [f"zone in the photos: {', '.join(map(offset_text, zones))}"] if zones else []
    if not shown and any(shot.source == "camera" for shot in members):
        said.append(f"photos without a zone are read in {zone_name(zone, *(local for local, _ in dated))}")
    return said


def off(error: float) -> str:
    """How wrong a clock is; `error` are seconds to add to it.

    >>> off(151), off(-3600), off(0.4)
    ('is 2 min 31 s behind', 'is 1 h 00 min ahead', 'is right')
    """
    if abs(error) < 1:
        return "is right"
    days = round(abs(error) / 86400)
    amount = f"{days} days" if days > 2 else spell(abs(error))
    return f"is {amount} {'behind' if error > 0 else 'ahead'}"
