"""Hold points, tasks and adjustments in a plan: checks merged, hazards said, none dropped."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from bench.kit.kit import Check, HoldPoint, Kit, Rail, Trim
from bench.kit.load import load_kit
from bench.parts.expectation import parse_expectation
from bench.plan.default_checks import how_to_trim
from bench.plan.plan import Plan
from bench.plan.rules import Procedure
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from tests.support.plans import FLOW, LOW, procedure_of, stage_named
from tests.support.simulated_kits import kit_of, line, two_board_kit

IC = line("U1", "TL072", "IC", socket="DIP-8")
RAILS = (Rail(name="+12 V", current="38 mA"), Rail(name="-12 V", current="31 mA"), Rail(name="0 V", current=""))
SOLDER_AND_INSERT = """  - {name: Solder, takes: [{height: 1-9}]}
  - {name: Insert, takes: [{socket: yes}], action: insert}
  - {name: Close, tasks: [close it]}
"""


def checks(plan: Plan, name: str) -> list[tuple[str, str]]:
    return [(s.value, s.expect) for s in stage_named(plan, name).steps if s.action == "check"]


def point(name: str, *places: str, unplug: str = "") -> HoldPoint:
    return HoldPoint(name=name, checks=tuple(Check(where=place, unplug=unplug) for place in places))


def test_before_power_every_rail_is_measured_to_0_v_and_to_every_other_rail() -> None:
    """Common practice, no source: a couple of hundred ohms at least, ICs out."""
    plan = make_plan(kit_of(IC, supply=(*RAILS, Rail(name="+5 V", current="20 mA"))), LOW)
    measured = [(value, expect) for value, expect in checks(plan, "Before power") if expect]
    assert measured == [
        (f"{pair}", "> 200 ohm")
        for pair in (
            "+12 V and 0 V", "-12 V and 0 V", "+5 V and 0 V", "+12 V and -12 V", "+12 V and +5 V",
            "-12 V and +5 V",
        )
    ]  # fmt: skip
    steps = [step for step in stage_named(plan, "Before power").steps if step.expect]
    assert all(step.detail.startswith("Out first: ICs. Supply unplugged") for step in steps)


def test_before_power_asks_to_look_only_at_what_the_kit_has() -> None:
    def looks(kit: Kit) -> set[str]:
        return {value for value, expect in checks(make_plan(kit, LOW), "Before power") if not expect}

    bare = looks(kit_of(line("R1", "1k", "resistor"), supply=RAILS))
    assert bare == {"supply connector and cable"}
    full = looks(
        kit_of(
            IC, line("U2", "7805", "voltage regulator"), line("C1", "10u", "electrolytic capacitor"),
            line("C2", "1u", "tantalum capacitor"), line("D1", "1N4148", "diode"), supply=RAILS,
        )
    )  # fmt: skip
    assert full - bare == {
        "ICs out of their sockets", "regulators", "electrolytic capacitors", "tantalum capacitors",
        "diodes, transistors and sockets",
    }  # fmt: skip


def test_first_power_measures_rails_and_current_with_the_sockets_empty_and_again_with_ics_in() -> None:
    """LM78xx data sheets allow 5 % over line and load (Fairchild LM78XX Rev. 1.3.1, 2006); the rest is
    common practice, no source."""
    plan = make_plan(kit_of(IC, supply=RAILS), LOW)
    assert checks(plan, "First power")[:2] == [
        ("switch on for two seconds, then off", ""), ("no series resistor left in", ""),
    ]  # fmt: skip
    assert checks(plan, "First power")[2:] == [
        ("+12 V at each IC", "+12 V ± 5 %"), ("-12 V at each IC", "-12 V ± 5 %"),
        ("current from +12 V, sockets empty", "< 38 mA"), ("current from -12 V, sockets empty", "< 31 mA"),
    ]  # fmt: skip
    assert checks(plan, "Power with everything in")[:2] == [
        ("current from +12 V", "38 mA ± 30 %"), ("current from -12 V", "31 mA ± 30 %"),
    ]  # fmt: skip
    assert all(stage_named(plan, name).hold for name in ("Before power", "First power", "Does it work"))


def test_of_much_current_the_makers_figure_is_the_most_and_not_what_flows_at_rest() -> None:
    """An amplifier takes a tenth of its rating without a signal; common practice, no source."""
    rails = tuple(
        Rail(name=name, current=flows)
        for name, flows in (("+24 V", "0.25 A"), ("-24 V", "3 A"), ("6.3 V AC", "1 A"))
    )
    plan = make_plan(kit_of(IC, supply=rails), LOW)
    asked = [step for step in plan.steps if step.value.startswith("current from") and "empty" not in step.value]
    assert [step.expect for step in asked] == ["0.25 A ± 30 %", "< 3 A", "1 A ± 30 %"]
    assert "far less" in asked[0].detail
    assert "at rest it takes less" in asked[1].detail


def test_the_meter_understands_every_limit_that_is_proposed() -> None:
    for supply in (RAILS, (), (Rail(name="9 V", current="12.5 mA"),), (Rail(name="AC 12 V", current="1 A"),)):
        plan = make_plan(kit_of(IC, supply=supply), LOW)
        for expect in {step.expect for step in plan.steps if step.expect}:
            parse_expectation(expect)


def test_a_kit_without_sockets_is_not_asked_for_empty_ones() -> None:
    plan = make_plan(kit_of(line("U1", "TL072", "IC"), supply=RAILS), LOW)
    assert not any("sockets" in step.value for step in plan.steps if step.action == "check" and step.expect)
    assert "ICs into their sockets" not in {stage.name for stage in plan.stages}


def test_a_kit_that_states_no_supply_is_still_checked_for_shorts() -> None:
    plan = make_plan(kit_of(IC), LOW)
    before = checks(plan, "Before power")
    assert ("each rail and 0 V", "> 200 ohm") in before
    assert ("each rail and each other rail", "> 200 ohm") in before
    assert ("each rail at each IC", "") in checks(plan, "First power")
    assert ("current from each rail", "") in checks(plan, "Power with everything in")


def test_a_current_in_words_is_quoted_and_not_turned_into_a_limit() -> None:
    plan = make_plan(kit_of(IC, supply=(Rail(name="+12 V", current="not stated"),)), LOW)
    current = next(s for s in plan.steps if s.value == "current from +12 V")
    assert current.expect == ""
    assert "not stated" in current.detail


def test_one_rail_has_no_other_rail_to_be_measured_against() -> None:
    plan = make_plan(kit_of(IC, supply=(Rail(name="9 V", current="10 mA"),)), LOW)
    assert [value for value, expect in checks(plan, "Before power") if expect] == ["9 V and 0 V"]


def test_a_winding_of_the_kit_is_not_taken_for_a_short() -> None:
    """Common practice, no source: a heater winding has tenths of an ohm and one end at 0 V."""
    rails = (Rail(name="6.3 V AC", current="1 A"), Rail(name="+12 V", current="20 mA"))
    wound = kit_of(IC, line("T1", "230 V to 6.3 V", "transformer"), supply=rails)
    asked = [place for place, expect in checks(make_plan(wound, LOW), "Before power") if "200 ohm" in expect]
    assert asked == ["+12 V and 0 V"]
    fed = [
        place for place, expect in checks(make_plan(kit_of(IC, supply=rails), LOW), "Before power") if expect
    ]
    assert "6.3 V AC and 0 V" in fed


@pytest.mark.parametrize("rail", ["mains", "230 V", "325 VDC", "+250 V", "0.3 kV"])
def test_no_live_measurement_is_proposed_in_a_kit_with_a_rail_that_can_kill(rail: str) -> None:
    """IEC 61140, from memory: extra-low voltage ends at 50 V alternating current."""
    apart = line("T1", "mains to 6.3 V", "transformer")
    kit = kit_of(IC, apart, supply=(Rail(name=rail, current="20 mA"), Rail(name="6.3 V", current="300 mA")))
    plan = make_plan(kit, LOW)
    powered = (stage_named(plan, "First power"), stage_named(plan, "Power with everything in"))
    live = [step.value for stage in powered for step in stage.steps]
    assert not any(rail in value for value in live)
    assert not any("6.3 V" in value for value in live)
    assert not any(rail in place and "200 ohm" in expect for place, expect in checks(plan, "Before power"))
    assert any(rail in remark and "Nothing is proposed" in remark for remark in plan.remarks)


def test_the_kits_check_at_the_same_place_replaces_the_usual_one() -> None:
    plan = make_plan(two_board_kit(), LOW)
    before = checks(plan, "Before power")
    assert ("0V and +12V", "> 400 ohm") in before
    assert ("+12 V and 0 V", "> 200 ohm") not in before
    assert ("-12 V and 0 V", "> 200 ohm") in before
    assert before[-1] == ("regulator U4 the right way round", "")
    own = next(s for s in stage_named(plan, "Before power").steps if s.value == "0V and +12V")
    assert own.line == 90
    assert "Supply unplugged" in own.detail


def test_what_needs_something_unplugged_is_checked_before_the_ics_go_in_and_the_rest_after() -> None:
    plan = make_plan(two_board_kit(), LOW)
    assert ("TP1", "5 V ± 4 %") in checks(plan, "First power")
    assert ("TP2", "2.5 V ± 2 %") in checks(plan, "Power with everything in")


def test_where_two_stages_hold_for_one_point_a_check_replaces_the_usual_one_of_its_place() -> None:
    own = HoldPoint(
        name="First power",
        checks=(
            Check(where="+12 V at each IC", expect="11.9 V ± 1 %"),
            Check(where="output", expect="0 V ± 1 V"),
        ),
    )
    plan = make_plan(kit_of(IC, supply=RAILS[:1], hold_points=(own,)), LOW)
    asked = {name: dict(checks(plan, name)) for name in ("First power", "Power with everything in")}
    assert asked["First power"]["+12 V at each IC"] == "11.9 V ± 1 %"
    assert "output" not in asked["First power"]
    assert "+12 V at each IC" not in asked["Power with everything in"]
    assert asked["Power with everything in"]["output"] == "0 V ± 1 V"


@pytest.mark.parametrize("name", ["Function", "FUNCTION", "does  it work", "Does it work"])
def test_a_hold_point_is_known_by_any_name_its_stage_holds_for(name: str) -> None:
    plan = make_plan(kit_of(IC, hold_points=(point(name, "the LED blinks"),)), LOW)
    assert ("the LED blinks", "") in checks(plan, "Does it work")
    assert not any("has no stage" in remark for remark in plan.remarks)


def test_a_hold_point_without_a_stage_gets_one_between_its_neighbours() -> None:
    kit = kit_of(
        IC, hold_points=(point("Before power", "a"), point("High voltage", "B+"), point("First power", "b")),
    )  # fmt: skip
    plan = make_plan(kit, LOW)
    names = [stage.name for stage in plan.stages]
    assert names[names.index("Before power") + 1] == "High voltage"
    assert stage_named(plan, "High voltage").hold
    (said,) = (each for each in plan.remarks if 'no stage for the hold point "High voltage"' in each)
    assert 'after "Before power"' in said


def test_a_procedure_without_hold_points_still_gets_the_kits_own() -> None:
    kit = kit_of(
        IC,
        hold_points=(point("Before power", "short?", unplug="ICs"), point("Function", "does it?")),
        trims=(Trim(name="Scale", kind="volts per octave"),),
    )
    plan = make_plan(kit, procedure_of(SOLDER_AND_INSERT))
    assert [stage.name for stage in plan.stages] == [
        "Solder", "Before power", "Insert", "Function", "Trim", "Close",
    ]  # fmt: skip
    assert sum("has no stage" in remark for remark in plan.remarks) == 3


def test_a_hold_point_without_checks_still_holds() -> None:
    kit = kit_of(IC, hold_points=(HoldPoint(name="Ask a friend", checks=()),))
    plan = make_plan(kit, LOW)
    assert checks(plan, "Ask a friend") == [("Ask a friend: everything is in order", "")]
    bare = make_plan(kit_of(IC), procedure_of(SOLDER_AND_INSERT + "  - {name: Stop, hold: stop}\n"))
    assert [step.action for step in stage_named(bare, "Stop").steps] == ["check"]


NAMES = ("Before power", "First power", "Function", "High voltage", "Close", "Insert", "Trim")


@settings(max_examples=60)
@given(
    names=st.lists(st.sampled_from(NAMES), unique=True),
    unplug=st.sampled_from(["", "ICs"]),
    procedure=st.sampled_from([LOW, FLOW, procedure_of(SOLDER_AND_INSERT)]),
    trims=st.integers(0, 2),
)
def test_no_hold_point_check_or_adjustment_of_a_kit_is_ever_dropped(
    names: list[str], unplug: str, procedure: Procedure, trims: int
) -> None:
    kit = kit_of(
        IC,
        hold_points=tuple(point(name, f"{name} one", f"{name} two", unplug=unplug) for name in names),
        trims=tuple(Trim(name="Scale") for _ in range(trims)),
    )
    plan = make_plan(kit, procedure)
    holding = [step.value for stage in plan.stages if stage.hold for step in stage.steps]
    for name in names:
        assert holding.count(f"{name} one") == holding.count(f"{name} two") == 1
    assert sum(step.action == "adjust" for step in plan.steps) == trims
    assert len({step.key for step in plan.steps}) == len(plan.steps)
    assert len({stage.key for stage in plan.stages}) == len(plan.stages)


def test_a_kit_that_can_kill_says_so_at_every_hold_point_and_defers_to_local_rules() -> None:
    kit = structs.replace(two_board_kit(), hazards=("mains", "high voltage", "stored charge"))
    plan = make_plan(kit, LOW)
    dangerous = [
        step
        for stage in plan.stages
        for step in stage.steps
        if stage.hold or step.action in ("insert", "adjust")
    ]
    assert dangerous
    for step in dangerous:
        said = " ".join(step.cautions)
        for word in ("Mains voltage can kill", "High voltage can kill", "bleed", "Local reg", "licensed"):
            assert word in said
    flat = stage_named(plan, "Parts that lie flat", "main")
    assert not any("kill" in caution for step in flat.steps for caution in step.cautions)


def test_a_hazard_nobody_foresaw_is_passed_on_in_the_makers_words() -> None:
    plan = make_plan(kit_of(IC, hazards=("laser light",)), LOW)
    assert "laser light" in stage_named(plan, "First power").steps[0].cautions[0]


def test_a_kit_without_hazards_is_not_frightened() -> None:
    said = {caution for step in make_plan(two_board_kit(), LOW).steps for caution in step.cautions}
    assert not any("kill " in caution and "voltage" in caution.casefold() for caution in said)


def test_each_adjustment_is_a_step_with_its_target_and_how_to_reach_it() -> None:
    scale, offset = stage_named(make_plan(two_board_kit(), LOW), "Trim").steps
    assert (scale.action, scale.value, scale.refs) == ("adjust", "Scale", ("RT1",))
    assert scale.expect == "1 V per octave"
    assert "0.1 %" in scale.detail
    assert "25 turns" in scale.detail
    assert (offset.expect, offset.detail) == ("0 V", "Turn until TP3 reads zero.")


@pytest.mark.parametrize(
    ("trim", "said"),
    [
        (Trim(name="Idle current", target="20 mA"), "thermal runaway"),
        (Trim(name="Bias", target="5 V"), "minimum-current end"),
        (Trim(name="Glow", target="5 V"), "Turn a little, wait until the reading is steady"),
        (Trim(name="Scale", kind="volts per octave"), "two control voltages one volt apart"),
    ],
)
def test_how_a_trimmer_is_set_depends_on_what_it_sets(trim: Trim, said: str) -> None:
    """That output stages run away when hot is common practice, no source."""
    assert said in how_to_trim(trim)
    assert ("runaway" in how_to_trim(trim)) is (trim.name in ("Idle current", "Bias"))


def test_two_adjustments_of_one_name_are_told_apart() -> None:
    kit = kit_of(IC, trims=(Trim(name="Gain", trimmer="RT1"), Trim(name="Gain", trimmer="RT2")))
    assert [(s.value, s.items) for s in stage_named(make_plan(kit, LOW), "Trim").steps] == [
        ("Gain", ("/!Trim!Gain",)), ("Gain (2)", ("/!Trim!Gain (2)",)),
    ]  # fmt: skip


def test_tasks_are_filled_from_the_kit_and_left_out_where_it_has_nothing_to_say() -> None:
    first = stage_named(make_plan(two_board_kit(), LOW), "Bag check").steps
    assert "R31 is printed R13" in first[0].detail
    assert any(step.detail == "iron, cutters" for step in first)
    silent = {step.value for step in stage_named(make_plan(kit_of(IC), LOW), "Bag check").steps}
    assert not silent & {"Mark the errata in the build guide", "Get the tools ready"}


def test_tasks_are_asked_for_only_where_the_kit_has_such_parts() -> None:
    def asked(kit: Kit) -> set[str]:
        return {step.value for step in make_plan(kit, LOW).steps if step.action == "do"}

    diode, resistor = line("D1", "1N4148", "diode"), line("R1", "1k", "resistor")
    assert asked(kit_of(diode)) - asked(kit_of(resistor)) == {"Test the diodes"}
    jack = line("J1", "3.5 mm", "jack socket")
    assert asked(kit_of(jack, resistor)) - asked(kit_of(resistor)) == {
        "Put the panel over all the parts", "Square up the parts, then tighten the nuts", "Tighten the nuts",
    }  # fmt: skip
    panel = line("", "drilled lid", "panel", quantity=1)
    assert "Put the panel over all the parts" not in asked(kit_of(jack, panel)), (
        "the panel is a step of its own"
    )


def test_tasks_name_the_kits_own_parts_and_the_pairs_that_are_mixed_up() -> None:
    kit = kit_of(
        line("R1", "47R", "resistor"), line("R2", "47k", "resistor"), line("R3", "130k", "resistor"),
        line("D1", "1N5817", "Schottky diode"), line("D2", "1N4148", "diode"), line("D3", "1N4148", "diode"),
    )  # fmt: skip
    said = {step.value: step.detail for step in stage_named(make_plan(kit, LOW), "Measure ahead").steps}
    assert said["Separate the look-alikes"].endswith("47R and 47k.")
    assert said["Test the diodes"].endswith("1N5817 D1 (Schottky diode); 1N4148 D2, D3 (diode).")
    plain = stage_named(make_plan(kit_of(line("R1", "47R", "resistor")), LOW), "Measure ahead").steps
    assert [step.value for step in plain] == ["Measure the resistors"], "one value is mixed up with nothing"


def test_a_step_says_the_erratum_that_names_its_part() -> None:
    kit = kit_of(line("Q1", "BC337", "transistor"), line("R1", "1k", "resistor"), errata=("Q1 is turned.",))
    said = {step.refs: step.detail for step in make_plan(kit, LOW).steps if step.refs}
    assert said["Q1",] == "Erratum: Q1 is turned."
    assert not said["R1",]


def test_optional_hardware_is_called_by_its_kind_where_it_has_no_value() -> None:
    more = (line("", value, kind, quantity=2, optional=True) for value, kind in (("", "screw"), ("M3", "nut")))
    kit = kit_of(IC, *more)
    assert "Optional: main screw, M3" in make_plan(kit, LOW).remarks


def test_a_procedure_that_checks_no_rail_says_nothing_of_what_it_proposes_for_one() -> None:
    kit = kit_of(line("R1", "10k", "resistor"), supply=(Rail(name="+300 V", current="10 mA"),))
    plans = (
        make_plan(kit, each) for each in (procedure_of("  - {name: Solder, takes: [{height: 1-9}]}\n"), LOW)
    )
    assert [any("Nothing is proposed" in each for each in plan.remarks) for plan in plans] == [False, True]


def test_remarks_say_what_was_guessed_what_is_misprinted_and_what_is_optional() -> None:
    assert make_plan(two_board_kit(), LOW).remarks == (
        "Known erratum: R31 is printed R13 on the main board",
        "Kind of part guessed from designator and value: main D1, D2",
        "Number of joints guessed from kind and package: main Q1",
        "Optional: control S1",
    )


def test_a_passive_kit_keeps_its_own_checks_and_gets_no_stage_of_power() -> None:
    kit = load_kit(shipped_kits_folder() / "passive-splitter.yaml")
    stages = [stage for stage in make_plan(kit, LOW).stages if stage.hold]
    holds = {stage.name: [step.value for step in stage.steps] for stage in stages}
    own = [check.where for check in kit.hold_points[0].checks]
    assert kit.passive
    assert holds["Before power"] == own
    assert not [name for name in holds if "power" in name.casefold() and name != "Before power"]
