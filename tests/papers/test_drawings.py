"""Placement drawings: invented boards drawn to a scale that is known, and real ones where these are at hand."""

from __future__ import annotations

import csv
import json
import random
import statistics
from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from bench.kit.load import load_kit
from bench.papers.paper import read_paper, read_places
from tests.support.pdfs import placement_drawing, table

REAL = Path(__file__).resolve().parents[3] / "shared" / "papers"
OPEN = Path(__file__).with_name("open")
SIZE = (90.0, 60.0)
CHANCE = random.Random(20310203)
PARTS = {
    f"{letters}{number}": (10.0 + 9 * (at % 9) + CHANCE.random(), 8.0 + 9 * (at // 9) + CHANCE.random())
    for at, (letters, number) in enumerate(
        [("R", i) for i in range(1, 25)] + [("C", i) for i in range(1, 13)] + [("U", 1), ("U", 2), ("D", 1)]
    )
}


@pytest.mark.parametrize("back", [False, True], ids=["front", "back"])
def test_labels_inside_parts_say_where_these_are(back: bool) -> None:
    found = read_places(placement_drawing(PARTS, SIZE, back=back), "drawing.pdf")
    assert found.size == pytest.approx(SIZE, abs=0.5)
    places = {place.ref: place for place in found.places}
    assert places.keys() == PARTS.keys()
    for ref, (x, y) in PARTS.items():
        assert (places[ref].x, places[ref].y) == pytest.approx((x, y), abs=0.5), ref
        assert places[ref].exact
        assert places[ref].side == ("bottom" if back else "top")


@pytest.mark.parametrize("scale", [0.5, 1.6])
def test_a_drawing_that_is_not_at_full_size_is_scaled_by_the_board(scale: float) -> None:
    found = read_places(placement_drawing(PARTS, SIZE, scale=scale), "drawing.pdf", SIZE)
    errors = [
        max(abs(place.x - PARTS[place.ref][0]), abs(place.y - PARTS[place.ref][1])) for place in found.places
    ]
    assert len(errors) == len(PARTS)
    assert statistics.median(errors) < 0.5


def test_labels_beside_parts_are_called_so_and_are_good_to_the_zone() -> None:
    found = read_places(placement_drawing(PARTS, SIZE, labels="beside"), "drawing.pdf")
    assert {place.ref for place in found.places} == PARTS.keys()
    assert not any(place.exact for place in found.places)
    assert any("usually good to a few mm" in doubt.what for doubt in found.doubts)
    for place in found.places:  # the body that a label stands at is nearer to the truth than the label
        assert (place.x, place.y) == pytest.approx(PARTS[place.ref], abs=1.0)


@pytest.mark.parametrize("copies", [2, 3])
@pytest.mark.parametrize("labels", ["inside", "beside"])
def test_of_several_copies_of_a_board_one_is_taken(copies: int, labels: str) -> None:
    drawn = placement_drawing(PARTS, SIZE, copies=copies, labels=labels)
    found = read_places(drawn, "drawing.pdf")
    assert found.size == pytest.approx(SIZE, abs=0.5)
    assert any(doubt.what.startswith(f"page 1 shows the board {copies} times") for doubt in found.doubts)
    assert not any(doubt.kind == "twice" for doubt in found.doubts)
    assert {place.ref for place in found.places} == PARTS.keys()
    for place in found.places:
        assert (place.x, place.y) == pytest.approx(PARTS[place.ref], abs=1.0)


def test_two_boards_on_one_page_are_told_apart() -> None:
    small = {ref: (x - 5, y - 18) for ref, (x, y) in PARTS.items() if ref[0] == "C"}
    large = {ref: place for ref, place in PARTS.items() if ref[0] != "C"}
    found = read_places(placement_drawing(large, SIZE, beneath=(small, (82.0, 30.0))), "drawing.pdf")
    places = {place.ref: (place.x, place.y) for place in found.places}
    assert places.keys() == PARTS.keys()
    for ref, place in (large | small).items():
        assert places[ref] == pytest.approx(place, abs=0.5), ref
    assert any("page 1 shows 2 boards (" in doubt.what for doubt in found.doubts)
    assert found.size == pytest.approx(SIZE, abs=0.5)


def test_a_schematic_gives_no_places() -> None:
    values = dict.fromkeys(PARTS, "10k")
    with pytest.raises(SoldersideError, match="a schematic shows what is joined to what"):
        read_places(placement_drawing(PARTS, SIZE, values=values, labels="beside"), "schematic.pdf")


def test_labels_in_rows_beside_the_board_give_no_places() -> None:
    rows = {ref: (5.0 if at % 2 else 80.0, 2.0 + at * 1.4) for at, ref in enumerate(PARTS)}
    with pytest.raises(SoldersideError, match="in rows beside the board"):
        read_places(placement_drawing(rows, SIZE, labels="beside"), "callouts.pdf")


def test_a_list_gives_no_places() -> None:
    rows = [["Refs", "Value"], *([f"R{at}, R{at + 1}", "10k"] for at in range(1, 20, 2))]
    with pytest.raises(SoldersideError, match="no places in this PDF"):
        read_places(table(rows, ruled=True), "list.pdf")


def test_a_drawing_alone_is_read_for_its_places(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "drawing.pdf").write_bytes(placement_drawing(PARTS, SIZE))
    assert main(["read", str(tmp_path / "drawing.pdf"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {place["ref"] for place in found["places"]} == PARTS.keys()
    assert found["parts"] == []
    assert main(["read", str(tmp_path / "drawing.pdf")]) == 0
    assert "39 places on a board of 90 x 60 mm" in capsys.readouterr().out


def test_a_list_takes_its_places_from_a_drawing(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text(
        "Ref,Value\n" + "".join(f"{ref},10k\n" for ref in PARTS if ref[0] == "R")
    )
    (tmp_path / "drawing.pdf").write_bytes(placement_drawing(PARTS, SIZE, scale=0.7))
    command = ["read", str(tmp_path / "list.csv"), "--placement", str(tmp_path / "drawing.pdf")]
    assert main([*command, "--board-size", "90x60", "--kit", str(tmp_path / "kit.yaml")]) == 0
    (board,) = load_kit(tmp_path / "kit.yaml").boards
    assert board.size == SIZE
    for line in board.parts:
        for ref, place in zip(line.refs, line.positions, strict=True):
            assert place == pytest.approx(PARTS[ref], abs=0.6)


def test_the_size_of_the_board_is_two_numbers(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["read", "x.csv", "--placement", "d.pdf", "--json", "--board-size", "large"])
    assert "write width and height in mm" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("path", "least"), [(OPEN / "continuity-tester" / "assembly", 32), (REAL / "01-esr-meter" / "assembly", 99)]
)
def test_real_drawings_of_parts_agree_with_their_board_files(path: Path, least: int) -> None:
    if not path.with_suffix(".pdf").is_file():
        pytest.skip("the real papers are not at hand")
    data = path.with_suffix(".pdf").read_bytes()
    found = {place.ref: place for place in read_places(data, path.name).places}
    with path.with_suffix(".places.tsv").open(encoding="utf-8") as file:
        rows = {row["designator"]: row for row in csv.DictReader(file, delimiter="\t")}
    truth = {ref: (float(row["pads_centre_x"]), -float(row["pads_centre_y"])) for ref, row in rows.items()}
    both = found.keys() & truth.keys()
    assert len(both) >= least
    across = statistics.median(truth[ref][0] - found[ref].x for ref in both)
    up = statistics.median(truth[ref][1] - found[ref].y for ref in both)
    off = {
        ref: max(abs(found[ref].x + across - truth[ref][0]), abs(found[ref].y + up - truth[ref][1]))
        for ref in both
    }
    assert statistics.median(off[ref] for ref in both if found[ref].exact) < 0.5
    assert max(off.values()) < 3.5


@pytest.mark.skipif(not REAL.is_dir(), reason="the real papers are not at hand")
def test_words_hidden_for_a_search_say_where_the_parts_of_a_real_board_are() -> None:
    paper = read_paper((REAL / "10-fanirrc" / "Schematic+PCB.PDF").read_bytes(), "board.pdf")
    assert paper.placement is not None
    wanted = {"LED1", "SW1", "SW2", "SW3", "SW4", "J1", "J2", "J3", "Z1", "R1", "C1"}
    assert {place.ref for place in paper.placement.places} == wanted
