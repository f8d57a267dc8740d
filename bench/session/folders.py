"""Builds on disk: finding them, starting one, opening one again."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Sequence
from pathlib import Path

from bench import cache
from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.kit.load import kit_of
from bench.kit.yaml_text import read_bytes
from bench.log import events as ev
from bench.log.clock import Clock
from bench.log.file import LOG_NAME, LogFile
from bench.log.progress import Progress
from bench.log.unit_names import next_number, same_name, unit_words
from bench.plan.plan import Plan
from bench.plan.procedure import find_procedure, load_procedure, procedure_from
from bench.plan.rules import Procedure
from bench.session.build import Build
from bench.session.kit_names import find_kit, kit_names
from bench.session.own_files import (
    InUse,
    copy_path,
    digest_of,
    edited_since,
    in_use,
    keep_copy,
    own_kit,
    own_procedure,
    sound_copy,
)
from bench.session.typed_text import unit_name
from bench.session.which_build import Related, WhichBuild, number_units
from bench.session.which_build import related as builds_near
from bench.settings import Settings, builds_folder, cache_folder


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
    """All folders that hold a log.

    Raises SoldersideError when the folder of builds is there but cannot be read.
    """
    root = builds_folder(data)
    try:
        found = sorted(root.iterdir())
    except FileNotFoundError:
        return
    except OSError as error:
        what = f"the folder of builds cannot be read ({error.strerror})"
        raise SoldersideError(
            what, str(root), "change its permissions, or name another folder with --data"
        ) from error
    yield from filter(_holds_log, found)


def _holds_log(folder: Path) -> bool:
    """Whether a folder is a build; one with a point before its name is only on its way."""
    try:
        return folder.name[:1] != "." and (folder / LOG_NAME).is_file()
    except OSError:  # a folder that may not be looked into
        return False


def touched(folder: Path) -> float:
    """When a build was last written to, in seconds since 1970; 0 where that cannot be told."""
    try:
        return (folder / LOG_NAME).stat().st_mtime
    except OSError:
        return 0.0


def builds_of(data: Path, kit: Kit) -> list[Path]:
    """Builds of this very kit (maker, name and revision), the one last worked on first."""
    return [each.folder for each in related(data, kit, Path(kit.file)) if each.same]


def related(data: Path, kit: Kit, path: Path) -> list[Related]:
    """Builds that a kit read from `path` may belong to: of this very kit first, then by last work."""
    return builds_near(sorted(build_folders(data), key=touched, reverse=True), kit, path)


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


def kit_path(data: Path, named: str) -> Path:
    """The kit file of this name or at this path, where a build's name would do as well; see `find_kit`."""
    return find_kit(data, named, (folder.name for folder in build_folders(data)))


def open_build(
    data: Path,
    named: str,
    settings: Settings,
    clock: Clock,
    *,
    again: bool = False,
    go_on: bool = False,
    unit: str = "",
    procedure_given: bool = False,
) -> Build:
    """The build with this name, or of the kit of this name or path; a new one when there is none yet.

    `again` starts another build of a kit that was built before; `unit` names the unit that is meant, which is
    begun where there is none of that name; `go_on` goes on with a build of another
    revision, or of another name in the same file. Raises FileFaults for a faulty kit or procedure, WhichBuild
    where only the builder can say which build is meant, and SoldersideError when nothing of that name is
    there, or when `procedure_given` and the build goes by another procedure than that of the settings.
    """
    unit = unit_name(unit) if unit else ""
    folder = resolve(data, named)
    if folder is not None and not ((again or unit) and named in kit_names(data)):
        _refuse_for_a_build(folder, again=again, go_on=go_on, unit=unit)
        build = reopen(data, folder, settings, clock, procedure_given=procedure_given)
        return _followed(build, settings, data)
    path = kit_path(data, named)
    source = read_bytes(path)
    kit = kit_of(source, path, cache_folder(data))
    found = related(data, kit, path)
    target = _unit_called(unit, found, again=again) if again or unit else _meant(kit, found, go_on=go_on)
    if target is None:
        units = [each for each in found if each.same]
        build = start(data, kit, path, settings, clock, source=source, unit=unit, others=units)
    else:
        build = reopen(data, target, settings, clock, kit=kit, source=source, procedure_given=procedure_given)
    return _followed(build, settings, data)


def _followed(build: Build, settings: Settings, data: Path) -> Build:
    """The build, with a caption file where the settings name one."""
    if settings.caption_file and not build.log.read_only:
        from bench.session.caption_file import follow  # nobody else waits for it

        follow(build, settings.caption_file, data)
    return build


def _refuse_for_a_build(folder: Path, *, again: bool, go_on: bool, unit: str) -> None:
    """Raise SoldersideError for what can be asked of a kit only; a kit may share its name with a build."""
    name = folder.name
    if again:
        raise SoldersideError(f"{name} is a build; a new one is started from its kit", "", "name the kit")
    if unit:
        hint = f"name the kit, or rename this build: solderside rename {name} NAME"
        raise SoldersideError(f"{name} is a build, and a unit is one of a kit", "--unit", hint)
    if go_on:
        raise SoldersideError(f"{name} is a build and is continued anyway", "", "leave out --go-on")


def _unit_called(unit: str, found: Sequence[Related], *, again: bool) -> Path | None:
    """The build that is the unit of this name, None where it is to be begun."""
    target = next((each.folder for each in found if each.same and unit and same_name(each.unit, unit)), None)
    if target is not None and again:
        what = f"this kit has {unit_words(unit)} already"
        raise SoldersideError(what, target.name, "give the new one another name")
    return target


def _meant(kit: Kit, found: Sequence[Related], *, go_on: bool) -> Path | None:
    """The build that a kit goes on with; None for a new one, WhichBuild where only the builder can say."""
    same = [each.folder for each in found if each.same]
    if go_on and (same or not found):
        why = f"{same[0].name} is a build of this very kit" if same else "there is no build of a kit like this"
        raise SoldersideError(f"there is nothing to choose: {why}", "", "leave out --go-on")
    if found and not same and not go_on:
        raise WhichBuild(kit, found[0])
    return next(iter((*same, *(each.folder for each in found))), None)


def start(
    data: Path,
    kit: Kit,
    kit_path: Path,
    settings: Settings,
    clock: Clock,
    *,
    source: bytes | None = None,
    unit: str = "",
    others: Sequence[Related] = (),
    beside: bool = False,
) -> Build:
    """Begin a build: a folder of its own with copies of kit and procedure, and a log.

    `source` are the bytes that `kit` was read from; without them the file is read again. `others` are the
    builds of this kit so far: with them the new one is a unit of its own, called `unit` or by its number, and
    each of them that has no name gets a number too. `beside`: it is to be built side by side with others.
    """
    source = read_bytes(kit_path) if source is None else source
    if digest_of(source) != kit.digest:
        raise SoldersideError("the kit file changed while it was read", str(kit_path), "try again")
    procedure_path = find_procedure(settings.procedure)
    procedure_source = read_bytes(procedure_path)
    procedure = procedure_from(procedure_source, procedure_path, cache_folder(data))
    plan = planned(data, kit, procedure, settings)
    unit = unit or (next_number(each.unit for each in others) if others else "")
    folder = free_folder(builds_folder(data), "-".join(map(slug, filter(None, (kit.title, unit)))))
    log = LogFile(folder)
    build = Build(kit, plan, log, clock, settings.break_after_minutes * 60, settings.meter)
    try:
        keep_copy(folder, "kit", source, kit.digest)
        keep_copy(folder, "procedure", procedure_source, procedure.digest)
        build.started(procedure.name, procedure.digest, ev.SIDE_BY_SIDE if beside else ev.ALONE)
        if unit:
            build.writer.name_unit(unit)
    except BaseException:
        log.close()
        raise
    number_units(others, clock)
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
    source: bytes = b"",
    procedure_given: bool = False,
    read_only: bool = False,
) -> Build:
    """Open a build again, with the kit file as it is now when one is given, else with its own copy.

    `source` are the bytes that `kit` was read from. What is done and no longer agrees with the kit is open
    again, see `KitWatch.compare`; a build opened for reading only is shown as its log says.
    """
    log = LogFile(folder, read_only=read_only)
    try:
        used = in_use(log.events)
        if kit is None:
            kit, source = own_kit(folder, used, cache_folder(data), log.remarks)
            if not read_only and kit.digest == used.kit_digest:
                log.remarks += edited_since(used)
        procedure, procedure_source = own_procedure(
            folder, used, settings.procedure, cache_folder(data), log.remarks
        )
        if procedure_given:
            _same_procedure(folder, procedure, settings)
        plan = planned(data, kit, procedure, settings)
        build = Build(kit, plan, log, clock, settings.break_after_minutes * 60, settings.meter)
        changed = kit.digest != used.kit_digest or procedure.digest != used.procedure_digest
        if not log.read_only:
            keep_copy(folder, "kit", source, kit.digest)
            keep_copy(folder, "procedure", procedure_source, procedure.digest)
            if build.progress.started is None:
                build.started(procedure.name, procedure.digest)
            elif changed:
                build.revised(procedure.name, procedure.digest)
        if not read_only and (changed or build.progress.done or build.progress.reopened):
            build.kit_watch.compare(_items_before(data, folder, kit.digest, used, procedure, settings))
    except BaseException:
        log.close()
        raise
    return build


def _same_procedure(folder: Path, procedure: Procedure, settings: Settings) -> None:
    """Raise SoldersideError where a procedure was asked for and the build goes by another."""
    asked = load_procedure(find_procedure(settings.procedure))
    if asked.digest != procedure.digest:
        raise SoldersideError(
            f"{folder.name} keeps the procedure it was started with, {procedure.name}",
            "--procedure",
            "leave it out, or start a new build of the kit with --again",
        )


def _items_before(
    data: Path, folder: Path, now: str, used: InUse, procedure: Procedure, settings: Settings
) -> frozenset[str] | None:
    """Items of the kit as it was before its latest change; None where that is not known or it never changed."""
    before = next((digest for digest in reversed(used.kit_digests) if digest != now), "")
    source = sound_copy(folder, "kit", before)
    if source is None:
        return None
    try:
        old = kit_of(source, copy_path(folder, "kit", before), cache_folder(data), lenient=True)
        plan = planned(data, old, procedure, settings)
    except SoldersideError:
        return None
    return frozenset(item for step in plan.steps for item in step.items)


def free_folder(root: Path, name: str) -> Path:
    """A folder for a build of this name that no build has yet."""
    folder, number = root / name, 1
    while (folder / LOG_NAME).exists():
        number += 1
        folder = root / f"{name}-{number}"
    return folder


def read_back(data: Path, folder: Path, settings: Settings) -> tuple[Kit, Progress, Build]:
    """A build opened for reading only, for a list or an article."""
    from bench.session.event_writer import SystemClock

    build = reopen(data, folder, settings, SystemClock(), read_only=True)
    return build.kit, build.progress, build


def procedure_of(build: Build, settings: Settings) -> Procedure:
    """The procedure that a build goes by: its own copy."""
    used = in_use(build.log.events)
    return own_procedure(build.log.folder, used, settings.procedure, None, [])[0]
