"""The gate that every key goes through: one at a time, and only when what the last one brought is on screen.

A key means what stands on screen when it is pressed. So each key is worked off until its outcome is painted; a
key that came before that was pressed for another screen and is never a command. As text it goes into the box
that is up, or is kept as a draft; else it is dropped.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from time import monotonic
from typing import TYPE_CHECKING, Any

from textual import events
from textual.command import CommandPalette
from textual.screen import ModalScreen, Screen
from textual.widgets import Input

from bench.tui.screens.ask import Ask, type_in
from bench.tui.screens.command_screen import MOVING, CommandScreen
from bench.tui.typed import PRESSED, REPEATED, UNTOLD, burst_of, stroke_of

if TYPE_CHECKING:
    from bench.tui.app import BenchApp

PASTE_SECONDS = 0.1
"""A paste may come in pieces; one that comes this soon after another belongs to it."""
ENTER_SECONDS = 2.0
"""Enter that has ended a question is no command for so long, unless another key is pressed."""
ONE_WRITE = 0.012
"""Seconds; keys closer than this came in one write, for no keyboard repeats as fast."""
HELD_SECONDS = 0.12
"""Seconds; a key held down repeats at least as often."""
FIRST_SECONDS = 1.1
"""Seconds; a key held down begins to repeat sooner than this."""
WORTH_KEEPING = 7
"""So many characters typed too early are kept, if they are not one key held down."""
TICKING = frozenset(("done", "one"))
"""Commands that tick steps: one of them after another is the same key again."""
SHOWING = frozenset(("read", "in_full", "whole", "clip"))
"""Commands that only put a question or a page on screen: Enter may follow on Enter."""
ENTERS = frozenset(("enter", "ctrl+j"))
SCROLLING = frozenset(("up", "down", "pageup", "pagedown"))
"""Keys that may be pressed ahead: they change nothing that is kept."""


class Gate:
    """Lets a key through, holds it until the screen is ready, or drops it. One for each program."""

    def __init__(self, app: BenchApp) -> None:
        self._app = app
        self._busy = True
        self._turn = 0
        self._open_since = float("inf")
        """Keys that came before this were pressed for what was on screen before."""
        self._shut_at = self._displayed = 0.0
        self._held: deque[events.Key | events.Paste] = deque()
        self._early: list[str] = []
        """Text that came when nothing on screen took text."""
        self._last_meant, self._last_at = "", float("-inf")
        self._run = ""
        """The key of the last command while no other is pressed: it may still be held down."""
        self._doubtful: events.Key | None = None
        """Pressed once more, or the first repeat of a key held down: what comes next shows which."""
        self._enter_asked = False
        self._entered_at = float("-inf")
        self._pasting_until = float("-inf")
        self._broken = False
        """True when a line end has come since the last text for the box."""

    @property
    def is_open(self) -> bool:
        """True when the next key is taken."""
        return not self._busy and self._doubtful is None

    # -- what arrives ---------------------------------------------------------------------------
    async def arrive(self, event: events.Key | events.Paste) -> None:
        """Take a key or a paste, in the order of arrival."""
        stroke = self._stroke(event) if isinstance(event, events.Key) else PRESSED
        if stroke == REPEATED:
            self._doubtful = None
            return
        await self._doubt_over(self._doubtful)
        if stroke == UNTOLD and isinstance(event, events.Key):
            self._doubtful = event
            later = self._app.call_later  # behind keys that have come meanwhile
            self._app.set_timer(HELD_SECONDS, lambda: later(self._doubt_over, event))
            return
        await self._admit(event)

    async def _doubt_over(self, event: events.Key | None) -> None:
        """The key was pressed once more, for nothing like it has followed."""
        if event is not None and event is self._doubtful and self._app.screen_stack:
            self._doubtful, self._run = None, ""
            await self._admit(event)

    async def _admit(self, event: events.Key | events.Paste) -> None:
        if self._busy:
            self._held.append(event)
        elif event.time < self._open_since and isinstance(event, events.Key):
            await self._too_early([event])
        elif isinstance(event, events.Paste):
            await self._pasted(event)
        elif not self._is_second_enter(event) and not self._is_of_a_paste(event):
            await self._through(event)

    def _stroke(self, event: events.Key) -> str:
        """Whether a finger pressed a key or it repeats: by what the terminal tells, else by the time between.

        A command comes once in `repeat_milliseconds`, whatever its key; moving about may repeat. While the key
        of a command is held down it types nothing into the box that the command has opened. `UNTOLD` is what
        may be the first repeat: only more of the same, as fast as no finger can, shows that it was.
        """
        app, screen = self._app, self._app.screen
        placed, meant = isinstance(screen, CommandScreen), event.key
        if isinstance(screen, CommandScreen):
            command = app.keymap.command(screen.place, event.key, event.character)
            if command is not None:
                meant = "done" if command.name in TICKING else command.name
        same, gap = meant == self._last_meant or event.key == self._run, event.time - self._last_at
        self._last_meant, self._last_at = meant, event.time
        if event.key != self._run and event.key not in MOVING:
            self._run = ""
        least, told = app.settings.repeat_milliseconds / 1000, stroke_of(event)
        if not least or event.key in MOVING or not (same if placed else event.key == self._run):
            return REPEATED if least and placed and told == REPEATED and event.key not in MOVING else PRESSED
        if told == REPEATED or (gap < least if placed else ONE_WRITE < gap < HELD_SECONDS):
            return REPEATED
        return UNTOLD if told == UNTOLD and HELD_SECONDS <= gap < FIRST_SECONDS else PRESSED

    def _is_second_enter(self, event: events.Key) -> bool:
        """True for Enter at a place just after it has ended a question: pressed once more, it means nothing."""
        if event.key not in ENTERS:
            self._entered_at = float("-inf")
            return False
        screen = self._app.screen
        if not isinstance(screen, CommandScreen) or event.time > self._entered_at + ENTER_SECONDS:
            return False
        command = self._app.keymap.command(screen.place, event.key, event.character)
        if command is None or command.name in SHOWING:
            return False
        self._say("Enter has ended the question and does nothing more just now.")
        return True

    def _is_of_a_paste(self, event: events.Key) -> bool:
        """True for keys that came all at once where keys are commands: kept as text, never carried out."""
        burst = burst_of(event)
        if isinstance(self._app.screen, ModalScreen):
            return False
        if not (burst.is_paste or event.time < self._pasting_until):
            return False
        self._pasting_until = event.time + PASTE_SECONDS
        self._keep(event)
        return True

    async def _pasted(self, event: events.Paste) -> None:
        if self._box is not None:
            await self._app.hand_on(event)
        else:
            self._keep(event)

    async def _through(self, event: events.Key) -> None:
        screen, burst = self._app.screen, burst_of(event)
        if isinstance(screen, CommandPalette) and event.key in ENTERS and burst.keys > 1:
            return  # it came before what the rest of them has found was on screen
        if self._box is not None and event.key in ENTERS and burst.many_lines:
            event = events.Key("space", " ")
        if self._box is not None and self._is_text(event):
            await self._app.hand_on(event)
            return
        self._enter_asked = event.key in ENTERS and isinstance(screen, ModalScreen)
        if isinstance(screen, CommandScreen):
            self._run = event.key
        target = self._app.focused or screen
        self._shut()
        turn = self._turn
        await self._app.hand_on(event)
        if not target.call_later(self._handled, turn):
            self._app.call_later(self._handled, turn)

    def _is_text(self, event: events.Key) -> bool:
        """True for a key that only edits the line of the box."""
        screen = self._app.screen
        if isinstance(screen, Ask) and screen.offers:
            return False
        return event.key not in (*ENTERS, "escape", "tab") and not event.key.startswith("ctrl+")

    @property
    def _box(self) -> Screen[Any] | None:
        """The question or search that takes text, if one is up."""
        screen = self._app.screen
        return screen if isinstance(screen, Ask | CommandPalette) else None

    # -- open and shut --------------------------------------------------------------------------
    def _shut(self) -> None:
        self._busy = True
        self._turn += 1
        if self._open_since < float("inf"):
            self._shut_at = monotonic()

    def displayed(self) -> None:
        """A frame goes to the terminal: who presses a key from now on sees it. At first: the first one."""
        if self._open_since < float("inf") or not self._displayed:
            self._displayed = monotonic()

    def wait_for_paint(self) -> None:
        """Something else comes up: no key goes through until it is painted."""
        self._shut()
        self._app.call_later(self._handled, self._turn)

    def _handled(self, turn: int) -> None:
        """What the key asked for is done: wait until it is painted, on whatever screen is up by then."""
        if turn == self._turn and self._app.screen_stack:
            screen = self._app.screen
            if not screen.call_after_refresh(self._painted, turn, screen):
                self._app.call_later(self._handled, turn)

    async def _painted(self, turn: int, screen: Screen[Any]) -> None:
        if turn != self._turn:
            return
        if self._app.screen is not screen:
            self._handled(turn)
            return
        self._open_since, self._busy = max(self._displayed, self._shut_at), False
        if self._enter_asked and not isinstance(screen, ModalScreen):
            self._entered_at = self._open_since
        self._enter_asked = False
        held, self._held = self._held, deque()
        await self._too_early([event for event in held if event.time < self._open_since])
        for event in held:
            if event.time >= self._open_since:
                await self._admit(event)

    # -- what came too early --------------------------------------------------------------------
    async def _too_early(self, early: Sequence[events.Key | events.Paste]) -> None:
        """Keys pressed before the screen was painted: text for the box that is up, else no command."""
        for number, event in enumerate(early):
            screen = self._app.screen
            if isinstance(event, events.Paste):
                await self._pasted(event)
            elif isinstance(screen, CommandScreen) and event.key in SCROLLING:
                await self._through(event)
                self._held.extend(early[number + 1 :])
                return
            elif self._box is not None:
                self._type_in(event)
            elif not isinstance(screen, ModalScreen):
                self._keep(event)

    def _type_in(self, event: events.Key) -> None:
        line = self._app.focused
        if isinstance(line, Input) and event.key not in ENTERS and event.is_printable:
            blank = " " if self._broken and line.value else ""
            type_in(line, blank + (event.character or ""))
        self._broken = event.key in ENTERS

    def _keep(self, event: events.Key | events.Paste) -> None:
        """Text that nothing on screen takes: kept in a moment, when all of it has come."""
        if not self._early:
            self._app.set_timer(PASTE_SECONDS + 0.05, self._keep_early)
        if isinstance(event, events.Paste):
            self._early.append(event.text)
        elif event.key in ENTERS:
            self._early.append("\n")
        elif event.is_printable:
            self._early.append(event.character or "")

    def _keep_early(self) -> None:
        text = " ".join("".join(self._early).split())
        self._early.clear()
        if len(text) < WORTH_KEEPING or len(set(text)) < WORTH_KEEPING // 2:
            return
        kept = self._app.keep_for_a_note(text)
        self._say(f"{len(text)} characters came when no box was open: nothing was done with them. {kept}")

    def _say(self, text: str) -> None:
        screen = self._app.screen if self._app.screen_stack else None
        if isinstance(screen, CommandScreen) and screen.is_mounted:
            screen.say(text)
