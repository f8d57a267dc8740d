"""From the command line to the first readable step, as fast as it goes."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path

from bench.settings import Settings


def run(data: Path, settings: Settings, named: str | None, *, again: bool = False) -> int:
    """Open a build, or the shelf when none is named, and run until the builder leaves.

    Raises BenchError, before anything is on screen, when the build cannot be opened.
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
    if not (sys.stdin.isatty() and sys.stdout.isatty()):
        from bench.errors import BenchError

        if build is not None:
            build.log.close()
        raise BenchError("the bench needs a terminal", "", "run it in one, not through a pipe")
    from bench.tui.app import BenchApp, welcome

    app = BenchApp(data, settings, clock, build, welcome(build) if build else "")
    app.run()
    return app.return_code or 0
