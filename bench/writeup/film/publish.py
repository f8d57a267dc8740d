"""What a build's log knows of film, and clips named in it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

from msgspec import Struct

from bench.errors import Refused
from bench.log import events as ev
from bench.log.standing import standing
from bench.session.build import Build
from bench.settings import Settings
from bench.writeup.film.chapters import USUAL, ChapterRules
from bench.writeup.film.clip_names import read_timecode
from bench.writeup.film.clip_times import NEARLY, OPEN_END, Named, read_clip, was_there
from bench.writeup.film.clips import place_clips
from bench.writeup.film.clock_map import impossible
from bench.writeup.film.footage import Filmed, Footage, footage_of
from bench.writeup.film.media_files import FilmFile

SAME_DAY = 12 * 3600.0
"""A clip further than this from all work, in seconds, is not of this build."""


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
    """Raise Refused for marks that no camera's clock can have made."""
    events, progress = build.writer.put_right()
    known = {clap.number for clap in progress.claps}
    claps = tuple(each for each in named.claps if each[0] in known)
    if not (claps or named.shows):
        return
    new = ev.ClipNamed(n=0, at="", mono=0.0, run="", clip=clip, claps=claps, shows=named.shows)
    (placed,), _ = place_clips(events, progress.claps, [new], None)
    wrong = impossible(placed.map) if placed.map else " ".join(placed.doubts)
    if wrong:
        raise Refused(
            wrong.rstrip("."), "", "read the claps off a player once more, or give one clap alone for now"
        )


def forget_clips(build: Build, *clips: str) -> None:
    """Take every naming of clips back; the log keeps them. Raises Refused, none taken, if one is unknown."""
    known = [each.clip for each in build.progress.clips]
    unknown = next((clip for clip in clips if clip not in known), None)
    if unknown is not None:
        raise Refused(f"no clip is called {unknown!r}", "", f"clips so far: {', '.join(known) or 'none'}")
    for each in list(standing(build.writer.events)):
        if isinstance(each, ev.ClipNamed) and each.clip in clips:
            build.undo_event(each.n)


def take_out(build: Build, thing: ev.SyncMarked | Filmed) -> str:
    """Take a clap or a clip back; returns a sentence. The log keeps both, and brings them back."""
    if isinstance(thing, ev.SyncMarked):
        build.undo_event(thing.n)
        return f"Clap {thing.number} is taken back."
    forget_clips(build, thing.clip.name)
    return f"{thing.clip.name} is taken out. The log can bring it back."


def name_all(build: Build, files: Sequence[FilmFile], folder: str) -> tuple[str, ...]:
    """Name clips by what their files say; a word on each left out or in doubt, and how many were named."""
    stamps = build_footage(build).stamps
    known = {clip.clip for clip in build.progress.clips}
    named, said = 0, list[str]()
    for file in files:
        starts, word = _start_by_file(file, stamps) if file.name not in known else ("", "named already")
        said += [f"{file.name}: {word}"] if word else []
        if starts:
            build.name_clip(file.name, starts, length=file.length)
            named += 1
    return (*said, f"{named} of {len(files)} film files in {folder} named.")


def _start_by_file(file: FilmFile, stamps: Sequence[float]) -> tuple[str, str]:
    """When a file began, as `ClipNamed.starts`, empty to leave it out; and a word on it.

    A header is to be in UTC. Where nobody was at work then, but somebody was at that time of day in this
    computer's zone, the camera wrote its local time.
    """
    if file.begins is None:
        return "", "left out, since the file does not say when it was filmed: name it with --clip"
    lasts = file.length or OPEN_END
    bare = datetime.fromtimestamp(file.begins, UTC).replace(tzinfo=None)
    local = bare.astimezone()
    for moment, word in ((bare.replace(tzinfo=UTC), ""), (local, "its camera wrote local time, not UTC")):
        if was_there(moment.timestamp(), stamps, lasts, NEARLY):
            return moment.isoformat(timespec="milliseconds"), word
    if any(abs(stamp - file.begins) < SAME_DAY for stamp in stamps):
        return bare.replace(tzinfo=UTC).isoformat(timespec="milliseconds"), "no log entry falls into it"
    return "", f"left out, since it was filmed on another day ({bare:%Y-%m-%d %H:%M} UTC)"
