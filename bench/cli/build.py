"""Sub-commands that open the screen."""

from __future__ import annotations

import argparse

from bench.cli.common import PLAIN, Add, data_of, settings_of
from bench.errors import SoldersideError


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    build = add_command(
        "build",
        _build,
        "Start a kit at the bench, or continue where you left off.",
        "build first-evening-metronome",
    )
    build.add_argument("kit", metavar="KIT|BUILD", help="the name or file of a kit, or the name of a build")
    build.add_argument("--again", action="store_true", help="start a new build of a kit that you built before")
    build.add_argument(
        "--go-on", action="store_true", help="continue the build of an earlier revision of this kit"
    )
    build.add_argument(
        "--unit",
        metavar="NAME",
        help="which of several units of the kit: begin or continue the one of this name or number",
    )
    build.add_argument("--plain", action="store_true", default=argparse.SUPPRESS, help=PLAIN)
    build.add_argument(
        "--units", metavar="N|NAMES", help="several units side by side: how many, or names such as left,right"
    )
    build.add_argument("--procedure", metavar="NAME", help="order of work for a new build: a name or a file")


def shelf(args: argparse.Namespace) -> int:
    """The build last worked on that is not finished, or the shelf when there is none."""
    from bench.start import run

    return run(data_of(args), settings_of(args), None, plain=args.plain)


def _build(args: argparse.Namespace) -> int:
    from bench.start import run

    if args.again and args.go_on:
        raise SoldersideError("--again and --go-on contradict each other", "", "leave one out")
    if args.unit is not None and not args.unit.strip():
        args.misuse("--unit needs a name or a number")
    if args.units is not None and args.unit is not None:
        args.misuse("--units and --unit contradict each other")
    from bench.session.side_by_side import unit_names

    return run(
        data_of(args),
        settings_of(args),
        args.kit,
        again=args.again,
        go_on=args.go_on,
        unit=args.unit or "",
        procedure_given=bool(args.procedure),
        plain=args.plain,
        units=unit_names(args.units) if args.units is not None else (),
    )
