"""What a kit file means, field by field, and that no file ends in a traceback.

The expected values are the hand count beside `kit_files.FULL` and what the kit file says in words.
"""

from __future__ import annotations

import hashlib

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.errors import FileFaults
from bench.kit.kit import Check, HoldPoint, Kit, PartLine, Rail, Trim
from bench.kit.kit_file import BOARD_KEYS, CHECK_KEYS, KIT_KEYS, TRIM_KEYS
from bench.kit.load import parse_kit
from bench.kit.part_lines import PART_KEYS
from bench.parts.kinds import KINDS
from tests.support.kit_files import FULL, faults, small


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


SIDED = """\
kit: 1
name: Sides
boards:
  - name: main
    size: [60, 100.5]
    side: bottom
    parts:
      - {refs: R10 R9, value: 1k, side: [front, back], at: [[10, 0], [9, 0]]}
      - {refs: R1, value: 2k}
      - {refs: R2-R3, value: 3k, side: Top}
      - {value: M3 screw, kind: screw, quantity: 2}
  - name: other
    parts: [{refs: R1, value: 2k}]
"""


def test_each_designator_has_its_side_that_of_its_line_or_that_of_its_board() -> None:
    main, other = parse_kit(SIDED.encode(), "f").boards
    assert main.size == (60.0, 100.5)
    assert [part.sides for part in main.parts] == [("back", "front"), ("back",), ("front", "front"), ()]
    assert (other.size, other.parts[0].sides) == (None, ())


@pytest.mark.parametrize("size", ["[60]", "[60, 0]", "60 x 100", "[60, -5]", "[a, b]", "[[60, 100]]", "{w: 1}"])
def test_a_size_that_is_no_width_and_height_is_a_fault_with_its_line(size: str) -> None:
    with pytest.raises(FileFaults) as found:
        parse_kit(SIDED.replace("[60, 100.5]", size).encode(), "f")
    assert [str(fault) for fault in found.value.faults] == [
        'f:5: "size" is no width and height in mm; write `size: [60, 100]`'
    ]


def test_a_board_with_a_side_that_is_none_is_a_fault_of_the_board() -> None:
    with pytest.raises(FileFaults) as found:
        parse_kit(SIDED.replace("bottom", "underneath").encode(), "f")
    assert [str(fault) for fault in found.value.faults] == [
        'f:6: "side" is "underneath"; known here: front, back'
    ]


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
        'my.yaml:8: "count" is 4, but the lines of this board have 1 part (5 with hardware); '
    )


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


@given(st.binary())
def test_arbitrary_bytes_never_end_in_a_traceback(data: bytes) -> None:
    check_reading(data)
    check_reading(b"kit: 1\nname: x\nboards: " + data)


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


@given(
    st.dictionaries(KEYS, SHAPES, max_size=8),
    st.lists(st.dictionaries(KEYS, WORDS, max_size=5), max_size=4),
)
def test_any_shape_under_any_key_never_ends_in_a_traceback(top: dict[str, object], lines: list[object]) -> None:
    board = {"name": "main", "parts": lines}
    check_reading(msgspec.json.encode({"kit": "1", "name": "x", "boards": [board], **top}))
