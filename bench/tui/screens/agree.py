"""What is done and no longer agrees with the kit, line by line, with one key for each answer."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.session.build import Build
from bench.session.done_as import CHANGED, Change
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListingScreen, Spans
from bench.ui.agree_words import NOTHING_LEFT, answers_to, change_words, open_words
from bench.ui.text import clean


class KitChangesScreen(ListingScreen, BuildScreen):
    """One line for each thing that no longer agrees."""

    place = "agree"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._changes: list[tuple[Build, Change]] = []

    def on_mount(self) -> None:
        """Show what no longer agrees."""
        self._fill()
        self.show_message("The kit file has changed. Done, but no longer as it says:", standing=True)

    def refresh_view(self, notice: str = "") -> None:
        """Show what is left, and a short word."""
        self._fill()
        left = f"{len(self._changes)} left." if self._changes else NOTHING_LEFT
        self.show_message(clean(f"{notice.rstrip('.')}. {left}" if notice else left, 300))

    def _fill(self) -> None:
        self._changes = self.build.kit_changes
        self.pane.show(
            [
                (clean(change_words(unit, each), 600), "loud" if each.sort == CHANGED else "caution")
                for unit, each in self._changes
            ]
        )
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def about_line(self, line: int) -> Spans:
        """One change in full, and what can be answered."""
        if line >= len(self._changes):
            return [(NOTHING_LEFT, "plain")]
        (unit, change), keys = self._changes[line], self.bench_app.keymap
        spans: Spans = [(clean(change_words(unit, change), 2000), "value"), (open_words(change), "plain")]
        said = [f"{keys.key_of(name)}: {words}" for name, words in answers_to(change)]
        return [*spans, (". ".join(said) + ".", "faint")]

    def _chosen(self) -> tuple[Build, Change]:
        self.require_writable()
        if not self._changes:
            raise SoldersideError("there is nothing left to answer", "", "Escape goes back to the bench")
        return self._changes[self.pane.chosen]

    def do_right(self) -> None:
        """The chosen line is right as it is."""
        unit, change = self._chosen()
        unit.kit_watch.right_as_it_is(change)
        self.refresh_view(f"Right as built: {change.words}.")

    def do_another(self) -> None:
        """The renamed part is a different part."""
        unit, change = self._chosen()
        unit.kit_watch.another_part(change)
        self.refresh_view(f"Another part: {change.words}.")

    def do_all_agree(self) -> None:
        """All lines are right as they are."""
        self._chosen()
        for unit, change in self._changes:
            unit.kit_watch.right_as_it_is(change)
        self.refresh_view("Everything is right as built.")
