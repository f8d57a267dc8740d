"""All builds of a data folder read for what they tell of the builder: pace, time left, and the record."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

from msgspec import Struct

from bench import cache
from bench.errors import SoldersideError
from bench.estimate.base_times import stages_left
from bench.estimate.forecast import Interval, StagePace, Work, likely, time_left
from bench.estimate.hours import in_full, in_words
from bench.estimate.log_observations import observations_of
from bench.estimate.observations import BuildDone, StageKey, StageLeft
from bench.estimate.reminders import reminders
from bench.estimate.scoring import PaceModel, ReplayCheckpoint, learn
from bench.estimate.stats import OwnRecord, own_record
from bench.estimate.teaching import stage_lines
from bench.log.file import LOG_NAME, read_log
from bench.log.progress import Progress
from bench.plan.plan import Plan, Stage, counted_with
from bench.session.build import Build
from bench.session.folders import build_folders, planned
from bench.session.own_files import in_use, own_kit, own_procedure
from bench.settings import Settings, cache_folder


class Read(NamedTuple):
    """A build's log as it was read."""

    done: BuildDone
    plan: Plan | None = None
    """None for a finished build that was read before."""
    progress: Progress | None = None


def builds_left(data: Path, settings: Settings) -> dict[str, Interval]:
    """Time left for each build that can be read and is not finished, by its name."""
    read = _read_all(data, settings)
    pace = _learn(data, settings, [each.done for each in read]).pace
    return {
        each.done.build: hours_left(each.plan, each.progress, pace, each.done.build)
        for each in read
        if each.plan is not None and not each.done.finished
    }


def expected(build: Build, data: Path, settings: Settings) -> dict[StageKey, float]:
    """Minutes that each stage of a build was likely to take when it began, by the builds begun before it."""
    began = build.events[0].at if build.events else ""
    others = _read_all(data, settings, build.name)
    earlier = [each.done for each in others if each.done.started < began]
    pace = learn(earlier).pace
    begun = pace.begun("", build.plan.kit)
    return {
        stage.place: likely([Work(build="", begun=begun, stages=(stage,))], pace) / 60
        for stage in _left(build.plan, None)
    }


def histories(data: Path, settings: Settings) -> tuple[BuildDone, ...]:
    """What each build that can be read tells of the builder; those that cannot are passed over."""
    return tuple(each.done for each in _read_all(data, settings))


def _read_all(data: Path, settings: Settings, but: str = "") -> list[Read]:
    """Each build that can be read, but for the folder of this name."""
    found = (_read(data, folder, settings) for folder in build_folders(data) if folder.name != but)
    return [each for each in found if each is not None]


def _read(data: Path, folder: Path, settings: Settings) -> Read | None:
    log = folder / LOG_NAME
    try:
        stat = log.stat()
        key = f"{log} {stat.st_size} {stat.st_mtime_ns} {settings.break_after_minutes} {settings.step_size}"
        kept = cache.fetch(cache_folder(data), key, BuildDone)
        if kept is not None:
            return Read(kept)
        events = read_log(log)[0].events
        used = in_use(events)
        kit, _ = own_kit(folder, used, cache_folder(data), [])
        procedure, _ = own_procedure(folder, used, settings.procedure, cache_folder(data), [])
        plan = planned(data, kit, procedure, settings)
    except (OSError, SoldersideError):
        return None
    done, progress = observations_of(events, plan, folder.name, settings.break_after_minutes * 60)
    if done.finished:
        cache.keep(cache_folder(data), key, done)
    return Read(done, plan, progress)


def learned(data: Path, settings: Settings) -> PaceModel:
    """The builder's pace from all builds (without any, the starting guess) and how each forecast fell out."""
    return _learn(data, settings, histories(data, settings))


def _learn(data: Path, settings: Settings, builds: Sequence[BuildDone]) -> PaceModel:
    """Learn, beginning where the last time ended; one such place is kept for each data folder."""
    key = f"settled {data} {settings.break_after_minutes} {settings.step_size}"
    before = cache.fetch(cache_folder(data), key, ReplayCheckpoint)
    found = learn(builds, before)
    if before is None or found.settled.stages != before.stages:
        cache.keep(cache_folder(data), key, found.settled)
    return found


class Known(Struct, frozen=True, kw_only=True):
    """All that is known of the builder at one moment."""

    learned: PaceModel
    record: OwnRecord
    builds: tuple[BuildDone, ...]
    reminders: dict[str, str]
    """Kind of part, or `stage ` and a stage's name -> what the record says when one goes in or it begins."""


def know(data: Path, settings: Settings) -> Known:
    """Read all builds and add them up."""
    builds = histories(data, settings)
    found = _learn(data, settings, builds)
    return Known(
        learned=found,
        record=own_record(builds, found),
        builds=tuple(builds),
        reminders=reminders(builds) | stage_lines(builds),
    )


def hours_left(plan: Plan, progress: Progress | None, pace: StagePace, build: str = "") -> Interval:
    """Time left for a module, in seconds: `build` names its folder; none for one that is not begun."""
    return batch_left([(plan, progress, build)], pace)


Unbuilt = tuple[Plan, Progress | None, str]
"""A module as `hours_left` takes it: plan, progress if it is begun, and the name of its build."""


def batch_left(modules: Sequence[Unbuilt], pace: StagePace) -> Interval:
    """Time left for several modules together; see `hours_of_each`."""
    return hours_of_each(modules, pace)[1]


def hours_of_each(modules: Sequence[Unbuilt], pace: StagePace) -> tuple[tuple[Interval, ...], Interval]:
    """Time left for each of several modules, and for all of them together, in seconds.

    Modules not begun yet count as the next of their kit, in this order. What is doubtful about the builder's
    speed is doubtful for all of them alike, so the range of the sum is no sum of ranges.
    """
    works = []
    for number, (plan, progress, build) in enumerate(modules):
        begun = pace.begun(build, plan.kit)
        if build not in pace.builds:
            build = build or f"not begun, {number}"
            pace = pace.with_begun(build, begun)
        works.append(Work(build=build, begun=begun, stages=_left(plan, progress)))
    return tuple(time_left([work], pace) for work in works), time_left(works, pace)


class PlanTimes(Struct, frozen=True, kw_only=True):
    """What a plan is expected to take, or what is left of it."""

    module: Interval
    stages: dict[StageKey, Interval]
    """Only stages with something left to do."""
    modules: int
    """Modules finished so far that this rests on; 0 for the starting guess alone."""
    resting_on: str
    """The same in words."""

    def words(self) -> tuple[str, ...]:
        """The module's time and what it rests on."""
        if not self.stages:
            return ()
        return (f"Bench time: {in_full(self.module)}. {self.resting_on}.",)

    def of_stage(self, stage: Stage) -> str:
        """A stage's time in words; empty when nothing is left of it."""
        found = self.stages.get(stage.key)
        return in_words(found) if found else ""

    def as_data(self) -> dict[str, Any]:
        """Plain data, in seconds."""
        return {
            "module": self.module,
            "stages": [
                {"name": name, "board": board, "left": each} for (name, board), each in self.stages.items()
            ],
            "modules": self.modules,
        }


def together(plan: Plan, known: PaceModel, units: int) -> Interval:
    """Time for so many units of a kit that are begun side by side, in seconds."""
    stages = _left(plan, None)
    places = known.pace.begun_beside(plan.kit, "not begun", units)
    return time_left([Work(build="", begun=each, stages=stages) for each in places], known.pace)


def plan_times(
    plan: Plan,
    progress: Progress | None,
    known: PaceModel,
    build: str = "",
    others: Sequence[Unbuilt] = (),
) -> PlanTimes:
    """Time for each stage that is left, and for all together; `others` are units side by side with it."""
    pace = known.pace
    begun = pace.begun(build, plan.kit)
    stages = _left(plan, progress)
    return PlanTimes(
        module=batch_left([(plan, progress, build), *others], pace),
        stages={
            stage.place: time_left([Work(build=build, begun=begun, stages=(stage,))], pace) for stage in stages
        },
        modules=known.modules,
        resting_on=known.resting_on,
    )


def _left(plan: Plan, progress: Progress | None) -> tuple[StageLeft, ...]:
    if progress is None:
        return stages_left(plan, frozenset())
    return stages_left(
        plan, progress.done, counted_with(plan.stages, [count.place for count in progress.counts])
    )
