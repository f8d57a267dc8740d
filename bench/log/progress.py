"""Where a build stands: what follows from its events, as one frozen value; `fold` makes it."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from bench.log import events as ev
from bench.log.clock import Moment

StageKey = tuple[str, str]
"""Stage name and board name; the board is empty for the module as a whole."""


class HeldStep(Struct, frozen=True, kw_only=True):
    """A step left for later."""

    n: int
    """Sequence number of the event that held it back."""
    items: tuple[str, ...]
    """Items still to be done."""
    value: str
    refs: tuple[str, ...]
    reason: str
    place: StageKey
    at: str = ""
    """UTC stamp of that event."""
    reasons: tuple[str, ...] = ()
    """Every reason given, oldest first, where it was held back again before it was resumed."""
    resumed_at: str = ""
    """UTC stamp at which the last of its items was resumed or done; empty while it is held back."""


class Reopened(Struct, frozen=True, kw_only=True):
    """Why something that was done is open again."""

    n: int
    """Sequence number of the event that opened it."""
    why: str
    check_again: bool = False
    """True for a check that has to be done again whatever the kit says by now."""


class Snag(Struct, frozen=True, kw_only=True):
    """A problem, with its fix once there is one."""

    n: int
    at: str
    place: StageKey
    step: str
    what: str
    part: str
    minutes: float
    """Time lost, in minutes."""
    fix: str
    """Empty while the snag is open."""
    mended_in: str = ""
    """Key of the step at work when it was mended."""


class Break(Struct, frozen=True, kw_only=True):
    """Time away from the bench."""

    began_at: str
    """UTC stamp of the last event before it."""
    ended_at: str
    """UTC stamp of the event that ended it; empty while it lasts."""
    seconds: float
    noticed: bool
    """True when it was noticed afterwards and settled by the builder."""


class Gap(Struct, frozen=True, kw_only=True):
    """A long time without an event that nobody has settled; counted neither as work nor as a break."""

    began_at: str
    ended_at: str
    seconds: float


class Count(Struct, frozen=True, kw_only=True):
    """Joints counted at the end of a stage."""

    n: int
    place: StageKey
    counted: int
    expected: int


class Progress(Struct, frozen=True, kw_only=True):
    """What follows from a build's events: one frozen value."""

    events: int = 0
    """Sequence number of the last event."""
    started: ev.Started | None = None
    unit: str = ""
    """Which of several units of the kit it is: a name or a number; see `units.unit_words`."""
    beside: ev.SideBySide | None = None
    """With which units it is built side by side; None for one that never was."""
    aside: ev.SetAside | None = None
    """Among several units: why it is passed over; None while it is not."""
    last: Moment | None = None
    """Both clocks at the last event."""
    last_run: str = ""
    last_done: ev.Done | None = None
    """The latest `Done` that still stands."""
    done: frozenset[str] = frozenset()
    """Items done."""
    done_at: Mapping[str, int] = {}
    """For each item done the sequence number of the event that did it."""
    reopened: Mapping[str, Reopened] = {}
    """Items that were done and are open again since the kit changed."""
    late: frozenset[str] = frozenset()
    """Items that came into the kit while later work was done already."""
    settled: frozenset[str] = frozenset()
    """Items that the builder said are right as they are."""
    joints: int = 0
    """Joints made by all that is done."""
    held: tuple[HeldStep, ...] = ()
    held_ever: tuple[HeldStep, ...] = ()
    """What is and was held back, in order, with all the items it had; held back again, it is told once."""
    notes: tuple[ev.Noted, ...] = ()
    snags: tuple[Snag, ...] = ()
    substitutions: tuple[ev.Substituted, ...] = ()
    photos_matched: tuple[ev.PhotosMatched, ...] = ()
    """The latest match of each folder of photos."""
    captions: Mapping[str, str] = {}
    """The latest caption of each photo, by file as in `MatchedPhoto`; empty for one that was taken away."""
    bag: tuple[ev.BagCounted, ...] = ()
    """The latest count of each sort of part."""
    measured: tuple[ev.PartMeasured, ...] = ()
    errata: tuple[ev.ErratumFound, ...] = ()
    readings: tuple[ev.ReadingTaken, ...] = ()
    passes: tuple[ev.PassMeasured, ...] = ()
    """Passes of volts per octave, all trims together, oldest first."""
    suspicions: tuple[ev.SuspicionSettled, ...] = ()
    danger_owned: ev.HazardAcknowledged | None = None
    holds_overridden: tuple[ev.HoldOverridden, ...] = ()
    claps: tuple[ev.SyncMarked, ...] = ()
    clips: tuple[ev.ClipNamed, ...] = ()
    """The latest naming of each clip."""
    counts: tuple[Count, ...] = ()
    waits: tuple[ev.WaitBegan, ...] = ()
    """All waits, over or not, as they were begun."""
    completed: bool = False
    """True once nothing is left to do: no time passes at the bench until something is."""
    on_break: bool = False
    breaks: tuple[Break, ...] = ()
    gaps: tuple[Gap, ...] = ()
    stage_seconds: Mapping[StageKey, float] = {}
    """Seconds at the bench by stage, breaks apart."""
    step_seconds: Mapping[str, float] = {}
    """Seconds at the bench by key of the step on screen, without those of counting joints."""
    count_seconds: Mapping[StageKey, float] = {}
    """Seconds spent on counting the joints of each stage."""
    step_done_at: Mapping[str, str] = {}
    """UTC stamp of the last thing done in each step."""
    sessions: int = 0
    """How often the build was opened to work on."""

    @property
    def bench_seconds(self) -> float:
        """Seconds at the bench in all stages, breaks apart."""
        return sum(self.stage_seconds.values())

    @property
    def break_seconds(self) -> float:
        """Seconds of all breaks that are over."""
        return sum(each.seconds for each in self.breaks)
