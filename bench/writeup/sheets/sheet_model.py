"""Print-outs as frozen values."""

from __future__ import annotations

from msgspec import Struct

from bench.parts.advice import NOT_ALL


# -- colour bands -------------------------------------------------------------------------------
class Stripe(Struct, frozen=True, kw_only=True):
    """One band of a drawing."""

    middle: float
    """mm from the drawing's left edge to the middle of the band."""
    width: float
    """mm."""
    fill: str
    """`#rrggbb`."""
    name: str
    """Of its colour."""
    label: str
    """What it stands for in its place: digit, factor, tolerance."""


class Strip(Struct, frozen=True, kw_only=True):
    """The bands of one code, as drawn and as named."""

    condition: str
    """`if ±5 %:` where the kit leaves it open; empty where it does not."""
    stripes: tuple[Stripe, ...]
    length: float
    """mm, leads included."""

    @property
    def words(self) -> str:
        """The bands one after the other: `yellow 4, violet 7, red ×100, gold ±5 %`."""
        return ", ".join(f"{stripe.name} {stripe.label}" for stripe in self.stripes)

    @property
    def link(self) -> bool:
        """True for the single black band of a 0 ohm link."""
        return len(self.stripes) == 1


# -- the procedure ------------------------------------------------------------------------------
class ProcedureLine(Struct, frozen=True, kw_only=True):
    """One stage of a procedure."""

    number: int
    name: str
    per: str
    """`each board`, `module`, `each section`."""
    words: str
    """What it takes, its tasks, and what it checks with its limits."""
    cautions: tuple[str, ...]
    hold: bool
    boxes: tuple[str, ...]
    """A box to tick for each; named after boards, or empty texts."""
    left_out: bool = False
    """True when a kit is given that has nothing for this stage."""


class ProcedureSheet(Struct, frozen=True, kw_only=True):
    """A procedure on one page."""

    name: str
    about: str
    kit: str
    """Title of the kit it is for; empty for none."""
    hazards: tuple[str, ...]
    """What can kill in that kit."""
    lines: tuple[ProcedureLine, ...]
    not_all: str = NOT_ALL
    sheet: str = "procedure"


# -- the stages of a kit ------------------------------------------------------------------------
class SheetSpot(Struct, frozen=True, kw_only=True):
    """One part to tick."""

    name: str
    """Its designator, or a running number."""
    zone: str = ""
    done: bool = False


class TableRow(Struct, frozen=True, kw_only=True):
    """One line of a stage's table: one value, one task, one check or one adjustment."""

    value: str
    """The value, or the headline of a task, check or adjustment."""
    about: tuple[str, ...] = ()
    """Tolerance, voltage, package and the like."""
    strips: tuple[Strip, ...] = ()
    printed: str = ""
    """What is printed on the part, as a phrase."""
    spots: tuple[SheetSpot, ...] = ()
    refs: str = ""
    """Designators of a check or adjustment."""
    joints: int = 0
    detail: tuple[str, ...] = ()
    """How to do it."""
    should: str = ""
    """What a check should find, or `look`."""
    measured: bool = False
    """True where a reading is to be written down."""
    readings: tuple[str, ...] = ()
    """Readings taken in the build already, with their verdict."""
    cautions: tuple[str, ...] = ()
    """Those that stand neither over the stage nor over its group."""
    strong: tuple[str, ...] = ()
    """Those of them that are set in bold: hazards, which way round, this part's own."""
    alike: tuple[tuple[str, str], ...] = ()
    """What its parts can be mistaken for on this board, with designators, and why."""
    told: tuple[str, ...] = ()
    """What the log has to say about its parts."""
    done: bool = False


class Group(Struct, frozen=True, kw_only=True):
    """Neighbouring rows of one kind."""

    name: str
    """Kind of the parts, in the plural."""
    orientation: str
    cautions: tuple[str, ...]
    """Those of all its rows."""
    rows: tuple[TableRow, ...]


class SheetTable(Struct, frozen=True, kw_only=True):
    """Rows of one sort, under one head."""

    sort: str
    """`parts`, `tasks`, `checks` or `trims`."""
    groups: tuple[Group, ...]


class StageOnPaper(Struct, frozen=True, kw_only=True):
    """One stage on one board."""

    number: int
    name: str
    place: str
    """The board as people say it; empty for the module as a whole."""
    about: str
    cautions: tuple[str, ...]
    """Those of all its steps."""
    hold: bool
    tables: tuple[SheetTable, ...]
    joints: int
    counts_joints: bool
    counted: str = ""
    """Joints counted in the build; empty while nobody did."""


class SheetMark(Struct, frozen=True, kw_only=True):
    """Where one part sits on a drawn board."""

    name: str
    x: float
    """In mm on paper from the left edge."""
    y: float
    """In mm on paper from the upper edge."""
    below: bool
    """True when the name stands under the cross: its neighbour's stands above."""


class BoardOnPaper(Struct, frozen=True, kw_only=True):
    """One side of a board, drawn; all lengths in mm on paper."""

    name: str
    side: str
    """`front` or `back`; the back is drawn as one sees it."""
    width: float
    height: float
    columns: tuple[tuple[str, float], ...]
    """Letter and middle of each column of zones."""
    rows: tuple[tuple[str, float], ...]
    """Number and middle of each row of zones."""
    across: tuple[float, ...]
    """Where columns meet."""
    down: tuple[float, ...]
    """Where rows meet."""
    marks: tuple[SheetMark, ...]


class StageSheet(Struct, frozen=True, kw_only=True):
    """All stages of a kit, to be ticked with a pen."""

    kit: str
    """Title."""
    maker: str
    procedure: str
    hazards: tuple[str, ...]
    errata: tuple[str, ...]
    remarks: tuple[str, ...]
    stages: tuple[StageOnPaper, ...]
    boards: tuple[BoardOnPaper, ...]
    joints: int
    parts: str
    """How many parts, in words."""
    not_all: str = NOT_ALL
    builder: str = ""
    """In a class: whose page it is."""
    taught: bool = False
    """True in a class: the teacher signs each hold point, and results are noted to be typed in."""
    sheet: str = "stages"


# -- labels -------------------------------------------------------------------------------------
class Label(Struct, frozen=True, kw_only=True):
    """One label for a bag or a strip of parts."""

    value: str
    kind: str
    about: tuple[str, ...]
    kit: str
    amount: int
    places: tuple[str, ...]
    """Board and designators."""
    strips: tuple[Strip, ...] = ()
    printed: str = ""
    measurable: bool = False
    """True where a meter can tell what it is."""
    measured: tuple[str, ...] = ()
    """Readings taken ahead."""
    remarks: tuple[str, ...] = ()
    """Missing, replaced, a reading that does not fit."""


class LabelSheet(Struct, frozen=True, kw_only=True):
    """Labels to cut apart, kit by kit."""

    kits: tuple[str, ...]
    labels: tuple[Label, ...]
    sheet: str = "labels"


class FittedLabel(Struct, frozen=True, kw_only=True):
    """A label of an adhesive sheet, with as much on it as fits; texts that do not are empty."""

    value: str
    amount: str
    head: int
    """Size of the value, in points."""
    warnings: tuple[str, ...]
    places: tuple[str, ...]
    kind: str
    strips: tuple[Strip, ...]
    printed: str
    measurable: bool
    measured: tuple[str, ...]
    kit: str
    slot: int = 0
    """Its place on the sheet, from 0; see `LabelPages.slots`."""


class LabelPage(Struct, frozen=True, kw_only=True):
    """One adhesive sheet."""

    labels: tuple[FittedLabel, ...]


class LabelPages(Struct, frozen=True, kw_only=True):
    """Labels on adhesive sheets; lengths in mm."""

    kits: tuple[str, ...]
    paper: str
    wide: float
    high: float
    width: float
    height: float
    beside: float
    """Free inside a label's left and right edge."""
    above: float
    """Free inside its top and bottom edge."""
    size: int
    """Of the text, in points."""
    heads: tuple[int, ...]
    """Every size that a value may have, in points."""
    slots: tuple[tuple[float, float], ...]
    """Left and top of each place, from the paper's edges."""
    pages: tuple[LabelPage, ...]
    sheet: str = "label-pages"


# -- letters ------------------------------------------------------------------------------------
class SheetBlock(Struct, frozen=True, kw_only=True):
    """A headline of a letter with what stands under it."""

    title: str
    lines: tuple[tuple[bool, str], ...] = ()
    """Lines of text, each with True for an item of a list."""
    head: tuple[str, ...] = ()
    """Column heads of a table."""
    tick: str = ""
    """Head of a column of boxes to tick, empty for none."""
    rows: tuple[tuple[str, ...], ...] = ()


class Letter(Struct, frozen=True, kw_only=True):
    """The help request or the shortage list."""

    title: str
    kit: str
    blocks: tuple[SheetBlock, ...]
    sheet: str = "letter"


Sheet = ProcedureSheet | StageSheet | LabelSheet | LabelPages | Letter
