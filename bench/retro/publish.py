"""From a build to its retrospective on the disk."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from bench.build.session import Build, SystemClock
from bench.retro.markdown import write_up
from bench.retro.model import Story
from bench.retro.story import tell
from bench.retro.write import Written, save

PAGE_NAME = "retrospective.md"


def story_of(build: Build) -> Story:
    """The story of a build as it stands, told in this machine's time zone."""
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    return tell(build.kit, build.plan, build.events, build.progress, now=SystemClock().now().at, zone=zone)


def page_of(build: Build) -> str:
    """The retrospective as Markdown."""
    return write_up(story_of(build))


def publish(build: Build, target: Path | None = None, *, force: bool = False) -> Written:
    """Write the retrospective to a file, beside the log when no other is named; see `write.save`."""
    return save(target or build.log.folder / PAGE_NAME, page_of(build), force=force)
