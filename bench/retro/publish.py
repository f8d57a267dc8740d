"""From a build to its retrospective on the disk."""

from __future__ import annotations

from pathlib import Path

from bench.build.recorder import SystemClock
from bench.build.session import Build
from bench.retro.disk import save_whole
from bench.retro.helprequest import help_request
from bench.retro.markdown import write_up
from bench.retro.model import Story
from bench.retro.photocopies import COPIES, copy_beside, need_copies
from bench.retro.shortage import shortage_text
from bench.retro.story import tell
from bench.retro.write import Written, save
from bench.retro.zone import LocalZone

PAGE_NAME = "retrospective.md"
SHORTAGE_NAME = "shortage.txt"
HELP_NAME = "help-request.txt"


def story_of(build: Build) -> Story:
    """The story of a build as it stands, told in this machine's time zone."""
    now = SystemClock().now().at
    return tell(build.kit, build.plan, build.events, build.progress, now=now, zone=LocalZone())


def page_of(build: Build) -> str:
    """The retrospective as Markdown; photos are those beside the log."""
    return write_up(story_of(build), COPIES)


def publish(build: Build, target: Path | None = None, *, force: bool = False) -> Written:
    """Write the retrospective to a file, beside the log when no other is named; see `write.save`.

    A page elsewhere gets copies of its photos in a folder of its own beside it: `built-photos` for `built.md`.
    """
    path = target or build.log.folder / PAGE_NAME
    story, folder = story_of(build), COPIES
    if path.absolute().parent != build.log.folder.absolute():
        folder = f"{path.stem}-{COPIES}"
        need_copies(build.log.folder, story.photos)
    written = save(path, write_up(story, folder), force=force)
    if folder != COPIES:
        copy_beside(build.log.folder, story.photos, path.parent / folder)
    return written


def publish_shortage(build: Build, target: Path | None = None, *, force: bool = False) -> Path:
    """Write the shortage list, beside the log when no other file is named; see `_write_letter`."""
    text = shortage_text(build.kit, build.progress)
    return _write_letter(build, SHORTAGE_NAME, text, target, force=force)


def publish_help_request(
    build: Build, symptom: str = "", target: Path | None = None, *, force: bool = False
) -> Path:
    """Write the text that asks for help, beside the log when no other file is named; see `_write_letter`."""
    return _write_letter(build, HELP_NAME, help_text(build, symptom), target, force=force)


def help_text(build: Build, symptom: str = "") -> str:
    """The text that asks for help; see `helprequest.help_request`."""
    return help_request(build.kit, build.plan, build.progress, symptom, build.meter)


def _write_letter(build: Build, name: str, text: str, target: Path | None, *, force: bool) -> Path:
    """Write a text, beside the log when no other file is named; see `disk.save_whole`."""
    folder = build.log.folder
    return save_whole(target or folder / name, text.encode(), folder, force=force).path
