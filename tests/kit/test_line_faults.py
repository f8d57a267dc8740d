"""Every fault in a parts line of a kit file, with its line."""

from __future__ import annotations

import pytest

from bench.kit.load import parse_kit
from tests.support.kit_files import faults, small

ONE_FAULT = {
    "an unknown key": ("{refs: R1, vlaue: 1k, value: 1k}", 'unknown key "vlaue"; did you mean "value"?'),
    "a comma that ended a text": (
        "{refs: R1-R4, R9, value: 1k}",
        'unknown key "R9"; if it belongs to the text before it, put that text in quotes: a comma ends it',
    ),
    "a list for a text": (
        "{refs: R1, value: [1k]}",
        '"value" should be a text, not a list; write one text; quotes keep it whole: value: "a, b"',
    ),
    "a text for a line": (
        "R1 1k",
        'part should be a mapping, not the text "R1 1k"; write `key: value` entries',
    ),
    "an empty line": ("{}", "an empty part; fill it in or take it out"),
    "an unknown kind": (
        "{refs: R1, value: 1k, kind: resitor}",
        'unknown kind "resitor"; did you mean "resistor"?',
    ),
    "no kind in sight": (
        "{refs: GAIN, value: see text}",
        "the kind of GAIN cannot be told from designator and value; "
        "add a kind, such as `kind: resistor`, or split the line",
    ),
    "kinds mixed": (
        "{refs: R1 C1, value: 1k}",
        "designators of different kinds in one line; add a kind, such as `kind: resistor`, or split the line",
    ),
    "a mount nobody knows": (
        "{refs: R1, value: 1k, mount: upwright}",
        '"mount" is "upwright"; did you mean "upright"?',
    ),
    "a designator twice": ("{refs: R1 R2 R1, value: 1k}", "R1 stands 2 times in this line; keep it once"),
    "a quantity that disagrees": (
        "{refs: R1-R3, value: 1k, quantity: 4}",
        '"quantity" is 4, but the line has 3 designators; find out which is right; '
        "with designators `quantity` can be left out",
    ),
    "a quantity in words": (
        "{refs: R1, value: 1k, quantity: two}",
        '"quantity" is "two"; give a whole number',
    ),
    "a quantity of none": (
        "{value: M3 screw, kind: screw, quantity: 0}",
        '"quantity" is 0; give a number from 1 to 10000',
    ),
    "a quantity beyond reason": (
        "{value: M3 screw, kind: screw, quantity: 10001}",
        '"quantity" is 10001; give a number from 1 to 10000',
    ),
    "a resistor without a value": (
        "{refs: R1, kind: resistor}",
        "a resistor without a value; add `value: ...`",
    ),
    "hardware without a name": (
        "{kind: screw, quantity: 2}",
        "a line with neither designator nor value; add `value: ...`",
    ),
    "empty refs": (
        "{refs: , value: 1k}",
        '"refs" is empty; give designators, or take `refs` out for hardware',
    ),
    "an empty list of refs": (
        "{refs: [], value: 1k}",
        '"refs" is empty; give designators, or take `refs` out for hardware',
    ),
    "refs that are a mapping": (
        "{refs: {R1: yes}, value: 1k}",
        '"refs" should hold texts, not a mapping; put a text with a colon or a comma in quotes',
    ),
    "a word too long to be a slip": (
        f"{{refs: R1, value: 1k, mount: {'upright' * 10}}}",
        '"mount" is "uprightuprightuprightuprightuprightuprightuprightuprightu..."; known here: '
        "flat, upright, laid flat, panel, board, chassis, cable",
    ),
    "refs that name nothing": (
        "{refs: [','], value: 1k}",
        'no designators in ","; write designators such as "R1-R4, R9"',
    ),
    "a socket that is only a yes": (
        "{refs: U1, value: TL072, kind: IC, socket: Yes}",
        '"socket" is "Yes"; write its size, such as DIP-8, or leave `socket` out',
    ),
    "an empty number": (
        "{refs: R1, value: 1k, joints: }",
        '"joints" is empty; give a whole number or take it out',
    ),
    "joints below none": (
        "{refs: R1, value: 1k, joints: -1}",
        '"joints" is -1; give a number from 0 to 1000',
    ),
    "an unknown height": ("{refs: R1, value: 1k, height: 10}", '"height" is 10; give a number from 1 to 9'),
    "neither yes nor no": (
        "{refs: R1, value: 1k, optional: perhaps}",
        '"optional" is "perhaps"; write yes or no',
    ),
    "too few positions": (
        "{refs: R1 R2, value: 1k, at: [[1, 2]]}",
        "1 position for 2 parts; write a pair of numbers in mm for each part: at: [[10, 20], [15, 20]]",
    ),
    "a position that is no pair": (
        "{refs: R1, value: 1k, at: [[1, 2, 3]]}",
        "a position that is not a pair of numbers in mm; "
        "write a pair of numbers in mm for each part: at: [[10, 20], [15, 20]]",
    ),
    "a position in words": (
        "{refs: R1, value: 1k, at: [[left, nan]]}",
        "a position that is not a pair of numbers in mm; "
        "write a pair of numbers in mm for each part: at: [[10, 20], [15, 20]]",
    ),
    "a position that is a text": (
        "{refs: R1, value: 1k, at: middle}",
        '"at" should be a list of positions, not the text "middle"; '
        "write a pair of numbers in mm for each part: at: [[10, 20], [15, 20]]",
    ),
    "a side that is none": (
        "{refs: R1, value: 1k, side: edge}",
        '"side" is "edge"; known here: front, back',
    ),
    "too few sides": (
        "{refs: R1 R2 R3, value: 1k, side: [front, back]}",
        "2 sides for 3 parts; give one side for all of them, or one for each",
    ),
    "a line break in a value": (
        '{refs: R1, value: "1k\\n2k"}',
        'a line break in "value"; write it on one line',
    ),
    "a caution that is a mapping": (
        "{refs: R1, value: 1k, caution: [hot: yes]}",
        '"caution" should hold texts, not a mapping; put a text with a colon or a comma in quotes',
    ),
    "an empty caution": (
        "{refs: R1, value: 1k, caution: ['']}",
        'an empty entry under "caution"; fill it in or take it out',
    ),
    "a sign the log needs": (
        '{refs: "R1#", value: 1k, kind: resistor}',
        "'R1#' is not a designator; write designators like 'R1-R4, R9'",
    ),
}


@pytest.mark.parametrize(("entry", "said"), ONE_FAULT.values(), ids=ONE_FAULT.keys())
def test_one_fault_in_a_parts_line_is_said_once_with_its_line(entry: str, said: str) -> None:
    assert faults(small("{refs: Q1, value: BC547, kind: transistor}", entry)) == [f"my.yaml:7: {said}"]


def test_a_designator_in_two_lines_of_a_board_is_named_with_both_lines() -> None:
    found = faults(small("{refs: R1-R5, value: 1k}", "{refs: R9, value: 2k}", "{refs: R4, value: 4k7}"))
    assert found == [
        "my.yaml:8: R4 stands in two lines of this board, 6 and 8; "
        "find out which value is right and take it out of the other line"
    ]


@pytest.mark.parametrize(
    "refs", ["R5-R1", "R1-C4", "R1-R999999999", "R1-R2-R3", "?", "R1-R2000 R2001-R4000 " * 9]
)
def test_a_designator_list_that_cannot_be_read_is_a_fault(refs: str) -> None:
    found = faults(small(f"{{refs: '{refs}', value: 1k, kind: resistor}}"))
    assert found
    assert all(fault.startswith("my.yaml:6: ") and "; " in fault for fault in found)


@pytest.mark.parametrize(
    ("part", "kind"),
    [
        # Markings of IEC 60127 say amperes and volts; a varistor's code is no resistance.
        ("{refs: F1, value: T1A 250V}", "fuse"),
        ("{refs: F1, value: F3.15AH250V}", "fuse"),
        ("{refs: F1, value: 500mA T}", "fuse"),
        ("{refs: RV1, value: 10D471K}", "varistor"),
        ("{refs: RT1, value: NTC 5D-11}", "thermistor"),
    ],
)
def test_what_a_code_says_is_no_fault(part: str, kind: str) -> None:
    (line,) = parse_kit(small(part).encode(), "my.yaml").boards[0].parts
    assert line.kind == kind


@pytest.mark.parametrize(
    ("part", "mount"),
    [
        ('{refs: LED1, value: red, package: "0603"}', "board"),
        ("{refs: LED1, value: red 5 mm}", "panel"),
        ('{refs: LED1, value: red, package: "0603", mount: panel}', "panel"),
        ("{refs: BZ1, value: buzzer SMD}", "board"),
    ],
)
def test_what_has_no_legs_sits_on_its_board(part: str, mount: str) -> None:
    """Common practice, no source: legs are what reaches a panel."""
    (line,) = parse_kit(small(part).encode(), "my.yaml").boards[0].parts
    assert line.mount == mount
