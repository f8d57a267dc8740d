"""The list answers to the complaint: its order, power off or on, what sets the thing, the way of the signal.

The orders and their sources stand in `symptom_samples`.
"""

from __future__ import annotations

import re
import time
from pathlib import Path

import pytest
from msgspec import structs

from bench.kit.kit import Kit
from bench.kit.load import load_kit, parse_kit
from bench.log import events as ev
from bench.log.fold import fold
from bench.log.progress import Progress
from bench.plan.stages import make_plan
from bench.suspects.complaint import LAST, ORDERS, complaints_in, must_be_off
from bench.suspects.fault_list import suspicions
from bench.suspects.suspicion import GROUPS, POWER, Suspicion
from bench.suspects.symptom import symptom_named
from tests.benchmarks.symptoms import run
from tests.support.fault_search import done, events_of, named, refs
from tests.support.plans import LOW
from tests.support.symptom_samples import TABLE, Told

KITS = Path(__file__).parents[2] / "kits"
LIVE_WORDS = re.compile(
    r"while it is on|At the supply, then|alternating range|before and after each|Run it until|read it while|"
    r"Does it glow|volts across|Tap and press|in series with the battery|switching on,",
    re.IGNORECASE,
)
"""What only makes sense with the supply on."""
EVERYTHING = parse_kit(
    b"""\
kit: 1
name: One of each
hazards: none
supply: {"+12 V": 30 mA, "-12 V": 20 mA}
sections: [power, input, core, filter, output, control]
notes: ["SYNC goes through C3 to Q1."]
boards:
  - name: main
    parts:
      - {refs: J1, value: 2x5, kind: box header, joints: 10, section: power}
      - {refs: F1, value: 100 mA, kind: fuse, socket: clips, section: power, nets: "+12 V"}
      - {refs: D1, value: 1N5819, kind: Schottky diode, section: power, nets: "+12 V"}
      - {refs: D2, value: 1N5819, kind: Schottky diode, section: power, nets: "-12 V"}
      - {refs: C1, value: 22u, kind: electrolytic capacitor, section: power, nets: "+12 V"}
      - {refs: U3, value: 78L05, kind: voltage regulator, joints: 3, section: power}
      - {refs: J2, value: 3.5 mm, kind: jack socket, mount: panel, section: input, note: IN}
      - {refs: L1, value: T50-2, kind: toroid inductor, section: input}
      - {refs: U1, value: TL072, socket: DIP-8, section: core}
      - {refs: C2, value: 1n, kind: film capacitor, section: core}
      - {refs: C3, value: 100p, kind: ceramic capacitor, section: core}
      - {refs: Q1, value: BC547, joints: 3, section: core}
      - {refs: RT1, value: 1k, kind: thermistor, section: core, note: "tempco +3300 ppm", caution: "Touches Q1"}
      - {refs: RV2, value: 10k, kind: trimmer, joints: 3, section: core, note: scale}
      - {refs: R1, value: 4k7, section: filter}
      - {refs: RV1, value: 10k, kind: trimmer, joints: 3, section: filter, note: bias}
      - {refs: RV3, value: A10k, kind: potentiometer, mount: panel, section: filter, note: CUTOFF}
      - {refs: V1, value: 6111, kind: valve, socket: B9A, section: output}
      - {refs: J3, value: 3.5 mm, kind: jack socket, mount: panel, section: output, note: SAW}
      - {refs: J4, value: 3.5 mm, kind: jack socket, mount: panel, section: control, note: SYNC}
      - {refs: RV4, value: A10k, kind: potentiometer, mount: panel, section: output, note: LEVEL}
      - {refs: U2, value: ATtiny85, socket: DIP-8, section: control}
      - {refs: Y1, value: 16 MHz, kind: crystal, section: control}
      - {refs: K1, value: 12 V, kind: relay, section: control}
      - {refs: SW1, value: tactile, kind: push button, section: control}
      - {refs: DS1, value: 4 digits, kind: display, section: control}
      - {refs: LED1, value: red, kind: LED, section: control}
trims:
  - {name: Scale, kind: volts per octave, trimmer: RV2, turns: 25, target: 1 V makes one octave}
  - {name: Bias, trimmer: RV1, target: 6 V at TP1}
  - {name: Gain, target: 1 V at SAW}
  - {name: Middle, target: zero offset with the wave symmetrical}
""",
    "everything.yaml",
)


def look(words: str, kit: Kit = EVERYTHING, progress: Progress | None = None) -> tuple[Suspicion, ...]:
    plan, log = make_plan(kit, LOW), progress or Progress()
    return suspicions(kit, plan, log, symptom_named(words, plan, log))


def first(found: tuple[Suspicion, ...], group: str) -> int:
    """Where a group begins; past the end when it is not there."""
    return next((at for at, each in enumerate(found) if each.group == group), len(found))


@pytest.mark.parametrize("told", TABLE, ids=lambda told: told.words)
def test_each_symptom_is_looked_into_in_the_order_of_the_trade(told: Told) -> None:
    found = look(told.words)
    assert complaints_in(told.words)[0] == told.complaint
    places = [first(found, group) for group in told.order]
    assert places == sorted(set(places))
    assert places[-1] < len(found)
    if told.off:
        assert not [each for each in found if each.group in told.never]
    else:
        assert all(first(found, group) > places[-1] for group in told.never if group not in told.order)
    assert found[-1].group == "ICs"


@pytest.mark.parametrize("told", [told for told in TABLE if told.off], ids=lambda told: told.words)
def test_after_switch_off_nothing_is_measured_live(told: Told) -> None:
    log = fold(
        events_of(
            (ev.HoldOverridden, {"hold": "First power", "reason": "no meter"}),
            (ev.ReadingTaken, {"point": "TP9", "text": "9.1", "expect": "12 V ± 5 %"}),
            (ev.ReadingTaken, {"point": "TP8", "text": "4.1", "expect": "5 V ± 2 %"}),
            (ev.ReadingTaken, {"point": "TP8", "text": "4.9", "expect": "5 V ± 2 %"}),
            done(EVERYTHING),
        )
    )
    found = look(told.words, progress=log)
    assert found[0].what.startswith(("first of all", 'hold point "First power"'))
    *before, last = found
    assert {each.power for each in before} == {"off"}
    assert last.power == "limited"
    assert last.how.startswith("Only when")
    assert not [each.how for each in before if LIVE_WORDS.search(each.how)]
    assert named(found, "resistance from each rail").group == "power"


def test_smoke_and_shock_say_more_before_any_power() -> None:
    assert "you know why it burnt" in look("R1 smoked")[-1].how
    assert named(look("it smells of burning"), "what smoked").group == "power"
    assert "qualified person" in named(look("I get a shock from the case"), "first of all").how


@pytest.mark.parametrize("told", [told for told in TABLE if not told.off], ids=lambda told: told.words)
@pytest.mark.parametrize("hazard", ["mains", "high voltage", "stored charge"])
def test_on_a_kit_that_can_kill_no_line_is_live(told: Told, hazard: str) -> None:
    deadly = structs.replace(EVERYTHING, hazards=(hazard,), harmless=False)
    found = look(told.words, deadly)
    assert {each.power for each in found} == {"off"}
    assert not [each.how for each in found if LIVE_WORDS.search(each.how)]
    (power,) = [each for each in found if each.what == "supply, fuse and cable"]
    assert "licensed" in power.how
    assert "maker's own steps" in power.how
    assert all("charge gone" in each.how for each in found if each.group in ("joints", "values", "valves"))


def test_a_fault_list_offers_power_only_as_one_of_four_words() -> None:
    for told in TABLE:
        assert {each.power for each in look(told.words)} <= set(POWER)


# -- what sets the thing -----------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("words", "adjustment"),
    [
        ("the step is too small", "adjustment Scale (RV2)"), ("out of tune", "adjustment Scale (RV2)"),
        ("the bias is off", "adjustment Bias (RV1)"), ("an offset at SAW", "adjustment Middle"),
        ("the wave is lopsided", "adjustment Middle"),
    ],
)  # fmt: skip
def test_the_adjustment_that_sets_it_is_named_first_of_all_adjustments(words: str, adjustment: str) -> None:
    found = [each for each in look(words) if each.group == "adjustment"]
    assert found[0].what == adjustment


def test_a_shipped_oscillator_names_the_trimmer_of_each_symptom() -> None:
    kit = load_kit(KITS / "twin-board-oscillator.yaml")
    for words, trimmer in (
        ("step too small", "RV1"), ("the triangle is not symmetrical", "RV5"),
        ("the sine has pointed tips", "RV6"),
        ("the octave switch is 20 cents off", "RV2"),
    ):  # fmt: skip
        adjustments = [each for each in look(words, kit) if each.group == "adjustment"]
        assert refs(adjustments[0]) == trimmer, words


def test_a_short_is_not_trimmed_away() -> None:
    assert not [each for each in look("the fuse blows when I set the bias") if each.group == "adjustment"]


def test_drift_begins_with_warmth_and_ends_with_transistors() -> None:
    kit = load_kit(KITS / "twin-board-oscillator.yaml")
    found = look("the pitch drifts", kit)
    assert found[0].what == "not warm yet"
    contact = named(found, "thermal contact")
    assert refs(contact).split() == ["RT1", "Q1", "Q2"]
    assert "heat-conducting paste" in contact.how
    assert first(found, "pinout") > first(found, "values") > first(found, "joints")


def test_the_circuit_between_a_socket_and_its_function_is_named_not_only_the_socket() -> None:
    kit = load_kit(KITS / "twin-board-oscillator.yaml")
    way = named(look("SYNC does nothing", kit), "the circuit in between")
    assert {"J106", "C11", "Q4", "U5"} <= set(refs(way).split())
    assert not {"J107", "RV101"} & set(refs(way).split())
    assert "core" in way.what
    out = named(look("no output from SAW", kit), "the circuit in between")
    assert {"J107", "U4", "U6"} <= set(refs(out).split())
    assert {"C3", "Q1"} <= set(refs(named(look("SYNC does nothing"), "the circuit in between")).split())


def test_nets_lead_from_a_socket_to_what_hangs_on_them() -> None:
    kit = parse_kit(
        b"kit: 1\nname: x\nsupply: {+5 V: 1 mA}\nboards:\n  - name: main\n    parts:\n"
        b"      - {refs: J1, value: 3.5 mm, kind: jack socket, mount: panel, note: GATE, nets: a}\n"
        b"      - {refs: R1, value: 10k, nets: [a, b]}\n      - {refs: Q1, value: BC547, nets: [b, +5 V]}\n"
        b"      - {refs: R2, value: 10k, nets: [+5 V]}\n",
        "x.yaml",
    )
    assert set(refs(named(look("GATE does nothing", kit), "the circuit in between")).split()) == {
        "J1",
        "R1",
        "Q1",
    }


def test_an_input_without_effect_is_followed_to_what_comes_after_it() -> None:
    kit = load_kit(KITS / "cue-envelope.yaml")
    way = named(look("GATE does nothing", kit), "the circuit in between")
    assert {"J2", "U1", "U2"} <= set(refs(way).split())


def test_an_erratum_about_the_parts_at_fault_is_looked_into_right_after_the_joints() -> None:
    kit = load_kit(KITS / "ghost-light-preamp.yaml")
    groups = [each.group for each in look("F1 blows", kit) if each.what.startswith("maker's erratum")]
    assert groups == ["left open"]
    groups = list(dict.fromkeys(each.group for each in look("F1 blows", kit)))
    assert groups[:4] == ["power", "joints", "left open", "polarity"]


def test_nothing_is_followed_through_where_no_signal_runs() -> None:
    for words in ("LED1 is dark", "the battery is flat", "the display is blank"):
        assert not [each for each in look(words) if each.group == "path"], words


def test_a_knob_by_its_label_that_crackles_is_a_scratchy_pot() -> None:
    assert refs(named(look("CUTOFF crackles"), "the pot itself")) == "RV3"
    assert look("CUTOFF crackles")[0].group == "fittings"


def test_words_of_any_length_are_sorted_at_once() -> None:
    begun = time.process_time()
    complaints_in("works then fine " * 2000)
    assert time.process_time() - begun < 0.5


def test_a_shock_from_a_kit_that_can_kill_ends_its_use() -> None:
    deadly = structs.replace(EVERYTHING, hazards=("mains",), harmless=False)
    assert "qualified person" in named(look("the case gives me a shock", deadly), "supply, fuse").how


def test_words_that_are_not_recognised_still_say_when_to_switch_off() -> None:
    assert "off at once" in look("R1 looks odd to me")[0].how
    assert "off at once" not in look("completely dead")[0].how


# -- supplies ----------------------------------------------------------------------------------------
def test_a_kit_without_a_supply_is_never_told_to_measure_one() -> None:
    kit = load_kit(KITS / "passive-splitter.yaml")
    for words in (
        "OUT B is silent",
        "it hums",
        "LEVEL B crackles",
        "the sound comes and goes",
        "dead",
        "it distorts",
    ):
        found = look(words, kit)
        assert found[0].what == "continuity from end to end", words
        assert {each.power for each in found} == {""}
        said = " ".join(f"{each.what} {each.how}" for each in found)
        assert not re.search(r"supply|\brails?\b|battery|power on", said, re.IGNORECASE), words


def test_a_battery_kit_begins_with_the_battery_and_its_polarity() -> None:
    kit = load_kit(KITS / "first-evening-metronome.yaml")
    found = look("no ticking at all", kit)
    assert found[0].what == "battery and its polarity"
    assert refs(found[0]) == "BT1"
    assert "Battery out." in named(found, "a forgotten joint").how
    assert "Take the battery out" in look("it gets hot", kit)[0].how


def test_a_valve_its_heater_and_its_socket_are_suspected() -> None:
    kit = load_kit(KITS / "ghost-light-preamp.yaml")
    for words in ("no sound", "it hums", "it distorts", "F1 blows", "microphonic"):
        valve = named(look(words, kit), "valve, heater and socket")
        assert (refs(valve), valve.power) == ("V1", "off")


@pytest.mark.parametrize(
    ("words", "what", "part"),
    [
        ("the relay clicks but nothing happens", "the contacts of the relay", "K1"),
        ("the button triggers twice", "the contacts of a button", "SW1"),
        ("a segment is missing", "a pin of the display", "DS1"),
        ("the clock runs fast", "crystal or resonator", "Y1"),
        ("LED1 is dark", "an LED the wrong way round", "LED1"),
        ("no reception", "coils, their wire ends", "L1"),
        ("no reception", "a winding", "L1"),
        ("CUTOFF crackles when turned", "the pot itself", "RV3"),
    ],
)
def test_the_part_that_is_known_to_do_it_is_named(words: str, what: str, part: str) -> None:
    assert part in refs(named(look(words), what)).split()


# -- readings and checks -----------------------------------------------------------------------------
def test_a_rail_that_reads_far_too_low_has_the_power_off_first_and_one_a_little_low_has_not() -> None:
    kit = EVERYTHING
    plan = make_plan(kit, LOW)
    for text, off in (("3.1", True), ("0.2", True), ("11.2", False), ("15", True)):
        reading = (ev.ReadingTaken, {"point": "+12 V at the socket", "text": text, "expect": "12 V ± 5 %"})
        log = fold(events_of(reading))
        words = f"+12 V at the socket: {text} where 12 V ± 5 % is expected"
        found = suspicions(kit, plan, log, symptom_named(words, plan, log))
        assert ("on" not in {each.power for each in found}) is off, text


def test_what_a_check_wishes_for_is_no_complaint_and_what_it_does_not_want_is_one() -> None:
    kit = load_kit(KITS / "cue-listener.yaml")
    plan = make_plan(kit, LOW)
    assert symptom_named("no hum with IN empty and LEVEL up", plan, Progress()).complaints == ("hum",)
    (level,) = [step.value for step in plan.steps if step.value.startswith("LEVEL goes from")]
    assert symptom_named(level, plan, Progress()).complaints == ("no effect",)


def test_no_complaint_leaves_the_usual_order_and_each_order_holds_only_known_groups() -> None:
    groups = list(dict.fromkeys(each.group for each in look("R1 looks odd to me")))
    assert groups == [group for group in GROUPS if group in groups]
    for name, first in ORDERS.items():
        assert set(first) | set(LAST.get(name, ())) <= set(GROUPS)
        assert not set(first) & set(LAST.get(name, ()))


def test_what_is_denied_is_no_complaint() -> None:
    assert complaints_in("silent, but nothing hot and no smoke") == ("silent",)


def test_other_words_are_recognised_as_measured() -> None:
    figures = list(run(1, True))
    assert [figure.met for figure in figures] == [True, True]


@pytest.mark.parametrize(
    ("words", "lead"),
    [
        # Words of the bench, no source: what goes off at once, before anything else is asked.
        ("current meter hits its end stop", "short"),
        ("the ammeter pegs", "short"),
        ("the needle is pinned", "short"),
        ("the supply shows CC", "short"),
        ("CC light comes on", "short"),
        ("bench supply goes into cc", "short"),
        ("the cc LED is lit", "short"),
        ("a bang and a cloud", "smoke"),
        ("there was a bang", "smoke"),
        ("a puff and a pop", "smoke"),
        ("a white cloud over C3", "smoke"),
        ("some vapour came up", "smoke"),
        ("I only get 2 V out of the regulator", "rail"),
        ("I get just 2 volts from U1", "rail"),
        ("all I read is 1.3 V on the +5 rail", "rail"),
        ("the 7805 output is 2 V", "rail"),
        ("2 V where 12 should be", "rail"),
        ("the regulator gives 2 V instead of 12 V", "rail"),
        ("the regulator gives 14 V instead of 12 V", "overvoltage"),
    ],
)
def test_what_needs_the_switch_first_is_recognised_in_other_words(words: str, lead: str) -> None:
    assert complaints_in(words)[0] == lead
    assert must_be_off(complaints_in(words))


@pytest.mark.parametrize(
    "words", ["the trimmer is at its stop", "MIDI CC does nothing", "I only get a click", "dust in the pot"]
)
def test_what_sounds_like_it_is_not_taken_for_it(words: str) -> None:
    assert not {"short", "smoke", "rail"} & set(complaints_in(words))


# -- words of those in danger ---------------------------------------------------------------------
@pytest.mark.parametrize("said", [
    "it bit me", "I got a jolt from the chassis", "got a belt off the metal", "there is 300 V on the chassis",
    "voltage on the metal lid", "the screw on the heatsink is live", "my hair stands up near it",
    "the battery is swelling", "the battery pack puffed up", "the lipo is hissing", "a swollen cell",
    "the cell is warm while charging", "liquid leaking out of C5", "the electrolyte leaked", "it went phut",
    "the resistor is discoloured", "the pcb turned brown under R3", "crackling from the transformer",
    "F1 blew so I put in a bigger one", "F2 popped", "the bulb limiter stays bright",
    "dim bulb tester glows full", "40 V DC at the output", "nothing but smoke", "not only hot but melting",
    "it was never this hot before", "I held the strings and felt a sting", "my finger is numb", "R5 is warm",
    "the neon glows although it is unplugged", "the earth wire came off", "the insulation is cracked",
    "the probe slipped and there was a flash", "I dropped it in the bath", "there is water in it",
    "the plug is warm", "C1 is warm to touch", "it is getting hotter and hotter", "the cell reads 4.4 V",
    "the speaker has 12 V on it",
])  # fmt: skip
def test_what_can_hurt_has_the_supply_off_at_once(said: str) -> None:
    """Everyday words, no source."""
    assert must_be_off(complaints_in(said))


@pytest.mark.parametrize("said", [
    "no smoke, no sound", "not hot, but silent", "no voltage at the panel LEDs", "12 V on the box header",
    "5 V on the heatsink tab", "the battery is flat after a day", "one LED is dim", "a live recording crackles",
    "I see hot glue on the back", "8 V at the output", "the output goes to 12 V", "the fader box is loose",
])  # fmt: skip
def test_what_only_sounds_like_it_may_be_looked_at_live(said: str) -> None:
    assert not must_be_off(complaints_in(said))


def test_a_hot_lithium_cell_comes_before_the_mains_that_charge_it() -> None:
    """Common practice of fire services, no source."""
    charger = parse_kit(
        b"""\
kit: 1
name: Shed charger
supply: {"14 V": 1 A}
boards:
  - name: main
    parts:
      - {refs: T1, value: 230 V / 18 V 30 VA}
      - {refs: BT1, value: 18650 Li-ion holder}
      - {refs: F1, value: 500mA T}
""",
        "charger.yaml",
    )
    plan = make_plan(charger, LOW)
    found = suspicions(charger, plan, Progress(), symptom_named("the cell is swelling", plan, Progress()))
    supply = next(each for each in found if each.what == "supply, fuse and cable")
    assert supply.how.startswith("Switch off. A lithium cell that is hot, swells")
    assert "nothing is measured live" in supply.how
