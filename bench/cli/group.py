"""Sub-commands about several units of a kit: those built side by side, and a class."""

from __future__ import annotations

import argparse
import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.builds import build_of, units_of
from bench.cli.common import data_of, settings_of, write
from bench.errors import SoldersideError

_MOST_BYTES = 1_000_000

if TYPE_CHECKING:
    from bench.session.build import Build
    from bench.writeup.group_page import UnitDone


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
