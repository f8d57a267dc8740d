"""Chapters of a clip or a film, and the moments worth showing in it. Pure.

A list of chapters that video sites take (common practice, no source): the first at 0:00, at least three, each
at least ten seconds long, in rising order. Players that read WebVTT ask for none of this.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from msgspec import Struct

from bench.writeup.film.clips import Clip
from bench.writeup.film.marks import CHAPTER_KINDS, LONGEST_TITLE, RANK, FilmMark
from bench.writeup.words import number, spelt

SHORTEST_FILM = 1.0
"""What lasts less than this, in seconds, has no chapters."""
BEFORE, AFTER = 20.0, 10.0
"""A moment worth showing begins so many seconds before its entry in the log (which is typed after it happened)
and ends so many after it."""
NO_STAGE = "Before the first step"


class ChapterRules(Struct, frozen=True, kw_only=True):
    """What a site asks of a list of chapters."""

    from_zero: bool = True
    """The first chapter begins at 0:00, whatever is to be seen there."""
    fewest: int = 3
    """Fewer chapters than this are not taken."""
    shortest: float = 10.0
    """No chapter is shorter than this, in seconds."""
    breaks: bool = False
    """Breaks are chapters of their own."""

    @property
    def kinds(self) -> tuple[str, ...]:
        """Kinds of mark that begin a chapter."""
        return (*CHAPTER_KINDS, "break") if self.breaks else CHAPTER_KINDS


USUAL = ChapterRules()
NONE = ChapterRules(from_zero=False, fewest=0, shortest=0.001)
"""For WebVTT: no site's rules; two chapters only never begin in one millisecond."""


class Chapter(Struct, frozen=True, kw_only=True):
    """One chapter."""

    start: float
    """Seconds from the start of the clip or film."""
    end: float
    """Greater than `start`."""
    title: str
    """On one line, never empty."""
    kind: str
    """`stage`, `snag`, `show` or `works`."""


class ChapterMoment(Struct, frozen=True, kw_only=True):
    """Something worth showing, with where to cut."""

    clip: str
    start: float
    """Seconds in the clip at which to cut in."""
    end: float
    """Seconds in the clip at which to cut out; greater than `start`."""
    title: str
    kind: str


class ClipSpot(NamedTuple):
    """The start of a chapter before chapters are set apart."""

    at: float
    """Seconds in the clip or film."""
    title: str
    kind: str


class Chapters(Struct, frozen=True, kw_only=True):
    """Chapters, and what had to be done to them."""

    chapters: tuple[Chapter, ...] = ()
    remarks: tuple[str, ...] = ()
    """What was merged or cut away, in sentences."""


def chapters_of(clip: Clip, marks: Sequence[FilmMark], rules: ChapterRules = USUAL) -> Chapters:
    """The chapters of one clip; none for a clip that cannot be placed."""
    if clip.map is None:
        return Chapters()
    inside = [
        ClipSpot(clip.map.clip(mark.at), mark.title, mark.kind)
        for mark in marks
        if mark.kind in rules.kinds and clip.begins < mark.at < clip.ends
    ]
    return set_apart([ClipSpot(0.0, at_work(marks, clip.begins), "stage"), *inside], clip.length, rules)


def at_work(marks: Sequence[FilmMark], bench: float) -> str:
    """The stage at work at a bench time."""
    stages = [mark.title for mark in marks if mark.kind == "stage" and mark.at <= bench]
    return stages[-1] if stages else NO_STAGE


def set_apart(spots: Sequence[ClipSpot], length: float, rules: ChapterRules = USUAL) -> Chapters:
    """Chapters from spots up to `length`, rising, none shorter than the rules say unless it is the only one.

    Nothing shorter than `SHORTEST_FILM` has chapters.
    Spots that come too close are merged into the one before; what was merged is told.
    """
    said: list[str] = []
    kept: list[ClipSpot] = []
    for spot in sorted(spots, key=lambda each: each.at):
        spot = spot._replace(at=min(max(0.0, spot.at), length))
        near_end = length - spot.at < rules.shortest
        if kept and (spot.at - kept[-1].at < rules.shortest or near_end):
            why = "too near the end" if near_end else f"{spot.at - kept[-1].at:.0f} s after it"
            kept[-1], word = _merged(kept[-1], spot, why)
            said.append(word)
        else:
            kept.append(spot)
    if kept and kept[0].title == NO_STAGE and not rules.from_zero:
        del kept[0]
    if not kept or length < SHORTEST_FILM:
        return Chapters()
    if rules.from_zero:
        kept[0] = kept[0]._replace(at=0.0)
    ends = [*(spot.at for spot in kept[1:]), length]
    chapters = tuple(
        Chapter(start=spot.at, end=end, title=spot.title, kind=spot.kind)
        for spot, end in zip(kept, ends, strict=True)
    )
    return Chapters(chapters=chapters, remarks=tuple(filter(None, said)))


def _merged(first: ClipSpot, second: ClipSpot, why: str) -> tuple[ClipSpot, str]:
    """Two spots as one: both titles where there is room, else that of the higher rank; and a sentence on it."""
    if first.title == NO_STAGE:
        return ClipSpot(first.at, second.title, second.kind), ""
    high = second if RANK[second.kind] > RANK[first.kind] else first
    if second.title in first.title:
        return ClipSpot(first.at, high.title, high.kind), ""
    both = f"{first.title}; {second.title}"
    title = high.title if len(both) > LONGEST_TITLE else both
    lost = next((each.title for each in (first, second) if each.title not in title), "")
    gone = f"; '{lost}' is dropped." if lost else "."
    return ClipSpot(first.at, title, high.kind), f"'{second.title}' is merged into '{first.title}', {why}{gone}"


def too_few(chapters: Sequence[Chapter], rules: ChapterRules = USUAL) -> str:
    """A word where there are fewer chapters than the rules ask for; empty where there are enough.

    >>> too_few(())
    'No chapters; some video sites need at least three.'
    """
    if len(chapters) >= rules.fewest:
        return ""
    many = spelt(len(chapters), "chapter")
    few = "No chapters" if not chapters else f"Only {many}"
    return f"{few}; some video sites need at least {number(rules.fewest)}."


def moments_of(clip: Clip, marks: Sequence[FilmMark]) -> tuple[ChapterMoment, ...]:
    """The moments of one clip that are worth showing, in order; a snag lasts until it was mended."""
    found = []
    for mark in marks:
        if clip.map and mark.worth_showing and mark.begins <= clip.ends and clip.begins <= mark.ends:
            start, end = max(0.0, clip.map.clip(mark.begins - BEFORE)), clip.map.clip(mark.ends + AFTER)
            end = min(end, clip.length) if clip.length_known else end
            if end > start:
                found.append(
                    ChapterMoment(clip=clip.name, start=start, end=end, title=mark.title, kind=mark.kind)
                )
    return tuple(found)
