"""Trims: passes over the octaves with what they say, or readings until one is right."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult

from bench.errors import SoldersideError
from bench.kit.kit import Trim
from bench.plan.plan import Step
from bench.session.adjusting import AdjustView
from bench.session.build import Build
from bench.session.trimmers import is_tracking
from bench.session.trimming import TrackingView
from bench.session.typed_pass import Typed
from bench.tui.screens.ask import Choose
from bench.tui.screens.lists import Word
from bench.tui.screens.trim_pass import PassPlace
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.forms import trouble
from bench.ui.text import clean, cut
from bench.ui.trim_card import lay_trim
from bench.ui.trim_forms import look_at, trim_form


class TrimPane(Lines):
    """One trim, laid out for the room there is."""

    def __init__(self) -> None:
        super().__init__(id="body")
        self._shown: tuple[TrackingView | AdjustView, str, str] | None = None

    def show(self, view: TrackingView | AdjustView, place: str, enter_key: str) -> None:
        """Show a trim from its top."""
        self._shown = view, place, enter_key
        self.scroll_to_row(0)
        self.lay()

    def on_resize(self, event: events.Resize) -> None:
        """Lay it out for the new size."""
        self.lay()

    def lay(self, by: int = 0) -> None:
        """Lay it out, scrolled by so many rows."""
        width, height = self.size.width, self.size.height
        if self._shown is None or not width or not height:
            return
        rows = list(lay_trim(self._shown[0], width, height, *self._shown[1:]))
        self.scroll_to_row(max(0, min(self.top + by, len(rows) - height)))
        below = len(rows) - self.top - height
        if below > 0:
            rows[self.top + height - 1] = ((cut(f"▼ {below + 1} more lines: down", width), "loud"),)
        self.show_rows(rows)


class TrimScreen(PassPlace):
    """One trim at a time."""

    place = "trim"

    def __init__(self, build: Build, step: Step | None = None) -> None:
        super().__init__(build)
        self._trims: tuple[Trim, ...] = build.kit.trims
        self._at = self._first(step)
        self._view: TrackingView | AdjustView = look_at(self.build, self.trim)

    def _first(self, step: Step | None) -> int:
        """The trim of the step, else the first not done."""
        for number, trim in enumerate(self._trims):
            if step is not None and step.action == "adjust" and step.value == trim.name:
                return number
        done = self.build.progress.done
        waiting = (at for at in range(len(self._trims)) if not self._is_done(at, done))
        return next(waiting, 0)

    def _is_done(self, at: int, done: frozenset[str]) -> bool:
        step = self._step_of(self._trims[at])
        return step is None or done.issuperset(step.items)

    def compose(self) -> ComposeResult:
        """A word, the trim, the keys."""
        keymap = self.bench_app.keymap
        yield Word()
        yield TrimPane()
        yield Foot(keymap.foot("trim"), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Show the trim."""
        self.paint()

    # -- showing --------------------------------------------------------------------------------
    @property
    def trim(self) -> Trim:
        """The trim on screen."""
        return self._trims[self._at]

    @property
    def view(self) -> TrackingView | AdjustView:
        """What is on screen."""
        return self._view

    @property
    def step_on_screen(self) -> Step | None:
        """The step of the trim on screen."""
        return self._step_of(self.trim)

    def _step_of(self, trim: Trim) -> Step | None:
        steps = (step for step in self.build.outline.steps if step.action == "adjust")
        return next((step for step in steps if step.value == trim.name), None)

    def paint(self, notice: str = "") -> None:
        """Show the trim as it stands, and a short word."""
        self._view = look_at(self.build, self.trim)
        place = f"trim {self._at + 1} of {len(self._trims)}"
        self.query_one(TrimPane).show(self._view, place, self.bench_app.keymap.key_of("take_pass"))
        self.say(f"{notice} {self._standing()}" if notice and self._view.done else notice or self._standing())

    def _standing(self) -> str:
        if self.build.log.read_only:
            return f"Reading only: {self.build.log.why_read_only}."
        if self._view.done:
            key = self.bench_app.keymap.key_of("trim_done")
            return f"{key}: done, back to the bench." if self._at_work() else "Within the target."
        return "Volts in, hertz out, pass by pass." if is_tracking(self.trim) else "Read, turn, read again."

    def say(self, text: str) -> None:
        """A word above the trim."""
        self.query_one(Word).say(text)

    # -- a pass ---------------------------------------------------------------------------------
    def do_take_pass(self) -> None:
        """Type a pass, or a reading."""
        self._writable()
        if isinstance(self._view, TrackingView):
            self._ask_points(self._view, Typed(points=()))
        else:
            self._ask_reading()

    # -- a reading ------------------------------------------------------------------------------
    def _ask_reading(self) -> None:
        step = self.step_on_screen
        if step is None:
            raise SoldersideError("no step of the plan makes this trim", "", "write what you read as a note")
        self._fill_in(trim_form(self.build, self.trim, step))

    # -- other ----------------------------------------------------------------------------------
    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        self._writable()
        self.paint(clean(f"Taken back: {self.build.undo()}", 200))

    def _at_work(self) -> bool:
        step = self.build.next_step
        return step is not None and step == self.step_on_screen

    def do_trim_done(self) -> None:
        """The step of this trim is done; asked about when the last figures say otherwise."""
        self._writable()
        if not self._at_work():
            raise SoldersideError("this trim is not the step at work", "", "go back to the bench for that")
        if self._view.done or not self._measured():
            self._finish()
            return
        question = f"{self._view.headline} Done all the same?"
        self.app.push_screen(
            Choose(clean(question, 300), (("y", "done all the same"), ("n", "not yet"))),
            lambda key: self._finish() if key == "y" else self.paint(),
        )

    def _measured(self) -> bool:
        """Whether figures say that it is not right."""
        if isinstance(self._view, TrackingView):
            return bool(self._view.passes)
        return bool(self._view.readings) and self._view.readings[-1].answer != ""

    def _finish(self) -> None:
        try:
            self.build.done()
        except SoldersideError as error:
            self.paint(trouble(error))
            return
        self.dismiss(None)

    def do_previous_trim(self) -> None:
        """The kit's trim before this one."""
        self._at = max(0, self._at - 1)
        self.paint()

    def do_next_trim(self) -> None:
        """The kit's trim after this one."""
        self._at = min(len(self._trims) - 1, self._at + 1)
        self.paint()

    def do_up(self) -> None:
        """One row up."""
        self.query_one(TrimPane).lay(-1)

    def do_down(self) -> None:
        """One row down."""
        self.query_one(TrimPane).lay(1)

    def do_page_up(self) -> None:
        """One page up."""
        pane = self.query_one(TrimPane)
        pane.lay(-pane.size.height + 1)

    def do_page_down(self) -> None:
        """One page down."""
        pane = self.query_one(TrimPane)
        pane.lay(pane.size.height - 1)

    def do_back(self) -> None:
        """Back to the bench."""
        self.dismiss(None)
