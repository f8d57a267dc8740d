"""What a maker's list is read into: parts, doubts, and what was skipped."""

from __future__ import annotations

from msgspec import Struct


class ListPart(Struct, frozen=True, kw_only=True):
    """One entry of a maker's list."""

    refs: tuple[str, ...]
    """Designators in the order written, spelling and case kept; empty for a part without any."""
    value_text: str
    """The value as written; empty when the list gives none."""
    quantity: int
    """How many parts: what the list says, else the number of designators, else 1."""
    quantity_text: str = ""
    """The quantity as written, empty when the list gives none."""
    line: int
    """Line (in a spreadsheet: row) of the list where the entry begins, from 1."""
    board: str = ""
    """The board it is on, where the list tells boards apart."""
    section: str = ""
    """The heading above it."""
    description: str = ""
    """What the list says about the part beside its value."""
    package: str = ""
    tolerance: str = ""
    voltage: str = ""
    marking: str = ""
    note: str = ""
    order_number: str = ""
    """What a shop or its maker calls the part."""
    understood: str = ""
    """The value in plain units, such as `4.7 kΩ`; empty when it is no quantity or was not understood."""
    fitted: bool = True
    """False when the list says that the part stays out."""
    optional: bool = False
    """True when the list leaves it to the builder."""
    kind: str = ""
    """The kind that a builder chose for it, a name of `parts.kinds.KINDS`; empty while it is guessed."""


VALUE, MISSING, COUNT, SIDE, CASE, FITTED = "value", "missing", "count", "side", "package", "fitted"
"""What two papers can say differently about a part."""


class OtherPaper(Struct, frozen=True, kw_only=True):
    """What a paper that was laid beside a list says otherwise."""

    name: str
    """The paper, as people know it."""
    what: str
    """`VALUE`, `MISSING` ...: what is different."""
    here: str
    """What the list says; empty where it has no such part."""


class GuideCheck(Struct, frozen=True, kw_only=True):
    """A check that a guide asks for."""

    point: str
    """The hold point it goes to."""
    where: str
    """The place that is measured, or what is looked at where nothing is expected."""
    expect: str = ""
    line: int = 0


class Doubt(Struct, frozen=True, kw_only=True):
    """Something in the list that a person should look at."""

    line: int
    """Line of the list, 0 for the whole file."""
    what: str
    """What is doubtful, in one sentence without a full stop."""
    kind: str = ""
    """`twice`, `two values`, `count`, `gap`, `value`, `no designator`, `repeated`, `boards`,
    `total`, `either`, `code`, `check`, `other paper`; `settled` for what a builder decided; or empty."""
    refs: tuple[str, ...] = ()
    """The designators concerned."""
    there: str = ""
    """The value that another paper, or a code, gives instead."""
    other: OtherPaper | None = None
    """The other paper, of a doubt that comes from one."""
    check: GuideCheck | None = None
    """The check that is offered."""


class Skipped(Struct, frozen=True, kw_only=True):
    """A line that is no part."""

    line: int
    text: str
    """What stands there, shortened."""
    why: str
    """`heading`, `prose`, `rule` ...: why it is no part."""


class ListColumn(Struct, frozen=True, kw_only=True):
    """One column of a list as it was understood."""

    heading: str
    """As written; `column 2` where it has none."""
    role: str
    """`ref`, `value`, `quantity` ...; empty for a column that says nothing about the parts."""
    samples: tuple[str, ...] = ()
    """Its first cells that are not empty."""


class PlacementRecord(Struct, frozen=True, kw_only=True):
    """Where one part sits."""

    ref: str
    x: float
    """In mm, from the file's own origin."""
    y: float
    """In mm; whether it grows upwards is the file's own affair."""
    rotation: float = 0.0
    """In degrees."""
    side: str = "top"
    """`top` or `bottom`."""
    exact: bool = True
    """False for a place that is only known to a few mm, from a label beside the part."""
    joints: int = 0
    """Pads to solder; 0 where the file does not show them."""
    surface: bool = False
    """True where the file shows that all of them are on the surface."""
    nets: tuple[str, ...] = ()
    """Named nets that its pads hang on, in their order."""
    line: int = 0


class PlacementFile(Struct, frozen=True, kw_only=True):
    """A placement file as understood."""

    name: str
    places: tuple[PlacementRecord, ...]
    unit: str
    """The unit of the file's numbers; `mm` when it does not say."""
    has_sides: bool = False
    """True when the file says on which side of the board its parts sit."""
    size: tuple[float, float] | None = None
    """Width and height of the board in mm, its lower left corner at 0, 0; None when no outline is drawn."""
    upwards: bool = False
    """True when it is known that y grows upwards, seen from the front."""
    doubts: tuple[Doubt, ...] = ()


class ListReading(Struct, frozen=True, kw_only=True):
    """A maker's list as it was understood."""

    name: str
    """The file as people know it."""
    title: str = ""
    """What the list calls itself, empty when it does not."""
    parts: tuple[ListPart, ...]
    doubts: tuple[Doubt, ...] = ()
    """In the order of the lines."""
    skipped: tuple[Skipped, ...] = ()
    shopping_list: bool = False
    """True when no entry has a designator."""
    partly: str = ""
    """What it is, where it need not name all parts: `a schematic`; what is missing in it says nothing."""
    why: str
    """How the list was read, and why like this rather than another way."""
    form: str = ""
    """`comma-separated columns`, `Markdown or HTML table` ..."""
    encoding: str = ""
    columns: tuple[tuple[str, str], ...] = ()
    """Heading of each column, and the role it was given."""
    table: tuple[ListColumn, ...] = ()
    """All columns from left to right, those without a role too; empty for a list without columns."""
    again: tuple[ListPart, ...] = ()
    """Entries that repeat others and are not counted."""
    totals: tuple[tuple[int, int], ...] = ()
    """Line and number of each total that the list states."""
    units: tuple[tuple[str, str], ...] = ()
    """The unit of bare numbers, by `ohm`, `farad` or `henry`."""
    source: tuple[str, ...] = ()
    """The list's text, line by line."""
    pages: tuple[int, ...] = ()
    """The page that each line of the text stands on; empty for a file without pages."""
    placement: PlacementFile | None = None
    """Where the parts sit, when the same file says so."""
    checks: tuple[GuideCheck, ...] = ()
    """Checks of a guide that a builder took."""
    errata: tuple[str, ...] = ()
    """What papers say differently, and what a builder chose, each in a sentence."""
    nets: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Each net with its pads (`R1-2`), when the same file has them."""

    @property
    def boards(self) -> tuple[str, ...]:
        """Names of the boards in the order of the list; one empty name when boards are not told apart."""
        return tuple(dict.fromkeys(part.board for part in self.parts)) or ("",)


class SourceRow(Struct, frozen=True, kw_only=True):
    """One row of a candidate table."""

    line: int
    cells: tuple[str, ...]


class SourceTable(Struct, frozen=True, kw_only=True):
    """Rows that belong together in one way of cutting up the file."""

    rows: tuple[SourceRow, ...]
    headed: bool = False
    """True when the form itself makes the first row a header."""
    title: str = ""
    """The heading above the table."""
    roles: tuple[str, ...] = ()
    """The role of each cell, where the way of cutting up settles it."""


class Layout(Struct, frozen=True, kw_only=True):
    """One way of cutting up the file."""

    form: str
    tables: tuple[SourceTable, ...]
    loose: tuple[SourceRow, ...] = ()
    """Lines outside the tables, one cell each."""


class Draft(Struct, frozen=True, kw_only=True):
    """What one layout gives, before the drafts are compared."""

    form: str
    parts: tuple[ListPart, ...]
    doubts: tuple[Doubt, ...] = ()
    skipped: tuple[Skipped, ...] = ()
    columns: tuple[tuple[str, str], ...] = ()
    table: tuple[ListColumn, ...] = ()
    again: tuple[ListPart, ...] = ()
    totals: tuple[tuple[int, int], ...] = ()
    units: tuple[tuple[str, str], ...] = ()
    settled: int = 0
    """Columns whose role a person has settled."""
    score: float = 0.0
