"""Sub-commands about film: chapters that match the camera, and all that goes with a video."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from bench.cli.builds import folder_of
from bench.cli.common import (
    FAULTY,
    FINE,
    Add,
    data_of,
    plain,
    print_faults,
    print_json,
    refuse_idle,
    say,
    settings_of,
)
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
        "--starts",
        metavar="TIME",
        default="",
        help="its start by the camera's clock: 18:20:05, '2031-02-03 18:20:05', 18:20:05+01:00, 17:20:05Z",
    )
    chapters.add_argument(
        "--clap", metavar="N=TIME", action="append", default=[], help="clap N is at this time in the clip"
    )
    chapters.add_argument(
        "--shows", metavar="CLOCK=TIME", action="append", default=[],
        help="the filmed bench clock shows CLOCK at this time in the clip",
    )  # fmt: skip
    chapters.add_argument("--length", metavar="TIME", default="", help="length of the clip: 25:10")
    chapters.add_argument(
        "--timecode", metavar="HH:MM:SS:FF", default="", help="what the camera counted at the first frame"
    )
    chapters.add_argument(
        "--cut", metavar="LIST", help="a cut list (- for standard input): chapters of the finished film"
    )
    chapters.add_argument("--moments", action="store_true", help="moments worth showing, and where to cut")
    chapters.add_argument("--format", choices=FORMATS, default="text", help="what to print (default: text)")
    chapters.add_argument("--json", action="store_const", const="json", dest="format", help="print JSON")
    chapters.add_argument("--out", metavar="FILE", help="where to write (default, and -: the terminal)")
    chapters.add_argument("--force", action="store_true", help="replace a file that solderside did not write")
    _breaks(chapters)
    film = add_command(
        "film",
        _film_kit,
        "Write a folder for the video: a proposed cut, chapters, captions, a description, timelines.",
        "film twin-board-oscillator-rev-b --minutes 12",
    )
    film.add_argument("build", metavar="BUILD", help="the name of a build, or its kit")
    film.add_argument(
        "--minutes", type=float, metavar="N", help="how long the proposed film is to be (default: film_minutes)"
    )
    film.add_argument(
        "--camera", metavar="NAME", default="", help="camera to show where several ran: close for close-1.mov"
    )
    film.add_argument(
        "--media", metavar="DIR", help="the folder with the clips, for editing programs to find them"
    )
    film.add_argument("--cut", metavar="LIST", help="a cut list of your own, in place of a proposal")
    film.add_argument(
        "--propose", action="store_true", help="propose a cut anew, though you changed the last one"
    )
    _breaks(film)
    film.add_argument("--out", metavar="DIR", help="where to write (default: `film` beside the log)")
    film.add_argument("--force", action="store_true", help="replace files that solderside did not write")


def _breaks(command: argparse.ArgumentParser) -> None:
    command.add_argument("--breaks", action="store_true", help="breaks are chapters too")


def _film_kit(args: argparse.Namespace) -> int:
    from bench.writeup.film.kit import Wanted, publish_film

    if args.minutes is not None and not 0.5 <= args.minutes <= 600:
        args.misuse("--minutes: from 0.5 to 600")
    if args.cut == "-":
        args.misuse("--cut: name a file; chapters --cut - reads standard input")
    if args.out == "-":
        args.misuse("--out: the film kit is a folder of files, so it cannot go to standard output")
    proposing = {"--minutes": bool(args.minutes), "--camera": bool(args.camera), "--propose": args.propose}
    refuse_idle(args, proposing if args.cut else {}, "is about a proposal, and a cut list is given")
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
    made = publish_film(_build(args), settings_of(args), wanted)
    for line in made.remarks:
        print(plain(line), file=sys.stderr)
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
    build = _build(args)
    rules = rules_of(settings_of(args), breaks=args.breaks)
    rules = replace(NONE, breaks=rules.breaks) if args.format == "vtt" else rules
    footage = build_footage(build, rules)
    told = _clips_meant(args, footage)
    film = _film(args, footage) if args.cut else None
    if args.format == "json":
        print_json(_data(build, told, film))
        return FINE
    text = _text(args, told, film)
    for line in _remarks(told, film):
        print(plain(line), file=sys.stderr)
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
    data = args.format == "json"
    refuse_idle(args, {"--out": bool(args.out) and data}, "cannot be combined with --json, which prints data")
    refuse_idle(args, {"--force": args.force and not args.out}, "only a file that --out names is replaced")
    refuse_idle(
        args,
        {"--moments": args.moments and (data or args.format == "vtt")},
        "goes with text or csv, not with data or WebVTT",
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
    from bench.writeup.film.publish import Typed, name_clip

    settings = settings_of(args)
    build = reopen(data_of(args), folder_of(args), settings, SystemClock())
    try:
        typed = Typed(
            clip=args.clip, starts=args.starts, claps=args.clap, shows=args.shows, length=args.length,
            timecode=args.timecode,
        )  # fmt: skip
        named = name_clip(build, settings, typed)
    finally:
        build.log.close()
    for remark in named.remarks:
        print(plain(f"{args.clip}: {remark}"), file=sys.stderr)


def _film(args: argparse.Namespace, footage: Footage) -> Film:
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
