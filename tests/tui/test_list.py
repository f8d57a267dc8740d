"""A maker's list becomes a kit on screen, driven by keys as a builder would."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from bench.kit.load import load_kit
from bench.tui.app import BenchApp
from bench.tui.screens.ask import Ask
from bench.tui.screens.list_columns import ColumnsScreen
from bench.tui.screens.list_files import ListFilesScreen
from bench.tui.screens.parts_list import ListScreen
from bench.tui.screens.shelf import ShelfScreen
from bench.tui.screens.work import WorkScreen
from tests.support.bad_pdfs import pages
from tests.support.boards import FORMATS
from tests.support.screens import SIZES, drive, hostile_at, screen_text

LIST = 'Ref,Qty,Value\n"R1, R2, R3",3,10k\nR5,1,22k\nR1,1,47k\nC1,1,banana\nU1,1,TL072\nTotal,,8\n'
ODD = "Part,Reference,Typ,Shop\n10k,R1,metal,left\n22k,R2,metal,left\n100n,C1,film,left\n"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder where the program is started, with two lists in it."""
    here = tmp_path / "here"
    (here / "lists").mkdir(parents=True)
    (here / "bom.csv").write_text(LIST, encoding="utf-8")
    (here / "lists" / "odd.csv").write_text(ODD, encoding="utf-8")
    (here / "picture.png").write_bytes(b"\x89PNG\r\n\x1a\n")
    monkeypatch.chdir(here)
    return here


async def open_list(pilot: Pilot[None], *keys: str) -> None:
    """From the shelf to the list."""
    await pilot.press("r")
    await pilot.pause()
    await pilot.press(*keys, "enter")
    await pilot.pause()


async def clear(pilot: Pilot[None]) -> None:
    """Nothing stands in the line any more."""
    await pilot.press("ctrl+u", "ctrl+k")


def kits(data: Path) -> list[str]:
    return sorted(path.name for path in (data / "kits").glob("*"))


@pytest.mark.parametrize("size", SIZES)
def test_what_was_read_and_the_first_doubt_with_its_answers_show_at_every_size(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        text = screen_text(app)
        assert "4 questions left" in text
        assert "question    3  R4: number" in text
        assert "line 3: R5,1,22k" in text
        assert " 1 a part is missing from the list" in text
        assert " y R4 is not used" in text

    drive(None, tmp_path, act, size)


def test_the_files_at_hand_are_listed_and_a_path_is_completed(tmp_path: Path, folder: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r")
        await pilot.pause()
        assert isinstance(app.screen, ListFilesScreen)
        assert "bom.csv" in screen_text(app)
        assert "odd.csv" in screen_text(app)
        assert "picture.png" not in screen_text(app)
        await pilot.press("t", *"lists/o", "tab", "enter")
        await pilot.pause()
        assert isinstance(app.screen, ListScreen)
        assert app.screen.work.name == "lists/odd.csv"

    drive(None, tmp_path, act)


def test_a_path_that_cannot_be_read_stands_in_its_box_again_with_the_reason(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r", "t")
        for name, why in (("picture.png", "picture"), ("nowhere.csv", "no such file")):
            await pilot.press("ctrl+u", *name, "enter")
            await pilot.pause()
            assert isinstance(app.screen, Ask)
            assert app.screen.query_one(Input).value == name
            assert why in screen_text(app)
        await pilot.press("ctrl+u", *"bom.csv", "enter")
        await pilot.pause()
        assert isinstance(app.screen, ListScreen)

    drive(None, tmp_path, act)


def test_a_file_of_a_line_that_cannot_be_read_is_told_on_a_page(folder: Path, tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r")
        (folder / "bom.csv").unlink()
        await pilot.press("enter")
        await pilot.pause()
        assert "bom.csv cannot be read" in screen_text(app)

    drive(None, tmp_path, act)


def test_one_key_answers_a_doubt_goes_on_to_the_next_and_is_taken_back(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("y")
        assert "answered    3  R4 is not used" in screen_text(app)
        await pilot.press("2")
        text = screen_text(app)
        assert "Answered: R1 is 47k, as in line 4." in text
        assert "part        2    2 x 10k            R2, R3" in text
        assert "> question    5  C1: the value 'banana'" in text
        await pilot.press("u")
        assert "Undone: R1 is 47k" in screen_text(app)
        assert "part        2    3 x 10k            R1-R3" in screen_text(app)
        await pilot.press("u", "u")
        assert "Nothing was decided yet" in screen_text(app)

    drive(None, tmp_path, act, (120, 40))


def test_an_answer_that_is_typed_is_checked_before_it_counts(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("1")
        await clear(pilot)
        await pilot.press(*"banana", "enter")
        assert "Answered" not in screen_text(app)
        assert "R3 = 10k" in screen_text(app)
        await clear(pilot)
        await pilot.press(*"R4 = 1k", "enter")
        await pilot.pause()
        assert "added R4 1k" in screen_text(app)
        assert "number not used" not in screen_text(app)
        await pilot.press("9", "6")
        assert "This question has no answer 6" in screen_text(app)

    drive(None, tmp_path, act, (120, 40))


def test_a_line_is_changed_taken_out_and_a_line_passed_over_taken_in(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("right")
        assert "> part        2" in screen_text(app)
        await pilot.press("down", "e")
        await pilot.press("enter")
        await clear(pilot)
        await pilot.press(*"33k", "enter", "enter", "enter")
        await pilot.pause()
        assert "1 x 33k            R5" in screen_text(app)
        await pilot.press("x")
        assert "22k" not in screen_text(app).split("skip ")[0].replace("R5,1,22k", "")
        assert "(taken out by hand)" in screen_text(app)
        await pilot.press("right", "n")
        await clear(pilot)
        await pilot.press(*"4 x M3 screw", "enter")
        await pilot.pause()
        assert "4 x M3 screw" in screen_text(app)

    drive(None, tmp_path, act, (120, 40))


def test_a_column_is_given_another_role_and_the_list_is_read_again_at_once(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot, "down")
        assert "1 x 10k" in screen_text(app)
        await pilot.press("c")
        await pilot.pause()
        assert isinstance(app.screen, ColumnsScreen)
        text = screen_text(app)
        assert "Reference  designators" in text
        assert "metal, film" in text
        await pilot.press("down", "down", "enter", "v")
        assert "Read again: 3 designators" in screen_text(app)
        assert "Typ        values" in screen_text(app)
        await pilot.press("escape")
        assert "1 x metal" in screen_text(app)
        await pilot.press("u")
        assert "1 x 10k" in screen_text(app)

    drive(None, tmp_path, act)


def test_the_kit_is_written_stands_on_the_shelf_and_the_build_begins(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("y", "2", "o")
        await clear(pilot)
        await pilot.press(*"Moth filter", "enter", *"Tin Shed", "enter")
        await pilot.pause()
        assert "A path that ends in .yaml" in screen_text(app)
        await pilot.press("enter")
        await pilot.pause()
        assert kits(tmp_path) == ["moth-filter.yaml"]
        kit = load_kit(tmp_path / "kits" / "moth-filter.yaml")
        assert (kit.name, kit.maker) == ("Moth filter", "Tin Shed")
        text = (tmp_path / "kits" / "moth-filter.yaml").read_text(encoding="utf-8")
        assert "# ? line 5 of the list: C1: the value 'banana' was not understood" in text
        assert "answered: R1 is 47k" in text
        await pilot.press("b")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        assert app.build is not None
        assert app.build.kit.name == "Moth filter"
        await pilot.press("k")
        await pilot.pause()
        assert "Moth filter" in screen_text(app)

    drive(None, tmp_path, act)


def test_a_file_that_is_there_is_replaced_only_when_asked_to(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        path = tmp_path / "kits" / "bom.yaml"
        path.parent.mkdir()
        path.write_text("mine", encoding="utf-8")
        await pilot.press("o", "enter", "enter", "enter")
        await pilot.pause()
        assert "already exists" in " ".join(screen_text(app).split())
        await pilot.press("escape")
        assert path.read_text(encoding="utf-8") == "mine"
        await pilot.press("o", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("r")
        await pilot.pause()
        assert load_kit(path).name == "bom"
        await pilot.press("s")
        await pilot.pause()
        assert isinstance(app.screen, ShelfScreen)

    drive(None, tmp_path, act)


def test_what_a_maker_s_columns_hold_is_used_for_the_next_list_and_forgotten_with_a_key(
    tmp_path: Path, folder: Path
) -> None:
    (folder / "lists" / "next.csv").write_text(ODD.replace("metal", "carbon"), encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r", "t", *"lists/odd.csv", "enter")
        await pilot.pause()
        await pilot.press("c", "down", "down", "enter", "v", "escape", "o", "enter", *"Lantern Yard")
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert "Saved for Lantern Yard" in " ".join(screen_text(app).split())
        await pilot.press("escape", "escape", "t", *"lists/next.csv", "enter")
        await pilot.pause()
        assert "remembered for Lantern Yard" in screen_text(app)
        assert "1 x carbon" in screen_text(app)
        await pilot.press("c", "f")
        assert "1 kind of list forgotten" in screen_text(app)
        await pilot.press("p", "escape")
        assert "1 x 10k" in screen_text(app)
        assert isinstance(app.screen, ListScreen)
        assert app.screen.work.lists == ()

    drive(None, tmp_path, act, (120, 40))


def test_a_damaged_file_of_makers_is_told_and_the_kit_is_written_all_the_same(tmp_path: Path) -> None:
    (tmp_path / "makers.toml").write_text("list = [", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        assert "this is not TOML" in screen_text(app)
        await pilot.press("left", "left", "down")
        assert "makers.toml" in screen_text(app)
        assert "Mend the file" in screen_text(app)
        await pilot.press("o", "enter", *"Tin", "enter", "enter")
        await pilot.pause()
        assert kits(tmp_path) == ["bom.yaml"]
        assert "Nothing is kept for this maker" in " ".join(screen_text(app).split())
        assert (tmp_path / "makers.toml").read_text(encoding="utf-8") == "list = ["

    drive(None, tmp_path, act, (120, 40))


def test_answers_are_kept_when_the_builder_leaves(tmp_path: Path) -> None:
    async def settle_one(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("y", "q")

    async def come_back(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        assert "1 answer from last time was restored" in screen_text(app)
        assert "answered    3  R4 is not used" in screen_text(app)

    drive(None, tmp_path, settle_one, (120, 40))
    drive(None, tmp_path, come_back, (120, 40))


def test_every_line_can_be_read_in_full_with_the_lines_around_it(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("up", "up", "enter")
        await pilot.pause()
        assert "Read as comma-separated columns" in " ".join(screen_text(app).split())
        assert "Columns" in screen_text(app)
        await pilot.press("escape", "down", "down", "enter")
        await pilot.pause()
        assert "lines 1 to" in screen_text(app)
        await pilot.press("escape")
        assert isinstance(app.screen, ListScreen)

    drive(None, tmp_path, act)


@hostile_at((40, 12), (1, 1), (120, 40))
def test_any_text_in_a_list_shows_as_text_and_breaks_nothing(
    tmp_path: Path, folder: Path, text: str, size: tuple[int, int]
) -> None:
    rows = f"Ref,Value,{text}\nR1,{text},a\nR1,10k,{text}\nR2,{text},\n{text}\n# {text} board\nR1,1k,x\n"
    (folder / "bom.csv").write_text(rows, encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        for key in ("1", "escape", "y", "enter", "escape", "right", "e", "escape", "right", "n", "escape", "c"):
            await pilot.press(key)
            await pilot.pause()
            assert "\x1b" not in screen_text(app)
            assert "\u202e" not in screen_text(app)
        await pilot.press("enter", "escape", "escape", "end")
        await pilot.resize_terminal(80, 24)
        await pilot.press("o", "enter", "enter", "enter")
        await pilot.pause()
        await pilot.press("escape")
        assert "\x1b" not in screen_text(app)

    drive(None, tmp_path, act, size)


def test_a_list_without_parts_is_no_kit_yet(tmp_path: Path, folder: Path) -> None:
    (folder / "bom.csv").write_text("nothing to build here\n", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("o")
        assert "There are no parts in this list yet" in screen_text(app)
        await pilot.press("n", *"R1 = 10k", "enter")
        await pilot.pause()
        assert "added by hand: R1 10k" in screen_text(app)

    drive(None, tmp_path, act)


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (40, 12)])
def test_an_answer_that_a_full_disk_does_not_keep_is_told_as_such(
    size: tuple[int, int], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        with monkeypatch.context() as patch:
            patch.setattr("bench.kit.write.write_whole", full)
            await pilot.press("y")
            await pilot.pause()
            said = " ".join(screen_text(app).split())
            assert "memory only" in said
            assert size[0] < 100 or "Answered" in said
        await pilot.press("y")
        await pilot.pause()
        assert "memory only" not in screen_text(app)

    drive(None, tmp_path, act, size)


def test_another_paper_is_laid_beside_the_list_and_each_contradiction_settled_in_one_key(
    tmp_path: Path, folder: Path
) -> None:
    (folder / "bom.csv").write_text("Ref,Value\nR1,10k\nR2,12k\nC1,100n\nU1,NE555\n", encoding="utf-8")
    (folder / "bell.brd").write_text(FORMATS["EAGLE"], encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("t", *"bom.csv", "enter")
        await pilot.pause()
        await pilot.press("+", *"bell.b", "tab", "enter")
        await pilot.pause()
        text = screen_text(app)
        assert "3 of 4 designators agree" in text
        assert "R2: 12k here, 10k in bell.brd" in text
        assert "take 10k, as bell.brd says" in text
        await pilot.press("1")
        await pilot.pause()
        assert "Answered: R2: take 10k, as bell.brd says." in screen_text(app)
        assert isinstance(app.screen, ListScreen)
        assert not app.screen.work.settled.questions
        await pilot.press("o", "enter", "enter", "enter")
        await pilot.pause()

    drive(None, tmp_path, act)
    (board,) = load_kit(next((tmp_path / "kits").glob("*.yaml"))).boards
    assert {ref: line.value for line in board.parts for ref in line.refs}["R2"] == "10k"
    assert all(line.positions for line in board.parts)


def test_a_paper_that_cannot_be_read_leaves_the_list_as_it_is(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await open_list(pilot)
        await pilot.press("+", *"picture.png", "enter")
        await pilot.pause()
        assert "picture" in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, ListScreen)
        assert app.screen.work.state.others == ()

    drive(None, tmp_path, act)


@pytest.mark.parametrize("stopped", [False, True], ids=["to its end", "stopped"])
def test_a_long_guide_is_read_beside_the_screen_and_can_be_stopped(
    tmp_path: Path, folder: Path, monkeypatch: pytest.MonkeyPatch, stopped: bool
) -> None:
    (folder / "bom.csv").unlink()
    (folder / "lists" / "odd.csv").unlink()
    (folder / "bom.pdf").write_bytes(pages(20))
    told: list[str] = []
    show = ListFilesScreen.show_message

    def watch(screen: ListFilesScreen, text: str, *, standing: bool = False) -> None:
        told.append(text)
        show(screen, text, standing=standing)
        if stopped and ": page 3 of 20" in text:
            screen.do_back()  # as Escape does, before the reading is over

    monkeypatch.setattr(ListFilesScreen, "show_message", watch)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("r")
        await pilot.pause()
        await pilot.press("enter")
        for _ in range(600):
            if isinstance(app.screen, ListScreen) or "Stopped" in told[-1]:
                break
            await pilot.pause(0.01)
        at = [text for text in told if ": page " in text]
        assert at[0] == "Reading bom.pdf: page 1 of 20. escape: stop."
        assert len(at) == (3 if stopped else 20)
        assert isinstance(app.screen, ListFilesScreen if stopped else ListScreen)
        assert (told[-1] == "Stopped: nothing read.") == stopped

    drive(None, tmp_path, act)
