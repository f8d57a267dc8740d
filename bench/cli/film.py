"""Sub-commands about film: chapters that match the camera, and all that goes with a video."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from bench.cli.builds import build_of, changing
from bench.cli.common import FAULTY, FINE, aside, plain, print_faults, print_json, refuse_idle, say, settings_of
from bench.errors import SoldersideError
from bench.files import MEGABYTE, read_text_file

if TYPE_CHECKING:
    from bench.session.build import Build
    from bench.writeup.film.cut_list import Film
    from bench.writeup.film.footage import Filmed, Footage


def _film(args: argparse.Namespace) -> int:
    from bench.writeup.film.kit import Wanted, publish_film

    if args.minutes is not None and not 0.5 <= args.minutes <= 600:
        args.misuse("--minutes: from 0.5 to 600")
    if args.cut == "-":
        args.misuse("--cut: name a file; chapters --cut - reads standard input")
    if args.out == "-":
        args.misuse("--out: the film kit is a folder of files, so it cannot go to standard output")
    why = "is about a proposal, and a cut list is given"
    refuse_idle(args, why, "--minutes", "--camera", "--propose", when=args.cut)
    wanted = Wanted(
        out=Path(args.out) if args.out else None,
        cut=Path(args.cut) if args.cut else None,
        minutes=args.minutes or 0.0,
        camera=args.camera,
        breaks=args.breaks,
        propose=args.propose,
        force=args.force,
        media=Path(args.media) if args.media else None,
    )
    made = publish_film(build_of(args), settings_of(args), wanted)
    for line in made.remarks:
        aside(line)
    for problem in made.problems:
        print_faults(problem, "film")
    for name in made.files:
        say(str(made.folder / name))
    return FAULTY if made.problems else FINE


def _chapters(args: argparse.Namespace) -> int:
    from bench.writeup.film.chapters import NONE
    from bench.writeup.film.publish import build_footage, rules_of

    naming = bool(args.starts or args.clap or args.shows or args.length or args.timecode)
    _sensible(args, naming=naming)
    if naming:
        _name(args)
    build = build_of(args)
    rules = rules_of(settings_of(args), breaks=args.breaks)
    rules = replace(NONE, breaks=rules.breaks) if args.format == "vtt" else rules
    footage = build_footage(build, rules)
    told = _clips_meant(args, footage)
    film = _cut(args, footage) if args.cut else None
    if args.format == "json":
        print_json(_data(build, told, film))
        return FINE
    text = _text(args, told, film)
    for line in _remarks(told, film):
        aside(line)
    if args.out and args.out != "-":
        from bench.writeup.output_files import save_whole

        say(str(save_whole(Path(args.out), text.encode(), build.log.folder, force=args.force).path))
        return FINE
    sys.stdout.write(text.replace("\r\n", "\n"))
    return FINE


def _sensible(args: argparse.Namespace, *, naming: bool) -> None:
    """Leave, with exit code 2, when options do not go together; `naming`: some say something about a clip."""
    if naming and not args.clip:
        args.misuse("--starts, --clap, --shows, --length and --timecode are about a clip: give --clip too")
    if args.cut and args.clip:
        args.misuse("--cut is about all clips: leave --clip out")
    form = args.format = "json" if args.json else args.format
    refuse_idle(args, "cannot be combined with --json, which prints data", "--out", when=form == "json")
    refuse_idle(args, "only a file that --out names is replaced", "--force", when=not args.out)
    why = "goes with text or csv, not with data or WebVTT"
    refuse_idle(args, why, "--moments", when=form in ("json", "vtt"))


def _clips_meant(args: argparse.Namespace, footage: Footage) -> list[Filmed]:
    """The clip that the command line names, else all of them; SoldersideError when there is none."""
    told = [each for each in footage.clips if args.clip in ("", each.clip.name)]
    if not told:
        what = f"no clip is called {args.clip!r}" if args.clip else "no clip has been named yet"
        hint = "name one: --clip bench-1.mov --starts 18:20:05, or with claps: --clap 1=12.48"
        raise SoldersideError(what, "", hint)
    return told


def _name(args: argparse.Namespace) -> None:
    """Put the clip into the log."""
    from bench.writeup.film.publish import Typed, name_clip

    typed = Typed(
        clip=args.clip, starts=args.starts, claps=args.clap, shows=args.shows, length=args.length,
        timecode=args.timecode,
    )  # fmt: skip
    with changing(args) as build:
        named = name_clip(build, settings_of(args), typed)
    for remark in named.remarks:
        aside(f"{args.clip}: {remark}")


def _cut(args: argparse.Namespace, footage: Footage) -> Film:
    from bench.writeup.film.cut_list import film_of, read_cut_list

    clips = {each.clip.name: each.clip for each in footage.clips}
    text = sys.stdin.read(MEGABYTE) if args.cut == "-" else read_text_file(Path(args.cut), MEGABYTE, "cut list")
    return film_of(read_cut_list(text, args.cut, clips), clips, footage.marks, footage.rules)


def _text(args: argparse.Namespace, told: list[Filmed], film: Film | None) -> str:
    from bench.writeup.film.chapter_files import csv_rows, plain_list, plain_moments, webvtt_file

    if film:
        named = [("film", film.chapters.chapters, film.moments)]
    else:
        named = [(each.clip.name, each.chapters.chapters, each.moments) for each in told]
    if args.format == "csv":
        return csv_rows((name, moments if args.moments else chapters) for name, chapters, moments in named)
    if args.format == "vtt":
        if len(named) > 1:
            names = ", ".join(name for name, _, _ in named)
            raise SoldersideError(
                f"a WebVTT file is for one clip, and there are {len(named)}", "", f"choose with --clip: {names}"
            )
        return webvtt_file(named[0][1])
    blocks = [
        (name, plain_moments(moments) if args.moments else plain_list(chapters))
        for name, chapters, moments in named
        if moments or not args.moments
    ]
    if not blocks:
        return "Nothing worth showing is on film.\n"
    return "\n".join(f"{plain(name)}\n{body}" if len(blocks) > 1 else body for name, body in blocks)


def _remarks(told: list[Filmed], film: Film | None) -> list[str]:
    """How sure the chapters are and what became of some of them, for stderr."""
    from bench.writeup.film.chapters import too_few
    from bench.writeup.film.footage import about_clip

    if film:
        return [word for word in (*film.chapters.remarks, too_few(film.chapters.chapters, film.rules)) if word]
    return [f"{each.clip.name}: {word}" for each in told for word in about_clip(each)]


def _data(build: Build, told: list[Filmed], film: Film | None) -> dict[str, Any]:
    from bench.writeup.film.footage import clip_data

    return {
        "build": build.name,
        "clips": [clip_data(each) for each in told],
        "film": {
            "length": film.length,
            "chapters": film.chapters.chapters,
            "moments": film.moments,
            "remarks": _remarks(told, film),
        }
        if film
        else None,
    }
