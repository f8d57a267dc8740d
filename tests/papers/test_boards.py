"""Board files: the same board reads the same from every format, and real ones read as their makers drew them.

The real boards are not part of the project; those tests are skipped where they are not at hand. Their truth was
made from the board files by another program.
"""

from __future__ import annotations

import csv
import statistics
from pathlib import Path

import pytest

from bench.cli import main
from bench.errors import SoldersideError
from bench.kit.load import load_kit
from bench.papers.boards import is_board_file, read_board
from bench.papers.boards.drawn import DrawnPart, Outline, Pad, arc_through
from bench.papers.compare import compare
from bench.papers.paper import read_paper, read_places
from tests.support.boards import BELL, FORMATS, NETS, kicad, netlist

REAL = Path(__file__).resolve().parents[3] / "shared" / "papers"
TRUTHS = sorted(
    truth
    for truth in REAL.glob("*/*.places.tsv")
    if truth.with_suffix("").with_suffix("").suffix in (".kicad_pcb", ".brd")
    and truth.with_suffix("").with_suffix("").is_file()
)


@pytest.mark.parametrize("form", FORMATS)
def test_one_board_reads_the_same_from_every_format(form: str) -> None:
    board = read_board(FORMATS[form].encode(), "bell.brd")
    assert board.size == (60.0, 40.0)
    found = {part.ref: part for part in board.parts if not part.drawn_only}
    assert found.keys() == BELL.keys()
    for ref, (value, side, x, y, joints) in BELL.items():
        part = found[ref]
        assert (part.value, part.side, part.joints) == (value, side, joints)
        assert (part.x, part.y) == pytest.approx((x, y), abs=0.01), ref
    assert {net: set(pads) for net, pads in board.nets.items()} == NETS


@pytest.mark.parametrize("form", FORMATS)
def test_a_board_file_is_known_by_what_stands_in_it(form: str) -> None:
    assert is_board_file(FORMATS[form].encode())
    assert is_board_file(b"\xef\xbb\xbf" + FORMATS[form].encode())


@pytest.mark.parametrize("data", [b"", b"R1,10k\n", b"<html><table></table></html>", b"(a list)", b"%PDF-1.7"])
def test_what_is_no_board_file_is_left_to_the_reader_of_lists(data: bytes) -> None:
    assert not is_board_file(data)
    with pytest.raises(SoldersideError, match="no board file"):
        read_board(data, "x")


@pytest.mark.parametrize("form", FORMATS)
def test_a_board_file_cut_off_anywhere_is_read_or_refused_with_a_word(form: str) -> None:
    data = FORMATS[form].encode()
    for at in range(40, len(data), 97):
        try:
            board = read_board(data[:at], "bell.brd")
        except SoldersideError:
            continue
        assert {part.ref for part in board.parts} <= BELL.keys() | {"H1"}
        assert form == "KiCad, old text" or at > len(data) - 3


def test_the_old_binary_format_is_named_and_refused() -> None:
    with pytest.raises(SoldersideError, match="binary format"):
        read_board(b"\x10\x80" + bytes(400), "old.brd")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b'<?xml version="1.0"?><!DOCTYPE eagle [<!ENTITY a "aaaa">]><eagle><drawing/></eagle>', "entities"),
        (b"<eagle>" + b"<a>" * 60, "too deep"),
        (b"<eagle><drawing></eagle>", "damaged"),
        (b"<eagle><drawing><schematic/></drawing></eagle>", "neither a board"),
        (b"(kicad_pcb " + b"(footprint" * 100, "too deep"),
    ],
)
def test_bombs_and_wreckage_are_refused(data: bytes, said: str) -> None:
    with pytest.raises(SoldersideError, match=said):
        read_board(data, "x.brd")


@pytest.mark.parametrize("form", FORMATS)
def test_a_board_becomes_a_kit_with_places_joints_and_nets(
    form: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bell.brd"
    path.write_text(FORMATS[form], encoding="utf-8")
    assert main(["read", str(path), "--kit", str(tmp_path / "bell.yaml")]) == 0
    assert "4 parts" in capsys.readouterr().out
    (board,) = load_kit(tmp_path / "bell.yaml").boards
    assert board.size == (60.0, 40.0)
    lines = {line.refs: line for line in board.parts}
    for place, wanted in zip(lines["R1", "R2"].positions, [(10.0, 30.0), (10.0, 20.0)], strict=True):
        assert place == pytest.approx(wanted, abs=0.01)
    assert lines["C1",].sides == ("back",)
    assert lines["U1",].joints == 8
    assert set(lines["U1",].nets) == {"GND", "+9V"}


def test_a_list_takes_its_places_from_a_board_file(tmp_path: Path) -> None:
    (tmp_path / "list.csv").write_text("Ref,Value\nR1,10k\nR2,10k\nC1,100n\nU1,NE555\n")
    (tmp_path / "bell.brd").write_text(FORMATS["EAGLE"], encoding="utf-8")
    command = ["read", str(tmp_path / "list.csv"), "--placement", str(tmp_path / "bell.brd")]
    assert main([*command, "--kit", str(tmp_path / "kit.yaml")]) == 0
    (board,) = load_kit(tmp_path / "kit.yaml").boards
    assert all(line.positions for line in board.parts)


def test_parts_that_stay_out_are_told_in_each_of_the_ways_that_boards_mark_them() -> None:
    eagle = FORMATS["EAGLE"].replace('rot="MR90"/>', 'rot="MR90" populate="no"/>')
    said = '(property "Reference" "C1")'
    marked = FORMATS["KiCad 8"].replace(said, f"{said} (attr through_hole dnp)")
    by_value = FORMATS["KiCad 5"].replace('"100n"', '"DNP"')
    for data in (eagle, marked, by_value):
        reading = read_paper(data.encode(), "bell.brd")
        assert [part.refs for part in reading.parts if not part.fitted] == [("C1",)]


def _element(ref: str, variants: str, *, populate: str = "") -> str:
    """The board with one element in assembly variants; names and defaults as in `eagle.dtd`."""
    head, _, tail = FORMATS["EAGLE"].partition(f'<element name="{ref}" ')
    own, _, rest = tail.partition("/>")
    return f'{head}<element name="{ref}" {own}{populate}>{variants}</element>{rest}'


@pytest.mark.parametrize(
    ("current", "fitted", "value"), [("", True, "100n"), ("Lite", False, "100n"), ("Full", True, "1u")]
)
def test_the_assembly_variant_that_an_eagle_board_was_saved_in_is_read(
    current: str, fitted: bool, value: str
) -> None:
    defs = "".join(
        f'<variantdef name="{name}"{" current=" + chr(34) + "yes" + chr(34) if name == current else ""}/>'
        for name in ("Lite", "Full")
    )
    variants = '<variant name="Lite" populate="no"/><variant name="Full" value="1u"/>'
    text = _element("C1", variants).replace("<elements>", f"<variantdefs>{defs}</variantdefs><elements>")
    reading = read_paper(text.encode(), "bell.brd")
    (part,) = (part for part in reading.parts if part.refs == ("C1",))
    assert (part.fitted, part.value_text) == (fitted, value)
    assert sum("differs at C1" in doubt.what for doubt in reading.doubts) == 2


def test_a_part_left_out_by_default_is_fitted_where_the_variant_says_so() -> None:
    defs = '<variantdefs><variantdef name="Full" current="yes"/></variantdefs><elements>'
    text = _element("C1", '<variant name="Full"/>', populate=' populate="no"').replace("<elements>", defs)
    assert all(part.fitted for part in read_paper(text.encode(), "bell.brd").parts)


@pytest.mark.parametrize(
    ("attribute", "fitted"),
    [
        ("(attr through_hole dnp)", False),
        ("(attr smd exclude_from_pos_files exclude_from_bom dnp)", False),
        ('(property "dnp" "")', False),
        ('(property "DNP" "no")', True),
        ('(property "DNP" "1")', False),
        ("(attr through_hole)", True),
    ],
)
@pytest.mark.parametrize("version", [20221018, 20240108, 20241229])
def test_marks_of_kicad_7_to_9_on_parts_that_stay_out(version: int, attribute: str, fitted: bool) -> None:
    text = kicad(version)
    said = '(property "Reference" "C1")' if version > 20230000 else "(fp_text reference C1 (at 0 0))"
    reading = read_paper(text.replace(said, f"{said} {attribute}").encode(), "bell.kicad_pcb")
    found = {ref: part.fitted for part in reading.parts for ref in part.refs}
    assert found.get("C1") == fitted
    assert found["R1"]


def test_a_part_that_the_board_keeps_out_of_its_lists_is_not_missing_there() -> None:
    said = '(property "Reference" "C1")'
    board = FORMATS["KiCad 8"].replace(said, f"{said} (attr exclude_from_bom)")
    more = board.replace('"C1"', '"C2"').partition('(footprint "own:C_Disc')[2].partition("(footprint")[0]
    board = board.replace(
        "  (footprint", f'  (footprint "own:C_Disc{more.replace("exclude_from_bom", "")}(footprint', 1
    )
    listed = read_paper(b"Ref,Value\nR1,10k\nR2,10k\nC1,100n\nC2,100n\nU1,NE555\n", "list.csv")
    assert not compare(listed, read_paper(board.encode(), "bell.kicad_pcb")).contradictions


def test_vias_under_a_flat_pad_are_no_joints() -> None:
    pads = [Pad(name="9", x=0, y=0, through=False), *(Pad(name="9", x=i, y=0, through=True) for i in range(5))]
    pads += [Pad(name=str(i), x=i, y=3, through=False) for i in range(8)]
    part = DrawnPart(ref="U1", value="", package="", side="front", x=0, y=0, pads=tuple(pads))
    assert part.joints == 9


def test_arcs_of_the_edge_reach_as_far_as_circles_do() -> None:
    outline = Outline()
    outline.add_arc((0.0, 0.0), (5.0, 0.0), 180.0)
    assert outline.box() == pytest.approx((-5.0, 0.0, 5.0, 5.0))
    centre, turn = arc_through((5.0, 0.0), (0.0, 5.0), (-5.0, 0.0)) or ((9.0, 9.0), 0.0)
    assert centre == pytest.approx((0.0, 0.0))
    assert turn == pytest.approx(180.0)
    assert arc_through((0.0, 0.0), (1.0, 1.0), (2.0, 2.0)) is None


@pytest.mark.skipif(not TRUTHS, reason="the real board files are not at hand")
@pytest.mark.parametrize("truth", TRUTHS, ids=lambda path: path.name)
def test_real_boards_have_every_designator_side_and_place(truth: Path) -> None:
    path = truth.with_suffix("").with_suffix("")
    board = read_board(path.read_bytes(), path.name)
    with truth.open(encoding="utf-8") as file:
        wanted = {row["designator"]: row for row in csv.DictReader(file, delimiter="\t")}
    wanted = {ref: row for ref, row in wanted.items() if not ref.endswith("*")}
    found = {part.ref: part for part in board.parts}
    assert found.keys() == wanted.keys()
    upwards = -1 if path.suffix == ".kicad_pcb" else 1
    centres = {ref: (float(row["pads_centre_x"]), float(row["pads_centre_y"])) for ref, row in wanted.items()}
    places = {ref: (x, upwards * y) for ref, (x, y) in centres.items()}
    across = statistics.median(places[ref][0] - part.x for ref, part in found.items())
    up = statistics.median(places[ref][1] - part.y for ref, part in found.items())
    for ref, part in found.items():
        assert (part.x + across, part.y + up) == pytest.approx(places[ref], abs=0.05), ref
        assert part.side == wanted[ref]["side"]
        assert part.value in (wanted[ref]["value"].strip(), wanted[ref]["value"].strip(" ~"))
        assert sum(pad.through for pad in part.pads) == int(wanted[ref]["th_pads"])
    assert read_places(path.read_bytes(), path.name).size


@pytest.mark.parametrize("metric", [False, True], ids=["inch", "mm"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_a_netlist_tells_places_sides_joints_and_nets(metric: bool, ending: str) -> None:
    data = netlist(metric=metric).replace("\n", ending).encode()
    assert is_board_file(data)
    board = read_board(data, "bell.ipc")
    assert board.format == "IPC-D-356 netlist"
    assert board.size == pytest.approx((60, 40), abs=0.01)
    assert {net: set(pads) for net, pads in board.nets.items()} == NETS
    found = {part.ref: (part.side, part.x, part.y, part.joints) for part in board.parts}
    assert found.keys() == BELL.keys()
    for ref, (_, side, x, y, joints) in BELL.items():
        assert found[ref][0] == side, ref
        assert found[ref][1:3] == pytest.approx((x, y), abs=0.01), ref
        assert found[ref][3] == joints, ref


def test_a_netlist_beside_a_list_gives_it_places_and_nets_and_asks_nothing_about_values(tmp_path: Path) -> None:
    (tmp_path / "bom.csv").write_text("Ref,Value\nR1,10k\nR2,10k\nC1,100n\nU1,NE555\n", encoding="utf-8")
    (tmp_path / "bell.ipc").write_text(netlist(), encoding="utf-8")
    kit = tmp_path / "kit.yaml"
    command = ["read", str(tmp_path / "bom.csv"), "--against", str(tmp_path / "bell.ipc")]
    assert main([*command, "--placement", str(tmp_path / "bell.ipc"), "--kit", str(kit)]) == 0
    written = load_kit(kit)
    lines = {ref: (part, at) for part in written.boards[0].parts for at, ref in enumerate(part.refs)}
    part, at = lines["R1"]
    assert part.positions[at] == pytest.approx((10, 30), abs=0.01)
    assert "in bell.ipc" not in kit.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "text",
    [
        "",
        f"317{'GND':14}   {'R1':6}-1    D0315PA00X+001000Y+002000\n999\n",
        "C  nothing\n999\n",
        "317\n317\n",
        "P  JOB\n" + "3" * 5000,
    ],
)
def test_what_only_looks_like_a_netlist_is_none(text: str) -> None:
    assert not is_board_file(text.encode())


def test_a_designator_that_a_netlist_may_have_cut_off_is_said() -> None:
    record = "327GND              {:6}-1    PA01X+001000Y+002000X0630Y0630R000S0"
    board = read_board("\n".join([record.format("RELAY1"), record.format("R1"), "999"]).encode(), "a.ipc")
    assert [doubt.refs for doubt in board.doubts if doubt.refs] == [("RELAY1",)]
    assert [part.side for part in board.parts] == ["front", "front"]
    assert [part.line for part in board.parts] == [1, 2]
    assert [doubt.line for doubt in board.doubts] == [0, 0, 0]
    assert board.doubts[0].what == "a netlist has no values: lay it beside the list"
    long = [record.format(f"RELAY{at}") for at in range(6)]
    (said,) = [doubt.what for doubt in read_board("\n".join(long).encode(), "a.ipc").doubts if doubt.refs]
    assert said.startswith("RELAY0, RELAY1, RELAY2, RELAY3: a netlist holds six signs")
