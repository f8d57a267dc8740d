"""From kits and builds to pages for the printer: what can be asked for, put together, written to the disk."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import Refused
from bench.kit.kit import Kit
from bench.kit.load import load_kit
from bench.log.progress import Progress
from bench.log.unit_names import titled
from bench.plan.plan import Plan
from bench.plan.procedure import find_procedure, load_procedure
from bench.plan.rules import Procedure
from bench.session.build import Build
from bench.session.folders import kit_path, planned, procedure_of, read_back, resolve, slug
from bench.settings import Settings, cache_folder
from bench.writeup.output_files import own_folder, save_whole
from bench.writeup.sheets.label_paper import label_pages, label_paper
from bench.writeup.sheets.labels import label_sheet
from bench.writeup.sheets.maker_pages import help_letter, shortage_letter
from bench.writeup.sheets.procedure import procedure_sheet
from bench.writeup.sheets.sheet_model import Sheet
from bench.writeup.sheets.stages import stage_sheet
from bench.writeup.sheets.texts import css_string, tidy
from bench.writeup.templating import render

CLASS = "class"
SHEETS: dict[str, str] = {
    "stages": "Every stage with a box for each part, its bands, cautions, and room for readings",
    "labels": "Labels for bags and strips of parts, to cut apart",
    "procedure": "The order of the work on one page",
    "help": "The text that asks for help",
    "shortage": "What was missing from the bag",
    CLASS: "The stages for each builder of a class, with the teacher's signature at hold points",
}
"""What can be printed, and what it is."""
ALL = "all"
CHOICES = (
    ("s", "stages", "the stages, to tick with a pen"),
    ("l", "labels", "labels for bags and strips"),
    ("p", "procedure", "the procedure on one page"),
    ("h", "help", "the text that asks for help"),
    ("m", "shortage", "what is missing from the bag"),
    ("a", ALL, "all of them"),
)
"""Key, what to print, and what it is called where one is to be chosen."""


class Job(Struct, frozen=True, kw_only=True):
    """One kit or build to print about."""

    kit: Kit
    plan: Plan
    procedure: Procedure
    build: Build | None = None
    beside: tuple[tuple[Kit, Progress | None], ...] = ()
    """All units that are built side by side, the build among them: labels are printed for each."""
    builders: tuple[str, ...] = ()
    """Whose pages to print for a class; an empty name leaves room for one."""
    paper: str = "A4"
    """Of `label_paper.PAPERS`."""
    labels: str = ""
    """The adhesive sheet for labels, as `label_paper.label_paper` reads it; empty to cut them apart."""
    first_label: int = 1
    """The first label of the sheet that is not used yet."""

    @property
    def title(self) -> str:
        """The kit's title, with the unit's name where it is a build that has one."""
        return titled(self.kit.title, self.build.progress.unit if self.build else "")

    @property
    def progress(self) -> Progress | None:
        """Where the build stands; None for a kit that is not being built."""
        return self.build.progress if self.build else None


def job_of(data: Path, named: str, settings: Settings) -> Job:
    """The build with this name, opened for reading, or the kit of this name or path.

    A kit is planned by the settings' procedure. Raises SoldersideError for an unknown name, FileFaults for
    a faulty file.
    """
    folder = resolve(data, named)
    if folder is not None:
        _, _, build = read_back(data, folder, settings)
        return job_for(build, procedure_of(build, settings), settings)
    kit = load_kit(kit_path(data, named), cache_folder(data))
    procedure = load_procedure(find_procedure(settings.procedure), cache_folder(data))
    plan = planned(data, kit, procedure, settings)
    return Job(kit=kit, plan=plan, procedure=procedure, paper=settings.paper, labels=settings.label_sheet)


def job_for(build: Build, procedure: Procedure, settings: Settings) -> Job:
    """The job that prints about an open build."""
    return Job(
        kit=build.kit,
        plan=build.plan,
        procedure=procedure,
        build=build,
        beside=tuple((each.kit, each.progress) for each in build.beside.builds) if build.beside else (),
        paper=settings.paper,
        labels=settings.label_sheet,
    )


def page(jobs: Sequence[Job], what: str) -> str:
    """The page for one of `SHEETS`, or for all that there is to say, as HTML.

    With several jobs the labels of all kits follow each other; other sheets come job by job. Raises Refused
    for what only a build can tell, when no build is there.
    """
    wanted = [name for name in SHEETS if name != CLASS] if what == ALL else [what]
    sheets: list[tuple[str, Sheet]] = []
    for name in wanted:
        if name == CLASS:
            sheets += [made for job in jobs for made in _class(job)]
        elif name == "labels":
            sheets.append(("Labels", _labels(jobs)))
        else:
            sheets += [made for job in jobs if (made := _sheet(job, name, alone=what != ALL)) is not None]
    return _page(sheets, ", ".join(dict.fromkeys(tidy(job.title) for job in jobs)), jobs[0].paper)


def _labels(jobs: Sequence[Job]) -> Sheet:
    """The labels of all jobs, to cut apart or on the adhesive sheet of the first job."""
    sheet = label_sheet([each for job in jobs for each in (job.beside or ((job.kit, job.progress),))])
    return label_pages(sheet, label_paper(jobs[0].labels), jobs[0].first_label) if jobs[0].labels else sheet


def _class(job: Job) -> list[tuple[str, Sheet]]:
    """The stages once for each builder of a class."""
    sheet = stage_sheet(job.kit, job.plan)
    return [
        (tidy(name) or f"Builder {number}", replace(sheet, builder=tidy(name), taught=True))
        for number, name in enumerate(job.builders or ("",), 1)
    ]


def procedure_page(procedure: Procedure, paper: str = "A4") -> str:
    """A procedure by itself, for whatever kit, as HTML."""
    return _page([("Procedure", procedure_sheet(procedure))], tidy(procedure.name), paper)


def _sheet(job: Job, name: str, *, alone: bool) -> tuple[str, Sheet] | None:
    kit, build = job.kit, job.build
    if name == "stages":
        meter = build.equipment.meter if build else None
        return f"Stages: {tidy(job.title)}", stage_sheet(kit, job.plan, job.progress, meter=meter)
    if name == "procedure":
        return f"Procedure: {tidy(job.procedure.name)}", procedure_sheet(job.procedure, kit, job.plan)
    if build is None:
        if alone:
            raise Refused(
                f"{name}: only a build can tell that", kit.title, "name a build; solderside builds lists them"
            )
        return None
    if name == "help":
        return "Asking for help", help_letter(kit, job.plan, build.progress, meter=build.equipment.meter)
    return "Shortage list", shortage_letter(kit, build.progress)


def _page(sheets: Sequence[tuple[str, Sheet]], title: str, paper: str) -> str:
    return render(
        "sheet-page.html",
        paper=paper,
        title=title,
        foot=css_string(title),
        names=[name for name, _ in sheets],
        sheets=[sheet for _, sheet in sheets],
    )


def file_name(what: str, title: str = "") -> str:
    """How a print-out is called; with the kit's title where it does not lie beside a build's log.

    >>> file_name("stages"), file_name("labels", "Lamp wobbler rev. A")
    ('sheet-stages.html', 'lamp-wobbler-rev-a-labels.html')
    """
    return f"{slug(title)}-{what}.html" if title else f"sheet-{what}.html"


def publish_sheet(job: Job, what: str, folder: Path) -> Path:
    """Write a print-out: of a build beside its log, of a kit into `folder`; returns the path.

    See `output_files.save_whole`; raises SoldersideError when the folder cannot be made.
    """
    text = page([job], what).encode()
    if job.build is not None:
        folder = job.build.log.folder
        return save_whole(folder / file_name(what), text, folder).path
    own_folder(folder, follow=True)
    return save_whole(folder / file_name(what, job.kit.title), text, folder).path
