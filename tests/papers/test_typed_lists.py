"""Lists as people type, print and export them: forms that a table of rows and columns does not foresee."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.papers.doubts.decisions import Ruling
from bench.papers.doubts.options import answers
from bench.papers.doubts.settle import settle
from bench.papers.lists import ListReading
from bench.papers.lists.contradictions import _version
from tests.support.reading_samples import doubts_of, from_text


def told(reading: ListReading) -> dict[str, str]:
    return {ref: part.value_text for part in reading.parts for ref in part.refs}


BLOCKS = {
    block.partition("\n")[0]: block.partition("\n")[2].partition("\n==\n")[::2]
    for block in Path(__file__)
    .with_name("typed-lists.txt")
    .read_text(encoding="utf-8")
    .rstrip()
    .split("\n\n# ")[1:]
}
"""Text of each list, and what a person reads in it."""


@pytest.mark.parametrize("name", BLOCKS)
def test_each_entry_is_found_with_its_value_and_none_is_invented(name: str) -> None:
    text, wanted = BLOCKS[name]
    reading = from_text(text + "\n", "list.txt")
    if wanted.startswith("counts: "):
        assert told(reading) == {}
        assert [str(part.quantity) for part in reading.parts] == wanted.split()[1:]
    else:
        lines = [line.partition(" =") for line in wanted.rstrip().splitlines()]
        assert told(reading) == {ref: value.strip() for ref, _, value in lines}


def test_values_chosen_by_row_are_asked_about_and_one_answer_takes_a_row() -> None:
    text = "R1 1k\nR2 22k\n\n         |C3        |C4/C5     |L1\n"
    text += "40 Metres|33 (330)  |100 (101) |1.2 u\n20 Metres|15 (150)  |47 (470)  |0.6 u\n"
    reading = from_text(text, "list.txt")
    assert told(reading) == {"R1": "1k", "R2": "22k"}
    (asked,) = (doubt for doubt in reading.doubts if doubt.kind == "choice")
    assert asked.refs == ("C3", "C4", "C5", "L1")
    settled = settle(reading)
    offered = answers(settled, asked)
    assert [answer.text for answer in offered] == [
        "it is 40 Metres: take its values", "it is 20 Metres: take its values",
    ]  # fmt: skip
    ruling = Ruling(said="", line=asked.line, doubt=asked, decisions=offered[1].decisions)
    after = settle(reading, [ruling])
    assert told(after.reading) == {
        "R1": "1k", "R2": "22k", "C3": "15 (150)", "C4": "47 (470)", "C5": "47 (470)", "L1": "0.6 u",
    }  # fmt: skip
    assert not [doubt for doubt in after.questions if doubt.kind == "choice"]


def test_a_designator_that_stands_unread_in_the_file_is_not_called_unused() -> None:
    text = "Ref,Value\nR1,10k\nR2,22k\nR4,1k\nR6,1k\n\nSee the sheet for R3 please.\nR5 is not used.\n"
    assert [what for _, what in doubts_of(from_text(text), "gap")] == [
        "R3 is named in line 7, but was not read as a part",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "text",
    [
        "Ref,Value,Footprint\nP1,POWER,Pin_Headers:1x02\nP2,MIDI,Pin_Headers:1x03\nR1,1k,0603\n",
        'Ref,Qty,Value\n"C1,C2",2,"220u, 100V"\n"R1,R2",2,"47K, 1/2W"\n',
        "Name    Type\n\nC1      Film capacitor 22nF\nR1      Resistor 33k ohms\nR2      Resistor 220 ohms\n",
        "Ref,Value\nJ1,\nSW1,\nR1,10k\n",
        "Ref,Value\nL1,BN43-202 5T\nFB1,600\nR1,10k\n",
    ],
)
def test_nothing_is_asked_that_the_line_itself_answers(text: str) -> None:
    reading = from_text(text, "list.csv")
    assert [doubt.what for doubt in reading.doubts if doubt.kind != "gap"] == []


def test_a_designator_twice_in_its_own_line_is_told() -> None:
    reading = from_text("R1,R3 - 180 Ohms\nR4,R4 - 56 Ohms\nR6 - 22k\n", "list.txt")
    assert "R4 is named twice in this line" in [doubt.what for doubt in reading.doubts]


def test_many_designators_with_two_values_are_one_question() -> None:
    first = "".join(f"R{at},{at}k\n" for at in range(1, 9))
    second = "".join(f"R{at},{at}0k\n" for at in range(1, 9))
    found = doubts_of(from_text(f"Ref,Value\n{first}{second}"), "two values")
    assert found == [(10, "8 designators have two values, from line 10 on: perhaps of another board")]


def test_a_heading_names_the_board_and_a_formula_does_not() -> None:
    text = "NORTH FILTER:\nK[0] => [1.5, 2.2]\nR1 = 1K, C1 = 2 nF\n\n"
    text += "SOUTH FILTER:\nK[1] => [3.5, 4.2]\nR1 = 5K, C1 = 4 nF\n"
    assert from_text(text, "list.txt").boards == ("NORTH FILTER", "SOUTH FILTER")


def test_what_is_not_fitted_may_stand_in_a_column_of_what_is() -> None:
    reading = from_text("Ref,Value,Fitted\nR1,10k,yes\nR2,1k,DNP\nR3,4k7,no\nR4,1M,x\n")
    assert [part.fitted for part in reading.parts] == [True, False, False, True]


def test_accessories_are_parts_without_designators_for_those_named() -> None:
    rows = '"LED1, LED2",2,LED,red\n"- LED1, LED2",4,LED holder 5mm,\nR1,1,Resistor,1k\n'
    reading = from_text(f"Ref,Qty,Description,Value\n{rows}")
    (holder,) = (part for part in reading.parts if not part.refs)
    assert (holder.value_text, holder.quantity, holder.note) == ("LED holder 5mm", 4, "for LED1, LED2")


def test_a_range_far_longer_than_its_count_is_an_order_number() -> None:
    reading = from_text("Ref,Qty,Value\nR1-R4,4,10k\nTH12-190,1,rod\nC1,1,100n\n")
    assert told(reading) == {"R1": "10k", "R2": "10k", "R3": "10k", "R4": "10k", "C1": "100n"}


@pytest.mark.parametrize(
    ("title", "version"),
    [("Wren v2.0", (2, 0)), ("Wren rev B", (66,)), ("Wren Rev. 3", (3,)), ("Wren", ()), ("Control board", ())],
)
def test_the_revision_in_a_title_is_read(title: str, version: tuple[int, ...]) -> None:
    assert _version(title)[1] == version
