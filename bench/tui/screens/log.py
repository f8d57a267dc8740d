"""The log: what happened, newest last; take back and correct."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.session.build import Build
from bench.session.press import take_back_or_restore
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListLine, SearchedScreen, Spans
from bench.ui.forms import damage
from bench.ui.log_card import day_head, log_line, log_rows, place_of
from bench.ui.text import clean
from bench.writeup.moments import Calendar
from bench.writeup.sittings import turns_by_event


class LogScreen(SearchedScreen, BuildScreen):
    """All events of a build, day by day."""

    place = "log"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._events: list[ev.AnyEvent] = []
        self._said: list[str] = []
        """Those on screen."""
        self._damage: list[str] = []

    def on_mount(self) -> None:
        """Show the log, at its end."""
        self._fill()

    def on_resize(self) -> None:
        """Lines for the new width."""
        if self._events:
            self._fill(self.pane.chosen)

    def standing_word(self) -> str:
        """What the place is."""
        zone = Calendar().zone_names(event.at for event in self.build.events)
        return f"The log, oldest first, times in {zone}. Nothing is ever erased."

    def refresh_view(self, notice: str = "") -> None:
        """Show the log as it stands; the cursor stays on its line."""
        self._fill(self.pane.chosen)
        if notice:
            self.show_message(notice)

    def show_found(self) -> None:
        """The events that hold what is sought; the latest of them is chosen."""
        self._fill()

    def _fill(self, chosen: int | None = None) -> None:
        events = self.build.events
        gone = undone(events)
        listed = with_corrections(events, gone)
        turns = turns_by_event(event for event in listed if event.n not in gone)
        rows = log_rows(listed, gone, turns)
        found = [(event, row) for event, row in zip(listed, rows, strict=True) if self.holds(row.words)]
        self._events = [event for event, _ in found]
        self._said = [row.text for _, row in found]
        self._damage = damage(self.build) if not self.sought else []
        wide, heads, day = self.app.size.width - 2, {}, ""
        for number, (_, row) in enumerate(found):
            if row.day != day:
                heads[number] = day_head(row.day, wide + 2)
                day = row.day
        lines: list[ListLine] = [log_line(row, wide) for _, row in found]
        lines += [(clean(f"!  {said}", 600), "caution") for said in self._damage]
        self.show_message(self.found_word(len(found), len(listed)), standing=True)
        self.pane.show(lines, len(lines) - 1 if chosen is None else chosen, heads)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def about_line(self, line: int) -> Spans:
        """One event in full."""
        if line >= len(self._events):
            damage = self._damage[line - len(self._events) :]
            return [(damage[0], "caution")] if damage else []
        event = self._events[line]
        spans: Spans = [(self._said[line], "value")]
        if event.stage:
            spans.append((clean(f"At: {place_of(event)}", 300), "plain"))
        keys = self.bench_app.keymap
        can = f"{keys.key_of('correct')} edits its text" if ev.CORRECTABLE.get(ev.tag_of(event)) else ""
        back = f"{keys.key_of('take_back')} undoes it" if ev.tag_of(event) not in ev.BOOKKEEPING else ""
        words = ", ".join(filter(None, (can, back)))
        return [*spans, (f"{words}.", "faint")] if words else spans

    @property
    def chosen_thing(self) -> ev.AnyEvent:
        """The event on this line."""
        if not self._events:
            raise SoldersideError("the log is empty", "", "")
        if self.pane.chosen >= len(self._events):
            raise SoldersideError("this line reports damage to the log", "", "choose an entry")
        return self._events[self.pane.chosen]

    def do_take_back(self) -> None:
        """Take the chosen event back, or bring it back."""
        self.refresh_view(clean(take_back_or_restore(self.build, self.chosen_thing), 300))
