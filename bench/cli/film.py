"""Sub-commands about film: chapters that match the camera."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.cli.builds import folder_of
from bench.cli.common import FINE, Add, data_of, plain, print_json, refuse_idle, say, settings_of
from bench.errors import SoldersideError
from bench.files import MEGABYTE, read_text_file

if TYPE_CHECKING:
    from bench.session.build import Build
    from bench.writeup.film.cut_list import Film
    from bench.writeup.film.footage import Filmed, Footage

FORMATS = ("text", "vtt", "csv", "json")


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    chapters = add_command(
        "chapters",
        _chapters,
        "Make video chapters from the log. Tell it about each clip once: its start, or where claps are seen.",
        "chapters twin-board-oscillator-rev-b --clip one.mov --clap 1=12.48 --clap 2=30:04.2 --length 31:10",
    )
    chapters.add_argument("build", metavar="BUILD", help="the name of a build, or its kit")
    chapters.add_argument(
        "--clip",
        metavar="NAME",
        default="",
        help="the clip these options are about; it is recorded with what they say",
    )
    chapters.add_argument(
        "--starts", metavar="TIME", default="", help="start of the clip by the camera's clock: 18:20:05"
    )
    chapters.add_argument(
        "--clap", metavar="N=TIME", action="append", default=[], help="clap N is at this time in the clip"
    )
    chapters.add_argument(
        "--shows", metavar="CLOCK=TIME", action="append", default=[],
        help="the filmed bench clock shows CLOCK at this time in the clip",
    )  # fmt: skip
    chapters.add_argument("--length", metavar="TIME", default="", help="length of the clip: 25:10")
    chapters.add_argument("--cut", metavar="LIST", help="a cut list: make chapters for the finished film")
    chapters.add_argument("--moments", action="store_true", help="moments worth showing, and where to cut")
    chapters.add_argument("--format", choices=FORMATS, default="text", help="what to print (default: text)")
    chapters.add_argument("--json", action="store_const", const="json", dest="format", help="print JSON")
    chapters.add_argument("--out", metavar="FILE", help="where to write (default: the terminal)")
    chapters.add_argument("--force", action="store_true", help="replace a file that solderside did not write")


def _chapters(args: argparse.Namespace) -> int:
    from bench.writeup.film.publish import build_footage

    naming = bool(args.starts or args.clap or args.shows or args.length)
    _sensible(args, naming=naming)
    if naming:
        _name(args)
    build = _build(args)
    footage = build_footage(build)
    told = _clips_meant(args, footage)
    film = _film(args, footage) if args.cut else None
    if args.format == "json":
        print_json(_data(build, told, film))
        return FINE
    text = _text(args, told, film)
    for line in _remarks(told, film):
        print(plain(line), file=sys.stderr)
    if args.out:
        from bench.writeup.output_files import save_whole

        say(str(save_whole(Path(args.out), text.encode(), build.log.folder, force=args.force).path))
        return FINE
    sys.stdout.write(text.replace("\r\n", "\n"))
    return FINE


def _sensible(args: argparse.Namespace, *, naming: bool) -> None:
    """Leave, with exit code 2, when options do not go together; `naming`: some say something about a clip."""
    if naming and not args.clip:
        args.misuse("--starts, --clap, --shows and --length are about a clip: give --clip too")
    if args.cut and args.clip:
        args.misuse("--cut is about all clips: leave --clip out")
    data = args.format == "json"
    refuse_idle(args, {"--out": bool(args.out) and data}, "cannot be combined with --json, which prints data")
    refuse_idle(args, {"--force": args.force and not args.out}, "only a file that --out names is replaced")
    refuse_idle(
        args,
        {"--moments": args.moments and (data or args.format == "vtt" or bool(args.cut))},
        "goes with text or csv of clips, not with data, WebVTT or --cut",
    )


def _clips_meant(args: argparse.Namespace, footage: Footage) -> list[Filmed]:
    """The clip that the command line names, else all of them; SoldersideError when there is none."""
    told = [each for each in footage.clips if args.clip in ("", each.clip.name)]
    if not told:
        what = f"no clip is called {args.clip!r}" if args.clip else "no clip has been named yet"
        hint = "name one: --clip bench-1.mov --starts 18:20:05, or with claps: --clap 1=12.48"
        raise SoldersideError(what, "", hint)
    return told


def _build(args: argparse.Namespace) -> Build:
    """The build, opened for reading; what is odd about its log goes to stderr."""
    from bench.session.folders import read_back

    _, _, build = read_back(data_of(args), folder_of(args), settings_of(args))
    for remark in build.log.remarks:
        print(plain(remark), file=sys.stderr)
    return build


def _name(args: argparse.Namespace) -> None:
    """Put the clip into the log."""
    from bench.session.event_writer import SystemClock
    from bench.session.folders import reopen
    from bench.writeup.film.publish import name_clip

    settings = settings_of(args)
    build = reopen(data_of(args), folder_of(args), settings, SystemClock())
    try:
        named = name_clip(
            build, args.clip, args.starts, args.clap, args.shows, args.length, settings.clock_frames
        )
    finally:
        build.log.close()
    for remark in named.remarks:
        print(plain(f"{args.clip}: {remark}"), file=sys.stderr)


def _film(args: argparse.Namespace, footage: Footage) -> Film:
    from bench.writeup.film.cut_list import film_of, read_cut_list

    clips = {each.clip.name: each.clip for each in footage.clips}
    text = read_text_file(Path(args.cut), MEGABYTE, "cut list")
    return film_of(read_cut_list(text, args.cut, clips), clips, footage.marks)


def _text(args: argparse.Namespace, told: list[Filmed], film: Film | None) -> str:
    from bench.writeup.film.chapter_files import csv_rows, plain_list, plain_moments, webvtt_file

    if args.format == "csv":
        if film:
            return csv_rows([("film", film.chapters.chapters)])
        return csv_rows(
            (each.clip.name, each.moments if args.moments else each.chapters.chapters) for each in told
        )
    if film:
        write = webvtt_file if args.format == "vtt" else plain_list
        return write(film.chapters.chapters)
    if args.format == "vtt":
        if len(told) > 1:
            names = ", ".join(each.clip.name for each in told)
            raise SoldersideError(
                f"a WebVTT file is for one clip, and there are {len(told)}", "", f"choose with --clip: {names}"
            )
        return webvtt_file(told[0].chapters.chapters)
    blocks = []
    for each in told:
        body = plain_moments(each.moments) if args.moments else plain_list(each.chapters.chapters)
        blocks.append(f"{plain(each.clip.name)}\n{body}" if len(told) > 1 else body)
    return "\n".join(blocks)


def _remarks(told: list[Filmed], film: Film | None) -> list[str]:
    """How sure the chapters are and what became of some of them, for stderr."""
    from bench.writeup.film.chapters import too_few
    from bench.writeup.film.footage import about_clip

    if film:
        return [word for word in (*film.chapters.remarks, too_few(film.chapters.chapters)) if word]
    return [f"{each.clip.name}: {word}" for each in told for word in about_clip(each)]


def _data(build: Build, told: list[Filmed], film: Film | None) -> dict[str, Any]:
    from bench.writeup.film.footage import clip_data

    return {
        "build": build.name,
        "clips": [clip_data(each) for each in told],
        "film": {"length": film.length, "chapters": film.chapters.chapters, "remarks": _remarks(told, film)}
        if film
        else None,
    }
