"""No caution contradicts the part it stands at: what is said of parts of one kind that differ.

Common practice, no source, unless a check names one.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from bench.kit.load import load_kit, parse_kit
from bench.parts.advice import cautions_about, way_round
from bench.parts.kinds import KINDS, MOUNTS
from bench.parts.traits import traits_of
from bench.plan.plan import Step
from bench.plan.stages import make_plan
from tests.support.plans import LOW, SHIPPED


def advice(
    kind: str, value: str, *, package: str = "", mount: str = "", about: str = "", more: str = ""
) -> str:
    traits = traits_of(kind, value, package, mount or KINDS[kind].mount, "", about) | set(more.split())
    return " ".join((way_round(kind, value, traits), *cautions_about(kind, value, traits))).casefold()


SAID = """
battery holder | CR2032 holder |  | board |  |  | out of reach of children | lithium cell
battery holder | 12 V 7 Ah sealed lead-acid |  | chassis |  |  | explosive gas | coin cell
battery cell | LiFePO4 3.2 V |  | chassis |  |  | lithium cell | lead-acid
valve | CRT 3RP1 |  | chassis |  |  | implode |
valve | EL84 |  | board |  |  | discharge | implode
module | 5 mW laser |  | board |  |  | can blind | class x
lamp | UV-C tube |  | chassis |  |  | eyes and skin |
film capacitor | 22u 630V |  | board |  |  | keeps its charge |
film capacitor | 100n 630V |  | board |  |  | out of the film | keeps its charge
electrolytic capacitor | 1F 5.5V |  | board |  |  | hundreds of amperes |
electrolytic capacitor | 470u 25V |  | board |  |  | keeps its charge | hundreds of amperes
terminal block | 3-way |  | board |  | mains | local regulations |
LED | red 3 mm |  | board |  |  | two seconds | panel
LED | red 3 mm |  | panel |  | place | once the panel is fitted         |
LED | red 3 mm |  | panel |  | placed |  | once the panel is fitted
LED | red | 0805 SMD | board |  |  | data sheet | short leg
LED | 3 W white star |  | chassis |  |  | never look; printed | short leg
LED | UV 5 mm |  | board |  |  | never look | panel
LED | RGB 5 mm |  | board |  |  | which colour | short leg
potentiometer | B10k |  | board |  |  | taper | panel
potentiometer | B10k |  | panel |  | placed | taper | once the panel is fitted
potentiometer | B10k |  | panel |  | place | once the panel is fitted         |
jack socket | 3.5 mm mono |  | board |  |  | flux | panel
jack socket | headphones |  | panel |  |  | volume at zero          |
toggle switch | SPDT |  | board |  |  | on-off-on | panel
rotary switch | 1P12T |  | board |  |  |  | panel
slide switch | DPDT |  | board |  |  | soften | panel
display | 7-segment |  | board |  |  | decimal point | panel
display | LCD 16x2 |  | panel |  |  | pin 1 | decimal; point
voltage regulator | 78L05 | TO-92 | board |  |  | flat side | heatsink; tab
voltage regulator | 7805 | TO-220 | board |  |  | heatsink; tab; ground | insulate
voltage regulator | LM7912CT |  | board |  |  | insulate; input | flat; side
voltage regulator | LM317T |  | board |  |  | insulate; output | 78xx
voltage regulator | AMS1117-3.3 | SOT-223 | board |  |  | tab: output | heatsink; flat
Schottky diode | BAT42 |  | flat | signal path |  | band | supply
Schottky diode | 1N5817 |  | flat | power supply |  | supply                  |
Schottky diode | 1N5817 |  | flat | input clamp |  | band | supply
diode | 1N4148 |  | flat |  |  | glass                   |
diode | 1N60 |  | flat |  |  | glass                   |
diode | 1N4007 |  | flat |  |  | band | glass
diode | X99 | DO-34 | flat |  |  | glass                   |
diode | 1N4148W | SOD-123 | board |  |  | line | bend; glass
diode | DB3 diac |  | flat |  |  |  | cathode
Zener diode | 1N4733A |  | flat |  |  | glass                   |
Zener diode | P6KE15CA |  | flat |  |  |  | cathode
Zener diode | 12V 5W | plastic | flat |  |  | 1.5 mm | glass
DC socket | 9 V AC 2.1 mm |  | board |  |  | no plus | polarity
DC socket | 2.1 mm |  | board |  | ac | no plus | polarity
DC socket | 2.1 mm |  | board |  |  | polarity | no plus
cable | ribbon 10-way |  | cable |  |  | coloured edge |
cable | red wire 0.5 |  | cable |  |  | each wire | ribbon
IC | TL072 | DIP-8 | board |  |  | once soldered | rails
IC | TL072 | DIP-8 | board |  | insert | all checks before it | once soldered
IC | TL072 | SOIC-8 | board |  |  | pin 1 | folded
electrolytic capacitor | 10u 25V |  | board |  |  | long leg | charge; bend
electrolytic capacitor | 1000u 35V |  | board |  |  | charge | bend
electrolytic capacitor | 22u 400V |  | board |  |  | charge                  |
electrolytic capacitor | 10u 25V |  | laid flat |  |  | bend | charge
electrolytic capacitor | 10u 25V SMD |  | board |  |  | black mark | long leg
electrolytic capacitor | 47u axial |  | flat |  |  | groove | long leg
tantalum capacitor | 10u | SMD | board |  |  | bar; plus | long leg
ceramic capacitor | 100n | 0805 | board |  |  | unmarked | 103
ceramic capacitor | 2n2 Y2 |  | board |  |  | class y | across the mains
film capacitor | 100n X2 |  | board |  |  | class x | earth
film capacitor | 100n |  | board |  |  | seat | class; mains
film capacitor | 100n |  | board | fit x2 |  | seat | class
film capacitor | 100n |  | board | X2 |  | class x |
film capacitor | 100n 275VAC |  | board |  |  | mains ac                |
resistor | 4k7 |  | flat |  |  | lamp | 1.5; mm
resistor | 0R22 5W |  | flat |  |  | 1.5 mm | colours
resistor | 100R 1/2W |  | flat |  |  | colours | 1.5; mm
resistor | 0R22 |  | flat | 5 W |  | 1.5 mm | colours
resistor | 10k 0805 |  | board |  |  | printed code | colours
inductor | 100u |  | flat |  |  | look like resistors     |
inductor | 100u radial |  | board |  |  |  | resistors
thermistor | 5D-9 |  | upright |  |  | very hot | touch the part
thermistor | 1k tempco |  | upright |  |  | touch the part | hot
crystal | 16 MHz |  | board |  |  | metal can | pin; 1
crystal | 16 MHz oscillator | DIP-14 | board |  |  | pin 1 | slightly off
transformer | audio 600:600 |  | board |  |  |  | mains
transformer | 2x15V |  | board |  |  | if one side goes to the mains |
transformer | 230 V to 12 V |  | board |  |  | mains side | if one side
transformer | 12 V to 180 V 5 VA |  | board |  |  | if one side | mains side
valve | ECC83 |  | board |  | insert | until all checks before it are met |
valve | ECC83 |  | board |  | fit | discharge | no valve goes in
toggle switch | on-off |  | panel |  |  |  | on-off-on
cable | 10-to-16-pin |  | cable |  |  | coloured edge |
relay | 5V reed |  | board |  |  | glass                   |
relay | 12V DPDT |  | board |  |  | polarity | glass
pin header | 1x10 |  | board |  |  | one pin | both boards
pin header | 1x10 |  | board |  | stacked | both boards             |
fuse holder | clips 5x20 |  | board |  |  | clips                   |
fuse holder | panel 5x20 |  | panel |  |  |  | clips; dead
push button | tactile 6x6 |  | board |  |  | four legs | panel
push button | footswitch |  | panel |  | place | once the panel is fitted | four legs
battery holder | 18650 |  | chassis |  |  | never short             |
battery holder | 9V clip |  | chassis |  |  | no battery | lithium
battery holder | LiPo 3.7 V |  | chassis |  |  | never solder            |
loudspeaker | 8R 0.5W |  | chassis |  |  | volume at zero          |
loudspeaker | 5V buzzer |  | board |  |  | longer leg | magnet; volume
variable capacitor | polyvaricon |  | panel |  |  | screws | vanes fully
variable capacitor | 365p air |  | panel |  |  | vanes fully | screws
transistor | TIP31C |  | board |  |  | insulate; collector | triangle
transistor | BC547 |  | board |  |  | triangle | heatsink
transistor | MMBT3904 | SOT-23 | board |  |  | marked side | flat; triangle
optocoupler | PC817 | DIP-4 | board |  |  | pin 1 | plus
optocoupler | VTL5C3 |  | board |  |  | plus                    |
trimmer | 2k 25T |  | board |  |  | with the meter          |
trimmer | 10k |  | board |  |  | mid-travel | with the meter
trimmer | 500R |  | board | BIAS |  | lowest idle current | set it to mid-travel
trimmer | 1k 25T |  | board | idle current |  | lowest idle current | with the meter
crystal | 16 MHz |  | board | oscillator |  | metal can | pin 1
diode | 1N34A |  | flat |  |  | germanium; pliers |
diode | 1N4148 |  | flat |  |  | band | germanium
transistor | AC128 |  | board |  |  | germanium |
transistor | BC547 |  | board |  |  | triangle | germanium
inductor | 22 turns on T50-2 |  | board |  |  | scrape |
inductor | 1 mH |  | board |  |  |  | scrape
connector | binding post |  | panel | ANTENNA |  | thunderstorm |
terminal block | 3-way |  | board |  |  | edge | pieces; mains
terminal block | 2-way 5.08 |  | board | L and N in |  | mains |
film capacitor | 470n X2 275VAC |  | board |  |  | keeps its charge; class x |
terminal block | 8-way |  | board |  |  | pieces |
Schottky diode | BAT54 | SOT-23 | board |  |  | one way | bend; glass
ferrite bead | 600R 0805 |  | board |  |  |  | wire
"""


@pytest.mark.parametrize("row", SAID.strip().splitlines())
def test_a_part_is_told_what_holds_for_it_and_nothing_else(row: str) -> None:
    kind, value, package, mount, about, more, must, must_not = (cell.strip() for cell in row.split("|"))
    said = advice(kind, value, package=package, mount=mount, about=about, more=more)
    for words in filter(None, must.split("; ")):
        assert words in said
    for words in filter(None, must_not.split("; ")):
        assert words not in said


def test_what_a_part_must_not_be_told_is_told_to_some_other_part() -> None:
    """Words that nothing says any more would be missed by no part."""
    kinds = [each.say for kind in KINDS.values() for each in (*kind.ways, *kind.sometimes)]
    kinds += [said for kind in KINDS.values() for said in (kind.orientation, *kind.cautions)]
    known = " ".join((*kinds, *(advice(*row.split(" | ")[:2]) for row in SAID.strip().splitlines()))).casefold()
    unsaid = {each for row in SAID.strip().splitlines() for each in row.split("|")[-1].strip().split("; ")}
    assert {words for words in unsaid if words and words not in known} == set()
    assert {words for words in CONTRADICTIONS if words.casefold() not in known} == set()


@pytest.mark.parametrize("kind", KINDS)
def test_only_parts_of_the_panel_hear_of_it(kind: str) -> None:
    for mount in set(MOUNTS) - {"panel"}:
        assert "once the panel is fitted" not in advice(kind, "", mount=mount)


EVERYTHING = """
kit: 1
name: Everything once
supply: {"9 V AC": 100 mA}
sections: [power, audio]
boards:
  - name: main
    parts:
      - {refs: J1, value: 2.1 mm, kind: DC socket, section: power}
      - {refs: D1, value: 1N5817, section: power}
      - {refs: D2-D3, value: BAT42, section: audio}
      - {refs: D4, value: 1N4007, section: audio}
      - {refs: D5, value: red 3 mm, kind: LED, mount: board}
      - {refs: D6, value: red 3 mm, kind: LED}
      - {refs: RV1, value: B10k, kind: potentiometer, mount: board}
      - {refs: RV2, value: B10k, kind: potentiometer}
      - {refs: U1, value: TL072}
      - {refs: U2, value: TL072, socket: DIP-8}
      - {refs: U3, value: 78L05}
      - {refs: U4, value: LM337T}
      - {refs: W1, value: ribbon cable 10-way}
"""
CONTRADICTIONS: dict[str, Callable[[Step, frozenset[str]], bool]] = {
    "once the panel is fitted": lambda step, _: step.mount == "panel" and step.action == "place",
    "at the right length": lambda step, _: step.mount == "panel" and step.action == "place",
    "heatsink": lambda step, traits: "tab" in traits or "hot" in traits,
    "Glass cracks": lambda step, traits: "glass" in traits,
    "only when all checks before it are met": lambda step, _: step.action == "insert",
    "Once soldered, it rarely": lambda step, _: step.action == "solder",
    "Tin the": lambda step, _: "ribbon" not in step.value,
    "In the supply": lambda step, traits: step.kind == "Schottky diode",
    "polarity before you first": lambda step, _: "AC" not in step.value,
    "with both boards": lambda step, _: step.kind in ("pin header", "pin socket"),
}
"""Words of usual cautions, and of which steps they may be said."""


@pytest.mark.parametrize("procedure", ["low-to-high", "signal-flow"])
@pytest.mark.parametrize("kit", [*sorted((Path(__file__).parents[2] / "kits").glob("*.yaml")), None], ids=str)
def test_no_step_of_a_plan_is_told_what_does_not_hold_for_it(kit: Path | None, procedure: str) -> None:
    read = load_kit(kit) if kit else parse_kit(EVERYTHING.encode(), "everything.yaml")
    for step in make_plan(read, SHIPPED[procedure]).steps:
        traits = traits_of(step.kind, step.value, step.package, step.mount) if step.kind else frozenset()
        own = {say for board in read.boards for line in board.parts for say in line.cautions}
        for words, may_be_said in CONTRADICTIONS.items():
            if any(words in say for say in step.cautions if say not in own):
                assert may_be_said(step, traits), (step.value, step.refs, words)


def test_a_socket_for_an_alternating_supply_has_no_polarity_and_a_signal_diode_guards_no_supply() -> None:
    """The kit states its supply, and the section what a diode is for."""
    plan = make_plan(parse_kit(EVERYTHING.encode(), "k"), LOW)
    said = {ref: " ".join((step.orientation, *step.cautions)) for step in plan.steps for ref in step.refs}
    assert "no plus and no minus" in said["J1"]
    assert "polarity" not in said["J1"]
    assert "In the supply" in said["D1"]
    assert "In the supply" not in said["D2"]


@pytest.mark.parametrize(
    ("supply", "alternating"),
    [
        ("", False),
        ('supply: {"9 V": 100 mA}', False),
        ('supply: {"+12 V": 50 mA, "-12 V": 40 mA}', False),
        ('supply: {"12 V AC": 200 mA}', True),
        ('supply: {"12 V~": 200 mA}', True),
        ('supply: {"12 V AC": 200 mA, "+5 V": 10 mA}', False),
    ],
)
def test_a_supply_socket_is_said_to_have_no_polarity_only_where_every_supply_alternates(
    supply: str, alternating: bool
) -> None:
    text = f"kit: 1\nname: k\n{supply}\nboards: [{{name: main, parts: [{{refs: J1, kind: DC socket}}]}}]\n"
    plan = make_plan(parse_kit(text.encode(), "k"), LOW)
    (said,) = (" ".join((step.orientation, *step.cautions)) for step in plan.steps if "J1" in step.refs)
    assert ("no plus and no minus" in said) is alternating
    assert ("Measure the plug's polarity" in said) is not alternating
