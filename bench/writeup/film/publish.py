"""What a build's log knows of film, and clips named in it."""

from __future__ import annotations

import msgspec

from bench.session.build import Build
from bench.settings import Settings
from bench.writeup.film.chapters import USUAL, ChapterRules
from bench.writeup.film.clip_times import Named, read_clip
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


def name_clip(
    build: Build, clip: str, starts: str, claps: list[str], shows: list[str], length: str, frames: int = 0
) -> Named:
    """Read what was typed about a clip and put it into the log. Raises Refused or LogError.

    What is left out stays as it was said of the clip before: its length, or all that says when it was filmed.
    """
    stamps = build_footage(build).stamps
    before = next((each for each in build.progress.clips if each.clip == clip.strip()), None)
    known = before if before and not (starts.strip() or claps or shows) else None
    named = read_clip(
        starts, claps, shows, length, stamps=stamps, zone=None, frames=frames, known=known is not None
    )
    if known:
        named = msgspec.structs.replace(named, starts=known.starts, claps=known.claps, shows=known.shows)
    if before and not named.length:
        named = msgspec.structs.replace(named, length=before.length)
    build.name_clip(clip, named.starts, named.claps, named.shows, named.length)
    return named
