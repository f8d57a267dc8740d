"""A cut list proposed from the log: what to show as it happened, what many times as fast, what not. Pure.

Breaks and waits are left out. What is worth showing (snags, fixes, tips, the first sound) plays as it was; a
snag is in the film from when it was noticed until it was mended. All other work plays 8 or 16 times as fast.
Where that is longer than the film is to be, snags play faster too, moments are shown more briefly, and of each
stage only its beginning.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from bench.log.clock import spell
from bench.writeup.film.cameras import cameras_of, edges, seen_at, with_first
from bench.writeup.film.chapters import AFTER, BEFORE
from bench.writeup.film.clips import Clip
from bench.writeup.film.cut_list import ClipPart
from bench.writeup.film.marks import FilmMark
from bench.writeup.film.stretches import Stretch


class Pace(Struct, frozen=True, kw_only=True):
    """How many times as fast things play, and how much of a moment is shown."""

    snags: float = 1.0
    """The mending of a snag, between its beginning and its end."""
    work: float = 16.0
    placing: float = 16.0
    moments: float = 1.0
    """Part of the seconds before and after a moment that are shown; they play as they were."""
    opening: float = 0.0
    """Seconds at the beginning of each stage that play as they were."""


PACES = (
    Pace(work=8.0, placing=8.0, opening=10.0), Pace(work=8.0, opening=10.0), Pace(opening=5.0),
    Pace(work=8.0, placing=8.0), Pace(work=8.0), Pace(), Pace(snags=2.0), Pace(snags=4.0), Pace(snags=8.0),
    Pace(snags=8.0, moments=0.5), Pace(snags=16.0, moments=0.5), Pace(snags=16.0, moments=0.25),
)  # fmt: skip
"""The first that keeps to the length is taken."""
LEAST = 3.0
"""Of each stage at least so many seconds of the film."""
_BRIEF = 0.5
"""What would last less than this in the film, in seconds, is left out."""


class Piece(Struct, frozen=True, kw_only=True):
    """A stretch of bench time with one thing to show."""

    begins: float
    ends: float
    sort: str
    """`moment`, `snag`, `work` or `placing`."""
    title: str
    """What is to be seen."""
    stage: int
    """Which turn of a stage it belongs to, from 0."""

    @property
    def seconds(self) -> float:
        """Bench time."""
        return self.ends - self.begins

    @property
    def is_ordinary(self) -> bool:
        """True for work of which it is enough to show the beginning."""
        return self.sort in ("work", "placing")


class Proposal(Struct, frozen=True, kw_only=True):
    """A cut list, and what was done to make it."""

    parts: tuple[ClipPart, ...]
    why: tuple[str, ...]
    """For each part, what is to be seen."""
    remarks: tuple[str, ...]


def propose(
    clips: Sequence[Clip],
    marks: Sequence[FilmMark],
    stretches: Sequence[Stretch],
    target: float,
    camera: str = "",
) -> Proposal:
    """A film of about `target` seconds; longer only where the moments alone are longer.

    What no clip shows is not in it. Of several cameras `camera` is taken where it was running, without
    one the camera that was named first. Raises SoldersideError when no camera is called so.
    """
    cameras = cameras_of(clips)
    cameras = with_first(cameras, camera) if camera else cameras
    pace, pieces = _paced(marks, stretches, cameras, target)
    cut = _length(pieces, pace) > target
    parts, why = _put_together(_shortened(pieces, pace, target) if cut else pieces, cameras, pace)
    length = sum(part.lasts for part in parts)
    said = _remarks(pieces, stretches, pace, length, target, cut=cut)
    return Proposal(parts=parts, why=why, remarks=said)


def _paced(
    marks: Sequence[FilmMark],
    stretches: Sequence[Stretch],
    cameras: Sequence[Sequence[Clip]],
    target: float,
) -> tuple[Pace, list[Piece]]:
    """The first pace that keeps to the length, else the first that can with glimpses of stages, or the last."""
    looks = {(pace.moments, pace.opening) for pace in PACES}
    shown = {look: _filmed(marks, stretches, cameras, *look) for look in looks}
    filmed = [(pace, shown[pace.moments, pace.opening]) for pace in PACES]
    return next(
        (each for each in filmed if _length(each[1], each[0]) <= target),
        next((each for each in filmed if _least(each[1], each[0]) <= target), filmed[-1]),
    )


def _put_together(
    pieces: Sequence[Piece], cameras: Sequence[Sequence[Clip]], pace: Pace
) -> tuple[tuple[ClipPart, ...], tuple[str, ...]]:
    """The parts of the film, and what each shows; pieces that join up are one part."""
    parts: list[ClipPart] = []
    why: list[str] = []
    for piece in pieces:
        part = _shot(piece, cameras, _speed(piece, pace))
        last = parts[-1] if parts else None
        if last and (last.clip, last.speed) == (part.clip, part.speed) and abs(last.end - part.start) < 1e-3:
            parts[-1] = replace(last, end=part.end)
            why[-1] = why[-1] if piece.title in why[-1] else f"{why[-1]}; {piece.title}"
        elif part.lasts >= _BRIEF:
            parts.append(part)
            why.append(piece.title)
    return tuple(parts), tuple(why)


def _shot(piece: Piece, cameras: Sequence[Sequence[Clip]], speed: float) -> ClipPart:
    """A piece as the first camera that has it shows it."""
    clip = next(clip for each in cameras if (clip := seen_at(each, piece.begins, piece.ends)))
    assert clip.map is not None  # clips without a place belong to no camera
    start = max(0.0, clip.map.clip(piece.begins))
    return ClipPart(clip=clip.name, start=start, end=clip.map.clip(piece.ends), speed=speed)


def _remarks(
    pieces: Sequence[Piece],
    stretches: Sequence[Stretch],
    pace: Pace,
    length: float,
    target: float,
    *,
    cut: bool,
) -> tuple[str, ...]:
    """What the list does, in sentences, for its head and for the terminal."""
    filmed = sum(piece.seconds for piece in pieces)
    out = [
        f"{spell(seconds)} of {name}"
        for name, doing in (("breaks and pauses", "away"), ("waiting", "waiting"))
        if (seconds := sum(each.ends - each.begins for each in stretches if each.doing == doing)) >= 60
    ]
    normal = "snags and moments worth showing" if pace.snags == 1 else "moments worth showing"
    snags = f", snags at {pace.snags:g}x but for their beginning and end" if pace.snags > 1 else ""
    said = [
        f"{spell(length)} out of {spell(filmed)} of footage. Placing at {pace.placing:g}x, other work at "
        f"{pace.work:g}x{snags}; {normal} at normal speed."
    ]
    said += [f"Each stage begins with {pace.opening:g} s at normal speed."] if pace.opening else []
    said += [f"Left out: {' and '.join(out)}."] if out else []
    if length > target + 1:
        said.append(f"That is longer than the {spell(target)} asked for: leave some moments out.")
    elif cut:
        said.append("To keep to the length, only the beginning of each stage is shown.")
    return tuple(said)


# -- what there is -----------------------------------------------------------------------------------
def _filmed(
    marks: Sequence[FilmMark],
    stretches: Sequence[Stretch],
    cameras: Sequence[Sequence[Clip]],
    part: float,
    opening: float,
) -> list[Piece]:
    """The pieces that some clip shows; `part` and `opening` as `Pace.moments` and `Pace.opening`."""
    return [
        piece
        for piece in _pieces(marks, stretches, edges(cameras), part, opening)
        if any(seen_at(each, piece.begins, piece.ends) for each in cameras)
    ]


def _pieces(
    marks: Sequence[FilmMark],
    stretches: Sequence[Stretch],
    cuts: Sequence[float],
    part: float,
    opening: float,
) -> list[Piece]:
    """The work in pieces: cut where a clip, a moment or a stage begins or ends."""
    stages = [mark for mark in marks if mark.kind == "stage"]
    moments = [_Moment(mark, BEFORE * part, AFTER * part) for mark in marks if mark.worth_showing]
    moments += [_Moment(mark, 0.0, opening) for mark in stages if opening]
    moments.sort(key=lambda each: each.whole[0])
    at = {each for moment in moments for span in (*moment.normal, moment.whole) for each in span}
    times = sorted(at | {mark.at for mark in stages} | set(cuts))
    found: list[Piece] = []
    live: list[_Moment] = []
    for stretch in stretches:
        live = [each for each in live if each.whole[1] > stretch.begins]
        while moments and moments[0].whole[0] < stretch.ends:
            live.append(moments.pop(0))
        if stretch.doing not in ("away", "waiting"):
            inside = times[bisect_right(times, stretch.begins) : bisect_left(times, stretch.ends)]
            spans = pairwise([stretch.begins, *inside, stretch.ends])
            found += [_piece(begins, ends, stretch, live, stages) for begins, ends in spans]
    return found


class _Moment:
    """What of a mark is shown: `normal` plays as it was, the rest of `whole` is the mending of a snag."""

    def __init__(self, mark: FilmMark, before: float, after: float) -> None:
        begins, ends = mark.begins, mark.ends
        self.title = mark.title
        self.whole = begins - before, ends + after
        long = ends - begins > 2 * after
        first, last = (begins - before, begins + after), (ends - after, ends + after)
        self.normal = (first, last) if long else (self.whole,)


def _piece(
    begins: float, ends: float, stretch: Stretch, moments: Sequence[_Moment], stages: Sequence[FilmMark]
) -> Piece:
    middle = (begins + ends) / 2
    turn = bisect_right(stages, middle, key=lambda mark: mark.at)
    title = stages[turn - 1].title if turn else ""
    sort = "placing" if stretch.doing == "placing" else "work"
    for moment in moments:
        if any(low <= middle < high for low, high in moment.normal):
            return Piece(begins=begins, ends=ends, sort="moment", title=moment.title, stage=turn)
        if moment.whole[0] <= middle < moment.whole[1]:
            sort, title = "snag", moment.title
    return Piece(begins=begins, ends=ends, sort=sort, title=title, stage=turn)


# -- how long it gets --------------------------------------------------------------------------------
def _speed(piece: Piece, pace: Pace) -> float:
    return {"moment": 1.0, "snag": pace.snags, "work": pace.work, "placing": pace.placing}[piece.sort]


def _lasts(piece: Piece, pace: Pace) -> float:
    """Seconds in the film."""
    return piece.seconds / _speed(piece, pace)


def _length(pieces: Sequence[Piece], pace: Pace) -> float:
    return sum(_lasts(piece, pace) for piece in pieces)


def _by_stage(pieces: Sequence[Piece], pace: Pace) -> tuple[float, dict[int, float]]:
    """Seconds of moments and snags, and those of ordinary work by stage."""
    fixed, plain = 0.0, dict[int, float]()
    for piece in pieces:
        if piece.is_ordinary:
            plain[piece.stage] = plain.get(piece.stage, 0.0) + _lasts(piece, pace)
        else:
            fixed += _lasts(piece, pace)
    return fixed, plain


def _least(pieces: Sequence[Piece], pace: Pace) -> float:
    """How short the film can be: the moments and snags, and a glimpse of each stage."""
    fixed, plain = _by_stage(pieces, pace)
    return fixed + sum(min(LEAST, each) for each in plain.values())


def _shortened(pieces: Sequence[Piece], pace: Pace, target: float) -> list[Piece]:
    """The moments and snags, and of each stage its beginning: all stages get the same time at most."""
    fixed, plain = _by_stage(pieces, pace)
    share = max(LEAST, _share(list(plain.values()), target - fixed))
    left = {stage: min(share, lasts) for stage, lasts in plain.items()}
    kept = []
    for piece in pieces:
        if piece.is_ordinary:
            room = min(left[piece.stage], _lasts(piece, pace))
            left[piece.stage] -= room
            piece = replace(piece, ends=piece.begins + room * _speed(piece, pace))
        kept += [piece] if piece.ends > piece.begins else []
    return kept


def _share(lasts: Sequence[float], room: float) -> float:
    """The most that each may last so that all together last no longer than `room`.

    >>> _share([10.0, 2.0, 30.0], 22.0)
    10.0
    """
    left, count = room, len(lasts)
    for each in sorted(lasts):
        if each * count > left:
            return left / count
        left -= each
        count -= 1
    return max(lasts, default=0.0)
