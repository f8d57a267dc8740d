"""The bench: the step at work, one key for each action."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.screen import ModalScreen
from textual.worker import Worker, WorkerState

from bench.errors import SoldersideError
from bench.log.events import ReadingTaken
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.press import press_done
from bench.session.view import StepView
from bench.session.waits import wait_name
from bench.tui.screens.ask import Ask, choose
from bench.tui.screens.build_screen import BuildScreen
from bench.tui.widgets.work import Bar, Card, Foot, StageRail
from bench.ui.foot import foot_of, idle_at, wanted_of
from bench.ui.forms import Form, trouble
from bench.ui.question_card import about_step, window_title
from bench.ui.rail import rail_columns
from bench.ui.rest_advice import RestWatch

if TYPE_CHECKING:
    from bench.estimate.history import Known
    from bench.session.board_map import WhereView

_LEARNING = "learning the pace"
_FIRST = 0.5
"""Seconds after the first step is on screen from which the pace is learned."""


class WorkScreen(BuildScreen):
    """One build at work."""

    place = "bench"

    def __init__(self, build: Build, welcome: str = "") -> None:
        super().__init__(build)
        self.looking: int | None = None
        self._welcome = welcome
        self._asking = False
        self._all_cautions = ""
        """Key of the step whose cautions are all shown."""
        self._notice = ""
        self._read: int | None = None
        """Readings before the answers that are being recorded."""
        self._ticked, self._ticked_from = 0, -1
        """Events after the last step was done, and before a press that was taken at once."""
        self._view: StepView = build.view()

    def compose(self) -> ComposeResult:
        """Bar, card with rail, foot."""
        keymap = self.bench_app.keymap
        self._set_classes(self.app.size.width)
        yield Bar()
        with Horizontal(id="middle"):
            yield Card(keymap.key_of)
            yield StageRail()
        yield Foot(keymap.foot("bench"), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Show the build; once it is on screen the clock runs."""
        self._bar, self._card, self._rail = self.query_one(Bar), self.query_one(Card), self.query_one(StageRail)
        self._foot = self.query_one(Foot)
        self.refresh_view(self._welcome)
        self.set_interval(1.0, self._tick)
        self._begin_timing()
        if not self.build.log.read_only:
            self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        try:
            self.build.opened()
        except SoldersideError as error:
            self.refresh_view(trouble(error))
            return
        if self.build.kit_changes:
            self.open_place("agree")
        from bench.ui import form_table  # noqa: F401  what keys ask for: loaded once the step is on screen
        from bench.ui.clock_forms import clock_form

        if (form := clock_form(self.build)) is not None:
            self.ask_form(form)

    def on_resize(self) -> None:
        """The rail stands only where there is room for it."""
        self._set_classes(self.size.width)

    def _set_classes(self, width: int) -> None:
        self.set_class(rail_columns(width) > 0, "wide")
        self.set_class(rail_columns(width) > 32, "broad")

    @property
    def step_on_screen(self) -> Step | None:
        """The step that the builder is looking at."""
        return self._view.step

    @property
    def asked_at(self) -> str:
        """The step on screen, as a line over a question."""
        return about_step(self._view)

    rail_width = staticmethod(rail_columns)

    # -- showing --------------------------------------------------------------------------------
    def refresh_view(self, notice: str = "") -> None:
        """Show the build as it stands, or the unit whose turn it is."""
        self.build = self.build.at_work
        view = self._view = self.build.view(self.looking)
        if view.step is None or view.step.key != self._all_cautions:
            self._all_cautions = ""
        elif self._all_cautions:
            view = view.with_all_cautions()
        passed = next((each for each in self._just_read() if each.verdict == "in"), None)
        if passed or (view.verdict and view.step and view.step.action == "check" and self._just_read()):
            notice = ""  # the card says it
        self._notice = notice
        self._card.show(view, notice or self._standing_notice(view), self._where(), passed)
        self._bar.show(view)
        self._rail.show(view)
        wrong = self.build.miscounted is not None
        self._foot.show(foot_of(self.bench_app.keymap, wanted_of(view, miscounted=wrong), idle_at(view)))
        self._clocks()
        self.bench_app.name_window(window_title(view))
        if (voice := self.bench_app.voice) is not None:
            voice.show(view)

    def _where(self) -> WhereView | None:
        """Where the parts of the step on screen sit, where the kit has positions."""
        step = self._view.step
        if step is None or not step.refs or not any(step.zones):
            return None
        from bench.session.board_map import where_view

        with contextlib.suppress(SoldersideError):
            return where_view(self.build.kit, step, self._view.refs_left)
        return None

    def _standing_notice(self, view: StepView) -> str:
        return f"Read only: {view.why_read_only}. Nothing you do here is saved." if view.read_only else ""

    def submit(self, form: Form, answers: tuple[str, ...]) -> None:
        """A reading that settles a check is shown above the next one."""
        self._read = len(self.build.progress.readings)
        try:
            super().submit(form, answers)
        finally:
            self._read = None

    def _just_read(self) -> tuple[ReadingTaken, ...]:
        """The readings that the answers being recorded have brought."""
        return () if self._read is None else self.build.progress.readings[self._read :]

    def show_message(self, text: str) -> None:
        """A word at the top of the card."""
        self.refresh_view(text)

    def add_message(self, text: str) -> None:
        """A word before the one that stands at the top of the card."""
        self.refresh_view(f"{text} {self._notice}".strip())

    def _clocks(self) -> None:
        step = self.build.next_step
        stage = self.build.timer.stage_seconds((step.stage, step.board)) if step else 0.0
        timer = self.build.timer
        waits = [(wait_name(wait), left) for wait, left in timer.waits_left() if left > 0]
        self._bar.tick(timer.bench_seconds(), stage, waits, on_break=self.build.progress.on_break)

    @property
    def _is_seen(self) -> bool:
        """True when only modal dialogs cover this screen."""
        stack = self.app.screen_stack
        return self in stack and all(isinstance(above, ModalScreen) for above in stack[stack.index(self) + 1 :])

    def _tick(self) -> None:
        if self._is_seen:
            self._clocks()
            if (voice := self.bench_app.voice) is not None and (trouble := voice.trouble()):
                self.show_message(trouble)
            if not self._ask_gap():
                self._keep_time()

    def _ask_gap(self) -> bool:
        """Ask what a long time without a key was; True when the question is up."""
        if not self.build.timer.gap():
            return False
        from bench.ui.form_table import gap_choice

        choice = gap_choice(self.build)
        if choice is None or self._asking:
            return self._asking
        self._asking = True

        def answered(key: str | None) -> None:
            self._asking = False
            self.attempt(lambda: self.refresh_view(choice.settle(key or "")))

        self.app.push_screen(choose(choice, must=True), answered)
        return True

    # -- the step at work -----------------------------------------------------------------------
    def do_done(self) -> None:
        """Done; while looking at another step, on to the next one."""
        if self.looking is not None:
            self.do_later()
            return
        if self._ask_gap():
            return
        if self._card.hides:
            self._card.scroll_page()
            return
        if self._view.danger and not self.build.log.read_only:
            from bench.ui.danger_forms import DANGER

            self.ask_form(DANGER.form(self.situation(), None))
        elif self._view.wants_reading and not self._view.held_up_by:
            self.ask_command("reading")
        elif not self._is_odd():
            self._act(lambda: press_done(self.build))

    def _is_odd(self) -> bool:
        """True, with a word, the first time that a step is to be done against its own reading."""
        from bench.ui.reading_forms import odd_words

        word = odd_words(self.situation())
        if word:
            self.refresh_view(word)
        return bool(word)

    def do_one(self) -> None:
        """One part of the step is done."""
        if self._ask_gap() or self._is_odd():
            return
        self._act(lambda: self.build.done(1))

    def only_ticks(self, command: str) -> bool:
        """True for `done` where it leads to the next step of the same stage, and asks for nothing."""
        view = self._view
        asks = view.wants_reading or view.danger or view.held_up_by or self._card.hides
        shows = view.readings or view.at_once
        last = view.step_number >= view.steps_in_stage or self.looking is not None
        self._ticked_from = self.build.entries
        return command == "done" and not (asks or shows or last or self.build.timer.gap())

    def counted_once(self) -> None:
        """Take back the last step: its key was held down."""
        if self._ticked == self._ticked_from + 1 == self.build.entries:
            self.build.undo()
            self.refresh_view("The key was held down: one step counted.")

    def _act(self, action: Callable[[], object]) -> None:
        """Carry out an action that leads to the next step, then have the joints of a finished stage counted."""
        self.looking = None
        done = self.build
        action()
        self._ticked = done.entries
        self.refresh_view()
        self.bench_app.signals.give("done")
        from bench.ui.afterword_forms import finished_word
        from bench.ui.form_table import FORMS

        if done.count_for:
            self.ask_first(FORMS["joints"].ask(self.bench_app.situation(done)))
        elif word := finished_word(done, self.bench_app.keymap.key_of("afterwords")):
            self.refresh_view(word)

    # -- time -----------------------------------------------------------------------------------
    def do_rest(self) -> None:
        """Begin or end a break."""
        if self._ask_gap():
            return
        if self.build.progress.on_break:
            self.build.break_end()
            self.refresh_view("Back at the bench. " + self._look_back_word())
        else:
            self.build.break_begin()
            self.refresh_view()

    def _look_back_word(self) -> str:
        key = self.bench_app.keymap.key_of("look_back")
        return f"{key} shows the last steps again."

    def do_undo(self) -> None:
        """Take back the last thing recorded, and look at the step at work."""
        self.looking = None
        super().do_undo()

    # -- the time left, and rests ------------------------------------------------------------------
    def _begin_timing(self) -> None:
        self._known: Known | None = None
        self._learned_at: tuple[str, str] | None = None
        self._told_events = -1
        self._rest = RestWatch(self.build, self.bench_app.settings)
        self.set_timer(_FIRST, self._learn)

    def _learn(self) -> None:
        """Fit the pace model to all builds in a background thread: at opening and at each new stage."""
        app, step = self.bench_app, self.build.next_step
        self._learned_at = (step.stage, step.board) if step else None

        def learn() -> Known:
            from bench.estimate.history import (
                know,  # and all that it needs: not before the first step is on screen
            )

            return know(app.data, app.settings)

        self.run_worker(learn, name=_LEARNING, thread=True, exclusive=True, exit_on_error=False)

    def on_worker_state_changed(self, event: Worker.StateChanged) -> None:
        """Use the fitted pace model."""
        if event.worker.name == _LEARNING and event.state is WorkerState.SUCCESS:
            known = self._known = event.worker.result
            assert known is not None
            self._told_events = -1
            self.build.equipment.reminders = known.reminders  # on the card from the next step on
            self._keep_time()

    def _keep_time(self) -> None:
        """Once a second: refresh the time remaining after a new event, and suggest a rest when due."""
        build = self.build
        if self._told_events != build.entries:
            self._told_events = build.entries
            if self._known is not None:
                self._tell_time(self._known)
        if self.is_current:
            for word in self._rest.due():
                self.refresh_view(word)

    def _tell_time(self, known: Known) -> None:
        build, step = self.build, self.build.next_step
        if step is not None and (step.stage, step.board) != self._learned_at:
            self._learn()
        from bench.estimate.history import plan_times
        from bench.estimate.hours import about, in_short, in_words

        left = plan_times(build.plan, build.progress, known.learned, build.name, build.others)
        ranges = {place: in_short(each) for place, each in left.stages.items()}
        whole = f"Time left: {in_words(left.module)}, in 8 of 10 cases" if left.stages else ""
        self._rail.show_time(ranges, whole)
        self._bar.left = f"about {about(left.module.likely)} left" if left.stages else ""

    # -- looking about --------------------------------------------------------------------------
    def do_look_back(self) -> None:
        """A few steps back, to look only."""
        here = self.looking if self.looking is not None else self._last_position()
        self.looking = max(0, here - self.bench_app.settings.look_back)
        self.refresh_view()

    def _last_position(self) -> int:
        current = self.build.current
        return len(self.build.outline.steps) if current is None else current

    def do_cautions(self) -> None:
        """All cautions of the step on screen; again: only those not said before."""
        key = self._view.step.key if self._view.step else ""
        self._all_cautions = "" if self._all_cautions == key else key
        self.refresh_view()

    def on_stage_rail_tapped(self, event: StageRail.Tapped) -> None:
        """Look at a stage from its first step on; at the one at work, at its step."""
        outline, current = self.build.outline, self.build.current
        here = None if current is None else outline.stage_of[current]
        self.looking = None if event.number == here else outline.start_of[event.number]
        self.refresh_view()

    def do_earlier(self) -> None:
        """Look at the step before."""
        here = self.looking if self.looking is not None else self._last_position()
        self.looking = max(0, here - 1)
        self.refresh_view()

    def do_later(self) -> None:
        """Look at the step after."""
        here = self.looking if self.looking is not None else self._last_position()
        ahead = min(here + 1, len(self.build.outline.steps) - 1)
        self.looking = None if ahead == self.build.current or ahead <= here else ahead
        self.refresh_view()

    def do_back(self) -> None:
        """Back to the step at work."""
        self.looking = None
        self.refresh_view()

    def do_up(self) -> None:
        """Scroll a full card up."""
        self._card.scroll_rows(-1)

    def do_down(self) -> None:
        """Scroll a full card down."""
        self._card.scroll_rows(1)

    # -- parts ----------------------------------------------------------------------------------
    def do_fault(self) -> None:
        """Something is out or does not work: where to look."""
        from bench.tui.screens.fault import find_fault

        find_fault(self)

    def do_where(self) -> None:
        """Where the parts of the step on screen sit."""
        from bench.session.board_map import where_view
        from bench.tui.screens.board_map import WhereScreen

        view = where_view(self.build.kit, self._view.step, self._view.refs_left)
        self.visit(WhereScreen(view))

    def do_trim(self) -> None:
        """Passes and readings of the kit's trims."""
        if not self.build.kit.trims:
            raise SoldersideError("this kit has no trims", "", "")
        from bench.tui.screens.trim import TrimScreen

        self.visit(TrimScreen(self.build, self._view.step))

    def do_identify(self) -> None:
        """Bands, a marking or a reading: which parts of this kit it can be."""

        def answered(answers: tuple[str, ...]) -> None:
            from bench.measure.identify.match_kit import identify
            from bench.tui.screens.pages import identified_page

            self.visit(identified_page(identify(answers[0], self.build.kit)))

        from bench.ui.reading_forms import identify_question

        ask = Ask("Identify", [identify_question(self.build)])
        self.push_ask(ask, answered, lambda _: self.refresh_view())

    # -- film -----------------------------------------------------------------------------------
    def do_clap(self) -> None:
        """A mark that the camera hears or sees too."""
        clap = self.build.clap()
        self.bench_app.signals.give("clap")
        if self.bench_app.voice is not None:
            self.bench_app.voice.filming()
        from bench.ui.clock_face import clap_words

        self.refresh_view(clap_words(clap))

    def do_say_again(self) -> None:
        """Speak this step once more."""
        if self.bench_app.voice is None:
            from bench.ui.speaker import NO_VOICE

            raise SoldersideError(NO_VOICE[:-1], "", "")
        self.bench_app.voice.again()

    # -- other places ---------------------------------------------------------------------------
    def do_shelf(self) -> None:
        """All builds and kits."""
        self.bench_app.to_shelf()

    def do_print_out(self) -> None:
        """Write a page for the printer."""
        self._choose_sheet(lambda what: self.bench_app.write_sheet(self.build, what))
