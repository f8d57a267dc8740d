"""Sub-commands that keep builds in order."""

from __future__ import annotations

import argparse

from bench.cli.builds import folder_of
from bench.cli.common import FINE, Add, data_of, say


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    rename = add_command(
        "rename",
        _rename,
        "Give a build a name or number among the units of its kit.",
        "rename fog-filter-rev-a Anna",
    )
    rename.add_argument("build", metavar="BUILD", help="the name of a build, or its kit")
    rename.add_argument("name", metavar="NAME", help="what this unit is called on screen, paper and pages")


def _rename(args: argparse.Namespace) -> int:
    from bench.log.units import unit_words
    from bench.session.event_writer import SystemClock
    from bench.session.folders import build_folders
    from bench.session.units import rename_unit

    folder = folder_of(args)
    before, now = rename_unit(folder, build_folders(data_of(args)), args.name, SystemClock())
    was = f", was {unit_words(before)}" if before else ""
    say(f"{folder.name} is {unit_words(now)} now{was}. Its folder keeps its name.")
    return FINE
