"""The circuits of the kits that go into no rack, checked against textbook formulas and data sheets.

Sources: LM317 and LM337 output V = 1.25 V (1 + R2 / R1) + Iadj R2, reference 1.20 V to 1.30 V, adjustment pin
50 uA (100 uA at most), least load 10 mA at most, ripple 66 dB at least with 10 uF, 5 K/W from junction to case
and 125 degrees C in TO-220 (data sheets); ripple of a full-wave rectifier I / (2 f C), winding current 1.8
times the direct current (transformer makers' tables); fuses in the steps of IEC 60127-2; T50-2 has 4.9 nH per
turn squared (Micrometals), FT37-43 420 nH (Fair-Rite); L C resonance, a crystal pulled by C1 / (2 (C0 + CL))
with 12 fF and 4 pF; 78L05 (plain) 4.60 V to 5.40 V; LM386 200 times with 10 uF between pins 1 and 8; electret
capsule 0.15 mA to 0.5 mA, 10 V at most; BC337 current gain 100 or more; LM393 sinks 6 mA; 4N35 transfers its
own input current at 10 mA; TL072 1.4 mA each half and 1.5 V from the rails; LM358 output 1.4 V below its
supply; EIA-96 marking as numbered in the 1 % series of IEC 60063. All but the formulas from memory.
"""

from __future__ import annotations

import math
import re

import pytest

from bench.parts.quantity import read_value
from tests.support.kit_values import KITS, Circuit, within

SUPPLY = Circuit(KITS / "prop-table-supply.yaml")
RECEIVER = Circuit(KITS / "night-watch-receiver.yaml")
SWITCH = Circuit(KITS / "applause-switch.yaml")
PEDAL = Circuit(KITS / "thunder-sheet-pedal.yaml")
LAMP = Circuit(KITS / "usher-lamp.yaml")
DARK = 0.026
"""kT/q in volts at 25 °C, rounded up."""


def parallel(*ohms: float) -> float:
    return 1 / sum(1 / each for each in ohms)


def stated(circuit: Circuit) -> float:
    """The first rail's stated current in amperes."""
    main = read_value(circuit.kit.supply[0].current, "ampere").main
    assert main is not None
    return float(main.amount)


def volts(circuit: Circuit, ref: str) -> float:
    return float(circuit.lines[ref].voltage.removesuffix(" V"))


def corner(ohm: float, farad: float) -> float:
    return 1 / (2 * math.pi * ohm * farad)


def resonance(henry: float, farad: float) -> float:
    return 1 / (2 * math.pi * math.sqrt(henry * farad))


# ---- bench supply ------------------------------------------------------------------------------------
IDLE = 1.2 * 15 * math.sqrt(2) - 0.9
"""Volts on C1 with nothing drawn: a small transformer gives a fifth more then (from memory)."""


def top(pot: float, trimmer: float, adjust: float = 50e-6, reference: float = 1.25) -> float:
    """Volts at the output with the knob fully up."""
    ohm = parallel(pot, SUPPLY["R5"] + trimmer)
    return reference * (1 + ohm / SUPPLY["R3"]) + adjust * ohm


def test_the_mains_side_is_a_licensed_persons() -> None:
    kit = SUPPLY.kit
    assert set(kit.hazards) == {"mains", "stored charge"}
    assert "closed and tested" in next(
        part.value for board in kit.boards for part in board.parts if part.section == "mains" and not part.refs
    )
    assert "licensed electrician" in kit.about
    first, *_ = kit.hold_points
    assert (first.name, first.checks[0].where) == ("Before power", "the electrician's sheet for the mains side")
    texts = " ".join((*kit.notes, *(part.value for board in kit.boards for part in board.parts)))
    assert not re.search(r"230 V|120 V|live|neutral", texts)


@pytest.mark.parametrize("pot", [1600, 2000, 2400])
def test_fifteen_volts_can_be_trimmed_with_every_pot_and_every_regulator(pot: float) -> None:
    for adjust in (50e-6, 100e-6):
        for reference in (1.20, 1.25, 1.30):
            assert top(pot, 0, adjust, reference) < 15 or reference == 1.30
            assert top(pot, 10e3, adjust, reference) > 14.3
        assert top(pot, 0, adjust) < 15
    assert top(1600, 10e3) > 15 * 0.985
    untrimmed = top(pot, 5000)
    assert within(SUPPLY, "output +, VOLTS + up", untrimmed)
    assert within(SUPPLY, "output -, VOLTS - up", -untrimmed)


def test_the_erratum_about_r5_is_true() -> None:
    lowest = parallel(SUPPLY["RV1"], 22e3)
    assert 1.25 * (1 + lowest / SUPPLY["R3"]) + 50e-6 * lowest == pytest.approx(20, abs=0.6)
    assert "printed 22k" in SUPPLY.kit.errata[0]
    assert "20 V stand" in SUPPLY.kit.errata[0]


def test_the_regulators_have_their_least_load_and_their_own_voltage() -> None:
    assert 1.25 / SUPPLY["R3"] >= 10e-3
    assert SUPPLY["R3"] == SUPPLY["R4"]
    for reference in (1.20, 1.30):
        stop = reference * (1 + 5 / SUPPLY["R3"])  # a pot's end has some ohms
        assert within(SUPPLY, "output +, VOLTS + down", stop)
        assert within(SUPPLY, "output -, VOLTS - down", -stop)


def test_ripple_heat_and_fuses_allow_the_stated_current() -> None:
    ripple = 0.3 / (2 * 50 * SUPPLY["C1"])
    assert ripple == pytest.approx(0.64, abs=0.01)
    low_mains = 0.9 * 15 * math.sqrt(2) - 0.9 - ripple
    assert low_mains - 15 > 2  # dropout at 0.3 A
    heat = (15 * math.sqrt(2) - 1.25) * 0.3
    assert 40 + heat * (5 + 1 + float(SUPPLY.lines["HS1"].value.split()[0])) < 125
    winding = 0.3 * 1.8
    assert stated(SUPPLY) == pytest.approx(winding)
    fuse = float(SUPPLY.lines["F1"].value.split()[0]) / 1e3
    assert winding < 0.75 * fuse
    assert fuse < 1.0  # what a winding of 15 VA at 15 V may give
    assert fuse * 1e3 in (500, 630, 800, 1000)
    assert "slow" in SUPPLY.lines["F1"].value


def test_capacitors_stand_high_mains_and_are_emptied() -> None:
    highest = 1.1 * IDLE
    assert within(SUPPLY, "plus of C1", IDLE)
    assert within(SUPPLY, "minus of C2", -IDLE)
    assert volts(SUPPLY, "C1") >= 1.5 * highest
    assert volts(SUPPLY, "C7") >= 1.5 * 20.5
    charge = SUPPLY["C1"] * IDLE**2 / 2
    assert charge == pytest.approx(1.5, rel=0.1)
    time = SUPPLY["R1"] * SUPPLY["C1"]
    assert time * math.log(IDLE / 5) == pytest.approx(17, abs=1)
    after_a_minute = IDLE * math.exp(-60 / (1.2 * 1.05 * time))
    assert within(SUPPLY, "plus of C1, one minute after switching off", after_a_minute)
    assert within(SUPPLY, "minus of C2, one minute after switching off", -after_a_minute)
    assert not within(SUPPLY, "minus of C2, one minute after switching off", -IDLE)
    assert highest**2 / SUPPLY["R1"] < 0.5 * 1.0
    assert (highest - 2) ** 2 / SUPPLY["R7"] < 0.5 * 0.6
    assert 2 * highest < 0.25 * 400


def test_what_the_meter_reads_at_the_supply() -> None:
    assert within(SUPPLY, "15 V AC with everything in", 18)
    assert within(SUPPLY, "plug of the mains side, lead to lead", 36)
    rail = IDLE / SUPPLY["R1"] + (IDLE - 2) / SUPPLY["R7"] + 1.25 / SUPPLY["R3"]
    assert within(SUPPLY, "current from 15 V AC", 1.8 * rail)
    assert within(SUPPLY, "raw + and 0 V", SUPPLY["R1"])
    assert within(SUPPLY, "output + and 0 V", SUPPLY["R3"] + parallel(1600, SUPPLY["R5"]))
    under_load = 15 - 0.1
    assert within(SUPPLY, "output + with 100 ohm", under_load)
    raw_ripple = 0.15 / (100 * SUPPLY["C1"]) / (2 * math.sqrt(3))
    assert within(SUPPLY, "ripple at output + with 100 ohm", raw_ripple * 10 ** (-66 / 20))
    assert not within(SUPPLY, "ripple at output + with 100 ohm", raw_ripple)


# ---- receiver ----------------------------------------------------------------------------------------
def turns(ref: str) -> int:
    found = re.match(r"([0-9]+) turns", RECEIVER.lines[ref].note)
    assert found
    return int(found[1])


@pytest.mark.parametrize(("ref", "per_turn", "core"), [
    ("L1", 4.9e-9, "T50-2 red"), ("L2", 4.9e-9, "T50-2 red"), ("T1", 420e-9, "FT37-43 grey"),
])  # fmt: skip
def test_coils_have_the_inductance_of_their_turns(ref: str, per_turn: float, core: str) -> None:
    assert RECEIVER.lines[ref].package == core
    assert per_turn * turns(ref) ** 2 == pytest.approx(RECEIVER[ref], rel=0.005)


def test_the_input_filter_reaches_the_crystals_frequency_whatever_the_tolerances() -> None:
    crystal = RECEIVER["Y1"]
    for off in (0.95, 1.05):  # cores 5 %, capacitors 5 %
        coil = RECEIVER["L1"] * off
        assert resonance(coil, RECEIVER["C1"] * off + 10e-12) > crystal
        assert resonance(coil, RECEIVER["C1"] * off + RECEIVER["CT1"]) < crystal
    wanted = 1 / ((2 * math.pi * 3.55e6) ** 2 * RECEIVER["L1"])
    assert wanted == pytest.approx(456e-12, abs=1e-12)
    tank = 2 * math.pi * 3.55e6 * RECEIVER["L1"]
    loaded = 50 * (turns("L1") / 3) ** 2 / tank
    assert loaded == pytest.approx(51, abs=1)
    assert 1 / (1 / loaded + 1 / 200) == pytest.approx(40, abs=1.5)
    assert RECEIVER["C2"] / wanted == pytest.approx(0.022, abs=0.001)


def test_the_wire_is_long_enough_and_fits_the_core() -> None:
    outer, inner, height = 12.7, 7.7, 4.83  # T50 in mm
    around = (outer - inner) + 2 * height
    assert turns("L1") * around + 100 == pytest.approx(550, abs=15)
    assert turns("L1") * 0.45 < 0.75 * math.pi * inner
    pieces = 2 * (55 + 12) + 3 * 20
    spare = next(part.note for board in RECEIVER.kit.boards for part in board.parts if "wire" in part.value)
    assert spare == "2.2 m in one piece"
    assert pieces < 220


def test_the_transformer_of_the_mixer_is_large_against_what_it_works_on() -> None:
    assert 2 * math.pi * RECEIVER["Y1"] * RECEIVER["T1"] == pytest.approx(940, rel=0.02)
    assert 2 * math.pi * RECEIVER["Y1"] * RECEIVER["T1"] > 4 * 50


def test_the_crystal_is_pulled_by_a_kilohertz_or_so() -> None:
    divider = parallel(RECEIVER["C4"], RECEIVER["C5"])  # capacitors in series
    assert divider == pytest.approx(110e-12)
    loads = [divider * tune / (divider + tune) for tune in (10e-12, RECEIVER["VC1"])]
    assert loads == pytest.approx([9e-12, 57e-12], abs=1e-12)
    pulled = 12e-15 / 2 * (1 / (4e-12 + loads[0]) - 1 / (4e-12 + loads[1]))
    assert pulled * RECEIVER["Y1"] == pytest.approx(1300, rel=0.05)


def test_the_receivers_working_points() -> None:
    battery = 9.0 - 0.3
    for regulator in (4.6, 5.4):
        assert within(RECEIVER, "+5 V", regulator)
        emitter = regulator * RECEIVER["R2"] / (RECEIVER["R1"] + RECEIVER["R2"]) - 0.65
        assert within(RECEIVER, "emitter of Q1", emitter)
    assert (2.5 - 0.65) / RECEIVER["R3"] == pytest.approx(1e-3, rel=0.05)
    for gain in (200, 450):  # BC547B
        half, source = battery / 2, parallel(RECEIVER["R4"], RECEIVER["R5"])
        current = (half - 0.65) / (RECEIVER["R6"] + source / gain)
        assert within(RECEIVER, "emitter of Q2", current * RECEIVER["R6"])
    base = battery * RECEIVER["R8"] / (RECEIVER["R7"] + RECEIVER["R8"])
    first = (base - 0.65) / RECEIVER["R10"]
    assert first == pytest.approx(1.1e-3, rel=0.05)
    assert within(RECEIVER, "collector of Q3", battery - first * RECEIVER["R9"])
    assert within(RECEIVER, "U2 pin 5", battery / 2)
    assert within(RECEIVER, "+9 V with everything in", battery)
    parts = 1.0e-3 + 0.25e-3 + 3e-3 + 5.6e-3 + 0.2e-3 + battery / 43e3 + first
    assert within(RECEIVER, "current from +9 V, sockets empty", parts)
    assert stated(RECEIVER) == pytest.approx(parts + 5e-3, rel=0.05)
    assert within(RECEIVER, "current from +9 V", parts + 5e-3)
    assert 0.550 / (parts + 5e-3) == pytest.approx(34, rel=0.05)


def test_the_audio_side_is_loud_enough_and_not_too_loud() -> None:
    load = parallel(RECEIVER["R9"], RECEIVER["RV1"])
    gain = 1.1e-3 / DARK * load * 200
    assert 20 * math.log10(gain) == pytest.approx(87, abs=1)
    assert corner(load, RECEIVER["C13"]) == pytest.approx(2900, rel=0.02)
    peak = 3.8 / (RECEIVER["R12"] + 64)
    assert peak**2 / 2 * 32 == pytest.approx(5e-3, rel=0.1)
    assert resonance(RECEIVER["L3"], 100e-9) == pytest.approx(50e3, rel=0.02)
    assert resonance(RECEIVER["L4"], RECEIVER["C8"]) == pytest.approx(160e3, rel=0.02)


def test_commas_of_the_receiver_are_decimal_points() -> None:
    assert [RECEIVER[ref] for ref in ("R3", "R9", "R10", "C10", "C13", "L1")] == pytest.approx(
        [1800, 3300, 1200, 100e-9, 22e-9, 4.41e-6]
    )
    assert sum("," in part.value for part in RECEIVER.lines.values()) >= 10


# ---- sound switch ------------------------------------------------------------------------------------
BOARD = 12.0 - 0.3


def test_the_microphone_gets_its_voltage() -> None:
    for current in (0.15e-3, 0.3e-3, 0.5e-3):
        left = BOARD - current * (SWITCH["R3"] + SWITCH["R4"])
        assert 2 < left < 10
        assert within(SWITCH, "plus of MK1", left)
    assert not within(SWITCH, "plus of MK1", BOARD)
    assert corner(SWITCH["R3"], SWITCH["C5"]) == pytest.approx(0.34, abs=0.01)


def test_the_amplifiers_of_the_sound_switch() -> None:
    assert 1 + SWITCH["R7"] / SWITCH["R6"] == pytest.approx(101)
    assert 1 + SWITCH["R9"] / SWITCH["R8"] == pytest.approx(22, abs=0.5)
    assert corner(SWITCH["R6"], SWITCH["C7"]) == pytest.approx(72, abs=1)
    assert corner(SWITCH["R8"], SWITCH["C9"]) == pytest.approx(34, abs=1)
    half = BOARD * SWITCH["R2"] / (SWITCH["R1"] + SWITCH["R2"])
    for place in ("plus of C4", "U1 pin 1", "U1 pin 7"):
        assert within(SWITCH, place, half)
        assert not within(SWITCH, place, BOARD)


def test_hold_times_and_threshold() -> None:
    across = BOARD * SWITCH["RV3"] / (SWITCH["R11"] + SWITCH["RV3"])
    assert across == pytest.approx(2.4, abs=0.05)
    assert within(SWITCH, "U2 pin 2", across / 2)
    assert across > 1.5
    released = (BOARD - 0.7) * SWITCH["R18"] / (SWITCH["R14"] + SWITCH["R18"]) + 0.7
    hysteresis = released * SWITCH["R12"] / SWITCH["R13"]
    assert hysteresis == pytest.approx(0.08, abs=0.005)
    charged = (BOARD - 2 * 1.5) - 2 * 0.6
    shortest, longest = (
        ohm * SWITCH["C11"] * math.log(6.8 / (1.5 - hysteresis))
        for ohm in (SWITCH["R10"], SWITCH["R10"] + SWITCH["RV2"])
    )
    assert charged >= 6.8
    assert [shortest, longest] == pytest.approx([0.2, 15.5], rel=0.1)
    assert "0.2 s to 15 s" in SWITCH.kit.about


def test_the_relay_is_driven_and_its_diode_stands_the_coil() -> None:
    coil = float(SWITCH.lines["K1"].value.split()[2])
    pull, lamp = (BOARD - 0.2) / coil, (BOARD - 0.2 - 2) / SWITCH["R15"]
    base = (BOARD - 0.7) / (SWITCH["R14"] + SWITCH["R18"])
    assert (pull + lamp) / base < 100 / 2
    assert BOARD / SWITCH["R14"] < 6e-3 / 2
    assert pull < 1.0  # what a 1N4007 carries
    assert within(SWITCH, "coil of K1", coil)
    rest = 2 * 1.4e-3 + 0.6e-3 + 0.3e-3 + 0.3e-3
    assert within(SWITCH, "current from +12 V", rest + BOARD / SWITCH["R14"])
    assert within(SWITCH, "current from +12 V, pulled", rest + pull + lamp + base)
    assert within(SWITCH, "current from +12 V, sockets empty", pull + lamp + base + 0.6e-3)
    assert stated(SWITCH) == pytest.approx(rest + pull + lamp + base, rel=0.03)
    assert stated(SWITCH) < 0.1 * 0.6  # F1 in a warm case


def test_the_cue_line_stands_twenty_four_volts_and_works_with_five() -> None:
    for line in (5, 24):
        current = (line - 1.2) / SWITCH["R16"]
        assert current**2 * SWITCH["R16"] < 0.5 * 0.6
        assert 1e-3 < current < 60e-3
    weak = (5 - 1.2) / SWITCH["R16"] / 2
    assert 1.5 * SWITCH["C11"] / weak < 0.05
    low_voltage = " ".join((*SWITCH.kit.notes, *SWITCH.lines["J2"].cautions))
    assert low_voltage.count("LOW VOLTAGE ONLY") == 2


# ---- pedal -------------------------------------------------------------------------------------------
def test_the_pedals_gain_and_corners() -> None:
    low = 1 + PEDAL["R7"] / PEDAL["R6"]
    high = 1 + (PEDAL["R7"] + PEDAL["RV1"]) / PEDAL["R6"]
    assert [low, high] == pytest.approx([3.1, 24.4], rel=0.02)
    assert [round(20 * math.log10(gain)) for gain in (low, high)] == [10, 28]
    assert corner(PEDAL["R6"], PEDAL["C5"]) == pytest.approx(34, abs=1)
    assert corner(PEDAL["R5"], PEDAL["C4"]) == pytest.approx(7.2, abs=0.1)
    assert corner(PEDAL["R7"] + PEDAL["RV1"], PEDAL["C6"]) == pytest.approx(31e3, rel=0.02)
    dull = corner(PEDAL["R9"] + PEDAL["RV2"], PEDAL["C7"])
    assert [corner(PEDAL["R9"], PEDAL["C7"]), dull] == pytest.approx([7.2e3, 660], rel=0.02)
    assert within(PEDAL, "OUT from 50 mV, DRIVE down", 50e-3 * low)
    assert 50e-3 * high * math.sqrt(2) == pytest.approx(1.7, abs=0.05)  # a red lamp's voltage
    for limited in (0.85, 1.0):
        assert within(PEDAL, "OUT from 50 mV, DRIVE up", 50e-3 * high * limited)


def test_the_pedals_voltages_are_those_of_an_adapter_of_nine_volts() -> None:
    for adapter in (9.0, 9.4):
        board = adapter - 0.3
        rail = board - 5e-3 * PEDAL["R1"]
        assert within(PEDAL, "+9 V at each IC", board)
        assert within(PEDAL, "+9 V with everything in", rail)
        assert within(PEDAL, "U1 pin 1", rail / 2)
        assert rail / 2 - 1.5 > 1.7  # U1 swings further than D2 and D3 let it
    lamp = (9 - 0.3 - 2) / PEDAL["R12"]
    assert stated(PEDAL) == pytest.approx(2 * 1.4e-3 + 0.09e-3 + lamp, rel=0.05)
    assert within(PEDAL, "current from +9 V", stated(PEDAL) - lamp) is False
    for ref in PEDAL.of_kind("electrolytic capacitor"):
        assert volts(PEDAL, ref) >= 2 * 9


def test_the_pedal_says_centre_negative_wherever_it_matters() -> None:
    assert "centre negative" in PEDAL.kit.about
    assert "centre negative" in PEDAL.lines["J1"].value
    assert "centre negative" in PEDAL.kit.errata[0]
    assert any("sleeve" in caution for caution in PEDAL.lines["J1"].cautions)
    assert within(PEDAL, "middle pin of J1 and the box", 0.2)
    assert not within(PEDAL, "sleeve of J1 and the box", 0.2)


# ---- lamp --------------------------------------------------------------------------------------------
def test_markings_of_the_chip_resistors_are_the_codes_of_their_values() -> None:
    series = [round(100 * 10 ** (step / 96)) for step in range(96)]
    letters = {"A": 1, "B": 10, "C": 100, "D": 1000}
    for ref, part in LAMP.of_kind("resistor").items():
        assert part.package == "0805"
        assert series[int(part.marking[:2]) - 1] * letters[part.marking[2]] == LAMP[ref], ref


def test_the_lamp_breathes_in_five_seconds() -> None:
    rail = 5 - 0.35
    high = rail - 1.4
    middle = rail * LAMP["R2"] / (LAMP["R1"] + LAMP["R2"])
    assert middle == pytest.approx(high / 2, rel=0.02)
    assert within(LAMP, "U1 pin 3", middle)
    share = LAMP["R3"] / LAMP["R4"]
    highest, lowest = middle * (1 + share), middle * (1 + share) - high * share
    assert within(LAMP, "highest at U1 pin 1", highest)
    assert within(LAMP, "lowest at U1 pin 1", lowest)
    assert highest < high

    def period(trimmer: float, capacitor: float = LAMP["C4"]) -> float:
        ohm = LAMP["R5"] + trimmer
        swing = highest - lowest
        return swing * ohm * capacitor * (1 / middle + 1 / (high - middle))

    assert period(0) == pytest.approx(3.1, rel=0.05)
    assert period(LAMP["RV1"]) == pytest.approx(7.8, rel=0.05)
    for off in (0.8, 1.1):
        assert period(0, off * LAMP["C4"]) < 5 < period(LAMP["RV1"], off * LAMP["C4"])
    assert LAMP.kit.trims[0].target == "twelve breaths in a minute"


def test_the_sinks_of_the_lamp_stay_sinks_and_cool() -> None:
    least, most = ((base - 0.65) / LAMP["R9"] for base in (0.8, 2.4))
    assert [least, most] == pytest.approx([1.5e-3, 17.5e-3])
    assert 4.65 - 2.0 - most * LAMP["R9"] > 0.3
    assert most**2 * LAMP["R9"] < 0.125 / 2
    assert stated(LAMP) == pytest.approx(3 * most, rel=0.05)
    for current in (3 * least + 0.9e-3, 3 * most + 0.9e-3):
        assert within(LAMP, "current from +5 V", current)
    assert stated(LAMP) < 0.2 / 2  # a BAT54 carries 200 mA
