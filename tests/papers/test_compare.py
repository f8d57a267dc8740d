"""Papers laid beside each other: eight pairs with contradictions that were put in, each found and no other."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bench.cli import main
from bench.papers.compare import Comparison, compare, compared, with_others
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered
from bench.papers.doubts.settle import settle
from bench.papers.list_session import ListSession
from bench.papers.lists import ListReading
from bench.papers.paper import read_paper
from tests.support.boards import FORMATS
from tests.support.pdfs import table

REAL = Path(__file__).resolve().parents[3] / "shared" / "papers"
LIST = """Ref,Value
"R1, R2",10k
R3,4k7
"C1, C2",100n
C3,10u
D1,1N4148
U1,TL072
J1,Input
LED1,red 3 mm
"""
PAIRS: dict[str, tuple[str, set[tuple[str, str]]]] = {
    "the same": (LIST, set()),
    "the same in other words": (
        LIST.replace("4k7", "4.7 kohm 1%").replace("100n", "0.1uF").replace("10u", "10 µF 25V")
        .replace("TL072", "TL072CP").replace("1N4148", "1N 4148").replace("Input", "Jack 6.3")
        .replace("red", "rot"),
        set(),
    ),
    "another value": (LIST.replace("4k7", "47k"), {("R3", "value")}),
    "one of two parts differs": (LIST.replace('"R1, R2",10k', "R1,10k\nR2,12k"), {("R2", "value")}),
    "a part is missing": (LIST.replace("C3,10u\n", ""), {("C3", "missing")}),
    "a part too many": (LIST + "R4,1M\n", {("R4", "missing")}),
    "another chip": (LIST.replace("TL072", "NE5532"), {("U1", "value")}),
    "a thousandfold": (LIST.replace("100n", "100p"), {("C1", "value"), ("C2", "value")}),
    "another kind of thing altogether": (LIST + "H1,hole\nTP1,test point\n", set()),
}  # fmt: skip


def reading(text: str, name: str = "list.csv") -> ListReading:
    return read_paper(text.encode(), name)


def said(comparison: Comparison) -> set[tuple[str, str]]:
    return {(each.ref, each.what) for each in comparison.contradictions}


@pytest.mark.parametrize("pair", PAIRS)
def test_each_real_contradiction_is_found_and_none_else(pair: str) -> None:
    other, want = PAIRS[pair]
    assert said(compare(reading(LIST), reading(other, "other.csv"))) == want
    assert said(compare(reading(other, "other.csv"), reading(LIST))) == want


def test_a_pdf_and_a_board_file_are_laid_beside_each_other() -> None:
    rows = [["Ref", "Value"], ["R1", "10k"], ["R2", "12k"], ["C1", "100n"], ["U1", "NE555"], ["C2", "1u"]]
    board = read_paper(FORMATS["EAGLE"].encode(), "bell.brd")
    comparison = compare(read_paper(table(rows), "list.pdf"), board)
    assert said(comparison) == {("R2", "value"), ("C2", "missing")}
    found = {each.ref: (each.here, each.there) for each in comparison.contradictions}
    assert found == {"R2": ("12k", "10k"), "C2": ("1u", "")}


def test_the_revision_that_fits_best_comes_first() -> None:
    near, far = LIST.replace("4k7", "47k"), LIST.replace("10k", "1k").replace("100n", "10n")
    found = compared(reading(LIST), [reading(far, "rev-a.csv"), reading(near, "rev-b.csv")])
    assert [each.other for each in found] == ["rev-b.csv", "rev-a.csv"]
    assert found[0].fit > found[1].fit


def test_what_stays_out_is_no_contradiction() -> None:
    other = "Ref,Value,Fitted\nR1,10k,yes\nR2,10k,yes\nR3,DNP,no\n"
    assert said(compare(reading("Ref,Value\nR1,10k\nR2,10k\nR3,4k7\n"), reading(other))) == set()


@pytest.mark.parametrize(
    ("pair", "ref", "value"),
    [
        ("another value", "R3", "47k"),
        ("one of two parts differs", "R2", "12k"),
        ("a part too many", "R4", "1M"),
    ],
)
def test_a_contradiction_is_settled_for_the_other_paper_in_one_answer(pair: str, ref: str, value: str) -> None:
    here = reading(LIST)
    here = with_others(here, [compare(here, reading(PAIRS[pair][0], "other.csv"))])
    (doubt,) = [doubt for doubt in here.doubts if doubt.kind == "other paper"]
    settled = settle(here, ())
    first = answers(settled, doubt)[0]
    after = settle(here, (answered(doubt, first),))
    values = {each: entry.part.value_text for entry in after.entries for each in entry.part.refs}
    assert values[ref] == value
    assert {each: said for each, said in values.items() if each != ref} == {
        each: said
        for entry in settled.entries
        for each in entry.part.refs
        for said in [entry.part.value_text]
        if each != ref
    }


def test_contradictions_stand_in_the_kit_file_and_in_the_data(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.csv").write_text(LIST)
    (tmp_path / "b.csv").write_text(PAIRS["another value"][0])
    command = ["read", str(tmp_path / "a.csv"), "--against", str(tmp_path / "b.csv")]
    assert main([*command, "--kit", str(tmp_path / "kit.yaml")]) == 0
    said = capsys.readouterr().out
    assert "\nb.csv: 9 of 10 designators agree (90 %)\n" in said, "the name as it is written"
    assert said.splitlines()[0].partition(". ")[2][0].isupper()
    assert "R3: 4k7 here, 47k in" in (tmp_path / "kit.yaml").read_text()
    assert main([*command, "--json"]) == 0
    (found,) = json.loads(capsys.readouterr().out)["contradictions"]
    assert (found["ref"], found["what"], found["here"], found["there"]) == ("R3", "value", "4k7", "47k")


@pytest.mark.skipif(not REAL.is_dir(), reason="the real papers are not at hand")
def test_papers_of_one_real_revision_agree_where_their_maker_made_no_mistake() -> None:
    folder = REAL / "05-current-probe"
    list_, board, sheet = (read_paper((folder / name).read_bytes(), name) for name in (
        "bom.pdf", "current_probe.kicad_pcb", "bom.xlsx",
    ))  # fmt: skip
    assert [len(each.contradictions) for each in compared(list_, [board, sheet])] == [0, 0]
    folder = REAL / "08-esp8266-netzfrequenzmessung"
    revised = compare(
        read_paper((folder / "BOM.pdf").read_bytes(), "BOM.pdf"),
        read_paper((folder / "Mutatio_REV2.brd").read_bytes(), "rev2.brd"),
    )
    assert ("R2", "value") in said(revised)


def test_papers_laid_beside_a_list_are_there_again_the_next_time(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_text(PAIRS["another value"][0])
    (tmp_path / "bell.brd").write_text(FORMATS["EAGLE"])
    work = ListSession(LIST.encode(), "a.csv", drafts=tmp_path / "drafts")
    assert "9 of 10 designators agree" in work.lay_beside(tmp_path / "b.csv")
    again = ListSession(LIST.encode(), "a.csv", drafts=tmp_path / "drafts")
    assert again.reading == work.reading
    assert [doubt.refs for doubt in again.reading.doubts if doubt.kind == "other paper"] == [("R3",)]
    again.lay_beside(tmp_path / "bell.brd")
    assert again.reading.placement is not None
    again.undo()
    assert again.reading == work.reading
    again.undo()
    assert not [doubt for doubt in again.reading.doubts if doubt.kind == "other paper"]


def test_a_paper_that_is_gone_the_next_time_is_passed_over(tmp_path: Path) -> None:
    (tmp_path / "b.csv").write_text(PAIRS["another value"][0])
    ListSession(LIST.encode(), "a.csv", drafts=tmp_path / "drafts").lay_beside(tmp_path / "b.csv")
    (tmp_path / "b.csv").unlink()
    again = ListSession(LIST.encode(), "a.csv", drafts=tmp_path / "drafts")
    assert not [doubt for doubt in again.reading.doubts if doubt.kind == "other paper"]
