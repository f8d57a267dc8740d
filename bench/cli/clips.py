"""The sub-command about the clips of a build: what there are, more from a folder, one taken out."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from bench.cli.builds import folder_of
from bench.cli.common import FINE, Add, data_of, plain, print_json, refuse_idle, say, settings_of


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    clips = add_command(
        "clips",
        _clips,
        "List the clips of a build; name all that lie in a folder; take one out.",
        "clips twin-board-oscillator-rev-b --from card/DCIM",
    )
    clips.add_argument("build", metavar="BUILD", help="the name of a build, or its kit")
    clips.add_argument(
        "--from", metavar="DIR", dest="folder",
        help="name the clips in this folder by the start and length that their files hold",
    )  # fmt: skip
    clips.add_argument(
        "--forget", metavar="NAME", action="append", default=[], help="take a clip out; the log keeps it"
    )
    clips.add_argument("--json", action="store_true", help="print JSON")


def _clips(args: argparse.Namespace) -> int:
    from bench.session.folders import read_back
    from bench.ui.clock_face import clip_line
    from bench.writeup.film.footage import about_clip, clip_data
    from bench.writeup.film.publish import build_footage

    refuse_idle(args, {"--from": bool(args.folder and args.forget)}, "cannot be combined with --forget")
    if args.folder or args.forget:
        _change(args)
    _, _, build = read_back(data_of(args), folder_of(args), settings_of(args))
    for remark in build.log.remarks:
        print(plain(remark), file=sys.stderr)
    found = build_footage(build).clips
    if args.json:
        print_json({"build": build.name, "clips": [clip_data(each) for each in found]})
        return FINE
    for each in found:
        say(clip_line(each))
        for word in about_clip(each)[1:] if each.clip.map else ():
            say(f"  {word}")
    if not found:
        say("No clip has been named yet.")
    return FINE


def _change(args: argparse.Namespace) -> None:
    """Put clips into the log, or take them back."""
    from bench.session.event_writer import SystemClock
    from bench.session.folders import reopen
    from bench.writeup.film.media_files import film_files
    from bench.writeup.film.publish import forget_clips, name_all

    files = film_files(Path(args.folder)) if args.folder else ()
    build = reopen(data_of(args), folder_of(args), settings_of(args), SystemClock())
    said: tuple[str, ...] = ()
    try:
        forget_clips(build, *args.forget)
        if args.folder:
            named, said = name_all(build, files)
            said = (*said, f"{len(named)} of {len(files)} film files in {args.folder} named.")
    finally:
        build.log.close()
    for word in said:
        print(plain(word), file=sys.stderr)
