"""Taps and the wheel do what keys do: on the foot line, in lists, on the rail."""

from __future__ import annotations

from pathlib import Path

from textual.pilot import Pilot

from bench.session.build import Build
from bench.session.event_writer import SystemClock
from bench.session.folders import open_build
from bench.session.view import StageLine
from bench.settings import Settings, shipped_kits_folder
from bench.tui.app import BenchApp
from bench.tui.mouse import stage_at
from bench.tui.screens.ask import Choose, Sheet
from bench.tui.screens.lists import ListPane
from bench.tui.screens.log import LogScreen
from bench.tui.screens.work import WorkScreen
from bench.tui.widgets.work import Foot, StageRail
from tests.support.screens import drive, screen_text


def make_build(folder: Path, _: object) -> Build:
    kit = shipped_kits_folder() / "first-evening-metronome.yaml"
    return open_build(folder.parent.parent, str(kit), Settings(), SystemClock())


def foot_offset(app: BenchApp, label: str) -> tuple[int, int]:
    """Where a label stands in the foot line."""
    foot = app.screen.query_one(Foot)
    return "".join(text for text, _ in foot.rows[0]).index(label), 0


def test_a_key_of_the_foot_line_is_tapped(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.click(Foot, offset=foot_offset(app, "done"))
        assert len(build.progress.done) == 1
        await pilot.click(Foot, offset=foot_offset(app, "undo"))
        assert not build.progress.done

    drive(build, tmp_path, act)


def test_a_line_is_tapped_and_the_wheel_goes_through_the_list(build: Build, tmp_path: Path) -> None:
    for _ in range(12):
        build.done()

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("l")
        screen = app.screen
        assert isinstance(screen, LogScreen)
        pane = screen.query_one(ListPane)
        tapped = pane.line_at(2)
        assert tapped is not None
        assert tapped != pane.chosen
        await pilot.click(ListPane, offset=(4, 2))
        assert pane.chosen == tapped
        await pilot._post_mouse_events([_down()], ListPane, offset=(4, 2))
        assert pane.chosen == tapped + 3

    drive(build, tmp_path, act)


def _down() -> type:
    from textual.events import MouseScrollDown

    return MouseScrollDown


def test_a_stage_of_the_rail_is_tapped_to_look_at_it(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        rail = app.screen.query_one(StageRail)
        texts = ["".join(text for text, _ in row) for row in rail.rows]
        at = next(number for number, text in enumerate(texts) if "Measure ahead" in text)
        await pilot.click(StageRail, offset=(4, at - rail.top))
        screen = app.screen
        assert isinstance(screen, WorkScreen)
        assert screen.looking is not None
        assert "Measure ahead" in screen_text(app).partition("step 1 of")[0]
        assert not build.progress.done

    drive(build, tmp_path, act, (120, 40))


def test_stages_of_one_name_are_told_apart_by_their_board() -> None:
    def line(name: str, board: str) -> StageLine:
        return StageLine(name=name, board=board, state="ahead", steps_done=0, steps=1, seconds=0.0, hold=False)

    stages = [line("Parts that lie flat", "main"), line("Parts that lie flat", "control"), line("Wiring", "")]
    rows = [
        ((text, "plain"),)
        for text in (" main ──", "  Parts that lie", "   flat", " control", "  Parts that lie")
    ]
    assert [stage_at(rows, at, stages) for at in (1, 2, 4)] == [0, 0, 1]
    flat = [((text, "plain"),) for text in ("  Parts that… · main 4", "  Parts that… · control 4", "Wiring  1")]
    assert [stage_at(flat, at, stages) for at in range(3)] == [0, 1, 2]
    assert stage_at(flat, 9, stages) is None


def test_the_look_is_switched_in_the_program_and_kept(build: Build, tmp_path: Path) -> None:
    settings = tmp_path / "settings.toml"
    settings.write_text('# mine\ntheme = "dark"\n[keys]\ndone = "space"\n', encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("f3")
        assert app.theme.removesuffix("-16") == "bench-light"
        assert settings.read_text(encoding="utf-8") == '# mine\ntheme = "light"\n[keys]\ndone = "space"\n'
        await pilot.press("f3")
        assert app.theme.removesuffix("-16") == "bench-contrast"
        assert "Look: contrast" in screen_text(app)

    drive(build, tmp_path, act)


def test_an_answer_is_tapped(build: Build, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        chosen: list[str | None] = []
        app.push_screen(Choose("Which?", [("s", "this"), ("n", "none")]), chosen.append)
        await pilot.pause()
        sheet = app.screen.query_one("#ask-choices", Sheet)
        row = next(at for at, spans in enumerate(sheet.rows) if "none" in "".join(text for text, _ in spans))
        await pilot.click(sheet, offset=(6, row))
        assert chosen == ["n"]

    drive(build, tmp_path, act)
