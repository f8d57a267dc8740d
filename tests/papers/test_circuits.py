"""Schematics and netlists: the parts, values and nets of a circuit, and nothing said of places."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.errors import SoldersideError
from bench.papers.boards import read_board
from bench.papers.compare import compare
from bench.papers.folder import read_folder
from bench.papers.paper import read_paper, read_places
from tests.support.boards import FOOTPRINTS, FORMATS, NETS
from tests.support.circuits import CIRCUITS, CONNECTED, VALUES, old_sheet, sheet


@pytest.mark.parametrize("form", CIRCUITS)
def test_one_circuit_reads_the_same_from_every_form(form: str) -> None:
    circuit = read_board(CIRCUITS[form].encode(), "bell")
    assert {part.ref: (part.value, part.package) for part in circuit.parts} == {
        ref: (value, FOOTPRINTS[ref]) for ref, value in VALUES.items()
    }
    assert not circuit.doubts


@pytest.mark.parametrize("form", CONNECTED)
def test_nets_are_those_of_the_board(form: str) -> None:
    assert {net: set(pads) for net, pads in read_board(CONNECTED[form].encode(), "bell").nets.items()} == NETS


@pytest.mark.parametrize("form", CIRCUITS)
def test_a_circuit_says_nothing_of_places(form: str) -> None:
    reading = read_paper(CIRCUITS[form].encode(), "bell")
    assert reading.placement is None
    with pytest.raises(SoldersideError, match="not where parts sit"):
        read_places(CIRCUITS[form].encode(), "bell")


@pytest.mark.parametrize("form", CIRCUITS)
def test_a_circuit_beside_its_board_contradicts_it_where_they_differ(form: str) -> None:
    circuit = read_paper(CIRCUITS[form].encode(), "bell")
    board = FORMATS["KiCad 8"]
    assert not compare(circuit, read_paper(board.encode(), "bell.kicad_pcb")).contradictions
    other = board.replace('"10k"', '"12k"', 1).replace('"Reference" "C1"', '"Reference" "C7"')
    found = compare(circuit, read_paper(other.encode(), "bell.kicad_pcb")).contradictions
    assert [(each.ref, each.what) for each in found] == [("C1", "missing"), ("C7", "missing"), ("R1", "value")]


def test_one_sheet_of_several_says_nothing_about_missing_parts() -> None:
    board = read_paper(FORMATS["KiCad 8"].encode(), "bell.kicad_pcb")
    some = {ref: value for ref, value in VALUES.items() if ref != "R2"}
    assert compare(read_paper(sheet(some).encode(), "bell.kicad_sch"), board).contradictions
    for text in (sheet(some, more="(sheet (at 1 2))"), sheet(some, root=False), old_sheet(sheets="$Sheet\n")):
        reading = read_paper(text.encode(), "bell.kicad_sch")
        assert reading.partly == "one sheet of a schematic"
        assert not compare(reading, board).contradictions


def test_a_sheet_that_is_used_twice_gives_the_parts_of_both() -> None:
    shared = (
        '(symbol (lib_id "Device:R") (unit 1) (uuid "x") (property "Reference" "R7") (property "Value" "1k")'
        ' (instances (project "bell" (path "/a/b" (reference "R7") (unit 1))'
        ' (path "/a/c" (reference "R8") (unit 1)))))'
    )
    found = {part.ref: part.value for part in read_board(sheet(more=shared).encode(), "x").parts}
    assert found == {**VALUES, "R7": "1k", "R8": "1k"}


def test_the_first_sheet_of_version_6_names_the_parts_of_all_sheets() -> None:
    paths = '(path "/a/0" (reference "R1") (unit 1) (value "10k") (footprint ""))'
    paths += '(path "/b/9" (reference "R9") (unit 1) (value "4k7") (footprint ""))'
    reading = read_paper(sheet(more=f"(sheet)(symbol_instances {paths})").encode(), "x")
    assert {ref: part.value_text for part in reading.parts for ref in part.refs} == {"R1": "10k", "R9": "4k7"}
    assert not reading.partly


def test_parts_that_stay_out_or_are_in_no_list_are_told() -> None:
    text = sheet().replace("(dnp no)", "(dnp yes)", 1).replace("(in_bom yes)", "(in_bom no)", 2)
    reading = read_paper(text.encode(), "bell.kicad_sch")
    assert {ref for part in reading.parts for ref in part.refs} == {"C1", "U1"}
    text = sheet().replace("(dnp no)", "(dnp yes)", 1)
    left_out = [part.refs for part in read_paper(text.encode(), "x").parts if not part.fitted]
    assert left_out == [("R1",)]


@pytest.mark.parametrize("form", ["KiCad schematic", "KiCad netlist", "EAGLE schematic"])
def test_a_circuit_that_breaks_off_is_refused(form: str) -> None:
    data = CIRCUITS[form].encode()
    for at in range(len(data) // 3, len(data) - 4, 97):
        with pytest.raises(SoldersideError, match=r"breaks off|damaged"):
            read_board(data[:at], "bell")


def test_in_a_folder_the_list_is_read_and_the_circuit_laid_beside_it(tmp_path: Path) -> None:
    (tmp_path / "bell.csv").write_text("Ref,Value\nR1,10k\nR2,12k\nU1,NE555\n")
    (tmp_path / "bell.kicad_sch").write_text(sheet())
    work, given = read_folder(tmp_path)
    assert {each.path.name: each.said for each in given}["bell.csv"].startswith("the list")
    assert [doubt.refs for doubt in work.reading.doubts if doubt.kind == "other paper"] == [("R2",)]
