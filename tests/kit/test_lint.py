"""Doubts about kits that can be built as they are; each rule is common practice, no source."""

from __future__ import annotations

import pytest

from bench.kit.lint import kit_remarks
from bench.kit.load import parse_kit
from tests.support.kit_files import FULL, small

QUIET = """\
panel: {width: 4 HP}
supply: {"+12 V": 10 mA}
hold_points:
  - {name: Before power, checks: [{between: "+12 V and 0 V", expect: "> 200 ohm"}]}
"""


def said(*entries: str, top: str = QUIET) -> list[str]:
    """Remarks on a small kit that otherwise gives no cause for any."""
    return [str(remark) for remark in kit_remarks(parse_kit(small(*entries, top=top).encode(), "my.yaml"))]


R1 = "{refs: R1, value: 4k7, kind: resistor}"


def test_a_kit_that_leaves_no_doubt_gets_no_remarks() -> None:
    assert said(R1, "{refs: C1, value: 10u, voltage: 25 V, kind: electrolytic capacitor}") == []


def test_remarks_come_in_the_order_of_lines_with_reason_and_hint() -> None:
    remarks = kit_remarks(parse_kit(FULL.encode(), "my.yaml"))
    lines = [int(line or 0) for line in (remark.where.partition(":")[2] for remark in remarks)]
    assert lines == sorted(lines)
    assert all(remark.what and remark.hint for remark in remarks)
    assert any("designators that stand on more than one board: R1" in remark.what for remark in remarks)


@pytest.mark.parametrize(
    ("value", "meant"),
    [("1002F", "10 kΩ ±1 %: write `value: 10k`"), ("4702", "47 kΩ: write `value: 47k`"), ("01C", "10 kΩ ±1 %")],
)
def test_a_code_as_a_resistors_value_is_offered_as_what_it_means(value: str, meant: str) -> None:
    """IEC 60062 codes of four figures and EIA-96; 4702 ohm is in no E series."""
    (remark,) = said(f"{{refs: R1, value: {value}, kind: resistor}}")
    assert f"as a code it is {meant}" in remark
    assert f"`marking: {value}`" in remark


@pytest.mark.parametrize("value", ["1001", "4700", "1000", "10k2", "220"])
def test_a_value_that_may_well_be_meant_as_it_stands_is_not_doubted(value: str) -> None:
    found = said(f"{{refs: R1, value: {value}, kind: resistor}}")
    assert len(found) == (value == "1001")  # 1001 ohm is in no series, 1 kilohm is its code


ONE_REMARK = {
    "guessed kinds are counted": (
        ["{refs: R1, value: 4k7}", "{refs: R2, value: 10k}"],
        "my.yaml: the kind was guessed in 2 lines: resistor 2; "
        "look at the plan, and give `kind:` where it is wrong",
    ),
    "guessed joints are named": (
        [R1, "{refs: K1, value: 5 V, kind: relay}"],
        "my.yaml:7: the number of joints was guessed for K1, relay: ",
    ),
    "a gap in the numbers is named": (
        ["{refs: R1-R4 R7 R9, value: 4k7, kind: resistor}"],
        'my.yaml:4: no R5, R6, R8 on board "main", though the numbers around are there; '
        "left out on purpose, or is a line missing?",
    ),
    "a value that is no quantity is named": (
        ["{refs: R1, value: see text, kind: resistor}"],
        'my.yaml:6: the value "see text" of R1 is not understood; write it like 4k7, the rest under `note`',
    ),
    "two spellings of one value are named": (
        [R1, "{refs: R2, value: 4.7k, kind: resistor}"],
        'my.yaml:7: "4k7" (line 6) and "4.7k" are the same value; '
        "spell it the same way in both lines, so that it is placed in one go",
    ),
    "an electrolytic without a rating is named": (
        ["{refs: C1, value: 10u, kind: electrolytic capacitor}"],
        "my.yaml:6: C1, electrolytic capacitor, has no voltage rating; add `voltage: 25 V` or what it is",
    ),
    "hardware in two lines is named": (
        ["{value: M3 nut, kind: nut, quantity: 2}", "{value: M3 nut, kind: nut, quantity: 4}"],
        'my.yaml:7: "M3 nut" stands in two lines, 6 and 7: 2 and 4; is one of them a repetition?',
    ),
    "designators that differ in case are named": (
        [R1, "{refs: r1, value: 4k7, kind: resistor, note: b, tolerance: 1 %}"],
        "my.yaml:7: R1 and r1 differ only in capital letters; are these two parts?",
    ),
    "a valve without hazards is named": (
        ["{refs: V1, value: double triode, kind: valve, joints: 9}"],
        "my.yaml:6: there is high voltage in it (V1: valve), but `hazards` does not say so; "
        "add `high voltage` to `hazards`, or say `hazards: none` when nothing in it is above 50 V",
    ),
    "a winding for the mains without hazards is named": (
        ['{refs: T1, value: "230 V to 12 V", kind: transformer, joints: 4}'],
        "my.yaml:6: there is mains in it (T1: transformer for 230 V and 12 V), but `hazards` does not say so; "
        "add `mains` to `hazards`; until then it is treated as if it were there",
    ),
    "a resistor in a socket is named": (
        ["{refs: R1, value: 4k7, kind: resistor, socket: DIP-8, joints: 2}"],
        "my.yaml:6: R1, resistor, goes into a socket; is that right?",
    ),
}


@pytest.mark.parametrize(("entries", "expected"), ONE_REMARK.values(), ids=ONE_REMARK.keys())
def test_one_doubt_is_said_once(entries: list[str], expected: str) -> None:
    (remark,) = said(*entries)
    assert remark.startswith(expected)


def test_no_check_before_power_is_said() -> None:
    assert said(R1, top="")[0].startswith("my.yaml: the kit has no check before power; the procedure's own")
    other = "hold_points: [{name: Function, checks: [{look: it plays}]}]"
    assert "no check before power" in said(R1, top=other)[0]


def test_a_regulator_without_any_hold_point_is_said() -> None:
    regulators = (f"{{refs: VR{n}, value: L7805, kind: voltage regulator, joints: 3}}" for n in (1, 2))
    found = said(*regulators, top="")
    assert found[-1] == (
        "my.yaml:6: there is a voltage regulator (VR1), but no hold point; "
        "add `hold_points:` with the voltages to measure before the ICs go in"
    )


def test_panel_parts_without_a_panel_are_said() -> None:
    top = QUIET.replace("panel: {width: 4 HP}", "maker: x")
    pot = "{refs: RV1, value: 100k, kind: potentiometer, mount: panel, joints: 3}"
    assert said(pot, top=top) == [
        "my.yaml:6: RV1: planned for the panel, as usual for such a part; the kit gives no panel; "
        "add `panel: {width: ...}`, or `mount: board` where it sits on its board"
    ]
    assert said(pot) == []


def test_a_check_of_a_test_point_without_an_expected_value_is_said() -> None:
    top = QUIET + "  - {name: First power, checks: [{at: TP1}, {look: all well}]}\n"
    assert said(R1, top=top) == [
        'my.yaml:11: the check of "TP1" says nothing about what is right; '
        'add `expect: "5 V ± 4 %"` or what it should be'
    ]


def test_a_trim_that_names_a_part_nobody_turns_is_said() -> None:
    assert said(
        "{refs: D1, value: 1N4148, kind: diode}", top=QUIET + "trims: [{name: Scale, trimmer: D1}]"
    ) == ['my.yaml:11: D1, the trimmer of "Scale", is a diode; is the designator right?']


def test_parts_without_a_section_are_said_once_sections_are_used() -> None:
    entries = ["{refs: R1, value: 4k7, kind: resistor, section: core}", "{refs: R2, value: 1k, kind: resistor}"]
    assert said(*entries, top=QUIET + "sections: [core, power]") == [
        'my.yaml: no part is in section "power"; take it out, or give its parts `section:`',
        "my.yaml:7: 1 line without a section, the first is R2; a procedure by sections needs one for each part",
    ]
    assert said(R1, top=QUIET + "sections: [core, power]") == []


def test_numbers_by_blocks_or_shared_between_boards_are_no_gaps() -> None:
    assert said("{refs: R1 R2 R101 R102, value: 4k7, kind: resistor}") == []
    assert said("{refs: R1 R2 R7, value: 4k7, kind: resistor}") == []
    assert "no R3, R4, R5 on" in said("{refs: R1 R2 R6, value: 4k7, kind: resistor}")[0].replace(
        "R3-R5", "R3, R4, R5"
    )
    second = "  - name: panel\n    parts: [{refs: R3, value: 1k, kind: resistor}]\n"
    text = small("{refs: R1 R2 R4, value: 4k7, kind: resistor}")
    kit = parse_kit((text + second + QUIET).encode(), "f")
    assert kit_remarks(kit) == ()


def test_the_same_value_in_another_part_is_no_second_spelling() -> None:
    assert said(R1, "{refs: R2, value: 4.7k, kind: resistor, tolerance: 1 %}") == []


def test_a_trimmer_that_stands_on_two_boards_is_said() -> None:
    text = small("{refs: RV4, value: 1k, kind: trimmer}")
    second = "  - name: control\n    parts: [{refs: RV4, value: 2k, kind: trimmer}]\n"
    top = QUIET + "trims: [{name: Scale, trimmer: RV4}]\n"
    assert [str(remark) for remark in kit_remarks(parse_kit((text + second + top).encode(), "f"))] == [
        "f: designators that stand on more than one board: RV4; "
        "they are kept apart by board; say the board when you note something about one",
        'f:13: the trimmer RV4 of "Scale" stands on more than one board; say the board under `how`',
    ]


def test_a_rating_inside_the_value_is_a_rating() -> None:
    assert said("{refs: C1, value: 10u 25 V, kind: electrolytic capacitor}") == []


def test_named_parts_leave_no_gap() -> None:
    assert said("{refs: GAIN R1 R2, value: 1k, kind: resistor}") == []


def test_positions_that_cannot_be_right_are_named() -> None:
    text = small(
        "{refs: R1 R2, value: 4k7, kind: resistor, at: [[5, 5], [51, 5]]}",
        "{refs: R3, value: 10k, kind: resistor, at: [5, 5]}",
        "{refs: R4, value: 22k, kind: resistor, at: [5, 5], side: back}",
        top=QUIET,
        board="size: [60, 40]",
    )
    found = [str(remark).partition(": ")[2] for remark in kit_remarks(parse_kit(text.encode(), "my.yaml"))]
    assert found == [
        'R1 and R3 have the same position on board "main"; '
        "look at both in the maker's placement file or drawing",
    ]


def test_one_washer_for_each_of_two_parts_is_no_repetition() -> None:
    regulator = "{refs: %s, value: LM317, kind: voltage regulator, joints: 3, package: TO-220}"
    washer = "{value: washer, kind: washer, quantity: 1, with: %s}"
    parts = [regulator % "U1", regulator % "U2", washer % "U1"]
    assert not any("repetition" in remark for remark in said(*parts, washer % "U2"))
    assert any("repetition" in remark for remark in said(*parts, washer % "U1"))


@pytest.mark.parametrize(("many", "more"), [(20, ""), (21, " and 1 more"), (23, " and 3 more")])
def test_designators_of_two_boards_are_named_up_to_twenty(many: int, more: str) -> None:
    line = f"{{refs: R1-R{many}, value: 4k7, kind: resistor}}"
    second = f"  - name: second\n    parts: [{line}]\n"
    told = [each.what for each in kit_remarks(parse_kit((small(line) + second).encode(), "my.yaml"))]
    assert f"designators that stand on more than one board: R1-R20{more}" in told


def test_signs_of_a_hazard_that_is_not_stated_are_counted() -> None:
    first = '{refs: T1, value: "230 V to 24 V", kind: transformer}'
    second = "{value: mains lead, kind: cable, quantity: 1}"
    assert not any("more sign" in each for each in said(first))
    assert any("(T1: " in each and ", and 1 more sign)" in each for each in said(first, second))
