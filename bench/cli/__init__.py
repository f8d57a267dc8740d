"""The command line. Each sub-command imports what it needs when it runs."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence

from bench import __version__
from bench.cli import (
    batch,
    builds,
    completion,
    film,
    kits,
    lists,
    measuring,
    parts,
    photos,
    record,
    retro,
    screen,
    sheets,
)  # fmt: skip
from bench.cli.common import FAULTY, FINE, INTERRUPTED, Parser, Run, print_faults
from bench.errors import BenchError

GROUPS = (
    screen, builds, retro, batch, record, photos, film, kits, lists, parts, measuring, sheets, completion,
)  # fmt: skip
"""The sub-commands, in the order in which help lists them."""


def parser() -> argparse.ArgumentParser:
    """The whole command line."""
    common = Parser(add_help=False)
    common.add_argument(
        "--data",
        metavar="DIR",
        default=argparse.SUPPRESS,
        help="where builds and settings lie (also SOLDERSIDE_DATA)",
    )
    whole = Parser(
        prog="solderside",
        description="A companion for the bench: one soldering step at a time, a log that survives, a write-up.",
        epilog="Example: solderside build kits/twin-board-oscillator.yaml",
        parents=[common],
    )
    whole.add_argument("--version", action="version", version=f"solderside {__version__}")
    commands = whole.add_subparsers(dest="command", metavar="COMMAND", parser_class=Parser)

    def add(name: str, run: Run, about: str, example: str) -> argparse.ArgumentParser:
        sub: argparse.ArgumentParser = commands.add_parser(
            name, help=about, description=about, epilog=f"Example: solderside {example}", parents=[common]
        )
        sub.set_defaults(run=run, misuse=sub.error)
        return sub

    for group in GROUPS:
        group.add(add)
    return whole


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line; returns the exit code: 0 fine, 1 faults in the input, 2 wrong use."""
    args = parser().parse_args(argv)
    run: Run = getattr(args, "run", screen.shelf)
    if isinstance(sys.stdout, io.TextIOWrapper):
        sys.stdout.reconfigure(errors="backslashreplace")  # a terminal without ohm signs is no fault
    try:
        code = run(args)
        if sys.stdout is not None:
            sys.stdout.flush()
        return code
    except BenchError as error:
        print_faults(error, args.command or "solderside")
        return FAULTY
    except BrokenPipeError:  # whoever read our words has read enough
        _drop_output()
        return FINE
    except OSError as error:
        print_faults(
            BenchError(error.strerror or "it cannot be read or written", str(error.filename or "stdout"))
        )
        _drop_output()
        return FAULTY
    except KeyboardInterrupt:
        return INTERRUPTED


def _drop_output() -> None:
    """Let what is still to be written go nowhere, so that leaving does not fail over it."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
