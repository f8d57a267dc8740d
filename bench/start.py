"""From the command line to the first readable step, as fast as it goes."""

from __future__ import annotations

import gc
import io
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from bench.settings import Settings

if TYPE_CHECKING:
    from bench.build.session import Build


def run(data: Path, settings: Settings, named: str | None, *, again: bool = False, plain: bool = False) -> int:
    """Open a build, or the shelf when none is named, and run until the builder leaves.

    `plain` talks in lines instead of on a screen; it needs a build. Raises BenchError, before anything is on
    screen, when the build cannot be opened.
    """
    os.environ.setdefault("TEXTUAL_FPS", "240")  # read once, when Textual is imported
    gc.disable()  # until the first screen is up: nothing made before that is garbage
    from bench.build.recorder import SystemClock
    from bench.settings import SETTINGS_NAME
    from bench.tui.commands import keymap_faults

    wrong = keymap_faults(settings.keys, str(data / SETTINGS_NAME))
    if wrong:
        from bench.errors import FileFaults

        raise FileFaults(wrong)
    clock = SystemClock()
    build = None
    if named is not None:
        from bench.build.folders import open_build

        build = open_build(data, named, settings, clock, again=again)
    if plain and build is not None:
        return _in_lines(data, build, settings)
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        from bench.errors import BenchError

        if build is not None:
            build.log.close()
        raise BenchError("the bench needs a terminal", "", "run it in one, not through a pipe")
    from bench.tui.app import BenchApp
    from bench.tui.commands import Keymap
    from bench.tui.forms import welcome

    app = BenchApp(data, settings, clock, build, welcome(build, Keymap(settings.keys)) if build else "")
    app.run()
    return app.return_code or 0


def _in_lines(data: Path, build: Build, settings: Settings) -> int:
    """The bench in plain lines, over stdin and stdout."""
    from bench.build.record import know
    from bench.plain.bench import PlainBench
    from bench.plain.talk import typed_line
    from bench.tui.text import clean

    if isinstance(sys.stdin, io.TextIOWrapper):
        sys.stdin.reconfigure(errors="replace")  # a line that is not in the terminal's code is no fault

    def say(line: str) -> None:
        print(clean(line, 2_000), flush=True)

    try:
        build.reminders = know(data, settings).reminders
        PlainBench(build, settings, typed_line, say, data).run()
    finally:
        build.close()
    return 0
