"""Chapters of a build on the disk, and clips named in its log."""

from __future__ import annotations

from pathlib import Path

import msgspec

from bench.session.build import Build
from bench.session.folders import slug
from bench.writeup.film.chapter_files import csv_rows, plain_list, webvtt_file
from bench.writeup.film.clip_times import Named, read_clip
from bench.writeup.film.footage import Footage, footage_of
from bench.writeup.output_files import own_folder, save_whole

FOLDER_NAME = "chapters"


def build_footage(build: Build) -> Footage:
    """What the build's log knows about film, starts without a zone in this machine's."""
    events, progress = build.writer.put_right()
    return footage_of(build.kit, build.plan, events, progress, zone=None)


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


def publish_chapters(build: Build) -> tuple[Path, int]:
    """Write the chapters of every clip into a folder beside the log: WebVTT and a plain list each, one CSV.

    Returns the folder and the number of files. A file that somebody else changed is left alone (Refused).
    """
    footage = build_footage(build)
    folder = build.log.folder / FOLDER_NAME
    own_folder(folder)
    files: dict[str, str] = {}
    told = [each for each in footage.clips if each.chapters.chapters]
    for filmed in told:
        name = stem = slug(filmed.clip.name)
        number = 1
        while f"{name}.vtt" in files:
            number += 1
            name = f"{stem}-{number}"
        files[f"{name}.vtt"] = webvtt_file(filmed.chapters.chapters)
        files[f"{name}.txt"] = plain_list(filmed.chapters.chapters)
    files["chapters.csv"] = csv_rows((each.clip.name, each.chapters.chapters) for each in told)
    files["worth-showing.csv"] = csv_rows((each.clip.name, each.moments) for each in footage.clips)
    for name, text in files.items():
        save_whole(folder / name, text.encode(), build.log.folder)
    return folder, len(files)
