"""Where it sits: the board with the places of the parts that come next."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult

from bench.session.board_map import WhereView
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.board_map import lay_map
from bench.ui.text import cut


class MapPane(Lines):
    """The map, laid out for the room there is."""

    def __init__(self, view: WhereView) -> None:
        super().__init__(id="body")
        self._view = view

    def on_resize(self, event: events.Resize) -> None:
        """Re-layout on resize."""
        self.lay()

    def lay(self, by: int = 0) -> None:
        """Lay it out, scrolled by so many rows."""
        width, height = self.size.width, self.size.height
        if not width or not height:
            return
        rows = list(lay_map(self._view, width, height))
        self.scroll_to_row(max(0, min(self.top + by, len(rows) - height)))
        below = len(rows) - self.top - height
        if below > 0:
            rows[self.top + height - 1] = ((cut(f"▼ {below + 1} more lines: down", width), "loud"),)
        self.show_rows(rows)


class WhereScreen(CommandScreen):
    """A board with marks where the parts of one step sit."""

    place = "map"

    def __init__(self, view: WhereView) -> None:
        super().__init__()
        self._view = view

    def compose(self) -> ComposeResult:
        """The map over the keys."""
        keymap = self.bench_app.keymap
        yield MapPane(self._view)
        yield Foot(keymap.foot("map"), (keymap.key_of("help"), "all keys"))

    def do_step(self) -> None:
        """Back to the bench by the key that led here."""
        self.do_back()

    def do_back(self) -> None:
        """Back to the bench."""
        self.dismiss(None)

    def do_up(self) -> None:
        """One row up."""
        self.query_one(MapPane).lay(-1)

    def do_down(self) -> None:
        """One row down."""
        self.query_one(MapPane).lay(1)
