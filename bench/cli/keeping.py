"""Sub-commands that keep builds in order."""

from __future__ import annotations

import argparse
from pathlib import Path

from bench.cli.builds import folder_of
from bench.cli.common import FINE, aside, data_of, say, settings_of
from bench.files import home_path


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
        aside(f"{said}.")
    if carried.passed_over:
        aside(f"passed over: {', '.join(carried.passed_over[:10])}")
    return FINE


def _rename(args: argparse.Namespace) -> int:
    from bench.log.unit_names import unit_words
    from bench.session.event_writer import SystemClock
    from bench.session.folders import build_folders
    from bench.session.which_build import rename_unit

    folder = folder_of(args)
    before, now = rename_unit(folder, build_folders(data_of(args)), args.name, SystemClock())
    was = f", was {unit_words(before)}" if before else ""
    say(f"{folder.name} is {unit_words(now)} now{was}. Its folder keeps its name.")
    return FINE
