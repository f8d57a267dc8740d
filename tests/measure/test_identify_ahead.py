"""What a reading says of the part in hand: on the table, and where it is soldered in."""

from __future__ import annotations

import pytest

from bench.kit.load import parse_kit
from bench.measure.identify.ahead import judge_part, reads_wrong, what_it_says
from bench.plan.bag import bag_lines

KIT = """\
kit: 1
name: Hearth lamp
boards:
  - name: main
    parts:
      - {refs: R1-R2, value: 47R, tolerance: 1 %, kind: resistor}
      - {refs: R12, value: 47k, tolerance: 1 %, kind: resistor}
      - {refs: C1, value: 100n, kind: film capacitor}
      - {refs: Q1, value: BC547, kind: transistor}
      - {refs: D1, value: 1N5817, kind: Schottky diode}
      - {refs: D2, value: 1N4148, kind: diode}
"""
LAMP = parse_kit(KIT.encode(), "lamp.yaml")
NEAR = parse_kit(
    f"{KIT}      - {{refs: R13, value: 46k4, tolerance: 1 %, kind: resistor}}\n".encode(), "lamp.yaml"
)


def on_the_table(ref: str, typed: str) -> str:
    return what_it_says(NEAR, next(each for each in bag_lines(NEAR) if ref in each.refs), typed)


@pytest.mark.parametrize(
    ("ref", "typed", "begins"),
    [
        ("R1", "47.1", "47.1 ohm fits 47 Ω ±1 %."),
        ("R1", " 47.1 ohm ", "47.1 ohm fits 47 Ω ±1 %."),
        ("R1", "47k2", "NOT 47R: 47k2 reads like 47 kΩ ±1 % (main R12)."),
        ("R1", "51", "NOT 47R: 51 ohm fits neither 47R nor any other line of this kit."),
        ("R12", "46.8k", "46.8k fits 47 kΩ ±1 %, but 46.4 kΩ ±1 % (main R13) too: too close to call."),
        ("D1", "0.21", "0.21 fits 1N5817 Schottky diode."),
        ("D1", "0.62", "NOT 1N5817: 0.62 reads like 1N4148 diode (main D2)."),
        # The junctions of a good transistor read like diodes: common practice, no source.
        ("Q1", "0.62", "0.62 says nothing for or against BC547: go by what is printed on it."),
        ("Q1", "BC557", "NOT BC547: BC557 fits neither"),
        ("Q1", "hFE 20", "NOT BC547: hFE 20 fits neither"),
    ],
)  # fmt: skip
def test_on_the_table_a_part_is_told_by_its_reading_and_a_wrong_one_by_what_it_is(
    ref: str, typed: str, begins: str
) -> None:
    said = on_the_table(ref, typed)
    assert said.startswith(begins)
    assert said == begins or begins.startswith("NOT"), "no more than that of one that fits"


@pytest.mark.parametrize(("typed", "answer"), [("46.8k", "too close to call"), ("47.6k", "in"), ("60k", "out")])
def test_a_part_whose_neighbour_reads_the_same_is_too_close_to_call(typed: str, answer: str) -> None:
    found = judge_part(NEAR, {("main", "R12")}, typed)
    assert found is not None
    assert found.answer == answer


def test_what_can_be_circuit_is_not_condemned_and_what_cannot_is() -> None:
    kit = LAMP
    low = judge_part(kit, {("main", "R12")}, "40k")
    assert low is not None
    assert low.answer == ""
    assert "In circuit other parts can make a good one read low" in low.words
    other = judge_part(kit, {("main", "R12")}, "47 ohm")
    assert other is not None
    assert other.answer == "out"
    assert other.words.startswith("NOT 47k")
    assert "Soldered in" in other.words
    high = judge_part(kit, {("main", "R12")}, "60k")
    assert high is not None
    assert (high.answer, "low" in high.words) == ("out", False)
    assert judge_part(kit, {("main", "Q1")}, "0.6") is None
    good = judge_part(kit, {("main", "D1")}, "0.21")
    assert good is not None
    assert good.answer == "in"
    silicon = judge_part(kit, {("main", "D1")}, "0.62")
    assert silicon is not None
    assert silicon.answer == "out"
    assert silicon.words.startswith("NOT 1N5817")
    assert "D2" in silicon.words
    assert judge_part(kit, {("main", "D1")}, "OL") is None  # the probes may be the other way round
    # A diode test shows about 3.6 V at most (common practice, no source).
    told = {volts: judge_part(kit, {("main", "D1")}, volts) for volts in ("-0.6 V", "3.6 V", "3.61 V")}
    assert {volts: said and said.answer for volts, said in told.items()} == {
        "-0.6 V": None, "3.6 V": "out", "3.61 V": None,
    }  # fmt: skip
    capacitor = judge_part(kit, {("main", "C1")}, "103n")
    assert capacitor is not None
    assert capacitor.answer == "in"


@pytest.mark.parametrize(
    ("volts", "short"),
    [
        ("0", True),
        ("0 V", True),
        ("0.000", True),
        ("-0.001 V", True),
        ("2 mV", True),
        ("0.05", True),
        ("0.06", False),
    ],
)
def test_next_to_no_volts_in_a_diode_test_is_a_short_that_a_circuit_may_feign(volts: str, short: bool) -> None:
    found = judge_part(LAMP, {("main", "D1")}, volts)
    assert found is not None
    assert found.answer == "out"
    assert found.words.startswith("NOT 1N5817")
    assert ("is a short, if it stays so with the probes swapped" in found.words) is short
    assert "In circuit" in found.words
    diodes = next(each for each in bag_lines(LAMP) if "D1" in each.refs)
    ahead = what_it_says(LAMP, diodes, f"{volts} V" if volts.endswith(("0", "5", "6")) else volts)
    assert reads_wrong(ahead)
    assert ("is a short" in ahead, "In circuit" in ahead) == (short, False)
