"""Everything that can happen to a build: a closed sum type, one JSON object each.

An event says what was done and where in the work it was done; it never says what follows from it.
Events name parts by item (see `plan.stages`), so a log stays true when kit or procedure is edited.
Annotations are no texts here: compiling each would delay the first step.
"""

from bench.log.camera_events import ClipNamed as ClipNamed
from bench.log.camera_events import PhotoCaptioned as PhotoCaptioned
from bench.log.camera_events import PhotosMatched as PhotosMatched
from bench.log.camera_events import PhotoTaken as PhotoTaken
from bench.log.camera_events import SyncMarked as SyncMarked
from bench.log.event import Event as Event
from bench.log.facts import Facts

LOG_VERSION = 2
"""A log whose first event has a greater number is refused."""

ALONE, SIDE_BY_SIDE = 1, 2
"""The number of a log: its time is that between its own events, or also that of other units' logs."""


class Started(Event, frozen=True, kw_only=True, tag="started"):
    """A build begins: the first line of every log."""

    log: int
    """Version of the log's format."""
    kit: str
    """Title of the kit."""
    name: str = ""
    maker: str = ""
    revision: str = ""
    kit_file: str = ""
    """Where the kit file was, as given."""
    kit_digest: str = ""
    """SHA-256 of the kit file; its copy lies beside the log."""
    procedure: str = ""
    """Name of the procedure."""
    procedure_digest: str = ""
    program: str = ""
    """Version of the program."""


class Opened(Event, frozen=True, kw_only=True, tag="opened"):
    """The program shows the build: bench time may pass from here."""


class Closed(Event, frozen=True, kw_only=True, tag="closed"):
    """The program was closed in good order."""


class Revised(Event, frozen=True, kw_only=True, tag="revised"):
    """From here on another edition of the kit file or procedure is in use."""

    kit: str = ""
    """Title of the kit; as for `Started`."""
    name: str = ""
    maker: str = ""
    revision: str = ""
    kit_file: str = ""
    kit_digest: str = ""
    procedure: str = ""
    procedure_digest: str = ""


class SideBySide(Event, frozen=True, kw_only=True, tag="side by side"):
    """From here on this is one of several units of a kit that are built side by side, or one alone again."""

    group: str
    """The same for all of them."""
    folders: tuple[str, ...] = ()
    """Names of the folders of all of them, in their order."""
    alone: bool = False
    """True from where this unit goes on alone."""


class SetAside(Event, frozen=True, kw_only=True, tag="set aside"):
    """One of several units is passed over, or called back to the bench."""

    aside: bool = True
    why: str = ""


class KitChanged(Event, frozen=True, kw_only=True, tag="kit changed"):
    """What was done no longer agrees with the kit: it is open again until it is redone or said to be right."""

    opens: tuple[str, ...] = ()
    """Items that are open again."""
    added: tuple[str, ...] = ()
    """Items that are new in the kit while later work was done already."""
    why: tuple[str, ...] = ()
    """What is not as it was, for each item that is open again."""
    check_again: bool = False
    """True for checks that are to be done again since something before them was changed."""
    told: tuple[str, ...] = ()
    """What was told, a line each."""
    joints: int = 0
    """Joints that no longer count as made."""


class Confirmed(Event, frozen=True, kw_only=True, tag="right as it is"):
    """The builder says that parts are right as they are, whatever the kit said when they were done."""

    items: tuple[str, ...]
    value: str = ""
    facts: Facts | None = None
    """What the kit says of them now."""
    told: str = ""
    """What was told and is settled with it."""
    joints: int = 0
    """Joints that count as made again."""


class Renamed(Event, frozen=True, kw_only=True, tag="renamed"):
    """The kit calls boards or parts by other names: what happened to the old ones happened to the new ones."""

    boards: tuple[tuple[str, str], ...] = ()
    """Old and new name of a board."""
    items: tuple[tuple[str, str], ...] = ()
    """Old and new item, without what is done with it."""


class UnitNamed(Event, frozen=True, kw_only=True, tag="unit named"):
    """Which of several units of a kit this is; the latest name counts."""

    name: str
    """In the builder's words, or a number from 1."""


class Done(Event, frozen=True, kw_only=True, tag="done"):
    """A step, or some of its parts, is done."""

    items: tuple[str, ...]
    """Items done, in the order of the step."""
    value: str = ""
    """The step's value or headline, for people who read the log."""
    refs: tuple[str, ...] = ()
    joints: int = 0
    """Solder joints made with it."""
    facts: Facts | None = None
    """What the kit said of these parts then; None in logs that did not hold it yet."""
    pressed_with: int = 0
    """Number of the first entry of the same press; 0 where it is that itself."""


class HeldBack(Event, frozen=True, kw_only=True, tag="held back"):
    """A step is left for later."""

    items: tuple[str, ...]
    value: str = ""
    refs: tuple[str, ...] = ()
    reason: str = ""


class Resumed(Event, frozen=True, kw_only=True, tag="taken up"):
    """What was held back is on the bench again."""

    items: tuple[str, ...]


class Undone(Event, frozen=True, kw_only=True, tag="undone"):
    """An earlier event is taken back; it stays in the log."""

    of: int
    """Its sequence number; undoing an `Undone` brings the event back."""


class Corrected(Event, frozen=True, kw_only=True, tag="corrected"):
    """A text in an earlier event was wrong; it stays in the log and is read with the new text."""

    of: int
    field: str
    """Name of the field."""
    to: str


class Noted(Event, frozen=True, kw_only=True, tag="noted"):
    """Something worth remembering."""

    text: str
    mark: str = "note"
    """`note`, `tip` (for the next builder), `show` (worth showing to others), or one of `log.afterwords`."""


class Snagged(Event, frozen=True, kw_only=True, tag="snagged"):
    """A problem was found; `kind` is one of `writeup.snag_kinds.KINDS`, empty where its words tell."""

    what: str
    part: str = ""
    """Designator or part it concerns, as typed."""
    minutes: float = 0.0
    """Time lost."""
    fix: str = ""
    """How it was mended; empty while it is open."""
    kind: str = ""


class Mended(Event, frozen=True, kw_only=True, tag="mended"):
    """An open snag was mended later; `minutes` are those lost in all."""

    of: int
    """Sequence number of the snag."""
    fix: str
    minutes: float = 0.0


class Substituted(Event, frozen=True, kw_only=True, tag="substituted"):
    """Another part goes in than the list says."""

    part: str
    """Designator or value replaced, as typed."""
    instead: str
    why: str = ""
    items: tuple[str, ...] = ()
    """The parts it concerns, by item, where that is known."""


class BagCounted(Event, frozen=True, kw_only=True, tag="bag counted"):
    """One sort of part was counted in the bag; a later count of the same sort replaces it."""

    items: tuple[str, ...]
    """The parts there should be, by item."""
    kind: str
    value: str
    refs: tuple[str, ...] = ()
    found: int
    """How many there are."""
    bags: int = 1
    """Of how many units together, where counts were added up; 1 in a log."""


class PartMeasured(Event, frozen=True, kw_only=True, tag="part measured"):
    """A part was measured before it went in; the reading stays with its sort."""

    items: tuple[str, ...]
    """The parts of that sort, by item."""
    value: str
    text: str
    """The reading as typed: `4k69`, `103.2n`."""
    said: str = ""
    """What the program made of it, in words."""


class ErratumFound(Event, frozen=True, kw_only=True, tag="erratum"):
    """The kit's documents are wrong somewhere."""

    text: str


class JointsCounted(Event, frozen=True, kw_only=True, tag="joints counted"):
    """The builder counted the joints of a stage without being told how many there should be."""

    counted: int
    expected: int


class ReadingTaken(Event, frozen=True, kw_only=True, tag="reading"):
    """A value was measured."""

    point: str
    """What was measured, such as `TP1`."""
    text: str
    """As typed: `4k69`, `-11.98`, `OL`."""
    expect: str = ""
    """What the kit expects there, as written."""
    verdict: str = ""
    """`in`, `out` or `too close to call` as it was told then; empty where nothing could be judged."""
    meter: str = ""
    """What meter it was judged for and how far that may be off, in words; empty where that played no part."""


class HazardAcknowledged(Event, frozen=True, kw_only=True, tag="danger owned"):
    """Before power goes to something that can kill: the responsible person or rule, in the builder's words."""

    text: str
    shown: bool = False
    """True when the builder wants it in the article; otherwise it stays in the log."""
    kills: tuple[str, ...] = ()
    """What in the kit could kill then; empty in logs that did not hold it yet."""


class PassMeasured(Event, frozen=True, kw_only=True, tag="tracking pass"):
    """One pass of volts per octave: frequencies at control voltages, and what had been turned before it."""

    trim: str
    """Name of the kit's trim."""
    points: tuple[tuple[float, float], ...]
    """Control voltage in volts, frequency in hertz."""
    turned: tuple[tuple[str, float], ...] = ()
    """Trimmer and turns, clockwise positive, since the pass before."""


class SuspicionSettled(Event, frozen=True, kw_only=True, tag="suspicion settled"):
    """While looking for a fault: one suspicion was looked into."""

    suspicion: str
    """In the words of the list."""
    found: bool
    """True: this was it. False: it is all right."""
    said: str = ""
    """What was seen, in the builder's words."""
    symptom: str = ""
    """What is wrong, in the words of the search."""


class HoldOverridden(Event, frozen=True, kw_only=True, tag="hold passed"):
    """A hold point was overridden: a check was not met."""

    hold: str
    reason: str
    """Why, in the builder's words."""
    about: str = "check"
    """`check`: the reading of the step; `too close`: its reading was too close to call and accepted;
    `held back`: what was held back before this hold point."""


class ClockTold(Event, frozen=True, kw_only=True, tag="clock told"):
    """The machine's clock was doubtful, and the builder says what time it was; goes for the whole run."""

    right: str = ""
    """UTC, as `at`; empty when the clock was right."""


class WaitBegan(Event, frozen=True, kw_only=True, tag="wait began"):
    """Something takes its time: warming up, drying, cooling; several may run at once."""

    seconds: float
    about: str = ""
    """What is waited for, in the builder's words."""


class Completed(Event, frozen=True, kw_only=True, tag="completed"):
    """Nothing is left to do: the clock of the bench stands still while that is so."""

    total: int
    """How many items are done."""


class BreakBegan(Event, frozen=True, kw_only=True, tag="break began"):
    """Away from the bench."""


class BreakEnded(Event, frozen=True, kw_only=True, tag="break ended"):
    """Back at the bench."""


class IdleResolved(Event, frozen=True, kw_only=True, tag="gap settled"):
    """The builder says what a long time without a key was; covers the time since the event before."""

    seconds: float
    worked: bool
    """True: at the bench all the time. False: a break."""
    minutes_worked: float = -1.0
    """How much of it was work, where it was part work and part break; below zero where `worked` says it all."""

    @property
    def seconds_worked(self) -> float:
        """How much of it was spent at the bench."""
        whole = max(0.0, self.seconds)
        return min(whole, 60 * self.minutes_worked) if self.minutes_worked >= 0 else whole * self.worked


AnyEvent = (
    Done | HeldBack | Resumed | HoldOverridden | JointsCounted | KitChanged | Confirmed
    | Noted | PhotoTaken | PhotosMatched | PhotoCaptioned | Snagged | Mended | Substituted | ErratumFound
    | BagCounted | PartMeasured | ReadingTaken | PassMeasured | SuspicionSettled | HazardAcknowledged
    | SyncMarked | ClipNamed | ClockTold | WaitBegan | BreakBegan | BreakEnded | IdleResolved | Completed
    | Started | Opened | Closed | Revised | Renamed | UnitNamed | SideBySide | SetAside | Undone | Corrected
)  # fmt: skip
"""The closed sum type: what became of steps and parts; what was written down or photographed; what was measured
or answered for; how time passed, here and on film; the log itself, and how other events are read."""

CORRECTABLE: dict[str, tuple[str, ...]] = {
    "noted": ("text",),
    "photo taken": ("caption",),
    "photo captioned": ("caption",),
    "snagged": ("what", "part", "minutes", "fix", "kind"),
    "mended": ("fix", "minutes"),
    "substituted": ("part", "instead", "why"),
    "bag counted": ("found",),
    "part measured": ("text",),
    "danger owned": ("text",),
    "suspicion settled": ("said",),
    "erratum": ("text",),
    "held back": ("reason",),
    "reading": ("text",),
    "set aside": ("why",),
    "hold passed": ("reason",),
    "joints counted": ("counted",),
    "gap settled": ("minutes_worked",),
    "clapped": ("label",),
    "clip named": ("clip",),
}
"""Which fields of which events can be corrected."""

BOOKKEEPING = (
    "started", "opened", "closed", "revised", "side by side", "kit changed", "unit named",
    "undone", "corrected", "gap settled", "completed",
)  # fmt: skip
"""Events that the undo key passes over."""


def tag_of(event: Event) -> str:
    """The event's kind as it stands in the file.

    >>> tag_of(Noted(n=1, at="2031-02-03T18:20:05.120Z", mono=0.0, run="a", text="x"))
    'noted'
    """
    return str(event.__struct_config__.tag)
