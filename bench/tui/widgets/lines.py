"""A pane that shows ready-made rows, painted line by line; the base of every widget here."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from bench.tui.bands import BAND_LOOKS
from bench.tui.blocks import LOOKS, Row
from bench.tui.text import cells


class Lines(Widget):
    """Rows of spans; each span names its look."""

    COMPONENT_CLASSES = {f"look--{look}" for look in (*LOOKS, "key", "here")}  # noqa: RUF012

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._rows: Sequence[Row] = ()
        self._looks: dict[str, Style] = {}
        self.top = 0
        """First row on screen."""

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show these rows from now on."""
        before, self._rows = self._rows, rows
        changed = [
            number
            for number in range(max(len(before), len(rows)))
            if (before[number] if number < len(before) else ()) != (rows[number] if number < len(rows) else ())
        ]
        if changed:
            width = self.size.width
            self.refresh(*(Region(0, number - self.top, width, 1) for number in changed))

    def scroll_to_row(self, top: int) -> None:
        """Put this row at the top of the pane."""
        if top != self.top:
            self.top = top
            self.refresh()

    def notify_style_update(self) -> None:
        """Colours changed: forget the ones kept."""
        self._looks.clear()
        super().notify_style_update()

    def style_of(self, look: str) -> Style:
        """The Rich style of a look, asked of the theme once."""
        style = self._looks.get(look)
        if style is None:
            if look in BAND_LOOKS:
                ink, ground = BAND_LOOKS[look]
                style = Style(color=ink, bgcolor=ground, bold=True)
            else:
                style = self.get_component_rich_style(f"look--{look}")
            self._looks[look] = style
        return style

    def render_line(self, y: int) -> Strip:
        """Row `y` of the pane."""
        width = self.size.width
        position = y + self.top
        row = self._rows[position] if position < len(self._rows) else ()
        segments = [Segment(text, self.style_of(look)) for text, look in row if text]
        used = sum(cells(text) for text, _ in row)
        ground = self.style_of("plain")
        if used < width:
            segments.append(Segment(" " * (width - used), ground))
        strip = Strip(segments, max(used, width))
        return strip.crop(0, width) if used > width else strip
