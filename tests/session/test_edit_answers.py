"""What a kit edited in mid-build asks of the builder, on screen and in plain lines, and what an answer does."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.errors import Refused
from bench.plain.session import PlainSession
from bench.session.folders import read_back
from bench.session.summaries import summaries
from bench.settings import Settings
from bench.tui.app import BenchApp
from tests.support.edited_kit import KIT, R7, built, open_items, opened, put, to_the_end
from tests.support.screens import drive, screen_text


def test_what_is_done_again_needs_no_answer_and_its_checks_are_open_again(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7)
    build = opened(tmp_path)
    assert build.next_step is not None
    assert build.view().open_again == "R7 on main: 47k is now 470R"
    assert not build.view().alikes or all("in already" not in str(warned) for warned in build.view().alikes)
    build.done()
    assert build.kit_watch.changes() == ()
    step = build.next_step
    assert step is not None
    assert step.action == "check"
    assert "went in after this was checked" in build.view().open_again
    if build.view().wants_reading:
        with pytest.raises(Refused):
            build.done()
    build.close()
    again = opened(tmp_path)  # a check that waits is not closed by opening
    assert again.next_step == step
    to_the_end(again)
    assert again.view().finished
    again.close()


def test_an_edit_that_is_taken_back_closes_what_it_opened(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7)
    opened(tmp_path).close()
    put(tmp_path)
    build = opened(tmp_path)
    assert open_items(build) == set()
    assert build.view().finished
    build.close()


def test_saying_so_can_be_taken_back(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7)
    build = opened(tmp_path)
    build.kit_watch.right_as_it_is(build.kit_watch.changes()[0])
    assert open_items(build) == set()
    assert "right as it is" in build.undo()
    assert open_items(build) == {"main/R7"}
    build.close()


def test_a_new_name_carries_the_history(tmp_path: Path) -> None:
    put(tmp_path)
    build = opened(tmp_path)
    to_the_end(build)
    build.snag("cold joint", "R7")
    build.close()
    put(tmp_path, ("name: main", "name: mother"))
    build = opened(tmp_path)
    (change,) = build.kit_watch.changes()
    build.kit_watch.right_as_it_is(change)
    assert open_items(build) == set()
    assert "main" not in {place[1] for place in build.progress.stage_seconds}
    build.close()
    again = opened(tmp_path)
    assert again.view().finished
    again.undo()
    assert len(open_items(again)) > 10
    again.close()


def test_a_part_of_another_name_can_be_another_part(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, ("refs: Q1,", "refs: Q9,"))
    build = opened(tmp_path)
    (change,) = build.kit_watch.changes()
    build.kit_watch.another_part(change)
    assert build.kit_watch.changes() == ()
    assert open_items(build) == {"main/Q9"}
    build.close()


def test_a_build_that_is_only_read_is_shown_as_its_log_says(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7)
    name = next((tmp_path / "data" / "builds").iterdir())
    _, progress, build = read_back(tmp_path / "data", name, Settings())
    assert len(progress.reopened) == 0
    build.log.close()


def test_the_list_of_builds_tells_what_no_longer_agrees(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7)
    (before,) = summaries(tmp_path / "data", Settings())
    assert before.edits == ("R7 on main: 47k is now 470R",)
    opened(tmp_path).close()
    (after,) = summaries(tmp_path / "data", Settings())
    assert after.edits == ("R7 on main: 47k is now 470R",)
    assert not after.finished


def test_plain_lines_tell_and_ask_the_same(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7, ("refs: Q1,", "refs: Q9,"))
    build = opened(tmp_path)
    typed, said = iter(["=", "y", "y"]), list[str]()

    def read(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(), read, said.append).run()
    assert any("R7 on main: 47k is now 470R. It is open again" in line for line in said)
    assert {"y: the same part.", "n: another part."} <= set(said)
    assert build.kit_watch.changes() == ()
    assert open_items(build) == set()
    build.close()


def test_opened_by_its_name_a_build_goes_by_its_copy_and_says_that_the_file_changed(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7)
    name = next((tmp_path / "data" / "builds").iterdir()).name
    build = opened(tmp_path, name)
    assert build.kit_watch.changes() == ()
    assert any("the kit file has changed since: open" in remark for remark in build.log.remarks)
    build.close()


def test_what_agrees_no_longer_is_answered_on_screen(tmp_path: Path) -> None:
    built(tmp_path)
    put(tmp_path, R7, ("BC547", "BC557"), ("refs: R8,", "refs: R18,"))
    build = opened(tmp_path)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.pause()
        await pilot.pause()
        assert "47k is now 470R" in screen_text(app)
        await pilot.press("space", "enter")
        assert len(build.kit_watch.changes()) == 3
        await pilot.press("y")
        assert len(build.kit_watch.changes()) == 2
        await pilot.press("u")
        assert len(build.kit_watch.changes()) == 3
        await pilot.press("down", "down", "n")
        assert {change.sort for change in build.kit_watch.changes()} == {"changed"}
        await pilot.press("a")
        assert build.kit_watch.changes() == ()
        await pilot.press("escape")
        assert "22k" in screen_text(app)

    drive(build, tmp_path, act, (80, 24))


def test_a_danger_that_comes_with_an_edit_is_answered_for_anew(tmp_path: Path) -> None:
    deadly = KIT.replace("supply:", "hazards: [high voltage]\nsupply:")
    put(tmp_path, base=deadly)
    build = opened(tmp_path)
    while not build.view().danger:
        build.done()
    build.own_danger("I do, licensed for it")
    assert not build.view().danger
    build.close()
    put(tmp_path, ("[high voltage]", "[high voltage, mains]"), base=deadly)
    build = opened(tmp_path)
    assert "mains" in build.view().danger
    with pytest.raises(Refused, match="can kill"):
        build.done()
    build.close()
