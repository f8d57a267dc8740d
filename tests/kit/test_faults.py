"""Every fault in the rest of a kit file, with its line, and many faults at once."""

from __future__ import annotations

import pytest

from bench.kit.load import parse_kit
from tests.support.kit_files import faults, small

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
        small("{refs: R1, value: 1k}", top="hold_points:\n  - {name: A, checks: [{expect: 5 V ± 4 %}]}"),
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
        "look for a line that is missing or listed twice, or correct the count",
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
