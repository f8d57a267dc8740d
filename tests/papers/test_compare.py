"""Papers laid beside each other: eight pairs with contradictions that were put in, each found and no other."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.cli import main
from bench.kit.load import parse_kit
from bench.papers.compare import Comparison, compare, compared, with_others
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered, left
from bench.papers.doubts.settle import settle
from bench.papers.list_session import ListSession
from bench.papers.lists import ListReading
from bench.papers.paper import read_paper
from bench.papers.to_kit import kit_file_from
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


FULL = """Ref,Value,Package,Fitted
"R1, R2",10k,axial,yes
C1,100n,0805,yes
U1,TL072,DIP-8,yes
Q1,BC547,TO-92,yes
D1,1N4148,DO-35,no
"""
OTHERWISE: dict[str, tuple[str, set[tuple[str, str]]]] = {
    "packages in other words": (
        FULL.replace("DIP-8", "DIL08").replace("0805", "C_0805_2012Metric").replace("TO-92", "TO92 inline"),
        set(),
    ),
    "a chip for the surface": (FULL.replace("DIP-8", "SOIC-8"), {("U1", "package")}),
    "fewer legs": (FULL.replace("DIP-8", "DIP-14"), {("U1", "package")}),
    "a smaller chip": (FULL.replace("0805", "0603"), {("C1", "package")}),
    "a part left out here": (FULL.replace("TO-92,yes", "TO-92,no"), {("Q1", "fitted")}),
    "a part fitted there": (FULL.replace("DO-35,no", "DO-35,yes").replace("TO-92,yes", "TO-92,no"),
                            {("Q1", "fitted"), ("D1", "fitted")}),
    "one that marks nothing as left out": (FULL.replace("DO-35,no", "DO-35,yes"), set()),
}  # fmt: skip


@pytest.mark.parametrize("pair", OTHERWISE)
def test_packages_and_what_is_left_out_are_compared(pair: str) -> None:
    other, want = OTHERWISE[pair]
    assert said(compare(reading(FULL), reading(other, "other.csv"))) == want


def test_which_paper_leaves_a_part_out_is_told() -> None:
    found = compare(reading(FULL), reading(FULL.replace("TO-92,yes", "TO-92,no"), "other.csv"))
    assert [(each.here, each.there) for each in found.contradictions] == [("fitted", "not fitted")]


@pytest.mark.parametrize(
    ("bought", "want"),
    [
        ("Qty,Part\n2,Resistor 10k\n1,Resistor 4k7\n2,Capacitor 100n\n1,TL072 op-amp\n", set()),
        ("Qty,Part\n10,Resistor 10k\n1,Resistor 4k7\n2,Capacitor 100n\n", set()),
        ("Qty,Part\n1,Resistor 10k\n1,Resistor 4k7\n2,Capacitor 100n\n", {("R1, R2", "count")}),
        ("Qty,Part\n2,Resistor 10k\n1,Capacitor 0.1uF\n1,Capacitor 10uF\n", {("C1, C2", "count")}),
    ],
)
def test_a_shopping_list_has_as_many_as_the_board_or_more(bought: str, want: set[tuple[str, str]]) -> None:
    shop = reading(bought, "shopping.csv")
    assert shop.shopping_list
    assert said(compare(reading(LIST), shop)) == want
    assert said(compare(shop, reading(LIST))) == want


def test_the_counts_that_contradict_are_told_with_both_numbers_and_lines() -> None:
    text = "Qty,Part\n1,Resistor 10k\n1,Resistor 4k7\n1,Capacitor 0.1uF\n0,Diode 1N4148\n"
    parts = 'Ref,Value,Fitted\n"R1, R2",10k,yes\nR3,4k7,yes\n"C1, C2",100n,yes\n"R8, R9",10k,yes\nR7,4k7,no\n'
    found = compare(reading(parts), reading(text, "shopping.csv"))
    assert [(each.ref, each.here, each.there, each.line, each.other_line) for each in found.contradictions] == [
        ("R1, R2, R8, R9", "4 x 10k", "1 x Resistor 10k", 2, 2),
        ("C1, C2", "2 x 100n", "1 x Capacitor 0.1uF", 4, 4),
    ]


def test_the_fit_is_the_share_of_designators_that_agree() -> None:
    assert compare(reading(LIST), reading(LIST)).fit == 1.0
    assert compare(reading(LIST), reading(LIST.replace("4k7", "47k"))).fit == pytest.approx(9 / 10)
    assert compare(reading(LIST), reading("Ref,Value\n")).agree == 0


def test_sides_are_compared_where_both_papers_tell_them() -> None:
    one = read_paper(FORMATS["KiCad 8"].encode(), "bell.kicad_pcb")
    assert one.placement is not None
    places = tuple(replace(each, side="bottom") if each.ref == "R1" else each for each in one.placement.places)
    other = replace(one, placement=replace(one.placement, places=places))
    assert said(compare(one, other)) == {("R1", "side")}
    assert said(compare(one, replace(one, placement=None))) == set()


SETTLED = {
    "a value, the other paper's": (
        LIST.replace("4k7", "47k"), "R3", 1, "R3: the list says 4k7, other.csv says 47k; 47k was chosen",
    ),
    "a value, the list's": (
        LIST.replace("4k7", "47k"), "R3", 0, "R3: the list says 4k7, other.csv says 47k; 4k7 was chosen",
    ),
    "one left out": (
        LIST.replace("C3,10u\n", ""), "C3", 1, "C3: the list has it (10u), other.csv does not; left out",
    ),
    "one kept": (
        LIST.replace("C3,10u\n", ""), "C3", 0, "C3: the list has it (10u), other.csv does not; kept",
    ),
    "one more taken": (LIST + "R4,1M\n", "R4", 1, "R4: only other.csv has it (1M); taken"),
}  # fmt: skip


@pytest.mark.parametrize("case", SETTLED)
def test_what_was_settled_between_papers_stands_at_the_part_and_among_the_errata(case: str) -> None:
    other, ref, choice, want = SETTLED[case]
    here = reading(LIST)
    laid = with_others(here, [compare(here, reading(other, "other.csv"))])
    before = settle(laid)
    doubt = next(doubt for doubt in before.questions if ref in doubt.refs)
    ruling = answered(doubt, answers(before, doubt)[0]) if choice else left(doubt)
    after = settle(laid, [ruling])
    kit = parse_kit(kit_file_from(after.reading).encode(), "kit.yaml")
    assert kit.errata == (want,)
    notes = [part.note for board in kit.boards for part in board.parts if ref in part.refs]
    assert notes == ([] if want.endswith("left out") else [want])
    assert "".join(part.note for board in kit.boards for part in board.parts) == "".join(notes)


def test_a_package_of_another_paper_is_taken_in_one_answer() -> None:
    here = reading(FULL)
    laid = with_others(here, [compare(here, reading(FULL.replace("DIP-8", "SOIC-8"), "other.csv"))])
    before = settle(laid)
    doubt = next(doubt for doubt in before.questions if doubt.kind == "other paper")
    after = settle(laid, [answered(doubt, answers(before, doubt)[0])])
    assert next(part.package for part in after.reading.parts if "U1" in part.refs) == "SOIC-8"
    assert after.reading.errata == ("U1: the list says DIP-8, other.csv says SOIC-8; SOIC-8 was chosen",)
    assert doubt not in after.questions


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
