"""The article: what it will say, where it will be written, and the keys that write it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import Static

from bench.errors import SoldersideError
from bench.session.build import Build
from bench.tui.screens.ask import Ask, Choose
from bench.tui.screens.pages import Page, TextPane
from bench.tui.widgets.work import Foot
from bench.ui.article_rows import BLANK, Span, article_spans
from bench.ui.form_table import FORMS
from bench.ui.forms import Form, trouble
from bench.ui.text import clean
from bench.writeup.article import article_of
from bench.writeup.publish import NAMES, Outcome, publish, story_of, targets_of, theirs, words_in

ALL = tuple(NAMES)


class ArticleScreen(Page):
    """A preview that can be scrolled, over what will be written where."""

    place = "article"

    def __init__(self, build: Build) -> None:
        super().__init__([("Working on the preview ...", "faint")])
        self.build = build
        self._told: list[Span] = []
        self._news: list[Span] = []
        self._writing = False

    def compose(self) -> ComposeResult:
        """A word, the text, the keys."""
        keymap = self.bench_app.keymap
        yield Static(id="word")
        yield TextPane(self._spans)
        yield Foot(keymap.foot(self.place), (keymap.key_of("help"), "all keys"))

    def on_mount(self) -> None:
        """Tell the story beside the screen, so that keys go on being answered."""
        self.show_message("Preview of the article. Nothing is saved yet.")
        self._beside(self._tell)

    def show_message(self, text: str) -> None:
        """A word above the text."""
        self.query_one("#word", Static).update(Content(clean(text, 600)))

    def do_write_markdown(self) -> None:
        """Markdown alone."""
        self._write(("markdown",))

    def do_write_html(self) -> None:
        """The page alone."""
        self._write(("html",))

    def do_afterwords(self) -> None:
        """Ask what only the builder can say, then show the preview anew."""
        self._ask("afterwords")

    def do_captions(self) -> None:
        """Ask for captions of photos, then show the preview anew."""
        self._ask("captions")

    def _ask(self, command: str) -> None:
        form = FORMS[command].ask(self.bench_app.situation(self.build))
        assert isinstance(form, Form)

        def record(answers: tuple[str, ...]) -> None:
            self.show_message(form.record(answers))
            self._beside(self._tell)

        self.push_ask(Ask(form.title, form.questions), record)

    def do_write_all(self) -> None:
        """Everything."""
        self._write(ALL)

    # -- beside the screen ----------------------------------------------------------------------
    def _beside(self, action: Callable[[], None]) -> None:
        self.run_worker(action, thread=True, exit_on_error=False)

    def _here(self, action: Callable[[], None]) -> None:
        """Do something on the screen, from beside it, while the screen is still there."""
        if self.is_attached and self.app.is_running:
            self.app.call_from_thread(action)

    def _tell(self) -> None:
        page = targets_of(self.build)["markdown"]
        try:
            words, problem = words_in(page), ""
        except SoldersideError as error:
            words, problem = {}, trouble(error)
        told = article_spans(article_of(story_of(self.build)), words)
        self._here(partial(self._show_told, told, problem))

    def _show_told(self, told: list[Span], problem: str) -> None:
        self._told = told
        self._news = self._news or ([(problem, "caution"), BLANK] if problem else [])
        self._show()

    def _show(self) -> None:
        pane = self.query_one(TextPane)
        pane.show([*self._news, *self._where(), BLANK, *self._told])

    def _where(self) -> list[Span]:
        """Output paths and the state of each file."""
        folder = clean(str(self.build.log.folder), 600)
        spans: list[Span] = [("Where it will be saved", "head"), (f"In {folder}:", "plain")]
        for form, path in targets_of(self.build, ALL).items():
            try:
                state = "edited by hand: asks first" if theirs(self.build, {form: path}) else _state(path)
            except SoldersideError as error:
                state = error.what
            spans.append((f"- {path.name}: {state}", "plain"))
        return spans

    # -- writing --------------------------------------------------------------------------------
    def _write(self, forms: Sequence[str]) -> None:
        if self._writing:
            raise SoldersideError("still writing", "", "wait until it is done")
        targets = targets_of(self.build, forms)
        changed = theirs(self.build, targets)
        if not changed:
            self._begin(targets)
            return
        names = clean(" and ".join(path.name for path in changed), 200)
        choices = (("r", "replace it; the old file is kept beside it"), ("k", "keep it, write the rest"))

        def chosen(key: str | None) -> None:
            if key == "r":
                self._begin(targets, force=True)
            elif key == "k" and len(changed) < len(targets):
                self._begin({form: path for form, path in targets.items() if path not in changed})
            else:
                self.show_message("Nothing written.")

        self.app.push_screen(Choose(f"Changed by hand, or not written here: {names}", choices), chosen)

    def _begin(self, targets: dict[str, Path], *, force: bool = False) -> None:
        def work() -> None:
            outcomes = publish(
                self.build,
                targets,
                force=force,
                say=lambda doing: self._here(lambda: self.show_message(f"{doing[:1].upper()}{doing[1:]} ...")),
            )
            self._here(partial(self._written, outcomes))

        self._writing = True
        self.show_message("Writing ...")
        self._beside(work)

    def _written(self, outcomes: Sequence[Outcome]) -> None:
        self._writing = False
        news: list[Span] = [("Written", "head")]
        for outcome in outcomes:
            if outcome.problem:
                news.append((trouble(outcome.problem), "caution"))
                continue
            same = "" if outcome.changed else " (no change)"
            news.append((clean(f"{outcome.path}{same}", 600), "value"))
            if outcome.kept_as:
                news.append((clean(f"  The old file is kept as {outcome.kept_as}", 600), "plain"))
        good = sum(outcome.problem is None for outcome in outcomes)
        self.show_message(
            "Written; see below." if good == len(outcomes) else "Not everything was written; see below."
        )
        self._news = [*news, BLANK]
        self._show()


def _state(path: Path) -> str:
    return "replaces the last one" if path.exists() else "new"
