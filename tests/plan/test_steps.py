"""Steps: which parts are placed together, in which order, in what portions, with which words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bench.kit.kit import Rail
from bench.parts.advice import cautions_about
from bench.parts.kinds import KINDS
from bench.plan.stages import make_plan
from tests.support.plans import ALL, LOW, part_steps, procedure_of, stage_named, words
from tests.support.simulated_kits import kit_of, line, two_board_kit


def test_a_value_on_two_lines_is_one_step_however_it_is_written() -> None:
    """IEC 60062: 4k7 is 4.7 kilohms."""
    plan = make_plan(two_board_kit(), LOW)
    flat = stage_named(plan, "Parts that lie flat", "main")
    assert flat.steps[0].value == "4k7"
    assert flat.steps[0].refs == ("R1", "R2", "R3", "R4", "R10")
    assert flat.steps[0].joints == 10


@pytest.mark.parametrize(
    "other",
    [
        {"tolerance": "5 %"}, {"package": "0207"}, {"mount": "upright", "height": 1}, {"cautions": ("hot",)},
        {"marking": "472"}, {"optional": True}, {"voltage": "50 V"}, {"joints": 3},
    ],
)  # fmt: skip
def test_parts_that_differ_in_anything_the_builder_must_see_are_steps_of_their_own(
    other: dict[str, object],
) -> None:
    alike, unlike = line("R1", "4k7", "resistor"), line("R2", "4k7", "resistor", **other)
    plan = make_plan(kit_of(alike, unlike), procedure_of(ALL))
    assert [step.refs for step in plan.steps] == [("R1",), ("R2",)]


def test_sections_part_a_value_only_where_the_stage_works_by_section() -> None:
    kit = kit_of(
        line("R1", "1k", "resistor", section="core"), line("R2", "1k", "resistor", section="power"),
        sections=("power", "core"),
    )  # fmt: skip
    assert words(make_plan(kit, procedure_of(ALL)).steps) == [("1k", "R1 R2")]
    by_section = procedure_of(ALL + "    order: [section, kind]\n")
    assert words(make_plan(kit, by_section).steps) == [("1k", "R2"), ("1k", "R1")]


def test_values_come_in_the_order_of_their_size_and_texts_in_natural_order_after_them() -> None:
    kit = kit_of(
        *(line(f"R{at}", value, "resistor") for at, value in enumerate(("1M", "56k", "3k3", "100R", "R47"))),
        *(line(f"U{at}", value, "IC") for at, value in enumerate(("TL074", "CD4001", "TL72", "CD40106"))),
    )
    plan = make_plan(kit, procedure_of("  - {name: A, takes: [{kind: [resistor, IC]}]}\n"))
    assert [step.value for step in plan.steps] == [
        "R47", "100R", "3k3", "56k", "1M", "CD4001", "CD40106", "TL72", "TL074",
    ]  # fmt: skip


def test_kinds_come_in_the_order_in_which_the_rule_lists_them() -> None:
    kit = kit_of(line("R1", "1k", "resistor"), line("D1", "1N4148", "diode"), line("F1", "x", "ferrite bead"))
    for order in (["diode", "resistor", "ferrite bead"], ["ferrite bead", "diode", "resistor"]):
        plan = make_plan(kit, procedure_of(f"  - {{name: A, takes: [{{kind: [{', '.join(order)}]}}]}}\n"))
        assert [step.kind for step in plan.steps] == order


def test_more_parts_than_fit_in_a_step_are_dealt_out_evenly() -> None:
    kit = kit_of(line(" ".join(f"R{n}" for n in range(1, 22)), "1k", "resistor"))
    steps = make_plan(kit, procedure_of(ALL)).steps
    assert [len(step.refs) for step in steps] == [7, 7, 7]
    assert [(step.portion, step.portions, step.joints) for step in steps] == [
        (1, 3, 14), (2, 3, 14), (3, 3, 14),
    ]  # fmt: skip
    assert steps[0].refs[-1] == "R7"
    assert [len(step.refs) for step in make_plan(kit, procedure_of(ALL), 4).steps] == [4, 4, 4, 3, 3, 3]


@given(st.integers(1, 300), st.integers(1, 40))
def test_portions_differ_by_one_at_most_and_none_is_too_large(count: int, size: int) -> None:
    kit = kit_of(line(" ".join(f"R{n}" for n in range(count)), "1k", "resistor"))
    dealt = [len(step.refs) for step in make_plan(kit, procedure_of(ALL), size).steps]
    assert sum(dealt) == count
    assert max(dealt) <= size
    assert max(dealt) - min(dealt) <= 1
    assert len(dealt) == -(-count // size)


def test_a_socketed_ic_is_a_socket_to_solder_and_an_ic_to_push_in_one_at_a_time() -> None:
    plan = make_plan(two_board_kit(), LOW)
    sockets = stage_named(plan, "Sockets and soldered ICs", "main")
    assert [(s.kind, s.value, s.refs, s.joints, s.items) for s in sockets.steps] == [
        ("IC socket", "DIP-8", ("U1", "U3"), 16, ("main/U1#socket", "main/U3#socket")),
        ("IC socket", "DIP-14", ("U2",), 14, ("main/U2#socket",)),
    ]
    ics = stage_named(plan, "ICs into their sockets", "main")
    assert [(s.action, s.kind, s.value, s.items, s.joints) for s in ics.steps] == [
        ("insert", "IC", "TL072", ("main/U1",), 0),
        ("insert", "IC", "TL072", ("main/U3",), 0),
        ("insert", "IC", "TL074", ("main/U2",), 0),
    ]


def test_a_valve_goes_into_a_valve_socket() -> None:
    kit = kit_of(line("V1", "ECC83", "valve", socket="noval-9"))
    assert [(step.kind, step.joints) for step in part_steps(make_plan(kit, LOW))] == [
        ("valve socket", 9), ("valve", 0),
    ]  # fmt: skip


def test_hardware_without_designators_is_numbered_through() -> None:
    kit = kit_of(
        line("", "M3x6", "screw", quantity=2), line("", "M3x6", "screw", quantity=3, cautions=("short",)),
        line("", "", "panel", quantity=1),
    )  # fmt: skip
    plan = make_plan(kit, procedure_of(ALL + "    action: fit\n"))
    assert sorted(item for step in plan.steps for item in step.items) == [
        "main/~M3x6~1", "main/~M3x6~2", "main/~M3x6~3", "main/~M3x6~4", "main/~M3x6~5", "main/~panel~1",
    ]  # fmt: skip
    assert [(step.value, step.action, step.refs) for step in plan.steps if step.kind == "panel"] == [
        ("panel", "fit", ())
    ]


@pytest.mark.parametrize(("many", "named"), [(1, "M3x10 spacer"), (2, "2 x M3x10 spacer")])
def test_several_of_what_has_no_designators_are_told_by_their_number(many: int, named: str) -> None:
    kit = kit_of(line("", "M3x10 spacer", "spacer", quantity=many))
    (step,) = make_plan(kit, procedure_of(ALL + "    action: fit\n")).steps
    assert step.named == named


def test_cautions_come_from_kit_then_stage_then_kind_each_once() -> None:
    kind = KINDS["electrolytic capacitor"]
    own = ("mind the heat", *kind.cautions[:1])
    kit = kit_of(line("C1", "10u", kind.name, cautions=own), line("R1", "1k", "resistor"))
    rules = ALL + "    cautions: [Mind the  heat, slow, {say: marked, when: {kind: electrolytic capacitor}}]\n"
    capacitor = next(step for step in make_plan(kit, procedure_of(rules)).steps if step.refs == ("C1",))
    assert capacitor.cautions == (*own, "slow", "marked", *kind.cautions[1:])
    assert capacitor.orientation == kind.orientation
    resistor = next(step for step in make_plan(kit, procedure_of(rules)).steps if step.refs == ("R1",))
    assert resistor.cautions == ("Mind the  heat", "slow", *cautions_about("resistor", "1k"))


@pytest.mark.parametrize(
    ("rails", "ac"), [(("12 V AC",), True), (("+9 V",), False), (("12 V AC", "+9 V"), False), ((), False)]
)
def test_a_supply_socket_is_called_an_ac_one_where_all_of_the_supply_is(
    rails: tuple[str, ...], ac: bool
) -> None:
    supply = tuple(Rail(name=rail, current="100 mA") for rail in rails)
    (step,) = make_plan(kit_of(line("J1", "2.1 mm", "DC socket"), supply=supply), procedure_of(ALL)).steps
    said = " ".join(step.cautions)
    assert ("a DC one looks the same" in said) is ac
    assert ("Measure the plug's polarity" in said) is not ac


def test_what_the_kit_says_of_a_part_is_on_its_step() -> None:
    kit = kit_of(
        line("C3", "10u", "electrolytic capacitor", voltage="25 V", tolerance="20 %", package="radial 5 mm",
             marking="10/25", mount="laid flat", kind_guessed=True, joints_guessed=True, optional=True, line=17,
             note="near the edge"),
    )  # fmt: skip
    (step,) = make_plan(kit, procedure_of(ALL)).steps
    assert (step.voltage, step.tolerance, step.package, step.marking, step.mount, step.line) == (
        "25 V", "20 %", "radial 5 mm", "10/25", "laid flat", 17,
    )  # fmt: skip
    assert step.kind_guessed
    assert step.optional
    assert step.detail == "near the edge"


def test_notes_that_differ_are_given_with_their_designators() -> None:
    panel = stage_named(make_plan(two_board_kit(), LOW), "Solder the panel parts", "control")
    assert next(step.detail for step in panel.steps if step.kind == "potentiometer") == (
        "On the panel: RV1: FREQ; RV2: FINE"
    )


def test_a_part_without_joints_in_a_soldering_stage_is_fitted() -> None:
    (step,) = make_plan(kit_of(line("H1", "clip", "heatsink", joints=0)), procedure_of(ALL)).steps
    assert (step.action, step.joints) == ("fit", 0)


def test_joints_are_counted_where_the_procedure_asks_and_there_are_any() -> None:
    own = procedure_of(
        """
  - {name: Counted, takes: [{kind: resistor}], count joints: yes}
  - {name: Screwed, takes: [{kind: screw}], count joints: yes}
  - {name: Others, takes: [{height: 1-9}]}
"""
    )
    screw = line("", "M3", "screw", joints=0, quantity=2)
    plan = make_plan(kit_of(line("R1", "1k", "resistor"), screw, line("D1", "1N4148", "diode")), own)
    assert [(stage.name, stage.count_joints) for stage in plan.stages] == [
        ("Counted", True), ("Screwed", False), ("Others", False),
    ]  # fmt: skip


def test_what_is_said_of_an_ic_depends_on_whether_it_is_pushed_in_or_soldered() -> None:
    chips = (line("U1", "TL072", "IC", socket="DIP-8", joints=0), line("U2", "NE555", "IC", joints=8))
    steps = {step.refs[0]: " ".join(step.cautions) for step in part_steps(make_plan(kit_of(*chips), LOW))
             if step.kind == "IC"}  # fmt: skip
    pushed, soldered = "when all checks before it are met", "it rarely comes out intact"
    assert (pushed in steps["U1"], soldered in steps["U1"]) == (True, False)
    assert (pushed in steps["U2"], soldered in steps["U2"]) == (False, True)


def test_a_stage_for_each_section_is_named_after_it_even_where_its_name_has_no_gap() -> None:
    own = procedure_of("  - {name: Low, section: each, takes: [{height: 1-9}]}\n")
    kit = kit_of(line("R1", "1k", "resistor", section="core"), sections=("core",))
    assert [stage.name for stage in make_plan(kit, own).stages] == ["Core: Low"]
