"""The bench: the step at work, one key for each action."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal

from bench.build.session import Build
from bench.build.view import BenchView
from bench.errors import BenchError
from bench.log.clock import spell
from bench.plan.model import Step
from bench.tui.blocks import GLYPHS
from bench.tui.commands import Keymap
from bench.tui.screens.ask import Choose, Question, a_count
from bench.tui.screens.place import trouble
from bench.tui.screens.words import WordPlace
from bench.tui.text import clean
from bench.tui.widgets.bench import Bar, Card, Foot, Rail

if TYPE_CHECKING:
    from bench.measure.verdict import Verdict

WIDE = 100
"""Columns from which the stage rail stands beside the card."""


class BenchScreen(WordPlace):
    """One build at work."""

    place = "bench"

    def __init__(self, build: Build, welcome: str = "") -> None:
        super().__init__(build)
        self.looking: int | None = None
        self._welcome = welcome
        self._asking = False
        self._view: BenchView = build.view()

    def compose(self) -> ComposeResult:
        """Bar, card with rail, foot."""
        keymap = self.bench_app.keymap
        self.set_class(self.app.size.width >= WIDE, "wide")
        yield Bar()
        with Horizontal(id="middle"):
            yield Card()
            yield Rail()
        yield Foot(keymap.foot("bench"), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Show the build; once it is on screen the clock runs."""
        self._bar, self._card, self._rail = self.query_one(Bar), self.query_one(Card), self.query_one(Rail)
        self.paint(self._welcome)
        self.set_interval(1.0, self._tick)
        if not self.build.log.read_only:
            self.call_after_refresh(self._begin)

    def _begin(self) -> None:
        try:
            self.build.opened()
        except BenchError as error:
            self.paint(trouble(error))

    def on_resize(self) -> None:
        """The rail stands only where there is room for it."""
        self.set_class(self.size.width >= WIDE, "wide")

    @property
    def step_on_screen(self) -> Step | None:
        """The step that the builder is looking at."""
        return self._view.step

    # -- showing --------------------------------------------------------------------------------
    def paint(self, notice: str = "") -> None:
        """Show the build as it stands."""
        view = self._view = self.build.view(self.looking)
        self._card.show(view, notice or self._standing_notice(view))
        self._bar.show(view)
        self._rail.show(view)
        self._clocks()

    def _standing_notice(self, view: BenchView) -> str:
        return f"Reading only: {view.why_read_only}. Nothing you do here is kept." if view.read_only else ""

    def say(self, text: str) -> None:
        """A word at the top of the card."""
        self.paint(text)

    def _clocks(self) -> None:
        step = self.build.next_step
        stage = self.build.stage_seconds((step.stage, step.board)) if step else 0.0
        self._bar.tick(self.build.bench_seconds(), stage, on_break=self.build.progress.on_break)

    def _tick(self) -> None:
        if self.is_current:
            self._clocks()
            self._ask_gap()

    def _ask_gap(self) -> bool:
        """Ask what a long time without a key was; True when the question is up."""
        gap = self.build.gap()
        if not gap or self._asking:
            return self._asking
        self._asking = True
        choices = (("w", "at the bench all the time"), ("b", "a break"))
        self.app.push_screen(Choose(f"No key for {spell(gap)}. What was it?", choices, must=True), self._settle)
        return True

    def _settle(self, answer: str | None) -> None:
        self._asking = False
        gap = self.build.gap()
        word = f"{spell(gap)} counted as " + ("bench time." if answer == "w" else "a break.")
        self._do(lambda: self.build.settle_gap(worked=answer == "w"), word)

    # -- the step at work -----------------------------------------------------------------------
    def do_done(self) -> None:
        """Done; while looking at another step, on to the next one."""
        if self.looking is not None:
            self.do_later()
            return
        if self._ask_gap() or self._ask_danger():
            return
        if self._view.wants_reading and not self._view.held_up_by:
            self.do_reading()
            return
        self._settled(self.build.done)

    def _ask_danger(self) -> bool:
        """Before power goes to something that can kill: who answers for it; True when that is asked."""
        if not self._view.danger or self.build.log.read_only:
            return False
        from bench.tui.screens.danger import Danger

        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is None:
                self.paint("Nobody has answered for it: the hold point stays shut.")
            else:
                self._do(lambda: self.build.own_danger(answers[0]), "Recorded. Now the checks, one by one.")

        self.app.push_screen(Danger(self._view.danger), answered)
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
        if self._view.count_for:
            self._count(self._view.count_for)

    def do_hold(self) -> None:
        """Leave the step for later, with a reason if there is one."""
        step = self.build.next_step
        what = clean(step.value, 60) if step else ""
        self._ask(
            f"Hold back {what}",
            [Question(ask="why?", hint="May be left empty.", needed=False)],
            lambda answers: self._do(lambda: self.build.hold_back(answers[0]), f"Held back: {what}."),
        )

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
        """Past a hold point, with a reason."""
        stage = self._view.stage
        if stage is None or not stage.hold:
            raise BenchError("this is no hold point", "", "")
        self._ask(
            "Go past the hold point although something is not settled",
            [Question(ask="why?", hint="It stands in the log and in the retrospective.")],
            lambda answers: self._do(lambda: self.build.pass_hold(answers[0]), "Recorded with your reason."),
        )

    def do_reading(self) -> None:
        """A value measured here; one within its limits settles the check."""
        step = self.build.next_step
        what = clean(step.value, 60) if step else ""
        expect = f"Expect {clean(step.expect, 60)}." if step and step.expect else "Such as 4k69, -11.98, OL."
        question = Question(ask="what does the meter show?", hint=expect)
        self._ask(f"Reading at {what}", [question], lambda answers: self._read(answers[0]))

    def _read(self, text: str) -> None:
        asked = self._view.wants_reading
        try:
            verdict = self.build.reading(text)
            if verdict is None:
                self.paint(f"Reading kept: {clean(text, 40)}")
                return
            if verdict.answer == "in" and asked:
                self.build.done()
        except BenchError as error:
            self.paint(trouble(error))
            return
        self.paint(verdict_words(verdict, self.bench_app.keymap))

    def do_meter(self) -> None:
        """Every check with what it should read and what it read."""
        from bench.tui.screens.meter import MeterScreen

        self.app.push_screen(MeterScreen(self.build), lambda _: self.paint())

    # -- joints ---------------------------------------------------------------------------------
    def do_joints(self) -> None:
        """Count the joints of the stage just finished."""
        place = self._view.count_for
        if place is None:
            raise BenchError("no stage waits for its joints to be counted", "", "")
        self._count(place)

    def _count(self, place: tuple[str, str]) -> None:
        name = f"{place[0]}, {place[1]}" if place[1] else place[0]
        question = Question(
            ask=f"{clean(name, 60)} is done. How many joints do you count on it?",
            hint="Count the joints of this stage, not your memory.",
            wrong=a_count,
        )
        self._ask("Joints", [question], self._counted)

    def _counted(self, answers: tuple[str, ...]) -> None:
        counted = int(answers[0])
        try:
            expected, _ = self.build.count_joints(counted)
        except BenchError as error:
            self.paint(trouble(error))
            return
        if counted == expected:
            self.paint(f"{counted} joints, as it should be.")
            return
        off = abs(expected - counted)
        word = f"{off} too few: look for forgotten ones" if counted < expected else f"{off} too many"
        self.paint(f"You counted {counted}, there should be {expected}: {word}. Undo, then count again.")

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

    def do_trim(self) -> None:
        """Passes and readings of the kit's trims."""
        if not self.build.kit.trims:
            raise BenchError("this kit has no trims", "", "")
        from bench.tui.screens.trim import TrimScreen

        self.app.push_screen(TrimScreen(self.build, self._view.step), lambda _: self.paint())

    # -- other places ---------------------------------------------------------------------------
    def do_log(self) -> None:
        """What happened so far."""
        from bench.tui.screens.log import LogScreen

        self.app.push_screen(LogScreen(self.build), lambda _: self.paint())

    def do_shelf(self) -> None:
        """All builds and kits."""
        self.bench_app.to_shelf()

    def do_write(self) -> None:
        """Write the retrospective as it stands."""
        path = self.bench_app.write_retrospective(self.build)
        self.paint(f"Written: {path}")


def verdict_words(verdict: Verdict, keymap: Keymap) -> str:
    """A verdict as the builder needs it: the answer first, then why, then what to do."""
    answer = GLYPHS[verdict.answer]
    words = [f"{answer[:1]} {verdict.words[:1].upper()}{verdict.words[1:]}."]
    if verdict.answer == "too close to call":
        words.append(f"Too close to call: {verdict.guard_words}.")
    if verdict.answer != "in":
        words.append(
            f"{keymap.key_of('reading')} measures again, {keymap.key_of('fault')} looks for the fault, "
            f"{keymap.key_of('pass_hold')} goes past with a reason."
        )
    words += [f"{note[:1].upper()}{note[1:]}." for note in verdict.notes]
    return " ".join(words)
