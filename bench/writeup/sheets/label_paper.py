"""Sheets of adhesive labels: where each label sits, and how much of what there is to say fits on it. Pure.

The usual sheets are given by their sizes (common practice, no source; from memory); any other one can be.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.writeup.sheets.sheet_model import FittedLabel, Label, LabelPage, LabelPages, LabelSheet, Strip

PAPERS = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height in mm: ISO 216; ANSI/ASME Y14.1 size A (from memory)."""
_SMALLEST = (30.0, 12.0)
"""A label is no smaller than this, in mm."""
_SPEC = re.compile(
    r"(?P<paper>a4|letter) (?P<columns>\d{1,2}) ?x ?(?P<rows>\d{1,2})"
    r" (?P<width>[\d.]{1,8}) ?x ?(?P<height>[\d.]{1,8})(?: ?mm)?"
    r"(?: left (?P<left>[\d.]{1,8}))?(?: top (?P<top>[\d.]{1,8}))?"
    r"(?: gap (?P<across>[\d.]{1,8})(?: ?x ?(?P<down>[\d.]{1,8}))?)?",
    re.IGNORECASE | re.ASCII,
)
EXAMPLE = "A4 3x8 70x37"
_PAD = 1.5
_UNPRINTED = 4.5
"""mm along the paper's edge that printers leave free (common practice, no source)."""


class LabelPaper(Struct, frozen=True, kw_only=True):
    """A sheet of labels; all lengths in mm."""

    paper: str
    """Of `PAPERS`."""
    columns: int
    rows: int
    width: float
    height: float
    left: float
    """From the paper's edge to the first label."""
    top: float
    across: float = 0.0
    """Gap between two columns."""
    down: float = 0.0
    """Gap between two rows."""

    @property
    def many(self) -> int:
        """Labels on a sheet."""
        return self.columns * self.rows

    @property
    def beside(self) -> float:
        """mm inside a label's left and right edge that stay free: printers leave the paper's own edge free."""
        return max(_PAD, _UNPRINTED - self.left)

    @property
    def above(self) -> float:
        """The same inside its top and bottom edge."""
        return max(_PAD, _UNPRINTED - self.top)

    @property
    def size(self) -> int:
        """Of the text on a label, in points."""
        room = self.height - 2 * self.above
        return 8 if room >= 27 else 7 if room >= 18 else 6

    def place(self, at: int) -> tuple[float, float]:
        """Left and top of a label, from 0, row by row."""
        row, column = divmod(at, self.columns)
        return (
            round(self.left + column * (self.width + self.across), 2),
            round(self.top + row * (self.height + self.down), 2),
        )


def _grid(paper: str, columns: int, rows: int, width: float, height: float, **more: float) -> LabelPaper:
    """A sheet of labels, in the middle of the paper where its margins are not given."""
    across, down = more.get("across", 0.0), more.get("down", 0.0)
    wide, high = PAPERS[paper]
    left = more.get("left", (wide - columns * width - (columns - 1) * across) / 2)
    top = more.get("top", (high - rows * height - (rows - 1) * down) / 2)
    return LabelPaper(
        paper=paper, columns=columns, rows=rows, width=width, height=height, left=round(left, 3),
        top=round(top, 3), across=across, down=down,
    )  # fmt: skip


USUAL = {
    "a4-14": _grid("A4", 2, 7, 99.1, 38.1, across=2.5),
    "a4-21": _grid("A4", 3, 7, 63.5, 38.1, across=2.5),
    "a4-24": _grid("A4", 3, 8, 70.0, 37.0),
    "a4-40": _grid("A4", 4, 10, 48.5, 25.4),
    "a4-65": _grid("A4", 5, 13, 38.1, 21.2, across=2.5),
    "letter-10": _grid("letter", 2, 5, 101.6, 50.8, across=4.8),
    "letter-20": _grid("letter", 2, 10, 101.6, 25.4, across=4.8),
    "letter-30": _grid("letter", 3, 10, 66.7, 25.4, across=3.2),
}
"""Paper and labels on a sheet -> the sheet."""


def label_paper(text: str) -> LabelPaper:
    """A sheet by its name in `USUAL`, or in words. Raises SoldersideError.

    >>> label_paper("A4 3x8 70x37").place(4)
    (70.0, 37.5)
    >>> label_paper("letter 2x5 101.6x50.8 left 4 top 12.7 gap 4.8").across
    4.8
    """
    known = USUAL.get(text.strip().casefold())
    if known is not None:
        return known
    hint = f"write {', '.join(USUAL)}, or sizes in mm such as: {EXAMPLE} left 0 top 0.5 gap 0x0"
    found = _SPEC.fullmatch(" ".join(text.split()))
    if found is None:
        raise SoldersideError(f"{text!r} is no sheet of labels", "", hint)
    try:
        sizes = {name: float(value) for name, value in found.groupdict().items() if value and name != "paper"}
    except ValueError:
        raise SoldersideError(f"{text!r} has a length that is not a number", "", hint) from None
    paper = "A4" if found["paper"].casefold() == "a4" else "letter"
    columns, rows = int(sizes.pop("columns")), int(sizes.pop("rows"))
    made = _grid(paper, columns, rows, sizes.pop("width"), sizes.pop("height"), **sizes)
    _refuse_unfit(made, text)
    return made


def _refuse_unfit(made: LabelPaper, text: str) -> None:
    """Raise SoldersideError for labels that are too small, or that the paper cannot hold."""
    wide, high = PAPERS[made.paper]
    if made.many < 1 or made.width < _SMALLEST[0] or made.height < _SMALLEST[1]:
        raise SoldersideError(
            f"{text!r}: a label is {_SMALLEST[0]:g} x {_SMALLEST[1]:g} mm at least", "", "use larger labels"
        )
    right = made.left + made.columns * made.width + (made.columns - 1) * made.across
    bottom = made.top + made.rows * made.height + (made.rows - 1) * made.down
    if made.left < 0 or made.top < 0 or right > wide + 0.5 or bottom > high + 0.5:
        raise SoldersideError(
            f"{text!r}: the labels do not fit on {made.paper}, {wide:g} x {high:g} mm",
            "",
            "check sizes and gaps",
        )


def label_pages(sheet: LabelSheet, paper: LabelPaper, first: int = 1) -> LabelPages:
    """The labels on sheets; the first `first` - 1 labels of the first sheet are gone already."""
    fitted = [fit(label, paper) for label in sheet.labels]
    start = max(0, first - 1) % paper.many
    pages: list[LabelPage] = []
    while fitted or not pages:
        here, fitted = fitted[: paper.many - start], fitted[paper.many - start :]
        pages.append(LabelPage(labels=tuple(replace(label, slot=at) for at, label in enumerate(here, start))))
        start = 0
    wide, high = PAPERS[paper.paper]
    return LabelPages(
        kits=sheet.kits, paper=paper.paper, wide=wide, high=high, width=paper.width, height=paper.height,
        beside=paper.beside, above=paper.above, size=paper.size, heads=_HEADS,
        slots=tuple(map(paper.place, range(paper.many))), pages=tuple(pages),
    )  # fmt: skip


# -- what fits on a label ----------------------------------------------------------------------------
_POINT = 0.3528
"""mm."""
_WIDE = 0.58
"""Width of a character in its size: figures and capitals of a plain face (from memory)."""
_LEADING = 1.2
_BANDS = 13.6
"""mm of height that drawn bands take."""
_HEADS = (12, 11, 10, 9, 8, 7)
"""Sizes of a value, in points: the largest that leaves it on one line."""


class _Room:
    """What is left of a label's height."""

    def __init__(self, width: float, height: float, size: float) -> None:
        self.columns = max(8, int(width / (size * _POINT * _WIDE)))
        self.line = size * _POINT * _LEADING
        self.left = height

    def take(self, text: str, *, whole: bool = False) -> str:
        """As much of a text as there is room for, by the word; `whole`: all of it or nothing."""
        lines = textwrap.wrap(text, self.columns, break_on_hyphens=False)
        most = int(self.left / self.line + 1e-6)
        if not lines or most < 1 or (whole and len(lines) > most):
            return ""
        if len(lines) > most:
            lines = textwrap.wrap(text, self.columns, max_lines=most, placeholder=" …", break_on_hyphens=False)
        self.left -= len(lines) * self.line
        return " ".join(lines)

    def warn(self, text: str) -> str:
        """A warning: all of it, else its first sentence, else as much as fits."""
        first = text.partition(". ")[0]
        return self.take(text, whole=True) or self.take(first, whole=True) or self.take(text)


def fit(label: Label, paper: LabelPaper) -> FittedLabel:
    """A label with what fits, in the order of need: value, warnings, places, kind, bands or print, reading.

    The value and how many there are always stand there; what else does not fit is left out or ends in an
    ellipsis.
    """
    width, height = paper.width - 2 * paper.beside, paper.height - 2 * paper.above
    size = paper.size
    amount = f"{label.amount} ×" if label.kit else f"{label.amount} parts"
    room = _Room(width, height, size)
    wide = width - (len(amount) + 2) * size * _POINT * _WIDE
    largest = 12 if height >= 18 else 10
    head = next(
        (each for each in _HEADS if each <= largest and len(label.value) * each * _POINT * _WIDE <= wide), 7
    )
    most = height if label.kit else max(height / 2, head * _POINT * _LEADING)
    value = _Room(wide, most, head)
    shown = value.take(label.value) or label.value
    room.left -= most - value.left
    warnings = tuple(filter(None, map(room.warn, label.remarks)))
    places = tuple(filter(None, map(room.take, label.places)))
    kind = room.take(", ".join(filter(None, (label.kind, *label.about))))
    strips = _drawn(label.strips, width, room)
    words = "" if strips else "; ".join(map(_in_words, label.strips))
    printed = room.take(label.printed or words, whole=True)
    reading = f"measured {', '.join(label.measured) or '_' * 12}" if label.measurable else ""
    measured = room.take(reading, whole=True)
    return FittedLabel(
        value=shown, amount=amount, head=head, warnings=warnings, places=places, kind=kind,
        strips=strips, printed=printed, measurable=bool(measured), measured=label.measured,
        kit=room.take(label.kit, whole=True),
    )  # fmt: skip


def _in_words(strip: Strip) -> str:
    return f"{strip.condition} {', '.join(each.name for each in strip.stripes)}".strip()


def _drawn(strips: Sequence[Strip], width: float, room: _Room) -> tuple[Strip, ...]:
    """The bands as drawings, where there is room for all of them."""
    needs = sum(_BANDS + room.line * bool(each.condition or each.link) for each in strips)
    if needs > room.left or any(each.length > width for each in strips):
        return ()
    room.left -= needs
    return tuple(strips)
