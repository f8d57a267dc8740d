"""The batch on screen, driven by keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from bench.batch.store import BATCH_NAME, Batch, load_batch, save_batch
from bench.tui.app import BenchApp
from bench.tui.screens.batch import BatchScreen
from bench.tui.screens.shelf import ShelfScreen
from bench.tui.screens.work import WorkScreen
from tests.support.batch_bench import kit_file, three_kits, work
from tests.support.kit_values import KITS
from tests.support.screens import HOSTILE, SIZES, Act, drive, screen_text

CASE = {"width": "12 HP", "depth": "40 mm", "rails": {"+12 V": "1 A"}}


def on_batch(data: Path, kits: list[Path], act: Act, size: tuple[int, int] = (80, 24), **batch: object) -> None:
    """Run the app with these kits in the batch, and its screen open."""
    save_batch(data, Batch(kits=tuple(map(str, kits)), **batch))  # type: ignore[arg-type]

    async def begin(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("v")
        await pilot.pause()
        assert isinstance(app.screen, BatchScreen)
        await act(pilot, app)

    drive(None, data, begin, size, case=CASE)


def in_order(app: BenchApp, *titles: str) -> bool:
    text = screen_text(app)
    places = [text.index(title) for title in titles]
    return places == sorted(places)


@pytest.mark.parametrize("size", SIZES)
def test_place_title_progress_and_reason_stand_at_every_size(tmp_path: Path, size: tuple[int, int]) -> None:
    kits = three_kits(tmp_path)
    work(tmp_path, kits[0], "+12 V and 0 V")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        text = screen_text(app)
        assert in_order(app, " 1  Voice rev. A", " 2  Supply rev. A", " 3  Filter rev. A")
        assert "3 kits, easiest first" in text
        assert " %" in text
        assert "!" in text
        assert "done, at Before power" in " ".join(text.split())
        assert "1. Voice rev. A: one board" in " ".join(text.split())
        assert all(len(line) <= size[0] for line in text.splitlines())

    on_batch(tmp_path, kits, act, size)


def test_the_shelf_puts_a_line_in_and_takes_it_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    kits = three_kits(tmp_path)
    build = work(tmp_path, kits[0], "+12 V and 0 V")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert isinstance(app.screen, ShelfScreen)
        await pilot.press("b", "down", "down", "down", "b")  # the easiest kits stand first
        await pilot.pause()
        filter_file = str(kits[2].resolve())
        assert load_batch(tmp_path).kits == (build.log.folder.name, filter_file)
        text = screen_text(app)
        assert "2 in the batch" in text
        assert text.count("+ ") == 2
        await pilot.press("b")
        assert load_batch(tmp_path).kits == (build.log.folder.name,)
        await pilot.press("up", "up", "up", "b")
        assert load_batch(tmp_path).kits == ()
        await pilot.pause()
        assert "in the batch, marked" not in screen_text(app)

    drive(None, tmp_path, act)


def test_a_build_whose_kit_file_is_in_the_batch_is_taken_out_by_its_line(tmp_path: Path) -> None:
    kits = three_kits(tmp_path)
    work(tmp_path, kits[0], "+12 V and 0 V")
    save_batch(tmp_path, Batch(kits=(str(kits[0]),)))

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "+ " in screen_text(app).splitlines()[2]
        await pilot.press("b")
        assert load_batch(tmp_path).kits == ()

    drive(None, tmp_path, act)


def test_a_moved_kit_stays_there_until_it_is_let_go(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("down", "down", "left", "left")
        await pilot.pause()
        assert in_order(app, " 1  Filter", " 2  Voice", " 3  Supply")
        assert "you chose place 1" in screen_text(app)
        assert "*" in screen_text(app)
        assert list(load_batch(tmp_path).pins.values()) == [1]
        await pilot.press("right")
        assert list(load_batch(tmp_path).pins.values()) == [2]
        await pilot.press("p")
        await pilot.pause()
        assert in_order(app, " 1  Voice", " 2  Supply", " 3  Filter")
        assert not load_batch(tmp_path).pins
        assert "3. Filter rev. A" in screen_text(app)

    on_batch(tmp_path, three_kits(tmp_path), act)


def test_the_order_is_changed_and_kept(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("o")
        assert "shortest first" in screen_text(app)
        await pilot.press("o")
        await pilot.pause()
        assert "what others need first" in screen_text(app)
        assert in_order(app, " 1  Supply", " 2  Voice", " 3  Filter")
        assert load_batch(tmp_path).order == "needs"
        await pilot.press("o")
        assert "easiest first" in screen_text(app)

    on_batch(tmp_path, three_kits(tmp_path), act)


@pytest.mark.parametrize("size", [(40, 12), (80, 24)])
def test_whether_it_fits_and_all_reasons_are_pages(tmp_path: Path, size: tuple[int, int]) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("c")
        await pilot.pause()
        text = " ".join(screen_text(app).split())
        assert "12 HP, 40 mm deep" in text
        assert "Does not fit" in text
        assert "HP short" in text
        await pilot.press("escape", "r")
        await pilot.pause()
        assert "The batch, easiest first" in screen_text(app)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, BatchScreen)

    on_batch(tmp_path, three_kits(tmp_path), act, size)


def test_enter_begins_a_kit_and_taking_out_leaves_its_build(tmp_path: Path) -> None:
    kits = three_kits(tmp_path)

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("enter")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)
        await pilot.press("k")
        await pilot.pause()
        await pilot.press("v")
        await pilot.pause()
        await pilot.press("x")
        await pilot.pause()
        assert "taken out of the batch; its build is kept" in screen_text(app)
        assert load_batch(tmp_path).kits == tuple(map(str, kits[1:]))

    on_batch(tmp_path, kits, act)
    assert (tmp_path / "builds" / "voice-rev-a" / "log.jsonl").is_file()


def test_a_second_build_of_the_same_kit_is_begun_beside_the_first(tmp_path: Path) -> None:
    kit = three_kits(tmp_path)[0]
    first = work(tmp_path, kit, "+12 V and 0 V").log.folder.name

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "Voice rev. A (2)" in screen_text(app)
        await pilot.press("down", "enter")
        await pilot.pause()
        assert isinstance(app.screen, WorkScreen)

    save_batch(tmp_path, Batch())
    on_batch(tmp_path, [Path(first), kit], act)
    assert len(list((tmp_path / "builds").iterdir())) == 2


@pytest.mark.parametrize("size", SIZES[:3])
def test_what_can_kill_is_said_before_anything_else(tmp_path: Path, size: tuple[int, int]) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("down")
        await pilot.pause()
        text = " ".join(screen_text(app).split())
        assert "HIGH VOLTAGE CAN KILL" in text
        assert "local rules" in text

    on_batch(tmp_path, [KITS / "ghost-light-preamp.yaml", KITS / "passive-splitter.yaml"], act, size)


def test_an_empty_batch_says_how_to_fill_it_and_no_key_breaks(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "b adds a kit" in screen_text(app)
        for key in ("enter", "left", "right", "p", "x", "c", "up", "down", "pagedown", "pageup", "o"):
            await pilot.press(key)
            await pilot.pause()
            assert isinstance(app.screen, BatchScreen), key
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(app.screen, ShelfScreen)

    on_batch(tmp_path, [], act)


def test_a_kit_that_cannot_be_read_is_a_fault_on_the_page_and_the_rest_stands(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        text = screen_text(app)
        assert "1 fault (r)" in text
        assert "Voice rev. A" in text
        await pilot.press("r")
        await pilot.pause()
        assert "gone.yaml" in "".join(screen_text(app).split())

    on_batch(tmp_path, [tmp_path / "gone.yaml", *three_kits(tmp_path)], act)


def test_a_batch_file_that_cannot_be_used_opens_the_shelf_all_the_same(tmp_path: Path) -> None:
    (tmp_path / BATCH_NAME).write_text("kits = 3", encoding="utf-8")

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        assert "kits is not a list" in screen_text(app)
        await pilot.press("b")
        await pilot.pause()
        await pilot.press("v")
        await pilot.pause()
        assert "1 fault (r)" in screen_text(app)

    drive(None, tmp_path, act, (120, 40))
    assert (tmp_path / BATCH_NAME).read_text(encoding="utf-8") == "kits = 3"


@pytest.mark.parametrize("text", [word for word in HOSTILE if "\x1b" not in word])
def test_any_text_of_a_kit_shows_as_text(tmp_path: Path, text: str) -> None:
    said = text.replace('"', "").encode("unicode_escape").decode().replace("\\x", "\\u00")
    path = kit_file(tmp_path, "Odd", more=f'gives: ["{said}"]\n')

    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("o", "o", "r")
        await pilot.pause()
        assert "\u202e" not in screen_text(app)

    on_batch(tmp_path, [path], act)


def test_a_resize_loses_nothing(tmp_path: Path) -> None:
    async def act(pilot: Pilot[None], app: BenchApp) -> None:
        await pilot.press("down")
        for size in [*SIZES, (20, 5), (1, 1), (80, 24)]:
            await pilot.resize_terminal(*size)
            await pilot.pause()
        assert "2. Supply rev. A" in screen_text(app)

    on_batch(tmp_path, three_kits(tmp_path), act)
