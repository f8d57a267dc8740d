"""The sub-command that searches the logs of all builds."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from bench.cli.common import FINE, aside, data_of, plain, print_json, say

if TYPE_CHECKING:
    from bench.log.standing import LogEntry


def _find(args: argparse.Namespace) -> int:
    from bench.cli.builds import folder_of
    from bench.log.event_text import describe
    from bench.session.folders import build_folders
    from bench.ui.log_card import place_of
    from bench.writeup.moments import Calendar

    sought, calendar = " ".join(args.text), Calendar()
    if not sought.strip():
        args.misuse("there is nothing to look for")
    folders = [folder_of(args, args.build)] if args.build else list(build_folders(data_of(args)))
    found = [(folder, title, entry) for folder in folders for title, entry in _in(folder, sought)]
    if args.json:
        rows = [
            {
                "build": folder.name, "title": title, "n": entry.event.n, "at": entry.event.at,
                "event": type(entry.event).__struct_config__.tag, "text": describe(entry.event),
                "stage": entry.place[0], "board": entry.place[1],
            }
            for folder, title, entry in found
        ]  # fmt: skip
        print_json({"found": rows})
        return FINE
    last = ""
    for folder, title, entry in found:
        if folder.name != last:
            say(f"{title}  ({folder.name})")
            last = folder.name
        when, place = calendar.when(entry.event.at), place_of(entry.event)
        say(f"  {when.day} {when.time}  {describe(entry.event)}{f'   [{place}]' if place else ''}")
    if found:
        say(f"Times in {calendar.zone_names(entry.event.at for _, _, entry in found)}.")
        return FINE
    say(f"No entry holds {plain(sought)}.")
    return FINE


def _in(folder: Path, sought: str) -> list[tuple[str, LogEntry]]:
    """The entries of one build that hold what is sought, with the build's title; none of an unreadable log."""

    from bench.errors import SoldersideError
    from bench.log.file import LOG_NAME, read_log
    from bench.log.search import found_in
    from bench.log.unit_names import titled
    from bench.session.own_files import in_use

    try:
        events = read_log(folder / LOG_NAME)[0].events
    except (OSError, SoldersideError) as error:
        aside(f"{folder.name}: {error}")
        return []
    used = in_use(events)
    title = titled(used.title or folder.name, used.unit)
    return [(title, entry) for entry in found_in(events, sought)]
