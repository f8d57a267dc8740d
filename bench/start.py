"""From the command line to the first readable step, as fast as it goes."""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from bench.settings import Settings

if TYPE_CHECKING:
    from bench.log.clock import Clock
    from bench.plain.place import GoTo
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
    units: Sequence[str] = (),
) -> int:
    """Open a build, and run until the builder leaves.

    None named: the build last worked on that is not finished, or the shelf where nothing is under way.

    `plain` talks in lines instead of on a screen, as the settings or a terminal without a cursor (`TERM=dumb`)
    ask for. `again`, `go_on`, `unit`, `units` and `procedure_given` are those of `open_bench`; where neither of
    the first two is given and it matters, the builder is asked. Raises SoldersideError, before anything is on
    screen, when the build cannot be opened.
    """
    os.environ.setdefault("TEXTUAL_FPS", "240")  # read once, when Textual is imported
    gc.disable()  # until the first screen is up: nothing made before that is garbage
    from bench.session.event_writer import SystemClock
    from bench.settings import SETTINGS_NAME, where_key_stands
    from bench.ui.commands import keymap_faults

    wrong = keymap_faults(
        settings.keys, str(data / SETTINGS_NAME), lambda name: where_key_stands(settings, data, name)
    )
    if wrong:
        from bench.errors import FileFaults

        raise FileFaults(wrong)
    plain = _wants_lines(settings, plain=plain)
    clock = SystemClock()
    build, asked = None, None
    if named is None:
        from bench.session.under_way import latest_under_way

        build = latest_under_way(data, settings, clock)
        if build is not None:
            from bench.session.together import with_the_others

            build = with_the_others(data, build, settings, clock)
    else:
        from bench.session.together import open_bench
        from bench.session.which_build import WhichBuild

        opening = partial(
            open_bench, data, named, settings, clock, units=units, procedure_given=procedure_given
        )
        try:
            build = opening(again=again, go_on=go_on, unit=unit)
        except WhichBuild as error:
            if not _is_terminal(sys.stdin):
                raise
            if plain:
                again = _ask_which(error.what)
                build = opening(again=again, go_on=not again, unit=unit if again else "")
            asked = error.what
    if plain:
        return _in_lines(data, build, settings, clock)
    if not (_is_terminal(sys.stdin) and _is_terminal(sys.stdout)):
        from bench.errors import SoldersideError

        if build is not None:
            build.close()
        raise SoldersideError("the bench needs a terminal", "", "run it in one, not through a pipe")
    from bench.tui.app import BenchApp
    from bench.ui.commands import Keymap
    from bench.ui.forms import welcome

    app = BenchApp(data, settings, clock, build, welcome(build, Keymap(settings.keys)) if build else "")
    app.procedure_given, app.units = procedure_given, units
    app.which = (named, asked) if named is not None and asked is not None else None
    try:
        app.run(mouse=settings.mouse)
    finally:
        app.close_build()  # on no way out is a build left without its last event
    return app.return_code or 0


def _wants_lines(settings: Settings, *, plain: bool) -> bool:
    """Whether to talk in lines: asked for, set, or because the terminal has no cursor, which is said."""
    if os.environ.get("TERM") == "dumb" and not (plain or settings.plain) and sys.stdin is not None:
        print("This terminal (TERM=dumb) has no cursor to draw a screen with: plain lines.", flush=True)
        return True
    if (plain or settings.plain) and sys.stdin is None:
        from bench.errors import SoldersideError

        raise SoldersideError("the input is closed", "", "run it in a terminal, or give it lines to read")
    return plain or settings.plain


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


def _in_lines(data: Path, build: Build | None, settings: Settings, clock: Clock) -> int:
    """The bench and the shelf in plain lines, over stdin and stdout."""
    from shutil import get_terminal_size

    from bench.estimate.history import know
    from bench.plain.place import Place
    from bench.plain.reader import LineReader
    from bench.plain.session import PlainSession, desk_of
    from bench.plain.shelf import Shelf
    from bench.session.waits import WaitWatch
    from bench.ui.text import clean, wrap

    wrapped = _is_terminal(sys.stdout) or "COLUMNS" in os.environ

    def say(line: str) -> None:
        said = clean(line, 2_000)
        print("\n".join(wrap(said, get_terminal_size().columns) if wrapped else (said,)), flush=True)

    reader = LineReader(say)
    ending = _Ending(reader)
    waits = WaitWatch()
    while True:
        try:
            place: Place
            if build is None:
                place = Shelf(desk_of(settings, ending.read, say, data))
                place.desk.news = lambda: iter(waits.due(None))
            else:
                build.equipment.reminders = know(data, settings).reminders
                place = PlainSession(build, settings, ending.read, say, data, waits)
            desk = place.desk
            reader.news = desk.news
            place.run()
        finally:
            if build is not None:
                build.close()
        if desk.go_to is None:
            return ending.code
        build = _opened(data, settings, clock, desk.go_to, say) if desk.go_to.named else None


def _opened(data: Path, settings: Settings, clock: Clock, to: GoTo, say: Callable[[str], None]) -> Build | None:
    """The build of a name, where need be after asking which; None, with the reason said, where it cannot be."""
    from bench.errors import SoldersideError
    from bench.session.together import open_bench
    from bench.session.which_build import WhichBuild

    try:
        try:
            return open_bench(data, to.named, settings, clock, again=to.again, unit=to.unit)
        except WhichBuild as error:
            new = _ask_which(error.what)
            return open_bench(data, to.named, settings, clock, again=new, go_on=not new)
    except SoldersideError as error:
        for fault in error.faults:
            say(f"{fault}.")
        return None


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
