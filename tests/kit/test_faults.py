"""Many faults of a kit file at once; each by itself is held in `told/`."""

from __future__ import annotations

import pytest

from bench.kit.load import parse_kit
from tests.support.kit_files import faults, small


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


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (["{value: screw, kind: screw, quantity: 10000}", "{value: nut, kind: nut, quantity: 10000}"],
         "more than 20000 parts in one kit"),
        (["{refs: 'R1-R2000, R2001-R4000, R4001-R6000, R6001-R8000, R8001-R10000', value: 1k}"],
         "more than 10000 designators in one line"),
    ],
)  # fmt: skip
def test_just_as_many_parts_are_taken_and_one_more_is_refused(lines: list[str], said: str) -> None:
    parse_kit(small(*lines).encode(), "my.yaml")
    last = lines[-1].replace("R10000", "R10000, R10001").replace("quantity: 10000", "quantity: 9999")
    (found,) = faults(
        small(*lines[:-1], last, *(["{value: washer, kind: washer, quantity: 2}"] if len(lines) > 1 else []))
    )
    assert said in found


def test_a_key_that_a_hold_point_does_not_have_is_named() -> None:
    point = "  - {name: Before power, chekcs: [], checks: [{look: lamp shines}]}\n"
    (found,) = faults(small("{refs: R1, value: 1k}", top=f"hold_points:\n{point}"))
    assert 'unknown key "chekcs"; did you mean "checks"?' in found


@pytest.mark.parametrize("many", [500, 501])
def test_faults_are_told_one_by_one_up_to_five_hundred(many: int) -> None:
    found = faults(small(*[f"{{refs: R{n}, value: 1k, kind: resistr}}" for n in range(1, many + 1)]))
    assert len(found) == many
    assert ("more fault" in found[-1]) is (many == 501)


def test_hold_points_without_names_are_told_of_that_alone() -> None:
    point = "  - checks: [{look: lamp shines}]\n"
    found = faults(small("{refs: R1, value: 1k}", top=f"hold_points:\n{point}{point}"))
    assert [each.partition(": ")[2] for each in found] == ['"name" is missing; add `name: ...`'] * 2


def test_two_thousand_boards_are_the_most() -> None:
    line = "  - {name: b%d, parts: [{value: s, kind: spacer}]}\n"
    text = "kit: 1\nname: X\nboards:\n" + "".join(line % number for number in range(2000))
    assert len(parse_kit(text.encode(), "my.yaml").boards) == 2000
    assert faults(text + line % 2000) == [
        "my.yaml:2004: more than 2000 boards in one kit; is it the right file?"
    ]
