"""PDFs: what is known from the same list in another form, and lists of real makers where these are at hand.

The real papers are not part of the project; those tests are skipped where they are not there.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from pypdf import PdfReader, PdfWriter

from bench.cli import main
from bench.errors import SoldersideError
from bench.papers.lists import read_list
from bench.papers.paper import read_paper
from bench.papers.pdf.words import repaired
from tests.support.pdfs import drawn_only, table, typed
from tests.support.reading_samples import LISTS, found_in, wanted

REAL = Path(__file__).resolve().parents[3] / "shared" / "papers"
TRUTHS = sorted(truth for truth in REAL.glob("*/*.truth.tsv"))
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


@pytest.mark.skipif(not TRUTHS, reason="the real papers are not at hand")
@pytest.mark.parametrize("truth", TRUTHS, ids=[f"{path.parent.name}-{path.name}" for path in TRUTHS])
def test_lists_of_real_makers_are_read_in_whole(truth: Path) -> None:
    path = truth.with_suffix("").with_suffix(".pdf")
    lines = [line.split("\t") for line in truth.read_text(encoding="utf-8").splitlines() if "\t" in line]
    want = {line[0] for line in lines} - {"designator"}
    got = values(path.read_bytes())
    assert got.keys() >= want
    assert len(got.keys() - want) <= 1
    assert read_list(b"R1,10k\n", "x").pages == ()
