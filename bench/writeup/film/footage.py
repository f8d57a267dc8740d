"""Clips with their clocks, chapters and highlights, from the log. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import tzinfo

from msgspec import Struct

from bench.kit.kit import Kit
from bench.log import events as ev
from bench.log.clock import GAP_SECONDS, stamp_text
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.log.standing import standing
from bench.log.timeline import ClockTimeline
from bench.plan.plan import Plan
from bench.writeup import story_model as model
from bench.writeup.film.chapters import (
    USUAL,
    ChapterMoment,
    ChapterRules,
    Chapters,
    chapters_of,
    moments_of,
    too_few,
)
from bench.writeup.film.clips import Clip, place_clips, work_stamps
from bench.writeup.film.clock_map import how_found
from bench.writeup.film.marks import FilmMark, marks_of
from bench.writeup.film.stretches import Stretch, stretches_of
from bench.writeup.moments import Calendar

A_FILM = 60.0
"""Seconds for each chapter that a site asks for: a shorter clip is no video by itself."""


class Filmed(Struct, frozen=True, kw_only=True):
    """One clip with what is in it."""

    clip: Clip
    chapters: Chapters
    moments: tuple[ChapterMoment, ...]
    rules: ChapterRules = USUAL


class Footage(Struct, frozen=True, kw_only=True):
    """All clips of a build."""

    clips: tuple[Filmed, ...]
    """By their beginning; those that cannot be placed last."""
    marks: tuple[FilmMark, ...]
    stamps: tuple[float, ...]
    """Bench times at which somebody was at the bench, rising."""
    stretches: tuple[Stretch, ...] = ()
    timeline: ClockTimeline
    events: tuple[ev.AnyEvent, ...]
    """Those that stand, corrections applied."""
    rules: ChapterRules = USUAL

    def clip(self, name: str) -> Filmed | None:
        """The clip of this name."""
        return next((each for each in self.clips if each.clip.name == name), None)


def footage_of(
    kit: Kit,
    plan: Plan,
    events: Sequence[ev.AnyEvent],
    progress: Progress | None,
    zone: tzinfo | None,
    rules: ChapterRules = USUAL,
    gap_seconds: float = GAP_SECONDS,
) -> Footage:
    """The footage of a build; `zone` is that of starts without one, `progress` is folded when not given.

    A time without an event that is longer than `gap_seconds`, and that nobody settled as work, is not work.
    """
    progress = fold(events) if progress is None else progress
    clips, timeline = place_clips(events, progress.claps, progress.clips, zone)
    stand = tuple(standing(events))
    stretches = stretches_of(plan, stand, timeline, gap_seconds)
    marks = marks_of(kit, plan, stand, timeline, stretches)
    filmed = tuple(
        Filmed(
            clip=clip, chapters=chapters_of(clip, marks, rules), moments=moments_of(clip, marks), rules=rules
        )
        for clip in clips
    )
    return Footage(
        clips=filmed, marks=marks, stamps=work_stamps(events, timeline), stretches=stretches,
        timeline=timeline, events=stand, rules=rules,
    )  # fmt: skip


def clip_rows(clips: Sequence[Filmed], calendar: Calendar) -> tuple[model.ClipRow, ...]:
    """The clips, as a story tells them; see `footage_of`."""
    return tuple(
        model.ClipRow(
            name=each.clip.name,
            begins=calendar.when(stamp_text(each.clip.begins)) if each.clip.map else None,
            seconds=each.clip.length,
            length_known=each.clip.length_known,
            how=how_found(each.clip.map) if each.clip.map else "",
            doubts=each.clip.doubts,
            chapters=tuple(
                model.ChapterRow(seconds=chapter.start, title=chapter.title, kind=chapter.kind)
                for chapter in each.chapters.chapters
            ),
        )
        for each in clips
    )


def about_clip(filmed: Filmed) -> list[str]:
    """How a clip's clock was found, and what is doubtful about it, in sentences."""
    clip = filmed.clip
    said = [f"Clip clock: {how_found(clip.map)}."] if clip.map is not None else []
    room = clip.length >= filmed.rules.fewest * max(filmed.rules.shortest, A_FILM)
    few = too_few(filmed.chapters.chapters, filmed.rules) if clip.map is not None and room else ""
    return [*said, *clip.doubts, *filmed.chapters.remarks, *([few] if few else [])]


def clip_data(filmed: Filmed) -> dict[str, object]:
    """A clip as plain data, for JSON."""
    clip, found = filmed.clip, filmed.clip.map
    known = found is not None and found.fit is not None
    unsure = found.drift_uncertainty if found is not None else None
    return {
        "clip": clip.name,
        "starts": stamp_text(clip.begins) if found is not None else None,
        "length": clip.length,
        "length_known": clip.length_known,
        "timecode": clip.timecode or None,
        "marks": []
        if found is None
        else [
            {"mark": pair.mark, "bench": stamp_text(pair.bench), "clip": pair.clip, "off": off}
            for pair, off in zip(found.pairs, found.residuals, strict=True)
        ],
        "drift_ppm": found.drift * 1e6 if found is not None and known else None,
        "drift_ppm_uncertainty": unsure * 1e6 if unsure is not None else None,
        "remarks": about_clip(filmed),
        "chapters": filmed.chapters.chapters,
        "moments": filmed.moments,
    }
