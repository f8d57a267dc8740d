"""Builds on disk: finding them, starting one, opening one again."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from pathlib import Path

from msgspec import Struct

from bench import cache
from bench.build.session import Build
from bench.errors import BenchError
from bench.files import read_plain_file, write_whole
from bench.kit.load import load_kit
from bench.kit.model import Kit
from bench.kit.yamltext import MAX_BYTES
from bench.log import events as ev
from bench.log.clock import Clock, Moment
from bench.log.file import LOG_NAME, LogFile, first_event, read_log
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.plan.model import Plan
from bench.plan.procedure import find_procedure, load_procedure
from bench.plan.rules import Procedure
from bench.settings import Settings, builds_folder, cache_folder


class Summary(Struct, frozen=True, kw_only=True):
    """One build in a list."""

    name: str
    """Name of its folder."""
    kit: str
    folder: str
    started: str
    """UTC stamp; empty when the log does not say."""
    last: str
    """UTC stamp of the latest event."""
    items_done: int
    items: int
    """Items in all, 0 when the plan cannot be made."""
    held: int
    bench_seconds: float
    finished: bool
    problem: str = ""
    """Why it cannot be shown in full."""


def slug(title: str) -> str:
    """A folder name made from a title.

    >>> slug("Twin-board oscillator rev. B")
    'twin-board-oscillator-rev-b'
    >>> slug("...")
    'build'
    """
    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60].strip("-") or "build"


def build_folders(data: Path) -> Iterator[Path]:
    """All folders that hold a log; raises BenchError when the folder of builds is there but cannot be read."""
    root = builds_folder(data)
    try:
        found = sorted(root.iterdir())
    except FileNotFoundError:
        return
    except OSError as error:
        what = f"the folder of builds cannot be read ({error.strerror})"
        raise BenchError(
            what, str(root), "change its permissions, or name another folder with --data"
        ) from error
    yield from filter(_holds_log, found)


def _holds_log(folder: Path) -> bool:
    try:
        return (folder / LOG_NAME).is_file()
    except OSError:  # a folder that may not be looked into
        return False


def latest_build(data: Path) -> Path | None:
    """The build last worked on."""
    return max(build_folders(data), key=_touched, default=None)


def _touched(folder: Path) -> float:
    try:
        return (folder / LOG_NAME).stat().st_mtime
    except OSError:
        return 0.0


def builds_of(data: Path, kit: Kit) -> list[Path]:
    """Builds of a kit, the one last worked on first."""
    found = []
    for folder in build_folders(data):
        begun = first_event(folder)
        if (begun is not None and begun.kit == kit.title) or (
            begun is None and folder.name.startswith(slug(kit.title))
        ):
            found.append(folder)
    return sorted(found, key=_touched, reverse=True)


def resolve(data: Path, named: str) -> Path | None:
    """The folder of the build with this name or path, or None when there is none."""
    if not named:
        return None
    given = Path(named)
    if (given / LOG_NAME).is_file():
        return given
    if given.name == named and (builds_folder(data) / named / LOG_NAME).is_file():
        return builds_folder(data) / named
    return None


def open_build(
    data: Path,
    named: str,
    settings: Settings,
    clock: Clock,
    *,
    again: bool = False,
    read_only: bool = False,
) -> Build:
    """The build with this name, or of the kit file at this path; a new one when there is none yet.

    `again` starts another build of a kit that was built before. Raises FileFaults for a faulty kit or
    procedure and BenchError when nothing of that name is there.
    """
    folder = resolve(data, named)
    if folder is not None and not again:
        return reopen(data, folder, settings, clock, read_only=read_only)
    path = Path(named).expanduser()
    if not path.exists() and not named.lower().endswith((".yaml", ".yml")):
        raise BenchError(f"there is neither a build nor a kit file {named!r}", "", _nearby(data))
    kit = load_kit(path, cache_folder(data))
    existing = [] if again else builds_of(data, kit)
    if existing:
        return reopen(data, existing[0], settings, clock, kit=kit, kit_path=path, read_only=read_only)
    return start(data, kit, path, settings, clock)


def _nearby(data: Path) -> str:
    names = ", ".join(folder.name for folder in build_folders(data))
    return f"builds here: {names}" if names else "name a kit file such as kits/first-evening.yaml"


def start(data: Path, kit: Kit, kit_path: Path, settings: Settings, clock: Clock) -> Build:
    """Begin a build: a folder of its own with copies of kit and procedure, and a log."""
    procedure_path = find_procedure(settings.procedure)
    procedure = load_procedure(procedure_path, cache_folder(data))
    plan = planned(data, kit, procedure, settings)
    folder = _free_folder(builds_folder(data), slug(kit.title))
    log = LogFile(folder)
    build = Build(kit, plan, log, clock, settings.break_after_minutes * 60, settings.meter)
    try:
        _keep_copy(folder, "kit", kit_path, kit.digest)
        _keep_copy(folder, "procedure", procedure_path, procedure.digest)
        build.started(procedure.name, procedure.digest)
    except BaseException:
        log.close()
        raise
    return build


def planned(data: Path, kit: Kit, procedure: Procedure, settings: Settings) -> Plan:
    """The plan for a kit, from the cache when the same files were planned before."""
    key = f"{kit.digest} {procedure.digest} {settings.step_size}"
    plan = cache.fetch(cache_folder(data), key, Plan)
    if plan is None:
        from bench.plan.stages import make_plan

        plan = make_plan(kit, procedure, settings.step_size or None)
        cache.keep(cache_folder(data), key, plan)
    return plan


def reopen(
    data: Path,
    folder: Path,
    settings: Settings,
    clock: Clock,
    *,
    kit: Kit | None = None,
    kit_path: Path | None = None,
    read_only: bool = False,
) -> Build:
    """Open a build again, with the kit file as it is now when one is given, else with its own copy."""
    log = LogFile(folder, read_only=read_only)
    try:
        kit_digest, procedure_digest, _ = in_use(log.events)
        kit = kit or load_kit(copy_of(folder, "kit", kit_digest), cache_folder(data), lenient=True)
        procedure = load_procedure(
            copy_of(folder, "procedure", procedure_digest, settings.procedure), cache_folder(data)
        )
        plan = planned(data, kit, procedure, settings)
        build = Build(kit, plan, log, clock, settings.break_after_minutes * 60, settings.meter)
        if not log.read_only:
            if build.progress.started is None:
                _keep_copy(folder, "procedure", find_procedure(settings.procedure), procedure.digest)
                build.started(procedure.name, procedure.digest)
            if kit_path is not None and kit.digest != kit_digest:
                _keep_copy(folder, "kit", kit_path, kit.digest)
                if kit_digest:
                    build.revised(procedure.name, procedure.digest)
    except BaseException:
        log.close()
        raise
    return build


def in_use(events: list[ev.AnyEvent]) -> tuple[str, str, str]:
    """Digests of the kit file and of the procedure in use, and the procedure's name."""
    kit = procedure = name = ""
    naming = (ev.Started, ev.Revised)
    for event in events:
        if isinstance(event, naming):
            kit = event.kit_digest or kit
            procedure = event.procedure_digest or procedure
            name = event.procedure or name
    return kit, procedure, name


def copy_of(folder: Path, what: str, digest: str, otherwise: str = "") -> Path:
    """The build's own copy of its kit or procedure file."""
    named = folder / f"{what}-{digest[:12]}.yaml"
    if digest and named.is_file():
        return named
    copies = sorted(folder.glob(f"{what}-*.yaml"), key=lambda each: each.stat().st_mtime)
    if copies:
        return copies[-1]
    if otherwise:
        return find_procedure(otherwise)
    raise BenchError(
        f"the build's copy of its {what} file is gone", str(named), "open the build by naming its kit file"
    )


def _keep_copy(folder: Path, what: str, source: Path, digest: str) -> None:
    copy = folder / f"{what}-{digest[:12]}.yaml"
    if copy.exists():
        return
    try:
        write_whole(copy, read_plain_file(source, MAX_BYTES, f"{what} file"))
    except OSError as error:
        raise BenchError(
            f"the {what} file cannot be copied beside the log ({error.strerror})",
            str(copy),
            "mend that and try again",
        ) from error


def _free_folder(root: Path, name: str) -> Path:
    folder, number = root / name, 1
    while (folder / LOG_NAME).exists():
        number += 1
        folder = root / f"{name}-{number}"
    return folder


def read_back(data: Path, folder: Path, settings: Settings) -> tuple[Kit, Progress, Build]:
    """A build opened for reading only, for a list or a retrospective."""
    from bench.build.recorder import SystemClock

    build = reopen(data, folder, settings, SystemClock(), read_only=True)
    return build.kit, build.progress, build


def procedure_of(build: Build, settings: Settings) -> Procedure:
    """The procedure that a build goes by: its own copy."""
    _, digest, _ = in_use(build.log.events)
    copy = copy_of(build.log.folder, "procedure", digest, settings.procedure)
    return load_procedure(copy)


def summaries(data: Path, settings: Settings) -> list[Summary]:
    """All builds, the one last worked on first."""
    found = [_summary(data, folder, settings) for folder in build_folders(data)]
    return sorted(found, key=lambda each: each.last, reverse=True)


def _summary(data: Path, folder: Path, settings: Settings) -> Summary:
    try:
        build = reopen(data, folder, settings, _NoClock(), read_only=True)
    except BenchError as error:
        return _bare_summary(folder, str(error.what))
    view, progress = build.view(), build.progress
    build.log.close()
    begun = progress.started
    return Summary(
        name=folder.name,
        kit=build.kit.title,
        folder=str(folder),
        started=begun.at if begun else "",
        last=progress.last.at if progress.last else "",
        items_done=view.parts_done,
        items=view.parts,
        held=len(progress.held),
        bench_seconds=progress.bench_seconds,
        finished=view.finished,
        problem="; ".join(build.log.remarks),
    )


def _bare_summary(folder: Path, problem: str) -> Summary:
    """What the log alone tells of a build whose kit or procedure cannot be read."""
    try:
        events = read_log(folder / LOG_NAME)[0].events
    except (OSError, BenchError):
        events = []
    progress = fold(events)
    begun = progress.started
    return Summary(
        name=folder.name,
        kit=begun.kit if begun else folder.name,
        folder=str(folder),
        started=begun.at if begun else "",
        last=progress.last.at if progress.last else "",
        items_done=len(progress.done),
        items=0,
        held=len(progress.held),
        bench_seconds=progress.bench_seconds,
        finished=False,
        problem=problem,
    )


class _NoClock:
    """For builds that are only read: time stands still."""

    def now(self) -> Moment:
        raise AssertionError("a build that is only read asks no clock")
