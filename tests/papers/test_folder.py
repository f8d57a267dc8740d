"""All papers of a kit in a folder: the list is read, what else is there is laid beside it."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.cli import main
from bench.errors import SoldersideError
from bench.kit.load import load_kit
from bench.papers.folder import missing, read_folder
from bench.tui.app import BenchApp
from bench.tui.screens.parts_list import ListScreen
from tests.support.boards import FORMATS
from tests.support.pdfs import drawn_only, placement_drawing, table
from tests.support.screens import drive, screen_text

ROWS = [["Ref", "Value"], ["R1", "10k"], ["R2", "12k"], ["C1", "100n"], ["U1", "NE555"], ["J1", "out"]]


@pytest.fixture
def papers(tmp_path: Path) -> Path:
    """The papers of the bell: a list, its board file, a page of strokes, somebody's shopping list."""
    folder = tmp_path / "papers"
    folder.mkdir()
    (folder / "bell.pdf").write_bytes(table(ROWS, ruled=True))
    (folder / "bell.kicad_pcb").write_text(FORMATS["KiCad 8"])
    (folder / "layout.pdf").write_bytes(drawn_only())
    (folder / "other.csv").write_text("Ref,Value\nQ7,BC547\nL9,1mH\n")
    return folder


def test_the_list_is_read_and_the_board_laid_beside_it(papers: Path) -> None:
    work, given = read_folder(papers)
    said = {each.path.name: each.said for each in given}
    assert said["bell.pdf"] == "the list: 5 designators"
    assert said["bell.kicad_pcb"].endswith("3 of 4 designators agree (75 %)")
    assert "strokes" in said["layout.pdf"]
    assert said["other.csv"] == "2 designators"
    assert [doubt.refs for doubt in work.reading.doubts if doubt.kind == "other paper"] == [("R2",)]
    assert work.reading.placement is not None
    assert not any("where the parts sit" in each for each in missing(work.reading))


def test_a_drawing_gives_the_places_when_there_is_no_board_file(papers: Path) -> None:
    (papers / "bell.kicad_pcb").unlink()
    places = {
        "R1": (10.0, 10.0),
        "R2": (30.0, 10.0),
        "C1": (10.0, 30.0),
        "U1": (30.0, 30.0),
        "J1": (50.0, 20.0),
    }
    work, _ = read_folder(papers)
    assert any("where the parts sit" in each for each in missing(work.reading))
    (papers / "drawing.pdf").write_bytes(placement_drawing(places, (60.0, 40.0)))
    work, given = read_folder(papers)
    assert work.reading.placement is not None
    assert {each.path.name: each.said for each in given}["drawing.pdf"].startswith("5 places")


def test_a_folder_without_a_list_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "layout.pdf").write_bytes(drawn_only())
    with pytest.raises(SoldersideError, match="no parts list was found in this folder"):
        read_folder(tmp_path)


def test_a_folder_becomes_a_kit_on_the_command_line(
    papers: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["read", str(papers), "--kit", str(tmp_path / "bell.yaml")]) == 0
    out = capsys.readouterr().out
    assert "bell.pdf: the list: 5 designators" in out
    assert "Missing: supply, panel width" in out
    (board,) = load_kit(tmp_path / "bell.yaml").boards
    assert {ref for line in board.parts if line.positions for ref in line.refs} == {"R1", "R2", "C1", "U1"}


def test_all_papers_of_a_folder_are_read_on_screen_with_one_key(
    papers: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(papers)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("a")
        for _ in range(600):  # they are read beside the screen
            if isinstance(app.screen, ListScreen):
                break
            await pilot.pause(0.01)
        await pilot.pause()
        assert isinstance(app.screen, ListScreen)
        text = screen_text(app)
        assert "bell.pdf: the list: 5 designators" in text
        assert "R2: 12k here, 10k in bell.kicad_pcb" in text
        assert "missing: supply, panel width" in text

    drive(None, tmp_path, act, (120, 40))


def test_of_two_lists_the_one_that_fits_the_board_is_read(papers: Path) -> None:
    """A later revision's list with one part more does not take the place of the board's own."""
    board = ["Ref,Value", "R1,10k", "R2,10k", "C1,100n", "U1,NE555"]
    (papers / "bell.pdf").unlink()
    (papers / "bom-a.csv").write_text("\n".join(board))
    (papers / "bom-b.csv").write_text("\n".join([*board, "R3,1k", "R4,2k"]))
    work, given = read_folder(papers)
    assert work.name.endswith("bom-a.csv")
    said = next(each.said for each in given if each.path.name == "bom-a.csv")
    assert "it fits the board best" in said
    assert "bom-b.csv" in said
