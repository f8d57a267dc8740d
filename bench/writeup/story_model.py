"""An article as frozen values: what `story.tell` returns and every writer reads.

Texts are what kit, procedure and builder wrote, untouched; a writer makes them safe for its own format.
"""

from __future__ import annotations

from msgspec import Struct

from bench.writeup.moments import AlikeRow, MoveRow, PauseRow
from bench.writeup.moments import EventRow as EventRow
from bench.writeup.moments import EventTime as EventTime
from bench.writeup.moments import Sitting as Sitting


class StageRow(Struct, frozen=True, kw_only=True, gc=False):
    """What one stage on one board took."""

    stage: str
    board: str
    planned: bool
    """False for time spent in no stage, or in one that the plan no longer has."""
    seconds: float
    """At the bench, breaks apart."""
    minutes: int
    """The same in whole minutes, rounded so that all rows together give `Story.minutes`."""
    parts: int
    """Parts placed; a part set in its holes counts when it is soldered."""
    joints: int
    steps: int
    """Steps in the plan, 0 when it is not planned."""
    steps_done: int
    forecast: float | None = None
    """Minutes that were expected before the work began; None when nothing was."""


class KindRow(Struct, frozen=True, kw_only=True, gc=False):
    """Parts of one kind."""

    kind: str
    placed: int
    planned: int


class CountRow(EventRow, frozen=True, kw_only=True, gc=False):
    """One count of joints at the end of a stage."""

    counted: int
    expected: int


class HeldRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A step left for later."""

    value: str
    refs: tuple[str, ...]
    reasons: tuple[str, ...]
    """One for each time it was held back before it was taken up."""
    taken_up: EventTime | None
    """When the last of it was taken up or done; None while it is held back."""


class SnagRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A problem that was met."""

    what: str
    part: str
    minutes: float
    """Minutes lost, as told by the builder; 0 when not told."""
    fix: str
    """Empty while the snag is open."""
    open: bool
    kind: str = "other"
    """One of `snag_kinds.KINDS`: the builder's own word, else derived from the words."""
    placed: EventTime | None = None
    """When the part that it concerns had gone in before; None where that is not known."""
    clue: str = ""
    """What gave it away just before, in words: a reading that was out; empty for nothing."""


class NoteRow(EventRow, frozen=True, kw_only=True, gc=False):
    """Something worth remembering."""

    text: str
    """May be empty: a mark alone."""
    mark: str
    """`note`, `tip`, `show` or one of `log.afterwords`."""


class SubstitutionRow(EventRow, frozen=True, kw_only=True, gc=False):
    """Another part than the list says."""

    part: str
    instead: str
    why: str


class BagRow(Struct, frozen=True, kw_only=True):
    """One sort of part as it was counted in the bag."""

    value: str
    kind: str
    refs: tuple[str, ...]
    expected: int
    found: int


class MeasuredRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A part measured before it went in."""

    value: str
    read: str
    """As typed."""
    said: str
    """What the program made of it."""


class ErratumRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A mistake in the kit's documents that the builder found."""

    text: str


class ReadingRow(EventRow, frozen=True, kw_only=True, gc=False):
    """Something measured."""

    point: str
    expect: str
    """As written in the kit."""
    read: str
    """As typed."""
    verdict: str = ""
    """`in`, `out` or `too close to call`, as it was told then; empty where nothing was judged."""


class OverriddenRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A hold point overridden: a check was not met."""

    hold: str
    reason: str
    point: str = ""
    """The check it concerns; empty where it concerns what was held back."""
    close: bool = False
    """True where a reading that is too close to call was accepted."""


class SuspicionRow(EventRow, frozen=True, kw_only=True, gc=False):
    """Something looked into while searching for a fault."""

    symptom: str
    """What was wrong; empty when it was not said."""
    suspicion: str
    found: bool
    """True when this was it."""
    said: str
    """What was seen."""


class SittingWork(Struct, frozen=True, kw_only=True, gc=False):
    """What one sitting came to."""

    parts: int
    """Parts that are in since then."""
    joints: int
    parts_so_far: int
    joints_so_far: int
    holds: tuple[str, ...] = ()
    """Hold points of which the last check was done in it."""
    trims: tuple[str, ...] = ()
    """Adjustments done in it."""


class ClockAccount(Struct, frozen=True, kw_only=True, gc=False):
    """Where the time of all sittings went, in whole minutes that add up to what the clock on the wall says."""

    by_clock: int
    bench: int
    breaks: int
    unsettled: int
    """Long times without an event that nobody settled."""
    closed: int
    """With the program closed, or the machine asleep."""


class HoldRow(Struct, frozen=True, kw_only=True, gc=False):
    """A hold point and how many of its checks are done."""

    name: str
    board: str
    checks: int
    done: int


class TrimRow(Struct, frozen=True, kw_only=True, gc=False):
    """An adjustment that was done."""

    result: str = ""
    """The last reading taken at it, with its unit; empty for none."""

    name: str
    trimmer: str
    target: str
    board: str
    when: EventTime


class TrackPoint(Struct, frozen=True, kw_only=True, gc=False):
    """One point of a pass over the octaves."""

    volts: float
    hertz: float
    cents: float
    """Above what it should be."""


class TrackingRow(Struct, frozen=True, kw_only=True, gc=False):
    """How an oscillator tracked before and after it was trimmed."""

    trim: str
    passes: int
    close_enough: float
    """Cents that a point may be off."""
    done: bool
    """True when every point of the last pass was close enough."""
    first: tuple[TrackPoint, ...]
    """Points of the first pass that can be reckoned with, in order of voltage; empty when none can."""
    last: tuple[TrackPoint, ...]
    """Points of the last such pass."""
    turned: tuple[tuple[str, float], ...]
    """Trimmer and turns in all, clockwise above zero."""


class ClapRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A mark that the camera saw or heard too."""

    number: int
    label: str
    """Empty when nothing was said of it."""


class ChapterRow(Struct, frozen=True, kw_only=True, gc=False):
    """Where a chapter of a clip begins."""

    seconds: float
    """From the start of the clip."""
    title: str
    kind: str
    """`stage`, `snag`, `show` or `works`."""


class ClipRow(Struct, frozen=True, kw_only=True):
    """A clip from the camera, on the bench's clock."""

    name: str
    begins: EventTime | None
    """None when it cannot be placed."""
    seconds: float
    """How long it is; up to the last thing in the log that can be in it where that is not known."""
    length_known: bool
    how: str
    """How its clock was found, in words; empty when it was not."""
    doubts: tuple[str, ...]
    """In sentences."""
    chapters: tuple[ChapterRow, ...]


class LeftRow(Struct, frozen=True, kw_only=True, gc=False):
    """What is still to be done in one stage on one board, but for optional parts held back."""

    stage: str
    board: str
    steps: int
    parts: int
    joints: int


class OptionalRow(Struct, frozen=True, kw_only=True, gc=False):
    """An optional step that is held back."""

    board: str
    kind: str
    value: str
    refs: tuple[str, ...]
    parts: int


class Advice(Struct, frozen=True, kw_only=True, gc=False):
    """One thing to tell the next builder."""

    drawn_from: str
    """One of `ADVICE_SOURCES`."""
    text: str
    """One or two plain sentences, with the builder's own words in them."""
    stage: str
    board: str


class PhotoMarkRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A mark that a photo was taken, without a photo."""

    caption: str
    """The builder's words; empty for none."""


class PhotoRow(EventRow, frozen=True, kw_only=True, gc=False):
    """A photo; `n` is the event that matched it, `when` the moment at which it was taken."""

    file: str
    """File name of its web-sized copy, a JPEG: letters, digits and `-` only; see `copies.copy_bytes`."""
    original: str
    """The photo's own path inside the builder's folder."""
    caption: str
    """The builder's words; empty for none."""
    about: str
    """The snag, reading or mark it was taken at, in words; empty for none."""
    of: int
    """Sequence number of that event, 0 for none."""
    width: int
    """Of the copy, in pixels."""
    height: int
    source: str
    """Where its time comes from: `camera`, `camera with zone` or `file`."""
    doubt: str
    """What is doubtful about time or place; empty for nothing."""
    during: str = ""
    """The step that was under way, in words; empty where it cannot be told."""


ADVICE_SOURCES = ("tip", "kit's erratum", "erratum found", "substitution")
"""What advice is drawn from, in the order in which it is told."""


class Story(Struct, frozen=True, kw_only=True):
    """A build, told as data."""

    title: str
    """Name and revision of the kit, and the name or number of the unit where it has one."""
    kit: str
    """Name and revision of the kit."""
    name: str
    unit: str
    """Which of several units of the kit it is, in words; empty when it has no name."""
    maker: str
    revision: str
    about: str
    warning: str
    """What can kill in it, and whose rules come first; empty when nothing can."""
    answers_for_it: str
    """Who answered for power, where the builder lets the article say so."""
    scenario: str
    """Where the module is used."""
    beside: str = ""
    """Which units it was built side by side with; empty for one built alone."""
    told_at: EventTime | None
    """When the story was told; None when not given."""
    zone: str
    """Name of the zone of all days and times, such as `UTC`."""
    summary: tuple[str, ...]
    """How it went, made from the facts below: a sentence, or none."""
    finished: bool
    """True when nothing but optional parts is left."""
    left: tuple[LeftRow, ...]
    left_out: tuple[OptionalRow, ...]
    """Optional steps that the builder holds back: they do not keep a build from being finished."""
    boards: tuple[str, ...]
    """Boards that carry soldered parts."""
    first: EventTime | None
    """The first thing done at the bench; None when nothing is."""
    last: EventTime | None
    sittings: tuple[Sitting, ...]
    works: tuple[SittingWork, ...] = ()
    """What each sitting came to."""
    account: ClockAccount | None = None
    """None where a clock that was set keeps the sum from being told."""
    afterwords: dict[str, str] = {}
    """What the builder said at the end, by the marks of `log.afterwords`."""
    photo_marks: tuple[PhotoMarkRow, ...] = ()
    """Marks of photos taken, for which there is no photo."""
    stages: tuple[StageRow, ...]
    """In the order of the plan, then what is not planned."""
    seconds: float
    """At the bench in all, breaks apart."""
    minutes: int
    """The same in whole minutes."""
    breaks: int
    break_seconds: float
    gaps: int
    """Long times without an event that nobody settled; neither work nor break."""
    gap_seconds: float
    kinds: tuple[KindRow, ...]
    """In the order of the plan."""
    parts_placed: int
    """Sum of the kinds: a socket and the IC in it are two."""
    parts_planned: int
    kit_count: str
    """The parts of the kit in words, by what is done with them; empty when it has none."""
    parts_unplanned: int
    """Parts done that the kit, as it now stands, does not have."""
    joints: int
    """Solder joints made."""
    joints_planned: int
    counts: tuple[CountRow, ...]
    held: tuple[HeldRow, ...]
    snags: tuple[SnagRow, ...]
    snag_minutes: float
    """Minutes lost in all snags together."""
    notes: tuple[NoteRow, ...]
    """All marks, in order."""
    substitutions: tuple[SubstitutionRow, ...]
    bag: tuple[BagRow, ...] = ()
    """Every sort counted in the bag."""
    measured_ahead: tuple[MeasuredRow, ...] = ()
    kit_errata: tuple[str, ...]
    """The maker's own."""
    errata: tuple[ErratumRow, ...]
    readings: tuple[ReadingRow, ...]
    holds: tuple[HoldRow, ...]
    passed: tuple[OverriddenRow, ...]
    """Hold points overridden with a reason."""
    suspicions: tuple[SuspicionRow, ...] = ()
    """What was looked into while searching for faults, in order."""
    moves: tuple[MoveRow, ...] = ()
    """Stages in the order in which they were at work, once in each sitting."""
    pauses: tuple[PauseRow, ...] = ()
    """Breaks and unsettled pauses, in order."""
    alikes: tuple[AlikeRow, ...] = ()
    """Look-alikes met, the worst first."""
    trims: tuple[TrimRow, ...]
    claps: tuple[ClapRow, ...] = ()
    clips: tuple[ClipRow, ...] = ()
    """By their beginning; those that cannot be placed last."""
    tracking: tuple[TrackingRow, ...] = ()
    photos: tuple[PhotoRow, ...] = ()
    """In order of time."""
    advice: tuple[Advice, ...]
    revisions: int
    """How often another edition of kit file or procedure came into use on the way."""
