"""Sub-commands that open the screen."""

from __future__ import annotations

import argparse

from bench.cli.common import data_of, settings_of
from bench.errors import SoldersideError


def _shelf(args: argparse.Namespace) -> int:
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
