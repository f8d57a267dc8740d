"""From the command line to the first readable step, as fast as it goes."""

from __future__ import annotations

import gc
import io
import os
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from bench.settings import Settings

if TYPE_CHECKING:
    from bench.session.build import Build


def run(
    data: Path,
    settings: Settings,
    named: str | None,
    *,
    again: bool = False,
    go_on: bool = False,
    unit: str = "",
    procedure_given: bool = False,
    plain: bool = False,
) -> int:
    """Open a build, or the shelf when none is named, and run until the builder leaves.

    `plain` talks in lines instead of on a screen; it needs a build. `again`, `go_on`, `unit` and
    `procedure_given` are those of `open_build`; where neither of the first two is given and it matters, the
    builder is asked. Raises SoldersideError, before anything is on screen, when the build cannot be opened.
    """
    os.environ.setdefault("TEXTUAL_FPS", "240")  # read once, when Textual is imported
    gc.disable()  # until the first screen is up: nothing made before that is garbage
    from bench.session.event_writer import SystemClock
    from bench.settings import SETTINGS_NAME
    from bench.ui.commands import keymap_faults

    wrong = keymap_faults(settings.keys, str(data / SETTINGS_NAME))
    if wrong:
        from bench.errors import FileFaults

        raise FileFaults(wrong)
    if plain and sys.stdin is None:
        from bench.errors import SoldersideError

        raise SoldersideError("the input is closed", "", "run it in a terminal, or give it lines to read")
    clock = SystemClock()
    build, asked = None, None
    if named is not None:
        from bench.session.folders import open_build
        from bench.session.which_build import WhichBuild

        try:
            build = open_build(
                data,
                named,
                settings,
                clock,
                again=again,
                go_on=go_on,
                unit=unit,
                procedure_given=procedure_given,
            )
        except WhichBuild as error:
            if not _is_terminal(sys.stdin):
                raise
            if plain:
                again = _ask_which(error.what)
                build = open_build(
                    data,
                    named,
                    settings,
                    clock,
                    again=again,
                    go_on=not again,
                    unit=unit if again else "",
                    procedure_given=procedure_given,
                )
            asked = error.what
    if plain and build is not None:
        return _in_lines(data, build, settings)
    if not (_is_terminal(sys.stdin) and _is_terminal(sys.stdout)):
        from bench.errors import SoldersideError

        if build is not None:
            build.log.close()
        raise SoldersideError("the bench needs a terminal", "", "run it in one, not through a pipe")
    from bench.tui.app import BenchApp
    from bench.ui.commands import Keymap
    from bench.ui.forms import welcome

    app = BenchApp(data, settings, clock, build, welcome(build, Keymap(settings.keys)) if build else "")
    app.procedure_given = procedure_given
    app.which = (named, asked) if named is not None and asked is not None else None
    try:
        app.run()
    finally:
        app.close_build()  # on no way out is a build left without its last event
    return app.return_code or 0


def _ask_which(question: str) -> bool:
    """Ask in a line whether a kit file begins a new build; False: it goes on with the one there is."""
    from bench.errors import SoldersideError
    from bench.ui.text import clean

    print(clean(f"{question[:1].upper()}{question[1:]} g: go on, n: a new build.", 2_000), flush=True)
    while True:
        try:
            answer = input("? ").strip()
        except EOFError:
            raise SoldersideError("no answer was given", "", "use --go-on or --again") from None
        if answer in ("g", "n"):
            return answer == "n"
        print("Type g or n.", flush=True)


def _is_terminal(stream: TextIO | None) -> bool:
    """False also for a stream that was closed before the program began, which Python gives as None."""
    return stream is not None and stream.isatty()


def _in_lines(data: Path, build: Build, settings: Settings) -> int:
    """The bench in plain lines, over stdin and stdout."""
    from bench.estimate.history import know
    from bench.plain.session import PlainSession
    from bench.plain.talk import typed_line
    from bench.ui.text import clean

    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")  # a line that is not in the terminal's code is no fault

    def say(line: str) -> None:
        print(clean(line, 2_000), flush=True)

    ending = _Ending(typed_line)
    try:
        build.reminders = know(data, settings).reminders
        PlainSession(build, settings, ending.read, say, data).run()
    finally:
        build.close()
    return ending.code


class _Ending:
    """Signals that end the program: the input ends, between two lines and never in the middle of an event."""

    def __init__(self, read: Callable[[str], str]) -> None:
        self.code = 0
        self._read = read
        self._reading = False
        for name in ("SIGTERM", "SIGHUP", "SIGINT"):
            if hasattr(signal, name):
                signal.signal(getattr(signal, name), self._end)

    def _end(self, number: int, _: object) -> None:
        self.code = 128 + number
        if self._reading:
            raise EOFError

    def read(self, prompt: str) -> str:
        """A line; raises EOFError at the end of the input, and after a signal."""
        if self.code:
            raise EOFError
        self._reading = True
        try:
            return self._read(prompt)
        except OSError as error:  # the terminal is gone
            raise EOFError from error
        finally:
            self._reading = False
