"""Every key of a place: found by typing, and what it does can be done from here."""

from __future__ import annotations

from bench.parts.advice import NOT_ALL
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.screens.lists import ListLine, SearchedScreen, Spans
from bench.ui.commands import TITLES, Command, in_order
from bench.ui.text import wrap

CAUTIONS = (
    "The iron burns, flux fumes irritate, solder splashes, clipped leads fly, and leaded solder is "
    "toxic: use the stand, ventilation and glasses, and wash your hands. "
    "Never solder to a lithium cell or short one. Volume at zero before the first power. "
    "Mains and charged capacitors kill: local rules and licensed practice come first.",
    NOT_ALL,
)


WIDE = 60
"""Cells from which a line says what its command does; else the pane below it does."""


class KeysScreen(SearchedScreen):
    """The commands of the screen below, one a line, and the usual cautions."""

    place = "keys"
    detailed = True
    wanted: Command | None = None
    """What is to be done, once a line was chosen."""

    def __init__(self, asker: CommandScreen) -> None:
        super().__init__()
        self._asker = asker
        self._found = list(in_order(asker.place))

    def on_mount(self) -> None:
        """Show all of them."""
        self.show_found()

    def on_resize(self) -> None:
        """The cautions wrapped for the new width."""
        self.show_found()

    def standing_word(self) -> str:
        """What the place is."""
        find = self.bench_app.keymap.key_of("seek")
        return f"Keys: {TITLES[self._asker.place]}. {find} finds one by typing. Enter does it."

    def show_found(self) -> None:
        """The commands that hold what is sought."""
        keys_of, every = self.bench_app.keymap.keys_of, in_order(self._asker.place)
        width = self.app.size.width - 3
        self._found, lines = [], list[ListLine]()
        for each in every:
            keys = " or ".join(keys_of(each.name))
            if self.holds(f"{keys} {each.label}: {each.help}".casefold()):
                self._found.append(each)
                helped = f"  {each.help}" if width >= WIDE else ""
                lines.append((((f"{keys:<15}", "key"), (f"{each.label:<17}{helped}", "plain")), "plain"))
        found = len(lines)
        if not self.sought:
            lines += [(row, "caution") for text in CAUTIONS for row in wrap(text, width)]
        self.show_message(self.found_word(found, len(every)), standing=True)
        self.pane.show(lines)

    def about_line(self, line: int) -> Spans:
        """What the command does, in full."""
        if line >= len(self._found):
            return [('Keys can be changed in settings.toml, in a table [keys]: done = "f5".', "faint")]
        return [(self._found[line].help, "plain"), (f"In settings: {self._found[line].name}", "faint")]

    def do_carry_out_line(self) -> None:
        """Back to the screen below, and do there what the line says."""
        if self.pane.chosen < len(self._found):
            self.wanted = self._found[self.pane.chosen]
            self.dismiss(None)  # the screen below goes on, so that answers to what it asks reach it
