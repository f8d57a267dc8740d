"""The sub-command that writes pages for the printer."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from bench.cli.builds import units_of
from bench.cli.common import FINE, Add, data_of, plain, refuse_idle, say, settings_of
from bench.errors import SoldersideError

if TYPE_CHECKING:
    from bench.writeup.sheets.publish import Job

WHAT = ("stages", "labels", "procedure", "help", "shortage", "class", "all")
MOST_BUILDERS = 60


def add(add_command: Add) -> None:
    """Add what this module runs to the command line."""
    sheet = add_command(
        "sheet",
        _sheet,
        "Write a page for the printer: HTML for A4; open it in a browser and print it.",
        "sheet twin-board-oscillator --what labels --out labels.html",
    )
    sheet.add_argument(
        "named", metavar="KIT|BUILD", nargs="*", help="kits or builds; none for a procedure alone"
    )
    sheet.add_argument(
        "--what",
        choices=WHAT,
        help="stages: to tick off with a pen (default); labels: for bags and strips, several kits together; "
        "procedure: the order of the work on one page; help: a message that asks for help; "
        "shortage: what is missing from the bag; class: the stages for each builder; all: everything",
    )
    sheet.add_argument(
        "--procedure", metavar="NAME", help="name of a procedure that comes with solderside, or a file"
    )
    sheet.add_argument(
        "--builders", metavar="N|NAMES", help="with --what class: how many builders, or names such as Anna,Ben"
    )
    sheet.add_argument("--paper", choices=("A4", "letter"), help="what is in the printer (default: `paper`)")
    sheet.add_argument(
        "--labels",
        metavar="SHEET",
        help="adhesive sheet: a4-14, a4-21, a4-24, a4-40, a4-65, letter-10, letter-20, letter-30, or in mm: "
        "'A4 3x8 70x37 left 0 top 0.5 gap 0x0' (default: `label_sheet`); none to cut them apart",
    )
    sheet.add_argument("--first", type=int, metavar="N", help="first label of the sheet that is not used yet")
    sheet.add_argument(
        "--out",
        metavar="FILE",
        help="where to write; - for the terminal "
        "(default: beside the log of a build; for a kit, in `sheets` in the data folder)",
    )
    sheet.add_argument("--force", action="store_true", help="replace a file that solderside did not write")


def _sheet(args: argparse.Namespace) -> int:
    from bench.settings import sheets_folder
    from bench.writeup.output_files import save_whole
    from bench.writeup.sheets.publish import ALL, file_name, job_of, page, procedure_page, ready

    refuse_idle(args, {"--force": args.force and args.out == "-"}, "has no effect with --out -")
    data, settings = data_of(args), settings_of(args)
    what = args.what or ("stages" if args.named else "procedure")
    labels = settings.label_sheet if args.labels is None else "" if args.labels == "none" else args.labels
    if what not in ("labels", ALL):
        idle = {"--labels": bool(args.labels), "--first": args.first is not None}
        refuse_idle(args, idle, "is about labels: add --what labels")
    settings = replace(settings, paper=args.paper or settings.paper, label_sheet=labels)
    refuse_idle(args, {"--builders": args.builders is not None and what != "class"}, "goes with --what class")
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
    if args.out == "-":
        sys.stdout.write(text)
        return FINE
    ready(folder)
    saved = save_whole(Path(args.out) if args.out else target, text.encode(), folder, force=args.force)
    say(str(saved.path))
    if saved.kept_as:
        print(plain(f"the old file is kept as {saved.kept_as}"), file=sys.stderr)
    return FINE


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
        raise SoldersideError(
            f"{what}: of which kit or build?",
            "",
            f"name one: solderside sheet fog-filter --what {what}",
        )
    build = next((job.build for job in jobs if job.build is not None), None)
    if args.procedure and build is not None:
        raise SoldersideError(
            f"{build.name} has a procedure of its own",
            "",
            "leave --procedure out, or name the kit",
        )


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
