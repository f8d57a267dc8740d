"""Calibration: replay the log, and score each forecast against what happened.

Stages are gone through in the order in which they ended, all builds together. Before each one its time is
forecast from what was known until then, and so is the rest of its module at some of them; only then does the
stage teach.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.estimate.forecast import BuildOrdinal, StagePace, Work, pieces_of, terms_of, within_range, z_score
from bench.estimate.observations import BuildDone, StageDone
from bench.estimate.pace_model import BUILD, initial, observe, without_parameter
from bench.estimate.snag_rate import Snags
from bench.parts.english import counted

LOOKS = 4
"""The rest of a module is forecast this often: at its start, and as its work goes on."""
_BELIEVABLE = 20.0
"""Nobody is so many times faster or slower than the guess: such work was only recorded, or the clock ran on."""


class Score(Struct, frozen=True, kw_only=True):
    """One forecast and what came of it."""

    build: str
    what: str
    """`stage`, or `rest` of the module."""
    at: float
    """How much of the module was done when it was made, 0 to 1 by the starting guess."""
    z_score: float
    """Its z-score; see `forecast.z_score`."""
    held: bool
    """True when what happened lay in the range."""


ReplayKey = tuple[str, str, float, float]
"""UTC stamp of a stage's end, name of its build, its seconds, and the seconds that snags cost in it."""


class ReplayCheckpoint(Struct, frozen=True, kw_only=True):
    """What was learned up to the first stage of the first build that is not finished: it stays so."""

    stages: tuple[ReplayKey, ...] = ()
    """Each stage gone through."""
    pace: StagePace | None = None
    scores: tuple[Score, ...] = ()


class PaceModel(Struct, frozen=True, kw_only=True):
    """The pace after all builds, and how each forecast on the way fell out."""

    pace: StagePace
    scores: tuple[Score, ...]
    modules: int
    """How many builds were finished."""
    settled: ReplayCheckpoint
    """Hand it to `learn` the next time, which then begins there."""

    @property
    def resting_on(self) -> str:
        """What forecasts from this rest on, in words."""
        if not self.modules:
            return "A first guess: you have not finished a module yet"
        return f"From your own {counted(self.modules, 'module')} so far"


def learn(builds: Sequence[BuildDone], settled: ReplayCheckpoint | None = None) -> PaceModel:
    """Replay all builds in time order, scoring each forecast on the way; the order of `builds` does not matter.

    `settled` is what an earlier call has found; it is used as far as it still holds.
    """
    replay = _Replay(builds)
    order = sorted(
        (stage.ended, number, at)
        for number, build in enumerate(replay.builds)
        for at, stage in enumerate(build.stages)
    )
    keys = tuple(replay.key(number, at) for _, number, at in order)
    lasting = next(
        (at for at, (_, number, _) in enumerate(order) if not replay.builds[number].finished), len(order)
    )
    begun = replay.resume(settled, keys[:lasting]) if settled else 0
    for _, number, at in order[begun:lasting]:
        replay.stage(number, at)
    settled = ReplayCheckpoint(stages=keys[:lasting], pace=replay.pace, scores=tuple(replay.scores))
    for _, number, at in order[lasting:]:
        replay.stage(number, at)
    return PaceModel(
        pace=replay.pace,
        scores=tuple(replay.scores),
        modules=sum(build.finished for build in replay.builds),
        settled=settled,
    )


class _Replay:
    def __init__(self, builds: Iterable[BuildDone]) -> None:
        self.builds = sorted(builds, key=lambda each: (each.started, each.build))
        begun: dict[str, BuildOrdinal] = {}
        of_kit: dict[str, int] = {}
        firsts: dict[tuple[str, str], BuildOrdinal] = {}
        for number, build in enumerate(self.builds, 1):
            first = firsts.get((build.group, build.kit)) if build.group else None
            if first is not None:
                begun[build.build] = replace(first, later=build.place > 0)
                continue
            of_kit[build.kit] = of_kit.get(build.kit, 0) + 1
            begun[build.build] = BuildOrdinal(
                kit=build.kit, of_kit=of_kit[build.kit], of_all=number, group=build.group, later=build.place > 0
            )
            firsts[build.group, build.kit] = begun[build.build]
        self.pace = StagePace(belief=initial(), snags=Snags(), builds=begun, of_kit=of_kit)
        self.scores: list[Score] = []
        self._looks = [_looks(build) for build in self.builds]
        groups: dict[str, list[BuildDone]] = {}
        for build in self.builds:
            groups.setdefault(build.group, []).append(build)
        self._ends = {
            group: max(each.ended_at for each in units)
            for group, units in groups.items()
            if group and all(each.finished for each in units)
        }
        """Group of units that are all finished -> when the last stage of them ended."""

    def key(self, number: int, at: int) -> ReplayKey:
        """What tells a stage from every other, and from itself after a correction."""
        stage = self.builds[number].stages[at]
        return stage.ended, self.builds[number].build, stage.seconds, sum(stage.costs)

    def resume(self, settled: ReplayCheckpoint, keys: tuple[ReplayKey, ...]) -> int:
        """Begin with what was learned before, if it came from the first of these stages; how many those are."""
        many, before = len(settled.stages), settled.pace
        if before is None or keys[:many] != settled.stages:
            return 0
        if any(before.builds[name] != self.pace.builds[name] for _, name, *_ in settled.stages):
            return 0
        self.pace = replace(before, builds=self.pace.builds, of_kit=self.pace.of_kit)
        self.scores = list(settled.scores)
        return many

    def stage(self, number: int, at: int) -> None:
        """Forecast one stage, and where it is time for it the rest of its module; then learn from it."""
        build, stage = self.builds[number], self.builds[number].stages[at]
        if stage.whole and _worked(stage):
            self._score(build, "stage", (stage,), self._looks[number].get(at, 0.0))
        if build.finished and at in self._looks[number] and any(map(_worked, build.stages[at:])):
            self._score(build, "rest", build.stages[at:], self._looks[number][at])
        self._teach(build, stage)
        over = self._ends.get(build.group) == build.ended_at if build.group else build.finished
        if at == len(build.stages) - 1 and over:
            ended = BUILD + (build.group or build.build)
            self.pace = replace(self.pace, belief=without_parameter(self.pace.belief, ended))

    def _score(self, build: BuildDone, what: str, stages: Sequence[StageDone], at: float) -> None:
        seconds = sum(stage.seconds for stage in stages)
        work = Work(build=build.build, begun=self.pace.builds[build.build], stages=tuple(stages))
        pieces = pieces_of([work], self.pace.belief, self.pace.snags)
        if not pieces:
            return
        off = z_score(pieces, seconds)
        score = Score(build=build.build, what=what, at=at, z_score=off, held=within_range(off))
        self.scores.append(score)

    def _teach(self, build: BuildDone, stage: StageDone) -> None:
        begun, belief = self.pace.builds[build.build], self.pace.belief
        for done in stage.groups:
            ratio = done.seconds / done.guess
            if not 1 / _BELIEVABLE < ratio < _BELIEVABLE:
                continue
            off = done.time_squares - 2 * ratio * done.products + ratio * ratio * done.squares
            scatter = max(0.0, off) / (ratio * ratio * done.squares) * done.pieces
            belief = observe(
                belief,
                terms_of(build.build, begun, done.group),
                done.group,
                ratio,
                done.guess * done.guess / done.squares,
                done.pieces,
                scatter,
            )
        snags = self.pace.snags.with_stage(build.build, stage.joints, stage.late, stage.costs)
        self.pace = replace(self.pace, belief=belief, snags=snags)


def _worked(stage: StageDone) -> bool:
    """False for a stage whose keys were pressed, but not for work."""
    return _BELIEVABLE * stage.seconds > sum(group.guess for group in stage.groups)


def _looks(build: BuildDone) -> dict[int, float]:
    """Stages before which the rest of the module is forecast -> how much of the module was done then."""
    weights = [sum(group.guess for group in stage.groups) for stage in build.stages]
    total = sum(weights) or 1.0
    found: dict[int, float] = {}
    done, wanted = 0.0, 0
    for at, weight in enumerate(weights):
        if done / total >= wanted / LOOKS:
            found[at] = done / total
            wanted += 1
        done += weight
    return found
