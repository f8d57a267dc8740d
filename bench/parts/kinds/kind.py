"""The record of a kind of part, all that the program knows of it; words and patterns that records share."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import Literal

from msgspec import Struct

from bench.parts.english import plural

MOUNTS = ("flat", "upright", "laid flat", "panel", "board", "chassis", "cable")
"""How a part sits. `flat`: on the board along its length. `upright`: on its end. `laid flat`: a tall part
bent over. `board`: as its body sits by itself. `panel`: reaches through the panel. `chassis`: screwed to
case or panel, wired. `cable`: loose wiring."""
USUAL_SECONDS = 28.0
"""Pick a part, tell what it is, bend it and put it in (own guess)."""

Role = Literal[
    "active",  # a signal goes on from it changed: a fault search follows these
    "adjustable",  # a trim turns, tunes or selects it
    "always supply path",  # the supply runs through it wherever it stands
    "carries supply",  # carries the supply current: in before power
    "clock",  # sets a frequency
    "diode range",  # a meter tells it on the diode range
    "fed",  # the voltage beside it is what it is fed with, not what it stands
    "fuse",
    "inlet",  # the supply comes in through it
    "labelled",  # its note may be the label on the panel
    "loose",  # goes where the part is that it holds
    "mates",  # joins two boards of a kit
    "passes on",  # a signal goes through it unchanged
    "plugged in",  # its socket may be a line of its own
    "pot",
    "power plug",  # takes a module's supply cable
    "runs hot",  # needs room under it from one watt on
    "semiconductor",  # has a type number, never ohms, farads or henries
    "socket",  # counted as a socket
    "sold by type",  # has a unit, but its value is mostly a type
    "sold sealed too",  # some may be washed
    "spoilt by washing",  # solvent gets into it
    "supply path",  # the supply often runs through it
    "takes a heatsink",
    "temperature sensed",  # a thermistor is pressed to it
    "through a hole",  # held by a nut in a hole of panel or case
]
Pins = Literal[
    "", "package", "chip", "optocoupler", "plug", "switch", "button", "rotary", "relay", "pot", "encoder",
    "jack", "led", "display", "crystal", "valve_base", "coil",
]  # fmt: skip
Suspect = Literal["values", "polarity", "pinout", "fittings", "seating", "windings"]


class When(Struct, frozen=True):
    """Words for some parts of a kind only."""

    traits: str
    """What must be true of the part, separated by spaces: names from `traits.traits_of`; `-tab` must not be."""
    say: str

    def holds(self, traits: AbstractSet[str]) -> bool:
        """Whether a part with these traits is meant."""
        return all(
            (each[1:] not in traits) if each[0] == "-" else (each in traits) for each in self.traits.split()
        )


class Kind(Struct, frozen=True, kw_only=True):
    """One kind of part. All facts are common practice, from memory, unless a source stands beside them.

    Patterns are regular expressions for lower-case text that begin and end at a word, unless said otherwise.
    """

    name: str

    # how a parts list gives it away
    usual_for: str = ""
    """Class letters that mean it when nothing else is known: of IEEE 315, then the usual others."""
    letters: str = ""
    """Class letters that can also mean it."""
    by_unit: str = ""
    """Of these letters, the ones that mean it when the value is in its unit."""
    also_called: str = ""
    """Other names that a kit file may give it, separated by commas, in the singular."""
    words: str = ""
    """What people call it."""
    vague: str = ""
    """Words that mean it only where nothing else is said that points to a kind."""
    hints: str = ""
    """Words that point to it where one of its letters has been seen."""
    types: str = ""
    """Type numbers, upper case, of which only the beginning is given."""
    sought: int = 990
    """When its patterns are tried: the smallest number first, then in the order of the table. A kind whose
    words contain another's (`valve socket`, `valve`) needs a smaller number than that one."""
    abroad: str = ""
    """What it is called in lists in other languages, anywhere in the text."""
    spoken: str = ""
    """What a builder who describes a fault calls it."""

    # value and print
    unit: str = ""
    """What its value is measured in, as `quantity.read_value` wants it; empty when it has none."""
    percent: int | None = None
    """Tolerance, ± per cent, where a kit states none; None when its value cannot be told by measuring."""
    marked: Literal["", "bands", "code", "microfarads", "microfarads or code", "type"] = ""
    """What tells its value on the part itself."""
    look: str = ""
    """What it is taken for at a glance; empty: only for its own kind."""
    needs_value: bool = False
    """Whether nobody can pick it from the bag without a value."""

    # on the board
    mount: str = "board"
    """Its usual mount, one of `MOUNTS`."""
    height: int
    """Height class in its usual mount: 1 (flat on the board) to 9 (hardware)."""
    heights: dict[str, int] = {}
    """Height classes in other mounts."""
    joints: int
    """Solder joints of the commonest form."""
    joints_sure: bool = False
    """Whether nearly all parts of the kind have that many."""
    pins: Pins
    """What reads the number of joints off package and value (see `parts.pins`); empty: nothing does."""
    socketable: bool = False
    """Whether it often goes into a socket instead of being soldered."""
    socket: str = "IC socket"
    """The kind of socket that it goes into."""

    # which way round, and what to mind
    orientation: str = ""
    """Which way round it goes, one or two short sentences; empty when it goes in either way."""
    ways: tuple[When, ...] = ()
    """Said in place of it for some parts of the kind, the first that holds; an empty text: either way."""
    drawing: str = ""
    """The drawing of which way round it goes (see `ui.drawings`)."""
    tab: str = ""
    """What its metal tab mostly is where the type is not known."""
    cautions: tuple[str, ...] = ()
    """What usually goes wrong with every part of the kind, short enough to be read at arm's length."""
    sometimes: tuple[When, ...] = ()
    """What goes wrong with some of them only."""
    shows: dict[str, str] = {}
    """Trait -> what shows it in value, package or rated voltage; these need not begin or end at a word."""
    told: dict[str, str] = {}
    """The same for traits that section and note may tell as well."""

    # at work
    seconds: float = USUAL_SECONDS
    """Seconds to pick, form and place one (own guess)."""
    group: str = ""
    """What a builder calls the kinds that go together, plural; empty for a kind by itself."""
    suspects: tuple[Suspect, ...]
    """Which faults are looked for in it; none for a part that a fault search does not name."""
    roles: tuple[Role, ...] = ()
    """What else holds for it, see `Role`."""

    @property
    def all_cautions(self) -> frozenset[str]:
        """What it says of all its parts, and of some of them."""
        return frozenset((*self.cautions, *(each.say for each in self.sometimes)))

    @property
    def polarised(self) -> bool:
        """Whether it matters which way round it goes."""
        return bool(self.orientation)

    @property
    def family(self) -> str:
        """What a builder calls the kinds that go together, `diodes` for a Zener diode."""
        return self.group or plural(self.name)


AXIAL = {"flat": 1, "upright": 4}
"""Height classes of parts with a leg at each end."""
HOT_GAP = "It gets hot: mount it at least 1.5 mm off the board."
"""IPC-A-610F for parts that give off heat, seen via a copy of the standard."""
MAINS = "Mains: local regulations come first; if they require a licensed person, leave it to one."
BY_MAINS = When("mains", MAINS)
ON_PANEL = When("panel -placed", "Solder only once the panel is fitted and its nuts are tight.")
BEHIND_PANEL = (
    ON_PANEL,
    When("-placed", "Clean off the flux before this goes in: it creeps into contacts."),
)
IDLE_CURRENT = (
    r"\bbias(?:ing)?\b|\b(?:idle|idling|quiescent|standing|cathode|collector) current\b|\bruhestrom\b"
)
"""How an author says, in lower case, that a trimmer or an adjustment sets the current of an output stage."""
