"""Texts to send to the maker, written beside the log."""

from __future__ import annotations

from pathlib import Path

from bench.log.progress import Progress
from bench.session.build import Build
from bench.writeup.help_request import help_request
from bench.writeup.output_files import save_whole
from bench.writeup.shortage import shortage_text

SHORTAGE_NAME = "shortage.txt"
HELP_NAME = "help-request.txt"


def publish_shortage(
    build: Build, target: Path | None = None, progress: Progress | None = None, *, force: bool = False
) -> Path:
    """Write the shortage list, of all units on the bench where `progress` says nothing else.

    It stands beside the log when no other file is named; see `_write_letter`.
    """
    if progress is None:
        progress = build.beside.with_bags(build.progress) if build.beside else build.progress
    text = shortage_text(build.kit, progress)
    return _write_letter(build, SHORTAGE_NAME, text, target, force=force)


def publish_help_request(
    build: Build, symptom: str = "", target: Path | None = None, *, force: bool = False
) -> Path:
    """Write the text that asks for help, beside the log when no other file is named; see `_write_letter`."""
    return _write_letter(build, HELP_NAME, help_text(build, symptom), target, force=force)


def help_text(build: Build, symptom: str = "") -> str:
    """The text that asks for help; see `help_request.help_request`."""
    return help_request(build.kit, build.plan, build.progress, symptom, build.equipment.meter)


def _write_letter(build: Build, name: str, text: str, target: Path | None, *, force: bool) -> Path:
    """Write a text, beside the log when no other file is named; see `output_files.save_whole`."""
    folder = build.log.folder
    return save_whole(target or folder / name, text.encode(), folder, force=force).path
