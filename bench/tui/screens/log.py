"""The log: what happened, newest last; take back and correct."""

from __future__ import annotations

import msgspec

from bench.errors import SoldersideError
from bench.log import events as ev
from bench.log.amend import undone, with_corrections
from bench.log.event_text import describe
from bench.session.build import Build
from bench.tui.screens.build_screen import BuildPlace
from bench.tui.screens.lists import ListPlace, Spans
from bench.ui.forms import Question, damage
from bench.ui.text import clean


class LogScreen(ListPlace, BuildPlace):
    """All events of a build."""

    place = "log"
    detailed = True

    def __init__(self, build: Build) -> None:
        super().__init__(build)
        self._events: list[ev.AnyEvent] = []
        self._damage: list[str] = []

    def on_mount(self) -> None:
        """Show the log, at its end."""
        self._fill(at_end=True)
        self.say("The log, oldest first, times in UTC. Nothing in it is ever erased.", standing=True)

    def _fill(self, *, at_end: bool = False) -> None:
        events = self.build.events
        gone = undone(events)
        self._events = with_corrections(events, gone)
        lines = []
        for event in self._events:
            mark = "taken back: " if event.n in gone else ""
            place = f"   [{_place(event)}]" if event.stage else ""
            when = event.at[:16].replace("T", " ")
            text = clean(f"{event.n:>4}  {when}  {mark}{describe(event)}{place}", 600)
            lines.append((text, "faint" if mark or ev.tag_of(event) in ev.BOOKKEEPING else "plain"))
        self._damage = damage(self.build)
        lines += [(clean(f"   !  {said}", 600), "caution") for said in self._damage]
        self.pane.show(lines, len(lines) - 1 if at_end else None)
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
        can = f"{keys.key_of('correct')} corrects its words" if ev.CORRECTABLE.get(ev.tag_of(event)) else ""
        back = f"{keys.key_of('take_back')} takes it back" if ev.tag_of(event) not in ev.BOOKKEEPING else ""
        words = ", ".join(filter(None, (can, back)))
        return [*spans, (f"{words}.", "faint")] if words else spans

    def _chosen(self) -> ev.AnyEvent:
        if not self._events:
            raise SoldersideError("the log is empty", "", "")
        if self.pane.chosen >= len(self._events):
            raise SoldersideError("this line tells of damage to the log and is no event", "", "choose an event")
        return self._events[self.pane.chosen]

    def do_take_back(self) -> None:
        """Take the chosen event back, or bring it back."""
        event = self._chosen()
        gone = undone(self.build.events)
        if event.n in gone:
            taker = next(
                each
                for each in reversed(self.build.events)
                if isinstance(each, ev.Undone) and each.of == event.n and each.n not in gone
            )
            self.build.undo_event(taker.n)
            self._fill()
            self.say(clean(f"Brought back: {describe(event)}", 300))
            return
        self.build.undo_event(event.n)
        self._fill()
        self.say(clean(f"Taken back: {describe(event)}", 300))

    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        self._writable()
        word = self.build.undo()
        self._fill(at_end=True)
        self.say(clean(f"Taken back: {word}", 200))

    def do_correct(self) -> None:
        """Another wording for the texts of the chosen event."""
        event = self._chosen()
        fields = ev.CORRECTABLE.get(ev.tag_of(event), ())
        if not fields:
            raise SoldersideError("this event has no text to correct", "", "take it back instead")
        before = {field: _as_text(getattr(event, field)) for field in fields}
        questions = [Question(ask=f"{field}?", given=before[field], needed=False) for field in fields]

        def corrected(answers: tuple[str, ...]) -> None:
            for field, answer in zip(fields, answers, strict=True):
                if answer.strip() != before[field]:
                    self.build.correct(event.n, field, answer)
            self._fill()

        self._ask("Correct", questions, corrected)


def _place(event: ev.AnyEvent) -> str:
    return f"{event.stage} · {event.board}" if event.board else event.stage


def _as_text(value: object) -> str:
    return f"{value:g}" if isinstance(value, float) else str(msgspec.to_builtins(value))
