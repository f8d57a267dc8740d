"""The bench: the step at work, one key for each action."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import ComposeResult
from textual.containers import Horizontal

from bench.build.session import Build
from bench.build.view import BenchView
from bench.errors import BenchError
from bench.log.clock import spell
from bench.tui.screens.ask import Ask, Choose, Question, a_count, a_number
from bench.tui.screens.place import Place, trouble
from bench.tui.text import clean
from bench.tui.widgets.bench import Bar, Card, Foot, Rail

WIDE = 100
"""Columns from which the stage rail stands beside the card."""


class BenchScreen(Place):
    """One build at work."""

    place = "bench"

    def __init__(self, build: Build, welcome: str = "") -> None:
        super().__init__()
        self.build = build
        self.looking: int | None = None
        self._welcome = welcome
        self._asking = False
        self._view: BenchView = build.view()

    def compose(self) -> ComposeResult:
        """Bar, card with rail, foot."""
        keymap = self.bench_app.keymap
        yield Bar()
        with Horizontal(id="middle"):
            yield Card()
            yield Rail()
        yield Foot(keymap.foot("bench"), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """The build is on screen: the clock runs."""
        self._bar, self._card, self._rail = self.query_one(Bar), self.query_one(Card), self.query_one(Rail)
        notice = self._welcome
        if not self.build.log.read_only:
            try:
                self.build.opened()
            except BenchError as error:
                notice = trouble(error)
        self.paint(notice)
        self.set_interval(1.0, self._tick)

    def on_resize(self) -> None:
        """The rail stands only where there is room for it."""
        self.set_class(self.size.width >= WIDE, "wide")

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

    def _do(self, action: Callable[[], object], word: str = "") -> None:
        """Carry out an action on the build and show what came of it."""
        try:
            action()
        except BenchError as error:
            word = trouble(error)
        self.paint(word)

    def _ask(self, title: str, questions: list[Question], then: Callable[[tuple[str, ...]], None]) -> None:
        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is None:
                self.paint(f"{title}: given up, nothing recorded.")
            else:
                then(answers)

        self._writable()
        self.app.push_screen(Ask(title, questions), answered)

    def _writable(self) -> None:
        if self.build.log.read_only:
            raise BenchError(f"nothing can be recorded: {self.build.log.why_read_only}", "", "")

    # -- the step at work -----------------------------------------------------------------------
    def do_done(self) -> None:
        """Done; while looking at another step, on to the next one."""
        if self.looking is not None:
            self.do_later()
            return
        if self._ask_gap():
            return
        self._settled(self.build.done)

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
        """A value measured here."""
        step = self.build.next_step
        what = clean(step.value, 60) if step else ""
        expect = f"Expect {clean(step.expect, 60)}." if step and step.expect else "Such as 4k69, -11.98, OL."
        self._ask(
            f"Reading at {what}",
            [Question(ask="what does the meter show?", hint=expect)],
            lambda answers: self._do(
                lambda: self.build.reading(answers[0]), f"Reading kept: {clean(answers[0], 40)}"
            ),
        )

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

    # -- words ----------------------------------------------------------------------------------
    def _write_down(self, title: str, mark: str, ask: str) -> None:
        step = self._view.step
        self._ask(
            title,
            [Question(ask=ask, needed=mark != "show")],
            lambda answers: self._do(
                lambda: self.build.note(answers[0] or "worth showing", mark, step), f"{title} kept."
            ),
        )

    def do_note(self) -> None:
        """Write something down."""
        self._write_down("Note", "note", "what?")

    def do_tip(self) -> None:
        """A tip for the next builder."""
        self._write_down("Tip", "tip", "what should the next builder know?")

    def do_show(self) -> None:
        """Mark a moment."""
        self._write_down("Worth showing", "show", "what is to be seen? (may be empty)")

    def do_snag(self) -> None:
        """A problem: what, which part, minutes lost, how mended."""
        step = self._view.step
        refs = " ".join(step.refs) if step and len(step.refs) == 1 else ""
        questions = [
            Question(ask="what is wrong?"),
            Question(ask="which part?", hint="A designator; may be empty.", needed=False, given=refs),
            Question(ask="minutes lost?", hint="A number; may be empty.", needed=False, wrong=a_number),
            Question(ask="how was it mended?", hint="Empty while it is open.", needed=False),
        ]

        def record(answers: tuple[str, ...]) -> None:
            what, part, minutes, fix = answers
            lost = float(minutes.strip().replace(",", ".") or 0)
            word = "Snag kept." if fix.strip() else "Snag kept, still open."
            self._do(lambda: self.build.snag(what, part, lost, fix, step), word)

        self._ask("Snag", questions, record)

    def do_mend(self) -> None:
        """The oldest open snag was mended."""
        snag = next((each for each in self.build.progress.snags if not each.fix), None)
        if snag is None:
            raise BenchError("no snag is open", "", "")
        given = f"{snag.minutes:g}" if snag.minutes else ""
        questions = [
            Question(ask=f"how was '{clean(snag.what, 60)}' mended?"),
            Question(ask="minutes lost in all?", needed=False, wrong=a_number, given=given),
        ]

        def record(answers: tuple[str, ...]) -> None:
            lost = float(answers[1].strip().replace(",", ".") or 0)
            self._do(lambda: self.build.mend(snag.n, answers[0], lost), "Mended.")

        self._ask("Mended", questions, record)

    def do_substitute(self) -> None:
        """Another part goes in."""
        step = self._view.step
        given = " ".join(step.refs) or step.value if step else ""
        self._ask(
            "Substitute",
            [
                Question(ask="in place of which part?", given=given),
                Question(ask="what goes in instead?"),
                Question(ask="why?", hint="May be empty. Mind pinout and rating.", needed=False),
            ],
            lambda answers: self._do(lambda: self.build.substitute(*answers), "Substitute kept."),
        )

    def do_erratum(self) -> None:
        """The documents are wrong."""
        self._ask(
            "Erratum",
            [Question(ask="what is wrong in the kit's documents?")],
            lambda answers: self._do(lambda: self.build.erratum(answers[0]), "Erratum kept."),
        )

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
