"""Units side by side on disk: started together, joined later, opened again together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from string import ascii_uppercase

from bench.errors import Refused, SoldersideError
from bench.kit.load import load_kit
from bench.log.clock import Clock
from bench.log.file import LOG_NAME
from bench.log.unit_names import same_name
from bench.session.build import Build
from bench.session.folders import kit_path, open_build, read_back, related, reopen, start
from bench.session.own_files import in_use, own_kit
from bench.session.side_by_side import MOST_UNITS, SideBySide
from bench.settings import Settings, cache_folder


def open_bench(
    data: Path,
    named: str,
    settings: Settings,
    clock: Clock,
    *,
    units: Sequence[str] = (),
    again: bool = False,
    go_on: bool = False,
    unit: str = "",
    procedure_given: bool = False,
) -> Build:
    """As `open_build`; a unit that is built side by side with others brings them along.

    `units` are the names for units side by side: the build gets the first name, the others are started. Where
    `again` begins new ones, letters that are taken give way to the next. Returns the unit whose turn it is.
    """
    if units and again:
        units = _free_names(data, named, units)
    first = open_build(
        data, named, settings, clock, again=again, go_on=go_on, unit=units[0] if units and again else unit,
        procedure_given=procedure_given,
    )  # fmt: skip
    try:
        return with_the_others(data, first, settings, clock, units)
    except BaseException:
        first.close()
        raise


def _free_names(data: Path, named: str, units: Sequence[str]) -> Sequence[str]:
    """The names, or as many letters that no unit of the kit has, where one of the letters is taken."""
    path = kit_path(data, named)
    taken = {each.unit for each in related(data, load_kit(path, cache_folder(data)), path)}
    if taken.isdisjoint(units) or any(name not in ascii_uppercase for name in units):
        return units
    free = [letter for letter in ascii_uppercase if letter not in taken]
    return free[: len(units)] if len(free) >= len(units) else units


def with_the_others(
    data: Path, first: Build, settings: Settings, clock: Clock, units: Sequence[str] = ()
) -> Build:
    """A build that was opened, with the units side by side with it; `units` as in `open_bench`."""
    beside = first.progress.beside
    if beside is None or beside.alone:
        return join(data, first, settings, clock, units) if units else first
    found = [first]
    try:
        for folder in beside.folders:
            if folder != first.name and (other := _other(data, first, folder, settings, clock)) is not None:
                found.append(other)
        order = {name: number for number, name in enumerate(beside.folders)}
        found.sort(key=lambda each: order.get(each.name, 0))
        bench = SideBySide(found, settings.units_by)
        new = [name for name in units if name not in {each.unit for each in found}]
        return join(data, bench.at_work, settings, clock, new) if new else bench.at_work
    except BaseException:
        for each in found:
            each.close_alone()
        raise


def unit_folders(build: Build) -> list[Path]:
    """The folders of all units of a build's group that are still there, in their order, its own among them."""
    root, beside = build.log.folder.parent, build.progress.beside
    names = dict.fromkeys((*(beside.folders if beside else ()), build.name))
    return [root / name for name in names if Path(name).name == name and (root / name / LOG_NAME).is_file()]


def read_units(data: Path, build: Build, settings: Settings) -> Iterator[tuple[Path, Build | SoldersideError]]:
    """All units of a build's group, itself among them, opened for reading; for one that cannot be, why."""
    for folder in unit_folders(build):
        try:
            found = build if folder.name == build.name else read_back(data, folder, settings)[2]
        except SoldersideError as error:
            yield folder, error
            continue
        theirs, ours = found.progress.beside, build.progress.beside
        if found is build or (theirs is not None and ours is not None and theirs.group == ours.group):
            yield folder, found


def _other(data: Path, first: Build, folder: str, settings: Settings, clock: Clock) -> Build | None:
    """Another unit of the group, where it still is one; a remark says why it is not here."""
    path = first.log.folder.parent / folder
    if Path(folder).name != folder or not (path / LOG_NAME).is_file():
        first.log.remarks.append(f"a unit built side by side with this one is not here: {folder}")
        return None
    try:
        other = reopen(data, path, settings, clock, kit=first.kit, source=_source(data, first))
    except SoldersideError as error:
        first.log.remarks.append(f"{folder}, built side by side with this one, cannot be opened: {error.what}")
        return None
    if other.group != first.group:
        other.log.close()
        return None
    return other


def _source(data: Path, build: Build) -> bytes:
    return own_kit(build.log.folder, in_use(build.log.events), cache_folder(data), [])[1]


def join(data: Path, build: Build, settings: Settings, clock: Clock, names: Sequence[str]) -> Build:
    """Put more units of a build's kit beside it; `names` of all where it was alone, else of the new ones.

    A unit of such a name that has no joint yet and stands alone joins, else one is started. Raises Refused once
    a joint is made, SoldersideError where a unit cannot be started. Returns the unit whose turn it is.
    """
    here = build.beside
    builds = list(here.builds if here else [build])
    if any(each.progress.joints for each in builds):
        raise Refused("another unit can join until the first joint only", "", "start new ones with --again")
    if build.log.read_only:
        raise Refused(f"nothing can be recorded: {build.log.why_read_only}", "", "")
    if here is None and build.unit not in names:
        build.writer.name_unit(names[0])
    new = [name for name in names if name not in {each.unit for each in builds}]
    if len(builds) + len(new) > MOST_UNITS:
        raise Refused(f"at most {MOST_UNITS} units can be built side by side", "", "")
    joined: list[Build] = []
    try:
        joined += (_unit(data, build, name, settings, clock) for name in new)
        order = [*names, *(each.unit for each in builds)] if here is None else []
        builds = sorted([*builds, *joined], key=lambda each: order.index(each.unit) if order else 0)
        bench = SideBySide(builds, here.by if here else settings.units_by)
        bench.tell_units(build.group or build.name)
    except BaseException:
        for each in joined:
            each.close_alone()
        raise
    return bench.at_work


def gone(build: Build, settings: Settings) -> list[tuple[str, str]]:
    """Folder and name of each unit that was taken out of a build's group and may come back.

    One may until it has gone further by its own than the group's next step.
    """
    told, data = build.progress.beside, build.log.folder.parent.parent
    here = {each.name for each in build.units}
    next_one = build.at_work.current
    found = []
    for each in related(data, build.kit, Path(build.kit.file)) if told else ():
        if not each.same or each.folder.name in here:
            continue
        other = read_back(data, each.folder, settings)[2]
        theirs, at = other.progress.beside, other.current
        left = theirs is not None and told is not None and theirs.group == told.group and theirs.alone
        if left and at is not None and next_one is not None and at <= next_one:
            found.append((each.folder.name, other.unit))
    return sorted(found, key=lambda each: each[1])


def take_back(build: Build, folder: str, settings: Settings, clock: Clock) -> Build:
    """Put a unit that `gone` names beside the others again; returns the unit whose turn it is.

    Raises Refused where it cannot be written, SoldersideError where it cannot be opened.
    """
    root = build.log.folder.parent
    data = root.parent
    other = reopen(data, root / folder, settings, clock, kit=build.kit, source=_source(data, build))
    if other.log.read_only:
        other.log.close()
        raise Refused(f"unit {other.unit} cannot be written: {other.log.why_read_only}", "", "")
    builds = [*build.units, other]
    told = other.progress.beside
    assert told is not None
    order = [*told.folders, *(each.name for each in builds)]
    builds.sort(key=lambda each: order.index(each.name))
    bench = SideBySide(builds, build.beside.by if build.beside else settings.units_by)
    bench.tell_units(told.group)
    other.record_opened()
    return bench.at_work


def _unit(data: Path, build: Build, name: str, settings: Settings, clock: Clock) -> Build:
    """The unit of this name: one begun before that stands alone without a joint, else a new one."""
    source = _source(data, build)
    for each in related(data, build.kit, Path(build.kit.file)):
        folder = each.folder
        if not each.same or folder.name == build.name or not same_name(each.unit, name):
            continue
        other = reopen(data, folder, settings, clock, kit=build.kit, source=source)
        if other.log.read_only or other.progress.joints or other.progress.beside:
            other.log.close()
            raise Refused(f"{folder.name} has that name and cannot join", "", "choose other names")
        return other
    file = Path(build.kit.file)
    return start(data, build.kit, file, settings, clock, source=source, unit=name, beside=True)


def next_name(build: Build) -> str:
    """A name for one more unit: the next letter that is free."""
    taken = {each.unit for each in build.beside.builds} if build.beside else {"A"}
    return next(letter for letter in ascii_uppercase if letter not in taken)
