"""Parts that must be joined go in together, and what must stay dry goes in after the wash."""

from __future__ import annotations

from pathlib import Path

import pytest

from bench.kit.kit import Kit
from bench.kit.load import load_kit, parse_kit
from bench.kit.write import kit_text, skeleton
from bench.plan.plan import Plan, Step
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from tests.support.kit_files import faults, small
from tests.support.plans import LOW, SHIPPED, procedure_of

KITS = sorted(shipped_kits_folder().glob("*.yaml"))
REGULATOR = "{refs: U1, value: LM317, kind: voltage regulator, package: TO-220}"
RESISTOR = "{refs: R1, value: 1k}"


def kit_of(*parts: str) -> Kit:
    return parse_kit(small(*parts).encode(), "kit.yaml")


def order_of(plan: Plan) -> list[str]:
    """The first designator or the value of each step that places a part."""
    return [step.refs[0] if step.refs else step.value for step in plan.steps if step.kind]


def step_of(plan: Plan, name: str) -> Step:
    return next(step for step in plan.steps if name in (*step.refs, step.value) and step.kind)


@pytest.mark.parametrize("procedure", SHIPPED.values(), ids=lambda each: each.name)
@pytest.mark.parametrize(
    ("parts", "wanted"),
    [
        ((REGULATOR, "{refs: HS1, value: 6 K/W}"), ["HS1", "U1"]),
        ((REGULATOR, "{refs: HS1, value: 6 K/W, with: U1}"), ["HS1", "U1"]),
        (("{refs: Q1, value: TIP31, package: TO-220, with: HS1}", "{refs: HS1, value: 6 K/W}"), ["HS1", "Q1"]),
        (
            (
                "{refs: Q1, value: 2N3904, kind: transistor}",
                "{refs: RT1, value: 1k, kind: thermistor, mount: flat, with: Q1}",
            ),
            ["Q1", "RT1"],
        ),
        (
            (
                "{refs: Q1, value: 2N3904, kind: transistor}",
                "{refs: RT1, value: 1k, kind: thermistor, mount: flat, note: pressed against Q1}",
            ),
            ["Q1", "RT1"],
        ),
        (
            (
                "{refs: D1, value: red, kind: LED, mount: upright}",
                "{value: LED spacer 5 mm, kind: spacer, with: D1}",
            ),
            ["LED spacer 5 mm", "D1"],
        ),
        (
            (
                "{refs: U1, value: TL072, socket: DIP-8}",
                "{value: clip, kind: hardware, quantity: 1, with: U1}",
            ),
            ["U1", "U1", "clip"],
        ),
        (
            ("{refs: Q1, value: BC547}", "{refs: Q9, value: BC557, with: Q1}"),
            ["Q1", "Q9"],
        ),
    ],
)  # fmt: skip
def test_what_must_be_joined_stands_in_neighbouring_steps(
    parts: tuple[str, ...], wanted: list[str], procedure: object
) -> None:
    others = (RESISTOR, "{refs: C1, value: 10u, kind: electrolytic capacitor}", "{refs: J1, value: 2x5}",
              "{refs: Q5, value: BC550, kind: transistor}")  # fmt: skip
    plan = make_plan(kit_of(*others, *parts), procedure)  # type: ignore[arg-type]
    order = order_of(plan)
    first, last = order.index(wanted[-2]) if len(wanted) == 2 else len(order) - 2, order.index(wanted[-1])
    if wanted == ["U1", "U1", "clip"]:
        assert order[-2:] == ["U1", "clip"]
        assert [step.action for step in plan.steps if step.kind][-2:] == ["insert", "fit"]
    else:
        assert last == first + 1, order
    stages = [stage.name for stage in plan.stages for step in stage.steps if step.kind and step.joined]
    assert len(set(stages)) == 1
    assert sum(stage.joints for stage in plan.stages) == plan.joints


def test_the_caution_fits_the_order_and_repeats_nothing_that_the_author_says() -> None:
    plan = make_plan(kit_of(REGULATOR, "{refs: HS1, value: 6 K/W}"), LOW)
    assert "Screw it to HS1 first, then solder it." in step_of(plan, "U1").cautions
    assert any("Goes together with U1" in said for said in step_of(plan, "HS1").cautions)
    own = '{refs: U1, value: LM317, kind: voltage regulator, package: TO-220, caution: "HS1 first"}'
    assert not any("Screw it to HS1" in said for said in step_of(
        make_plan(kit_of(own, "{refs: HS1, value: 6 K/W}"), LOW), "U1").cautions)  # fmt: skip


def test_what_says_whom_it_goes_with_is_not_taken_to_another_heatsink() -> None:
    parts = (REGULATOR, "{refs: U2, value: LM317, kind: voltage regulator, package: TO-220, with: HS2}",
             "{refs: HS1, value: 6 K/W}", "{refs: HS2, value: 9 K/W, with: U2}")  # fmt: skip
    plan = make_plan(kit_of(*parts), LOW)
    assert any("HS1" in said for said in step_of(plan, "U1").cautions)
    assert not any("HS1" in said for said in step_of(plan, "U2").cautions)


def test_a_small_case_is_not_taken_to_the_heatsink_of_another() -> None:
    small_case = "{refs: U2, value: 78L05, kind: voltage regulator, package: TO-92}"
    plan = make_plan(kit_of(REGULATOR, small_case, "{refs: HS1, value: 6 K/W}"), LOW)
    assert step_of(plan, "U1").joined
    assert not step_of(plan, "U2").joined


def test_two_pairs_with_one_line_of_washers_stay_two_pairs() -> None:
    plan = make_plan(load_kit(shipped_kits_folder() / "prop-table-supply.yaml"), LOW)
    order = order_of(plan)
    at = order.index("HS1")
    assert [name for name in order[at : at + 8] if "insulating" not in name][:4] == ["HS1", "U1", "HS2", "U2"]


@pytest.mark.parametrize("procedure", SHIPPED.values(), ids=lambda each: each.name)
@pytest.mark.parametrize(
    "pad",
    ["mica washer TO-220, kind: washer", "insulating bush, kind: hardware", "thermal pad, kind: hardware"],
)
def test_what_insulates_a_tab_goes_between_heatsink_and_part_and_not_in_after_power(
    pad: str, procedure: object
) -> None:
    sink = "{refs: HS1, value: 6 K/W, with: Q1}"
    part = "{refs: Q1, value: TIP41C, package: TO-220}"
    made = make_plan(kit_of(RESISTOR, sink, part, f"{{value: {pad}, quantity: 1}}"), procedure)  # type: ignore[arg-type]
    name = pad.split(",")[0]
    assert order_of(made)[-3:] == ["HS1", name, "Q1"]
    assert any("check with the meter" in said for said in step_of(made, "Q1").cautions)
    jack = "{refs: J1, value: 6.35 mono, kind: jack socket}"
    without = make_plan(kit_of(RESISTOR, jack, f"{{value: {pad}, quantity: 1}}"), procedure)  # type: ignore[arg-type]
    assert not step_of(without, name).joined


def test_a_trimmer_named_by_an_idle_current_trim_is_not_set_to_its_middle() -> None:
    trims = "trims:\n  - {name: Idle current, trimmer: RV1, target: 12 mV across R1}\n"
    lines = small(RESISTOR, "{refs: RV1, value: 500R, kind: trimmer}", "{refs: RV2, value: 10k, kind: trimmer}")
    plan = make_plan(parse_kit((lines + trims).encode(), "kit.yaml"), LOW)
    said = {name: " ".join(step_of(plan, name).cautions) for name in ("RV1", "RV2")}
    assert "lowest idle current" in said["RV1"]
    assert "Set it to mid-travel" not in said["RV1"]
    assert "Set it to mid-travel" in said["RV2"]
    adjust = next(step for step in plan.steps if step.action == "adjust")
    assert "minimum-current end" in adjust.detail


def test_nothing_is_soldered_after_power_because_of_what_it_is_joined_to() -> None:
    sink = "{refs: HS1, value: rear panel, kind: heatsink, mount: chassis, height: 9, joints: 0, with: U1}"
    for procedure in SHIPPED.values():
        plan = make_plan(kit_of(REGULATOR, sink), procedure)
        names = [stage.name for stage in plan.stages]
        power = next(at for at, stage in enumerate(plan.stages) if stage.hold)
        assert names.index(step_of(plan, "U1").stage) < power


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("{refs: U1, value: LM317, with: HS7}", '"with" names HS7, which is not on this board'),
        ("{refs: U1, value: LM317, with: U1}", "U1 is to go in with itself"),
        ("{refs: U1, value: LM317, with: R9-R1}", "my.yaml:7: the range"),
        ('{refs: U1, value: LM317, with: ""}', 'no designators in "with"'),
    ],
)
def test_a_partner_that_is_not_there_is_a_fault_with_its_line(part: str, said: str) -> None:
    found = faults(small(RESISTOR, part))
    assert any(said in fault for fault in found), found


def test_partners_are_written_as_they_were_read() -> None:
    kit = kit_of("{refs: Q1-Q2, value: 2N3904}", "{refs: RT1, value: 1k, kind: thermistor, with: Q1-Q2}")
    assert kit.boards[0].parts[1].joined_with == ("Q1", "Q2")
    assert parse_kit(kit_text(kit).encode(), "again.yaml").boards[0].parts[1].joined_with == ("Q1", "Q2")
    assert "with:" in skeleton("My kit")


# -- the wash --------------------------------------------------------------------------------------------
BOARD_PARTS = (
    "{refs: J1, value: 3.5 mm, kind: jack socket, mount: board}",
    "{refs: RV1, value: B10k, kind: potentiometer, mount: board}",
    "{refs: K1, value: 12 V, kind: relay}",
    "{refs: MK1, value: electret, kind: microphone}",
    "{refs: S1, value: reset, kind: push button, mount: board}",
)


def washed(plan: Plan) -> Step:
    return next(step for step in plan.steps if step.value == "Wash off the flux")


@pytest.mark.parametrize("procedure", SHIPPED.values(), ids=lambda each: each.name)
def test_what_must_stay_dry_goes_in_after_the_wash_where_the_procedure_can(procedure: object) -> None:
    plan = make_plan(kit_of(RESISTOR, *BOARD_PARTS), procedure)  # type: ignore[arg-type]
    at = plan.steps.index(washed(plan))
    assert all(plan.steps.index(step_of(plan, ref)) > at for ref in ("J1", "RV1", "K1", "MK1", "S1"))
    assert "Nothing on this board so far is harmed by washing." in washed(plan).detail
    power = next(number for number, stage in enumerate(plan.stages) if stage.hold)
    dry = next(number for number, stage in enumerate(plan.stages) if stage.name == "Parts that must stay dry")
    assert dry < power


def test_what_is_in_already_is_named_by_designator() -> None:
    own = procedure_of(
        """
  - {name: All, takes: [{height: 1-9}]}
  - {name: Wash, per: board, tasks: [{do: Wash off the flux, detail: "{keep dry}"}]}
"""
    )
    said = washed(make_plan(kit_of(RESISTOR, *BOARD_PARTS), own)).detail
    for words in ("J1 (jack socket)", "RV1 (potentiometer)", "K1 (relay, unless sealed)", "MK1 (microphone)"):
        assert words in said
    assert "R1" not in said.replace("RV1", "")
    sealed = "{refs: RV3, value: 10k, kind: trimmer, package: sealed 25 turns}"
    assert "RV3" not in washed(make_plan(kit_of(RESISTOR, sealed), own)).detail
    open_one = '{refs: RV3, value: 10k, kind: trimmer, package: "not sealed"}'
    assert "RV3 (trimmer" in washed(make_plan(kit_of(RESISTOR, open_one), own)).detail
    assert "buzzer" in washed(make_plan(kit_of(RESISTOR, "{value: piezo buzzer, kind: hardware}"), own)).detail


@pytest.mark.parametrize("procedure", SHIPPED.values(), ids=lambda each: each.name)
@pytest.mark.parametrize("kit", KITS, ids=lambda kit: kit.stem)
def test_the_wash_text_is_true_of_every_kit(kit: Path, procedure: object) -> None:
    plan = make_plan(load_kit(kit), procedure)  # type: ignore[arg-type]
    for at, step in enumerate(plan.steps):
        if step.value != "Wash off the flux":
            continue
        inside = [each for each in plan.steps[:at] if step.board in each.items[0].split("/")[0] and each.kind]
        minds = [each for each in inside if each.kind in ("trimmer", "potentiometer", "jack socket", "relay")]
        assert all(any(ref in step.detail or "-" in step.detail for ref in each.refs) for each in minds)
        assert ("Nothing" in step.detail) <= (not minds)


def test_a_stage_that_claims_a_part_takes_it_from_earlier_ones() -> None:
    own = procedure_of(
        """
  - {name: Low, takes: [{height: 1-9}]}
  - {name: Later, claims: [{kind: diode}], takes: [{kind: resistor}]}
"""
    )
    plan = make_plan(kit_of(RESISTOR, "{refs: D1, value: 1N4148}"), own)
    assert [(step.stage, step.refs) for step in plan.steps] == [("Low", ("R1",)), ("Later", ("D1",))]


def test_an_ic_that_a_stage_claims_waits_for_it() -> None:
    own = procedure_of(
        """
  - {name: Low, takes: [{height: 1-9}]}
  - {name: Soon, action: insert, takes: [{socket: yes}]}
  - {name: Late, action: insert, claims: [{value: NE555}]}
"""
    )
    chips = [
        f"{{refs: {ref}, value: {value}, socket: DIP-8}}" for ref, value in (("U1", "TL072"), ("U2", "NE555"))
    ]
    plan = make_plan(kit_of(*chips), own)
    inserted = [(step.stage, step.refs) for step in plan.steps if step.action == "insert"]
    assert inserted == [("Soon", ("U1",)), ("Late", ("U2",))]


def test_only_what_takes_a_heatsink_is_joined_to_one_for_its_case() -> None:
    resistor = "{refs: R9, value: 10R, kind: resistor, package: TO-220}"
    small_case = "{refs: Q1, value: 2N3904, kind: transistor, package: TO-92}"
    plan = make_plan(kit_of(REGULATOR, "{refs: HS1, value: 6 K/W}", resistor, small_case), LOW)
    assert [name for name in ("U1", "R9", "Q1") if step_of(plan, name).joined] == ["U1"]


def test_what_one_screw_holds_is_joined_to_the_screw_once() -> None:
    """A screw named with two parts goes with the first; the other stays where it was, joined to nothing."""
    screw = "{value: M3x6 screw, kind: screw, with: [U1, U2]}"
    plan = make_plan(kit_of(REGULATOR, REGULATOR.replace("U1", "U2"), screw), LOW)
    assert [step.joined for step in (step_of(plan, "U1"), step_of(plan, "U2"))] == [True, False]


@pytest.mark.parametrize(("value", "joined"), [("7805", True), ("78L05", False)])
def test_a_regulator_without_a_stated_case_is_cooled_unless_it_is_of_the_small_sort(
    value: str, joined: bool
) -> None:
    plan = make_plan(
        kit_of(f"{{refs: U1, value: {value}, kind: voltage regulator}}", "{refs: HS1, value: 6 K/W}"), LOW
    )
    assert step_of(plan, "U1").joined is joined
