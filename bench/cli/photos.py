"""The sub-command that matches a folder of photos to a build."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.builds import changing
from bench.cli.common import FINE, aside, print_json, refuse_idle, say
from bench.errors import SoldersideError
from bench.parts.english import counted

if TYPE_CHECKING:
    from datetime import tzinfo

    from bench.session.build import Build
    from bench.writeup.moments import Calendar
    from bench.writeup.photos.matching import Match
    from bench.writeup.photos.photo_map import Shown


def _photos(args: argparse.Namespace) -> int:
    refuse_idle(args, "cannot be combined with --look, which records nothing", "--caption", when=args.look)
    why = "with --caption alone no photo is matched; name the FOLDER too"
    refuse_idle(args, why, "--clock", "--zone", "--without", when=args.caption and not args.folder)
    with changing(args, read_only=args.look) as build:
        for remark in build.log.remarks:
            aside(remark)
        if not args.look:
            build.writer.require_writable()
        found = None
        if args.folder or not args.caption:
            found = _match(args, build)
        try:
            if args.caption and not args.look:
                _caption(args, build)
        finally:  # a caption for a photo that was left out still wants the reason told
            _print(args, build, found)
    return FINE


def _match(args: argparse.Namespace, build: Build) -> Match:
    from bench.files import home_path, real_path
    from bench.writeup.photos.copies import take_in
    from bench.writeup.photos.matching import earlier, match

    known = build.progress.photos_matched
    if not args.folder and not known:
        raise SoldersideError("no photos were matched to this build yet", "", "name the folder they are in")
    folder = home_path(args.folder) if args.folder else Path(known[-1].folder)
    before = next((event for event in known if event.folder == str(real_path(folder))), None)
    zone = args.zone if args.zone is not None else before.zone if before else ""
    without = tuple(dict.fromkeys([*(before.without if before else ()), *args.without]))
    with _Line() as tell:
        found = match(
            build, folder, args.clock, earlier(build, folder), _zone(zone), zone, without, tell
        )  # fmt: skip
        return found if args.look else take_in(build, found, tell)


def _zone(text: str) -> tzinfo | None:
    """The zone that a builder names; None for the machine's own. Raises SoldersideError."""
    from datetime import timedelta, timezone
    from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

    from bench.writeup.photos.exif_time import offset_seconds

    if not text:
        return None
    seconds = offset_seconds(text)
    if seconds is not None:
        return timezone(timedelta(seconds=seconds))
    try:
        return ZoneInfo(text)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise SoldersideError("there is no such zone", text, "write it as +01:00 or Europe/Paris") from None


def _caption(args: argparse.Namespace, build: Build) -> None:
    """Record the captions: all are validated before the first is written."""
    from bench.writeup.photos.clock_photo import find_file

    files = [photo.file for event in build.progress.photos_matched for photo in event.photos]
    captions = []
    for text in args.caption:
        file, parted, caption = text.partition("=")
        if not parted:
            raise SoldersideError(
                "this is no caption for a photo", text, "write it as --caption IMG_0012.jpg='C5 lies flat'"
            )
        captions.append((find_file(file.strip(), files, "among those that go with this build"), caption))
    for file, caption in captions:
        build.caption_photo(file, caption)


class _Line:
    """One-line progress on stderr; silent unless it is a terminal."""

    def __enter__(self) -> Callable[[str, int, int], None]:
        self._shows = sys.stderr is not None and sys.stderr.isatty()
        self._any = False
        return self._tell

    def _tell(self, doing: str, done: int, of: int) -> None:
        if self._shows:
            self._any = True
            print(f"\r{doing} photo {done} of {of}\x1b[K", end="", file=sys.stderr, flush=True)

    def __exit__(self, *_: object) -> None:
        if self._any:
            print("\r\x1b[K", end="", file=sys.stderr, flush=True)


# -- telling -----------------------------------------------------------------------------------------
def _print(args: argparse.Namespace, build: Build, found: Match | None) -> None:
    from bench.writeup.moments import Calendar
    from bench.writeup.photos.photo_map import shown

    photos = found.photos if found else shown(build.events, build.progress)
    if found and not args.look:  # with the captions given just now
        photos = tuple(each for each in shown(build.events, build.progress) if each.photo in _kept(found))
    if args.json:
        print_json(_data(found, photos, recorded=not args.look and bool(photos)))
        return
    if found:
        _tell_clocks(found, len(photos))
    _tell_photos(photos, found.calendar if found else Calendar())
    if not found:
        return
    _tell_left_out(found)
    _tell_doubts(found)
    say()
    if args.look:
        say("Only looked: nothing was written.")
    elif found.photos:
        _tell_copies(build)
    else:
        say(
            "No photo belongs to this build, so nothing was recorded. Is the camera's clock right? Say what "
            "the bench clock shows in a photo of it: --clock IMG_0012.jpg=18:20:05"
        )


def _tell_left_out(found: Match) -> None:
    """Photos that are not on the page, each with the reason, and how many files were no photos."""
    if found.left_out or found.others:
        say()
        say("Left out:")
    for each in found.left_out:
        say(f"  {each.file}: {each.why}")
    if found.others:
        are = "file is not a photo" if found.others == 1 else "files are not photos"
        say(f"  {found.others} {are}, by the name")


def _tell_doubts(found: Match) -> None:
    if found.doubts:
        say()
        say("Questions:")
    for doubt in found.doubts:
        say(f"  {doubt}")


def _tell_copies(build: Build) -> None:
    """Where the copies are, and how many of them no page shows any more."""
    from bench.writeup.photos.copies import COPIES, unused_copies

    say(f"Copies for the web, without position or camera data: {build.log.folder / COPIES}")
    stale = unused_copies(build)
    if stale:
        are = "1 copy is" if stale == 1 else f"{stale} copies are"
        say(f"{are} no longer on the page; delete any that should not be published.")


def _kept(found: Match) -> list[object]:
    return [each.photo for each in found.photos]


def _tell_clocks(found: Match, kept: int) -> None:
    total = sum(batch.photos for batch in found.batches)
    say(f"{found.folder}: {counted(total, 'photo')}, {kept} of them belong to this build.")
    for batch in found.batches:
        say(f"  {batch.name} ({batch.photos}): {found.remarks[batch.name]}")


def _tell_photos(photos: tuple[Shown, ...], calendar: Calendar) -> None:
    from bench.writeup import words

    for place, rows in groupby(photos, lambda each: each.spot.place):
        say()
        say(words.capital(words.place(*place)))
        for each in rows:
            when = calendar.when(each.photo.at)
            said = each.caption or each.about
            why = f"{said} ({each.spot.why})" if said else each.spot.why
            say(f"  {each.photo.file}  {when.day} {when.time}{each.photo.at[16:19]}  {why}")
            for doubt in filter(None, (each.photo.doubt, each.spot.doubt)):
                say(f"      ? {doubt}")


def _data(found: Match | None, photos: tuple[Shown, ...], *, recorded: bool) -> dict[str, object]:
    told: dict[str, object] = {
        "recorded": recorded,
        "photos": [
            {
                "file": each.photo.file,
                "copy": each.photo.copy if each.photo.width else None,
                "at": each.photo.at,
                "stage": each.spot.place[0],
                "board": each.spot.place[1],
                "why": each.spot.why,
                "about": each.about,
                "caption": each.caption,
                "source": each.photo.source,
                "doubts": [doubt for doubt in (each.photo.doubt, each.spot.doubt) if doubt],
            }
            for each in photos
        ],
    }
    if found:
        told |= {
            "folder": str(found.folder),
            "batches": [
                {
                    "name": batch.name,
                    "photos": batch.photos,
                    "clocks": [
                        {"photo": file, "shows": shows, "seconds": seconds}
                        for (file, shows), seconds in zip(batch.clocks, batch.seconds, strict=True)
                    ],
                    "remark": found.remarks[batch.name],
                }
                for batch in found.batches
            ],
            "left_out": [{"file": each.file, "why": each.why} for each in found.left_out],
            "other_files": found.others,
            "doubts": list(found.doubts),
        }
    return told
