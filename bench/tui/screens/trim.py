"""Trims: passes over the octaves with what they say, or readings until one is right."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from textual import events
from textual.app import ComposeResult

from bench.errors import SoldersideError
from bench.kit.kit import Trim
from bench.measure.tuning.points import MOST_POINTS
from bench.plan.plan import Step
from bench.session.adjusting import AdjustView
from bench.session.build import Build
from bench.session.trimmers import is_tracking
from bench.session.trimming import TrackingView, check_pass
from bench.session.typed_pass import Typed, read_turns, read_typed
from bench.tui.screens.ask import Ask, Choose
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.screens.lists import Word
from bench.tui.widgets.lines import Lines
from bench.tui.widgets.work import Foot
from bench.ui.forms import Question, trouble
from bench.ui.text import clean, cut
from bench.ui.trim_card import lay_trim
from bench.ui.trim_forms import HINT, kept, look_at, trim_form, turn_question


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
        """Re-layout on resize."""
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


class TrimScreen(BuildScreen):
    """One trim at a time."""

    place = "trim"

    def __init__(self, build: Build, step: Step | None = None) -> None:
        super().__init__(build)
        self._understood: tuple[str, Typed] = ("", Typed(points=()))
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
        self.refresh_view()

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

    def refresh_view(self, notice: str = "") -> None:
        """Show the trim as it stands, and a short word."""
        self._view = look_at(self.build, self.trim)
        place = f"trim {self._at + 1} of {len(self._trims)}"
        self.query_one(TrimPane).show(self._view, place, self.bench_app.keymap.key_of("take_pass"))
        self.show_message(
            f"{notice} {self._standing()}" if notice and self._view.done else notice or self._standing()
        )

    def _standing(self) -> str:
        if self.build.log.read_only:
            return f"Read only: {self.build.log.why_read_only}."
        if self._view.done:
            key = self.bench_app.keymap.key_of("trim_done")
            return f"{key}: done, back to the bench." if self._at_work() else "Within the target."
        return "Volts in, hertz out, pass by pass." if is_tracking(self.trim) else "Read, turn, read again."

    def show_message(self, text: str) -> None:
        """A word above the trim."""
        self.query_one(Word).say(text)

    # -- a pass ---------------------------------------------------------------------------------
    def do_take_pass(self) -> None:
        """Type a pass, or a reading."""
        self.require_writable()
        if isinstance(self._view, TrackingView):
            self._ask_points(self._view, Typed(points=()))
        else:
            self._ask_reading()

    def _ask_points(self, view: TrackingView, typed: Typed, first: Ask | None = None) -> None:
        """Ask for points until all are there; the voltage that comes next stands in the line.

        All points so far stand in the line of the `first` box again until the pass is recorded.
        """
        count = len(typed.points)
        given = f"{_next_volts(view, typed):g} " if count else ""
        question = Question(
            ask=f"{count} typed. The next? Enter alone when that is all." if count else "volts and hertz?",
            hint="Type a voltage again to replace its point." if count else HINT,
            needed=not count,
            given=given,
            wrong=lambda text: self._wrong(text, given, typed, view),
        )
        ask = Ask(f"Pass {len(view.passes) + 1}", [question])
        begun = first or ask

        def answered(answers: tuple[str, ...]) -> None:
            if _is_over(answers[0], given):
                self._ask_turns(view, typed, begun)
                return
            more = self._typed(answers[0])
            whole = _joined(typed, more)
            begun.keep((_line(whole),))
            if (not count and len(more.points) > 1) or len(whole.points) >= MOST_POINTS:
                self._ask_turns(view, whole, begun)
            else:
                self._ask_points(view, whole, begun)

        def given_up(last: Ask) -> None:
            if first is not None:
                first.keep((", ".join(filter(None, (_line(typed), last.typed[0]))),))
                last.forget()
                last.kept = first.kept
            self._given_up(last)

        self.require_writable()
        self.push_ask(ask, answered, given_up)

    def _typed(self, text: str) -> Typed:
        """What a line says; recordings in it are measured once."""
        if self._understood[0] != text:
            self._understood = text, read_typed(text, Path.cwd())
        return self._understood[1]

    def _wrong(self, text: str, given: str, typed: Typed, view: TrackingView) -> str:
        """What is wrong with the points in a line, or with the pass when the line ends it."""
        try:
            over = _is_over(text, given)
            points = typed.points if over else _joined(typed, self._typed(text)).points
            if over or (not typed.points and len(points) > 1) or len(points) >= MOST_POINTS:
                check_pass(points, linear=view.linear)
        except SoldersideError as error:
            return trouble(error)
        return ""

    def _ask_turns(self, view: TrackingView, typed: Typed, first: Ask) -> None:
        """Ask what was turned since the last pass, trimmer by trimmer; the first pass has none before it."""
        if not view.passes:
            self._keep(view, typed, (), first)
            return
        questions = [turn_question(known, view) for known in view.trimmers]

        def answered(answers: tuple[str, ...]) -> None:
            turns = zip(view.trimmers, map(read_turns, answers), strict=True)
            turned = [(known.trimmer.name, turned) for known, turned in turns if turned]
            self._keep(view, typed, turned, first)

        self.ask("Turned since the last pass", questions, answered)

    def _keep(self, view: TrackingView, typed: Typed, turned: Sequence[tuple[str, float]], first: Ask) -> None:
        """Record the pass; raises SoldersideError."""
        pairs = tuple((point.volts, point.hertz) for point in typed.points)
        self.build.tracking_pass(view.trim.name, pairs, tuple(turned))
        first.forget()
        self.refresh_view(kept(typed))

    # -- a reading ------------------------------------------------------------------------------
    def _ask_reading(self) -> None:
        step = self.step_on_screen
        if step is None:
            raise SoldersideError("no step of the plan covers this trim", "", "write the reading as a note")
        self.ask_form(trim_form(self.build, self.trim, step))

    # -- other ----------------------------------------------------------------------------------
    def _at_work(self) -> bool:
        step = self.build.next_step
        return step is not None and step == self.step_on_screen

    def do_trim_done(self) -> None:
        """The step of this trim is done; asked about when the last figures say otherwise."""
        self.require_writable()
        if not self._at_work():
            raise SoldersideError("this trim is not the current step", "", "finish the steps before it first")
        if self._view.done or not self._measured():
            self._finish()
            return
        question = f"{self._view.headline} Done all the same?"
        self.app.push_screen(
            Choose(clean(question, 300), (("y", "done all the same"), ("n", "not yet"))),
            lambda key: self._finish() if key == "y" else self.refresh_view(),
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
            self.refresh_view(trouble(error))
            return
        self.dismiss(None)

    def do_previous_trim(self) -> None:
        """The kit's trim before this one."""
        self._at = max(0, self._at - 1)
        self.refresh_view()

    def do_next_trim(self) -> None:
        """The kit's trim after this one."""
        self._at = min(len(self._trims) - 1, self._at + 1)
        self.refresh_view()

    def do_up(self) -> None:
        """One row up."""
        self.query_one(TrimPane).lay(-1)

    def do_down(self) -> None:
        """One row down."""
        self.query_one(TrimPane).lay(1)

    def do_first(self) -> None:
        """To the top."""
        self.query_one(TrimPane).lay(-10_000)

    def do_last(self) -> None:
        """To the end."""
        self.query_one(TrimPane).lay(10_000)

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


def _line(typed: Typed) -> str:
    """Points as one line to type."""
    return ", ".join(f"{point.volts:g} {point.hertz!r}" for point in typed.points)


def _joined(typed: Typed, more: Typed) -> Typed:
    """Points typed so far and now; one at a voltage that is there already takes its place."""
    volts = {point.volts for point in more.points}
    kept = tuple(point for point in typed.points if point.volts not in volts)
    return Typed(points=kept + more.points, remarks=typed.remarks + more.remarks)


def _next_volts(view: TrackingView, typed: Typed) -> float:
    """The first voltage of the last pass that is not typed yet, else one volt up."""
    done = {point.volts for point in typed.points}
    before = [point.volts for point in view.passes[-1].points] if view.passes else []
    return next((volts for volts in before if volts not in done), typed.points[-1].volts + 1.0)


def _is_over(text: str, given: str) -> bool:
    """Whether a line ends the pass: empty, or the proposed voltage left as it stood."""
    return not text.strip() or (bool(given) and text.strip() == given.strip())
