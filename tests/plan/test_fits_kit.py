"""A plan asks for what the kit has, in the order in which it can be done: nuts, wires, sockets, small parts."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.batch.difficulty import difficulty_of
from bench.kit.kit import Kit
from bench.kit.load import load_kit, parse_kit
from bench.parts.printed_values import surface_mounted
from bench.plan.plan import Plan, Step
from bench.plan.procedure import shipped_procedures
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from tests.support.plans import SHIPPED

KITS = sorted(shipped_kits_folder().glob("*.yaml"))
each_kit = pytest.mark.parametrize("path", KITS, ids=[path.stem for path in KITS])
each_procedure = pytest.mark.parametrize("procedure", sorted(shipped_procedures()))


def plan_of(kit: Kit, procedure: str) -> Plan:
    return make_plan(kit, SHIPPED[procedure])


def kit_of(*parts: str, top: str = 'supply: {"+12 V": 20 mA}', boards: str = "") -> Kit:
    lines = "".join(f"      - {part}\n" for part in parts)
    text = f"kit: 1\nname: Small\n{top}\nboards:\n  - name: main\n    parts:\n{lines}{boards}"
    return parse_kit(text.encode(), "small.yaml")


def values(plan: Plan, stage: str) -> list[str]:
    return [step.value for each in plan.stages if each.name == stage for step in each.steps]


def where(plan: Plan, step: Step) -> int:
    return plan.steps.index(step)


# ---- nuts -------------------------------------------------------------------------------------------
@each_kit
@each_procedure
def test_nuts_of_panel_parts_are_handed_out_before_they_are_asked_for(path: Path, procedure: str) -> None:
    plan = plan_of(load_kit(path), procedure)
    asked = [step for step in plan.steps if step.action == "do" and "then the nuts" in step.value]
    nuts = [step for step in plan.steps if step.kind == "nut"]
    if asked:
        assert all(where(plan, nut) < where(plan, asked[0]) for nut in nuts if not nut.joined)
    assert not any(nut.stage == "Panel, nuts, knobs" for nut in nuts)


# ---- does it work -----------------------------------------------------------------------------------
OUT = "{refs: J1, value: 3.5 mm, kind: jack socket, note: OUT}"
INPUT = "{refs: J2, value: 3.5 mm, kind: jack socket, note: CV 1}"
BARE = "{refs: J3, value: 3.5 mm, kind: jack socket}"
PHONES = "{refs: J4, value: 3.5 mm stereo, kind: jack socket, note: PHONES}"
SPEAKER = "{refs: LS1, value: 8 ohm, kind: loudspeaker}"
RELAY = "{refs: K1, value: 12 V DPDT, kind: relay}"
RESISTOR = "{refs: R1, value: 1k}"


@each_procedure
@pytest.mark.parametrize(
    ("parts", "asked"),
    [
        ([RESISTOR], ["it does what its maker says it does"]),
        ([OUT], ["each output gives its signal: OUT"]),
        ([INPUT], ["each input acts: CV 1"]),
        ([BARE], ["each socket does what it is for: J3"]),
        ([PHONES], ["phones, both ears: PHONES"]),
        ([SPEAKER], ["a clean sound: LS1"]),
        ([RELAY], ["the relay pulls in and lets go: K1"]),
        (["{refs: LED1, value: red 5 mm, kind: LED}"], ["lamps and displays: LED1"]),
    ],
)
def test_what_is_tried_is_what_the_kit_has(parts: list[str], asked: list[str], procedure: str) -> None:
    assert values(plan_of(kit_of(*parts), procedure), "Does it work") == asked


@each_procedure
def test_what_the_maker_tries_is_not_asked_for_again(procedure: str) -> None:
    own = 'hold_points:\n  - name: Function\n    checks:\n      - {look: "a step at CV 1 is heard at J1"}\n'
    plan = plan_of(kit_of(OUT, INPUT, BARE, boards=own), procedure)
    assert values(plan, "Does it work") == [
        "a step at CV 1 is heard at J1",
        "each socket does what it is for: J3",
    ]


@each_procedure
def test_designators_in_a_range_are_named_too(procedure: str) -> None:
    own = 'hold_points:\n  - name: Function\n    checks:\n      - {look: "LED1 to LED3 breathe"}\n'
    leds = "{refs: LED1-LED3, value: red 5 mm, kind: LED}"
    assert values(plan_of(kit_of(leds, boards=own), procedure), "Does it work") == ["LED1 to LED3 breathe"]


@each_procedure
def test_rails_are_measured_at_ics_only_where_there_are_any(procedure: str) -> None:
    checks = values(plan_of(kit_of(RESISTOR), procedure), "First power")
    assert "+12 V on the board" in checks
    assert "+12 V at each IC" not in checks
    checks = values(plan_of(kit_of("{refs: U1, value: TL072, socket: DIP-8}"), procedure), "First power")
    assert "+12 V at each IC" in checks
    assert "+12 V on the board" not in checks


# ---- on wires ---------------------------------------------------------------------------------------
@each_procedure
@pytest.mark.parametrize(
    "part",
    [
        "{refs: J1, value: 4 mm post red, kind: connector, mount: panel, joints: 1, note: 'OUT, 6 cm of wire'}",
        "{refs: SW1, value: on-off, kind: toggle switch, mount: panel, note: on two wires}",
        "{refs: J2, value: 6.35 mm, kind: jack socket, mount: chassis}",
        "{refs: J3, value: 2.1 mm, kind: DC socket, mount: chassis}",
    ],
)
def test_what_hangs_on_wires_is_soldered_with_the_wiring(part: str, procedure: str) -> None:
    plan = plan_of(kit_of(part, "{refs: RV1, value: B10k}", "{value: hook-up wire, kind: cable}"), procedure)
    soldered = next(step for step in plan.steps if step.action == "solder" and step.kind != "potentiometer")
    wire = next(step for step in plan.steps if step.kind == "cable")
    assert soldered.stage == "Wiring" == wire.stage
    assert where(plan, wire) < where(plan, soldered)


@each_procedure
def test_no_word_of_a_board_is_said_of_what_hangs_on_wires(procedure: str) -> None:
    plan = plan_of(
        kit_of(
            "{refs: J1, value: 4 mm post red, kind: connector, mount: panel, joints: 1}",
            "{refs: J2, value: 2.1 mm, kind: DC socket, mount: panel}",
            "{refs: J3, value: 2.1 mm, kind: DC socket, mount: chassis}",
            "{refs: LED1, value: red 5 mm, kind: LED, mount: chassis}",
        ),
        procedure,
    )
    said = [f"{step.orientation} {' '.join(step.cautions)}" for step in plan.steps if step.refs]
    assert said
    for words in ("Solder one pin", "faces the edge", "flat side of the print", "open side as printed"):
        assert not any(words in each for each in said), words


def test_a_list_of_what_sits_in_the_case_is_no_board_to_join() -> None:
    case = (
        "  - name: case\n    parts:\n      - {refs: J1, value: 6.35 mm, kind: jack socket, mount: chassis}\n"
        "      - {refs: SW1, value: on-off, kind: toggle switch, mount: panel}\n"
    )
    difficulty = difficulty_of(kit_of(RESISTOR, boards=case))
    assert difficulty.level_words == "one board"
    assert not any("boards to join" in reason.what for reason in difficulty.reasons)
    second = case.replace("mount: panel", "mount: board")
    assert difficulty_of(kit_of(RESISTOR, boards=second)).level_words == "boards to join"


# ---- parts without legs -----------------------------------------------------------------------------
@each_procedure
def test_parts_without_legs_come_before_all_others_the_smallest_first(procedure: str) -> None:
    plan = plan_of(load_kit(shipped_kits_folder() / "usher-lamp.yaml"), procedure)
    soldered = [step for step in plan.steps if step.action == "solder"]
    bare = [surface_mounted(step.kind, step.value, step.package) for step in soldered]
    assert any(bare)
    assert bare == sorted(bare, reverse=True)
    packages = [step.package for step in soldered if step.stage == "Surface-mount parts"]
    assert packages.index("0805") < packages.index("SOT-23") < packages.index("SOIC-8")
    assert not any("Clipped leads" in said for step in soldered[: sum(bare)] for said in step.cautions)
    chip = next(step for step in soldered if step.kind == "IC")
    assert any("Pin 1 before the first joint" in said for said in chip.cautions)


@each_procedure
def test_a_kit_with_legs_throughout_is_told_nothing_of_parts_without(procedure: str) -> None:
    plan = plan_of(kit_of(RESISTOR), procedure)
    assert "Surface-mount parts" not in [stage.name for stage in plan.stages]


# ---- kits that can kill ------------------------------------------------------------------------------
@each_procedure
def test_adjusting_a_kit_that_can_kill_says_how_it_goes_on_after_discharging(procedure: str) -> None:
    trims = 'trims:\n  - {name: Bias, trimmer: RV1, target: "5 V"}\n'
    kit = kit_of("{refs: RV1, value: 10k, kind: trimmer}", top='supply: {"230 V AC": 1 A}', boards=trims)
    plan = plan_of(kit, procedure)
    steps = [step for stage in plan.stages if stage.name == "Trim" for step in stage.steps]
    order = [step.value for step in steps]
    assert order.index("Measure each capacitor before you touch") < order.index(
        "The maker's own order for adjusting"
    )
    assert order[-1] == "Bias"
    told = next(step.detail for step in steps if step.value == "The maker's own order for adjusting")
    turns = [
        told.index(words)
        for words in ("power off", "insulated tool", "then on", "adjust with", "off; unplugged")
    ]
    assert turns == sorted(turns)
    assert "licensed" in told
    assert "cover or case on" in values(plan, "First power")


@each_procedure
def test_valves_are_called_valves_and_a_cable_with_plugs_is_not_tinned(procedure: str) -> None:
    valve = kit_of("{refs: V1, value: ECC83, kind: valve, socket: B9A}")
    checks = values(plan_of(valve, procedure), "Before power")
    assert "valves out of their sockets" in checks
    assert "ICs out of their sockets" not in checks
    for cable, tinned in (("10-to-16-pin power cable", False), ("hook-up wire", True)):
        plan = plan_of(kit_of(RESISTOR, f"{{value: {cable}, kind: cable}}"), procedure)
        (step,) = (step for step in plan.steps if step.kind == "cable")
        assert any("Tin the ends" in said for said in step.cautions) is tinned


@each_procedure
def test_where_all_parts_hang_on_wires_the_box_and_its_nuts_come_before_the_wire(procedure: str) -> None:
    plan = plan_of(
        kit_of(
            RESISTOR,
            "{refs: J1, value: 6.35 mm, kind: jack socket, mount: chassis}",
            "{value: drilled box, kind: panel}", "{value: M9 jack nut, kind: nut}",
            "{value: lid, kind: hardware}",
        ),
        procedure,
    )  # fmt: skip
    order = [step.value for step in plan.steps if step.kind]
    assert order.index("drilled box") < order.index("M9 jack nut") < order.index("6.35 mm") < order.index("lid")


@each_procedure
def test_a_maker_who_says_how_to_adjust_is_heard_and_clips_go_on_with_the_power_off(procedure: str) -> None:
    trims = 'trims:\n  - {name: Bias, trimmer: RV1, target: "5 V", how: "Read R7."}\n'
    trimmer = "{refs: RV1, value: 10k, kind: trimmer}"
    kits = [kit_of(trimmer, top=f'supply: {{"{rail}": 1 A}}', boards=trims) for rail in ("230 V AC", "+12 V")]
    live, low = (plan_of(kit, procedure) for kit in kits)
    said = [next(step.detail for step in plan.steps if step.value == "Bias") for plan in (live, low)]
    assert said[0].startswith("Read R7. Meter and clips go on with the power off")
    assert said[1] == "Read R7."
