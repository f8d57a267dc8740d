"""The circuit of the twin-board oscillator, checked against textbook formulas.

Sources: k and q exact (SI, 2019); 78L05 4.80 V to 5.20 V at 25 °C as the LM78XX data sheet has for the 7805;
resettable fuse holding 100 mA, 7.5 ohm at most (a maker's sheet of such parts at 20 °C); Schottky diode 0.3 V
to 0.6 V (1N5819 sheet, 0.60 V at 1 A); equal temperament from 440 Hz (ISO 16); lamp resistor (V - Vf) / I; a
degenerated pair makes a sine from a triangle of 6.6 kT/q with I R = 2.5 kT/q (Meyer, Sansen, Lui, Peeters,
IEEE J. Solid-State Circuits, 1976, from memory; the distortion is computed here); metal film resistor 0.25 W
at 70 °C.
"""

from __future__ import annotations

import cmath
import math
import re

import pytest

from tests.support.kit_values import CAPACITORS, OSCILLATOR, Circuit, expected, window, within

OSC = Circuit(OSCILLATOR)
BOLTZMANN, CHARGE = 1.380649e-23, 1.602176634e-19
REFERENCE = 5.0
"""Volts of U2."""
MIDDLE_C = 440 * 2 ** (-9 / 12)


def thermal(celsius: float = 25.0) -> float:
    """kT/q in volts."""
    return BOLTZMANN * (celsius + 273.15) / CHARGE


def core_hertz(octaves: float = 0.0) -> float:
    """Frequency of the core `octaves` above the point where the converter gives its reference current."""
    return REFERENCE / OSC["R12"] / (OSC["C8"] * REFERENCE) * 2**octaves


def zero_octaves(rv3: float) -> float:
    return -REFERENCE * OSC["R10"] / (OSC["R9"] + rv3)


# ---- power -------------------------------------------------------------------------------------------


def test_the_regulator_window_is_the_data_sheets() -> None:
    assert window(OSC, "TP3") == pytest.approx((4.60, 5.40))


def test_the_rail_windows_hold_what_fuse_and_diode_leave() -> None:
    for at, current in (("+12 V at each IC", 7e-3), ("+12 V with everything in", 31e-3)):
        for supply, resistance, diode in ((11.75, 7.5, 0.35), (12.25, 2.5, 0.2)):
            left = supply - current * resistance - diode
            assert within(OSC, at, left)
            assert within(OSC, at.replace("+", "-"), -left)


def test_fuses_hold_the_stated_current_in_a_warm_case() -> None:
    derated = 0.6  # at 50 °C to 60 °C, from memory
    for rail in OSC.kit.supply:
        assert float(rail.current.removesuffix(" mA")) < 100 * derated
    assert {OSC.lines[ref].value for ref in ("F1", "F2")} == {"100 mA"}


def test_the_stated_currents_are_the_sum_of_the_data_sheets_typical_ones() -> None:
    """Typical supply currents in mA, from memory: op-amp 1.4, LM311 5.1 and 4.1, LM393 0.6, 78L05 3."""
    op_amps = 2 * sum(part.value == "TL072" for part in OSC.lines.values()) + 4
    lamp = 1e3 * (5 - 1.8 - 0.2) / OSC["R114"] / 2
    pull_up = 1e3 * 5 / OSC["R111"] / 2
    shunt = 1e3 * (11.6 - REFERENCE) / OSC["R1"]
    pair = 2e3 * (11.6 - 0.65) / OSC["R29"]
    gate = 1e3 * 11.6 / OSC["R15"]
    plus = 1.4 * op_amps + 5.1 + 0.6 + 3 + lamp + pull_up + shunt + pair
    minus = 1.4 * op_amps + 4.1 + gate + pair
    stated = [float(rail.current.removesuffix(" mA")) for rail in OSC.kit.supply]
    assert stated == pytest.approx([plus, minus], rel=0.1)
    assert within(OSC, "current from +12 V", plus / 1e3)
    assert within(OSC, "current from -12 V", minus / 1e3)
    assert within(OSC, "current from +12 V, sockets empty", (3 + shunt + pair / 2) / 1e3)
    assert within(OSC, "current from -12 V, sockets empty", pair / 1e3)


def test_the_reference_has_current_left_for_itself() -> None:
    through = (11.3 - REFERENCE) / OSC["R1"]
    pots = 2 * REFERENCE / (2 * OSC["RV101"]) * 2
    circuit = REFERENCE / OSC["R2"] + REFERENCE / OSC["R33"] + pots + 3 * REFERENCE / OSC["R19"]
    assert through - circuit > 0.2e-3
    assert through < 15e-3


def test_negative_reference_lies_in_its_window_with_the_worst_parts() -> None:
    worst = 2 * OSC.tolerance("R2") + 0.01 + 2 * 3e-3 / REFERENCE  # op-amp offset 3 mV typical
    for sign in (-1, 1):
        assert within(OSC, "TP5", -REFERENCE * OSC["R3"] / OSC["R2"] * (1 + sign * worst))


def test_each_capacitor_stands_twice_what_it_sees() -> None:
    """Common practice, no source: each capacitor here lies between one rail, or less, and 0 V."""
    for ref, part in OSC.of_kind(*CAPACITORS).items():
        assert float(part.voltage.removesuffix(" V")) >= 2 * 12, ref


def test_reverse_diodes_stand_both_rails_at_once() -> None:
    assert all(float(OSC.lines[ref].voltage.removesuffix(" V")) >= 24 for ref in ("D1", "D2"))


def test_no_resistor_gets_hot() -> None:
    """Across each at worst: 12 V; R114 5 V, R31 0.2 V."""
    for ref in OSC.of_kind("resistor"):
        volts = {"R114": 5.2, "R31": 0.2}.get(ref, 12.0)
        assert volts**2 / OSC[ref] < 0.25 * 0.6, ref


# ---- converter ---------------------------------------------------------------------------------------


def per_volt(rv1: float, rt1: float) -> float:
    """Volts at the base of Q1 for one volt at V/OCT."""
    return OSC["R10"] / OSC["R4"] * rt1 / (OSC["R11"] + rv1 + rt1)


def test_the_scale_trimmer_reaches_one_volt_per_octave_with_every_tempco_resistor() -> None:
    for celsius in (20, 25, 30, 40):
        octave = thermal(celsius) * math.log(2)
        for off in (-OSC.tolerance("RT1"), 0.0, OSC.tolerance("RT1")):
            rt1 = OSC["RT1"] * (1 + off) * (1 + 0.0033 * (celsius - 25))
            wanted = OSC["R10"] / OSC["R4"] * rt1 / octave - OSC["R11"] - rt1
            assert 0.1 < wanted / OSC["RV1"] < 0.9
            assert per_volt(wanted, rt1) == pytest.approx(octave)


def test_the_scale_trimmers_turn_is_what_the_kit_says() -> None:
    octave = thermal() * math.log(2)
    total = OSC["RT1"] / octave
    trim = next(trim for trim in OSC.kit.trims if trim.trimmer == "RV1")
    share = OSC["RV1"] / trim.turns / total
    assert share == pytest.approx(0.007, rel=0.05)
    assert 1200 * share == pytest.approx(9, abs=0.6)
    assert trim.kind == "volts per octave"


def test_middle_c_is_within_reach_of_octave_zero_with_every_capacitor() -> None:
    for off in (-OSC.tolerance("C8"), 0.0, OSC.tolerance("C8")):
        need = -REFERENCE * OSC["R10"] / math.log2(MIDDLE_C / (core_hertz() / (1 + off))) - OSC["R9"]
        assert 0.1 < need / OSC["RV3"] < 0.9
    assert core_hertz() == pytest.approx(2000, rel=0.01)
    ends = [core_hertz(zero_octaves(rv3)) for rv3 in (0, OSC["RV3"])]
    low, high = window(OSC, "middle of COARSE")
    assert low < min(ends) * 1.1
    assert high > max(ends) * 0.9
    assert low < MIDDLE_C < high


def test_the_base_of_q1_reads_what_octave_zero_asks_for() -> None:
    octaves = math.log2(core_hertz() / MIDDLE_C)
    assert octaves == pytest.approx(2.94, abs=0.01)
    assert expected(OSC, "base of Q1").nominal is not None
    assert within(OSC, "base of Q1", octaves * thermal() * math.log(2))
    for rv1, rv3 in ((0.0, 0.3), (1.0, 0.7)):
        base = -zero_octaves(rv3 * OSC["RV3"]) * per_volt(rv1 * OSC["RV1"], OSC["RT1"])
        assert within(OSC, "base of Q1", base)


def test_the_octave_switch_reaches_exactly_one_octave() -> None:
    for off in (-0.025, 0.0, 0.025):
        need = REFERENCE * OSC["R10"] * (1 + off) - OSC["R8"]
        assert 0.1 < need / OSC["RV2"] < 0.9


def test_the_coarse_knob_spans_what_the_kit_says() -> None:
    span = REFERENCE * OSC["R10"] / OSC["R6"]
    said = OSC.checks()["COARSE goes from a slow flutter to a whistle"].how
    assert "18 Hz to about 3.8 kHz, nearly eight octaves" in said
    assert MIDDLE_C * 2**-span == pytest.approx(18, rel=0.03)
    assert MIDDLE_C * 2**span == pytest.approx(3800, rel=0.03)
    assert 7.5 < 2 * span < 8
    assert 12 * REFERENCE * OSC["R10"] / OSC["R7"] == pytest.approx(6)


def test_pitches_in_the_trims_are_those_of_equal_temperament() -> None:
    texts = " ".join(f"{trim.target} {trim.how}" for trim in OSC.kit.trims)
    said = [float(text) for text in re.findall(r"([0-9.]+) Hz", texts)]
    assert len(said) > 8
    for hertz in (one for one in said if one != 260):
        semitones = 12 * math.log2(hertz / 440)
        assert abs(semitones - round(semitones)) < 0.01, hertz


def test_the_scale_comes_before_the_octaves_and_the_absolute_pitch_last() -> None:
    """Common practice, no source."""
    pitch = [trim.trimmer for trim in OSC.kit.trims][:4]
    assert pitch == ["RV1", "RV2", "RV4", "RV3"]
    assert {trim.trimmer for trim in OSC.kit.trims} == set(OSC.of_kind("trimmer"))


# ---- core and shapers --------------------------------------------------------------------------------


def test_the_converters_emitters_get_no_more_than_a_few_milliamperes() -> None:
    """Far above the 0.1 mA of the highest pitch, far below the 200 mA of a 2N3904 (from memory)."""
    assert 1e-3 < 10 / OSC["R13"] < 5e-3
    assert (1e-4 * OSC["R13"]) < 1.0


def test_the_high_frequency_trimmer_gives_back_the_time_of_a_reset() -> None:
    """About twice the lag of R14: 3.8 us to 4.3 us in a simulation of the core with J111 from 3 V to 10 V."""
    lag = OSC["R14"] * (OSC["C9"] + OSC["C10"])
    reset = 2 * lag
    assert reset == pytest.approx(4e-6)
    assert reset / OSC["C8"] / OSC["RV4"] == pytest.approx(0.4)
    assert reset / OSC["C8"] * 2.2 < OSC["RV4"]
    period = 1 / 4186
    assert 1200 * math.log2(1 + reset / period) == pytest.approx(28, abs=1)


def test_the_feedback_capacitor_keeps_the_reset_open() -> None:
    jump = 11.6 * OSC["C9"] / (OSC["C9"] + OSC["C10"])
    assert jump > REFERENCE


def test_saw_and_triangle_span_ten_volts() -> None:
    gain = 1 + OSC["R20"] / OSC["R19"]
    assert [gain * ramp - REFERENCE for ramp in (0, 5)] == [-5, 5]
    rectified = OSC["R26"] / OSC["R24"]
    wanted = OSC["R26"] / (rectified / 2) - OSC["R23"]
    assert 0.1 < wanted / OSC["RV5"] < 0.9
    tips = [rectified / 2 * size - REFERENCE * OSC["R26"] / OSC["R25"] for size in (0, 5)]
    assert tips == pytest.approx([-5, 5], abs=0.1)


def sine_out(drive: float, ir: float) -> float:
    """Share of the pair's current that goes over, for a drive and an I R in units of kT/q."""
    low, high = -1 + 1e-12, 1 - 1e-12
    for _ in range(80):
        share = (low + high) / 2
        if math.log((1 + share) / (1 - share)) + ir * share < drive:
            low = share
        else:
            high = share
    return (low + high) / 2


def distortion(peak: float, ir: float) -> float:
    """Harmonics 2 to 29 against the first, for a triangle of this peak (kT/q)."""
    count = 256
    phases = [(at + 0.5) / count for at in range(count)]
    wave = [sine_out(peak * (4 * abs(phase - 0.5) - 1), ir) for phase in phases]
    turns = [(value, -2j * math.pi * phase) for value, phase in zip(wave, phases, strict=True)]
    size = [abs(sum(value * cmath.exp(turn * n) for value, turn in turns)) for n in range(30)]
    return math.sqrt(sum(one**2 for one in size[2:])) / size[1]


def test_the_sine_shaper_can_be_trimmed_below_one_per_cent() -> None:
    tail = (11.6 - 0.65) / OSC["R29"]
    ir = tail * OSC["R31"] / thermal()
    assert ir == pytest.approx(2.5, rel=0.02)
    best = OSC["R28"] * REFERENCE / (6.6 * thermal()) - OSC["R27"] - OSC["R28"]
    assert 0.1 < best / OSC["RV6"] < 0.9

    def peak(rv6: float) -> float:
        return REFERENCE * OSC["R28"] / (OSC["R27"] + rv6 + OSC["R28"]) / thermal()

    assert distortion(peak(best), ir) < 0.01
    assert distortion(peak(0), ir) > 0.03
    assert distortion(peak(OSC["RV6"]), ir) > 0.02
    swing = OSC["R32"] * tail * sine_out(peak(best), ir)
    assert swing == pytest.approx(4.8, abs=0.1)
    assert within(OSC, "SINE", swing / math.sqrt(2))
    assert OSC["R32"] * tail - REFERENCE * OSC["R32"] / OSC["R33"] == pytest.approx(0, abs=0.1)


def test_alternating_voltages_are_those_of_their_waves() -> None:
    for place, volts in (("SAW", 5 / math.sqrt(3)), ("TRI", 5 / math.sqrt(3)), ("PULSE", 4.85)):
        assert expected(OSC, place).alternating
        assert within(OSC, place, volts)
        assert not within(OSC, place, 2 * volts)


def test_the_pulse_is_five_to_ninety_six_per_cent_wide() -> None:
    least = REFERENCE * OSC["R105"] / OSC["R107"]
    most = least + REFERENCE * OSC["R105"] / OSC["R106"]
    assert [100 * volts / REFERENCE for volts in (least, most)] == pytest.approx([5, 96], abs=0.6)
    half = REFERENCE / 2 * OSC["R106"] / (OSC["R106"] + OSC["RV104"] / 4)
    assert (least + half * OSC["R105"] / OSC["R106"]) / REFERENCE == pytest.approx(0.5, abs=0.02)


def test_the_lamp_is_bright_and_lives() -> None:
    assert (5 - 1.8 - 0.2) / OSC["R114"] == pytest.approx(4.4e-3, rel=0.02)
