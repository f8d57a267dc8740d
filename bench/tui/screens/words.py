"""What is written down about a build by typing a line or a few: notes, snags, substitutes, errata."""

from __future__ import annotations

from collections.abc import Callable

from bench.errors import BenchError
from bench.plan.model import Step
from bench.tui.screens.ask import Ask, Question, a_number
from bench.tui.screens.building import BuildPlace
from bench.tui.screens.place import trouble
from bench.tui.text import clean


class WordPlace(BuildPlace):
    """A place with a build that words can be written about."""

    def paint(self, notice: str = "") -> None:
        """Show the build as it stands, and a short word."""
        raise NotImplementedError

    @property
    def step_on_screen(self) -> Step | None:
        """The step that the builder is looking at."""
        raise NotImplementedError

    def _do(self, action: Callable[[], object], word: str = "") -> None:
        """Carry out an action on the build and show what came of it."""
        try:
            action()
        except BenchError as error:
            word = trouble(error)
        self.paint(word)

    # -- words ----------------------------------------------------------------------------------
    def _write_down(self, title: str, mark: str, ask: str) -> None:
        step = self.step_on_screen
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
        step = self.step_on_screen
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
        step = self.step_on_screen
        given = (" ".join(step.refs) or step.value) if step else ""
        items = tuple(item.removesuffix("#placed") for item in step.items) if step else ()
        self._ask(
            "Substitute",
            [
                Question(ask="in place of which part?", given=given),
                Question(ask="what goes in instead?"),
                Question(ask="why?", hint="May be empty. Mind pinout and rating.", needed=False),
            ],
            lambda answers: self._do(
                lambda: self.build.substitute(
                    answers[0], answers[1], answers[2], items if answers[0] == given else ()
                ),
                "Substitute kept.",
            ),
        )

    def do_erratum(self) -> None:
        """The documents are wrong."""
        self._ask(
            "Erratum",
            [Question(ask="what is wrong in the kit's documents?")],
            lambda answers: self._do(lambda: self.build.erratum(answers[0]), "Erratum kept."),
        )

    def do_identify(self) -> None:
        """Bands, a marking or a reading: which parts of this kit it can be."""
        question = Question(
            ask="bands, marking or reading?", hint="Such as: brown black orange gold, 104J, 4k69, 0.62 V."
        )

        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is None:
                self.paint()
                return
            from bench.measure.identify import identify
            from bench.tui.screens.pages import identified_page

            try:
                found = identify(answers[0], self.build.kit)
            except BenchError as error:
                self.paint(trouble(error))
                return
            self.app.push_screen(identified_page(found), lambda _: self.paint())

        self.app.push_screen(Ask("Identify", [question]), answered)
