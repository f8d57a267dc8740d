"""The bench: the step at work, one key for each action."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.screen import ModalScreen

from bench.errors import SoldersideError
from bench.log.clock import spell
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.view import StepView
from bench.tui.screens.ask import Choose
from bench.tui.screens.close import ask_close
from bench.tui.screens.timed import TimedPlace
from bench.tui.widgets.work import Bar, Card, Foot, StageRail
from bench.ui.clock_forms import clock_form
from bench.ui.forms import (
    Form,
    danger_form,
    danger_lines,
    hold_form,
    joints_form,
    pass_form,
    trouble,
    wait_form,
)
from bench.ui.reading_forms import reading_form
from bench.ui.text import clean

WAIT_OVER_SECONDS = 600.0
"""A wait that ended longer ago than this is no news."""
WIDE, BROAD = 100, 160
"""Columns from which the stage rail stands beside the card, and from which it is broad."""


class WorkScreen(TimedPlace):
    """One build at work."""

    place = "bench"

    def __init__(self, build: Build, welcome: str = "") -> None:
        super().__init__(build)
        self.looking: int | None = None
        self._welcome = welcome
        self._asking = False
        self._all_cautions = ""
        """Key of the step whose cautions are all shown."""
        self._wait_told = 0
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
        self.paint(self._welcome)
        self.set_interval(1.0, self._tick)
        self._begin_timing()
        if not self.build.log.read_only:
            self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        try:
            self.build.opened()
        except SoldersideError as error:
            self.paint(trouble(error))
            return
        if self.build.kit_watch.changes():
            self.do_agree()
        form = clock_form(self.build)
        if form is not None:
            self._fill_in(form)

    def do_agree(self) -> None:
        """What is done and no longer agrees with the kit."""
        from bench.tui.screens.agree import KitChangesScreen

        self.app.push_screen(KitChangesScreen(self.build), lambda _: self.paint())

    def on_resize(self) -> None:
        """The rail stands only where there is room for it."""
        self._set_classes(self.size.width)

    def _set_classes(self, width: int) -> None:
        self.set_class(width >= WIDE, "wide")
        self.set_class(width >= BROAD, "broad")

    @property
    def step_on_screen(self) -> Step | None:
        """The step that the builder is looking at."""
        return self._view.step

    # -- showing --------------------------------------------------------------------------------
    def paint(self, notice: str = "") -> None:
        """Show the build as it stands."""
        view = self._view = self.build.view(self.looking)
        if view.step is None or view.step.key != self._all_cautions:
            self._all_cautions = ""
        elif self._all_cautions:
            view = view.with_all_cautions()
        self._card.show(view, notice or self._standing_notice(view))
        self._bar.show(view)
        self._rail.show(view)
        self._clocks()

    def _standing_notice(self, view: StepView) -> str:
        return f"Reading only: {view.why_read_only}. Nothing you do here is kept." if view.read_only else ""

    def say(self, text: str) -> None:
        """A word at the top of the card."""
        self.paint(text)

    def _clocks(self) -> None:
        step = self.build.next_step
        stage = self.build.timer.stage_seconds((step.stage, step.board)) if step else 0.0
        left = self.build.timer.wait_left()
        self._bar.tick(self.build.timer.bench_seconds(), stage, left, on_break=self.build.progress.on_break)

    @property
    def _is_seen(self) -> bool:
        """True when nothing but a question lies over the bench."""
        stack = self.app.screen_stack
        return self in stack and all(isinstance(above, ModalScreen) for above in stack[stack.index(self) + 1 :])

    def _tick(self) -> None:
        self._tell_wait()
        if self._is_seen:
            self._clocks()
            if not self._ask_gap():
                self._keep_time()

    def _tell_wait(self) -> None:
        """Say once, on screen and by sound, that what was waited for is over."""
        left, wait = self.build.timer.wait_left(), self.build.progress.wait
        if wait is None or left is None or left > 0 or self._wait_told == wait.n:
            return
        self._wait_told = wait.n
        self.bench_app.signals.give("wait over")
        if left > -WAIT_OVER_SECONDS and self._is_seen:
            self.paint(clean(f"Wait over: {wait.about}" if wait.about else "The wait is over.", 200))

    def _ask_gap(self) -> bool:
        """Ask what a long time without a key was; True when the question is up."""
        gap = self.build.timer.gap()
        if not gap or self._asking:
            return self._asking
        self._asking = True
        choices = (("w", "at the bench all the time"), ("b", "a break"))
        self.app.push_screen(Choose(f"No key for {spell(gap)}. What was it?", choices, must=True), self._settle)
        return True

    def _settle(self, answer: str | None) -> None:
        self._asking = False
        gap = self.build.timer.gap()
        word = f"{spell(gap)} counted as " + ("bench time." if answer == "w" else "a break.")
        self._do(lambda: self.build.settle_gap(worked=answer == "w"), word)

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
        if self._ask_danger():
            return
        if self._view.wants_reading and not self._view.held_up_by:
            self.do_reading()
            return
        self._settled(self.build.done)

    def _ask_danger(self) -> bool:
        """Before power goes to something that can kill: who answers for it; True when that is asked."""
        if not self._view.danger or self.build.log.read_only:
            return False
        from bench.tui.screens.danger import DangerScreen

        form = danger_form(self.build)

        self.put(
            DangerScreen(danger_lines(self.build.kit), form),
            lambda answers: self._take(form, answers),
            lambda _: self.paint("Nobody has answered for it: the hold point stays shut."),
        )
        return True

    def do_one(self) -> None:
        """One part of the step is done."""
        if self._ask_gap():
            return
        self._settled(lambda: self.build.done(1))

    def _settled(self, action: Callable[[], object]) -> None:
        self.looking = None
        action()
        self.paint()
        self.bench_app.signals.give("done")
        if self._view.count_for:
            self.do_joints()

    def _not_on_break(self) -> None:
        """Refuse before anything is asked that a break would refuse afterwards; raises SoldersideError."""
        if self.build.progress.on_break:
            raise SoldersideError("you are on a break", "", "end the break first")

    def do_hold(self) -> None:
        """Leave the step for later, with a reason if there is one."""
        self._not_on_break()
        self._fill_in(hold_form(self.build))

    def do_take_up(self) -> None:
        """Put something held back on the bench: the only thing, or one out of a list."""
        held = self.build.progress.held
        if len(held) < 2:
            self._do(self.build.take_up, "Back on the bench.")
            return
        choices = [
            (str(number), clean(f"{each.value} {' '.join(each.refs)} {each.reason}", 80))
            for number, each in enumerate(held[:9], 1)
        ]

        def chosen(key: str | None) -> None:
            if key:
                self._do(lambda: self.build.take_up(held[int(key) - 1].n), "Back on the bench.")

        self.app.push_screen(Choose("Take up which?", choices), chosen)

    def do_pass_hold(self) -> None:
        """Override a hold point, with a reason; a reading that is too close to call takes one key."""
        self._not_on_break()
        if not ask_close(self):
            self._fill_in(pass_form(self.build))

    def do_reading(self) -> None:
        """A value measured here; one within its limits settles the check."""
        self._not_on_break()
        self._fill_in(reading_form(self.build, self.bench_app.keymap))

    def do_meter(self) -> None:
        """Every check with what it should read and what it read."""
        from bench.tui.screens.meter import MeterScreen

        self.app.push_screen(MeterScreen(self.build), lambda _: self.paint())

    def do_wait(self) -> None:
        """Something takes its time."""
        self._fill_in(wait_form(self.build))

    def _take(self, form: Form, answers: tuple[str, ...]) -> None:
        """Record the answers; a reading is heard as well as seen."""
        before = len(self.build.progress.readings)
        super()._take(form, answers)
        new = self.build.progress.readings[before:]
        if new and new[-1].verdict:
            self.bench_app.signals.give("done" if new[-1].verdict == "in" else "out of tolerance")
        if new:
            ask_close(self)

    # -- joints ---------------------------------------------------------------------------------
    def do_joints(self) -> None:
        """Count the joints of the stage just finished."""
        self._fill_in(joints_form(self.build))

    # -- time -----------------------------------------------------------------------------------
    def do_rest(self) -> None:
        """Begin or end a break."""
        if self._ask_gap():
            return
        if self.build.progress.on_break:
            self.build.break_end()
            self.paint("Back at the bench. " + self._where())
        else:
            self.build.break_begin()
            self.paint()

    def _where(self) -> str:
        key = self.bench_app.keymap.key_of("look_back")
        return f"Press {key} to look at the last steps again."

    def do_undo(self) -> None:
        """Take back the last thing recorded."""
        self._writable()
        self.looking = None
        self.paint(clean(f"Taken back: {self.build.undo()}", 200))

    # -- looking about --------------------------------------------------------------------------
    def do_look_back(self) -> None:
        """A few steps back, to look only."""
        here = self.looking if self.looking is not None else self._last_position()
        self.looking = max(0, here - self.bench_app.settings.look_back)
        self.paint()

    def _last_position(self) -> int:
        current = self.build.current
        return len(self.build.outline.steps) if current is None else current

    def do_cautions(self) -> None:
        """All cautions of the step on screen; again: only those not said before."""
        key = self._view.step.key if self._view.step else ""
        self._all_cautions = "" if self._all_cautions == key else key
        self.paint()

    def do_earlier(self) -> None:
        """Look at the step before."""
        here = self.looking if self.looking is not None else self._last_position()
        self.looking = max(0, here - 1)
        self.paint()

    def do_later(self) -> None:
        """Look at the step after."""
        here = self.looking if self.looking is not None else self._last_position()
        ahead = min(here + 1, len(self.build.outline.steps) - 1)
        self.looking = None if ahead == self.build.current or ahead <= here else ahead
        self.paint()

    def do_back(self) -> None:
        """Back to the step at work."""
        self.looking = None
        self.paint()

    def do_up(self) -> None:
        """Scroll a full card up."""
        self._card.scroll_rows(-1)

    def do_down(self) -> None:
        """Scroll a full card down."""
        self._card.scroll_rows(1)

    # -- parts ----------------------------------------------------------------------------------
    def do_bag(self) -> None:
        """Count the bag."""
        from bench.tui.screens.bag import BagScreen

        self.app.push_screen(BagScreen(self.build), lambda _: self.paint())

    def do_fault(self) -> None:
        """Something is out or does not work: where to look."""
        from bench.tui.screens.fault import find_fault

        find_fault(self.app, self.build, self.step_on_screen, self.paint)

    def do_where(self) -> None:
        """Where the parts of the step on screen sit."""
        from bench.session.board_map import where_view
        from bench.tui.screens.board_map import WhereScreen

        view = where_view(self.build.kit, self._view.step, self._view.refs_left)
        self.app.push_screen(WhereScreen(view), lambda _: self.paint())

    def do_trim(self) -> None:
        """Passes and readings of the kit's trims."""
        if not self.build.kit.trims:
            raise SoldersideError("this kit has no trims", "", "")
        from bench.tui.screens.trim import TrimScreen

        self.app.push_screen(TrimScreen(self.build, self._view.step), lambda _: self.paint())

    # -- film -----------------------------------------------------------------------------------
    def do_clap(self) -> None:
        """A mark that the camera hears or sees too."""
        clap = self.build.clap()
        self.bench_app.signals.give("clap")
        from bench.ui.clock_face import clap_words

        self.paint(clap_words(clap))

    def do_camera(self) -> None:
        """Claps, clips, the clock, chapters."""
        from bench.tui.screens.camera import CameraScreen

        self.app.push_screen(CameraScreen(self.build), lambda _: self.paint())

    # -- other places ---------------------------------------------------------------------------
    def do_log(self) -> None:
        """What happened so far."""
        from bench.tui.screens.log import LogScreen

        self.app.push_screen(LogScreen(self.build), lambda _: self.paint())

    def do_shelf(self) -> None:
        """All builds and kits."""
        self.bench_app.to_shelf()

    def do_write(self) -> None:
        """Read the retrospective as it stands, and write it out."""
        from bench.tui.screens.retro import RetroScreen

        self.app.push_screen(RetroScreen(self.build), lambda _: self.paint())

    def do_sheet(self) -> None:
        """Write a page for the printer."""
        self._choose_sheet(lambda what: self.bench_app.write_sheet(self.build, what))
