"""Rails behind regulators, diodes, fuses and resistors: what the plan expects there, and why.

Windows: L78L data sheet DocID2145 rev. 23 (seen): ± 8 % without an A, so 4.60 V to 5.40 V; LM78XX rev. 1.3.1,
2006 (seen): 4.80 V to 5.20 V. Drops: 1N5817 data sheet (seen), 0.45 V at 1 A; RXEF010 (seen), 7.5 ohm once it
has tripped.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.kit.kit import Kit
from bench.kit.load import load_kit, parse_kit
from bench.measure.verdict.verdict import judge_text
from bench.parts.expectation import parse_expectation
from bench.plan.plan import Step
from bench.plan.rails import made_rails
from bench.plan.stages import make_plan
from tests.support.plans import LOW

KIT = """\
kit: 1
name: Hearth lamp
maker: Lantern Yard Workshop
supply: {"+12 V": 40 mA, "-12 V": 30 mA}
boards:
  - name: main
    parts:
      - {refs: D1, value: 1N5817, kind: Schottky diode, nets: ["+12 V", "+12 V protected"]}
      - {refs: R1, value: 10R, kind: resistor, nets: ["+12 V protected", "+12 V quiet"]}
      - {refs: F1, value: RXEF010, kind: resettable fuse, nets: ["-12 V", "-12 V fused"]}
      - {refs: D2, value: 1N5817, kind: Schottky diode, nets: ["+12 V", "0 V"]}
      - {refs: U1, value: REGULATOR, kind: voltage regulator, joints: 3, nets: ["+12 V protected", "+5 V"]}
      - {refs: U3, value: TL072, kind: IC, socket: DIP-8, joints: 8}
hold_points:
  - name: First power
    checks:
      - {at: emitter of Q1, expect: 1.8 V ± 5 %, nets: "+5 V"}
      - {look: lamp shines, nets: "+5 V"}
"""


def kit_with(regulator: str, **swaps: str) -> Kit:
    text = KIT.replace("REGULATOR", regulator)
    for old, new in swaps.items():
        text = text.replace(old, new)
    return parse_kit(text.encode(), "lamp.yaml")


def checks_of(kit: Kit) -> dict[str, Step]:
    return {step.value: step for step in make_plan(kit, LOW).steps if step.action == "check"}


@pytest.mark.parametrize(
    ("regulator", "expect", "wide"),
    [("78L05", "4.60..5.40 V", "4.50 V to 5.50 V"), ("78L05A", "4.80..5.20 V", "4.75 V to 5.25 V"),
     ("LM7805CT", "4.80..5.20 V", "4.75 V to 5.25 V")],
)  # fmt: skip
def test_a_rail_from_a_regulator_is_checked_against_the_published_window_and_says_why(
    regulator: str, expect: str, wide: str
) -> None:
    checks = checks_of(kit_with(regulator))
    for headline in ("+5 V at each IC", "+5 V with everything in"):
        step = checks[headline]
        assert step.expect == expect
        assert f"{regulator} U1 gives" in step.detail
        assert f"{wide} at worst" in step.detail
    at_each = checks["+5 V at each IC"].detail
    assert at_each.index("red probe at each supply pin") < at_each.index("gives")
    assert "gives" not in checks["emitter of Q1"].detail
    assert checks["emitter of Q1"].expect == "1.8 V ± 5 %"
    assert (checks["lamp shines"].expect, checks["lamp shines"].detail) == ("", "")


def test_a_good_regulator_of_the_wide_grade_is_not_called_out() -> None:
    step = checks_of(kit_with("78L05"))["+5 V at each IC"]
    assert judge_text(step.expect, "4.700").answer == "in"
    assert judge_text("5 V ± 4 %", "4.700").answer == "out"


def test_what_a_diode_a_fuse_and_a_resistor_take_off_is_allowed_for() -> None:
    # 12 V ± 5 % less 0.45 V; less 10 ohm * 40 mA = 0.4 V more; -12 V ± 5 % less 7.5 ohm * 30 mA = 0.225 V.
    found = {rail.name: parse_expectation(rail.expect) for rail in made_rails(kit_with("78L05"))}
    limits = {name: (float(each.low or 0), float(each.high or 0)) for name, each in found.items()}
    assert limits["+12 V protected"] == pytest.approx((10.95, 12.6))
    assert limits["+12 V quiet"] == pytest.approx((10.55, 12.6))
    assert limits["-12 V fused"] == pytest.approx((-12.6, -11.175), abs=0.006)
    assert set(limits) == {"+12 V protected", "+12 V quiet", "-12 V fused", "+5 V"}  # a clamp makes no rail


def test_a_negative_regulator_and_the_kits_own_words() -> None:
    kit = kit_with("78L05", **{"name: First power\n    checks:": (
        'name: First power\n    checks:\n      - {at: "+5 V at each IC", unplug: ICs, how: Pin 8 of U3.}'
    )})  # fmt: skip
    step = checks_of(kit)["+5 V at each IC"]
    assert step.expect == "4.60..5.40 V"
    assert "Pin 8 of U3. 78L05 U1 gives" in step.detail
    negative = kit_with("79L05", **{'"+12 V protected", "+5 V"': '"-12 V fused", "-5 V"'})
    assert checks_of(negative)["-5 V at each IC"].expect == "-5.40..-4.60 V"


def test_nothing_is_proposed_live_in_a_kit_that_can_kill() -> None:
    kit = kit_with("78L05", **{"supply:": "hazards: [mains]\nsupply:"})
    assert not [name for name in checks_of(kit) if name.startswith("+5 V")]


def test_the_shipped_kit_expects_what_its_regulator_may_give() -> None:
    kit = load_kit(Path(__file__).parents[2] / "kits" / "twin-board-oscillator.yaml")
    step = checks_of(kit)["TP3"]
    wanted = parse_expectation(step.expect)
    assert (float(wanted.low or 0), float(wanted.high or 0)) == (4.6, 5.4)
    assert "78L05 U1 gives 4.60 V to 5.40 V at 25 °C" in step.detail
    assert not [name for name in checks_of(kit) if name.startswith("+5 V at")], "TP3 is that check already"


@pytest.mark.parametrize(
    ("expect", "told"),
    [("5.1 V ± 4 %", True), ("5,1 V ± 4 %", True), ("4 V ± 4 %", False), ("6 V ± 4 %", False)],
)
def test_a_check_on_a_net_that_expects_about_its_volts_says_what_the_rail_may_read(
    expect: str, told: bool
) -> None:
    kit = kit_with("78L05", **{"expect: 1.8 V ± 5 %": f'expect: "{expect}"'})
    step = checks_of(kit)["emitter of Q1"]
    assert ("78L05 U1 gives" in step.detail) is told
    assert step.expect == expect
