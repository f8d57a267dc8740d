"""Several units of one kit: each has a name or a number from its start, wherever the build is named."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from bench.cli import main
from bench.errors import SoldersideError
from bench.session.build import Build
from bench.session.folders import open_build, procedure_of, read_back
from bench.session.summaries import summaries
from bench.session.under_way import latest_under_way
from bench.session.which_build import rename_unit
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.writeup.sheets.publish import job_for, page
from bench.writeup.story import tell
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text

KIT = "fog-filter"
TITLE = "Fog filter rev. A"


def opened(data: Path, named: str = KIT, **how: Any) -> Build:
    return open_build(data, named, Settings(), HandClock(), **how)


def units(data: Path) -> dict[str, str]:
    return {each.name: each.unit for each in summaries(data, Settings())}


def test_one_unit_alone_has_no_name_until_a_second_one_is_begun(tmp_path: Path) -> None:
    first = opened(tmp_path)
    first.close()
    assert first.title == TITLE
    second = opened(tmp_path, again=True)
    assert second.title == f"{TITLE}, unit 2"
    assert second.view().kit == second.title
    second.close()
    assert units(tmp_path) == {"fog-filter-rev-a": "unit 1", "fog-filter-rev-a-2": "unit 2"}
    assert opened(tmp_path, "fog-filter-rev-a").title == f"{TITLE}, unit 1"


def test_numbering_the_first_unit_does_not_make_it_the_build_last_worked_on(tmp_path: Path) -> None:
    first = opened(tmp_path)
    first.close()
    before = (first.log.path).stat().st_mtime_ns
    second = opened(tmp_path, again=True)
    second.close()
    assert first.log.path.stat().st_mtime_ns == before
    latest = latest_under_way(tmp_path, Settings(), HandClock())
    assert latest is not None
    assert latest.log.folder == second.log.folder


def test_a_unit_is_begun_and_found_again_by_its_name(tmp_path: Path) -> None:
    opened(tmp_path).close()
    anna = opened(tmp_path, unit="Anna")
    anna.close()
    assert anna.log.folder.name == "fog-filter-rev-a-anna"
    assert opened(tmp_path, unit=" anna ").log.folder == anna.log.folder
    assert opened(tmp_path, unit="unit 1").log.folder.name == "fog-filter-rev-a"
    with pytest.raises(SoldersideError, match="already"):
        opened(tmp_path, again=True, unit="anna")
    with pytest.raises(SoldersideError, match="is a build"):
        opened(tmp_path, "fog-filter-rev-a-anna", unit="Bert")


@pytest.mark.parametrize("name", ["", "   ", "x" * 41])
def test_a_name_of_no_use_is_refused(tmp_path: Path, name: str) -> None:
    build = opened(tmp_path)
    with pytest.raises(SoldersideError):
        build.writer.name_unit(name)


def test_the_name_is_on_paper_in_the_article_and_its_data(tmp_path: Path) -> None:
    opened(tmp_path).close()
    opened(tmp_path, unit="Anna").close()
    _, _, build = read_back(tmp_path, tmp_path / "builds" / "fog-filter-rev-a-anna", Settings())
    story = tell(build.kit, build.plan, build.events)
    assert (story.title, story.kit, story.unit) == (f"{TITLE}, Anna", TITLE, "Anna")
    job = job_for(build, procedure_of(build, Settings()), Settings())
    for what in ("stages", "labels"):
        assert f"{TITLE}, Anna" in page([job], what)


def test_renaming_on_the_command_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    opened(tmp_path).close()
    opened(tmp_path, again=True).close()
    data = ["--data", str(tmp_path)]
    assert main(["rename", "fog-filter-rev-a-2", "Bert", *data]) == 0
    assert capsys.readouterr().out.startswith("fog-filter-rev-a-2 is Bert now, was unit 2.")
    assert main(["rename", "fog-filter-rev-a", "bert", *data]) == 1
    assert "fog-filter-rev-a-2 is bert already" in capsys.readouterr().err
    assert main(["builds", "--json", *data]) == 0
    told = json.loads(capsys.readouterr().out)["builds"]
    assert {each["name"]: each["unit"] for each in told} == {
        "fog-filter-rev-a": "unit 1",
        "fog-filter-rev-a-2": "Bert",
    }


def test_a_build_that_is_open_elsewhere_is_not_renamed(tmp_path: Path) -> None:
    first = opened(tmp_path)
    with pytest.raises(SoldersideError, match="another window"):
        rename_unit(first.log.folder, [], "Anna", HandClock())
    assert not first.progress.unit


def test_the_shelf_asks_what_a_second_unit_is_called_and_renames(tmp_path: Path) -> None:
    opened(tmp_path).close()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.press("a")
        await pilot.pause()
        assert app.screen.query_one("#ask-title")
        assert app.screen.query_one("#ask-line").value == "2"  # type: ignore[attr-defined]
        await pilot.press(*"Anna", "enter")
        await pilot.pause()
        assert app.build is not None
        assert app.build.title == f"{TITLE}, Anna"
        assert f"{TITLE}, Anna" in screen_text(app)
        await pilot.press("k")
        await pilot.pause()
        assert f"{TITLE}, unit 1" in screen_text(app)
        await pilot.press("m", *"Bert", "enter")
        await pilot.pause()
        assert f"{TITLE}, Bert" in screen_text(app)

    drive(None, tmp_path, act)
