"""Modal dialogs: a form of one-line inputs, or a single-key choice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any, cast

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from bench.session.drafts import Asked
from bench.tui.auto_repeat import HELD_SECONDS
from bench.tui.mouse import press
from bench.ui.forms import Question, asked, meant_by
from bench.ui.text import cells, clean, masked

if TYPE_CHECKING:
    from bench.tui.app import BenchApp


def type_in(line: Input, text: str) -> None:
    """Insert text at the cursor, replacing the selection; an answer never starts with blanks."""
    if not line.value and not text.strip():
        return
    if line.selection.is_empty:
        line.insert_text_at_cursor(text)
    else:
        line.replace(text, *line.selection)


class SafeInput(Input):
    """Input that keeps its value verbatim and renders control characters as visible signs."""

    async def _on_key(self, event: events.Key) -> None:
        if isinstance(self.screen, Ask) and self.screen.takes(event):
            event.stop()
            event.prevent_default()
            return
        await super()._on_key(event)

    def _on_paste(self, event: events.Paste) -> None:
        """Join pasted lines into one."""
        event.stop()
        event.prevent_default()
        type_in(self, " ".join(line for line in event.text.splitlines() if line.strip()))

    @property
    def _value(self) -> Text:
        return Text(masked(self.value), no_wrap=True, overflow="ignore", end="")


def remark(dialog: ModalScreen[Any], text: str) -> None:
    """A line above what a dialog asks, for what has nothing to do with it."""
    for box in dialog.query("#ask"):
        box.mount(Static(Content(text), classes="remark"), before=0)


class Ask(ModalScreen[tuple[str, ...] | None]):
    """Asks questions one after the other; Enter goes on, Escape gives up and changes nothing."""

    BINDINGS = [Binding("tab", "complete", show=False, priority=True)]  # noqa: RUF012

    def __init__(self, title: str, questions: Sequence[Question], about: str = "", why: str = "") -> None:
        """`about`: what the answers are about, where that is not the build; `why` they are asked for again."""
        super().__init__()
        self.title_asked, self._questions = title, tuple(questions)
        self._about, self._why = about, why
        self._answers: list[str] = []
        self._offered: tuple[tuple[str, str], ...] = ()
        self._drafts: tuple[str, ...] = ()
        self._over = False
        self._counted_at = float("-inf")
        self.kept = ""
        """Where what had been typed is, once it was given up."""
        self.typed: tuple[str, ...] = ()
        """What had been typed, once it was given up or could not be recorded."""

    def compose(self) -> ComposeResult:
        """A small box at the foot of the screen."""
        with Vertical(id="ask"):
            yield Static(id="ask-title")
            yield SafeInput(id="ask-line")
            yield Static(id="ask-hint")

    def on_mount(self) -> None:
        """Ask the first question."""
        self.query_one(Input).cursor_blink = False
        self._drafts = self._bench_app.drafts.of(self.asked)
        self._next()

    @property
    def _bench_app(self) -> BenchApp:
        return cast("BenchApp", self.app)

    @property
    def asked(self) -> Asked:
        """By what drafts of its answers are kept."""
        build = self._bench_app.build
        return asked(self._about or (build.name if build else ""), self.title_asked, self._questions)

    def again(self, why: str) -> Ask:
        """The same questions, and why they are asked once more."""
        return Ask(self.title_asked, self._questions, self._about, why)

    @property
    def offers(self) -> bool:
        """True while one key takes one of the meanings of an answer."""
        return bool(self._offered)

    def keep_draft(self) -> None:
        """Save the partly typed answers as a draft."""
        reached = (*self._answers, self.query_one(Input).value)
        self.keep((*reached, *self._drafts[len(reached) :]))

    def keep(self, typed: Sequence[str]) -> None:
        """Save answers as a draft; an unchanged initial value is saved as empty."""
        own = zip(typed, self._questions, strict=False)
        self.typed = tuple("" if text == question.given else text for text, question in own)
        self.kept = self._bench_app.drafts.keep(self.asked, self.typed)

    def forget(self) -> None:
        """The answers are recorded for good."""
        self._bench_app.drafts.drop(self.asked)

    def _next(self) -> None:
        question = self._questions[len(self._answers)]
        many = f" {len(self._answers) + 1}/{len(self._questions)}" if len(self._questions) > 1 else ""
        self.query_one("#ask-title", Static).update(Content(f"{self.title_asked}{many}: {question.ask}"))
        line = self.query_one(Input)
        number = len(self._answers)
        draft = self._drafts[number] if number < len(self._drafts) else ""
        line.value = draft or clean(question.given, 20_000)
        line.cursor_position = len(line.value)
        line.focus()
        if question.replaced and (question.given if not draft else question.meanings):
            line.action_select_all()  # a reading given up is replaced too; words given up are gone on with
        self._hint(self._why or question.hint)
        self._why = ""

    def _hint(self, text: str) -> None:
        keys = "Enter: next. Escape: cancel."
        if self._questions[len(self._answers)].counts:
            keys = f"Space: one more. {keys}"
        if self._questions[len(self._answers)].complete is not None:
            keys = f"Tab: complete. {keys}"
        self.query_one("#ask-hint", Static).update(Content(f"{text} {keys}".strip()))

    def takes(self, event: events.Key) -> bool:
        """True for a key that is no text: Enter takes the answer at once, a meaning's key that meaning."""
        if event.key == "space" and self._questions[len(self._answers)].counts:
            self._count_up(event.time)
            return True
        if event.key != "enter":
            return self._chosen_by(event)
        self._submit(self.query_one(Input).value)
        return True

    def _count_up(self, at: float) -> None:
        """One more in the line; a pedal held down counts once."""
        line, before = self.query_one(Input), self._counted_at
        self._counted_at = at
        text = line.value.strip()
        if at - before >= HELD_SECONDS and (not text or text.isdecimal()):
            line.value = str(int(text or 0) + 1)
            line.cursor_position = len(line.value)

    def _chosen_by(self, event: events.Key) -> bool:
        """True for the key of something that the answer in the line may mean, which is then taken."""
        offered, self._offered = self._offered, ()
        meant = meant_by(event.character or "", offered)
        if meant:
            self.query_one(Input).value = meant
            self._submit(meant)
        return bool(meant)

    def _submit(self, answer: str) -> None:
        if self._over:
            return
        question = self._questions[len(self._answers)]
        wrong = question.objection(answer)
        if wrong:
            self._offered = question.meanings(answer) if question.meanings else ()
            self._hint(wrong)
            return
        self._answers.append(answer)
        if len(self._answers) == len(self._questions):
            self._over = True
            self.forget()
            self.dismiss(tuple(self._answers))
        else:
            self._next()

    def action_complete(self) -> None:
        """Tab completion, where the question offers it."""
        complete = self._questions[len(self._answers)].complete
        if complete is not None:
            line = self.query_one(Input)
            line.value = complete(line.value)
            line.cursor_position = len(line.value)

    def on_key(self, event: events.Key) -> None:
        """Escape gives up."""
        if event.key == "escape":
            event.stop()
            if not self._over:
                self._over = True
                self.keep_draft()
                self.dismiss(None)


class Answers(Static):
    """Answers in one row, each behind its key; one that is tapped is taken."""

    def __init__(self, answers: Sequence[tuple[str, str]], wide: int) -> None:
        """`wide`: cells of each answer's words, 0 for as many as they are."""
        self._answers = [(key, f" {text:<{wide}}") for key, text in answers]
        pieces: list[str | tuple[str, str]] = []
        for key, text in self._answers:
            pieces += [(f" {key} ", "reverse"), text]
        super().__init__(Content.assemble(*pieces))

    def on_click(self, event: events.Click) -> None:
        """Press the key of the answer that was tapped."""
        end = 0
        for key, text in self._answers:
            end += cells(f" {key} {text}")
            if event.x < end:
                press(self.app, key)
                return


class Choose(ModalScreen[str | None]):
    """Single-key choice; other keys are ignored."""

    def __init__(
        self, ask: str, choices: Sequence[tuple[str, str]], *, must: bool = False, usual: str = ""
    ) -> None:
        """`usual` is the key whose answer Space takes too."""
        super().__init__()
        self._usual = usual
        self._ask, self._choices, self._must = ask, tuple(choices), must
        self._over = False

    def compose(self) -> ComposeResult:
        """The question and its answers with their keys: one on a line, or two where the screen is low."""
        beside = 2 if (len(self._choices) + 3) * 10 > self.app.size.height * 9 else 1
        wide = max(len(text) for _, text in self._choices) + 2
        with Vertical(id="ask"):
            yield Static(Content(self._ask), id="ask-title")
            for at in range(0, len(self._choices), beside):
                yield Answers(self._choices[at : at + beside], wide if beside > 1 else 0)
            if usual := next((text for key, text in self._choices if key == self._usual), ""):
                yield Static(Content(f"Space: {usual}."), id="ask-hint")

    def on_key(self, event: events.Key) -> None:
        """Take one of the keys offered."""
        event.stop()
        keys = [key for key, _ in self._choices]
        pressed = (event.character or event.key, event.key, (event.character or "").lower())
        chosen = next((key for key in pressed if key in keys), None)
        if event.key == "space":
            chosen = self._usual or None
        if not self._over and (chosen is not None or (event.key == "escape" and not self._must)):
            self._over = True
            self.dismiss(chosen)
