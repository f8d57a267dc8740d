"""Input gate: serialises keys, and takes the next only when the last one's result has been painted.

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
from textual.screen import ModalScreen, Screen
from textual.widgets import Input

from bench.tui.auto_repeat import FIRST_SECONDS, HELD_SECONDS, ONE_WRITE, AutoRepeat
from bench.tui.screens.ask import Ask, type_in
from bench.tui.screens.command_screen import MOVING, CommandScreen
from bench.tui.typed import PRESSED, REPEATED, UNTOLD, burst_of, stroke_of

if TYPE_CHECKING:
    from bench.tui.app import BenchApp

PASTE_SECONDS = 0.1
"""A paste may come in pieces; one that comes this soon after another belongs to it."""
ENTER_SECONDS = 2.0
"""Enter that has ended a question is no command for so long, unless another key is pressed."""
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
        self._repeat = AutoRepeat()
        self._at_once: CommandScreen | None = None
        """Where a press was taken at once that may yet turn out to be the first repeat of a key held down."""
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
        if isinstance(event, events.Key) and self._repeat.heard(event.key, event.time):
            self._take_back()
        if stroke == REPEATED:
            self._doubtful = None
            if isinstance(event, events.Key) and isinstance(self._app.screen, Ask):
                self._app.screen.held(event)
            return
        await self._doubt_over(self._doubtful)
        if stroke == UNTOLD and isinstance(event, events.Key):
            self._doubtful = event
            later = self._app.call_later  # behind keys that have come meanwhile
            self._app.set_timer(HELD_SECONDS, lambda: later(self._doubt_over, event))
            return
        await self._admit(event)

    def _take_back(self) -> None:
        """The key is held down: what its first repeat has done does not count."""
        screen, self._at_once = self._at_once, None
        if screen is not None and screen is self._app.screen:
            screen.call_later(screen.counted_once)

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
        """Classify a key as pressed or auto-repeated: by the terminal's report, else by timing (debounce).

        A command comes once in `repeat_milliseconds`, whatever its key; moving about may repeat. While the key
        of a command is held down it types nothing into the box that the command has opened. `UNTOLD` is what
        may be the first repeat: only more of the same, as fast as no finger can, shows that it was. Where a
        step is only ticked, what is hardly a first repeat counts at once, and is taken back if it was one.
        """
        screen, told = self._app.screen, stroke_of(event)
        placed, meant = isinstance(screen, CommandScreen), self._meaning(event)
        same, gap = meant == self._last_meant or event.key == self._run, event.time - self._last_at
        self._last_meant, self._last_at = meant, event.time
        if gap >= HELD_SECONDS:
            self._at_once = None
        if event.key != self._run and event.key not in MOVING:
            self._run = ""
        least = self._app.settings.repeat_milliseconds / 1000
        if not least or event.key in MOVING:
            return PRESSED
        if told == REPEATED and (placed or event.key == self._run):
            return REPEATED
        if not (same if placed else event.key == self._run):
            return PRESSED
        if gap < least if placed else ONE_WRITE < gap < HELD_SECONDS:
            return REPEATED
        return self._first_repeat(gap, meant) if told == UNTOLD else PRESSED

    def _meaning(self, event: events.Key) -> str:
        """The command of a key, or the key where it has none."""
        screen = self._app.screen
        if not isinstance(screen, CommandScreen):
            return event.key
        command = self._app.keymap.command(screen.place, event.key, event.character)
        if command is None:
            return event.key
        return "done" if command.name in TICKING else command.name

    def _first_repeat(self, gap: float, meant: str) -> str:
        """`UNTOLD` where a key so long after the same one may be its first repeat, else `PRESSED`."""
        screen = self._app.screen
        if not HELD_SECONDS <= gap < FIRST_SECONDS:
            return PRESSED
        if not isinstance(screen, CommandScreen) or not self.is_open or self._repeat.may_be_first(gap):
            return UNTOLD
        if not screen.only_ticks(meant):
            return UNTOLD
        self._at_once = screen
        return PRESSED

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
        self._say("That Enter closed the question; press it again in a moment to use it here.")
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
        if self._box is not None and event.key in ENTERS and burst.many_lines:
            event = events.Key("space", " ")
        if self._box is not None and self._is_text(event):
            await self._app.hand_on(event)
            return
        self._enter_asked = event.key in ENTERS and isinstance(screen, ModalScreen)
        if isinstance(screen, CommandScreen) or event.key == "space":
            self._run = event.key  # a pedal that answers a question ticks nothing while it is held down
        target = self._app.focused or screen
        self._shut()
        turn = self._turn
        await self._app.hand_on(event)
        if not target.call_later(self._handled, turn):
            self._app.call_later(self._handled, turn)

    def _is_text(self, event: events.Key) -> bool:
        """True for a key that only edits the line of the box."""
        screen = self._app.screen
        if isinstance(screen, Ask):
            return not screen.acts_on(event.key)
        return event.key not in (*ENTERS, "escape", "tab") and not event.key.startswith("ctrl+")

    @property
    def _box(self) -> Screen[Any] | None:
        """The question that takes text, if one is up."""
        screen = self._app.screen
        return screen if isinstance(screen, Ask) else None

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

    def takes_an_answer(self) -> bool:
        """False while what is asked is not painted; else Space answers it, and keys wait for what comes."""
        if not self.is_open:
            return False
        self._run = "space"
        self.wait_for_paint()
        return True

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
        self._say(f"{len(text)} characters arrived with no box open; none was used as a command. {kept}")

    def _say(self, text: str) -> None:
        screen = self._app.screen if self._app.screen_stack else None
        if isinstance(screen, CommandScreen) and screen.is_mounted:
            screen.show_message(text)
