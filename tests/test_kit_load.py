"""Kit files read into kits: what they mean, and every fault in them with its line.

The expected values are the hand count beside `kit_files.FULL` and what the kit file says in words.
"""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

import bench
from bench import cache as parsed
from bench.errors import FileFaults
from bench.kit.kitfile import BOARD_KEYS, CHECK_KEYS, KIT_KEYS, TRIM_KEYS
from bench.kit.load import load_kit, parse_kit
from bench.kit.model import Check, HoldPoint, Kit, PartLine, Rail, Trim
from bench.kit.partlines import PART_KEYS
from bench.parts.kinds import KINDS
from tests.kit_files import FULL, calm, small


def faults(text: str) -> list[str]:
    """What is said about a kit file with faults."""
    with pytest.raises(FileFaults) as caught:
        parse_kit(text.encode(), "my.yaml")
    return [str(fault) for fault in caught.value.faults]


def parts(*entries: str) -> dict[str, PartLine]:
    """The lines of a small kit by their first designator or value."""
    kit = parse_kit(small(*entries).encode(), "my.yaml")
    return {(part.refs or (part.value,))[0]: part for part in kit.boards[0].parts}


# What a kit file means


def test_a_full_kit_is_read_field_by_field() -> None:
    kit = parse_kit(FULL.encode(), "my.yaml")
    assert (kit.name, kit.maker, kit.revision) == ("Twin-board oscillator", "Lantern Yard Workshop", "B")
    assert kit.title == "Twin-board oscillator rev. B"
    assert kit.about == "Two triangle cores that can be locked to each other."
    assert kit.scenario == "a small rack on a desk"
    assert kit.hazards == ("mains", "high voltage", "stored charge")
    assert kit.errata == ("R31 is printed R13 on the main board",)
    assert (kit.panel_width, kit.panel_depth) == ("10 HP", "28 mm")
    assert kit.supply == (Rail(name="+12 V", current="38 mA"), Rail(name="-12 V", current="31 mA"))
    assert kit.sections == ("power", "core", "outputs")
    assert kit.tools == ("soldering iron",)
    assert kit.notes == ("check the bag first", "colours differ: go by the meter")
    assert [board.name for board in kit.boards] == ["main", "control"]
    assert kit.hold_points == (
        HoldPoint(
            name="Before power",
            line=46,
            checks=(
                Check(where="+12 V and 0 V", expect="> 200 ohm", unplug="ICs", line=48),
                Check(where="TP1", expect="5 V ± 4 %", how="black probe to 0 V", line=49),
                Check(where="regulators the right way round", line=50),
            ),
        ),
    )
    assert kit.trims == (
        Trim(
            name="Scale", kind="volts per octave", trimmer="RV4", target="1 V per octave",
            how="as the sheet says", turns=25, line=52,
        ),
    )  # fmt: skip
    assert kit.file == "my.yaml"
    assert kit.digest == hashlib.sha256(FULL.encode()).hexdigest()


def test_a_parts_line_is_read_field_by_field() -> None:
    lines = {(part.refs or (part.value,))[0]: part for part in parse_kit(FULL.encode(), "f").boards[0].parts}
    assert lines["RV1"] == PartLine(
        refs=("RV1",), value="B100k", kind="potentiometer", quantity=1, joints=5, mount="panel", height=8,
        package="9 mm", marking="B104", note="FREQ", optional=True,
        cautions=("through the panel", "nut first, solder last"), line=28,
    )  # fmt: skip
    assert (lines["R1"].refs, lines["R1"].quantity) == (("R1", "R2", "R3", "R4", "R9"), 5)
    assert (lines["R1"].value, lines["R1"].tolerance, lines["R1"].mount) == ("4k7", "1 %", "upright")
    assert (lines["C5"].voltage, lines["C5"].cautions) == ("25 V", ("lay it towards the edge",))
    spacer = lines["M3x11 spacer"]
    assert (spacer.refs, spacer.quantity, spacer.joints, spacer.line) == ((), 4, 0, 27)
    assert (lines["J1"].value, lines["J1"].height) == ("", 7)


def test_designators_are_in_natural_order_and_positions_go_with_them() -> None:
    line = parts("{refs: R10 R9 R2, value: 1k, at: [[10, 0], [9, 0.5], [2, -1.25]]}")["R2"]
    assert line.refs == ("R2", "R9", "R10")
    assert line.positions == ((2.0, -1.25), (9.0, 0.5), (10.0, 0.0))


def test_kind_mount_height_and_joints_follow_from_designator_and_value() -> None:
    line = parts("{refs: R1, value: 4k7}")["R1"]
    assert (line.kind, line.kind_guessed) == ("resistor", True)
    assert (line.mount, line.height, line.joints) == ("flat", 1, 2)
    assert not line.joints_guessed  # a resistor has two leads: that is no guess


def test_what_the_file_says_is_not_called_a_guess() -> None:
    line = parts("{refs: K1, value: 5 V, kind: relay, joints: 10, mount: chassis, height: 9}")["K1"]
    assert not line.kind_guessed
    assert not line.joints_guessed
    assert (line.kind, line.joints, line.mount, line.height) == ("relay", 10, "chassis", 9)


def test_a_number_of_joints_that_only_is_usual_is_called_a_guess() -> None:
    assert parts("{refs: K1, value: 5 V, kind: relay}")["K1"].joints_guessed
    assert not parts("{refs: U1, value: NE5532, kind: IC, package: DIP-8}")["U1"].joints_guessed


def test_a_part_in_a_socket_has_no_joints_but_its_socket_has() -> None:
    line = parts("{refs: U1, value: TL074, socket: DIP-14}", "{refs: U2, value: TL074, package: DIP-14}")
    assert (line["U1"].joints, line["U1"].socket_joints) == (0, 14)
    assert (line["U2"].joints, line["U2"].socket_joints) == (14, 0)
    own = parts("{refs: V1, value: double triode, kind: valve, socket: nine pins, joints: 9}")["V1"]
    assert (own.joints, own.socket_joints, own.joints_guessed) == (0, 9, False)


def test_two_boards_may_use_the_same_designators() -> None:
    kit = parse_kit(FULL.encode(), "f")
    assert kit.boards[0].parts[0].refs[0] == kit.boards[1].parts[0].refs[0] == "R1"


def test_one_position_may_be_written_without_a_second_pair_of_brackets() -> None:
    assert parse_kit(FULL.encode(), "f").boards[1].parts[0].positions == ((1.0, 2.0),)


@pytest.mark.parametrize("text", ["0603", "NO", "12:30", "1e3", "~", "4.70k", "  spaced  ", "0x10", "1_000"])
def test_text_is_kept_as_it_is_written(text: str) -> None:
    assert parts(f"{{refs: D1, value: '{text}', kind: diode, marking: '{text}'}}")["D1"].value == text


@pytest.mark.parametrize(("word", "fitted"), [("yes", True), ("No", False), ("TRUE", True), ("false", False)])
def test_yes_and_no_are_read_whatever_their_case(word: str, fitted: bool) -> None:
    assert parts(f"{{refs: R1, value: 1k, optional: {word}}}")["R1"].optional is fitted


def test_keys_with_nothing_after_them_are_as_good_as_left_out() -> None:
    empty = small(
        "{refs: R1, value: 1k, caution: , kind: , note: }", top="panel:\nsupply:\ntrims:\nhold_points:\nnotes:"
    )
    kit = parse_kit(empty.encode(), "f")
    assert (kit.panel_width, kit.supply, kit.trims, kit.hold_points, kit.notes) == ("", (), (), (), ())
    assert (kit.boards[0].parts[0].kind, kit.boards[0].parts[0].cautions) == ("resistor", ())


def test_a_section_is_spelled_as_in_the_list_of_sections() -> None:
    kit = parse_kit(FULL.encode(), "f")
    assert {part.section for part in kit.boards[0].parts} == {"core", "power", ""}


def test_a_count_may_leave_out_hardware_or_include_it() -> None:
    entries = "{refs: R1, value: 1k}", "{value: M3 screw, kind: screw, quantity: 4}"
    for count in (1, 5):
        parse_kit(small(*entries, board=f"count: {count}").encode(), "f")
    assert faults(small(*entries, board="count: 4"))[0].startswith(
        'my.yaml:8: "count" is 4, but the lines of this board have 1 (5 with hardware) parts; '
    )


# Faults

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


TOP_FAULTS = {
    "no name": (
        small("{refs: R1, value: 1k}").replace("name: Small", "maker: x"),
        '1: "name" is missing; add `name: ...`',
    ),
    "an empty name": (
        small("{refs: R1, value: 1k}").replace("Small", "''"),
        '2: "name" is empty; fill it in',
    ),
    "no boards": ("kit: 1\nname: x\n", '1: "boards" is missing; add `boards: ...`'),
    "an empty list of boards": (
        "kit: 1\nname: x\nboards: []\n",
        '3: "boards" is empty; give at least one board',
    ),
    "boards that are a text": (
        "kit: 1\nname: x\nboards: main\n",
        '3: "boards" should be a list, not the text "main"; begin each board with a dash',
    ),
    "an empty board": (
        "kit: 1\nname: x\nboards:\n  - name: main\n    parts: []\n",
        '5: "parts" is empty; give at least one part',
    ),
    "a board without parts": (
        "kit: 1\nname: x\nboards:\n  - name: main\n",
        '4: "parts" is missing; add `parts: ...`',
    ),
    "a board name twice": (
        small("{refs: R1, value: 1k}") + "  - name: MAIN\n    parts: [{refs: R1, value: 1k}]\n",
        '7: two boards have the name "MAIN" (the first in line 4); give each a name of its own',
    ),
    "a slash in a board name": (
        small("{refs: R1, value: 1k}").replace("main", "a/b"),
        '4: a slash in the board name "a/b"; leave it out',
    ),
    "an unknown key": (
        small("{refs: R1, value: 1k}", top="revison: B"),
        '7: unknown key "revison"; did you mean "revision"?',
    ),
    "a hazard nobody knows": (
        small("{refs: R1, value: 1k}", top="hazards: [high-voltage]"),
        '7: unknown hazard "high-voltage"; did you mean "high voltage"? (other dangers go under `notes`)',
    ),
    "an unknown section": (
        small("{refs: R1, value: 1k, section: corr}", top="sections: [core, power]"),
        '6: "section" is "corr"; did you mean "core"?',
    ),
    "a section twice": (
        small("{refs: R1, value: 1k}", top="sections: [core, Core]"),
        '7: two sections have the name "Core" (the first in line 7); give each a name of its own',
    ),
    "a hold point without checks": (
        small("{refs: R1, value: 1k}", top="hold_points:\n  - name: Before power"),
        '8: "checks" is missing; add `checks: ...`',
    ),
    "a check of nothing": (
        small("{refs: R1, value: 1k}", top="hold_points:\n  - {name: A, checks: [{expect: 5 V}]}"),
        "8: a check that says neither where nor what to look at; "
        "give one of `between: +12 V and 0 V`, `at: TP1`, `look: ...`",
    ),
    "a check of two things": (
        small("{refs: R1, value: 1k}", top="hold_points:\n  - {name: A, checks: [{at: TP1, look: x}]}"),
        "8: a check that says at and look; give one of `between: +12 V and 0 V`, `at: TP1`, `look: ...`",
    ),
    "a hold point twice": (
        small("{refs: R1, value: 1k}", top="hold_points:" + "\n  - {name: A, checks: [{look: x}]}" * 2),
        '9: two hold points have the name "A" (the first in line 8); give each a name of its own',
    ),
    "a trimmer on no board": (
        small("{refs: R1, value: 1k}", top="trims:\n  - {name: Scale, trimmer: RV4}"),
        '8: trimmer "RV4" is on no board; write its designator as in the parts list',
    ),
    "an unknown kind of trim": (
        small("{refs: R1, value: 1k}", top="trims:\n  - {name: Scale, kind: volt per octave}"),
        '8: "kind" is "volt per octave"; did you mean "volts per octave"?',
    ),
    "supply as a list": (
        small("{refs: R1, value: 1k}", top="supply: [+12 V]"),
        '7: "supply" should be a mapping, not a list; write `key: value` entries',
    ),
    "a rail without a name": (
        small("{refs: R1, value: 1k}", top="supply: {'': 38 mA}"),
        '7: a supply rail without a name; write `"+12 V": 38 mA`',
    ),
    "a mapping that is a text": (
        small("{refs: R1, value: 1k}", top="panel: 10 HP"),
        '7: "panel" should be a mapping, not the text "10 HP"; write `key: value` entries',
    ),
    "a list of texts that holds a list": (
        small("{refs: R1, value: 1k}", top="notes: [[a, b]]"),
        '7: "notes" should hold texts, not a list; put a text with a colon or a comma in quotes',
    ),
    "a count that disagrees": (
        small("{refs: R1-R3, value: 1k}", board="count: 4"),
        '7: "count" is 4, but the lines of this board have 3 parts; '
        "look for a line that is missing or stands twice, or correct the count",
    ),
    "joints that disagree": (
        small("{refs: R1-R3, value: 1k}", board="joints: 7"),
        '7: "joints" is 7, but the lines of this board make 6; look for a missing line, or correct the number',
    ),
    "a format of the future": (
        small("{refs: R1, vlaue: 1k}").replace("kit: 1", "kit: 2"),
        "1: this kit file is of format 2, and this program knows formats up to 1; "
        "get a newer version of the program",
    ),
    "the name under kit": (
        small("{refs: R1, value: 1k}").replace("kit: 1", "kit: Small"),
        '1: "kit" should be the version of the format, not the text "Small"; '
        "write `kit: 1`, and the kit's name under `name`",
    ),
    "no kit file": (
        "name: x\n",
        "1: this is not a kit file: no `kit: 1` in it; "
        "a kit file begins with `kit: 1`; `solderside read` reads a maker's list",
    ),
    "a parts list": (
        "R1 4k7\nR2 4k7\n",
        '1: this is not a kit file: it holds the text "R1 4k7 R2 4k7"; '
        "a kit file begins with `kit: 1`; `solderside read` reads a maker's list",
    ),
}


@pytest.mark.parametrize(("text", "said"), TOP_FAULTS.values(), ids=TOP_FAULTS.keys())
def test_one_fault_of_a_kit_is_said_once_with_its_line(text: str, said: str) -> None:
    assert faults(text) == [f"my.yaml:{said}"]


def test_all_faults_of_a_file_come_at_once_in_the_order_of_lines() -> None:
    text = small(
        "{refs: R1, vlaue: 1k}",
        "{refs: R2, value: 1k, mount: sideways}",
        "{refs: R1, value: 2k, kind: resitor}",
        top="revison: B\ntrims: [{name: Scale, trimmer: R77}]",
    )
    found = faults(text)
    assert [int(fault.split(":")[1]) for fault in found] == [6, 6, 7, 8, 8, 9, 10]
    for said in ("vlaue", "without a value", "sideways", "two lines", "resitor", "revison", "R77"):
        assert sum(said in fault for fault in found) == 1


def test_a_trimmer_on_a_faulty_line_is_not_called_missing() -> None:
    found = faults(small("{refs: RV4, value: 1k, kind: trimer}", top="trims: [{name: Scale, trimmer: RV4}]"))
    assert found == ['my.yaml:6: unknown kind "trimer"; did you mean "trimmer"?']


def test_the_wrong_file_does_not_drown_the_reader_in_faults() -> None:
    found = faults(small(*[f"{{refs: R{n}, colour{n}: red, value: 1k}}" for n in range(2000)]))
    assert len(found) == 501
    assert found[-1].startswith("my.yaml: 1 more fault")


def test_a_kit_of_more_parts_than_anyone_places_is_refused() -> None:
    found = faults(small(*[f"{{value: screw {n}, kind: screw, quantity: 10000}}" for n in range(10_000)]))
    assert found == ["my.yaml:4: more than 20000 parts in one kit; is it the right file?"]


# No tracebacks


def reading(data: bytes) -> Kit | FileFaults:
    """The kit, or why there is none."""
    try:
        return parse_kit(data, "my.yaml")
    except FileFaults as error:
        return error


def check_reading(data: bytes) -> None:
    """A reading gives a kit that holds together, or faults with line, reason and hint."""
    found = reading(data)
    if isinstance(found, FileFaults):
        rows = data.count(b"\n") + data.count(b"\r") + 2
        lines = []
        for fault in found.faults:
            name, _, line = fault.where.partition(":")
            assert name == "my.yaml"
            assert fault.what
            assert fault.hint
            lines.append(int(line) if line else rows)
        assert lines == sorted(lines)
        assert all(1 <= line <= rows for line in lines)
    else:
        for board in found.boards:
            assert board.parts
            refs = [ref for part in board.parts for ref in part.refs]
            assert len(refs) == len(set(refs))
            for part in board.parts:
                assert part.kind in KINDS
                assert part.quantity == (len(part.refs) or part.quantity) > 0
                assert len(part.positions) in (0, part.quantity)


@calm
@given(st.binary())
def test_arbitrary_bytes_never_end_in_a_traceback(data: bytes) -> None:
    check_reading(data)
    check_reading(b"kit: 1\nname: x\nboards: " + data)


@calm
@given(st.data())
def test_a_kit_file_with_slips_of_the_hand_never_ends_in_a_traceback(data: st.DataObject) -> None:
    text = FULL
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(text) - 1))
        upto = min(len(text), at + data.draw(st.integers(0, 8)))
        new = data.draw(
            st.sampled_from(["", " ", "\n", ":", ": ", ",", "[", "]", "{", "}", "- ", "'", '"', "#", "0", "-"])
        )
        text = text[:at] + new + text[upto:]
    check_reading(text.encode())


KEYS = st.sampled_from([*KIT_KEYS, *BOARD_KEYS, *PART_KEYS, *CHECK_KEYS, *TRIM_KEYS, "checks", "width"])
WORDS = st.sampled_from(
    [
        "R1",
        "R1-R3",
        "4k7",
        "resistor",
        "IC",
        "DIP-8",
        "flat",
        "yes",
        "-1",
        "3",
        "1e999",
        "nan",
        "9" * 20,
        "",
        " ",
        "~",
    ]
) | st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=8)
SHAPES = st.recursive(
    WORDS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=6),
    max_leaves=30,
)


@calm
@given(
    st.dictionaries(KEYS, SHAPES, max_size=8),
    st.lists(st.dictionaries(KEYS, WORDS, max_size=5), max_size=4),
)
def test_any_shape_under_any_key_never_ends_in_a_traceback(top: dict[str, object], lines: list[object]) -> None:
    board = {"name": "main", "parts": lines}
    check_reading(msgspec.json.encode({"kit": "1", "name": "x", "boards": [board], **top}))


# Files and the cache


def test_a_file_is_loaded_and_named_as_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    Path("my.yaml").write_text(FULL, encoding="utf-8")
    kit = load_kit(Path("my.yaml"))
    assert kit.file == "my.yaml"
    assert kit == parse_kit(FULL.encode(), "my.yaml")


def test_a_missing_file_and_a_folder_are_faults(tmp_path: Path) -> None:
    with pytest.raises(FileFaults, match="there is no such file; check the spelling and the folder"):
        load_kit(tmp_path / "none.yaml", tmp_path / "cache")
    with pytest.raises(FileFaults, match="this is a folder, not a file"):
        load_kit(tmp_path)


@pytest.fixture
def kit_file(tmp_path: Path) -> Path:
    path = tmp_path / "my.yaml"
    path.write_text(FULL, encoding="utf-8")
    return path


def unread(monkeypatch: pytest.MonkeyPatch) -> None:
    """From here on reading YAML fails, so that only the cache can answer."""

    def refuse(*_: object) -> Kit:
        raise AssertionError("the file was parsed again")

    monkeypatch.setattr("bench.kit.load.parse_kit", refuse)


def test_a_kit_from_the_cache_is_equal_and_bears_the_name_it_was_asked_for_by(
    kit_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit = load_kit(kit_file, tmp_path / "new" / "cache")
    twin = tmp_path / "copy.yaml"
    twin.write_bytes(kit_file.read_bytes())
    unread(monkeypatch)
    assert load_kit(kit_file, tmp_path / "new" / "cache") == kit
    assert load_kit(twin, tmp_path / "new" / "cache") == msgspec.structs.replace(kit, file=str(twin))


def test_a_changed_file_is_read_anew(kit_file: Path, tmp_path: Path) -> None:
    load_kit(kit_file, tmp_path / "cache")
    kit_file.write_text(FULL.replace("4k7", "4k8"), encoding="utf-8")
    assert load_kit(kit_file, tmp_path / "cache").boards[0].parts[0].value == "4k8"


def test_what_another_version_of_the_program_kept_is_not_used(
    kit_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load_kit(kit_file, tmp_path / "cache")
    monkeypatch.setattr(parsed, "_program", lambda: "a later one")
    unread(monkeypatch)
    with pytest.raises(AssertionError, match="parsed again"):
        load_kit(kit_file, tmp_path / "cache")


def test_the_program_is_told_from_others_by_version_and_by_the_sources_that_read_kits() -> None:
    named = parsed._program().splitlines()
    assert named[0].startswith(bench.__version__)
    assert {row.split()[0] for row in named[1:]} > {"kitfile.py", "partlines.py", "kinds.py", "quantity.py"}


def test_a_damaged_entry_of_the_cache_is_passed_over_and_mended(kit_file: Path, tmp_path: Path) -> None:
    kit = load_kit(kit_file, tmp_path / "cache")
    (entry,) = (tmp_path / "cache").iterdir()
    sound = entry.read_bytes()
    chance = random.Random(20310203)
    for _ in range(200):
        at = chance.randrange(len(sound))
        damaged = bytearray(sound)
        damaged[at] ^= 1 << chance.randrange(8)
        entry.write_bytes(damaged if chance.random() < 0.7 else sound[:at])
        assert load_kit(kit_file, tmp_path / "cache") == kit
        assert entry.read_bytes() == sound


def test_an_entry_that_is_whole_but_holds_no_kit_is_not_used(kit_file: Path, tmp_path: Path) -> None:
    kit = load_kit(kit_file, tmp_path / "cache")
    (entry,) = (tmp_path / "cache").iterdir()
    for body in (b"", b"\x81\xa4name\x01", msgspec.msgpack.encode({"name": "x"}), b"\x91" * 100_000):
        entry.write_bytes(hashlib.sha256(body).digest() + body)
        assert load_kit(kit_file, tmp_path / "cache") == kit


def test_a_sound_entry_under_the_wrong_name_is_not_used(kit_file: Path, tmp_path: Path) -> None:
    kit = load_kit(kit_file, tmp_path / "cache")
    (entry,) = (tmp_path / "cache").iterdir()
    kit_file.write_text(FULL.replace("4k7", "4k8"), encoding="utf-8")
    other = hashlib.sha256(kit_file.read_bytes()).hexdigest()
    os.replace(entry, parsed.entry(tmp_path / "cache", other, Kit))  # noqa: PTH105
    assert load_kit(kit_file, tmp_path / "cache") != kit


def test_a_cache_that_cannot_be_made_or_written_does_not_stop_the_work(
    kit_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kit = load_kit(kit_file)
    (tmp_path / "in the way").write_text("")
    assert load_kit(kit_file, tmp_path / "in the way") == kit
    assert load_kit(kit_file, tmp_path / "in the way" / "cache") == kit

    def refuse(*_: object) -> None:
        raise PermissionError(30, "Read-only file system")

    monkeypatch.setattr("bench.cache.os.replace", refuse)
    assert load_kit(kit_file, tmp_path / "cache") == kit
    assert list((tmp_path / "cache").iterdir()) == []


def test_a_faulty_file_leaves_nothing_in_the_cache(tmp_path: Path) -> None:
    (tmp_path / "my.yaml").write_text("kit: 1\n")
    with pytest.raises(FileFaults):
        load_kit(tmp_path / "my.yaml", tmp_path / "cache")
    assert not (tmp_path / "cache").exists()


def test_neither_yaml_nor_textual_is_imported_for_a_kit_in_the_cache(kit_file: Path, tmp_path: Path) -> None:
    load_kit(kit_file, tmp_path / "cache")
    code = (
        "import sys; from pathlib import Path; from bench.kit.load import load_kit\n"
        "load_kit(Path(sys.argv[1]), Path(sys.argv[2]) if sys.argv[2:] else None)\n"
        "print(sorted({'yaml', 'textual', 'difflib'} & set(sys.modules)))"
    )

    def shown(*arguments: Path) -> str:
        run = [sys.executable, "-c", code, *map(str, arguments)]
        return subprocess.run(run, capture_output=True, text=True, check=True).stdout.strip()

    assert shown(kit_file, tmp_path / "cache") == "[]"
    assert shown(kit_file) == "['yaml']"  # the other way round, so that the test can fail
