"""Speech: a program of the builder's choice reads one line from its standard input and speaks it.

No shell is involved, and nothing waits: a thread of its own starts the program, and the newest sentence takes
the place of the one being spoken.
"""

from __future__ import annotations

import contextlib
import re
import shlex
import subprocess
from threading import Condition, Thread

from bench.session.view import StepView
from bench.settings import Settings
from bench.ui.aloud import for_the_ear, step_aloud

_SPEAKS = 0.05
"""Seconds between two looks whether something newer is to be said."""
_PATIENCE = 1.0
"""Seconds that a program has to end once it is told to."""


class Speaker:
    """Speaks the newest sentence with a command such as `espeak-ng`."""

    def __init__(self, command: str) -> None:
        self._words = shlex.split(command)
        self._newest: str | None = None
        self._changed = Condition()
        self._over = False
        self._trouble = ""
        self._told = False
        self._thread: Thread | None = None

    def say(self, text: str) -> None:
        """Speak this instead of what is being spoken; returns at once."""
        with self._changed:
            self._newest = text
            if self._thread is None:
                self._thread = Thread(target=self._run, name="speech", daemon=True)
                self._thread.start()
            self._changed.notify()

    def trouble(self) -> str:
        """What keeps the program from speaking, once; empty when nothing does, or it was told."""
        if not self._trouble or self._told:
            return ""
        self._told = True
        return self._trouble

    def close(self) -> None:
        """Say nothing more, and end what is being spoken."""
        with self._changed:
            self._over = True
            self._changed.notify()
        if self._thread is not None:
            self._thread.join(2 * _PATIENCE)

    def _run(self) -> None:
        while True:
            with self._changed:
                self._changed.wait_for(lambda: self._over or self._newest is not None)
                if self._over:
                    return
                text, self._newest = self._newest or "", None
            try:
                if text:
                    self._speak(text)
            except OSError as error:
                self._trouble = f"Not spoken: {self._words[0]} cannot be started ({error.strerror})."
                return

    def _speak(self, text: str) -> None:
        """Speak a line to its end, or until there is something newer."""
        program = subprocess.Popen(
            self._words, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        try:
            with contextlib.suppress(OSError):  # it reads nothing
                assert program.stdin is not None
                program.stdin.write(f"{text}\n".encode())
                program.stdin.close()
            while program.poll() is None and not self._wait_for_news():
                pass
        finally:
            _end(program)

    def _wait_for_news(self) -> bool:
        """Wait a moment; True as soon as there is something newer, or nothing more to say."""
        with self._changed:
            return self._changed.wait_for(lambda: self._over or self._newest is not None, _SPEAKS)


def _end(program: subprocess.Popen[bytes]) -> None:
    if program.poll() is None:
        program.terminate()
        try:
            program.wait(_PATIENCE)
        except subprocess.TimeoutExpired:
            program.kill()
            program.wait()


class Voice:
    """What of the bench is spoken, and when."""

    def __init__(self, settings: Settings) -> None:
        """`settings.speak` names the program."""
        self._speaker = Speaker(settings.speak)
        self.trouble, self.close = self._speaker.trouble, self._speaker.close
        self._quiet_on_film = not settings.speak_while_filming
        self._filming = False
        self._told = ""
        """What was told since a step was last shown."""
        self._heard = ""
        """The sentence of the step on hand."""

    def show(self, view: StepView) -> None:
        """Speak a step when it is another one than before, behind what was told of the one before."""
        sentence = step_aloud(view)
        told, self._told = self._told, ""
        if sentence != self._heard:
            self._heard = sentence
            self._say(f"{told} {sentence}".strip())

    def tell(self, text: str) -> None:
        """Speak a verdict, or that a wait is over: what it is and why, not which keys there are."""
        self._told = for_the_ear(" ".join(re.split(r"(?<=[.!?]) +", text)[:2]))
        self._say(self._told)

    def again(self) -> None:
        """Speak the step once more, and from now on, also if a clip is being filmed."""
        self._filming = False
        self._speaker.say(self._heard)

    def filming(self) -> None:
        """A clip begins: silence until `again`, where the settings ask for it."""
        self._filming = self._quiet_on_film
        if self._filming:
            self._speaker.say("")

    def _say(self, text: str) -> None:
        if not self._filming:
            self._speaker.say(text)


NO_VOICE = 'Nothing is spoken: write speak = "espeak-ng" into settings.toml.'
"""Said when something is to be heard again and the settings name no program."""


def voice_of(settings: Settings) -> Voice | None:
    """The voice that the settings ask for."""
    return Voice(settings) if settings.speak else None
