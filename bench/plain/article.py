"""The article in plain lines: read as it stands, paragraph by paragraph, and written out."""

from __future__ import annotations

from collections.abc import Sequence

from bench.errors import SoldersideError
from bench.plain.place import Desk, Rows
from bench.session.build import Build
from bench.ui.article_rows import article_spans
from bench.ui.forms import trouble
from bench.ui.text import clean
from bench.writeup.article import article_of
from bench.writeup.publish import NAMES, publish, story_of, targets_of, theirs, words_in


class ArticlePlace(Rows):
    """Each paragraph is a line."""

    place = "article"

    def __init__(self, desk: Desk, build: Build) -> None:
        super().__init__(desk, build)
        try:
            words = words_in(targets_of(build)["markdown"])
        except SoldersideError as error:
            words = {}
            self._say(trouble(error))
        told = article_spans(article_of(story_of(build)), words)
        self._told = [f"Heading: {text}" if look == "head" else text for text, look in told if text.strip()]

    def enter(self) -> None:
        """Say what this is before reading."""
        self._say("Preview of the article. Nothing is saved yet.")
        super().enter()

    def rows(self) -> Sequence[str]:
        """The paragraphs."""
        return self._told

    def _write(self, forms: Sequence[str]) -> None:
        targets = targets_of(self.build, forms)
        changed, force = theirs(self.build, targets), False
        if changed:
            names = clean(" and ".join(path.name for path in changed), 200)
            choices = (("r", "replace it; the old file is kept beside it"), ("k", "keep it, write the rest"))
            answer = self._talk.choose(f"Changed by hand, or not written here: {names}.", choices)
            force = answer == "r"
            if not force:
                targets = {form: path for form, path in targets.items() if path not in changed}
        if not targets:
            self._say("Nothing written.")
            return
        for outcome in publish(self.build, targets, force=force):
            if outcome.problem:
                self._say(f"Not written: {trouble(outcome.problem)}")
                continue
            self._say(f"Written: {outcome.path}{'' if outcome.changed else ', no change'}.")
            if outcome.kept_as:
                self._say(f"The old file is kept as {outcome.kept_as}.")

    def do_write_all(self) -> None:
        """Write Markdown, HTML and data."""
        self._write(tuple(NAMES))

    def do_write_html(self) -> None:
        """Write the HTML page."""
        self._write(("html",))

    def do_write_markdown(self) -> None:
        """Write the Markdown file."""
        self._write(("markdown",))
