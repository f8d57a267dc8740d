"""Designators and columns, one notation at a time."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.papers.lists.cell_patterns import value_likeness, worth
from bench.papers.lists.cleaning import plain_cell
from bench.papers.lists.contradictions import same_value
from bench.papers.lists.refs import find_refs, trust_of
from bench.papers.lists.runs import runs_of_refs
from bench.papers.lists.vocabulary import heading_roles, is_hardware, names_a_board


@pytest.mark.parametrize(
    ("cell", "refs"),
    [
        ("R1, R2", "R1 R2"), ("R1,R2", "R1 R2"), ("R1 R2", "R1 R2"), ("R1-R4", "R1 R2 R3 R4"),
        ("R1 - R3", "R1 R2 R3"), ("R1..R3", "R1 R2 R3"), ("R1 to R3", "R1 R2 R3"),
        ("D1 ~ D3", "D1 D2 D3"), ("D1-3", "D1 D2 D3"), ("V1,2,3", "V1 V2 V3"), ("C7/C8", "C7 C8"),
        ("R2+R14", "R2 R14"), ("C13*", "C13"), ("C3B", "C3B"), ("Q2 y Q3", "Q2 Q3"),
        ("R1, R2, ", "R1 R2"), ("Ca,Cb", "Ca Cb"), ("U$1", "U$1"), ("C1+", "C1+"), ("LEVEL", "LEVEL"),
        ("R1\nR2", "R1 R2"), ("R4 (see text)", "R4"), ("R1 -- R3", "R1 R2 R3"),
        ("R5A-R5C", "R5A R5B R5C"), ("Ｒ１、Ｒ２", "R1 R2"), ("r1, r2", "r1 r2"),
        ("CON12,13,21", "CON12 CON13 CON21"), ("TL074-1 - TL074-2", "TL074-1 TL074-2"),
        ("R1 or R2", "R1 R2"), ("+DCIN-", "+DCIN-"), ("T37-2", ""), ("FT37-43", ""), ("R0603", ""),
        ("SO14", ""), ("10k", ""), ("IC Socket", ""), ("Screw", ""), ("ねじ", ""),
        ("R1205, R1206", "R1205 R1206"), ("C1206, C0805, C1207", "C1206 C1207"), ("R1 SO-8", "R1"),
        ("R9-R1", "R1 R2 R3 R4 R5 R6 R7 R8 R9"), ("R9-1", ""), ("", ""), ("R1-R99999999", ""),
    ],
)  # fmt: skip
def test_designators_of_a_cell(cell: str, refs: str) -> None:
    found = find_refs(cell)
    assert (found.refs if found.trust >= 0.2 else ()) == tuple(refs.split()) or (
        cell == "TO-92" and found.trust <= 0.5
    )


@given(
    st.lists(
        st.tuples(st.sampled_from(["R", "C", "IC", "Q", "LED"]), st.integers(1, 999)), min_size=1, max_size=30
    )
)
def test_designators_joined_in_any_common_way_come_back(pairs: list[tuple[str, int]]) -> None:
    refs = tuple(dict.fromkeys(f"{letters}{number}" for letters, number in pairs))
    for sign in (", ", ",", " ", "; ", "\n", "/", " + "):
        assert find_refs(sign.join(refs)).refs == refs


def test_a_comma_at_the_end_says_that_the_list_goes_on() -> None:
    assert find_refs("C1,C2,").more
    assert not find_refs("C1,C2").more


def test_class_letters_are_trusted_more_than_type_numbers_and_names() -> None:
    assert trust_of("R1") > trust_of("SWX1") > trust_of("BC547")
    assert trust_of("R0603") == 0


@pytest.mark.parametrize(
    "text", ["10k", "4k7", "47uF 6,3V ±20%", "100k lin", "1,000µF", ".1u", "R47", "B100k", "10 Meg"]
)
def test_values_look_like_values(text: str) -> None:
    assert worth(text) >= 0.7


def test_footprints_links_and_prices_do_not_look_like_values() -> None:
    for text in ("R_Axial_DIN0207_L6.3mm", "0603", "https://example.org/r1", "$0.10"):
        assert value_likeness(text, "R") < worth("10k") / 2


@pytest.mark.parametrize(
    ("heading", "role"),
    [
        ("Designator", "ref"), ("Reference(s)", "ref"), ("Wert", "value"), ("Qnty", "quantity"),
        ("Anzahl", "quantity"),
        ("Gehäuse", "package"), ("Shop Part #", "other"), ("部品番号", "ref"), ("値", "value"),
        ("PosX [mm]", "x"),
    ],
)  # fmt: skip
def test_headings_have_their_usual_role_first(heading: str, role: str) -> None:
    roles = heading_roles(heading)
    assert max(roles, key=lambda each: roles[each]) == role


def test_hardware_and_boards_are_known_by_their_names() -> None:
    assert is_hardware("Schrauben M3")
    assert not is_hardware("GAIN")
    assert names_a_board("PCB 2")
    assert not names_a_board("All parts for the board")


@pytest.mark.parametrize(
    ("cell", "plain"),
    [
        ("**R1**", "R1"), ("*R1*", "R1"), ("__R1__", "R1"), ("`10k`", "10k"), ("R1**", "R1**"),
        ("2 * 3", "2 * 3"),
        ("**R1** and **R2**", "R1 and R2"), ("[10k](https://example.org)", "10k"), ("[10k][shop]", "10k"),
        ("~~10k~~ 22k", "22k (struck out: 10k)"), ("<s>10k</s> 22k", "22k (struck out: 10k)"),
        ("10k<br>1%", "10k\n1%"), ("<b>10k</b>", "10k"), (r"R1\_A", "R1_A"), ("&micro;F", "µF"), (" R1 ", "R1"),
        ("_R1_", "R1"), ("SW_3PDT_x3", "SW_3PDT_x3"), (r"R1\*", "R1*"),
    ],
)  # fmt: skip
def test_marks_of_emphasis_links_and_entities_are_no_part_of_a_cell(cell: str, plain: str) -> None:
    assert plain_cell(cell) == plain


@pytest.mark.parametrize("cell", ["12", "123", "7805", "12345", "123456"])
def test_a_bare_number_of_three_to_five_figures_may_be_a_name_and_is_hardly_trusted(cell: str) -> None:
    found = find_refs(cell)
    assert found.refs == ((cell,) if 3 <= len(cell) <= 5 else ())
    assert found.trust <= 0.1


def test_letters_that_begin_as_a_usual_class_are_trusted_more_than_others() -> None:
    assert trust_of("DX1") == trust_of("RVXX1") > trust_of("AX1") == trust_of("RVXXX1")


@pytest.mark.parametrize(
    ("cell", "refs"),
    [
        ("R1 2", "R1 R2"), ("R999 1000", "R999 R1000"), ("R9998 9999", "R9998 R9999"), ("R1 12345 R7", ""),
        ("R5 only for the long", "R5"), ("R5 only for the long version", ""),
    ],
)  # fmt: skip
def test_a_bare_number_of_up_to_four_figures_takes_the_letter_before_it(cell: str, refs: str) -> None:
    assert find_refs(cell).refs == tuple(refs.split())


@pytest.mark.parametrize(
    ("line", "run"),
    [
        ("R1,2,3 10k", "R1,2,3"), ("R1/2 10k", "R1/2"), ("R1-30 10k", "R1-30"), ("R1-470 ohm", "R1"),
        ("R10-10 ohm", "R10"), ("R1, 2 10k", "R1"),
    ],
)  # fmt: skip
def test_a_number_behind_a_designator_in_a_line_is_another_or_its_value(line: str, run: str) -> None:
    assert [each.text for each in runs_of_refs(line)] == [run]


def test_a_sentence_about_values_is_no_heading() -> None:
    assert heading_roles("ref of the part")
    assert not heading_roles("ref of the next part")
    assert heading_roles("Value " + "x" * 54)
    assert not heading_roles("Value " + "x" * 55)


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        ("10k 1 %", "22k", False), ("10k 1 %", "10K", True), ("red LED", "red", False), ("10k", "10 k", True),
        ("", "10k", False),
    ],
)  # fmt: skip
def test_a_value_that_says_more_is_the_same_when_it_begins_with_the_same_amount(
    one: str, other: str, same: bool
) -> None:
    assert same_value(one, other) is same
