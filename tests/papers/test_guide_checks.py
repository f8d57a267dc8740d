"""Checks that a guide's text asks for: offered with their line, taken only when asked to, never near the mains.

The forms of such lists are common practice, no source. 50 V as the bound of what is offered: IEC 61140 calls
alternating voltages up to that extra-low.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.cli import main
from bench.kit.load import parse_kit
from bench.papers.doubts.options import answers
from bench.papers.doubts.rulings import answered, left
from bench.papers.doubts.settle import settle
from bench.papers.lists import ListReading, read_list
from bench.papers.lists.guide_checks import BEFORE, FIRST, guide_checks
from bench.papers.paper import read_paper
from bench.papers.to_kit import kit_file_from
from tests.support.pdfs import typed

GUIDE = """Interval bell

Parts
R1 10k
R2 22k
C1 100n
U1 NE555

Before you apply power
- Look for solder bridges with a magnifier.
- Measure between +9 V and 0 V: more than 200 ohm.
- See that C1 has its stripe at the edge

Test points
TP1   supply       8.5 - 9.5 V
TP2   -9 V
TP3: 4.5 V ± 0.1 V
Pin 8 of U1 should be about 9 V
TP4 < 40 mA

Enclosure
TP9: 1 V ± 1 %
"""
WANTED = [
    (BEFORE, "Look for solder bridges with a magnifier", "", 10),
    (BEFORE, "+9 V and 0 V", "> 200 ohm", 11),
    (BEFORE, "See that C1 has its stripe at the edge", "", 12),
    (FIRST, "TP1", "8.5 - 9.5 V", 15),
    (FIRST, "TP2: -9 V", "", 16),
    (FIRST, "TP3", "4.5 V ± 0.1 V", 17),
    (FIRST, "Pin 8 of U1", "about 9 V", 18),
    (FIRST, "TP4", "< 40 mA", 19),
]


def found(text: str) -> list[tuple[str, str, str, int]]:
    return [(each.point, each.where, each.expect, each.line) for each in guide_checks(text.split("\n"))]


def guide() -> ListReading:
    return read_list(GUIDE.encode(), "guide.txt")


def test_the_checks_below_headings_that_announce_them_are_found() -> None:
    assert found(GUIDE) == WANTED


@pytest.mark.parametrize(
    "heading",
    ["Before power", "Before applying power", "Before you switch it on", "Pre-power checks",
     "## Before power-up", "Checks without power"],
)  # fmt: skip
def test_what_is_looked_at_before_power_is_known_by_many_headings(heading: str) -> None:
    assert found(f"{heading}\n* no solder bridges between pins\n") == [
        (BEFORE, "no solder bridges between pins", "", 2)
    ]


@pytest.mark.parametrize(
    "heading", ["Test points", "Voltages", "Expected readings", "First power", "Power-up", "Voltage table"]
)
def test_readings_under_power_are_known_by_many_headings(heading: str) -> None:
    assert found(f"{heading}\nTP1 4.9 to 5.1 V\n") == [(FIRST, "TP1", "4.9 to 5.1 V", 2)]


def test_a_voltage_goes_to_the_hold_point_under_power_wherever_it_stands() -> None:
    assert found("Before power\n- Between +5 V and 0 V: 4.9 to 5.1 V\n") == [
        (FIRST, "+5 V and 0 V", "4.9 to 5.1 V", 2)
    ]


@pytest.mark.parametrize(
    "line",
    ["- Measure between live and neutral: more than 1 Mohm", "- Check the mains fuse and its holder",
     "TP1 230 V ± 10 %", "TP1 60 V ± 1 V", "TP2 0.3 kV ± 5 %", "TP3 HT 45 V ± 5 %",
     "- The high voltage: TP1 5 V ± 1 V"],
)  # fmt: skip
def test_nothing_near_the_mains_or_above_50_volts_is_offered(line: str) -> None:
    for heading in ("Before power", "Test points"):
        assert found(f"{heading}\n{line}\n") == []


@pytest.mark.parametrize(
    "text",
    [
        "Parts\nR1 10k\nTP1 test pin\n",
        "TP1 5 V ± 1 V\n",
        "Test the board before you switch on the lamp in your workshop and enjoy.\nTP1 5 V ± 1 V\n",
        "Test points\nEnclosure\nTP1 5 V ± 1 V\n",
        "Test points\nTP1 red\nTP2 black\n",
        "Before power\nRead this first\n",
        "Before power\n- no bridges\n",
        f"Before power\n- {'very long ' * 16}\n",
        "Test points\n- look at all of them closely\n",
        "Before power\nThis board was drawn with care by us, 2 of them.\n",
    ],
)
def test_no_check_is_seen_where_none_is_asked_for(text: str) -> None:
    assert found(text) == []


def test_each_check_is_asked_about_with_its_line_and_none_is_taken_silently() -> None:
    reading = guide()
    asked = [doubt for doubt in reading.doubts if doubt.kind == "check"]
    assert [doubt.line for doubt in asked] == [line for *_, line in WANTED]
    assert {ref for part in reading.parts for ref in part.refs} == {"R1", "R2", "C1", "U1", "TP9"}
    assert asked[1].what == "the guide asks for a check: +9 V and 0 V, > 200 ohm"
    assert parse_kit(kit_file_from(reading).encode(), "kit.yaml").hold_points == ()
    left_out = settle(reading, [left(doubt) for doubt in asked])
    assert not [doubt for doubt in left_out.questions if doubt.kind == "check"]
    assert parse_kit(kit_file_from(left_out.reading).encode(), "kit.yaml").hold_points == ()


def test_one_check_or_all_that_are_open_are_taken_in_one_answer() -> None:
    reading = guide()
    before = settle(reading)
    asked = [doubt for doubt in before.questions if doubt.kind == "check"]
    one, all_of_them = answers(before, asked[1])
    assert (one.text, all_of_them.text) == ("take it as a check at 'Before power'", "take all 8 checks")
    taken = settle(reading, [answered(asked[1], one)])
    (point,) = parse_kit(kit_file_from(taken.reading).encode(), "kit.yaml").hold_points
    assert (point.name, [(each.where, each.expect) for each in point.checks]) == (
        BEFORE, [("+9 V and 0 V", "> 200 ohm")],
    )  # fmt: skip
    assert len([doubt for doubt in taken.questions if doubt.kind == "check"]) == 7
    after = settle(reading, [answered(asked[1], all_of_them)])
    assert not [doubt for doubt in after.questions if doubt.kind == "check"]
    points = parse_kit(kit_file_from(after.reading).encode(), "kit.yaml").hold_points
    assert [(point.name, each.where, each.expect) for point in points for each in point.checks] == [
        each[:3] for each in WANTED
    ]


def test_a_guide_that_is_a_pdf_tells_the_page_of_each_check(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    reading = read_paper(typed(GUIDE.splitlines()), "guide.pdf")
    assert [doubt.check.where for doubt in reading.doubts if doubt.check] == [where for _, where, *_ in WANTED]
    (tmp_path / "guide.pdf").write_bytes(typed(GUIDE.splitlines()))
    assert main(["read", str(tmp_path / "guide.pdf")]) == 0
    assert "the guide asks for a check: TP3, 4.5 V ± 0.1 V" in capsys.readouterr().out


def test_empty_lines_do_not_end_a_list_of_checks_and_its_length_is_bounded() -> None:
    assert [line for *_, line in found("Test points\n\nTP1 5 V ± 1 V\n\n\nTP2 6 V ± 1 V\n")] == [3, 6]
    many = "".join(f"Test points\nTP{at} 5 V ± 1 V\n" for at in range(1, 60))
    assert len(found(many)) == 30
    lines = [f"a line that says nothing of readings, number {at}.\n" for at in range(25)]
    assert found(f"Test points\n{''.join(lines)}TP1 5 V ± 1 V\n") == []
    assert [line for *_, line in found(f"Test points\n{''.join(lines[1:])}TP1 5 V ± 1 V\n")] == [26]


def test_a_reading_stands_behind_its_place_and_a_heading_has_seven_words_at_most() -> None:
    assert found("Test points\nwith about 9 V on it, TP1: 4.9 to 5.1 V\n") == [
        (FIRST, "TP1", "4.9 to 5.1 V", 2)
    ]
    assert len(found("Test points of the upper board here\nTP1 5 V ± 1 V\n")) == 1
    assert found("Test points of the upper board are given here\nTP1 5 V ± 1 V\n") == []
    assert len(found(f"Before power\n- {'look ' * 30}\n")) == 1
    assert found(f"Before power\n- {'look ' * 31}\n") == []
