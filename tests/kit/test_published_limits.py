"""What may be touched, measured live, left charged and read from afar, against published limits.

- 60 V DC as the limit of what may be touched: IEC 62368-1:2018, 5.2.2.2, table 4, ES1 (from memory); also
  IEC 61010-1, seen via In Compliance Magazine ("below 60 V after 5 seconds" for the pins of a plug, 10 for
  terminals);
- 50 V AC and 120 V DC as the ends of extra-low voltage: IEC 61140 (see `bench.kit.rails`);
- charge left on capacitors: below 60 V within 5 s of switching off by IEC 60204-1, 6.2.4, seen via
  cmph-safety.tech. A kit without a bleeder keeps its charge for longer, so the program names no time and
  has it measured;
- heights of letters, 20 to 22 minutes of arc preferred and 16 the least: ISO 9241-3, seen via a maker of
  screens; NUREG-0700 revision 2, 1.3.1-4, has the same; sight of 1.0 tells gaps of one minute in rings of
  five apart: ISO 8596, from memory;
- fixed regulators hold their voltage within 5 %: data sheet of the LM78xx (`tests/parts/test_regulators.py`).
"""

from __future__ import annotations

import math
from decimal import Decimal

import pytest

from bench.kit.kit import Rail
from bench.kit.load import load_kit
from bench.kit.rails import high_rail
from bench.parts.expectation import parse_expectation
from bench.plan.procedure import load_procedure, shipped_procedures
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from tests.support.legibility import COMFORTABLE_MINUTES, legible_metres

ES1_DC, SELV_AC = 60.0, 50.0


@pytest.mark.parametrize("volts", [1, 5, 12, 15, 24, 48, 50, 51, 60, 61, 75, 90, 120, 121, 250, 400])
def test_nothing_above_the_limits_of_touch_is_measured_live(volts: int) -> None:
    for name in (f"+{volts} V", f"{volts} V DC", f"-{volts} V"):
        assert high_rail(Rail(name=name, current="")) or volts <= ES1_DC
    assert high_rail(Rail(name=f"{volts} V AC", current="")) or volts <= SELV_AC


def test_what_is_harmless_may_be_measured_live() -> None:
    for name in ("+5 V", "+12 V", "-12 V", "12 V AC", "24 V AC", "+48 V"):
        assert not high_rail(Rail(name=name, current=""))


def test_what_is_discharged_is_measured_after_it() -> None:
    """Every plan of a kit with dangerous voltage says both, in this order."""
    kit = load_kit(shipped_kits_folder() / "ghost-light-preamp.yaml")
    for path in shipped_procedures().values():
        plan = make_plan(kit, load_procedure(path))
        said = " ".join(
            f"{step.value} {step.detail}" for stage in plan.stages for step in stage.steps
        ).casefold()
        assert "discharge" in said
        assert "measure" in said[said.index("discharge") :]


@pytest.mark.parametrize(
    ("rail", "low", "high"), [("5 V", "4.75", "5.25"), ("12 V", "11.4", "12.6"), ("15 V", "14.25", "15.75")]
)
def test_a_rail_is_asked_for_within_what_the_data_sheet_of_its_regulator_promises(
    rail: str, low: str, high: str
) -> None:
    """LM78xx, over line, load and temperature."""
    for path in shipped_procedures().values():
        checks = [
            check.expect
            for stage in load_procedure(path).stages
            for check in stage.checks
            if "{rail} ±" in check.expect
        ]
        assert checks
        for expect in checks:
            found = parse_expectation(expect.replace("{rail}", rail))
            assert (found.low, found.high) == (Decimal(low), Decimal(high))


def test_large_type_is_preferred_reading_at_arm_s_length_and_legible_far_beyond() -> None:
    assert 20 <= COMFORTABLE_MINUTES <= 22
    arm = 0.7
    for millimetres in (3.0, 4.5, 6.0):
        assert legible_metres(3.5, millimetres, 22) > arm
        assert legible_metres(3.5, millimetres, 16) > legible_metres(3.5, millimetres)


def test_letters_of_five_minutes_are_those_of_sight_1_0_on_a_chart_at_six_metres() -> None:
    """ISO 8596: a ring of 8.73 mm at 6 m; 5 minutes of arc."""
    assert legible_metres(1.0, 6000 * 2 * math.tan(math.radians(5 / 120)), 5) == pytest.approx(6.0)
    assert 6000 * 2 * math.tan(math.radians(5 / 120)) == pytest.approx(8.73, abs=0.005)
