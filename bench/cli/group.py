"""Sub-commands about several units of a kit: those built side by side, and a class."""

from __future__ import annotations

import argparse
import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.builds import build_of, units_of
from bench.cli.common import FINE, Add, data_of, plain, refuse_idle, say, settings_of
from bench.errors import SoldersideError

_MOST_BYTES = 1_000_000

if TYPE_CHECKING:
    from bench.session.build import Build
    from bench.writeup.group_page import UnitDone


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    group = add_command(
        "group",
        _group,
        "Write one page about units built side by side: times, readings, snags, missing parts.",
        "group prompt-desk-metronome-rev-a",
    )
    group.add_argument("build", metavar="BUILD", help="the name of one of the units")
    group.add_argument("--cost", action="store_true", help="also what the kits and the hours cost")
    _add_out(group, "beside the log of the first unit")
    lesson = add_command(
        "class",
        _class,
        "Take the results of a class, a line for each builder, and write its page: what went wrong, how long.",
        "class first-evening-metronome --result 'Anna; 12 30 - 45; 2: R4 bridged'",
    )
    lesson.add_argument("kit", metavar="KIT", help="the name or file of the kit")
    lesson.add_argument(
        "--result",
        metavar="LINE",
        action="append",
        default=[],
        help="a builder: name; minutes of each stage, - for none; stage, step or designator: what went wrong. "
        "Without it lines are read from what is piped in; a builder's later line replaces the earlier one",
    )
    _add_out(lesson, "in `classes` in the data folder")


def _add_out(command: argparse.ArgumentParser, where: str) -> None:
    command.add_argument("--out", metavar="FILE", help=f"where to write; - for the terminal (default: {where})")
    command.add_argument("--force", action="store_true", help="replace a file that solderside did not write")


def write(args: argparse.Namespace, text: str, folder: Path, name: str) -> int:
    """Put a page where it was asked for, else into `folder`."""
    from bench.writeup.output_files import save_whole

    refuse_idle(args, {"--force": args.force and args.out == "-"}, "has no effect with --out -")
    if args.out == "-":
        sys.stdout.write(text)
        return FINE
    saved = save_whole(Path(args.out) if args.out else folder / name, text.encode(), folder, force=args.force)
    say(str(saved.path))
    if saved.kept_as:
        print(plain(f"the old file is kept as {saved.kept_as}"), file=sys.stderr)
    return FINE


def _group(args: argparse.Namespace) -> int:
    from bench.session.together import unit_folders
    from bench.writeup.group_page import cost_words, group_page

    first = build_of(args)
    units = _units(args, first)
    costs = cost_words(first.kit.price, settings_of(args).hourly_rate, units) if args.cost else ()
    text = group_page(f"{first.kit.title}: {len(units)} units side by side", units, costs)
    return write(args, text, unit_folders(first)[0], "group.html")


def _units(args: argparse.Namespace, first: Build) -> list[UnitDone]:
    """All units of a group, also those that went on alone; what cannot be read is said on stderr."""
    from bench.writeup.group_page import UnitDone

    if first.progress.beside is None:
        raise SoldersideError(f"{first.name} was not built side by side with others", "", "name another build")
    return [
        UnitDone(name=build.unit, plan=build.plan, progress=build.writer.put_right()[1])
        for build in units_of(args, first)
    ]


@contextlib.contextmanager
def _alone(path: Path) -> Iterator[None]:
    """While this lasts no other terminal changes a file. Raises SoldersideError where one keeps it too long."""
    from filelock import FileLock, Timeout

    try:
        with FileLock(path.with_suffix(".lock"), timeout=10):
            yield
    except Timeout:
        raise SoldersideError("another terminal is writing this file", str(path), "try again") from None


def _class(args: argparse.Namespace) -> int:
    """Take results, keep them, and write the page of the class."""
    from bench.files import make_folder, read_text_file, stands, write_whole
    from bench.session.folders import slug
    from bench.writeup.class_page import EXAMPLE, class_page, parse_result
    from bench.writeup.sheets.publish import job_of

    job = job_of(data_of(args), args.kit, settings_of(args))
    folder = data_of(args) / "classes"
    make_folder(folder)
    path = folder / f"{slug(job.kit.title)}.txt"
    new = list(args.result)
    if not new and not sys.stdin.isatty():
        new = sys.stdin.read(_MOST_BYTES).splitlines()
    with _alone(path):
        kept = read_text_file(path, _MOST_BYTES, "file of results").splitlines() if stands(path) else []
        lines = [line.strip() for line in (*kept, *new) if line.strip()]
        results = [parse_result(line, job.plan.stages) for line in lines]
        if any(map(str.strip, new)):
            write_whole(path, "".join(f"{line}\n" for line in lines).encode())
        if not results:
            hint = f"give one line for each builder: --result '{EXAMPLE}'"
            raise SoldersideError("no results were given", str(path), hint)
        latest = {result.builder: result for result in results}
        text = class_page(f"{job.kit.title}: the class", job.plan, tuple(latest.values()))
        return write(args, text, folder, f"{slug(job.kit.title)}-class.html")
