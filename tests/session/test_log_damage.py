"""Damage to a log is told wherever a build is met: on screen, in plain lines, in the list of builds."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.cli import main
from bench.log.file import LOG_NAME
from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.screens.log import LogScreen
from tests.support.screens import drive, screen_text

KIT = str(shipped_kits_folder() / "first-evening-metronome.yaml")


def damaged(data: Path) -> Build:
    """A build in whose log one byte was changed and one number is wrong."""
    build = open_build(data, KIT, Settings(), SystemClock())
    for _ in range(6):
        build.done()
    folder = build.log.folder
    build.close()
    path = folder / LOG_NAME
    lines = path.read_bytes().splitlines(keepends=True)
    lines[2] = lines[2].replace(b'"value":"', b'"value":"X', 1)
    lines[5] = lines[4]
    path.write_bytes(b"".join(lines))
    return open_build(data, folder.name, Settings(), SystemClock())


def test_plain_lines_say_what_is_wrong_with_the_log_before_the_first_step(tmp_path: Path) -> None:
    build = damaged(tmp_path)
    said: list[str] = []

    def no_more(prompt: str) -> str:
        raise EOFError

    PlainSession(build, Settings(), no_more, said.append).run()
    build.close()
    assert said[0] == ("Line 3 of the log: changed after it was written (its checksum does not fit), skipped.")
    assert said[1] == "Line 6 of the log: event 5 again, as in line 5, skipped."


def test_the_screen_says_it_at_the_opening_and_the_log_lists_all_of_it(tmp_path: Path) -> None:
    build = damaged(tmp_path)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("k", "enter")
        await pilot.pause()
        text = " ".join(screen_text(app).split())
        assert "Line 3 of the log: changed after it was written" in text
        await pilot.press("l")
        await pilot.pause()
        assert isinstance(app.screen, LogScreen)
        text = screen_text(app)
        assert "Line 3 of the log" in text
        assert "Line 6 of the log: event 5 again" in text
        await pilot.press("escape", "m", "h")
        await pilot.pause()
        assert app.is_running

    drive(build, tmp_path, act, (120, 40))


def test_the_list_of_builds_tells_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    damaged(tmp_path).close()
    assert main(["builds", "--data", str(tmp_path)]) == 0
    assert "log.jsonl:3: changed after it was written" in capsys.readouterr().out
