"""A pane that shows ready-made rows, painted line by line; the base of every widget here.

It makes its strips itself and keeps them by what stands in them: most rows of a card are those of the card
before, only somewhere else, and a strip costs more to make than to find again.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region, Size
from textual.strip import Strip
from textual.widget import Widget

from bench.tui.themes import BANDS_16, BOLD, ON_GROUND, may_be_bold
from bench.ui.bands import BAND_LOOKS
from bench.ui.big_type import IN_ASCII
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells

MOST_KEPT = 1_000
"""Strips kept by one pane."""


class Lines(Widget):
    """Rows of spans; each span names its look."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._rows: Sequence[StyledRow] = ()
        self._looks: dict[str, Style] = {}
        self._strips: dict[StyledRow, Strip] = {}
        self._laid_for = Size(0, 0)
        self.top = 0
        """First row on screen."""

    def lay_out(self) -> None:
        """Make the rows for the pane's present size; called before it is painted in a new size."""

    def show_rows(self, rows: Sequence[StyledRow]) -> None:
        """Show these rows from now on."""
        before, self._rows = self._rows, rows
        size, top = self.size, self.top
        if self._laid_for != size:
            return
        changed = [
            number
            for number, (old, new) in enumerate(zip_longest(before, rows, fillvalue=()))
            if old != new and 0 <= number - top < size.height
        ]
        if changed:
            self.refresh(*(Region(0, first - top, size.width, many) for first, many in _runs(changed)))

    @property
    def rows(self) -> Sequence[StyledRow]:
        """The rows, also those out of sight."""
        return self._rows

    def scroll_to_row(self, top: int) -> None:
        """Put this row at the top of the pane."""
        if top != self.top:
            self.top = top
            if self._laid_for == self.size:
                self.refresh()

    def notify_style_update(self) -> None:
        """Theme changed: drop cached strips."""
        self._looks.clear()
        self._strips.clear()
        super().notify_style_update()

    def style_of(self, look: str) -> Style:
        """The Rich style of a look, asked of the theme once."""
        style = self._looks.get(look)
        if style is None:
            style = self._looks[look] = self._style(look)
        return style

    def _style(self, look: str) -> Style:
        bold = look in BOLD or look in BAND_LOOKS
        if self.app.no_color:
            return Style(bold=bold, reverse=look in ON_GROUND or look in BAND_LOOKS)
        theme = self.app.current_theme.name
        if look in BAND_LOOKS:
            sixteen = theme.endswith("-16")
            ink, ground = BANDS_16[look.removeprefix("band-")] if sixteen else BAND_LOOKS[look]
            return Style(color=ink, bgcolor=ground, bold=may_be_bold(theme, ink))
        colours = self.app.current_theme.variables
        ink = colours[f"b-{look}"]
        bold = bold and may_be_bold(theme, ink)
        own = Style(color=ink, bgcolor=colours.get(f"b-{look}-ground"), bold=bold)
        return self.rich_style + own

    def render_lines(self, crop: Region) -> list[Strip]:
        """The strips of a part of the pane; none of our panes has a border or padding."""
        if self._laid_for != self.size:
            self._strips.clear()
            self.lay_out()
            self._laid_for = self.size
        strips = [self.render_line(y) for y in crop.line_range]
        if crop.x == 0 and crop.width == self.size.width:
            return strips
        return [strip.crop(crop.x, crop.right) for strip in strips]

    def render_line(self, y: int) -> Strip:
        """Row `y` of the pane."""
        position = y + self.top
        row = self._rows[position] if position < len(self._rows) else ()
        strip = self._strips.get(row)
        if strip is None:
            if len(self._strips) > MOST_KEPT:
                self._strips.clear()
            strip = self._strips[row] = self._strip(row)
        return strip

    def _strip(self, row: StyledRow) -> Strip:
        width = self._laid_for.width
        signs = IN_ASCII if getattr(self.app, "in_ascii", False) else {}
        segments = [Segment(text.translate(signs), self.style_of(look)) for text, look in row if text]
        used = sum(cells(text) for text, _ in row)
        if used < width:
            segments.append(Segment(" " * (width - used), self.style_of("plain")))
        strip = Strip(segments, max(used, width))
        return strip.crop(0, width) if used > width else strip


def _runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """Rising numbers as runs without a gap: the first of each, and how many.

    >>> _runs([1, 2, 3, 7, 9, 10])
    [(1, 3), (7, 1), (9, 2)]
    """
    runs: list[tuple[int, int]] = []
    for number in numbers:
        if runs and number == sum(runs[-1]):
            runs[-1] = runs[-1][0], runs[-1][1] + 1
        else:
            runs.append((number, 1))
    return runs
