"""What counting the bag shows: a line for each sort of part, in groups by kind; pure, text only."""

from __future__ import annotations

from msgspec import Struct

from bench.parts.designators import shorten
from bench.parts.english import plural
from bench.parts.printed_values import bears_bands
from bench.plan.bag import BagLine
from bench.ui.bands import band_strip, short_strip
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, cut

_STATE, _COUNT, _VALUE, _SHOWS = 11, 4, 12, 37
"""Cells of the columns: how it stands, how many there should be, the value, what the part shows."""
WIDE = 76
"""Cells from which there is room for what the part shows."""


class Counted(Struct, frozen=True, kw_only=True):
    """How one sort of part stands."""

    line: BagLine
    wanted: int
    found: int | None = None
    """None until it is counted."""
    measured: tuple[str, ...] = ()
    wrong: bool = False
    """True when what was measured last is not this value."""

    @property
    def state(self) -> str:
        """In a word or two."""
        if self.wrong:
            return "WRONG VALUE"
        if self.found is None:
            return ""
        off = self.found - self.wanted
        return "all there" if off == 0 else f"{-off} MISSING" if off < 0 else f"{off} too many"

    @property
    def look(self) -> str:
        """What is done is quiet; what is short or wrong is not."""
        if self.wrong:
            return "loud"
        if self.found is None:
            return "plain"
        return "caution" if self.found < self.wanted else "faint"


def group_name(line: BagLine) -> str:
    """The head under which a sort stands.

    >>> group_name(BagLine(kind="resistor", value="1k", tolerance="", voltage="", package="", marking="",
    ...     items=(), places=()))
    'Resistors'
    """
    name = plural(line.kind or "other part")
    return name[:1].upper() + name[1:]


def bag_head(name: str, done: int, of: int, width: int) -> StyledRow:
    """The head of a kind: how many of its sorts are counted, and the names of the columns."""
    count = f"{done} of {of} counted" if done < of else "counted"
    lead = cut(f" {clean(name, 60)} ", max(8, width - len(count) - 2))
    return (
        (lead, "head"),
        ("─" * max(0, width - cells(lead) - len(count) - 2), "faint"),
        (f" {count} ", "faint"),
    )


def bag_row(each: Counted, width: int, *, one_board: bool = False) -> tuple[StyledRow, str]:
    """One sort in a line of `width` cells: how it stands, how many, value, bands or print, where it goes.

    With `one_board` its board is not named.
    """
    line, look = each.line, each.look
    room = _VALUE if width >= WIDE else _VALUE // 2
    value = cut(clean(line.value, 100), room)
    spans: list[tuple[str, str]] = [
        (f"{each.state:<{_STATE}} ", look),
        (f"{each.wanted:>{_COUNT}} x ", look),
        (f"{value:<{room}} ", "value" if look == "plain" else look),
    ]
    if width >= WIDE:
        spans += _shows(line, look)
    named = [("" if one_board else board, shorten(refs)) for board, refs in line.places]
    places = "; ".join(f"{board}: {refs}" if board else refs for board, refs in named)
    read = f"  measured {', '.join(each.measured)}" if each.measured else ""
    spans.append((f" {clean(places, 400)}{clean(read, 100)}", "refs" if look == "plain" else look))
    return tuple(spans), look


def _shows(line: BagLine, look: str) -> StyledRow:
    """The colour bands of a resistor by name, else what is printed on the part or what it is rated for."""
    if bears_bands(line.kind, line.value, line.package) and not line.marking:
        bands = short_strip(line.value, line.tolerance, _SHOWS)
        said = "".join(text for text, _ in bands)
        if said:
            shown = ((said, look),) if look == "faint" else bands
            return (*shown, (" " * (_SHOWS - cells(said)), look))
    printed = f"printed {line.marking}" if line.marking else ""
    said = ", ".join(filter(None, (printed, line.tolerance, line.voltage, line.package)))
    said = cut(clean(said, 100), _SHOWS)
    return ((said + " " * (_SHOWS - cells(said)), look),)


def bands_said(line: BagLine) -> str:
    """The colour bands of a resistor in words; empty for what bears none.

    >>> bands_said(BagLine(kind="resistor", value="4k7", tolerance="5 %", voltage="", package="", marking="",
    ...     items=(), places=()))
    'yellow 4 · violet 7 · red ×100 · gold ±5 %'
    """
    if line.marking or not bears_bands(line.kind, line.value, line.package):
        return ""
    strips = band_strip(line.value, line.tolerance, 200, compact=True)
    return "".join(text for text, _ in strips[0]).strip() if strips else ""
