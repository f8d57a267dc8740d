"""Several units of one kit: each gets a number or a name in its log."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Iterable, Sequence
from pathlib import Path

from bench.errors import SoldersideError
from bench.log.clock import Clock
from bench.log.file import LOG_NAME, LogFile, first_event, read_log
from bench.log.unit_names import numbered, same_name, unit_words
from bench.session.event_writer import EventWriter
from bench.session.own_files import in_use
from bench.session.typed_text import unit_name
from bench.session.which_build import Related


def number_units(units: Sequence[Related], clock: Clock) -> None:
    """Give each unit that has no name its number, in the order in which they were begun.

    One that is open in another window, or cannot be written, stays without.
    """
    listed = sorted(units, key=lambda each: begun.at if (begun := first_event(each.folder)) else "")
    for each, name in zip(listed, numbered(each.unit for each in listed), strict=True):
        if each.unit:
            continue
        with contextlib.suppress(SoldersideError, OSError), LogFile(each.folder) as log:
            before = log.path.stat()
            EventWriter(log, clock).name_unit(name)
            os.utime(log.path, ns=(before.st_atime_ns, before.st_mtime_ns))  # nobody worked on it


def rename_unit(folder: Path, others: Iterable[Path], name: str, clock: Clock) -> tuple[str, str]:
    """Call a build by another name among the units of its kit; returns the name before and the one now.

    `others` are the folders of all builds.

    Raises SoldersideError when another unit of the kit has that name, or the build cannot be written.
    """
    name = unit_name(name)
    with LogFile(folder) as log:
        used = in_use(log.events)
        for other in others:
            if other.name == folder.name or (begun := first_event(other)) is None or begun.kit != used.title:
                continue
            if same_name(in_use(read_log(other / LOG_NAME)[0].events).unit, name):
                raise SoldersideError(f"{other.name} is {unit_words(name)} already", "", "choose another name")
        EventWriter(log, clock).name_unit(name)
    return used.unit, name
