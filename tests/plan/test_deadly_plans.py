"""Plans of kits that can kill, and of kits that only look like it: what is proposed, what is left open."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.danger import danger_of
from bench.kit.kit import Check, HoldPoint, Kit
from bench.kit.load import parse_kit
from bench.parts.expectation import parse_expectation
from bench.plan.default_checks import series_resistors
from bench.plan.holds import is_look, merged, share_out
from bench.plan.plan import Plan, Step
from bench.plan.procedure import parse_procedure
from bench.plan.rules import Procedure
from bench.plan.stages import make_plan
from bench.session.verdicts import verdict_on
from tests.support.plans import FLOW, LOW

BOTH = pytest.mark.parametrize("procedure", [LOW, FLOW], ids=lambda each: each.name)
POWERED = ("First power", "ICs into their sockets", "Power with everything in", "Does it work", "Trim",
           "Panel, nuts, knobs")  # fmt: skip


def kit(text: str, *parts: str, after: str = "") -> Kit:
    lines = "".join(f"\n      - {part}" for part in parts)
    whole = f"kit: 1\nname: Paper lantern\n{text}\nboards:\n  - name: main\n    parts:{lines}\n{after}\n"
    return parse_kit(whole.encode(), "lantern.yaml")


FUSE = "{refs: F1, value: 500 mA slow, kind: fuse, socket: 5x20 mm clips}"
CHIP = "{refs: U2, value: NE555, socket: DIP-8}"
NUT = "{refs: SW1, value: on-off, kind: toggle switch, mount: panel, joints: 2}"
BIAS = 'trims: [{name: Bias, trimmer: RV1, target: "5 V"}]'
TRIMMER = "{refs: RV1, value: 10k, kind: trimmer}"
MIXED = kit(
    'hazards: [mains, high voltage, stored charge]\nsupply: {"230 V AC": 20 mA, "+300 V": 10 mA, "+9 V": 5 mA}',
    FUSE, '{refs: T1, value: "230 V to 9 V, 5 VA", kind: transformer}', CHIP, NUT, TRIMMER,
    "{refs: C1, value: 47u, voltage: 400 V, kind: electrolytic capacitor}", after=BIAS,
)  # fmt: skip
UNSAID = kit(
    'supply: {"230 V AC": 1 A}', "{refs: R1, value: 10k}", CHIP, NUT, TRIMMER,
    '{refs: T1, value: "230 V to 12 V", kind: transformer}', "{value: mains lead, kind: cable, quantity: 1}",
    after=BIAS,
)  # fmt: skip
HIDDEN = kit(
    'supply: {"24 V": 1 A}', '{refs: T1, value: "230 V to 24 V", kind: transformer}', CHIP, NUT, TRIMMER,
    "{refs: C1, value: 100u, voltage: 400 V, kind: electrolytic capacitor}", after=BIAS,
)  # fmt: skip
FLASH = kit(
    'hazards: [stored charge]\nsupply: {"+9 V": 100 mA}', "{refs: R1, value: 10k}", CHIP, NUT, TRIMMER,
    "{refs: C1, value: 120u, voltage: 330 V, kind: electrolytic capacitor}", after=BIAS,
)  # fmt: skip
VALVE = kit(
    'hazards: [high voltage, stored charge]\nsupply: {"+250 V": 60 mA, "6.3 V AC": 1 A}', TRIMMER, NUT, FUSE,
    "{refs: V1, value: EL84, kind: valve, socket: B9A, joints: 9}", after=BIAS,
)  # fmt: skip
NIXIE = kit('supply: {"+12 V": 200 mA}', "{refs: DS1, value: nixie tube, kind: display}", CHIP, NUT, TRIMMER,
            "{refs: C1, value: 4u7, voltage: 400 V, kind: electrolytic capacitor}", after=BIAS)  # fmt: skip
NO_RAIL = kit("hazards: [mains]", "{refs: R1, value: 10k}", CHIP, NUT, TRIMMER, after=BIAS)
DEADLY = pytest.mark.parametrize("made", [MIXED, UNSAID, HIDDEN, FLASH, VALVE, NIXIE, NO_RAIL])

PEDAL = kit('supply: {"+9 V": 4 mA}', CHIP, NUT, "{refs: C1, value: 22n, voltage: 400 V, kind: film capacitor}",
            TRIMMER, after=BIAS)  # fmt: skip
WART = kit('supply: {"12 V AC from a plug-in adapter": 300 mA}', CHIP, NUT, FUSE, "{refs: BR1, value: W04M}")
PHANTOM = kit(
    'supply: {"+48 V": 10 mA}', CHIP, NUT, "{refs: C1, value: 10u, voltage: 63 V, kind: film capacitor}"
)
HARMLESS = pytest.mark.parametrize("made", [PEDAL, WART, PHANTOM])


def said(step: Step) -> str:
    return " ".join((step.value, step.detail, step.expect))


def steps_of(plan: Plan, name: str) -> tuple[Step, ...]:
    return next((stage.steps for stage in plan.stages if stage.name == name), ())


@BOTH
@DEADLY
def test_nothing_generic_is_proposed_where_it_can_kill(made: Kit, procedure: Procedure) -> None:
    """Rails above extra-low voltage (50 V AC, 120 V DC: IEC 61140) are the maker's and licensed people's."""
    plan = make_plan(made, procedure)
    text = " ".join(map(said, plan.steps))
    for generic in ("in series with", "series resistor", "back of a finger", "two seconds", "Turn a little"):
        assert generic not in text
    for step in plan.steps:
        if (
            step.action == "check"
            and not step.line
            and re.search(r"230 V|\+300 V|\+250 V|each rail", step.value)
        ):
            assert "200 ohm" not in step.expect
            assert step.expect == "> 2 Mohm"
    assert any("maker's own steps" in step.value for step in steps_of(plan, "First power"))
    assert "licensed" in text


@BOTH
@DEADLY
def test_no_low_rail_is_read_live_either_but_where_the_maker_asks(made: Kit, procedure: Procedure) -> None:
    """Whoever has to meet such a check switches on all of it, or feeds what makes the high voltage."""
    plan = make_plan(made, procedure)
    live = [
        step for step in plan.steps if step.action == "check" and re.search(r"[0-9] ?m?[VA]\b", step.expect)
    ]
    assert {step.value for step in live if not step.line} == {"each capacitor, before you touch"}


@BOTH
@DEADLY
def test_discharging_and_measuring_come_before_a_hand_in_every_stage_after_power(
    made: Kit, procedure: Procedure
) -> None:
    plan = make_plan(made, procedure)
    for name in ("ICs into their sockets", "Trim", "Panel, nuts, knobs"):
        steps = steps_of(plan, name)
        assert steps, name
        assert [step.value for step in steps[:2]] == [
            "Unplug and discharge",
            "Measure each capacitor before you touch",
        ]
    everything = [step.value for step in steps_of(plan, "Power with everything in")]
    assert everything[-3:] == [
        "unplug and discharge", "each capacitor, before you touch", "parts that got too hot",
    ]  # fmt: skip
    for stage in plan.stages:
        if stage.name in POWERED:
            assert all("can kill" in " ".join(step.cautions) for step in stage.steps), stage.name


@BOTH
@HARMLESS
def test_a_kit_that_only_looks_like_it_keeps_its_usual_steps(made: Kit, procedure: Procedure) -> None:
    assert not danger_of(made).deadly
    plan = make_plan(made, procedure)
    text = " ".join(map(said, plan.steps))
    assert "back of a finger" in text
    assert "two seconds" in text
    assert "can kill" not in text
    assert not any("can kill" in caution for step in plan.steps for caution in step.cautions)


def test_mains_and_low_voltage_are_apart_by_megohms_or_nothing_is_proposed() -> None:
    """2 Mohm: EN 50699 for double insulation, seen via a tester's manual; 200 ohm would pass a lethal fault."""
    pairs = {
        step.value: step.expect for step in make_plan(MIXED, LOW).steps if " and " in step.value and step.expect
    }
    assert pairs == {"+9 V and 0 V": "> 200 ohm", "230 V AC and +9 V": "> 2 Mohm"}
    assert parse_expectation("> 2 Mohm")


@BOTH
def test_fuses_and_links_are_in_before_power_and_what_wrong_rails_destroy_waits(procedure: Procedure) -> None:
    made = kit(
        'supply: {"+12 V": 40 mA}', FUSE, CHIP,
        "{refs: JP1, value: jumper, kind: hardware, socket: 2-way header}",
        "{refs: U3, value: PC817, kind: optocoupler, socket: DIP-4}",
        "{refs: V1, value: ECC83, kind: valve, socket: B9A, joints: 9}",
        "{refs: M1, value: clock module, kind: module, socket: 8-way, joints: 8}",
    )  # fmt: skip
    plan = make_plan(made, procedure)
    names = [stage.name for stage in plan.stages]
    early = {ref for step in steps_of(plan, "Fuses and links") for ref in step.refs}
    late = {ref for step in steps_of(plan, "ICs into their sockets") for ref in step.refs}
    assert early == {"F1", "JP1"}
    assert not any("legs" in step.detail for step in steps_of(plan, "Fuses and links"))
    assert late == {"U2", "U3", "V1", "M1"}
    assert names.index("Fuses and links") < names.index("Before power") < names.index("First power")


def test_a_series_resistor_is_reckoned_from_the_stated_current_and_comes_out_again() -> None:
    """R = U / 10 I rounded down to E12 (IEC 60063), P = U² / R when shorted: Ohm's law, any textbook."""
    made = kit('supply: {"+12 V": 38 mA, "-12 V": 31 mA, "12 V AC": 1 A, "+5 V": 2 A, "+15 V": 0 mA}', CHIP)
    words = [each.words for each in series_resistors(made)]
    assert words == [
        "+12 V: 27 ohm, 10 W (takes 1 V at 38 mA; 5.3 W when the rail is shorted)",
        "-12 V: 33 ohm, 5 W (takes 1 V at 31 mA; 4.4 W when the rail is shorted)",
    ]
    values = [step.value for step in steps_of(make_plan(made, LOW), "First power")]
    at = values.index("no series resistor left in")
    assert values.index("Limit the current") < values.index("switch on for two seconds, then off") < at
    assert at < values.index("+12 V at each IC")
    without = [
        step.value for step in steps_of(make_plan(kit('supply: {"+5 V": 2 A}', CHIP), LOW), "First power")
    ]
    assert not any("series" in value for value in without)


@BOTH
def test_a_valve_whose_socket_stands_in_a_line_of_its_own_waits_as_well(procedure: Procedure) -> None:
    made = kit('supply: {"6.3 V AC": 1 A, "+250 V": 60 mA}', "{refs: V1, value: ECC83, kind: valve}",
               "{refs: XV1, value: B9A, kind: valve socket, joints: 9}")  # fmt: skip
    plan = make_plan(made, procedure)
    assert "V1" in {ref for step in steps_of(plan, "ICs into their sockets") for ref in step.refs}


@BOTH
def test_eyes_are_named_at_first_power(procedure: Procedure) -> None:
    for step in steps_of(make_plan(PEDAL, procedure), "First power"):
        assert any("Glasses on, face away" in caution for caution in step.cautions)


@BOTH
def test_what_closes_the_box_comes_after_it_works_and_what_carries_panel_parts_at_the_panel(
    procedure: Procedure,
) -> None:
    pedal = kit(
        'supply: {"+9 V": 4 mA}', CHIP, NUT, "{value: drilled enclosure, kind: hardware, quantity: 1}",
        "{value: enclosure lid, kind: hardware, quantity: 1}", "{value: knob, kind: knob, quantity: 1}",
        "{value: rubber feet, kind: hardware, quantity: 4}",
    )  # fmt: skip
    plan = make_plan(pedal, procedure)
    names = [stage.name for stage in plan.stages]
    where = {step.value: stage.name for stage in plan.stages for step in stage.steps if step.action == "fit"}
    assert where["drilled enclosure"] == "Fit the panel"
    assert {where[each] for each in ("enclosure lid", "knob", "rubber feet")} == {"Panel, nuts, knobs"}
    assert names.index("Does it work") < names.index("Panel, nuts, knobs")
    boxed = kit('supply: {"+9 V": 4 mA}', CHIP, NUT, "{value: front, kind: panel, quantity: 1}",
                "{value: wooden case, kind: hardware, quantity: 1}")  # fmt: skip
    where = {s.value: stage.name for stage in make_plan(boxed, procedure).stages for s in stage.steps}
    assert (where["front"], where["wooden case"]) == ("Fit the panel", "Panel, nuts, knobs")


@BOTH
def test_no_end_under_a_screw_is_tinned_and_a_mains_lead_is_held_first(procedure: Procedure) -> None:
    made = kit('hazards: [mains]\nsupply: {"230 V AC": 1 A}', "{refs: TB1, value: 3-way, kind: terminal block}",
               "{value: mains lead, kind: cable, quantity: 1}",
               "{value: 10-way ribbon cable, kind: cable, quantity: 1}")  # fmt: skip
    wiring = {step.value: " ".join(step.cautions) for step in steps_of(make_plan(made, procedure), "Wiring")}
    assert "Never tin an end that goes under a screw: use a ferrule." in wiring["mains lead"]
    assert "Strain relief first; the earth wire longest" in wiring["mains lead"]
    assert "strands" not in wiring["10-way ribbon cable"]
    assert "earth wire" not in wiring["10-way ribbon cable"]


# -- the kit's own order --------------------------------------------------------------------------
LOOKS = st.sampled_from(["lid on", "the mat", "glasses", "a second person", "limit the bench supply to 60 mA"])
PLACES = st.sampled_from(["+12 V at each IC", "TP1", "current from +12 V", "+12 V and 0 V", "OUT"])
CHECKS = st.one_of(
    st.builds(Check, where=LOOKS),
    st.builds(Check, where=PLACES, expect=st.just("12 V ± 5 %"), unplug=st.sampled_from(["", "ICs"])),
)


@given(st.lists(CHECKS, min_size=1, max_size=8))
def test_a_kits_own_checks_keep_its_order_and_no_look_comes_after_what_it_is_for(drawn: list[Check]) -> None:
    own = [
        Check(where=each.where, expect=each.expect, unplug=each.unplug, line=at)
        for at, each in enumerate(drawn, 1)
    ]
    for procedure in (LOW, FLOW):
        made = kit('supply: {"+12 V": 38 mA}', CHIP)
        from msgspec.structs import replace

        plan = make_plan(
            replace(made, hold_points=(HoldPoint(name="First power", checks=tuple(own)),)), procedure
        )
        order = [
            step.line for stage in plan.stages for step in stage.steps if step.action == "check" and step.line
        ]
        assert sorted(order) == [check.line for check in own]
        for stage in plan.stages:
            lines = [step.line for step in stage.steps if step.action == "check" and step.line]
            assert lines == sorted(lines)
        for look in filter(is_look, own):
            after = [check.line for check in own if check.line > look.line and check.expect]
            assert all(order.index(look.line) < order.index(line) for line in after)
        first = steps_of(plan, "First power")
        ahead = next((at for at, check in enumerate(own) if not is_look(check)), len(own))
        if ahead > 0:
            heads = [step.line for step in first if step.action == "check"][:ahead]
            assert heads == [check.line for check in own[:ahead]]


def test_usual_checks_stay_behind_the_kits_looks_and_in_their_own_order() -> None:
    usual = [Check(where="switch on"), Check(where="+12 V at each IC", expect="12 V")]
    own = [
        Check(where="lid on", line=1),
        Check(where="+12 V at each IC", expect="11.7 V", line=2),
        Check(where="TP1", line=3),
    ]
    order = [check.where for check in merged(usual, own, [Check(where="hot parts")])]
    assert order == ["lid on", "switch on", "+12 V at each IC", "TP1", "hot parts"]
    assert share_out([], LOW.stages, [()] * len(LOW.stages)) == {}


def test_a_procedure_that_puts_a_fuse_in_after_first_power_is_told_so() -> None:
    text = """procedure: 1
name: mine
stages:
  - {name: All, takes: [{height: 1-9}]}
  - {name: First power, per: module, hold: first power}
  - {name: Sockets, action: insert, takes: [{socket: yes}]}
"""
    made = kit('supply: {"+12 V": 40 mA}', FUSE, CHIP)
    remarks = make_plan(made, parse_procedure(text.encode(), "mine.yaml")).remarks
    (remark,) = [each for each in remarks if "after first power" in each]
    assert "F1" in remark
    assert "U2" not in remark
    assert not any("after first power" in each for each in make_plan(made, LOW).remarks)


def test_no_series_resistor_is_proposed_where_a_kit_can_kill() -> None:
    assert series_resistors(kit('hazards: [mains]\nsupply: {"+12 V": 38 mA}', CHIP)) == ()


def test_a_mains_side_that_comes_closed_is_said_to_be_and_no_hazard_line_is_lost() -> None:
    closed = "{value: 'mains box, closed and wired', kind: hardware, quantity: 1}"
    open_ = "{value: mains switch, kind: toggle switch}"
    resistor = "{refs: R1, value: 10k}"
    plans = [
        make_plan(kit('hazards: [mains]\nsupply: {"+9 V": 20 mA}', resistor, *parts), LOW)
        for parts in ((closed,), (closed, open_), ())
    ]
    told = [
        {each for step in plan.steps for each in step.cautions if "Mains voltage can kill" in each}
        for plan in plans
    ]
    assert all(len(each) == 1 for each in told)
    assert ["never open it" in "".join(each) for each in told] == [True, False, False]


@pytest.mark.parametrize(
    ("rail", "current", "words"),
    [
        ("+10 V", "100 mA", "10 ohm, 10 W"),  # P = U² / R: just what the largest may stand
        ("+3 V", "300 mA", "1 ohm, 10 W"),
        ("+3 V", "310 mA", ""),  # less than one ohm is no resistor that a bench has
        ("+12 V", "90 mA", ""),  # 12 ohm would have to stand 12 W
    ],
)
def test_a_series_resistor_stands_a_short_and_takes_a_tenth_or_none_is_proposed(
    rail: str, current: str, words: str
) -> None:
    """R = U / 10 I rounded down to E12 (IEC 60063), P = U² / R when shorted: Ohm's law, any textbook."""
    found = series_resistors(kit(f'supply: {{"{rail}": {current}}}', CHIP))
    assert [each.words.partition(": ")[2].partition(" (")[0] for each in found] == ([words] if words else [])


@BOTH
@DEADLY
def test_a_reading_of_what_was_discharged_is_judged(made: Kit, procedure: Procedure) -> None:
    """Below 5 V: common practice, no source."""
    measured = [step for step in make_plan(made, procedure).steps if "each capacitor" in step.value]
    assert {step.action for step in measured} == {"check", "do"}
    for step in measured:
        answers = [
            getattr(verdict_on(step, text, {}), "answer", "") for text in ("0.4 V", "60 V", "-48 V", "OL")
        ]
        assert answers == ["in", "out", "out", "out"]
        assert "Try the meter on a battery" in step.detail


@BOTH
@DEADLY
def test_the_look_at_isolation_leaves_the_earth_out_and_the_probes_are_tried(
    made: Kit, procedure: Procedure
) -> None:
    """The earth of a plug is joined to the 0 V of an earthed device: common practice, no source."""
    looks = [step for step in make_plan(made, procedure).steps if step.expect == "> 2 Mohm"]
    said = [" ".join(each.detail.split()) for each in looks]
    assert all("not from its earth" in each and "probes tried on one another" in each for each in said)


@BOTH
@pytest.mark.parametrize("made", [
    kit('supply: {"12 V": 1 A}', "{refs: V1, value: ECC83, kind: valve, socket: B9A, joints: 9}", CHIP),
    kit('supply: {"5 V": 1 A}', "{refs: DS1, value: IN-14, kind: display}", CHIP),
    kit('supply: {"9 V": 1 A}', '{refs: BT1, value: 90 V, kind: battery holder, joints: 2}', CHIP),
    kit('supply: {"+12 V": 1 A}', "{refs: TR1, value: 230V 2x12V}", CHIP),
])  # fmt: skip
def test_a_plan_says_that_it_proposes_nothing_for_such_a_rail(made: Kit, procedure: Procedure) -> None:
    plan = make_plan(made, procedure)
    assert not [step.value for step in plan.steps if "± 5 %" in step.expect or "A" in step.expect]
    assert any(remark.startswith("Nothing is proposed for") for remark in plan.remarks)


@BOTH
@DEADLY
def test_no_usual_caution_proposes_a_live_measurement(made: Kit, procedure: Procedure) -> None:
    said = " ".join(each for step in make_plan(made, procedure).steps for each in step.cautions)
    assert "measured the rails" not in said
    assert "Clip the probes on before" not in said
