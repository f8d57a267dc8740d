"""Modal dialogs in the place of the card: a form of one-line inputs, or a single-key choice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, cast

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.content import Content
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from bench.session.drafts import Asked
from bench.tui.auto_repeat import HELD_SECONDS
from bench.tui.mouse import key_at, press, row_of
from bench.tui.widgets.lines import Lines
from bench.ui import question_card as card
from bench.ui.card_blocks import StyledRow, lines
from bench.ui.forms import Choice, Question, asked, meant_by
from bench.ui.text import clean, masked

if TYPE_CHECKING:
    from bench.tui.app import BenchApp

HOLD_SECONDS = 1.0
"""A pedal that counts and is held down so long says that this was all."""


def type_in(line: Input, text: str) -> None:
    """Insert text at the cursor, replacing the selection; an answer never starts with blanks."""
    if not text.strip() and (not line.value or line.selected_text == line.value):
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


class Sheet(Lines):
    """Rows made for the width there is; a key that is tapped is pressed."""

    def __init__(self, make: Callable[[int], Sequence[StyledRow]], *, id: str) -> None:
        super().__init__(id=id)
        self._make = make

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as there are."""
        return len(self._make(width))

    def lay_out(self) -> None:
        """Set it for its width."""
        self.show_rows(self._make(self.size.width) if self.size.width else ())

    def tell(self) -> None:
        """Say what there is to say now."""
        self.lay_out()
        self.refresh(layout=True)

    def on_click(self, event: events.Click) -> None:
        """Press the key of what was tapped."""
        press(self.app, key_at(row_of(self.rows, event.y), event.x).lower())


def _room(dialog: ModalScreen[Any]) -> int:
    """Rows for a question: all but the bar."""
    return max(0, dialog.app.size.height - 1)


def _where(dialog: ModalScreen[Any]) -> str:
    """What the screen below says it is about."""
    stack = dialog.app.screen_stack
    return str(getattr(stack[-2], "asked_at", "")) if len(stack) > 1 else ""


def _place(dialog: ModalScreen[Any]) -> None:
    """Put the question where the card is: beside the rail, where there is one."""
    stack = dialog.app.screen_stack
    rail = getattr(stack[-2], "rail_width", lambda _: 0)(dialog.app.size.width) if len(stack) > 1 else 0
    dialog.query_one("#ask").styles.margin = (1, rail, 0, 0)


def remark(dialog: ModalScreen[Any], text: str) -> None:
    """A line above what a dialog asks, for what has nothing to do with it."""
    for box in dialog.query("#ask"):
        box.mount(Static(Content(text), classes="remark"), before=0)


class Ask(ModalScreen[tuple[str, ...] | None]):
    """Asks questions one after the other; Enter goes on, Escape gives up and changes nothing."""

    BINDINGS = [Binding("tab", "complete", show=False, priority=True)]  # noqa: RUF012

    def __init__(
        self, title: str, questions: Sequence[Question], about: str = "", why: str = "", at: str = ""
    ) -> None:
        """`about`: what the answers are about, where that is not the build; `why` they are asked for again.

        `at` is the line over the question, where the screen below is about something else.
        """
        super().__init__()
        self.title_asked, self._questions = title, tuple(questions)
        self._about, self._why, self._at = about, why, at
        self._said, self._is_wrong = "", False
        self._answers: list[str] = []
        self._offered: tuple[tuple[str, str], ...] = ()
        self._drafts: tuple[str, ...] = ()
        self._over = False
        self._counted_at = float("-inf")
        self._held_since = float("inf")
        """When the press came that counted last: it may be held down."""
        self.kept = ""
        """Where what had been typed is, once it was given up."""
        self.typed: tuple[str, ...] = ()
        """What had been typed, once it was given up or could not be recorded."""

    def compose(self) -> ComposeResult:
        """What is asked, the line to type, what a good answer looks like, and the keys at the foot."""
        with Vertical(id="ask"):
            yield Sheet(self._above, id="ask-title")
            yield SafeInput(id="ask-line")
            yield Sheet(self._below, id="ask-hint")
        yield Sheet(self._keys, id="ask-keys")

    def on_mount(self) -> None:
        """Ask the first question."""
        self._place()
        self.query_one(Input).cursor_blink = False
        self._drafts = self._bench_app.drafts.of(self.asked)
        self._next()

    def on_resize(self) -> None:
        """The rail may come or go."""
        self._place()
        self._tell()

    def _place(self) -> None:
        _place(self)

    @property
    def _question(self) -> Question:
        return self._questions[min(len(self._answers), len(self._questions) - 1)]

    def _above(self, width: int) -> list[StyledRow]:
        """What it is about, and what is asked."""
        many, question = len(self._questions), self._question
        title = self.title_asked + (f" · {len(self._answers) + 1} of {many}" if many > 1 else "")
        room = _room(self)
        air: list[StyledRow] = [()] if room >= card.LOW else []
        large, label = question.large
        if question.counts:
            large, label = self.query_one(Input).value.strip() or "0", "counted"
        alone = " " not in question.ask  # a lone "why?" says too little
        rows = [*card.heading(self._at or _where(self), "" if alone else title, width), *air]
        ask = f"{title}: {question.ask}" if alone else question.ask
        rows += [*card.asked_rows(ask, width, room, large, label), *air]
        return rows[: max(2, room - 4)]

    def _below(self, width: int) -> list[StyledRow]:
        """What a good answer looks like or what is wrong, and all questions of the form."""
        rows = lines(self._said, "loud" if self._is_wrong else "plain", width) if self._said else []
        done = len(self._answers)
        fields = [
            card.Field(
                ask=question.ask,
                answer=self._answers[at] if at < done else "",
                state="done" if at < done else "now" if at == done else "ahead",
            )
            for at, question in enumerate(self._questions)
        ]
        room = self.query_one("#ask-hint").size.height - len(rows) - 1
        more = card.field_rows(fields, width, room)
        return [*rows, *([()] if more else []), *more]

    def _keys(self, width: int) -> list[StyledRow]:
        """What the keys do now."""
        question, last = self._question, len(self._answers) + 1 == len(self._questions)
        keys = [("Enter", "record" if last else "next")]
        if question.counts:
            keys = [("Space", "one more"), ("Space held, Enter", "that is all")]
        elif self._is_default:
            word = "keep it" if self.query_one(Input).value else "leave it empty"
            keys = [("Space Enter", word), *([("typing", "replaces it")] if word == "keep it" else [])]
        if question.complete is not None:
            keys.append(("Tab", "complete"))
        return card.key_rows([*keys, ("Escape", "cancel (draft kept)")], width)

    def _tell(self) -> None:
        for each in self.query(Sheet):
            each.tell()

    def on_input_changed(self) -> None:
        """The keys do something else once something is typed; a count is shown large."""
        self._tell()

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
        return Ask(self.title_asked, self._questions, self._about, why, self._at)

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
        question = self._question
        line = self.query_one(Input)
        number = len(self._answers)
        draft = self._drafts[number] if number < len(self._drafts) else ""
        line.value = draft or clean(question.given, 20_000)
        line.cursor_position = len(line.value)
        line.focus()
        if question.replaced and (question.given if not draft else question.meanings):
            line.action_select_all()  # a reading given up is replaced too; words given up are gone on with
        self._hint(self._why or question.hint, wrong=bool(self._why))
        self._why = ""

    def _hint(self, text: str, *, wrong: bool = False) -> None:
        self._said, self._is_wrong = text, wrong
        self._tell()

    @property
    def _is_default(self) -> bool:
        """True while Space takes the line as it stands: what was given, or nothing where nothing is needed."""
        line, question = self.query_one(Input), self._question
        if question.counts or not question.replaced:
            return False
        return line.value == line.selected_text if line.value else not question.needed

    def acts_on(self, key: str) -> bool:
        """True for a key that does something here other than to edit the line."""
        if key == "space":
            return self.offers or self._question.counts
        return self.offers or key in ("enter", "ctrl+j", "escape", "tab") or key.startswith("ctrl+")

    def takes(self, event: events.Key) -> bool:
        """True for a key that is no text: Enter takes the answer at once, a meaning's key that meaning."""
        if event.key == "space" and self._question.counts:
            self._count_up(event.time)
            return True
        line = self.query_one(Input)
        if event.key == "space" and line.selected_text == line.value:  # no answer begins with a blank
            if self._is_default and self._bench_app.gate.takes_an_answer():
                self._submit(line.value)
            return True
        if event.key != "enter":
            return self._chosen_by(event)
        self._submit(line.value)
        return True

    def held(self, event: events.Key) -> None:
        """A key is held down: the one that counts says so that this was all, and is no joint itself."""
        if event.key != "space" or not self._question.counts or event.time - self._held_since < HOLD_SECONDS:
            return
        line, self._held_since = self.query_one(Input), float("inf")
        text = line.value.strip()
        if text.isdecimal() and int(text) > 1:
            line.value = str(int(text) - 1)
            self._submit(line.value)
        else:
            line.value = ""

    def _count_up(self, at: float) -> None:
        """One more in the line; a pedal held down counts once."""
        line, before = self.query_one(Input), self._counted_at
        self._counted_at = at
        text = line.value.strip()
        if at - before >= HELD_SECONDS and (not text or text.isdecimal()):
            self._held_since = at
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
        question = self._question
        wrong = question.objection(answer)
        if wrong:
            self._offered = question.meanings(answer) if question.meanings else ()
            self._hint(wrong, wrong=True)
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
        complete = self._question.complete
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


class Choose(ModalScreen[str | None]):
    """Single-key choice; other keys are ignored."""

    def __init__(
        self,
        ask: str,
        choices: Sequence[tuple[str, str]],
        *,
        must: bool = False,
        usual: str = "",
        at: str = "",
        large: str = "",
    ) -> None:
        """`usual` is the key whose answer Space takes too; `at` and `large` as for `Ask` and `Choice`."""
        super().__init__()
        self._usual, self._at, self._large = usual, at, large
        self._ask, self._choices, self._must = ask, tuple(choices), must
        self._over = False

    def compose(self) -> ComposeResult:
        """The question and its answers with their keys, and what Space and Escape do."""
        with Vertical(id="ask"):
            yield Sheet(self._rows, id="ask-choices")
        yield Sheet(self._keys, id="ask-keys")

    def on_mount(self) -> None:
        """Put it where the card is."""
        _place(self)

    def on_resize(self) -> None:
        """The rail may come or go."""
        _place(self)

    def _rows(self, width: int) -> list[StyledRow]:
        room = _room(self) - len(self._keys(width))
        air: list[StyledRow] = [()] if room >= card.LOW else []
        ahead = [*card.heading(self._at or _where(self), "", width), *air]
        asked = card.asked_rows(self._ask, width, room, self._large)
        if len(ahead) + len(asked) + 2 + len(self._choices) > room:
            asked = card.asked_rows(self._ask, width, 0)
        rows = [*ahead, *asked, *air]
        return [*rows, *card.choice_rows(self._choices, width, room - len(rows))]

    def _keys(self, width: int) -> list[StyledRow]:
        usual = next((text for key, text in self._choices if key == self._usual), "")
        keys = [("Space", usual)] if usual else []
        return card.key_rows([*keys, *([] if self._must else [("Escape", "cancel")])], width)

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


def choose(choice: Choice, *, must: bool = False) -> Choose:
    """The dialog of a choice."""
    return Choose(
        choice.ask, choice.choices, must=must, usual=choice.usual, at=choice.about, large=choice.large
    )
