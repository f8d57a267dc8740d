"""What a list says twice, differently, or leaves out is told with its line."""

from __future__ import annotations

import pytest

from bench.papers.doubts.kinds import kind_of
from bench.papers.lists import ListReading, read_list
from tests.support.reading_samples import SAMPLES, doubts_of, from_text, read


def sample(name: str) -> ListReading:
    return read(next(path for path in SAMPLES if path.name == name))


def test_a_designator_with_two_values_is_told_with_both_lines() -> None:
    assert doubts_of(sample("contradictions.csv"), "two values") == [
        (5, "R1 has two values: '10k' (line 2) and '47k' (line 5)")
    ]


def test_a_designator_that_stands_twice_is_told() -> None:
    assert doubts_of(sample("contradictions.csv"), "twice") == [(3, "R3 is listed twice, here and in line 2")]


def test_a_count_that_is_not_the_number_of_designators_is_told() -> None:
    reading = from_text('Ref,Qty,Value\n"R1, R2, R3",4,10k\nC1,1,100n\nJ1,2 (pairs),header\n')
    assert doubts_of(reading, "count") == [
        (2, "the count is 4, but there are 3 designators: R1-R3"),
        (4, "the count is 2 (pairs), but there is 1 designator: J1"),
    ]


def test_gaps_in_the_numbering_are_told_and_new_hundreds_are_none() -> None:
    reading = from_text("Ref,Value\nR1,1k\nR2,1k\nR5,1k\nR101,1k\nR102,1k\nC3,1n\n")
    assert doubts_of(reading, "gap") == [(4, "R3, R4: numbers not used, or parts missing?")]


def test_values_that_are_not_understood_are_told() -> None:
    told = dict(doubts_of(from_text("Ref,Value\nR1,10k\nR2,banana\nC1,100\nC2,\nR3,TODO\nR4,2m2\n"), "value"))
    assert told[3] == "R2: the value 'banana' was not understood"
    assert "has no unit" in told[4]
    assert told[5] == "C2: no value"
    assert "placeholder" in told[6]
    assert "capital M" in told[7]


def test_one_value_for_each_designator_is_told() -> None:
    reading = from_text('Ref,Value\n"LED1, LED2","red, green"\nR1,10k\nR2,22k\n')
    assert "one value for each" in doubts_of(reading, "value")[0][1]


def test_a_list_that_repeats_its_parts_counts_them_once() -> None:
    reading = sample("individual-and-collated.csv")
    assert sum(len(part.refs) for part in reading.parts) == 7
    assert [line for line, _ in doubts_of(reading, "repeated")] == [20]
    assert doubts_of(reading, "twice") == []


def test_a_shopping_list_behind_the_parts_is_not_counted_again() -> None:
    reading = sample("properties.html")
    assert sum(part.quantity for part in reading.parts) == 4
    assert "repeat" in doubts_of(reading, "repeated")[0][1]


def test_a_value_that_differs_between_two_listings_is_told() -> None:
    rows = "Ref,Value\nR1,10k\nR2,{}\nR3,1k\nC1,1n\nC2,2n2\nC3,3n3\n\n"
    reading = from_text(rows.format("22k") + rows.format("27k"))
    assert [what for _, what in doubts_of(reading, "two values")] == [
        "R2 has two values: '22k' (line 3) and '27k' (line 11)"
    ]
    assert sum(len(part.refs) for part in reading.parts) == 6


def test_boards_with_names_are_told_apart() -> None:
    reading = sample("two-boards.csv")
    assert reading.boards == ("Main board", "Control board")
    assert doubts_of(reading, "two values") == []


def test_boards_without_names_are_told_apart_by_their_designators_and_that_is_a_doubt() -> None:
    reading = sample("same-heads-two-circuits.md")
    assert reading.boards == ("Left half", "Right half")
    assert len(doubts_of(reading, "boards")) == 1


def test_a_total_that_disagrees_is_told() -> None:
    reading = from_text("Ref,Value\nR1,10k\nR2,22k\nComponent Count: 3\n")
    assert doubts_of(reading, "total") == [(4, "the list states 3 parts, but has 2 designators")]
    assert doubts_of(from_text("Ref,Value\nR1,10k\nR2,22k\nComponent Count: 2\n"), "total") == []


def test_skipped_lines_say_why() -> None:
    reading = sample("doubled-header-pages.txt")
    why = {skipped.line: skipped.why for skipped in reading.skipped}
    assert why[1] == "heading"
    assert why[4] == "rule"
    why = {skipped.line: skipped.why for skipped in sample("prose-with-table.md").skipped}
    assert why[1] == "outside the table"


def test_different_kinds_of_parts_in_one_line_are_told() -> None:
    reading = from_text('Ref,Value\n"R1, C1",10k\nR2,22k\nR3,22k\n')
    assert any("different kinds" in doubt.what for doubt in reading.doubts)


def test_a_sound_list_gives_no_doubts() -> None:
    reading = from_text('Ref,Qty,Value\n"R1, R2",2,10k\nC1,1,100n\nU1,1,TL072\nD1,1,1N4148\n')
    assert reading.doubts == ()


def test_a_value_with_the_mark_of_a_footnote_is_the_value_and_carries_the_footnote() -> None:
    reading = from_text("Ref,Value\nR1,10k*\nC1,100n **\nR2,47k\n* 12k for a 5 V rack\n** film only\n")
    assert [(part.value_text, part.note) for part in reading.parts] == [
        ("10k", "12k for a 5 V rack"), ("100n", "film only"), ("47k", ""),
    ]  # fmt: skip
    assert doubts_of(reading, "value") == []
    assert [each.line for each in reading.skipped if each.why == "footnote"] == [5, 6]


def test_a_mark_without_its_footnote_stays_in_the_note() -> None:
    reading = from_text("Ref,Value\nR1,10k*\nR2,47k\n")
    assert [(part.value_text, part.note) for part in reading.parts] == [("10k", "see *"), ("47k", "")]


def test_a_type_number_with_a_remark_in_words_is_kept() -> None:
    reading = from_text("[ ] R1 10k\n[ ] R2 4k7\n[ ] D1 1N4148 (watch the band)\n[ ] U1 NE555\n")
    assert [part.value_text.split()[0] for part in reading.parts] == ["10k", "4k7", "1N4148", "NE555"]
    assert doubts_of(reading, "value") == []
    prose = from_text("R1: 10k\nR2: 4k7\nD1 is the diode that you solder first\n")
    assert [part.refs for part in prose.parts] == [("R1",), ("R2",)]


def test_a_heading_of_columns_is_no_title_and_a_page_number_no_part_of_one() -> None:
    headed = from_text(
        "Symbol Value Tolerance Type/Description Comment\nR1, R2 15k 5% 1/4 Watt\nR3 1k 1% 1/4 Watt\n"
    )
    assert headed.title == ""
    paged = from_text("MARSH LIGHT   Page 1 of 2\nR1: 10k\nR2: 4k7\nR3: 1k\n")
    assert paged.title == "MARSH LIGHT"


def test_a_list_of_more_than_ten_thousand_designators_ends_there_and_says_so() -> None:
    rows = "Ref,Value\n" + "".join(f"R{n * 500 + 1}-R{n * 500 + 500},10k\n" for n in range(20))
    assert from_text(rows).doubts == ()
    reading = from_text(rows + "C1,1n\nC2,1n\n")
    assert [(doubt.line, doubt.what) for doubt in reading.doubts] == [
        (22, "more than 10000 designators: nothing after this line was read")
    ]
    assert reading.parts[-1].refs == ("C1",)


def test_a_row_that_ends_before_its_designator_hides_none_of_those_around_it() -> None:
    reading = from_text("Value,Ref\n10k,R1206\n22k\n1k,R1205\n4k7,R1204\n")
    assert [part.refs for part in reading.parts] == [("R1206",), ("R1205",), ("R1204",)]


def test_a_broken_sign_or_two_do_not_make_the_rest_unreadable() -> None:
    data = "Ref;Wert\nR1;10 kΩ\nR2;22 kΩ\nC1;10 µF\n".encode() + b"R3;1 k\xea\n"
    reading = read_list(data, "list.csv")
    assert reading.encoding == "UTF-8"
    assert [part.value_text for part in reading.parts][:3] == ["10 kΩ", "22 kΩ", "10 µF"]
    assert [doubt.line for doubt in reading.doubts] == [5]


def test_wrong_counts_in_a_short_list_with_headings_change_no_value() -> None:
    reading = from_text("Ref,Qty,Value\nR1,1,1M\nC1,2,100n\n")
    assert [(part.refs, part.value_text) for part in reading.parts] == [(("R1",), "1M"), (("C1",), "100n")]
    assert doubts_of(reading, "count") == [(3, "the count is 2, but there is 1 designator: C1")]


@pytest.mark.parametrize(
    ("ref", "value", "package", "kind"),
    [
        ("BUZZER", "SMD-10", "", "loudspeaker"), ("SWITCH", "SK12", "", "toggle switch"),
        ("ACT", "red", "CHIP-LED0805", "LED"),
        ("OPA2134", "", "DIP-8", "IC"), ("C1", "25PK220 (220uF 25V)", "", "electrolytic capacitor"),
    ],
)  # fmt: skip
def test_a_name_a_footprint_or_what_a_value_comes_to_tells_the_kind(
    ref: str, value: str, package: str, kind: str
) -> None:
    lines = f"Ref,Value,Package\n{ref},{value},{package}\nR1,10k,0207\nR2,1k,0207\n"
    part = next(part for part in from_text(lines).parts if ref in part.refs)
    assert kind_of(part)[0] == kind


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("J1,\"jack (mono, black)\"", ""), ("\"D1, D2\",\"LED, 3mm\"", ""), 
        ("R5,optional", "no value ('optional')"),
        ("C1,CL10B104", "'CL10B104' is a part number, not a value"), ("C2,GRM15 (100nF 25V)", ""),
        ("R6,Resistor (4.7k)", ""), ("R7,100kR", ""), ("VC1,VTL5C3 or like", ""), ("RADIO,", ""),
    ],
)  # fmt: skip
def test_a_value_is_doubted_only_where_it_says_nothing(line: str, said: str) -> None:
    reading = from_text(f"Ref,Value\n{line}\nQ8,BC547\nQ9,BC557\n")
    assert [what.partition(": ")[2] for _, what in doubts_of(reading, "value")] == ([said] if said else [])


def test_a_pole_beside_a_number_is_no_gap_and_a_spelled_out_prefix_states_no_unit() -> None:
    reading = from_text("Ref,Value\nR1+,4k7\nR1-,4k7\nR2,10k\nR3,1k\nR4,1k\n")
    assert doubts_of(reading, "gap") == []
    assert from_text("Resistor: R1 = 47 Kilo Ohm\nR2 = 220 Ohm\n", "list.txt").units == ()
