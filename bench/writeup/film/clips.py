"""Clips on the bench's time line: where each begins and ends, how its clock runs, what is doubtful. Pure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from datetime import tzinfo
from itertools import pairwise
from typing import NamedTuple

import msgspec
from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import spell, utc_seconds
from bench.log.timeline import ClockTimeline, Jump, bench_times
from bench.writeup.film.clip_names import camera_name
from bench.writeup.film.clip_times import MOST_SECONDS, start_of, was_there
from bench.writeup.film.clock_map import MOST_DRIFT, ClockError, ClockMap, Pair, doubts, from_start, map_clock
from bench.writeup.presence import presence

QUIET_SECONDS = 2 * 3600.0
"""A clip of unknown length ends, at the latest, before so long a time without an event."""
LATEST = 220e9
"""Bench times beyond this, in the year 8941, are those of a broken log."""
BEYOND = 10 * LATEST
"""A mark further off than this cannot be reckoned with."""
CAMERA_OFF = 2.0
"""A camera's clock further off than this, in seconds, is told."""
TELLS_DRIFT = 600.0
"""Marks at least so far apart, in seconds, tell the drift of a camera's other clips: to a frame, 67 ppm."""


class Clip(Struct, frozen=True, kw_only=True):
    """One clip, as far as it can be placed."""

    name: str
    n: int
    """Number of the event that named it."""
    map: ClockMap | None
    """None when it cannot be placed; `doubts` say why."""
    begins: float = 0.0
    """Bench time of its first frame, seconds since 1970."""
    ends: float = 0.0
    """Bench time at which it ends; without a length, that of the last event that can be in it."""
    length: float = 0.0
    """Seconds in the clip from its first frame to `ends`."""
    length_known: bool = False
    timecode: str = ""
    """As in `events.ClipNamed`."""
    doubts: tuple[str, ...] = ()


class _Bench(NamedTuple):
    """What the log tells of time."""

    timeline: ClockTimeline
    stamps: tuple[float, ...]
    """Bench times at which somebody was at the bench."""
    claps: Mapping[int, int]
    """Number of a clap -> that of its event."""
    zone: tzinfo | None

    def start_of(self, clip: ev.ClipNamed) -> tuple[float, tuple[str, ...]] | None:
        """When a clip starts by its camera's clock, and what was assumed; None where that is not said."""
        return start_of(clip.starts, self.zone, self.stamps) if clip.starts else None

    def pairs(self, clip: ev.ClipNamed, said: list[str]) -> list[Pair]:
        """The clip's claps, and readings of the clock that it shows; objections go to `said`."""
        pairs = []
        for number, at in clip.claps:
            if number not in self.claps:
                said.append(f"Clap {number} is no longer in the log and is ignored.")
            elif (when := self.timeline.seconds.get(self.claps[number])) is not None and abs(when) < BEYOND:
                pairs.append(Pair(bench=when, clip=at, mark=f"clap {number}"))
        for stamp, at in clip.shows:
            if (wall := utc_seconds(stamp)) is not None:
                bench = self.timeline.of_wall(wall)
                pairs.append(Pair(bench=bench, clip=at, mark=f"the clock at {at:g} s"))
        return [pair for pair in pairs if 0 <= pair.clip <= MOST_SECONDS]


def place_clips(
    events: Sequence[ev.AnyEvent],
    claps: Sequence[ev.SyncMarked],
    named: Sequence[ev.ClipNamed],
    zone: tzinfo | None,
) -> tuple[tuple[Clip, ...], ClockTimeline]:
    """All clips by their beginning (those without a place last), and the time line they lie on.

    `events` is the whole log, `claps` and `named` what stands of it. Where the wall clock of a run leapt ahead
    and clips with a clap on both sides show that no time passed, the time line takes the clips' word for it.
    """
    made = {clap.number: clap.n for clap in claps}
    timeline = bench_times(events)
    if timeline.jumps:
        timeline = bench_times(events, _not_slept(timeline, made, named))
    bench = _Bench(timeline, work_stamps(events, timeline), made, zone)
    clocks = _camera_clocks(named, bench)
    placed = [_placed(each, bench, clocks.get(camera_name(each.clip), ())) for each in named]
    placed = [_ended(clip, placed, bench) for clip in placed]
    placed.sort(key=lambda clip: (clip.map is None, clip.begins, clip.n))
    return tuple(placed), timeline


def work_stamps(events: Sequence[ev.AnyEvent], timeline: ClockTimeline) -> tuple[float, ...]:
    """Bench times at which somebody was at the bench, rising; see `presence`."""
    here = (event.n for event in events if event.n in timeline.seconds and presence(event) != "desk")
    return tuple(sorted(timeline.seconds[n] for n in here))


def _not_slept(
    timeline: ClockTimeline, made: Mapping[int, int], named: Sequence[ev.ClipNamed]
) -> frozenset[int]:
    """Events before which a clip shows that the machine was awake, though its wall clock leapt ahead."""
    awake: set[int] = set()
    for clip in named:
        seen = sorted((made[number], at) for number, at in clip.claps if made.get(number) in timeline.seconds)
        for (n, at), (later, later_at) in pairwise(seen):
            leapt = [jump for jump in timeline.jumps if jump.slept and n < jump.n <= later]
            asleep = sum(jump.seconds for jump in leapt)
            passed = timeline.seconds[later] - timeline.seconds[n]
            if abs(later_at - at - (passed - asleep)) < abs(later_at - at - passed):
                awake |= {jump.n for jump in leapt}
    return frozenset(awake)


class CameraClock(Struct, frozen=True, kw_only=True):
    """What one clip tells of its camera's clock."""

    clip: str
    span: float
    """Seconds from the clip's first mark to its last."""
    at: float
    """Bench time."""
    ahead: float | None
    """Seconds by which the camera's clock was ahead of the bench clock then; None when no start was given."""
    drift: float | None
    """Seconds that it gains in a second; None where the clip's marks are too near each other to tell."""


def _camera_clocks(named: Sequence[ev.ClipNamed], bench: _Bench) -> dict[str, list[CameraClock]]:
    """By camera, what its clips with marks tell of its clock; those with the marks furthest apart first."""
    found: dict[str, list[CameraClock]] = {}
    for clip in named:
        pairs = bench.pairs(clip, [])
        clock = _clock_of(pairs, None, []) if pairs else None
        if clock is None:
            continue
        start, at = bench.start_of(clip), clock.bench(0.0)
        span = clock.pairs[-1].bench - clock.pairs[0].bench
        told = clock.fit and span >= TELLS_DRIFT and abs(clock.drift) <= MOST_DRIFT
        found.setdefault(camera_name(clip.clip), []).append(
            CameraClock(
                clip=clip.clip, span=span, at=at, ahead=start[0] - at if start else None,
                drift=clock.drift if told else None,
            )
        )  # fmt: skip
    return {camera: sorted(told, key=lambda each: -each.span) for camera, told in found.items()}


def _lent(found: ClockMap, clocks: Sequence[CameraClock], said: list[str]) -> ClockMap:
    """A clip's clock with the offset and the drift that other clips of its camera tell, where it has none."""
    name, drift = next(((each.clip, each.drift) for each in clocks if each.drift is not None), ("", 0.0))
    words = f"with the drift of {name}, {drift * 1e6:+.1f} ppm" if name else ""
    if found.pairs:
        return found if found.fit else msgspec.structs.replace(found, drift=drift, camera=words)
    known = [(each, each.ahead) for each in clocks if each.ahead is not None]
    if not known:
        return found
    start = found.reference
    nearest, ahead = min(known, key=lambda each: abs(each[0].at + each[1] - start))
    begins = (start - ahead + drift * nearest.at) / (1.0 + drift)
    off = f"{_ahead(ahead)} the bench clock in {nearest.clip}"
    if abs(ahead) > CAMERA_OFF:
        said.append(
            f"Its camera's clock was {off}, and it is placed by that, to a second or so: a clap would place it "
            "to the frame."
        )
    other, far = max(known, key=lambda each: abs(each[1] - ahead))
    if abs(far - ahead) > CAMERA_OFF + MOST_DRIFT * abs(other.at - nearest.at):
        said.append(f"In {other.clip} it was {_ahead(far)} it: the clip nearest in time is followed.")
    words = ", ".join(filter(None, (f"corrected since that clock was {off}", words)))
    return ClockMap(reference=begins, offset=0.0, drift=drift, camera=words)


def _ahead(seconds: float) -> str:
    """How far a clock is off.

    >>> _ahead(200.0), _ahead(-0.25)
    ('3 min 20 s ahead of', '0.2 s behind')
    """
    far = spell(abs(seconds)) if abs(seconds) >= 1 else f"{abs(seconds):.1f} s"
    return f"{far} {'ahead of' if seconds > 0 else 'behind'}"


def _placed(named: ev.ClipNamed, bench: _Bench, clocks: Sequence[CameraClock]) -> Clip:
    said: list[str] = []
    pairs = bench.pairs(named, said)
    start = bench.start_of(named)
    if named.starts and start is None:
        said.append(f"Its start {named.starts!r} is not a time.")
    found = _clock_of(pairs, start[0] if start else None, said)
    if found is None:
        return Clip(
            name=named.clip, n=named.n, map=None, doubts=tuple(said or ["Nothing says when it was filmed."])
        )
    found = _lent(found, clocks, said)
    begins = found.bench(0.0)
    said += [*doubts(found), *_start_doubts(start, begins, claps_decide=bool(pairs))]
    length = named.length if 0 < named.length <= MOST_SECONDS else 0.0
    if length and any(pair.clip > length for pair in pairs):
        said.append("A clap is given after its end.")
    return Clip(
        name=named.clip, n=named.n, map=found, begins=begins, ends=found.bench(length) if length else 0.0,
        length=length, length_known=length > 0, timecode=named.timecode, doubts=tuple(said),
    )  # fmt: skip


def _clock_of(pairs: Sequence[Pair], start: float | None, said: list[str]) -> ClockMap | None:
    """The clip's clock, from marks or else from its start (bench time); objections go to `said`."""
    try:
        found = map_clock(pairs) if pairs else None if start is None else from_start(start)
    except ClockError as error:
        said.append(f"{error.what[:1].upper()}{error.what[1:]}: {error.hint}.")
        return None
    if found is not None and not 0 <= found.bench(0.0) < LATEST:
        said.append(
            "It would begin before 1970 or after the year 9000: its marks or the log's stamps are wrong."
        )
        return None
    return found


def _start_doubts(
    start: tuple[float, tuple[str, ...]] | None, begins: float, *, claps_decide: bool
) -> list[str]:
    """What was assumed of the start that was given, or how far it is from what the claps say."""
    if start is None:
        return []
    at, assumed = start
    if not claps_decide:
        return [f"{word[:1].upper()}{word[1:]}." for word in assumed]
    off = at - begins
    return [f"The camera's clock is {_ahead(off)} the bench clock; the claps decide."] * (abs(off) > CAMERA_OFF)


def _ended(clip: Clip, clips: Sequence[Clip], bench: _Bench) -> Clip:
    """The clip with an end and with what is odd about the events in it."""
    if clip.map is None:
        return clip
    said = list(clip.doubts)
    if not clip.length_known:
        ends = _last_inside(clip, clips, bench.stamps)
        clip = msgspec.structs.replace(clip, ends=ends, length=max(0.0, clip.map.clip(ends)))
        said.append(
            "Its length is not known: it is taken to end at the last log entry before the next clip."
            if clip.length
            else "Its length is not known, and no log entry follows to tell it: give its length."
        )
    inside = [stamp for stamp in bench.stamps if clip.begins <= stamp <= clip.ends]
    if not inside and not was_there(clip.begins, bench.stamps, clip.length):
        said.append(_nothing_inside(clip, bench.stamps))
    jumps, seconds = bench.timeline.jumps, bench.timeline.seconds
    said += [_jumped(jump) for jump in jumps if clip.begins <= seconds[jump.n] <= clip.ends]
    return msgspec.structs.replace(clip, doubts=tuple(said))


def _jumped(jump: Jump) -> str:
    """What a leap of the wall clock is taken for."""
    far = spell(abs(jump.seconds))
    if jump.slept:
        return (
            f"While it ran, the computer slept for {far} or its clock was set ahead by that: a clap before and "
            "one after would show which."
        )
    way = "ahead" if jump.seconds > 0 else "back"
    return (
        f"While it ran, the computer's clock was set {way} by {far}; times follow the clock that cannot be set."
    )


def _last_inside(clip: Clip, clips: Sequence[Clip], stamps: Sequence[float]) -> float:
    """Up to the next clip, or to the first long time without an event."""
    nexts = [other.begins for other in clips if other.map is not None and other.begins > clip.begins]
    last = clip.begins
    for stamp in stamps:
        if stamp >= min(nexts, default=math.inf) or stamp - last > QUIET_SECONDS:
            break
        last = max(last, stamp)
    return last


def _nothing_inside(clip: Clip, stamps: Sequence[float]) -> str:
    """That no event falls into the clip, with the whole hours by which a camera's clock may be wrong."""
    said = "No log entry falls into it."
    if clip.map is not None and not clip.map.pairs:
        span = clip.ends - clip.begins or 3600.0
        for hours in sorted({*range(-14, 15)} - {0}, key=abs):
            begins = clip.begins + hours * 3600.0
            if any(begins <= stamp <= clip.begins + span + hours * 3600.0 for stamp in stamps):
                way = "later" if hours > 0 else "earlier"
                return f"{said} {abs(hours)} h {way} some would: give its start with a zone, such as +01:00."
    return said
