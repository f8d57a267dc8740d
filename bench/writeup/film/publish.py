"""What a build's log knows of film, and clips named in it."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from bench.errors import Refused
from bench.log import events as ev
from bench.log.standing import standing
from bench.session.build import Build
from bench.settings import Settings
from bench.writeup.film.chapters import USUAL, ChapterRules
from bench.writeup.film.clip_names import read_timecode
from bench.writeup.film.clip_times import Named, read_clip
from bench.writeup.film.clips import place_clips
from bench.writeup.film.clock_map import impossible
from bench.writeup.film.footage import Footage, footage_of


def rules_of(settings: Settings, *, breaks: bool = False) -> ChapterRules:
    """The rules for chapters that the settings name; `breaks` asks for breaks whatever they say."""
    return ChapterRules(
        from_zero=settings.chapters_from_zero,
        fewest=settings.chapters_fewest,
        shortest=settings.chapters_shortest,
        breaks=breaks or settings.chapters_breaks,
    )


def build_footage(build: Build, rules: ChapterRules = USUAL) -> Footage:
    """What the build's log knows about film, starts without a zone in this machine's."""
    events, progress = build.writer.put_right()
    return footage_of(build.kit, build.plan, events, progress, None, rules, build.writer.gap_seconds)


class Typed(Struct, frozen=True, kw_only=True):
    """What was typed about a clip; empty for what was not."""

    clip: str
    starts: str = ""
    claps: Sequence[str] = ()
    shows: Sequence[str] = ()
    length: str = ""
    timecode: str = ""


def name_clip(build: Build, settings: Settings, typed: Typed) -> Named:
    """Read what was typed about a clip and put it into the log. Raises Refused or LogError.

    What is left out stays as it was said of the clip before. Claps that no camera's clock fits are refused.
    """
    stamps = build_footage(build).stamps
    clip = typed.clip.strip()
    before = next((each for each in build.progress.clips if each.clip == clip), None)
    named = read_clip(
        typed.starts, typed.claps, typed.shows, typed.length,
        stamps=stamps, zone=None, frames=settings.clock_frames, before=before,
    )  # fmt: skip
    timecode = typed.timecode.strip()
    if timecode:
        read_timecode(timecode, round(settings.film_frames))
    elif before:
        timecode = before.timecode
    _refuse_impossible(build, clip, named)
    build.name_clip(clip, named.starts, named.claps, named.shows, named.length, timecode)
    return named


def _refuse_impossible(build: Build, clip: str, named: Named) -> None:
    events, progress = build.writer.put_right()
    new = ev.ClipNamed(n=0, at="", mono=0.0, run="", clip=clip, claps=named.claps, shows=named.shows)
    (placed,), _ = place_clips(events, progress.claps, [new], None)
    wrong = impossible(placed.map) if placed.map else ""
    if wrong:
        raise Refused(
            f"{wrong.rstrip('.')}", "", "read the claps off a player once more, or give one clap alone for now"
        )


def forget_clip(build: Build, clip: str) -> None:
    """Take every naming of a clip back; the log keeps them. Raises Refused when none is called so."""
    named = [
        each for each in standing(build.writer.events) if isinstance(each, ev.ClipNamed) and each.clip == clip
    ]
    if not named:
        known = ", ".join(each.clip for each in build.progress.clips) or "none"
        raise Refused(f"no clip is called {clip!r}", "", f"clips so far: {known}")
    for each in named:
        build.undo_event(each.n)
