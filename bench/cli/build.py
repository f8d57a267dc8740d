"""Sub-commands that open the screen."""

from __future__ import annotations

import argparse

from bench.cli.common import Add, data_of, settings_of
from bench.errors import SoldersideError


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    build = add_command(
        "build", _build, "Open or resume a build at the bench.", "build kits/first-evening-metronome.yaml"
    )
    build.add_argument("kit", metavar="KIT", help="a kit file, or the name of a build")
    build.add_argument("--again", action="store_true", help="start another build of a kit built before")
    build.add_argument(
        "--go-on", action="store_true", help="go on with the build of an earlier revision of this kit"
    )
    build.add_argument(
        "--plain", action="store_true", help="line by line, for a screen reader: no screen is drawn"
    )
    build.add_argument("--procedure", metavar="NAME", help="stages for a new build: a name or a file")


def shelf(args: argparse.Namespace) -> int:
    """The build last worked on, or the shelf when there is none."""
    from bench.session.folders import latest_build

    latest = latest_build(data_of(args))
    from bench.start import run

    return run(data_of(args), settings_of(args), str(latest) if latest else None)


def _build(args: argparse.Namespace) -> int:
    from bench.start import run

    if args.again and args.go_on:
        raise SoldersideError("--again and --go-on cannot both be meant", "", "leave one out")
    return run(
        data_of(args),
        settings_of(args),
        args.kit,
        again=args.again,
        go_on=args.go_on,
        procedure_given=bool(args.procedure),
        plain=args.plain,
    )
