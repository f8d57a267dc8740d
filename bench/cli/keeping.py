"""Sub-commands that keep builds in order."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from bench.cli.builds import folder_of
from bench.cli.common import FINE, Add, data_of, plain, say, settings_of
from bench.files import home_path


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
    for name, run, about in (
        ("archive", _archive, "Put a build away: last on the shelf, kept in your record."),
        ("delete", _delete, "Delete a build; solderside restore brings it back."),
    ):
        command = add_command(name, run, about, f"{name} fog-filter-rev-a")
        command.add_argument("build", metavar="BUILD", help="the name of a build, or its kit")
    about = "Bring back a build that was deleted or put away."
    back = add_command("restore", _restore, about, "restore fog-filter-rev-a")
    back.add_argument("name", metavar="NAME", nargs="?", help="which one; without it they are listed")
    about = "Write a build into one file, photos included."
    export = add_command("export", _export, about, "export fog-filter-rev-a --out fog.zip")
    export.add_argument("build", metavar="BUILD", help="the name of a build, or its kit")
    export.add_argument("--out", metavar="FILE", default=".", help="file or folder (default: this folder)")
    about = "Unpack a build that was exported on another computer."
    arrive = add_command("import", _import, about, "import fog-filter-rev-a.solderside.zip")
    arrive.add_argument("file", metavar="FILE", help="what solderside export wrote")


def _archive(args: argparse.Namespace) -> int:
    from bench.session.put_away import put_away

    folder = folder_of(args)
    put_away(folder)
    say(f"{folder.name} is put away. Bring it back: solderside restore {folder.name}")
    return FINE


def _delete(args: argparse.Namespace) -> int:
    from bench.session.put_away import delete

    folder = folder_of(args)
    kept = delete(data_of(args), folder)
    say(f"{folder.name} is deleted; it is kept in {kept}. Bring it back: solderside restore {kept.name}")
    return FINE


def _restore(args: argparse.Namespace) -> int:
    from bench.session.folders import build_folders
    from bench.session.put_away import deleted_builds, is_put_away, put_away, restore

    data = data_of(args)
    away = {each.name: each for each in build_folders(data) if is_put_away(each)}
    if args.name is None:
        for name in away:
            say(f"put away: {name}")
        for each in deleted_builds(data):
            say(f"deleted: {each.name}")
        return FINE
    if args.name in away:
        put_away(away[args.name], away=False)
        say(f"{args.name} is back on the shelf.")
        return FINE
    say(f"{restore(data, args.name).name} is back.")
    return FINE


def _export(args: argparse.Namespace) -> int:
    from bench.session.build_archive import export_build

    if args.out == "-":
        args.misuse("--out: an archive is no text for a terminal; name a file")
    say(str(export_build(folder_of(args), Path(args.out), settings_of(args))))
    return FINE


def _import(args: argparse.Namespace) -> int:
    from bench.session.build_archive import import_build

    carried = import_build(data_of(args), home_path(args.file), settings_of(args))
    say(f"{carried.folder.name} is there: solderside build {carried.folder.name}")
    for said in carried.settings:
        print(plain(f"{said}."), file=sys.stderr)
    if carried.passed_over:
        print(plain(f"passed over: {', '.join(carried.passed_over[:10])}"), file=sys.stderr)
    return FINE


def _rename(args: argparse.Namespace) -> int:
    from bench.log.unit_names import unit_words
    from bench.session.event_writer import SystemClock
    from bench.session.folders import build_folders
    from bench.session.units import rename_unit

    folder = folder_of(args)
    before, now = rename_unit(folder, build_folders(data_of(args)), args.name, SystemClock())
    was = f", was {unit_words(before)}" if before else ""
    say(f"{folder.name} is {unit_words(now)} now{was}. Its folder keeps its name.")
    return FINE
