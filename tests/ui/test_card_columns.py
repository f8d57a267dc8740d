"""The two columns of the card, a check in large type, and the rail, on kits that come with the program."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest

from bench.log.events import ReadingTaken
from bench.session.board_map import where_view
from bench.session.build import Build
from bench.session.folders import open_build
from bench.session.view import StageLine
from bench.settings import Settings, shipped_kits_folder
from bench.ui.card import card_of
from bench.ui.card_blocks import StyledRow
from bench.ui.drawings import orientation_drawing
from bench.ui.rail import rail_rows
from bench.ui.text import cells
from tests.support.samples import HandClock


@pytest.fixture
def build(tmp_path: Path) -> Build:
    return open_build(
        tmp_path, str(shipped_kits_folder() / "twin-board-oscillator.yaml"), Settings(), HandClock()
    )


def test_no_part_scrolls_on_a_wide_screen_and_its_next_place_is_on_the_map(build: Build) -> None:
    """120 by 40 leaves 86 by 38 cells for the card beside the rail."""
    mapped = placed = 0
    for position, step in enumerate(build.outline.steps):
        if not step.kind or step.action in ("do", "check", "adjust"):
            continue
        view = build.view(position)
        where = where_view(build.kit, step, view.refs_left) if any(step.zones) else None
        laid = card_of(view, 86, 38, where=where)
        assert len(laid.rows) <= 38, step.value
        assert all(sum(cells(text) for text, _ in row) <= 86 for row in laid.rows), step.value
        placed += where is not None
        mapped += laid.mapped
    assert placed > 60
    assert mapped >= 0.9 * placed


def test_an_authors_line_out_of_sight_must_be_seen_first(build: Build) -> None:
    for position in range(len(build.outline.steps)):
        view = build.view(position)
        own = [each.say for each in view.cautions if each.sort == "own"]
        laid = card_of(view, 38, 10)
        shown = " ".join(" ".join(text for text, _ in row) for row in laid.rows[: laid.must])
        said = "".join(shown.split())
        assert all("".join(each.split()) in said for each in own), view.step


def test_a_list_to_go_through_such_as_the_errata_is_seen_to_its_end_before_the_step_is_done(
    build: Build,
) -> None:
    step = build.next_step
    assert step is not None
    assert step.value == "Mark the errata in the build guide"
    laid = card_of(build.view(), 38, 10)
    shown = " ".join(" ".join(text for text, _ in row) for row in laid.rows[: laid.must])
    said = "".join(shown.split())
    assert all("".join(each.split()).removesuffix(".") in said for each in build.kit.errata)
    assert laid.must > 10


def test_a_reading_that_is_out_stands_large_beside_what_is_expected(build: Build) -> None:
    while (step := build.next_step) is not None and not build.view().wants_reading:
        build.done()
    assert step is not None
    build.reading("1 ohm")
    rows = ["".join(text for text, _ in row) for row in card_of(build.view(), 86, 38).rows]
    said = " ".join(rows)
    assert sum("█" in row for row in rows) >= 3
    assert "✗ OUT: " in said
    assert "r measures again" in said


def test_the_rail_puts_the_stages_of_a_board_together_and_cuts_no_name() -> None:
    def line(name: str, board: str, state: str = "ahead", seconds: float = 0.0) -> StageLine:
        return StageLine(
            name=name, board=board, state=state, steps_done=1, steps=3, seconds=seconds, hold=False
        )

    long = "Headers, electrolytics, regulators and all the rest"
    stages = [line("Bag check", "", "done", 600), line("Flat", "main", "now"), line("Flat", "control"),
              line(long, "main"), line("Wiring", "")]  # fmt: skip
    rows, now = rail_rows(stages, 30, {("Flat", "main"): "6–16 min"})
    texts = ["".join(text for text, _ in row) for row in rows]
    assert "Flat" in texts[now]
    assert any("6–16 min left" in text for text in texts)
    assert "10 min" in texts[1]
    said = " ".join(" ".join(texts).split())
    assert "…" not in said
    assert all(word in said for word in long.split())
    order = [next(n for n, text in enumerate(texts) if name in text) for name in ("main", "control", "Wiring")]
    assert order == sorted(order)
    assert next(n for n, text in enumerate(texts) if "Headers" in text) < order[1]
    assert all(cells(text) <= 30 for text in texts)


@pytest.mark.parametrize("size", [(80, 22), (86, 38), (40, 10)])
@pytest.mark.parametrize("kit", sorted(path.stem for path in shipped_kits_folder().glob("*.yaml")))
def test_no_word_of_one_line_and_no_reading_of_before_costs_a_part_its_drawing(
    tmp_path: Path, kit: str, size: tuple[int, int]
) -> None:
    build = open_build(tmp_path, str(shipped_kits_folder() / f"{kit}.yaml"), Settings(), HandClock())
    passed = ReadingTaken(
        n=3, at="2031-02-03T00:00:00Z", mono=1.0, run="a", point="current from +9 V, sockets empty",
        text="0.15mA", expect="< 1 mA", verdict="in",
    )  # fmt: skip
    for position, step in enumerate(build.outline.steps):
        if step.action not in ("solder", "place", "insert"):
            continue
        view = build.view(position)
        drawing = list(orientation_drawing(step.kind, step.package, 30, step.value))
        bare = card_of(view, *size).rows[: size[1]]
        if not drawing or not _shows(bare, drawing):
            continue
        assert _shows(card_of(view, *size, notice="You were here.").rows[: size[1]], drawing), step.value
        after = card_of(view, *size, passed=passed).rows[: size[1]]
        assert _shows(after, drawing), step.value
        assert "0.15mA" in "".join(text for row in after for text, _ in row) or _large(after)


def _shows(rows: Sequence[StyledRow], drawing: Sequence[StyledRow]) -> bool:
    spans = {span for row in rows for span in row}
    return all(span in spans for row in drawing for span in row if span[0].strip())


def _large(rows: Sequence[StyledRow]) -> bool:
    return any(text == "current from +9 V, sockets empty" for text, _ in rows[0])
