"""A kit as frozen values: what `load` returns and every other room reads.

Text fields hold what the kit's author wrote, untouched; cleaning it for a screen is the screen's task.
"""

from msgspec import Struct

SIDES = ("front", "back")
"""The sides of a board; drawing programs call them top and bottom."""


class PartLine(Struct, frozen=True, kw_only=True):
    """One line of the parts list: one value with all the designators that take it, on one board."""

    refs: tuple[str, ...]
    """Reference designators in natural order, spelled as in the file; empty for unlettered hardware."""
    value: str
    """The value as written: `4k7`, `TL072`, `10u`; may be empty for hardware."""
    kind: str
    """The name of an entry of `parts.kinds`."""
    kind_guessed: bool = False
    """True when the kind follows from class letter and value, not from the file."""
    quantity: int
    """How many parts: the number of designators, or what the file says for unlettered hardware."""
    joints: int
    """Solder joints for each part."""
    joints_guessed: bool = False
    """True when the number of joints is the kind's usual one."""
    mount: str
    """How it sits: one of `parts.kinds.MOUNTS`."""
    height: int
    """Height class, 1 (flat on the board) to 9 (panel parts and above); see `parts.kinds`."""
    package: str = ""
    """`DIP-8`, `TO-92`, `radial 5 mm`, as written."""
    socket: str = ""
    """The socket it goes into (`DIP-8`), or empty when it is soldered itself."""
    socket_joints: int = 0
    """Solder joints of that socket."""
    tolerance: str = ""
    """As written, such as `1 %`."""
    voltage: str = ""
    """Rated voltage as written, such as `25 V`."""
    marking: str = ""
    """What is printed on the part, as written."""
    section: str = ""
    """The part of the circuit it belongs to, for procedures that follow the signal."""
    cautions: tuple[str, ...] = ()
    """The kit's own cautions for this line."""
    note: str = ""
    optional: bool = False
    """True when the kit leaves it to the builder whether to fit it."""
    positions: tuple[tuple[float, float], ...] = ()
    """Place of each designator on the board in mm, in the order of `refs`; empty when not given.

    x to the right and y upwards, seen from the front of the board.
    """
    sides: tuple[str, ...] = ()
    """Side of the board that each designator sits on, one of `SIDES`, in the order of `refs`; empty when
    not given."""
    nets: tuple[str, ...] = ()
    """Nets and supply rails that these parts hang on, such as `+12 V`; empty when not given."""
    joined_with: tuple[str, ...] = ()
    """Designators on its board that it is joined to: screwed to, pressed against, paired with."""
    line: int = 0
    """Line in the kit file, from 1."""


class Board(Struct, frozen=True, kw_only=True):
    """One printed circuit board, or the panel, with the parts that go on it."""

    name: str
    parts: tuple[PartLine, ...]
    size: tuple[float, float] | None = None
    """Width and height in mm, seen from the front; None when not given."""
    not_fitted: tuple[str, ...] = ()
    """Designators whose places stay empty on purpose."""
    line: int = 0


class Check(Struct, frozen=True, kw_only=True):
    """One thing to measure or to look at."""

    where: str
    """`TP1`, `+12 V and 0 V`: where the probes go or what to look at."""
    expect: str = ""
    """What it should be, as written: `> 200 ohm`, `5 V ± 4 %`; empty for a look-over."""
    how: str = ""
    """How to do it, one sentence."""
    unplug: str = ""
    """What must be out while measuring, such as `ICs`."""
    nets: tuple[str, ...] = ()
    """Nets that the outcome depends on, named as on the part lines; empty when not given."""
    line: int = 0


class HoldPoint(Struct, frozen=True, kw_only=True):
    """A point that the work may not pass before its checks are done."""

    name: str
    """`Before power`, `First power`, `Function`, or the kit's own."""
    checks: tuple[Check, ...]
    line: int = 0


class Trim(Struct, frozen=True, kw_only=True):
    """One adjustment."""

    name: str
    kind: str = "general"
    """One of `kitfile.TRIM_KINDS`: `general`, `volts per octave`, `hertz per volt`."""
    trimmer: str = ""
    """Its designator."""
    target: str = ""
    """What to reach, as written."""
    how: str = ""
    turns: int = 0
    """Turns of the trimmer from stop to stop, 0 when not given."""
    role: str = ""
    """What it does to an oscillator's tracking, one of `kitfile.TRIM_ROLES`; empty when not given."""
    range_cents: int = 0
    """What it moves from stop to stop: cents, for a scale trimmer cents per octave; 0 when not given."""
    clockwise: str = ""
    """`raises` or `lowers`: what turning clockwise does; empty when not given."""
    line: int = 0


class Rail(Struct, frozen=True, kw_only=True):
    """One supply rail with the current the maker states."""

    name: str
    """`+12 V`."""
    current: str
    """As written, `38 mA`."""


class Kit(Struct, frozen=True, kw_only=True, cache_hash=True):
    """One module to build: one kit file."""

    name: str
    maker: str = ""
    revision: str = ""
    about: str = ""
    """What the module is, a sentence or two for the article."""
    scenario: str = ""
    """Where the module will be used."""
    price: str = ""
    """What the kit costs, as written: `129.50 EUR`; empty when not given."""
    hazards: tuple[str, ...] = ()
    """`mains`, `high voltage`, `stored charge`: what the file says can hurt; see also `kit.danger`."""
    harmless: bool = False
    """True when the file says `hazards: none`: its author vouches that nothing in it is above 50 V."""
    errata: tuple[str, ...] = ()
    panel_width: str = ""
    panel_depth: str = ""
    panel_height: str = ""
    """As written, such as `3 U`; empty when not given."""
    own_case: bool = False
    """True when the module has a case of its own and takes neither room nor current of a rack."""
    supply: tuple[Rail, ...] = ()
    passive: bool = False
    """True when the file says `supply: none`: nothing in it takes power."""
    sections: tuple[str, ...] = ()
    """Parts of the circuit in the order of the signal."""
    boards: tuple[Board, ...]
    hold_points: tuple[HoldPoint, ...] = ()
    trims: tuple[Trim, ...] = ()
    tools: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    """The maker's remarks for the builder."""
    gives: tuple[str, ...] = ()
    """What it gives other modules for their tests: `gate`, `audio`, `rack power`, as written."""
    needs: tuple[str, ...] = ()
    """What it needs from other modules for its own test, in the same words."""
    file: str = ""
    """The file it came from, as given."""
    digest: str = ""
    """SHA-256 of the file's bytes, hexadecimal."""

    @property
    def title(self) -> str:
        """Name and revision, as people say it."""
        return f"{self.name} rev. {self.revision}" if self.revision else self.name
