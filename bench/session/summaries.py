"""Builds in a list: how far each one is, from its log or from the cache."""

from __future__ import annotations

import os
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from bench import cache
from bench.errors import SoldersideError
from bench.kit.load import kit_of
from bench.log.clock import Moment
from bench.log.file import LOG_NAME, read_log
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.log.unit_names import titled, unit_words
from bench.session.build import Build
from bench.session.folders import build_folders, planned, procedure_of, reopen
from bench.session.own_files import digest_of, in_use, read_source
from bench.session.put_away import is_put_away
from bench.settings import Settings, cache_folder


class Summary(Struct, frozen=True, kw_only=True):
    """One build in a list."""

    name: str
    """Name of its folder."""
    kit: str
    folder: str
    unit: str = ""
    """Which of several units of the kit it is, in words; empty when it has no name."""
    started: str = ""
    """UTC stamp; empty when the log does not say."""
    last: str = ""
    """UTC stamp of the latest event."""
    items_done: int = 0
    items: int = 0
    """Items in all, 0 when the plan cannot be made."""
    held: int = 0
    bench_seconds: float = 0.0
    finished: bool = False
    put_away: bool = False
    """Archived: out of the way on the shelf, kept in the record."""
    pending: bool = False
    """Only its name is known yet."""
    problem: str = ""
    """Why it cannot be shown in full."""
    edits: tuple[str, ...] = ()
    """What is done and no longer agrees with the kit file as it is now, a line each."""

    @property
    def title(self) -> str:
        """The kit's title, with the unit where it has a name."""
        return titled(self.kit, self.unit)


def summaries(data: Path, settings: Settings) -> list[Summary]:
    """All builds, the one last worked on first."""
    found = [summary_of(data, folder, settings) for folder in build_folders(data)]
    return sorted(found, key=lambda each: each.last, reverse=True)


def only_named(folder: Path) -> Summary:
    """A build of which nothing but its name is known yet."""
    return Summary(
        name=folder.name, kit=folder.name, folder=str(folder), put_away=is_put_away(folder), pending=True
    )


class Summarised(Struct, frozen=True, kw_only=True):
    """A summary as it is cached, with what tells that nothing has changed since."""

    stamp: str
    kit_file: str
    summary: Summary


def summary_of(data: Path, folder: Path, settings: Settings) -> Summary:
    """One build, from the cache while neither its log nor its kit file was touched."""
    cache_in, key = cache_folder(data), f"summary {folder.name} {settings.step_size} {settings.procedure}"
    kept = cache.fetch(cache_in, key, Summarised)
    if kept is None or kept.stamp != _stamp(folder, kept.kit_file):
        summary, kit_file = _summary(data, folder, settings)
        kept = Summarised(stamp=_stamp(folder, kit_file), kit_file=kit_file, summary=summary)
        if not summary.problem:
            cache.keep(cache_in, key, kept)
    return replace(kept.summary, folder=str(folder), put_away=is_put_away(folder))


def _stamp(folder: Path, kit_file: str) -> str:
    """What changes when the log or the kit file does."""
    words = []
    for path in (str(folder / LOG_NAME), kit_file):
        try:
            stat = os.stat(path) if path else None  # noqa: PTH116
        except (OSError, ValueError):
            stat = None
        words.append(f"{stat.st_mtime_ns} {stat.st_size}" if stat else "-")
    return " ".join(words)


def _summary(data: Path, folder: Path, settings: Settings) -> tuple[Summary, str]:
    """A build, and where its kit file was."""
    try:
        build = reopen(data, folder, settings, _NoClock(), read_only=True)
    except SoldersideError as error:
        return replace(_by_log(folder, _progress_of(folder)), problem=error.what), ""
    view = build.view()
    edits = _edits(data, build, settings)
    build.log.close()
    summary = replace(
        _by_log(folder, build.progress),
        kit=build.kit.title,
        items_done=view.parts_done,
        items=view.parts,
        finished=view.finished,
        problem="; ".join(build.log.remarks),
        edits=edits,
    )
    return summary, in_use(build.log.events).kit_file


def _by_log(folder: Path, progress: Progress) -> Summary:
    """What the log alone tells of a build."""
    begun = progress.started
    return Summary(
        name=folder.name,
        kit=begun.kit if begun else folder.name,
        unit=unit_words(progress.unit),
        folder=str(folder),
        started=begun.at if begun else "",
        last=progress.last.at if progress.last else "",
        items_done=len(progress.done),
        held=len(progress.held),
        bench_seconds=progress.bench_seconds,
    )


def _edits(data: Path, build: Build, settings: Settings) -> tuple[str, ...]:
    """What is done and does not agree with the kit in use, or with its file where that has changed since."""
    used = in_use(build.log.events)
    source = read_source(used.kit_file)
    if source is not None and digest_of(source) != build.kit.digest:
        try:
            kit = kit_of(source, Path(used.kit_file), cache_folder(data))
            plan = planned(data, kit, procedure_of(build, settings), settings)
        except SoldersideError as error:
            return (f"the kit file has changed and cannot be read: {error.what}",)
        known = frozenset(item for step in build.plan.steps for item in step.items)
        now = Build(kit, plan, build.log, build.clock)
        return tuple(each.words for each in now.kit_watch.changes(known))
    return tuple(each.words for each in build.kit_watch.changes())


def _progress_of(folder: Path) -> Progress:
    """Where a build stands whose kit or procedure cannot be read; at its beginning where its log cannot be."""
    try:
        return fold(read_log(folder / LOG_NAME)[0].events)
    except (OSError, SoldersideError):
        return fold([])


class _NoClock:
    """For builds that are only read: time stands still."""

    def now(self) -> Moment:
        raise AssertionError("a build that is only read asks no clock")
