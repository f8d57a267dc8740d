"""The sub-command that writes pages for the printer."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from bench.cli.builds import units_of
from bench.cli.common import data_of, no_idle_force, refuse_idle, settings_of, write
from bench.errors import SoldersideError

if TYPE_CHECKING:
    from bench.writeup.sheets.publish import Job

MOST_BUILDERS = 60


def _sheet(args: argparse.Namespace) -> int:
    from bench.settings import sheets_folder
    from bench.writeup.output_files import own_folder
    from bench.writeup.sheets.publish import ALL, file_name, job_of, page, procedure_page

    no_idle_force(args)
    data, settings = data_of(args), settings_of(args)
    what = args.what or ("stages" if args.named else "procedure")
    labels = settings.label_sheet if args.labels is None else "" if args.labels == "none" else args.labels
    about_labels = what in ("labels", ALL)
    refuse_idle(args, "is about labels: add --what labels", "--labels", "--first", when=not about_labels)
    settings = replace(settings, paper=args.paper or settings.paper, label_sheet=labels)
    refuse_idle(args, "goes with --what class", "--builders", when=what != "class")
    builders = _builders(args.builders or "1")
    jobs = [
        replace(job_of(data, named, settings), first_label=args.first or 1, builders=builders)
        for named in args.named
    ]
    if what == "labels" and len(jobs) == 1 and jobs[0].build is not None:
        beside = tuple((each.kit, each.progress) for each in units_of(args, jobs[0].build))
        jobs = [replace(jobs[0], beside=beside)]
    _sensible(args, jobs, what)
    if jobs:
        text = page(jobs, what)
        folder, target = _beside(data, jobs, what)
    else:
        from bench.plan.procedure import find_procedure, load_procedure

        procedure = load_procedure(find_procedure(settings.procedure))
        text, folder = procedure_page(procedure, settings.paper), sheets_folder(data)
        target = folder / file_name("procedure", procedure.name)
    if args.out != "-":
        own_folder(folder, follow=True)
    return write(args, text, folder, target.name)


def _builders(given: str) -> tuple[str, ...]:
    """Names of a class, or as many empty ones as a number says; raises SoldersideError."""
    text = given.strip()
    number = text.isascii() and text.isdigit() and len(text) < 5
    names = ("",) * int(text) if number else tuple(each.strip()[:40] for each in text.split(","))
    if not 1 <= len(names) <= MOST_BUILDERS or not (number or all(names)):
        hint = f"give a number from 1 to {MOST_BUILDERS}, or names such as Anna,Ben"
        raise SoldersideError("that is no class", f"--builders {given[:40]}", hint)
    return names


def _sensible(args: argparse.Namespace, jobs: list[Job], what: str) -> None:
    """Raises SoldersideError for what does not go together."""
    if not jobs and what != "procedure":
        hint = f"name one: solderside sheet fog-filter --what {what}"
        raise SoldersideError(f"{what}: of which kit or build?", "", hint)
    build = next((job.build for job in jobs if job.build is not None), None)
    if args.procedure and build is not None:
        hint = "leave --procedure out, or name the kit"
        raise SoldersideError(f"{build.name} has a procedure of its own", "", hint)


def _beside(data: Path, jobs: list[Job], what: str) -> tuple[Path, Path]:
    """The folder that knows what was written, and where a page goes when no file is named."""
    from bench.settings import sheets_folder
    from bench.writeup.sheets.publish import file_name

    build = jobs[0].build
    if build is not None and len(jobs) == 1:
        return build.log.folder, build.log.folder / file_name(what)
    more = f" and {len(jobs) - 1} more" if len(jobs) > 1 else ""
    folder = sheets_folder(data)
    return folder, folder / file_name(what, f"{jobs[0].kit.title}{more}")
