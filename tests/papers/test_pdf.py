"""PDFs: what is known from the same list in another form, and lists of real makers where these are at hand.

One list of an open project is part of the tests (`tests/papers/open`); others are skipped where they are not.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from fpdf import FPDF
from pypdf import PdfReader, PdfWriter

from bench.cli import main
from bench.errors import SoldersideError
from bench.papers.lists import read_list
from bench.papers.paper import read_paper
from bench.papers.pdf.bands import Piece, bands
from bench.papers.pdf.words import repaired
from tests.support.pdfs import drawn_only, table, typed
from tests.support.reading_samples import LISTS, found_in, wanted

REAL = Path(__file__).resolve().parents[3] / "shared" / "papers"
OPEN = Path(__file__).with_name("open")
TRUTHS = sorted((*OPEN.glob("*/*.truth.tsv"), *REAL.glob("*/*.truth.tsv")))
TABLES = (
    "alternative-columns.csv", "cell-over-lines.csv", "designation-and-price.csv", "index-is-designator.csv",
    "placeholders.csv", "ranges.csv", "six-columns.csv", "totals-and-prices.csv",
)  # fmt: skip
ROWS = [
    ["Item", "Qty", "Reference", "Value", "Remark"],
    ["1", "4", "R1, R2, R5, R9", "100k", "metal film"],
    ["2", "1", "R3", "4k7", ""],
    ["3", "2", "C1, C2", "100n", "at the chips"],
    ["4", "1", "U1", "TL072", "with socket"],
    ["5", "12", "R10, R11, R12, R13, R14, R15, R16, R17, R18, R19, R20, R21", "22k", "sorted by hand"],
    ["6", "1", "D1", "1N4148", ""],
    ["7", "1", "C3", "10u", "25 V"],
]
WANTED = {ref: row[3] for row in ROWS[1:] for ref in row[2].split(", ")}


def values(data: bytes) -> dict[str, str]:
    return {ref: value for (_, ref), value in found_in(read_paper(data, "list.pdf")).items()}


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("ruled", [True, False], ids=["lines", "no lines"])
def test_a_list_printed_as_a_table_reads_like_the_list_itself(name: str, ruled: bool) -> None:
    text = (LISTS / name).read_text(encoding="utf-8")
    rows = [row for row in csv.reader(io.StringIO(text), csv.Sniffer().sniff(text, ",;\t")) if row]
    want = {ref: value for (_, ref), value in wanted(LISTS / name).items()}
    assert values(table(rows, ruled=ruled)) == want


@pytest.mark.parametrize("ruled", [True, False], ids=["lines", "no lines"])
@pytest.mark.parametrize("repeat", [True, False], ids=["heading again", "one heading"])
def test_a_table_goes_on_over_the_page(ruled: bool, repeat: bool) -> None:
    rows = [ROWS[0], *([str(at), "1", f"R{at}", f"{at}k", "x"] for at in range(1, 40))]
    assert values(table(rows, ruled=ruled, repeat=repeat, a_page=15)) == {
        f"R{at}": f"{at}k" for at in range(1, 40)
    }


@pytest.mark.parametrize("ruled", [True, False], ids=["lines", "no lines"])
@pytest.mark.parametrize("align", ["L", "C", "R"])
def test_designators_that_are_wrapped_and_centred_on_their_row_belong_to_it(ruled: bool, align: str) -> None:
    assert values(table(ROWS, ruled=ruled, align=lambda _: align)) == WANTED


WRAPPED = [
    ["Qty", "Value", "Description", "Designators"],
    ["28", "10k", "Resistor, metal film", ", ".join(f"R{at}" for at in range(1, 29))],
    ["1", "22n", "Film capacitor with leads 5 mm apart, made for 63 V or more, not polarised", "C1"],
    ["3", "B100k", "Potentiometer", "RV1, RV2, RV3"],
    ["2", "1N4148", "Diode", "D1, D2"],
    ["13", "100n", "Ceramic disc capacitor, 50 V", ", ".join(f"C{at}" for at in range(2, 15))],
    ["1", "TL072", "Dual operational amplifier", "U1"],
]
"""Cells of many lines: with eight or more between one row and the next."""


@pytest.mark.parametrize("stand", [0.0, 0.5, 1.0], ids=["top", "middle", "bottom"])
@pytest.mark.parametrize("widest", [46.0, 70.0, 100.0])
@pytest.mark.parametrize("align", ["L", "C"])
def test_rows_without_lines_are_told_apart_by_the_bands_that_their_cells_fill(
    stand: float, widest: float, align: str
) -> None:
    printed = table(WRAPPED, stand=stand, widest=widest, align=lambda _: align)
    assert values(printed) == {ref: row[1] for row in WRAPPED[1:] for ref in row[3].split(", ")}


def test_a_row_that_a_page_cuts_in_two_goes_on() -> None:
    pieces = [
        *(
            Piece(column=0, text=f"R{at},", base=110 - 10 * at, size=9, number=at, page=1)
            for at in (1, 2, 3)
        ),
        Piece(column=1, text="10k", base=90, size=9, number=1, page=1),
        Piece(column=0, text="R8", base=140, size=9, number=0, page=1),
        Piece(column=1, text="22k", base=140, size=9, number=0, page=1),
        Piece(column=0, text="R4, R5", base=700, size=9, number=7, page=2),
        Piece(column=0, text="R6,", base=680, size=9, number=8, page=2),
        Piece(column=0, text="R7", base=670, size=9, number=9, page=2),
        Piece(column=1, text="47k", base=675, size=9, number=8, page=2),
    ]  # fmt: skip
    assert [row.cells for row in bands(pieces, 2)] == [
        ("R8", "22k"), ("R1, R2, R3, R4, R5", "10k"), ("R6, R7", "47k"),
    ]  # fmt: skip


def test_rows_that_follow_as_closely_as_lines_are_not_taken_for_one() -> None:
    pieces = [
        Piece(column=column, text=text, base=500 - 11 * at - 30 * (at > 5), size=9, number=at, page=1)
        for at in range(12)
        for column, text in enumerate((f"R{at}", f"{at}k"))
    ]
    assert bands(pieces, 2) == ()


def test_a_value_that_only_the_order_number_tells_is_taken_from_there() -> None:
    rows = [
        ["Qty", "Device", "Order number", "Parts", "Price"],
        ["4", "Resistor, metal film, 100 kOhm, 250 mW, 1%", "RES 0207 100K", "R1, R2, R3, R4", "0.02"],
        ["2", "Diodes for all purposes, 75 V, 0.15 A", "1N 4148", "D1, D2", "0.03"],
        ["1", "Coil, 600 Ohm at 100 MHz", "BLM31 601", "L1", "0.22"],
        ["2", "Electrolytic, 47 uF, 25 V, 105 C", "CAP 47/25", "C3, C4", "0.14"],
        ["1", "Relay, 5 V, two contacts", "17-2209", "K1", "1.90"],
    ]
    found = read_paper(table(rows, widest=300), "list.pdf")
    assert {part.refs[-1]: part.value_text for part in found.parts} == {
        "R4": "100 kOhm", "D2": "1N 4148", "L1": "BLM31 601", "C4": "47 uF", "K1": "Relay, 5 V, two contacts",
    }  # fmt: skip


@pytest.mark.parametrize("over", [-0.2, 4.0], ids=["up to the next", "over the next"])
def test_a_cell_that_reaches_to_the_next_column_is_kept_apart_from_it(over: float) -> None:
    pdf = FPDF(unit="pt", format="a4")
    pdf.add_page()
    pdf.set_font("helvetica", size=9)
    long = "4k metal film, chosen"
    second = 90 + pdf.get_string_width(long) - over
    for at in range(31):
        row = (
            (long if at == 4 else f"{at}k", f"R{at}", "on the board") if at else ("Value", "Reference", "Place")
        )
        for x, cell in zip((90, second, 300), row, strict=True):
            pdf.text(x, 60 + 14 * at, cell)
    found = values(bytes(pdf.output()))
    assert found == {f"R{at}": f"{at}k" for at in range(1, 31)} | {"R4": long.replace(" ", "")}


def test_the_page_of_each_part_and_doubt_is_told() -> None:
    from bench.papers.lists import as_json

    rows = [ROWS[0], *([str(at), "1", f"R{at}", f"{at}k", "x"] for at in range(1, 40))]
    found = as_json(read_paper(table(rows, a_page=15), "list.pdf"))
    parts = found["parts"]
    assert isinstance(parts, list)
    assert {part["refs"][0]: part["page"] for part in parts} == {
        f"R{at}": (at - 1) // 15 + 1 for at in range(1, 40)
    }


def test_a_list_inside_a_guide_is_found() -> None:
    prose = [
        [
            "Thank you for choosing the harbour bell.",
            "It rings when the interval is over.",
            "Work in good light.",
        ],
        [
            "Solder the flat parts first.",
            "Then turn the board over.",
            "Clip the legs as you go.",
            "Have a rest.",
        ],
    ]
    assert values(table(ROWS, before=prose * 4)) == WANTED


def test_text_set_as_by_a_typewriter_is_read() -> None:
    lines = (LISTS / "colon-lines.txt").read_text(encoding="utf-8").splitlines()
    want = {ref: value for (_, ref), value in wanted(LISTS / "colon-lines.txt").items()}
    assert values(typed(lines)) == want


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_a_page_that_is_shown_turned_reads_the_same(turn: int) -> None:
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(table(ROWS, ruled=True))))
    for page in writer.pages:
        page.rotate(turn).transfer_rotation_to_content()
        page.rotate(-turn % 360)
    out = io.BytesIO()
    writer.write(out)
    assert values(out.getvalue()) == WANTED


def test_one_that_is_encrypted_says_so() -> None:
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(table(ROWS))))
    writer.encrypt("secret", algorithm="RC4-128")
    out = io.BytesIO()
    writer.write(out)
    with pytest.raises(SoldersideError, match="encrypted"):
        read_paper(out.getvalue(), "list.pdf")


@pytest.mark.parametrize("cut", [20, 400, 1200])
def test_one_that_is_cut_off_is_read_or_refused_with_a_word(cut: int) -> None:
    data = table(ROWS)
    try:
        assert values(data[:-cut]).items() <= WANTED.items()
    except SoldersideError as error:
        assert "PDF" in str(error)  # noqa: PT017 (either will do)


@pytest.mark.parametrize("data", [b"%PDF-1.7", b"%PDF-1.4\n" + bytes(5000), b"%PDF-" + b"[" * 100_000])
def test_what_only_says_that_it_is_a_pdf_is_refused(data: bytes) -> None:
    with pytest.raises(SoldersideError, match="damaged"):
        read_paper(data, "list.pdf")


def test_one_of_strokes_alone_says_what_to_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "drawing.pdf").write_bytes(drawn_only())
    assert main(["read", str(tmp_path / "drawing.pdf")]) == 1
    assert "only strokes, no text" in capsys.readouterr().err


def test_ohm_signs_that_the_font_lost_are_put_back_and_watts_left_alone() -> None:
    said = "R1 4.7ky, R2 100 k\ufffd, R3 22kW, P1 5 W, 10kyard"
    assert repaired(said) == "R1 4.7kΩ, R2 100kΩ, R3 22kΩ, P1 5 W, 10kyard"


@pytest.mark.parametrize("truth", TRUTHS, ids=[f"{path.parent.name}-{path.name}" for path in TRUTHS])
def test_lists_of_real_makers_are_read_in_whole(truth: Path) -> None:
    path = truth.with_suffix("").with_suffix(".pdf")
    lines = [line.split("\t") for line in truth.read_text(encoding="utf-8").splitlines() if "\t" in line]
    want = {line[0] for line in lines} - {"designator"}
    got = values(path.read_bytes())
    assert got.keys() >= want
    assert len(got.keys() - want) <= 1
    assert read_list(b"R1,10k\n", "x").pages == ()


PARTS = (
    ("R1, R2", "10k", "Metal film resistor", "2"), ("R3", "4k7", "Metal film resistor", "1"),
    ("C1, C2, C3", "100n", "Ceramic capacitor", "3"), ("C4", "10u", "Electrolytic", "1"),
    ("D1, D2", "1N4148", "Diode", "2"), ("Q1", "BC547B", "NPN transistor", "1"), ("U1", "TL072", "Opamp", "1"),
    ("J1", "Jack 3.5mm", "Mono socket", "1"),
)  # fmt: skip
CREDITS = (
    "Credits", "LED tests by the T1 workshop and the K9 club.", "IC3 sockets: thanks to Unit 7, Mill Lane.",
    "Panel R2 drawn in March, printed on A4 paper.", "Photos: U. Brook. Text: D. Pell, Q3 2031.", "LED", "IC",
)  # fmt: skip


@pytest.mark.parametrize("room", [2.0, 3.0])
@pytest.mark.parametrize("align", ["LLLL", "LLLR", "CCCC"])
@pytest.mark.parametrize("headed", [True, False])
def test_columns_without_lines_and_almost_without_gaps(room: float, align: str, headed: bool) -> None:
    rows = [("Designator", "Value", "Description", "Qty"), *PARTS][not headed :]
    data = table(rows, room=room, align=lambda at: align[at], after=[CREDITS])
    found = {ref: part.value_text for part in read_paper(data, "list.pdf").parts for ref in part.refs}
    assert found == {ref: value for refs, value, *_ in PARTS for ref in refs.split(", ")}
