"""What is typed and cannot be recorded stands in its box again, with the reason, wherever it was asked for."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.pilot import Pilot
from textual.widgets import Input

from bench.errors import Refused
from bench.log.file import LogFile
from bench.session.build import Build
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.danger import DangerScreen
from bench.tui.screens.shelf import ShelfScreen
from bench.ui.danger_forms import WORDS
from tests.support.samples import HandClock, small_kit, small_plan
from tests.support.screens import drive, screen_text
from tests.support.trim_bench import trim_build
from tests.tui.test_list import LIST

TROUBLES = [errno.ENOSPC, errno.EIO]


class Disk:
    """A disk that fails while it is told to."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.fails = 0
        sync = os.fsync

        def fsync(handle: int) -> None:
            if self.fails:
                raise OSError(self.fails, os.strerror(self.fails))
            sync(handle)

        monkeypatch.setattr("os.fsync", fsync)


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Disk:
    return Disk(monkeypatch)


def line(app: BenchApp) -> str:
    """What stands in the box that is up."""
    assert isinstance(app.screen, Ask), app.screen
    return app.screen.query_one(Input).value


async def answer(pilot: Pilot[None], *answers: str) -> None:
    """Type answers over what stands in the lines."""
    for each in answers:
        await pilot.press("ctrl+u", *each, "enter")
        await pilot.pause()


def flat(app: BenchApp) -> str:
    return " ".join(screen_text(app).split())


AT_THE_BENCH = {
    "note": ("n", ("pad R4 lifted",)),
    "snag": ("s", ("solder bridge", "R1", "", "3")),
    "tip": ("mt", ("begin with R4",)),
    "worth showing": ("mw", ("the first light",)),
    "photo": ("mp", ("the board before",)),
    "substitute": ("mx", ("R1", "11k", "none left")),
    "erratum": ("me", ("R9 is not on the board",)),
    "joints": (" ", ("12",)),
}
ELSEWHERE = {
    "count": ("cn", ("9",)),
    "other part": ("cx", ("a 12k", "sent so")),
    "measured": ("cr", ("9k9",)),
    "label": ("/0e", ("the first clap",)),
    "clip": ("/n", ("one.mp4", "2030-03-17 12:00:00", "60")),
}


@pytest.mark.parametrize("asked", [*AT_THE_BENCH, *ELSEWHERE])
def test_a_failed_record_brings_the_box_back_with_the_text(
    build: Build, tmp_path: Path, disk: Disk, asked: str
) -> None:
    way, answers = (AT_THE_BENCH | ELSEWHERE)[asked]

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        while not isinstance(app.screen, Ask):  # a stage takes some steps, then its joints are asked for
            await pilot.press(*way)
            await pilot.pause()
        assert isinstance(app.screen, Ask)
        before = build.progress.events
        for trouble in TROUBLES:
            disk.fails = trouble
            await answer(pilot, *answers)
            assert line(app) == answers[0]
            assert os.strerror(trouble) in flat(app)
            assert build.progress.events == before
        disk.fails = 0
        for each in answers:
            assert line(app) == each
            await pilot.press("enter")
            await pilot.pause()
        assert not isinstance(app.screen, Ask)
        assert answers[0] in build.log.path.read_text(encoding="utf-8")
        assert not drafts(tmp_path)

    drive(build, tmp_path, act)


def drafts(data: Path) -> str:
    """What stands in the file of drafts, without the marks of an empty one."""
    path = data / "drafts.json"
    return path.read_text(encoding="utf-8").strip("[]\n ") if path.exists() else ""


def test_what_is_refused_stands_in_its_box_again(
    build: Build, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise Refused("not now", "", "")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("n")
        with monkeypatch.context() as patch:
            patch.setattr(build, "note", refuse)
            await answer(pilot, "R4 is dull")
        assert line(app) == "R4 is dull"
        assert "Not now." in flat(app)
        await pilot.press("enter")
        assert build.progress.notes[-1].text == "R4 is dull"

    drive(build, tmp_path, act)


def test_points_of_a_pass_stand_in_their_line_again(tmp_path: Path, disk: Disk) -> None:
    build = trim_build(tmp_path / "builds" / "one", to_trims=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await pilot.pause()
        await answer(pilot, "0 65.4", "1 130.8", "2 261.")
        for trouble in TROUBLES:
            disk.fails = trouble
            await pilot.press("enter")
            await pilot.pause()
            assert os.strerror(trouble) in flat(app)
            assert "3 typed." in flat(app)
        disk.fails = 0
        await pilot.press("enter")
        await pilot.pause()
        assert [len(each.points) for each in build.progress.passes] == [3]
        assert not drafts(tmp_path)

    drive(build, tmp_path, act)


def test_a_pass_that_is_given_up_keeps_its_points(tmp_path: Path) -> None:
    build = trim_build(tmp_path / "builds" / "one", to_trims=True)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("a", "n")
        await pilot.pause()
        await answer(pilot, "0 65.4", "1 130.8")
        await pilot.press("ctrl+u", *"2 26", "escape")
        await pilot.pause()
        assert "kept" in flat(app)
        assert not build.progress.passes
        await pilot.press("n")
        await pilot.pause()
        assert line(app) == "0 65.4, 1 130.8, 2 26"
        await pilot.press(*"1.6", "enter")
        await pilot.pause()
        assert [len(each.points) for each in build.progress.passes] == [3]
        assert not drafts(tmp_path)

    drive(build, tmp_path, act)


def test_a_kit_by_hand_that_cannot_be_written_keeps_name_and_place(tmp_path: Path, disk: Disk) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, ShelfScreen)
        await pilot.press("n")
        await answer(pilot, "Hill tone")
        place = str(tmp_path / "mine.yaml")
        for trouble in TROUBLES:
            disk.fails = trouble
            await answer(pilot, place)
            assert line(app) == place
            assert os.strerror(trouble) in flat(app)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("n")
        await pilot.pause()
        assert line(app) == "Hill tone"
        await pilot.press("enter")
        await pilot.pause()
        assert line(app) == place
        disk.fails = 0
        await pilot.press("enter")
        await pilot.pause()
        assert "Written:" in flat(app)
        assert "Hill tone" in Path(place).read_text(encoding="utf-8")
        assert not drafts(tmp_path)

    drive(None, tmp_path, act)


def test_a_name_that_is_taken_is_said_in_its_box(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        (tmp_path / "mine.yaml").write_text("by hand", encoding="utf-8")
        await pilot.press("n")
        await answer(pilot, "Hill tone", str(tmp_path / "mine.yaml"))
        assert line(app).endswith("mine.yaml")
        assert "there already" in flat(app)
        await answer(pilot, str(tmp_path / "other.yaml"))
        assert (tmp_path / "other.yaml").exists()
        assert (tmp_path / "mine.yaml").read_text(encoding="utf-8") == "by hand"

    drive(None, tmp_path, act)


@pytest.mark.parametrize("there", [False, True])
def test_a_list_whose_kit_cannot_be_written_keeps_what_was_typed(
    tmp_path: Path, disk: Disk, monkeypatch: pytest.MonkeyPatch, *, there: bool
) -> None:
    (tmp_path / "bom.csv").write_text(LIST, encoding="utf-8")
    other = LIST.replace("22k", "33k")
    (tmp_path / "other-bom.csv").write_text(other, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    place = tmp_path / "mine.yaml"
    if there:
        place.write_text("old", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r", "enter")
        await pilot.pause()
        await pilot.press("o")
        await pilot.pause()
        await answer(pilot, "Hill tone", "Lantern Yard")
        disk.fails = errno.ENOSPC
        await answer(pilot, str(place))
        if there:
            await pilot.press("r")
            await pilot.pause()
            assert place.read_text(encoding="utf-8") == "old"
        assert line(app) == str(place)
        assert os.strerror(errno.ENOSPC) in flat(app)
        await pilot.press("escape")
        await pilot.pause()
        await pilot.press("o")
        await pilot.pause()
        assert line(app) == "Hill tone"
        await pilot.press("escape", "escape", "down", "enter")
        await pilot.pause()
        await pilot.press("o")
        await pilot.pause()
        assert line(app) != "Hill tone", "another list has a name of its own"
        await pilot.press("escape", "escape", "up", "enter")
        disk.fails = 0
        await pilot.pause()
        await pilot.press("o")
        for expected in ("Hill tone", "Lantern Yard", str(place)):
            await pilot.pause()
            assert line(app) == expected
            await pilot.press("enter")
        await pilot.pause()
        if there:
            await pilot.press("r")
            await pilot.pause()
        assert "Written:" in flat(app)
        assert "Hill tone" in place.read_text(encoding="utf-8")
        assert "Hill tone" not in drafts(tmp_path)

    drive(None, tmp_path, act)


def test_what_can_kill_keeps_the_name_and_never_the_words(tmp_path: Path, disk: Disk) -> None:
    kit = replace(small_kit(), hazards=("mains",))
    build = Build(kit, small_plan(), LogFile(tmp_path / "one"), HandClock())

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        for _ in range(4):
            build.done()
        await pilot.press("escape", "space")
        await answer(pilot, "my rule", "")
        disk.fails = errno.EIO
        await answer(pilot, WORDS)
        assert isinstance(app.screen, DangerScreen)
        assert line(app) == "my rule"
        assert os.strerror(errno.EIO) in flat(app)
        disk.fails = 0
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert line(app) == ""
        await pilot.press(*WORDS, "escape", "space", "enter", "enter")
        await pilot.pause()
        assert line(app) == "", "typed and given up"
        assert build.progress.danger_owned is None
        await answer(pilot, WORDS)
        assert build.progress.danger_owned is not None

    drive(build, tmp_path, act)
