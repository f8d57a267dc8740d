"""Observations for the pace model, taken from logs, and the work left to forecast, as frozen values."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

StageKey = tuple[str, str]
"""Stage name and board name; the board is empty for the module as a whole."""


class GroupLeft(Struct, frozen=True, kw_only=True):
    """One sort of work that is left."""

    group: str
    """See `base_times.group_of`."""
    guess: float
    """The starting guess for it, in seconds."""
    squares: float
    """Sum of the squares of the single guesses, in square seconds."""


class StageLeft(Struct, frozen=True, kw_only=True):
    """What is left of one stage."""

    place: StageKey
    groups: Sequence[GroupLeft]
    joints: float
    """Joints still to be made."""
    late: float
    """Joints' worth of hidden faults that may still come to light here; see `base_times.late_exposures`."""


class GroupDone(GroupLeft, frozen=True, kw_only=True):
    """One sort of work in one stage of one build, done."""

    seconds: float
    """Bench time it took, in seconds, without what snags cost."""
    time_squares: float
    """Sum of the squares of the single times, in square seconds."""
    products: float
    """Sum of time times guess, in square seconds."""
    pieces: int
    """How many single times there are: steps, or runs of steps recorded together."""


class StageDone(StageLeft, frozen=True, kw_only=True):
    """One stage of one build as it went; what was left of it before is done."""

    ended: str
    """UTC stamp of the last thing done in it."""
    groups: tuple[GroupDone, ...]
    seconds: float
    """All bench time in it, snags included, in seconds."""
    costs: tuple[float, ...] = ()
    """What each snag that cost time cost, in seconds."""
    whole: bool = True
    """False while something is left to do in it."""


class KindDone(Struct, frozen=True, kw_only=True):
    """Parts of one kind soldered in, in one build."""

    kind: str
    seconds: float
    """Bench time in steps of this kind, without what snags cost."""
    parts: int
    joints: int


AT_IRON, LOOKING, AT_HOLD, LATER = "while soldering", "while inspecting", "at a hold point", "once it was built"
WHERE = (AT_IRON, LOOKING, AT_HOLD, LATER)
"""Where snags come to light: in a stage that makes joints, in one that does not, at a hold point, or later."""


class SnagDone(Struct, frozen=True, kw_only=True):
    """A snag, with what it concerns."""

    at: str
    """UTC stamp."""
    what: str
    """In the builder's words."""
    kind: str
    """Kind of part it concerns; empty when that is not known."""
    stage: str
    """Name of the stage it came up in."""
    where: str
    """One of `WHERE`."""
    minutes: float
    """Time lost as the builder gave it, in minutes."""


class BuildDone(Struct, frozen=True, kw_only=True):
    """One build as far as it went."""

    build: str
    """Name of its folder."""
    kit: str
    """Title of the kit."""
    started: str
    """UTC stamp."""
    stages: tuple[StageDone, ...]
    """In the order in which they ended."""
    finished: bool
    group: str = ""
    """What units built side by side have in common; empty for a build alone."""
    place: int = 0
    """Which of them it is, from 0."""
    seconds: float = 0.0
    """All bench time, in seconds."""
    kinds: tuple[KindDone, ...] = ()
    snags: tuple[SnagDone, ...] = ()
    """Oldest first."""
    readings: int = 0
    """Readings that were judged at hold points."""
    readings_out: int = 0
    """How many of them were out."""
    counts: int = 0
    """Stages whose joints were counted."""
    counts_off: int = 0
    """How often the count was not what it should have been."""

    @property
    def ended_at(self) -> str:
        """UTC stamp of the last thing done in it; empty where nothing was."""
        return self.stages[-1].ended if self.stages else ""
