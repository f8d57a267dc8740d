"""The bag check: what should be there, what was found, and where that is told again."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from bench.cli import main
from bench.errors import Refused
from bench.kit.kit import Board, Kit
from bench.kit.load import load_kit
from bench.plan.bag import BagLine, bag_lines
from bench.plan.stages import make_plan
from bench.session.build import Build
from bench.session.folders import open_build
from bench.settings import Settings
from bench.writeup.maker_texts import publish_shortage
from bench.writeup.publish import page_of
from bench.writeup.shortage import shortage_text
from tests.support.plans import LOW
from tests.support.samples import HandClock, part, small_build, small_kit

KITS = sorted((Path(__file__).parents[2] / "kits").glob("*.yaml"))


@pytest.mark.parametrize("path", KITS, ids=lambda path: path.stem)
def test_every_part_of_a_kit_is_in_the_bag_once_and_the_plan_takes_it_from_there(path: Path) -> None:
    kit = load_kit(path)
    items = [item for line in bag_lines(kit) for item in line.items]
    assert len(items) == len(set(items))
    plan = make_plan(kit, LOW)
    placed = {item for step in plan.steps if step.kind for item in step.items if not item.endswith("#placed")}
    assert placed == set(items)


def test_the_same_value_on_two_boards_is_one_line_with_both_places() -> None:
    lines = {line.value: line for line in bag_lines(small_kit())}
    assert len(lines["4k7"].items) == 3
    assert lines["100k"].places == (("control", ("R1", "R2")),)


@pytest.mark.parametrize(
    ("differs", "said"),
    [
        ("tolerance", ("1 %", "10 %")),
        ("voltage", ("25 V", "63 V")),
        ("package", ("radial 5 mm", "radial 10 mm")),
    ],
)
def test_what_differs_in_more_than_its_value_is_a_sort_of_its_own(differs: str, said: tuple[str, str]) -> None:
    more: list[dict[str, Any]] = [{differs: each} for each in said]
    lines = tuple(part(f"C{at}", "100n", "film capacitor", **each) for at, each in enumerate(more))
    found = bag_lines(Kit(name="Two sorts", boards=(Board(name="main", parts=lines),)))
    assert [getattr(line, differs) for line in found] == list(said)


def test_what_was_missing_is_told_on_the_step_in_the_shortage_list_and_in_the_retrospective(
    tmp_path: Path,
) -> None:
    build = small_build(tmp_path, HandClock())
    build.opened()
    lines = {line.value: line for line in bag_lines(build.kit)}
    build.count_bag(lines["4k7"], 1)
    build.count_bag(lines["47k"], 1)
    assert build.view().bag_words == ("2 of 3 were missing in the bag",)
    text = shortage_text(build.kit, build.progress)
    assert "2 x 4k7 resistor: 1 of 3" in text
    assert "47k" not in text
    assert publish_shortage(build).read_text(encoding="utf-8") == text
    page = page_of(build)
    assert re.search(r"\(4k7\) \| 3 \| 1 \|", page)


def test_a_later_count_replaces_an_earlier_one_and_undo_brings_it_back(tmp_path: Path) -> None:
    build = small_build(tmp_path, HandClock())
    line = bag_lines(build.kit)[0]
    build.count_bag(line, 1)
    build.count_bag(line, 3)
    assert build.view().bag_words == ()
    build.undo()
    assert build.view().bag_words == ("2 of 3 were missing in the bag",)


def test_a_substitute_named_in_the_bag_stays_on_its_own_board(tmp_path: Path) -> None:
    build = small_build(tmp_path, HandClock())
    lines = {line.value: line for line in bag_lines(build.kit)}
    build.substitute("100k R1, R2", "91k", "out of 100k", lines["100k"].items)
    assert build.view().substitutes == ()  # the step on screen is R1 to R3 of the main board
    for _ in range(3):
        build.done()
    assert build.view().substitutes == ("91k instead of 100k R1, R2 (out of 100k)",)
    assert "91k instead of 100k R1, R2: out of 100k" in _after_a_count(build, lines["100k"])


def _after_a_count(build: Build, line: BagLine) -> str:
    build.count_bag(line, len(line.items))
    return shortage_text(build.kit, build.progress)


def test_a_reading_taken_ahead_stays_with_its_sort_of_part(tmp_path: Path) -> None:
    build = small_build(tmp_path, HandClock())
    build.measured(bag_lines(build.kit)[0], "4k69")
    assert build.view().bag_words == ("measured ahead: 4k69",)
    assert "4k69" in page_of(build)


def test_no_number_below_zero_or_beyond_any_bag_is_taken(tmp_path: Path) -> None:
    build = small_build(tmp_path, HandClock())
    for found in (-1, 10**9):
        with pytest.raises(Refused):
            build.count_bag(bag_lines(build.kit)[0], found)
    assert build.progress.bag == ()


def test_the_plan_of_a_build_tells_what_was_missing_and_what_replaces_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    build = open_build(tmp_path, str(KITS[0]), Settings(), HandClock())
    line = next(line for line in bag_lines(build.kit) if line.kind == "resistor")
    build.count_bag(line, 0)
    build.substitute(line.value, "another one", "sent so", line.items)
    build.close()
    assert main(["plan", build.name, "--data", str(tmp_path)]) == 0
    out = capsys.readouterr().out
    assert "were missing in the bag" in out
    assert "another one instead of" in out
    assert main(["plan", build.name, "--data", str(tmp_path), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["steps_concerned"]
    assert any("were missing" in words for step in told.values() for words in step)
