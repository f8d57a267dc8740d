"""The circuits of the rack's smaller kits, checked against textbook formulas.

Sources: k and q exact (SI, 2019); a transconductance amplifier gives I / (2 kT/q) per volt, and its control
pin stands 2 mA (data sheet, from memory); a pole of the transistor ladder lies at I / (8 pi C kT/q) and it
whistles at a loop gain of 4 (textbooks, from memory; four equal poles: 1 / cos(45 degrees)^4); power
amplifier of 20 times with pins 1 and 8 open, output at half the supply, 4 mA (data sheet, from memory); op-
amp 1.4 mA and an output that stays 1.5 V from the rail (data sheet, from memory); silicon diode 0.4 V at some
microamperes, 0.6 V at milliamperes, Schottky diode 0.3 V (from memory); Koren's model of a 12AX7 (Glass
Audio, 1996, from memory) against the anode voltages; metal film resistor of 1 W for 350 V (a maker's sheet).
"""

from __future__ import annotations

import math

import pytest

from bench.plan.procedure import shipped_procedures
from bench.plan.stages import make_plan
from tests.support.kit_values import CAPACITORS, KITS, Circuit, within
from tests.support.plans import SHIPPED

BUS = Circuit(KITS / "rack-bus-board.yaml")
ENVELOPE = Circuit(KITS / "cue-envelope.yaml")
LISTENER = Circuit(KITS / "cue-listener.yaml")
VCA = Circuit(KITS / "twin-vca.yaml")
FILTER = Circuit(KITS / "fog-filter.yaml")
VALVE = Circuit(KITS / "ghost-light-preamp.yaml")
ON_RAILS = (BUS, ENVELOPE, LISTENER, VCA, FILTER)
RAIL = 12.0 - 0.3
"""Volts on a board behind its diode."""
SWING = RAIL - 1.5
THERMAL = 1.380649e-23 * 298.15 / 1.602176634e-19
"""kT/q at 25 °C in volts."""
OP_AMP = 1.4e-3


def parallel(*ohms: float) -> float:
    return 1 / sum(1 / each for each in ohms)


def stated(circuit: Circuit) -> list[float]:
    """Stated currents in amperes, rail by rail."""
    return [float(rail.current.removesuffix(" mA")) / 1e3 for rail in circuit.kit.supply]


# ---- all of them -------------------------------------------------------------------------------------
@pytest.mark.parametrize("circuit", ON_RAILS, ids=lambda circuit: circuit.kit.name)
def test_capacitors_stand_twice_their_rail_and_diodes_both_rails(circuit: Circuit) -> None:
    """Rated twice: common practice, no source."""
    for ref, part in circuit.of_kind(*CAPACITORS).items():
        assert float(part.voltage.removesuffix(" V")) >= 2 * 12, ref
    for ref in ("D1", "D2"):
        assert float(circuit.lines[ref].voltage.removesuffix(" V")) >= 24


@pytest.mark.parametrize("circuit", ON_RAILS[1:], ids=lambda circuit: circuit.kit.name)
def test_every_ic_has_a_capacitor_at_each_supply_pin(circuit: Circuit) -> None:
    """Decoupling, common practice, no source; the LM386 has one supply pin."""
    pins = sum(1 if part.value == "LM386" else 2 for part in circuit.of_kind("IC").values())
    at_rails = [ref for ref in circuit.of_kind("ceramic capacitor") if circuit.lines[ref].section == "power"]
    assert len(at_rails) == pins
    assert {circuit[ref] for ref in at_rails} == {100e-9}


@pytest.mark.parametrize("circuit", ON_RAILS[1:], ids=lambda circuit: circuit.kit.name)
def test_fuses_hold_the_stated_current_in_a_warm_case(circuit: Circuit) -> None:
    derated = 0.6  # at 50 °C to 60 °C, from memory
    assert circuit.lines["F1"].value == "100 mA"
    assert max(stated(circuit)) < 0.1 * derated


@pytest.mark.parametrize("circuit", ON_RAILS, ids=lambda circuit: circuit.kit.name)
def test_rails_on_the_board_lie_in_their_windows(circuit: Circuit) -> None:
    behind = 12.0 if circuit is BUS else RAIL
    where = "on the board" if circuit is BUS else "at each IC"
    assert within(circuit, f"+12 V {where}", behind)
    assert within(circuit, f"-12 V {where}", -behind)
    assert not within(circuit, f"+12 V {where}", -behind)


# ---- bus board ---------------------------------------------------------------------------------------
def test_the_lamps_are_all_that_the_bus_board_takes() -> None:
    lamp = (12 - 2) / BUS["R1"]
    assert stated(BUS) == pytest.approx([lamp, lamp], rel=0.1)
    assert within(BUS, "current from +12 V", lamp)
    assert within(BUS, "+12 V at J6 under load", 12 - 12 / 100 * 0.3)  # 0.3 ohm of fuse and track


# ---- envelope ----------------------------------------------------------------------------------------
def test_the_gate_is_seen_where_the_kit_says() -> None:
    threshold = RAIL * ENVELOPE["R4"] / (ENVELOPE["R3"] + ENVELOPE["R4"])
    assert within(ENVELOPE, "U1 pin 2", threshold)
    ratio = ENVELOPE["R1"] / ENVELOPE["R2"]
    up, down = (threshold * (1 + ratio) + sign * SWING * ratio for sign in (1, -1))
    assert (up, down) == pytest.approx((2.7, 0.6), abs=0.05)
    button = RAIL * ENVELOPE["R16"] / (ENVELOPE["R15"] + ENVELOPE["R16"])
    assert button == pytest.approx(10.6, abs=0.1)
    assert button > up


def test_the_envelope_rises_to_eight_volts_and_rests_just_below_zero() -> None:
    source = SWING * ENVELOPE["R6"] / (ENVELOPE["R5"] + ENVELOPE["R6"])
    top = source - 0.4
    assert within(ENVELOPE, "ENV, MANUAL held", top)
    assert within(ENVELOPE, "INV, MANUAL held", -top * ENVELOPE["R12"] / ENVELOPE["R11"])
    assert top < SWING
    assert within(ENVELOPE, "band of D3", -0.6)
    turned = -SWING * ENVELOPE["R6"] / (ENVELOPE["R5"] + ENVELOPE["R6"])
    assert turned == pytest.approx(-8.7, abs=0.15)
    assert not within(ENVELOPE, "band of D3", turned)
    assert within(ENVELOPE, "ENV at rest", -0.6 + 0.4)


def test_rise_and_fall_last_as_long_as_the_kit_says() -> None:
    slow = ENVELOPE["RV1"] * ENVELOPE["C7"]
    assert slow == pytest.approx(2.2, rel=0.02)
    assert slow * math.log(10) == pytest.approx(5, rel=0.03)
    quick = (parallel(ENVELOPE["R5"], ENVELOPE["R6"]) + ENVELOPE["R7"]) * ENVELOPE["C7"]
    assert quick == pytest.approx(5e-3, rel=0.05)


def test_the_envelopes_currents_are_the_sum_of_its_parts() -> None:
    lamp = (8.2 - 1.9) / ENVELOPE["R10"]
    divider = RAIL / (ENVELOPE["R3"] + ENVELOPE["R4"])
    plus = 4 * OP_AMP + divider + SWING / (ENVELOPE["R5"] + ENVELOPE["R6"]) + lamp
    minus = 4 * OP_AMP + (SWING - 0.6) / ENVELOPE["R5"]
    assert stated(ENVELOPE) == pytest.approx([plus, minus], rel=0.1)
    assert within(ENVELOPE, "current from +12 V", plus)
    assert within(ENVELOPE, "current from -12 V", minus)
    assert within(ENVELOPE, "current from +12 V, sockets empty", divider)


# ---- listener ----------------------------------------------------------------------------------------
def volts_at_c10(volts_in: float) -> float:
    buffered = volts_in * LISTENER["R2"] / LISTENER["R1"]
    return buffered * LISTENER["R4"] / (LISTENER["R3"] + LISTENER["R4"]) * 20


def test_the_phones_get_fifteen_milliwatts_and_no_more() -> None:
    ear = 32 / (32 + LISTENER["R6"])
    r_m_s = volts_at_c10(5) * ear / math.sqrt(2)
    assert r_m_s == pytest.approx(0.7, rel=0.03)
    assert r_m_s**2 / 32 == pytest.approx(15e-3, rel=0.1)
    assert volts_at_c10(5) < RAIL / 2 - 1.5
    assert within(LISTENER, "PHONES", volts_at_c10(1) * ear)
    assert within(LISTENER, "tip of J3 and ring of J3", LISTENER["R6"] + LISTENER["R7"])


def test_the_line_output_is_line_level() -> None:
    peak = 5 * LISTENER["R2"] / LISTENER["R1"] * LISTENER["R10"] / LISTENER["R9"]
    assert peak / math.sqrt(2) == pytest.approx(0.78, rel=0.01)
    assert within(LISTENER, "LINE", 1 * LISTENER["R2"] / LISTENER["R1"])


def test_the_listener_passes_what_ears_hear() -> None:
    load = parallel(32 + LISTENER["R6"], 32 + LISTENER["R7"])
    assert 1 / (2 * math.pi * load * LISTENER["C10"]) == pytest.approx(22, rel=0.03)
    assert 1 / (2 * math.pi * LISTENER["R1"] * LISTENER["C6"]) == pytest.approx(1.6, rel=0.03)
    assert 1 / (2 * math.pi * LISTENER["R2"] * LISTENER["C7"]) > 100e3


def test_the_listeners_currents_are_the_sum_of_its_parts() -> None:
    load = parallel(32 + LISTENER["R6"], 32 + LISTENER["R7"])
    lamp, tone = (RAIL - 2) / LISTENER["R12"], volts_at_c10(5) / load
    assert tone == pytest.approx(62e-3, rel=0.02)
    rest = 2 * OP_AMP + 4e-3 + lamp
    assert stated(LISTENER) == pytest.approx([rest + tone / math.pi, 2 * OP_AMP], rel=0.1)
    assert within(LISTENER, "current from +12 V", rest)
    assert within(LISTENER, "current from +12 V, sockets empty", lamp)
    assert within(LISTENER, "U2 pin 5", RAIL / 2)


# ---- twin amplifier ----------------------------------------------------------------------------------
def vca_gain(control: float, first: int = 0) -> float:
    """Volts out for each volt in, with so many amperes in the control pin; `first` is 11 for B."""
    r = [VCA[f"R{first + n}"] for n in (1, 2, 5)]
    return r[1] / (r[0] + r[1]) * control / (2 * THERMAL) * r[2]


@pytest.mark.parametrize(("first", "bias", "out"), [(0, "RV3", "A"), (11, "RV4", "B")])
def test_eight_volts_open_the_amplifier_and_bias_opens_it_half(first: int, bias: str, out: str) -> None:
    by_voltage, by_knob = 8 / VCA[f"R{first + 8}"], RAIL / VCA[f"R{first + 9}"]
    assert vca_gain(by_voltage, first) == pytest.approx(1, rel=0.02)
    assert by_voltage + by_knob < 2e-3
    saw = 5 / math.sqrt(3)
    assert within(VCA, f"OUT {out}, BIAS {out} fully up", saw * vca_gain(by_knob, first))
    assert VCA.lines[bias].kind == "potentiometer"


def test_a_wrong_resistor_at_the_control_voltage_would_kill_it() -> None:
    """The erratum is about a resistor a thousand times too small."""
    assert 8 / (VCA["R8"] / 1000) > 0.1
    assert within(VCA, "R8 end to end", VCA["R8"])
    assert not within(VCA, "R8 end to end", VCA["R8"] / 1000)


def test_the_thump_trimmers_reach_further_than_the_offset() -> None:
    reach = RAIL * VCA["R3"] / VCA["R4"]
    assert reach == pytest.approx(5.5e-3, rel=0.02)
    assert reach > 4e-3  # offset at most (data sheet, from memory)


def test_the_twin_amplifiers_currents_are_the_sum_of_its_parts() -> None:
    trimmers = 2 * 2 * RAIL / VCA["RV1"]
    plus = 6 * OP_AMP + 2.6e-3 + trimmers + 2 * RAIL / VCA["RV3"]
    minus = 6 * OP_AMP + 2.6e-3 + trimmers
    assert stated(VCA) == pytest.approx([plus, minus], rel=0.1)
    assert within(VCA, "current from +12 V, sockets empty", trimmers + 2 * RAIL / VCA["RV3"])
    assert within(VCA, "U1 pin 1", -RAIL + 1.3)


# ---- ladder filter -----------------------------------------------------------------------------------
def pole(amperes: float) -> float:
    """Hertz of each pole of the ladder."""
    return amperes / (8 * math.pi * FILTER["C8"] * THERMAL)


def ladder_reference(trimmer: float) -> float:
    return RAIL / (FILTER["R26"] + trimmer * FILTER["RV6"])


def test_the_base_string_has_the_voltages_to_be_measured() -> None:
    steps = [FILTER["R9"], FILTER["R8"], FILTER["R7"], FILTER["R6"], FILTER["R5"], FILTER["R4"]]
    current = RAIL / sum(steps)
    assert current == pytest.approx(1.05e-3, rel=0.01)
    for number, ref in enumerate(("Q1", "Q3", "Q5", "Q7", "Q9"), 1):
        volts = current * sum(steps[:number])
        assert within(FILTER, f"base of {ref}", volts)
        if ref != "Q9":
            assert not within(FILTER, f"base of {ref}", current * sum(steps[: number + 1]))
    assert within(FILTER, "emitter of Q9", current * sum(steps[:5]) - 0.6)
    assert within(FILTER, "base of Q1 and base of Q2", FILTER["R2"] + FILTER["R3"])


def test_the_middle_of_the_filter_can_be_trimmed_to_an_e() -> None:
    e_above_middle_c = 440 * 2 ** (7 / 12)
    assert pole(ladder_reference(1)) == pytest.approx(566, rel=0.01)
    assert pole(ladder_reference(0)) == pytest.approx(823, rel=0.01)
    assert pole(ladder_reference(1)) < e_above_middle_c < pole(ladder_reference(0))
    assert "659 Hz" in FILTER.kit.trims[1].target
    assert e_above_middle_c == pytest.approx(659.3, abs=0.1)
    assert within(FILTER, "whistle, CUTOFF in the middle", pole(ladder_reference(0.5)))


def test_the_filter_covers_what_it_promises() -> None:
    octaves = RAIL * FILTER["R23"] / FILTER["R22"]
    assert octaves == pytest.approx(5.3, abs=0.05)
    assert 659.3 * 2**-octaves == pytest.approx(17, abs=0.7)
    assert 659.3 * 2**octaves == pytest.approx(26e3, rel=0.03)
    volt = FILTER["R25"] / (FILTER["R24"] + FILTER["R25"])
    assert volt == pytest.approx(THERMAL * math.log(2), rel=0.01)
    assert 4.3e-6 * 2**octaves < SWING / FILTER["R27"]


def test_the_filter_is_as_loud_as_what_goes_in_and_whistles_within_its_trimmers_reach() -> None:
    gain = (1 + 2 * FILTER["R10"] / FILTER["R12"]) * FILTER["R15"] / FILTER["R13"]
    assert gain == pytest.approx(218, rel=0.01)
    through = FILTER["R2"] / (FILTER["R1"] + FILTER["R2"]) * gain
    assert through == pytest.approx(1.0, rel=0.03)
    assert within(FILTER, "OUT with a saw", 5 / math.sqrt(3) * through)
    least, most = (gain * FILTER["R3"] / (FILTER["R17"] + turned * FILTER["RV5"]) for turned in (1, 0))
    assert least * 0.95 < 4 * 0.97
    assert most > 4 / 0.9  # it has to begin at nine tenths of the knob
    wanted = gain * FILTER["R3"] / 4 - FILTER["R17"]
    assert wanted == pytest.approx(7.6e3, rel=0.03)


def test_the_filters_currents_are_the_sum_of_its_parts() -> None:
    string, knob = 1.05e-3, 2 * RAIL / FILTER["RV4"]
    assert stated(FILTER) == pytest.approx([6 * OP_AMP + string + knob, 6 * OP_AMP + knob + 0.2e-3], rel=0.1)
    assert within(FILTER, "current from +12 V, sockets empty", string + knob)


# ---- valve preamplifier ------------------------------------------------------------------------------
def anode_amperes(anode: float, grid: float) -> float:
    """Koren's model of a 12AX7: mu 100, x 1.4, kG1 1060, kP 600, kVB 300."""
    effective = anode / 600 * math.log(1 + math.exp(600 * (1 / 100 + grid / math.sqrt(300 + anode**2))))
    return float(2 * effective**1.4 / 1060)


def standing(supply: float) -> float:
    """Amperes of one triode with its anode and cathode resistors, by halving."""
    low, high = 0.0, 5e-3
    for _ in range(60):
        middle = (low + high) / 2
        there = anode_amperes(supply - middle * (VALVE["R6"] + VALVE["R7"]), -middle * VALVE["R7"])
        low, high = (middle, high) if there > middle else (low, middle)
    return low


def test_the_valves_voltages_follow_from_its_curves() -> None:
    high, bleed = 245.0, VALVE["R2"]
    supply = high
    for _ in range(30):
        supply = high - VALVE["R1"] * (2 * standing(supply) + (supply - 2) / bleed)
    current = standing(supply)
    assert current == pytest.approx(0.70e-3, rel=0.02)
    assert within(VALVE, "plus of C2", supply)
    for pin in ("V1 pin 1", "V1 pin 6"):
        assert within(VALVE, pin, supply - current * VALVE["R6"])
        assert not within(VALVE, pin, supply)
    for pin in ("V1 pin 3", "V1 pin 8"):
        assert within(VALVE, pin, current * VALVE["R7"])


def test_high_voltage_without_the_valve_and_after_switching_off() -> None:
    peak = 180 * math.sqrt(2) - 1.5
    assert within(VALVE, "plus of C1, valve out", peak)
    behind = peak - VALVE["R1"] * (peak - 2) / (VALVE["R1"] + VALVE["R2"])
    assert within(VALVE, "plus of C2, valve out", behind)
    for ref in ("C1", "C2"):
        left = peak * 1.1 * math.exp(-60 / (VALVE[ref] * 1.2 * VALVE["R3"] * 1.05))
        assert left < 5
        assert float(VALVE.lines[ref].voltage.removesuffix(" V")) > 1.3 * peak
    assert VALVE["C1"] * VALVE["R3"] * math.log(245 / 5) == pytest.approx(19, rel=0.02)


def test_parts_under_high_voltage_stand_it() -> None:
    peak = 180 * math.sqrt(2) * 1.1
    for ref in ("C4", "C6"):
        assert float(VALVE.lines[ref].voltage.removesuffix(" V")) > 2 * peak
    assert float(VALVE.lines["D1"].voltage.removesuffix(" V")) > 2 * peak
    for ref in ("R2", "R3"):
        assert "1 W" in VALVE.lines[ref].note
        assert peak < 350
        assert peak**2 / VALVE[ref] < 0.5
    assert (70**2) / VALVE["R6"] < 0.6 * 0.5


def test_nothing_dangerous_comes_out_of_the_output() -> None:
    step = 245 * VALVE["RV2"] / (VALVE["R11"] + VALVE["RV2"])
    assert step < 13
    assert 60 * VALVE["RV2"] / (VALVE["R11"] + VALVE["RV2"]) == pytest.approx(2.6, rel=0.02)


@pytest.mark.parametrize("procedure", sorted(shipped_procedures()))
def test_the_valve_goes_in_only_after_high_voltage_was_measured_and_discharged(procedure: str) -> None:
    steps = make_plan(VALVE.kit, SHIPPED[procedure]).steps
    goes_in = next(at for at, step in enumerate(steps) if step.action == "insert" and step.refs == ("V1",))
    discharged = [at for at, step in enumerate(steps) if "one minute after switching off" in step.value]
    assert len(discharged) == 2
    assert max(discharged) < goes_in
    assert {"high voltage", "stored charge"} == set(VALVE.kit.hazards)
