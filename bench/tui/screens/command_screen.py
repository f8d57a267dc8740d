"""Base of all screens: keys are looked up in the command table, errors are shown as messages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, cast

from textual import events
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Static

from bench.errors import SoldersideError
from bench.tui.mouse import WHEEL_ROWS
from bench.tui.screens.ask import Ask, Choose
from bench.ui.commands import TITLES, Command
from bench.ui.forms import trouble
from bench.ui.question_card import sentence
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.tui.app import BenchApp

MOVING = ("up", "down", "left", "right", "pageup", "pagedown")


class CommandScreen(Screen[None]):
    """Screen with single-key commands; `do_NAME` runs a command."""

    place = ""
    """The name by which the command table knows it."""
    unchanged = "nothing recorded"
    """What giving up a question means here."""

    @property
    def asked_at(self) -> str:
        """The line over a question that is asked here: what it is about."""
        return sentence(TITLES[self.place]) if self.place else ""

    @property
    def bench_app(self) -> BenchApp:
        """The app, with its own type."""
        return cast("BenchApp", self.app)

    async def on_key(self, event: events.Key) -> None:
        """Look up and run the command of a key."""
        command = self.bench_app.keymap.command(self.place, event.key, event.character)
        if command is None:
            if event.character and event.character.isalpha() and not event.character.isascii():
                word = f"{event.character} is not a key here: switch the keyboard to Latin letters"
                self.show_message(clean(f"{word}, or choose other keys (solderside help settings)."))
            return
        event.stop()
        self.carry_out(command)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """The wheel goes down like the key."""
        self._wheel("down")

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """The wheel goes up like the key."""
        self._wheel("up")

    def _wheel(self, name: str) -> None:
        if move := getattr(self, f"do_{name}", None):
            for _ in range(WHEEL_ROWS):
                self.attempt(move)

    def carry_out(self, command: Command) -> None:
        """Run a command; errors are shown as a message."""
        self.attempt(self.action_of(command))

    def action_of(self, command: Command) -> Callable[[], None]:
        """What carries a command out."""
        return cast("Callable[[], None]", getattr(self, f"do_{command.name}"))

    def attempt(self, action: Callable[[], None]) -> None:
        """Run an action; a SoldersideError is shown as a message."""
        try:
            action()
        except SoldersideError as error:
            self.show_message(trouble(error))

    def only_ticks(self, command: str) -> bool:
        """Whether a command does nothing now but tick a step, which `counted_once` can take back."""
        return False

    def counted_once(self) -> None:
        """Take back what the last command ticked: its key was held down."""

    def show_message(self, text: str) -> None:
        """Show a one-line message: above everything, where a screen has no place of its own for it."""
        for old in self.query(".remark"):
            old.remove()
        if text:
            self.mount(Static(Content(text), classes="remark"), before=0)

    def add_message(self, text: str) -> None:
        """Show a message that nobody asked for, without losing the one that is there."""
        self.show_message(text)

    def _choose_sheet(self, write: Callable[[str], Path]) -> None:
        """Ask which page to print, write it, and show its path."""
        from bench.writeup.sheets.publish import CHOICES

        def chosen(key: str | None) -> None:
            what = next((each for letter, each, _ in CHOICES if letter == key), None)
            if what is not None:  # after the place has come back and said what it says of itself
                self.call_after_refresh(written, what)

        def written(what: str) -> None:
            self.attempt(
                lambda: self.show_message(
                    clean(f"Written: {write(what)}. Open it in a browser and print it.", 600)
                )
            )

        self.app.push_screen(Choose("Print what?", [(key, text) for key, _, text in CHOICES]), chosen)

    # -- questions ------------------------------------------------------------------------------
    def push_ask(
        self,
        ask: Ask,
        then: Callable[[tuple[str, ...]], None],
        given_up: Callable[[Ask], None] | None = None,
    ) -> None:
        """Ask, and hand the answers on; giving up is said on screen, unless `given_up` does something else.

        What was typed before giving up stands in the same questions again. Where `then` raises
        SoldersideError, they are asked again at once, with the answers and with what went wrong.
        """

        def answered(answers: tuple[str, ...] | None) -> None:
            if answers is None:
                (given_up or self._given_up)(ask)
                return
            try:
                then(answers)
            except SoldersideError as error:
                self.show_message(trouble(error))
                ask.keep(answers)
                self.push_ask(ask.again(trouble(error)), then, given_up)

        self.app.push_screen(ask, answered)

    def _given_up(self, ask: Ask) -> None:
        self.show_message(f"{ask.title_asked}: cancelled, {self.unchanged}. {ask.kept}".strip())

    # -- commands that every place has ----------------------------------------------------------
    def do_other_look(self) -> None:
        """The next look, kept in the settings."""
        self.show_message(self.bench_app.take_other_look())

    def do_help(self) -> None:
        """Show every key, and do what is chosen among them."""
        from bench.tui.screens.keys import KeysScreen

        keys = KeysScreen(self)

        def chosen(_: None) -> None:
            if keys.wanted is not None:
                self.carry_out(keys.wanted)

        self.app.push_screen(keys, chosen)

    def do_quit(self) -> None:
        """Close the program."""
        self.bench_app.leave()

    def do_back(self) -> None:
        """Back to the screen before this one."""
        if len(self.app.screen_stack) > 1:
            self.app.pop_screen()
