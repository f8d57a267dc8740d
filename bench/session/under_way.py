"""The build that goes on when none is named: the one last worked on that is not finished."""

from __future__ import annotations

import os
from pathlib import Path

from bench.errors import SoldersideError
from bench.files import open_plain
from bench.log import events as ev
from bench.log.clock import Clock
from bench.log.file import LOG_NAME
from bench.log.lines import decoded
from bench.session.build import Build
from bench.session.folders import build_folders, reopen, touched
from bench.session.put_away import is_put_away
from bench.settings import Settings

_TAIL = 65536
"""Bytes of a log in which its end is looked for."""
_REOPENS = (ev.Done, ev.HeldBack, ev.Resumed, ev.KitChanged, ev.Confirmed, ev.Undone, ev.Renamed, ev.Revised)
"""What may leave something to do after all was done."""


def latest_under_way(data: Path, settings: Settings, clock: Clock) -> Build | None:
    """The build last worked on that has something left to do, opened; None where there is none.

    None also where the latest of them cannot be opened: the shelf says why.
    """
    for folder in sorted(build_folders(data), key=touched, reverse=True):
        if is_put_away(folder) or _ends_finished(folder):
            continue
        try:
            build = reopen(data, folder, settings, clock)
        except SoldersideError:
            return None
        if not build.view().finished:
            return build
        build.log.close()
    return None


def _ends_finished(folder: Path) -> bool:
    """Whether the end of the log says that nothing was left to do; False where it does not say."""
    try:
        with open_plain(folder / LOG_NAME, "log") as file:
            size = os.fstat(file.fileno()).st_size
            file.seek(max(0, size - _TAIL))
            lines = file.read(_TAIL).splitlines()
    except (OSError, SoldersideError):
        return False
    for line in reversed(lines):
        try:
            event = decoded(line)
        except ValueError:
            return False
        if isinstance(event, ev.Completed):
            return True
        if isinstance(event, _REOPENS):
            return False
    return False
