"""What is written down about a build by typing a line or a few: notes, snags, substitutes, errata."""

from __future__ import annotations

from collections.abc import Callable

from bench.errors import SoldersideError
from bench.plan.plan import Step
from bench.tui.screens.ask import Ask
from bench.tui.screens.build_screen import BuildPlace
from bench.ui.forms import (
    Form,
    caption_form,
    erratum_form,
    mend_form,
    snag_form,
    substitute_form,
    trouble,
    words_form,
)
from bench.ui.reading_forms import reading_question


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
        except SoldersideError as error:
            word = trouble(error)
        self.paint(word)

    def _fill_in(self, form: Form) -> None:
        """Ask a form's questions, record the answers and show the word for it."""
        self._ask(form.title, form.questions, lambda answers: self._take(form, answers))

    def _take(self, form: Form, answers: tuple[str, ...]) -> None:
        """Record what a form was answered with, and show the word for it; raises SoldersideError."""
        self.paint(form.record(answers))

    # -- words ----------------------------------------------------------------------------------
    def do_note(self) -> None:
        """Write something down."""
        self._fill_in(words_form(self.build, self.step_on_screen, "note"))

    def do_tip(self) -> None:
        """A tip for the next builder."""
        self._fill_in(words_form(self.build, self.step_on_screen, "tip"))

    def do_show(self) -> None:
        """Mark a moment."""
        self._fill_in(words_form(self.build, self.step_on_screen, "show"))

    def do_photo(self) -> None:
        """A photo is taken now: the mark first, so that its time is right, then a caption."""
        self.build.photo_taken(step=self.step_on_screen)
        form = caption_form(self.build)
        self.put(
            Ask(form.title, form.questions),
            lambda answers: self._take(form, answers),
            lambda ask: self.paint(f"{form.record(('',))} {ask.kept}".strip()),
        )

    def do_snag(self) -> None:
        """A problem: what, which part, how mended, minutes lost."""
        self._fill_in(snag_form(self.build, self.step_on_screen))

    def do_mend(self) -> None:
        """The oldest open snag was mended."""
        self._fill_in(mend_form(self.build))

    def do_substitute(self) -> None:
        """Another part goes in."""
        self._fill_in(substitute_form(self.build, self.step_on_screen))

    def do_erratum(self) -> None:
        """The documents are wrong."""
        self._fill_in(erratum_form(self.build))

    def do_identify(self) -> None:
        """Bands, a marking or a reading: which parts of this kit it can be."""
        from bench.measure.identify.match_kit import identify

        question = reading_question(
            "bands, marking or reading?",
            "Such as: brown black orange gold, 104J, 4k69, 0.62 V.",
            lambda text: identify(text, self.build.kit),
        )

        def answered(answers: tuple[str, ...]) -> None:
            from bench.tui.screens.pages import identified_page

            found = identify(answers[0], self.build.kit)
            self.app.push_screen(identified_page(found), lambda _: self.paint())

        self.put(Ask("Identify", [question]), answered, lambda _: self.paint())
