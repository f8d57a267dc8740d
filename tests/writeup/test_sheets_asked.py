"""The ways to ask for print-outs: the command line, and a key at the bench and at the shelf."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.cli import main
from bench.plain.session import PlainSession
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Choose
from bench.writeup.sheets.publish import CHOICES, SHEETS
from tests.support.kit_values import METRONOME, OSCILLATOR
from tests.support.samples import HandClock
from tests.support.screens import drive, screen_text
from tests.writeup.test_sheets_page import assert_plain, strict, text_of


def under_way(data: Path) -> Build:
    """A build of the smaller kit with one step done; the caller closes it."""
    build = open_build(data, str(METRONOME), Settings(), HandClock())
    build.opened()
    build.done()
    return build


# -- asked for on the command line ----------------------------------------------------------------
@pytest.fixture
def here(tmp_path: Path, own_data: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of its own to work in."""
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_a_kits_sheet_goes_into_the_data_folder_never_unasked_into_this_one(
    here: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    written = own_data / "sheets" / "prompt-desk-metronome-rev-a-stages.html"
    before = set(here.iterdir())
    assert main(["sheet", str(METRONOME)]) == 0
    assert capsys.readouterr().out == f"{written}\n"
    assert "stage by stage" in text_of(assert_plain(written.read_text(encoding="utf-8")))
    assert set(here.iterdir()) - {own_data} == before - {own_data}
    assert main(["sheet", str(METRONOME), str(OSCILLATOR), "--what", "labels", "--out", "both.html"]) == 0
    text = text_of(strict((here / "both.html").read_text(encoding="utf-8")))
    assert "Prompt-desk metronome rev. A" in text
    assert "Twin-board oscillator rev. B" in text


def test_without_a_kit_the_procedure_is_written(
    here: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["sheet", "--procedure", "signal-flow", "--out", "-"]) == 0
    assert "Procedure: signal flow" in text_of(strict(capsys.readouterr().out))
    assert main(["sheet"]) == 0
    assert (own_data / "sheets" / "low-to-high-procedure.html").is_file()
    assert not list(here.glob("*.html"))


def test_a_builds_sheet_lies_beside_its_log(
    here: Path, own_data: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    under_way(own_data).close()
    folder = own_data / "builds" / "prompt-desk-metronome-rev-a"
    for what in (*SHEETS, "all"):
        assert main(["sheet", "prompt-desk-metronome-rev-a", "--what", what]) == 0
        assert_plain((folder / f"sheet-{what}.html").read_text(encoding="utf-8"))
    capsys.readouterr()
    assert main(["sheet", "prompt-desk-metronome-rev-a", "--procedure", "signal-flow"]) == 1
    assert "has a procedure of its own" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--what", "labels"], "of which kit or build?"),
        (["nothing-of-that-name"], "neither a build nor a kit"),
        ([str(METRONOME), "--what", "help"], "only a build can tell that"),
        ([str(METRONOME), "--what", "shortage"], "only a build can tell that"),
        ([str(METRONOME), "--procedure", "no-such"], "there is no procedure"),
        ([str(METRONOME), "--out", "no/such/folder.html"], "cannot be written"),
    ],
)
def test_what_makes_no_sense_is_said_in_a_line_and_writes_nothing(
    arguments: list[str], says: str, here: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["sheet", *arguments]) == 1
    said = capsys.readouterr()
    assert says in said.err
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert not list(here.glob("*.html"))


def test_a_file_of_somebody_else_is_not_replaced(here: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (here / "mine.html").write_text("mine")
    assert main(["sheet", str(METRONOME), "--out", "mine.html"]) == 1
    assert "did not write" in capsys.readouterr().err
    assert (here / "mine.html").read_text(encoding="utf-8") == "mine"
    assert main(["sheet", str(METRONOME), "--out", "mine.html", "--force"]) == 0
    assert "mine.before.html" in capsys.readouterr().err
    assert main(["sheet", str(METRONOME), "--what", "labels", "--out", "mine.html"]) == 0


# -- asked for on screen --------------------------------------------------------------------------
def test_the_list_of_keys_at_the_bench_writes_each_sheet_beside_the_log(tmp_path: Path) -> None:
    build = under_way(tmp_path)
    folder = build.log.folder

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        async def wanted() -> None:
            await pilot.press("question_mark", "slash", *"print-outs", "enter", "enter")
            await pilot.pause()

        await wanted()
        assert isinstance(app.screen, Choose)
        await pilot.press("escape")
        for key, what, _ in CHOICES:
            await wanted()
            await pilot.press(key)
            await pilot.pause(0.2)
            assert "Written:" in screen_text(app)
            assert_plain((folder / f"sheet-{what}.html").read_text(encoding="utf-8"))

    drive(build, tmp_path, act, size=(120, 40))
    build.close()


def test_a_key_at_the_shelf_writes_a_kits_sheet_and_says_what_only_a_build_can_tell(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(METRONOME.parent.parent)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("z", "l")
        await pilot.pause()
        assert "Written:" in screen_text(app)
        (written,) = (tmp_path / "sheets").glob("*-labels.html")
        assert_plain(written.read_text(encoding="utf-8"))
        await pilot.press("z", "h")
        await pilot.pause()
        assert "only a build can tell that" in screen_text(app)

    drive(None, tmp_path, act, size=(200, 60))


def test_the_bench_in_lines_writes_them_too(tmp_path: Path) -> None:
    build = under_way(tmp_path)
    typed, said = iter(["print-outs", "s"]), list[str]()

    def read(prompt: str) -> str:
        try:
            return next(typed)
        except StopIteration:
            raise EOFError from None

    PlainSession(build, Settings(), read, said.append).run()
    assert any(line.startswith("Written: ") for line in said)
    assert_plain((build.log.folder / "sheet-stages.html").read_text(encoding="utf-8"))
    build.close()
