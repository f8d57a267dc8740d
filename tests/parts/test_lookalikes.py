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
    return LookalikePart(value=value, kind=kind, **more)


def only(*parts: LookalikePart) -> LookAlike:
    """The one look-alike among these parts."""
    (found,) = find_lookalikes(parts)
    return found


def mix_up(a: str, b: str) -> tuple[int, str] | None:
    """What is told of two type numbers, which must both be known."""
    here, there = facts(a), facts(b)
    assert here
    assert there
    return mistaken(here, there)


CERAMIC, FILM, CAN = "ceramic capacitor", "film capacitor", "electrolytic capacitor"
ONE_BAND, CONFUSED = "only one band differs: ", "are easily confused when bands are small or discoloured"
ALIKE = [
    (part("4k7"), part("47k"), f"same digits, 10 times apart; {ONE_BAND}brown and red {CONFUSED}", LIKELY),
    (part("100R"), part("100k"), "same digits, 1000 times apart", LIKELY),
    (part("1k"), part("100k"), f"same digits, 100 times apart; {ONE_BAND}brown and orange {CONFUSED}", LIKELY),
    (part("2R2"), part("2M2"), "same digits, a million times apart", LIKELY),
    (part("1R"), part("10k"), "same digits, 10,000 times apart", LIKELY),
    (part("1.23n", FILM), part("12.3n", FILM), "same digits, 10 times apart", LIKELY),
    # Common practice, no source: brown and red are mixed up.
    (part("150R", tolerance="1 %"), part("250R", tolerance="1 %"),
     f"{ONE_BAND}brown and red {CONFUSED}", POSSIBLE),
    (part("220R", tolerance="1 %"), part("520R", tolerance="1 %"),
     f"{ONE_BAND}green and red look much the same to deutan eyes", SLIGHT),
    # Common practice, no source: no bands on chips, and no print at all on ceramic ones.
    (part("1k", package="0805"), part("10k", package="0805"), "same digits, 10 times apart", LIKELY),
    (part("120n", CERAMIC, package="0805"), part("4u7", CERAMIC, package="0805"),
     "the same size, and both unmarked", LIKELY),
    (part("10u", "tantalum capacitor", package="1206"), part("12u", "tantalum capacitor", package="1206"),
     "codes 106 and 126 differ by one character", POSSIBLE),
    (part("100n", CERAMIC), part("120n", CERAMIC), "codes 104 and 124 differ by one character", POSSIBLE),
    (part("100n", CERAMIC), part("10n", FILM),
     "same digits, 10 times apart; codes 104 and 103 differ by one character", LIKELY),
    (part("100n", CERAMIC, marking="104", package="2.5 mm"),
     part("B100k", "trimmer", marking="104", package="2.5 mm"),
     "the same marking and case on 100n and B100k", WORST),
    (part("100n", CERAMIC, marking="104"), part("100k", "trimmer", marking="104"),
     "the same marking on 100n and 100k", WORST),
    (part("10k", tolerance="1 %", marking="103"), part("10k", tolerance="5 %", marking="103"),
     "the same value at ±1 % and ±5 %", FAINT),
    (part("10k", tolerance="1 %"), part("10k", tolerance="0,1 %"), "the same value at ±1 % and ±0.1 %", FAINT),
    (part("10u", CAN), part("10u", "bipolar electrolytic capacitor"),
     "the same value, but only one of them is polarised", WORST),
    (part("100n", CERAMIC), part("100n", FILM),
     "the same value in two kinds: ceramic capacitor and film capacitor", FAINT),
    (part("10u 25V", CAN), part("10u 63V", CAN), "the same value, rated 25 V and 63 V", SLIGHT),
    (part("CD4011", "IC"), part("CD4001", "IC"), "type numbers that differ by one character", POSSIBLE),
    (part("BC547A", "transistor"), part("BC547B", "transistor"),
     "type numbers that differ by one character", POSSIBLE),
    (part("CD4013", "IC"), part("CD4031", "IC"),
     "type numbers with the same characters in another order", POSSIBLE),
    (part("ZTX1", "transistor", package="TO-92"), part("XY38B", "JFET", package="TO92"),
     "the same case; only the print tells them apart", SLIGHT),
    (part("2N2222", "transistor", package="TO-18"), part("2N2907", "transistor", package="TO18"),
     "NPN and PNP in the same case", LIKELY),
]  # fmt: skip
UNLIKE = {
    "values": [part("330R"), part("91k"), part("68n", FILM)],
    # Gold and silver cannot be figures: 0 of 576 codes (brute force over IEC 60062:2016).
    "five per cent, from the other end": [part("1k", tolerance="5 %"), part("110R", tolerance="5 %")],
    "chips have no bands": [part("150R", package="0805"), part("250R", package="0805")],
    "chips of two sizes": [part("120n", CERAMIC, package="0805"), part("4u7", CERAMIC, package="1206")],
    "codes that differ by two": [part("22p", CERAMIC), part("33n", CERAMIC)],
    "one part in two lines": [part("100n", CERAMIC, marking="104", board=board) for board in ("main", "panel")],
    "one type in two cases": [part("LM13700", "IC", package=package) for package in ("DIP-16", "SO-16")],
    "one type with two prints": [
        part("ZTX1", "transistor", package="TO-92", marking=marking) for marking in ("ZTX", "ZTX1")
    ],
    "hardware is not spelled": [part("M3x6", "screw"), part("M3x8", "screw")],
    "a stated case goes before the usual one": [
        part("2N2222", "transistor", package="TO-18"), part("2N2907", "transistor", package="TO-92")
    ],
    "a potentiometer": [part("100k"), part("B100k", "potentiometer")],
    # Common practice, no source: an electrolytic is a can with its value in words, a ceramic carries a code.
    "a can and a ceramic": [part("10u", CAN), part("100n", CERAMIC)],
    "odd lines": [
        part(""), part("0R"), part("4753R"), part("4k7", tolerance="3 %"), part("?", "no such kind"),
        part("n/a", "IC"),
    ],
    "nothing": [],
}  # fmt: skip


@pytest.mark.parametrize(("a", "b", "said", "rank"), ALIKE, ids=[row[2] for row in ALIKE])
def test_what_looks_alike_is_named_and_ranked(a: LookalikePart, b: LookalikePart, said: str, rank: int) -> None:
    found = only(a, b)
    assert (found.reason, found.rank) == (said, rank)


@pytest.mark.parametrize("parts", UNLIKE.values(), ids=UNLIKE)
def test_what_cannot_be_mistaken_is_not_named(parts: list[LookalikePart]) -> None:
    assert find_lookalikes(parts) == ()


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
    assert mix_up(a, b) == (WORST, said)
    kind = "voltage regulator" if "regulator" in said else "IC" if "op-amp" in said else "transistor"
    found = only(part(a, kind), part(b, kind))
    assert found.rank == WORST
    assert found.reason.startswith(said)


@pytest.mark.parametrize(
    ("a", "b", "rank", "said"),
    [  # Common practice, no source, where none is named.
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
    assert mix_up(a, b) == (rank, said)


@pytest.mark.parametrize(("a", "b"), [("TL072", "BC547"), ("1N4148", "1N4007"), ("BC547A", "BC547B")])
def test_types_in_other_cases_and_one_type_in_two_grades_are_not_mistaken(a: str, b: str) -> None:
    assert mix_up(a, b) is None


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


def test_a_pair_is_named_for_every_board_it_is_on() -> None:
    boards = [part(value, board=board) for board in ("main", "panel") for value in ("4k7", "47k")]
    assert len(find_lookalikes(boards)) == 4


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
