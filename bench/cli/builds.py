"""Sub-commands about builds: what there is, and texts to send to the maker."""

from __future__ import annotations

import argparse
import contextlib
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.common import (
    FINE,
    aside,
    data_of,
    no_idle_force,
    print_json,
    refuse_idle,
    say,
    say_lines,
    settings_of,
)
from bench.errors import SoldersideError

if TYPE_CHECKING:
    from bench.estimate.forecast import Interval
    from bench.session.build import Build
    from bench.session.summaries import Summary


def _builds(args: argparse.Namespace) -> int:
    from msgspec import to_builtins

    from bench.estimate.history import builds_left
    from bench.session.summaries import summaries

    refuse_idle(args, "cannot be combined with --json", "--names", when=args.json)
    settings = settings_of(args)
    found = summaries(data_of(args), settings)
    if args.names:
        return say_lines("\n".join(build.name for build in found))
    left = builds_left(data_of(args), settings)
    if args.json:
        print_json({"builds": [to_builtins(build) | {"seconds_left": left.get(build.name)} for build in found]})
        return FINE
    if not found:
        say("No builds yet. Start one: solderside build first-evening-metronome")
    for build in found:
        say(_build_line(build, left.get(build.name)))
        for edit in build.edits:
            say(f"    the kit has changed: {edit}")
    return FINE


def _build_line(build: Summary, left: Interval | None) -> str:
    """A build: what is done, time spent and time left, the day of the latest event."""
    from bench.estimate.hours import in_words
    from bench.log.clock import spell
    from bench.ui.shelf_card import day_of

    share = f"{100 * build.items_done // build.items} %" if build.items else "?"
    state = "built" if build.finished else share
    held = f", {build.held} held back" if build.held else ""
    trouble = f"  ! {build.problem}" if build.problem else ""
    more = f", {in_words(left)} left" if left else ""
    return (
        f"{build.name:<36} {state:>9}{held}  {spell(build.bench_seconds)} at the bench{more}, "
        f"last {day_of(build.last)}  {build.title}{trouble}"
    )


def folder_of(args: argparse.Namespace, named: str = "") -> Path:
    """The folder of a build: `named`, or the one of the command line; SoldersideError when there is none.

    A kit stands for the build of it that was last worked on.
    """
    from bench.kit.load import load_kit
    from bench.session.folders import builds_of, resolve

    data, named = data_of(args), named or args.build
    folder = resolve(data, named)
    if folder is not None:
        return folder
    kit = load_kit(_kit_file(data, named))
    folder = next(iter(builds_of(data, kit)), None)
    if folder is None:
        raise SoldersideError(f"no build of {kit.title} yet", "", f"start one: solderside build {named}")
    return folder


def _kit_file(data: Path, named: str) -> Path:
    """The kit file where no build has this name; a word that is neither is taken for the name of a build."""
    from bench.parts.english import near
    from bench.session.folders import build_folders
    from bench.session.kit_names import find_kit

    try:
        return find_kit(data, named)
    except SoldersideError as error:
        if Path(named).name != named or named.lower().endswith((".yaml", ".yml")):
            raise
        hint = near(named, (each.name for each in build_folders(data)))
        hint = hint or "solderside builds lists what there is"
        raise SoldersideError(f"there is no build {named!r}", "", hint) from error


def build_of(args: argparse.Namespace, named: str = "") -> Build:
    """That build, opened for reading; what is odd about its log goes to stderr."""
    from bench.session.folders import read_back

    _, _, build = read_back(data_of(args), folder_of(args, named), settings_of(args))
    for remark in build.log.remarks:
        aside(remark)
    return build


@contextlib.contextmanager
def changing(args: argparse.Namespace, *, read_only: bool = False) -> Iterator[Build]:
    """The build of the command line, opened to add to its log."""
    from bench.session.event_writer import SystemClock
    from bench.session.folders import reopen

    build = reopen(data_of(args), folder_of(args), settings_of(args), SystemClock(), read_only=read_only)
    try:
        yield build
    finally:
        build.log.close()


def units_of(args: argparse.Namespace, build: Build) -> list[Build]:
    """The units built side by side with a build, itself among them; what cannot be read is told on stderr."""
    from bench.session.together import read_units

    found = []
    for folder, unit in read_units(data_of(args), build, settings_of(args)):
        if isinstance(unit, SoldersideError):
            aside(f"{folder.name} is left out: {unit.what}")
        else:
            found.append(unit)
    return found


def _shortage(args: argparse.Namespace) -> int:
    from bench.session.side_by_side import with_bags
    from bench.writeup.maker_texts import publish_shortage
    from bench.writeup.shortage import shortage_text

    no_idle_force(args)
    build = build_of(args)
    progress = with_bags(build.progress, [each.progress for each in units_of(args, build)])
    if args.out == "-":
        return say_lines(shortage_text(build.kit, progress))
    say(str(publish_shortage(build, Path(args.out) if args.out else None, progress, force=args.force)))
    return FINE


def _help_request(args: argparse.Namespace) -> int:
    from bench.writeup.maker_texts import help_text, publish_help_request

    no_idle_force(args)
    build = build_of(args)
    if args.out == "-":
        return say_lines(help_text(build, args.symptom))
    target = Path(args.out) if args.out else None
    say(str(publish_help_request(build, args.symptom, target, force=args.force)))
    return FINE
