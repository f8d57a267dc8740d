"""Screens about a build: they walk the table of forms and record the answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pkgutil import resolve_name

from textual.screen import Screen

from bench.plan.plan import Step
from bench.session.build import Build
from bench.tui.screens.ask import Ask, choose
from bench.tui.screens.command_screen import CommandScreen
from bench.ui.commands import Command
from bench.ui.forms import Choice, Form, Question, Situation
from bench.ui.text import clean

OPENS = {
    "agree": "agree:KitChangesScreen", "bag": "bag:BagScreen", "camera": "camera:CameraScreen",
    "log": "log:LogScreen", "meter": "meter:MeterScreen", "write": "article:ArticleScreen",
}  # fmt: skip
"""Command -> the screen of the build that it opens, imported when it does."""


class BuildScreen(CommandScreen):
    """A screen about a build. A command without a method opens a place or asks its form."""

    def __init__(self, build: Build) -> None:
        super().__init__()
        self.build = build

    def refresh_view(self, notice: str = "") -> None:
        """Show the build as it stands, and a short word."""
        raise NotImplementedError

    @property
    def step_on_screen(self) -> Step | None:
        """The step that the builder is looking at."""
        return None

    @property
    def chosen_thing(self) -> object:
        """What the chosen line is about, where the screen is a list."""
        return None

    def situation(self, chosen: object = None) -> Situation:
        """Where the builder is; `chosen` in place of the chosen line."""
        chosen = self.chosen_thing if chosen is None else chosen
        return self.bench_app.situation(self.build, self.step_on_screen, chosen)

    def action_of(self, command: Command) -> Callable[[], None]:
        """The screen's own method, else the place that the command opens, else its form."""
        if hasattr(self, f"do_{command.name}"):
            return super().action_of(command)
        if command.name in OPENS:
            return partial(self.open_place, command.name)
        return partial(self.ask_command, command.name)

    def open_place(self, command: str) -> None:
        """Go to the place that a command opens; this one is shown anew afterwards."""
        self.visit(resolve_name(f"bench.tui.screens.{OPENS[command]}")(self.build))

    def ask_command(self, command: str, chosen: object = None) -> None:
        """Ask the form of a command, or the choice in its place; raises SoldersideError."""
        from bench.ui.form_table import FORMS

        self.ask_first(FORMS[command].ask(self.situation(chosen)))

    def ask_first(self, asked: Form | Choice) -> None:
        """Ask a form, or the choice in its place; raises SoldersideError."""
        if isinstance(asked, Choice):
            self.ask_choice(asked)
        else:
            self.ask_form(asked)

    def ask_form(self, form: Form) -> None:
        """Ask a form's questions and record the answers; raises SoldersideError."""
        if not form.questions:
            self.submit(form, ())
            return
        ask: Ask
        if form.warning:
            from bench.tui.screens.danger import DangerScreen

            ask = DangerScreen(form)
        else:
            ask = Ask(form.title, form.questions, at=form.about)

        def given_up(ask: Ask) -> None:
            self.refresh_view(f"{form.given_up} {ask.kept}".strip())

        self.push_ask(ask, lambda answers: self.submit(form, answers), given_up if form.given_up else None)

    def submit(self, form: Form, answers: tuple[str, ...]) -> None:
        """Record the answers, show the word for it, ask what follows; a reading is heard as well as seen."""
        progress = self.build.progress
        read, measured = len(progress.readings), len(progress.measured)
        said = form.record(answers)
        if len(self.build.progress.readings) > read and self.bench_app.voice is not None:
            self.bench_app.voice.tell(said)
        self.refresh_view(said)
        progress = self.build.progress
        for wrong in [each.verdict != "in" for each in progress.readings[read:] if each.verdict]:
            self.bench_app.signals.give("out of tolerance" if wrong else "done")
        for each in progress.measured[measured:]:
            from bench.measure.identify.ahead import reads_wrong

            self.bench_app.signals.give("out of tolerance" if reads_wrong(each.said) else "done")
        if (following := form.then()) is not None:
            self.ask_choice(following)

    def ask_choice(self, choice: Choice) -> None:
        """Ask for one key and record what it stands for."""

        def settle(key: str) -> None:
            if key in choice.leads:
                self.ask_command(choice.leads[key])
                return
            word = choice.settle(key)
            self.bench_app.keep_meter(self.build.equipment.meter)
            self.refresh_view(word)
            if (following := choice.then()) is not None:
                self.ask_choice(following)

        def chosen(key: str | None) -> None:
            if key is not None:
                self.attempt(lambda: settle(key))

        self.app.push_screen(choose(choice), chosen)

    def require_writable(self) -> None:
        """Refuse, before anything is typed, when nothing could be kept; raises SoldersideError."""
        self.situation().require_writable()

    def ask(self, title: str, questions: Sequence[Question], then: Callable[[tuple[str, ...]], None]) -> None:
        """As `push_ask`, where something can be recorded."""
        self.require_writable()
        self.push_ask(Ask(title, questions), then)

    def visit(self, screen: Screen[None]) -> None:
        """Open another screen; the build is shown anew when it closes."""
        self.app.push_screen(screen, lambda _: self.refresh_view())

    def do_undo(self) -> None:
        """Undo the last entry."""
        self.require_writable()
        self.refresh_view(clean(f"Undone: {self.build.undo()}", 200))

    def do_film(self) -> None:
        """Write the film kit, and say what is in it."""
        from bench.tui.screens.pages import Page
        from bench.writeup.film.kit import Wanted, publish_film, written_lines

        made = publish_film(self.build, self.bench_app.settings, Wanted())
        first, *more = (clean(line, 600) for line in written_lines(made))
        spans = [(first, "head"), *((line, "plain") for line in more), ("", "plain")]
        self.visit(Page([*spans, *((clean(name, 200), "plain") for name in made.files)]))
