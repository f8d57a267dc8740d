"""Schematics and callout drawings need not show every part: only values that they surely give are compared."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from bench.papers.compare import compare
from bench.papers.folder import read_folder
from bench.papers.paper import read_paper
from tests.support.pdfs import callouts, schematic, table

VALUES = {
    **{f"R{at}": f"{at}k" for at in range(1, 15)},
    **{f"C{at}": f"{at}00n" for at in range(1, 7)},
    "U1": "TL072", "U2": "LM13700", "Q1": "2N3904", "D1": "1N4148",
}  # fmt: skip
LIST = ("Ref,Value\n" + "".join(f"{ref},{value}\n" for ref, value in VALUES.items())).encode()
DRAWN = {ref: value for ref, value in VALUES.items() if ref not in ("R3", "R9", "C2", "U2")}


def _circuit(values: dict[str, str]) -> bytes:
    places = {ref: (60.0 + at * 131 % 660, 70.0 + at * 83 % 440) for at, ref in enumerate(values)}
    return schematic({ref: (*places[ref], value) for ref, value in values.items()})


@pytest.mark.parametrize("make", [_circuit, callouts])
def test_what_is_missing_there_is_no_contradiction_but_another_value_is(make: object) -> None:
    paper = read_paper(make(DRAWN | {"R4": "47k", "C9": "33n"}), "other.pdf")  # type: ignore[operator]
    assert paper.partly
    found = compare(read_paper(LIST, "list.csv"), paper)
    assert [(each.ref, each.what, each.here, each.there) for each in found.contradictions] == [
        ("R4", "value", "4k", "47k")
    ]
    assert found.agree >= 0.9 * (len(DRAWN) - 1)
    assert "says nothing about missing parts" in found.said


def test_two_designators_at_one_value_give_it_to_neither() -> None:
    spread = {f"R{at}": (60.0 + at * 131 % 660, 70.0 + at * 83 % 440, f"{at}k") for at in range(1, 15)}
    crowded = spread | {"R20": (400.0, 300.0, ""), "R21": (400.0, 308.0, "10k")}
    found = {
        ref: part.value_text for part in read_paper(schematic(crowded), "a.pdf").parts for ref in part.refs
    }
    assert "R20" not in found
    assert {ref: found[ref] for ref in spread} == {ref: value for ref, (_, _, value) in spread.items()}


@pytest.mark.parametrize("ruled", [False, True])
def test_a_list_with_numbers_and_lines_is_still_a_list(ruled: bool) -> None:
    rows = [
        ["Pos", "Part", "Value", "Qty"],
        *([str(at), *each, "1"] for at, each in enumerate(VALUES.items(), 1)),
    ]
    paper = read_paper(table(rows, ruled=ruled), "list.pdf")
    assert not paper.partly
    assert {ref: part.value_text for part in paper.parts for ref in part.refs} == VALUES


def test_a_folder_is_not_led_by_its_schematic(tmp_path: Path) -> None:
    (tmp_path / "bom-of-circuit.pdf").write_bytes(_circuit(DRAWN))
    (tmp_path / "short.csv").write_bytes(b"Ref,Value\nR1,1k\nR2,2k\nC1,100n\n")
    work, given = read_folder(tmp_path)
    assert Path(work.name).name == "short.csv"
    assert not [doubt for doubt in work.reading.doubts if doubt.kind == "other paper"]
    assert any("says nothing about missing parts" in each.said for each in given)


def test_read_says_what_a_schematic_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "circuit.pdf").write_bytes(_circuit(VALUES))
    assert main(["read", str(tmp_path / "circuit.pdf")]) == 0
    assert "a schematic, no list: only values that stand at one designator are read" in capsys.readouterr().out


@pytest.mark.skipif(
    not (Path(__file__).resolve().parents[3] / "shared" / "papers").is_dir(),
    reason="the real papers are not at hand",
)
def test_a_real_schematic_makes_no_part_missing() -> None:
    folder = Path(__file__).resolve().parents[3] / "shared" / "papers" / "10-fanirrc"
    here, there = (read_paper((folder / name).read_bytes(), name) for name in ("BOM.pdf", "Schematic+PCB.PDF"))
    found = compare(here, there)
    assert found.agree == 2
    assert not found.contradictions
