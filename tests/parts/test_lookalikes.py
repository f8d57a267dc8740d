"""Look-alikes: which parts are mistaken for which, checked against published traps and by brute force."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.parts.lookalikes import (
    FAINT,
    LIKELY,
    POSSIBLE,
    SLIGHT,
    WORST,
    LookAlike,
    LookalikePart,
    find_lookalikes,
)
from bench.parts.type_numbers import TYPES, TypeFacts, facts, mistaken


def part(value: str, kind: str = "resistor", **more: str) -> LookalikePart:
    return LookalikePart(value=value, kind=kind, **more)  # type: ignore[arg-type]


def only(*parts: LookalikePart) -> LookAlike:
    """The one look-alike among these parts."""
    (found,) = find_lookalikes(parts)
    return found


@pytest.mark.parametrize(
    ("a", "b", "times"),
    [
        ("4k7", "47k", "10"),
        ("100R", "100k", "1000"),
        ("1k", "100k", "100"),
        ("2R2", "2M2", "a million"),
        ("1R", "10k", "10^4"),
    ],
)
def test_the_same_figures_some_powers_of_ten_apart_are_named(a: str, b: str, times: str) -> None:
    found = only(part(a), part(b))
    assert found.reason.split("; ")[0] == f"same digits, {times} times apart"
    assert found.rank == LIKELY


@pytest.mark.parametrize(
    ("a", "b", "said"),
    # Traps at 1 %, counted by brute force over the table of IEC 60062:2016.
    [
        ("1k", "110R", "1 kΩ reads as 110 Ω from the other end"),
        ("10k", "120R", "10 kΩ reads as 120 Ω from the other end"),
        ("100k", "130R", "100 kΩ reads as 130 Ω from the other end"),
        ("1M", "140R", "1 MΩ reads as 140 Ω from the other end"),
        ("10k7", "127R", "10.7 kΩ reads as 127 Ω from the other end"),
    ],
)
def test_bands_that_read_as_the_other_from_the_far_end_are_named(a: str, b: str, said: str) -> None:
    found = only(part(a, tolerance="1 %"), part(b, tolerance="1 %"))
    assert (found.reason, found.rank) == (said, LIKELY)
    assert only(part(a), part(b)).reason == said


def test_five_per_cent_parts_never_read_from_the_other_end() -> None:
    # Gold and silver cannot be figures: 0 of 576 codes (brute force over IEC 60062:2016).
    assert find_lookalikes([part("1k", tolerance="5 %"), part("110R", tolerance="5 %")]) == ()


def test_bands_that_differ_by_one_easily_confused_colour_are_named() -> None:
    # Common practice, no source: brown and red are mixed up.
    found = only(part("150R", tolerance="1 %"), part("250R", tolerance="1 %"))
    why = "brown and red are easily confused when bands are small or discoloured"
    assert found.reason == f"only one band differs: {why}"
    assert found.rank == POSSIBLE


def test_bands_that_only_some_eyes_confuse_rank_lower() -> None:
    found = only(part("220R", tolerance="1 %"), part("520R", tolerance="1 %"))
    assert found.reason == "only one band differs: green and red look much the same to deutan eyes"
    assert found.rank == SLIGHT


def test_parts_without_legs_are_told_apart_by_print_alone() -> None:
    """Common practice, no source: no bands on chips, and no print at all on ceramic ones."""
    assert find_lookalikes([part("150R", package="0805"), part("250R", package="0805")]) == ()
    assert only(part("1k", package="0805"), part("10k", package="0805")).reason == "same digits, 10 times apart"
    chips = [part(value, "ceramic capacitor", package="0805") for value in ("120n", "4u7")]
    assert [(found.reason, found.rank) for found in find_lookalikes(chips)] == [
        ("the same size, and both unmarked", LIKELY)
    ]
    assert find_lookalikes([chips[0], part("4u7", "ceramic capacitor", package="1206")]) == ()
    tantalum = [part(value, "tantalum capacitor", package="1206") for value in ("10u", "12u")]
    assert only(*tantalum).reason == "codes 106 and 126 differ by one character"


def test_unlike_values_are_no_look_alikes() -> None:
    assert find_lookalikes([part("330R"), part("91k"), part("68n", "film capacitor")]) == ()


def test_capacitor_codes_that_differ_by_one_character_are_named() -> None:
    found = only(part("100n", "ceramic capacitor"), part("120n", "ceramic capacitor"))
    assert (found.reason, found.rank) == ("codes 104 and 124 differ by one character", POSSIBLE)


def test_capacitor_codes_that_differ_by_two_characters_are_not() -> None:
    assert find_lookalikes([part("22p", "ceramic capacitor"), part("33n", "ceramic capacitor")]) == ()


def test_a_ceramic_and_a_film_capacitor_can_have_codes_that_are_close() -> None:
    found = only(part("100n", "ceramic capacitor"), part("10n", "film capacitor"))
    assert found.reason == "same digits, 10 times apart; codes 104 and 103 differ by one character"


def test_capacitances_without_a_code_are_left_out_of_the_comparison() -> None:
    found = only(part("1.23n", "film capacitor"), part("12.3n", "film capacitor"))
    assert found.reason == "same digits, 10 times apart"


@pytest.mark.parametrize(
    ("a", "b", "said"),
    [
        # 78xx positive, 79xx negative, orders of legs: data sheets, from memory.
        ("LM7812CT", "LM7912CT", "positive regulator and negative regulator: pin order IGO and GIO"),
        ("78L05", "79L05", "positive regulator and negative regulator: pin order OGI and GIO"),
        ("LM317T", "LM337T", "positive regulator and negative regulator: pin order AOI and AIO"),
        # Complementary pairs: common practice, no source.
        ("2N3904", "2N3906", "NPN and PNP in the same case"),
        ("BC547B", "BC557B", "NPN and PNP in the same case"),
        # Data sheets, from memory: emitter, base, collector and collector, base, emitter.
        ("BC547", "2N3904", "NPN, different pin order: CBE and EBC"),
        # Data sheets, from memory: source, gate, drain; the BS170 has source and drain interchanged.
        ("2N7000", "BS170", "N-channel MOSFET, different pin order: SGD and DGS"),
        # Data sheets, from memory: one amplifier and two in the same eight-legged case.
        ("TL071CP", "TL072CP", "single and dual op-amp in the same case"),
        ("TL071", "NE5532", "single and dual op-amp in the same case"),
    ],
)
def test_types_with_other_legs_or_polarity_rank_worst(a: str, b: str, said: str) -> None:
    known_a, known_b = facts(a), facts(b)
    assert known_a
    assert known_b
    assert mistaken(known_a, known_b) == (WORST, said)
    kind = "voltage regulator" if "regulator" in said else "IC" if "op-amp" in said else "transistor"
    found = only(part(a, kind), part(b, kind))
    assert found.rank == WORST
    assert found.reason.startswith(said)


@pytest.mark.parametrize(
    ("a", "b", "rank", "said"),
    [
        ("TL072", "TL074", POSSIBLE, "dual and quad op-amp, close in name"),
        ("TL072", "NE5532", SLIGHT, "both op-amp in the same case; only the print tells them apart"),
        ("LM358", "LM393", LIKELY, "op-amp and comparator in the same case"),
        ("7805", "7812", LIKELY, "regulators in the same case for 5 V and 12 V"),
        # TI's data sheet of the small one: output, ground, input; of the large one: input, ground, output.
        ("7805", "78L05", POSSIBLE, "regulators close in name, legs IGO and OGI"),
        ("1N4148", "BAT43", LIKELY, "signal diode and Schottky diode in the same case"),
        ("BZX55C5V1", "BZX55C6V2", LIKELY, "Zener diodes in the same glass case"),
        ("1N4007", "1N5819", LIKELY, "rectifier and Schottky diode in the same case"),
        ("BC547", "BC548", SLIGHT, "both NPN in the same case; only the print tells them apart"),
        ("78L05", "BC547", WORST, "positive regulator and NPN in the same case"),
    ],
)
def test_other_types_rank_by_what_a_mix_up_does(a: str, b: str, rank: int, said: str) -> None:
    # Common practice, no source, where none is named.
    known_a, known_b = facts(a), facts(b)
    assert known_a
    assert known_b
    assert mistaken(known_a, known_b) == (rank, said)


@pytest.mark.parametrize(("a", "b"), [("TL072", "BC547"), ("1N4148", "1N4007"), ("BC547A", "BC547B")])
def test_types_in_other_cases_and_one_type_in_two_grades_are_not_mistaken(a: str, b: str) -> None:
    known_a, known_b = facts(a), facts(b)
    assert known_a
    assert known_b
    assert mistaken(known_a, known_b) is None


@pytest.mark.parametrize(
    ("written", "base"),
    [
        ("LM7805CT", "7805"),
        ("MC78L05ACP", "78L05"),
        ("L7912CV", "7912"),
        ("78M12", "78M12"),
        ("ne5532p", "NE5532"),
        ("2N 3904", "2N3904"),
        ("1N34A", "1N34"),
        ("BC-547 C", "BC547"),
        ("LM317LZ", "LM317L"),
    ],
)
def test_prefixes_and_package_letters_of_a_type_number_do_not_matter(written: str, base: str) -> None:
    found = facts(written)
    assert found
    assert found.base == base


@pytest.mark.parametrize("written", ["", "4k7", "CD4017", "XR2206", "LM13700", "7400", "screw"])
def test_type_numbers_that_are_not_in_the_tables_are_not_guessed(written: str) -> None:
    assert facts(written) is None


def test_every_row_of_the_table_is_found_under_its_own_base() -> None:
    assert all(base == found.base and facts(base) == found for base, found in TYPES.items())


@given(st.sampled_from(sorted(TYPES)), st.sampled_from(sorted(TYPES)))
def test_a_mix_up_of_types_has_one_rank_from_both_sides(a: str, b: str) -> None:
    here, there = mistaken(TYPES[a], TYPES[b]), mistaken(TYPES[b], TYPES[a])
    assert (here and here[0]) == (there and there[0])
    if a == b:
        assert here is None


def test_the_same_marking_and_case_on_different_parts_ranks_worst() -> None:
    found = only(
        part("100n", "ceramic capacitor", marking="104", package="2.5 mm"),
        part("B100k", "trimmer", marking="104", package="2.5 mm"),
    )
    assert (found.reason, found.rank) == ("the same marking and case on 100n and B100k", WORST)


def test_the_same_marking_without_a_case_is_named_too() -> None:
    found = only(part("100n", "ceramic capacitor", marking="104"), part("100k", "trimmer", marking="104"))
    assert found.reason == "the same marking on 100n and 100k"


def test_the_same_part_in_two_lines_is_no_look_alike() -> None:
    twice = [part("100n", "ceramic capacitor", marking="104", board=board) for board in ("main", "panel")]
    assert find_lookalikes(twice) == ()


def test_the_same_part_with_another_tolerance_or_in_another_case_has_no_false_marking() -> None:
    fine, coarse = (part("10k", tolerance=tolerance, marking="103") for tolerance in ("1 %", "5 %"))
    assert only(fine, coarse).reason == "the same value at ±1 % and ±5 %"
    cases = [part("LM13700", "IC", package=package) for package in ("DIP-16", "SO-16")]
    assert find_lookalikes(cases) == ()
    twice = [part("ZTX1", "transistor", package="TO-92", marking=marking) for marking in ("ZTX", "ZTX1")]
    assert find_lookalikes(twice) == ()


def test_a_pair_is_named_for_every_board_it_is_on() -> None:
    boards = [part(value, board=board) for board in ("main", "panel") for value in ("4k7", "47k")]
    assert len(find_lookalikes(boards)) == 4


@pytest.mark.parametrize(
    ("a", "b", "said"),
    [
        ("CD4011", "CD4001", "type numbers that differ by one character"),
        ("CD4013", "CD4031", "type numbers with the same characters in another order"),
    ],
)
def test_type_numbers_that_are_close_in_spelling_are_named(a: str, b: str, said: str) -> None:
    found = only(part(a, "IC"), part(b, "IC"))
    assert (found.reason, found.rank) == (said, POSSIBLE)


def test_two_grades_of_one_type_are_close_in_spelling_and_no_worse() -> None:
    found = only(part("BC547A", "transistor"), part("BC547B", "transistor"))
    assert (found.reason, found.rank) == ("type numbers that differ by one character", POSSIBLE)


def test_hardware_is_not_compared_by_spelling() -> None:
    assert find_lookalikes([part("M3x6", "screw"), part("M3x8", "screw")]) == ()


def test_three_legged_parts_in_the_same_stated_case_are_told_apart_by_print_only() -> None:
    found = only(part("ZTX1", "transistor", package="TO-92"), part("XY38B", "JFET", package="TO92"))
    assert (found.reason, found.rank) == ("the same case; only the print tells them apart", SLIGHT)


def test_a_stated_case_goes_before_the_usual_one() -> None:
    metal = part("2N2222", "transistor", package="TO-18")
    plastic = part("2N2907", "transistor", package="TO-92")
    assert find_lookalikes([metal, plastic]) == ()
    both = only(metal, part("2N2907", "transistor", package="TO18"))
    assert both.reason == "NPN and PNP in the same case"


@pytest.mark.parametrize(
    ("a", "b", "said", "rank"),
    [
        (
            part("10u", "electrolytic capacitor"),
            part("10u", "bipolar electrolytic capacitor"),
            "the same value, but only one of them is polarised",
            WORST,
        ),
        (
            part("100n", "ceramic capacitor"),
            part("100n", "film capacitor"),
            "the same value in two kinds: ceramic capacitor and film capacitor",
            FAINT,
        ),
        (
            part("10u 25V", "electrolytic capacitor"),
            part("10u 63V", "electrolytic capacitor"),
            "the same value, rated 25 V and 63 V",
            SLIGHT,
        ),
        (
            part("10k", tolerance="1 %"),
            part("10k", tolerance="0,1 %"),
            "the same value at ±1 % and ±0.1 %",
            FAINT,
        ),
    ],
)
def test_the_same_value_in_another_make_is_named(
    a: LookalikePart, b: LookalikePart, said: str, rank: int
) -> None:
    found = only(a, b)
    assert (found.reason, found.rank) == (said, rank)


def test_a_resistor_and_a_potentiometer_of_one_value_are_no_look_alikes() -> None:
    assert find_lookalikes([part("100k"), part("B100k", "potentiometer")]) == ()


def test_odd_lines_are_passed_over() -> None:
    odd = [part(value) for value in ("", "0R", "4753R")]
    odd += [part("4k7", tolerance="3 %"), part("?", "no such kind"), part("n/a", "IC")]
    assert find_lookalikes(odd) == ()
    assert find_lookalikes([]) == ()


VALUES = [f"{number}{letter}" for number in ("1", "4.7", "47", "100", "130", "220") for letter in ("R", "k")]


@given(st.lists(st.sampled_from(VALUES), max_size=12, unique=True))
def test_pairs_come_once_worst_first_and_hold_all_that_share_their_figures(values: list[str]) -> None:
    found = find_lookalikes([part(value) for value in values])
    pairs = [frozenset((one.a.value, one.b.value)) for one in found]
    assert len(set(pairs)) == len(pairs)
    assert [one.rank for one in found] == sorted(one.rank for one in found)
    for a, b in combinations(values, 2):
        same_figures = a[:-1].replace(".", "").strip("0") == b[:-1].replace(".", "").strip("0")
        named = any("same digits" in one.reason for one in found if {one.a.value, one.b.value} == {a, b})
        assert named == same_figures


def test_facts_are_a_value() -> None:
    assert facts("TL072") == TypeFacts(base="TL072", role="op-amp", case="DIP-8", family="TL07", count=2)


def test_a_can_is_not_taken_for_a_ceramic_capacitor_however_alike_the_figures() -> None:
    # Common practice, no source: an electrolytic is a can with its value in words, a ceramic carries a code.
    found = find_lookalikes([part("10u", "electrolytic capacitor"), part("100n", "ceramic capacitor")])
    assert found == ()
    assert find_lookalikes([part("10u", "electrolytic capacitor"), part("100u", "electrolytic capacitor")])
    assert find_lookalikes([part("10n", "film capacitor"), part("100n", "ceramic capacitor")])


@pytest.mark.parametrize("boards", [2, 7])
def test_pairs_on_one_board_are_those_of_all_pairs_that_share_a_board(boards: int) -> None:
    parts = [
        part(value, board=f"board {board}")
        for board in range(boards)
        for value in ("100R", "100k", "1k", "1k2")
    ]
    here = find_lookalikes(parts, on_one_board=True)
    assert here == tuple(pair for pair in find_lookalikes(parts) if pair.a.board == pair.b.board)
    assert len(here) == boards * len(find_lookalikes(parts[:4]))
