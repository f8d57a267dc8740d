"""The sub-command about the clips of a build: what there are, more from a folder, one taken out."""

from __future__ import annotations

import argparse
from pathlib import Path

from bench.cli.builds import build_of, changing
from bench.cli.common import FINE, aside, print_json, refuse_idle, say


def _clips(args: argparse.Namespace) -> int:
    from bench.ui.clock_face import clip_line
    from bench.writeup.film.footage import about_clip, clip_data
    from bench.writeup.film.publish import build_footage

    folder: str | None = vars(args)["from"]
    refuse_idle(args, "cannot be combined with --forget", "--from", when=args.forget)
    if folder or args.forget:
        _change(args, folder)
    build = build_of(args)
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


def _change(args: argparse.Namespace, folder: str | None) -> None:
    """Put clips into the log, or take them back."""
    from bench.writeup.film.media_files import film_files
    from bench.writeup.film.publish import forget_clips, name_all

    files = film_files(Path(folder)) if folder else ()
    with changing(args) as build:
        forget_clips(build, *args.forget)
        said = name_all(build, files, folder) if folder else ()
    for word in said:
        aside(word)
