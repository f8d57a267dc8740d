"""Logs that earlier programs wrote: each still opens, is written on, and tells the story that it told then.

Each archive in `old/` is the folder of a build with `told.json`, the article's data as the program of that
day gave it. `every-event` holds each event there was, with a kit that was edited twice; `three-evenings` is a
whole build; `torn-without-checksums` is older than the checksums of lines, and the power failed while its last
line was written.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import pytest

from bench.cli import main
from bench.log.events import tag_of
from bench.log.file import LOG_NAME, LogFile
from bench.session.folders import open_build
from bench.settings import Settings
from tests.support.samples import HandClock

OLD = sorted(Path(__file__).with_name("old").glob("*.zip"))
NOT_OF_THE_LOG = {"told_at", "zone", "day", "time", "forecast", "alikes", "kinds"}
"""What the article says of the day and place it is written in, or of the plan."""
SENTENCES = {"summary", "advice", "how", "title", "about"}
TOLD_BETTER = {
    "moves",  # a stage begins when the one before is done, as in the film, not with its own first part
    "began", "first", "ended",  # a sitting lasts from its opening to its closing
    "chapters",  # of a clip: they fit what a player shows, and a show is called by its title
    "kind",  # of a snag: what went into another's place is in the wrong place, no wrong value
    "close",  # a reading too close to call was accepted, whatever the reason was worded like
}  # fmt: skip
PASSED_OVER = NOT_OF_THE_LOG | SENTENCES | TOLD_BETTER


@pytest.fixture(params=OLD, ids=lambda path: path.stem)
def folder(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    """The folder of a build from then, in a data folder of its own."""
    found: Path = tmp_path / "builds" / request.param.stem
    with ZipFile(request.param) as archive:
        archive.extractall(found)
    return found


def whole_lines(folder: Path) -> list[bytes]:
    """The lines of the log but a torn one."""
    return [line for line in (folder / LOG_NAME).read_bytes().splitlines(keepends=True) if line.endswith(b"\n")]


def lost(told: Any, tells: Any, at: str = "") -> Iterator[str]:
    """Where what was told is told no longer, or otherwise."""
    if isinstance(told, dict) and isinstance(tells, dict):
        for name in told.keys() - PASSED_OVER:
            yield from lost(told[name], tells.get(name), f"{at}.{name}")
    elif isinstance(told, list) and isinstance(tells, list) and len(told) == len(tells):
        for number, (old, new) in enumerate(zip(told, tells, strict=True)):
            yield from lost(old, new, f"{at}[{number}]")
    elif told != (pytest.approx(tells) if isinstance(tells, float) else tells):
        yield f"{at}: {told!r} is now {tells!r}"


def test_it_tells_the_same_story(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    told = json.loads((folder / "told.json").read_bytes())
    assert main(["article", folder.name, "--json", "--data", str(folder.parent.parent)]) == 0
    assert not [*lost(told, json.loads(capsys.readouterr().out))]


def test_each_event_is_known_and_none_passed_over(folder: Path) -> None:
    assert [tag_of(each) for each in LogFile(folder, read_only=True).events] == [
        json.loads(line)["event"] for line in whole_lines(folder)
    ]


def test_it_is_written_on_and_what_stood_there_stays(folder: Path) -> None:
    stood = b"".join(whole_lines(folder))
    before = LogFile(folder, read_only=True).events
    build = open_build(folder.parent.parent, folder.name, Settings(), HandClock(utc=1_960_000_000.0))
    build.opened()
    build.note("many years later")
    build.close()
    assert (folder / LOG_NAME).read_bytes().startswith(stood)
    assert LogFile(folder, read_only=True).events[: len(before)] == before
    assert build.progress.notes[-1].text == "many years later"
