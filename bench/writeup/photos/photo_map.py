"""Which photo shows which stage: the times of photos against what the log says of those moments.

Pure. Where a moment lies is told by `spots`; which snag, reading or mark a photo was taken at, here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import utc_seconds
from bench.log.event_text import Highlight, highlight
from bench.log.photos import MatchedPhoto
from bench.log.progress import Progress
from bench.log.standing import standing
from bench.parts.designators import shorten
from bench.writeup import story_model as model
from bench.writeup import words
from bench.writeup.moments import Calendar
from bench.writeup.photos.spots import WorkSpans, WorkSpot
from bench.writeup.readings import with_unit

NEAR_MOMENT = 120.0
"""Seconds between a photo and the snag or reading that it may show."""
UNDER_WAY = 900.0
"""Seconds from a photo to the end of the step that it is taken to show."""
NEAR_MARK = 120.0
"""Seconds between a photo and the mark that says 'photo taken'."""


class Shown(Struct, frozen=True, kw_only=True):
    """A photo and what it shows, as far as its time tells."""

    photo: MatchedPhoto
    n: int
    """Sequence number of the event that matched it."""
    spot: WorkSpot
    about: str
    """The snag, reading or mark it was taken at, in words; empty for none."""
    of: int
    """Sequence number of that event, 0 for none."""
    caption: str
    """The builder's words; empty for none."""
    during: str
    """The step that was under way, in words; empty where it cannot be told."""


class PhotoMoment(Struct, frozen=True, kw_only=True):
    """Something recorded that a photo may show."""

    n: int
    at: float
    """UTC seconds."""
    words: str
    mark: bool
    """True for a mark that says 'photo taken' and looks for one photo."""


def moments(events: Iterable[ev.AnyEvent]) -> tuple[PhotoMoment, ...]:
    """What photos may show, out of events that stand, oldest first: what is worth seeing, but for tips."""
    found = []
    for event in events:
        seen = highlight(event)
        at = utc_seconds(event.at)
        if seen is not None and seen.kind != "tip" and at is not None:
            found.append(PhotoMoment(n=event.n, at=at, words=_words(event, seen), mark=seen.kind == "photo"))
    return tuple(found)


def _words(event: ev.AnyEvent, seen: Highlight) -> str:
    """A caption, where the builder gave none."""
    if isinstance(event, ev.Snagged):
        return words.with_part(seen.text, event.part)
    if isinstance(event, ev.ReadingTaken):
        return f"{words.one_line(event.point)}: {with_unit(event.text, event.expect)}"
    lead = {"mended": "Fixed: ", "erratum": "Erratum: "}.get(seen.kind, "")
    return lead + seen.text


def marks_met(marks: Sequence[PhotoMoment], photos: Mapping[str, float]) -> dict[str, PhotoMoment]:
    """Which photo goes with which 'photo taken' mark: the nearest pairs first, one photo to a mark.

    `photos` are UTC seconds by file.
    """
    pairs = sorted(
        (abs(at - mark.at), mark.n, file)
        for mark in marks
        for file, at in photos.items()
        if abs(at - mark.at) <= NEAR_MARK
    )
    by_n = {mark.n: mark for mark in marks}
    met: dict[str, PhotoMoment] = {}
    for _, n, file in pairs:
        if n in by_n and file not in met:
            met[file] = by_n.pop(n)
    return met


def likely_shift(times: Sequence[float], runs: Sequence[tuple[float, float]]) -> tuple[int, int, int]:
    """How many hours later most photos would fall into the time at the bench; how many do then, and now.

    The shift is 0 unless it takes in twice as many as now, two at least: a hint that a camera's clock is set to
    another zone or to summer time. `times` and `runs` are UTC seconds.

    >>> likely_shift([100.0, 200.0], [(3600.0, 7200.0)])
    (1, 2, 0)
    """

    def inside(shift: int) -> int:
        return sum(any(began <= at + shift * 3600 <= ended for began, ended in runs) for at in times)

    now = inside(0)
    best = max(range(-14, 15), key=lambda shift: (inside(shift), -abs(shift)))
    most = inside(best)
    return (best, most, now) if most >= max(2, 2 * now) else (0, now, now)


# -- both together -----------------------------------------------------------------------------------
def shown(events: Sequence[ev.AnyEvent], progress: Progress) -> tuple[Shown, ...]:
    """All photos that go with a build, in order of time; a photo in two folders is told once."""
    if not progress.photos_matched:
        return ()
    photos = {
        photo.copy: (event.n, photo)
        for event in progress.photos_matched
        for photo in event.photos
        if photo.has_sound_name
    }
    return tuple(
        found
        for found in place_photos([photo for _, photo in photos.values()], events, progress,
                                  {copy: n for copy, (n, _) in photos.items()})
    )  # fmt: skip


def photo_rows(
    events: Sequence[ev.AnyEvent], progress: Progress, calendar: Calendar
) -> tuple[model.PhotoRow, ...]:
    """All photos that go with a build, as a story tells them."""
    return tuple(
        model.PhotoRow(
            n=each.n,
            when=calendar.when(each.photo.at),
            stage=each.spot.place[0],
            board=each.spot.place[1],
            file=each.photo.copy,
            original=each.photo.file,
            caption=each.caption,
            during=each.during,
            about=each.about,
            of=each.of,
            width=each.photo.width,
            height=each.photo.height,
            source=each.photo.source,
            doubt="; ".join(filter(None, (each.photo.doubt, each.spot.doubt))),
        )
        for each in shown(events, progress)
    )


def photo_mark_rows(
    events: Sequence[ev.AnyEvent], progress: Progress, calendar: Calendar
) -> tuple[model.PhotoMarkRow, ...]:
    """Marks that a photo was taken, for which no photo is there."""
    marked = {event.n: event for event in standing(events) if isinstance(event, ev.PhotoTaken)}
    if not marked:
        return ()
    photos = [each.photo for each in shown(events, progress)]
    return tuple(
        model.PhotoMarkRow(
            n=mark.n,
            when=calendar.when(marked[mark.n].at),
            stage=marked[mark.n].stage,
            board=marked[mark.n].board,
            caption=mark.words,
        )
        for mark in unmet_marks(events, photos)
    )


def place_photos(
    photos: Sequence[MatchedPhoto],
    events: Sequence[ev.AnyEvent],
    progress: Progress,
    numbers: Mapping[str, int] | None = None,
) -> tuple[Shown, ...]:
    """These photos with what they show, in order of time; `numbers` are those of events by copy."""
    timeline, stand = WorkSpans(events, progress), standing(events)
    known = moments(stand)
    times = {photo.file: at for photo in photos if (at := utc_seconds(photo.at)) is not None}
    met = marks_met([moment for moment in known if moment.mark], times)
    others = [moment for moment in known if not moment.mark]
    done = [event for event in stand if isinstance(event, ev.Done)]
    steps = sorted((at, _step(event)) for event in done if (at := utc_seconds(event.at)) is not None)
    told = []
    for photo in sorted(photos, key=lambda each: (each.at, each.file)):
        if photo.file not in times:
            continue
        at, mark = times[photo.file], met.get(photo.file)
        near = _nearest(others, at)
        of = near or mark
        told.append(
            Shown(
                photo=photo,
                n=(numbers or {}).get(photo.copy, 0),
                spot=timeline.spot(at),
                about=near.words if near else "",
                of=of.n if of else 0,
                caption=progress.captions.get(photo.file, mark.words if mark else ""),
                during=_under_way(steps, at),
            )
        )
    return tuple(told)


def _step(event: ev.Done) -> str:
    return ", ".join(filter(None, (words.one_line(event.value), shorten(event.refs))))


def _under_way(steps: Sequence[tuple[float, str]], at: float) -> str:
    """The step (time of its end in UTC seconds, words) that was at work at a moment."""
    ended = next((step for step in steps if step[0] >= at), None)
    return ended[1] if ended and ended[0] - at <= UNDER_WAY else ""


def _nearest(known: Sequence[PhotoMoment], at: float) -> PhotoMoment | None:
    """What was recorded next to a moment (UTC seconds), if anything was within `NEAR_MOMENT`."""
    near = min(known, key=lambda moment: abs(moment.at - at), default=None)
    return near if near and abs(near.at - at) <= NEAR_MOMENT else None


def unmet_marks(events: Sequence[ev.AnyEvent], photos: Sequence[MatchedPhoto]) -> tuple[PhotoMoment, ...]:
    """The 'photo taken' marks that no photo is near."""
    marks = [moment for moment in moments(standing(events)) if moment.mark]
    times = {photo.file: at for photo in photos if (at := utc_seconds(photo.at)) is not None}
    found = {moment.n for moment in marks_met(marks, times).values()}
    return tuple(mark for mark in marks if mark.n not in found)
