"""The log: what happened, newest last; take back and correct."""

from __future__ import annotations

from bench.errors import SoldersideError
from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.log.event_text import describe
from bench.session.build import Build
from bench.session.take_back import take_back_or_restore
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import ListingScreen, Spans
from bench.ui.forms import damage
from bench.ui.text import clean
from bench.writeup.moments import Calendar
from bench.writeup.sittings import turns_by_event


class LogScreen(ListingScreen, BuildScreen):
    """All events of a build."""

    place = "log"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._events: list[ev.AnyEvent] = []
        self._damage: list[str] = []

    def on_mount(self) -> None:
        """Show the log, at its end."""
        self._fill()
        zone = Calendar().zone_names(event.at for event in self.build.events)
        self.show_message(f"The log, oldest first, times in {zone}. Nothing is ever erased.", standing=True)

    def refresh_view(self, notice: str = "") -> None:
        """Show the log as it stands; the cursor stays on its line."""
        self._fill(self.pane.chosen)
        if notice:
            self.show_message(notice)

    def _fill(self, chosen: int | None = None) -> None:
        events = self.build.events
        gone = undone(events)
        self._events = with_corrections(events, gone)
        calendar, lines = Calendar(), []
        turns = turns_by_event(event for event in self._events if event.n not in gone)
        for event in self._events:
            mark = "undone: " if event.n in gone else ""
            place = f"   [{_place(event)}]" if event.stage else ""
            when = calendar.when(event.at)
            begins = f"   > {turns[event.n]}" if event.n in turns else ""
            text = clean(f"{event.n:>4}  {when.day} {when.time}  {mark}{describe(event)}{place}{begins}", 600)
            lines.append((text, "faint" if mark or ev.tag_of(event) in ev.BOOKKEEPING else "plain"))
        self._damage = damage(self.build)
        lines += [(clean(f"   !  {said}", 600), "caution") for said in self._damage]
        self.pane.show(lines, len(lines) - 1 if chosen is None else chosen)
        self.call_after_refresh(lambda: self.pane.choose(self.pane.chosen))

    def about_line(self, line: int) -> Spans:
        """One event in full."""
        if line >= len(self._events):
            damage = self._damage[line - len(self._events) :]
            return [(damage[0], "caution")] if damage else []
        event = self._events[line]
        spans: Spans = [(clean(describe(event), 2000), "value")]
        if event.stage:
            spans.append((clean(f"At: {_place(event)}", 300), "plain"))
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


def _place(event: ev.AnyEvent) -> str:
    return f"{event.stage} · {event.board}" if event.board else event.stage
