"""What a kit file says for a batch: what it gives and needs, its panel, and that it takes no power."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from bench.errors import FileFaults
from bench.kit.kit import Kit
from bench.kit.load import parse_kit
from bench.kit.write import kit_text
from bench.plan.procedure import shipped_procedures
from bench.plan.stages import make_plan
from tests.support.plans import LOW, SHIPPED

TEXT = """\
kit: 1
name: Small
{keys}boards:
  - name: main
    parts:
      - {{refs: R1, value: 4k7}}
"""


def read(keys: str) -> Kit:
    return parse_kit(TEXT.format(keys=keys).encode(), "small.yaml")


@pytest.mark.parametrize(
    "keys",
    [
        "gives: [gate, audio]\nneeds: [rack power, 'a: b, c']\n",
        "panel: {width: 12 HP, height: 3 U, depth: 38 mm}\n",
        "panel: {case: own}\n",
        "supply: none\n",
        "needs: listening\n",
        "",
    ],
)
def test_what_is_read_is_written_and_read_again(keys: str) -> None:
    kit = read(keys)
    again = parse_kit(kit_text(kit).encode(), "small.yaml")
    bare = {"boards": (), "digest": ""}
    assert replace(again, **bare) == replace(kit, **bare)


def test_each_key_has_its_place() -> None:
    kit = read(
        "gives: [gate]\nneeds: [rack power]\npanel: {width: 12 HP, height: 3 U, case: own}\nsupply: None\n"
    )
    assert (kit.gives, kit.needs) == (("gate",), ("rack power",))
    assert (kit.panel_height, kit.own_case, kit.passive, kit.supply) == ("3 U", True, True, ())
    assert not read("panel: {case: rack}\n").own_case
    assert not read("").passive


@pytest.mark.parametrize(
    ("keys", "what"),
    [
        ("gives: {a: b}\n", "gives"), ("needs: [[a]]\n", "needs"), ("panel: {case: mine}\n", "case"),
        ("supply: nothing\n", "supply"), ("panel: {tall: 3 U}\n", "tall"), ("needs: ['']\n", "needs"),
    ],
)  # fmt: skip
def test_what_cannot_be_understood_is_a_fault_with_its_line(keys: str, what: str) -> None:
    with pytest.raises(FileFaults) as caught:
        read(keys)
    (fault,) = caught.value.faults
    assert fault.where == "small.yaml:3"
    assert what in fault.what


@pytest.mark.parametrize("procedure", sorted(shipped_procedures()))
def test_a_kit_that_takes_no_power_is_not_asked_for_rails(procedure: str) -> None:
    rules = SHIPPED[procedure]
    passive, unsaid = (make_plan(read(keys), rules) for keys in ("supply: none\n", ""))
    checks = [step.value for step in passive.steps if step.action == "check"]
    assert not any("rail" in check or "+12 V" in check for check in checks)
    assert "it does what its maker says it does" in checks
    assert "each rail and 0 V" in [step.value for step in unsaid.steps]


def test_its_own_checks_before_power_stay() -> None:
    own = 'supply: none\nhold_points: [{name: Before power, checks: [{at: R1, expect: "4.7 kohm ± 5 %"}]}]\n'
    plan = make_plan(read(own), LOW)
    assert [step.value for stage in plan.stages if stage.name == "Before power" for step in stage.steps] == [
        "R1"
    ]
