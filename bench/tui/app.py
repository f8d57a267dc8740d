"""The program on screen: wiring only."""

from __future__ import annotations

import asyncio
import gc
import os
import signal
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace
from rich.console import RenderableType
from textual import events
from textual.app import App
from textual.await_complete import AwaitComplete
from textual.binding import Binding
from textual.driver import Driver
from textual.screen import ModalScreen, Screen

from bench.errors import SoldersideError
from bench.log.clock import Clock
from bench.plan.plan import Step
from bench.session.build import Build
from bench.session.drafts import Drafts
from bench.session.waits import WaitWatch
from bench.settings import Settings, keep_theme
from bench.tui.driver import BenchDriver
from bench.tui.screens.ask import Ask, remark
from bench.tui.screens.command_screen import CommandScreen
from bench.tui.screens.gate import Gate
from bench.tui.screens.work import WorkScreen
from bench.tui.signals import Signals
from bench.tui.themes import choose, next_look, themes
from bench.ui.ascii_look import encoding_of
from bench.ui.big_type import in_blocks
from bench.ui.commands import Keymap
from bench.ui.forms import Situation, asked, trouble, welcome
from bench.ui.text import clean

if TYPE_CHECKING:
    from bench.ui.speaker import Voice

CSS = """
Screen { background: $b-ground; color: $b-plain; }
#bar, #foot { height: 1; background: $b-raised; }
#word { height: auto; max-height: 3; background: $b-raised; }
#middle { height: 1fr; }
#card { width: 1fr; height: 1fr; margin: 0 1; }
#rail { display: none; width: 32; height: 1fr; background: $b-raised; padding: 0; }
.wide #rail { display: block; }
.broad #rail { width: 44; }
#body { height: 1fr; }
Ask, Choose { align: left top; background: transparent; }
#ask { height: 1fr; width: 1fr; background: $b-ground; padding: 0 1; }
#ask-title, #ask-keys { height: auto; }
#ask-hint, #ask-choices { height: 1fr; }
#ask-keys { dock: bottom; background: $b-raised; }
#ask-line { border: none; height: 1; padding: 0 1; background: $b-raised; color: $b-plain; margin: 0 0 1 0; }
DangerScreen { align: left bottom; }
DangerScreen #ask { height: auto; }
DangerScreen #ask-hint { height: auto; }
DangerScreen #ask-line { margin: 0; }
.remark { color: $b-value; background: $b-raised; height: auto; max-height: 3; }
"""
CLOSING = [getattr(signal, name) for name in ("SIGTERM", "SIGHUP", "SIGINT") if hasattr(signal, name)]
INTERRUPT_SECONDS = 3.0
"""Ctrl-C twice in so long closes the program."""


class BenchApp(App[None]):
    """The builder's screen."""

    CSS = CSS
    TITLE = "solderside"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS = [  # noqa: RUF012
        Binding("ctrl+c", "interrupt", show=False, priority=True),
        Binding("ctrl+z", "suspend_process", show=False, priority=True),
    ]

    def __init__(
        self, data: Path, settings: Settings, clock: Clock, build: Build | None = None, welcome: str = ""
    ) -> None:
        super().__init__(ansi_color=True if "NO_COLOR" in os.environ else None)
        self.data, self.settings, self.clock = data, settings, clock
        self.build = build
        self.which: tuple[str, str] | None = None
        """A kit file, and what to ask at once: which build it goes with."""
        self.units: Sequence[str] = ()
        """Names for units side by side, where some were asked for with that kit file."""
        self.procedure_given = False
        """True when a procedure was asked for with that kit file."""
        self.keymap = Keymap(settings.keys)
        self.drafts = Drafts(data)
        """Answers typed to questions that were given up, or that could not be recorded."""
        self.gate = Gate(self)
        self._interrupted_at = float("-inf")
        self.waits = WaitWatch()
        self.signals = Signals(settings.sound, self.bell, self.set_timer)
        self._welcome = welcome
        self.voice: Voice | None = None
        """What speaks; None unless the settings ask for it."""
        if settings.speak:
            from bench.ui.speaker import voice_of

            self.voice = voice_of(settings)
        self.encoding = encoding_of(os.environ, getattr(sys.__stderr__, "encoding", None))
        """What the terminal can show (Textual paints on standard error)."""
        self.in_ascii = not in_blocks(settings.large_type, self.encoding)
        """True where large type and signs are drawn in ASCII."""
        for theme in themes():
            self.register_theme(theme)
        self.sixteen = self.console.color_system == "standard"
        """True where the terminal has 16 colours and no more."""
        # Set as a value, its variables by hand: a change of theme would have the style sheet read twice.
        self.set_reactive(App.theme, choose(settings.theme, sixteen=self.sixteen))
        self.stylesheet.set_variables(self.get_css_variables())

    def take_other_look(self) -> str:
        """Show everything in the next look, and keep it in the settings; a word on that."""
        look = next_look(self.theme)
        self.theme = choose(look, sixteen=self.sixteen)
        self.settings = replace(self.settings, theme=look)
        try:
            keep_theme(self.data, look)
        except SoldersideError as error:
            return f"Look: {look}, until you quit. {trouble(error)}"
        return f"Look: {look}."

    def name_window(self, text: str) -> None:
        """Say in the terminal's title what is at hand."""
        if isinstance(self._driver, BenchDriver):
            self._driver.name_window(clean(text, 200))

    def get_default_screen(self) -> Screen[Any]:
        """Begin at the bench when a build is given, else at the shelf."""
        if self.build is not None:
            return WorkScreen(self.build, self._welcome)
        from bench.tui.screens.shelf import ShelfScreen

        return ShelfScreen()

    def on_ready(self) -> None:
        """The first screen is up: what was made until now stays, and garbage is collected from here on."""
        if self.which is not None:
            self.ask_which(*self.which)
        self.set_interval(1.0, self.tell_waits)
        gc.freeze()
        gc.enable()
        self.gate.wait_for_paint()
        self.app_resume_signal.subscribe(self, lambda _: self.screen.refresh(layout=True))
        if not self.is_headless:
            for each in CLOSING:
                asyncio.get_running_loop().add_signal_handler(each, self.close_in_order, 128 + each)

    def tell_waits(self) -> None:
        """Say of each wait that is over that it is, once, whatever is on screen."""
        for word in self.waits.due(self.build):
            self.signals.give("wait over")
            if self.voice is not None:
                self.voice.tell(clean(word, 300))
            for screen in reversed(self.screen_stack):
                if isinstance(screen, CommandScreen):
                    screen.add_message(clean(word, 300))
                    break
                if isinstance(screen, ModalScreen):
                    remark(screen, clean(word, 300))

    # -- keys and signals -----------------------------------------------------------------------
    def get_driver_class(self) -> type[Driver]:
        """On a terminal of POSIX, one whose input survives any bytes."""
        stock = super().get_driver_class()
        if stock.__name__ == "LinuxDriver":
            return BenchDriver
        return stock

    async def on_event(self, event: events.Event) -> None:
        """What is typed goes through the gate."""
        if isinstance(event, events.Key | events.Paste) and not event.is_forwarded:
            if self.screen_stack:
                await self.gate.arrive(event)
        else:
            await super().on_event(event)

    async def hand_on(self, event: events.Key | events.Paste) -> None:
        """Give a key or a paste that the gate lets through to whom it is for."""
        await super().on_event(event)

    def _display(self, screen: Screen[Any], renderable: RenderableType | None) -> None:
        self.gate.displayed()
        super()._display(screen, renderable)

    def push_screen(self, *args: Any, **kwargs: Any) -> Any:
        """As Textual's; no key reaches the new screen before it is painted."""
        self.gate.wait_for_paint()
        return super().push_screen(*args, **kwargs)

    def pop_screen(self) -> AwaitComplete:
        """As Textual's; no key reaches the screen below before it is painted."""
        self.gate.wait_for_paint()
        return super().pop_screen()

    def switch_screen(self, screen: Screen[Any] | str) -> AwaitComplete:
        """As Textual's; no key reaches the other screen before it is painted."""
        self.gate.wait_for_paint()
        return super().switch_screen(screen)

    def situation(self, build: Build, step: Step | None = None, chosen: object = None) -> Situation:
        """Where the builder is, for the table of forms."""
        return Situation(
            build=build, step=step, settings=self.settings, keymap=self.keymap, data=self.data, chosen=chosen
        )

    def keep_for_a_note(self, text: str) -> str:
        """Keep a text that no box was open for; a sentence that says where."""
        if self.build is None or self.build.log.read_only:
            return self.drafts.keep(("", "Typed without a box"), (text,))
        from bench.ui.form_table import FORMS

        form = FORMS["note"].form(self.situation(self.build), None)
        key = asked(self.build.name, form.title, form.questions)
        before = self.drafts.of(key)
        self.drafts.keep(key, (" ".join((*before[:1], text)),))
        return f"They are waiting in your next note ({self.keymap.key_of('note')} at the bench)."

    def action_interrupt(self) -> None:
        """Ctrl-C twice closes the program, with what is typed kept as a draft."""
        if monotonic() - self._interrupted_at < INTERRUPT_SECONDS:
            self.close_in_order(128 + signal.SIGINT)
            return
        self._interrupted_at = monotonic()
        if isinstance(self.screen, CommandScreen):
            self.screen.show_message("Press Ctrl-C again to quit. Everything recorded is saved.")

    async def action_quit(self) -> None:
        """Close the build and the program."""
        self.close_in_order()

    def close_in_order(self, code: int = 0) -> None:
        """Close the program whatever is on screen: typed text becomes a draft, the build is closed."""
        for screen in self.screen_stack:
            if isinstance(screen, Ask) and screen.is_mounted:
                screen.keep_draft()
        self.close_build()
        if self.voice is not None:
            self.voice.close()
        self.exit(return_code=code)

    # -- between places -------------------------------------------------------------------------
    def to_shelf(self) -> None:
        """Leave the bench, if at it, for the shelf, with the cursor on what was built."""
        from bench.tui.screens.shelf import ShelfScreen

        at = self.build.log.folder.name if self.build is not None else ""
        self.close_build()
        self.name_window(self.TITLE)
        self._go_to(ShelfScreen(at))

    def to_bench(self, named: str, *, again: bool = False, go_on: bool = False, unit: str = "") -> None:
        """Open a build, or start one, and go to the bench; where only the builder knows which, ask first."""
        from bench.session.together import open_bench
        from bench.session.which_build import WhichBuild

        try:
            build = open_bench(
                self.data,
                named,
                self.settings,
                self.clock,
                units=self.units if again or go_on else (),
                again=again,
                go_on=go_on,
                unit=unit,
                procedure_given=self.procedure_given and go_on,
            )
        except WhichBuild as error:
            self.ask_which(named, error.what)
            return
        self.close_build()
        self.build = build
        self._go_to(WorkScreen(build, welcome(build, self.keymap)))

    def ask_which(self, named: str, question: str) -> None:
        """Ask whether a kit file goes on with a build or begins a new one."""
        from bench.tui.screens.ask import Choose

        def chosen(key: str | None) -> None:
            if key is not None and isinstance(self.screen, CommandScreen):
                try:
                    self.to_bench(named, again=key == "n", go_on=key == "g")
                except SoldersideError as error:
                    from bench.tui.screens.pages import faults_page

                    name = clean(f"{Path(named).name} cannot be opened", 200)
                    self.push_screen(faults_page(error.faults, name))

        choices = (("g", "continue that build"), ("n", "start a new build"))
        self.push_screen(Choose(clean(f"{question[:1].upper()}{question[1:]}", 600), choices), chosen)

    def _go_to(self, place: CommandScreen) -> None:
        """Another place instead of this one; the first of all stays under it, since it cannot be switched."""
        if len(self.screen_stack) > 1:
            self.switch_screen(place)
        else:
            self.push_screen(place)

    def keep_meter(self, meter: Mapping[str, object]) -> None:
        """The builder's meter from now on, for builds opened later too."""
        self.settings = replace(self.settings, meter=dict(meter))

    def write_shortage(self, build: Build) -> Path:
        """Write the shortage list into the build's folder; returns the path."""
        from bench.writeup.maker_texts import publish_shortage

        return publish_shortage(build)

    def write_sheet(self, of: Build | str, what: str) -> Path:
        """Write a page for the printer about the build at the bench, or a build or kit file by its path."""
        from bench.session.folders import procedure_of
        from bench.settings import sheets_folder
        from bench.writeup.sheets.publish import job_for, job_of, publish_sheet

        if isinstance(of, str):
            job = job_of(self.data, of, self.settings)
        else:
            job = job_for(of, procedure_of(of, self.settings), self.settings)
        try:
            return publish_sheet(job, what, sheets_folder(self.data))
        finally:
            if job.build is not None and job.build is not of:
                job.build.log.close()

    def close_build(self) -> None:
        """Close the build at the bench in good order."""
        if self.build is not None:
            build, self.build = self.build, None
            build.close()

    def leave(self) -> None:
        """Close the build and the program."""
        self.close_in_order()
