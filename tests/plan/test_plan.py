"""Plans: parts into steps, steps into stages, nothing lost and nothing twice."""

from __future__ import annotations

import random
import time
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import structs

from bench.errors import FileFaults, SoldersideError
from bench.kit.kit import Board, Kit, PartLine
from bench.kit.load import load_kit
from bench.parts.kinds import KINDS, MOUNTS
from bench.plan.grouping import placements_of
from bench.plan.plan import ACTIONS, Plan
from bench.plan.rules import Procedure
from bench.plan.stages import make_plan
from tests.support.plans import ALL, FLOW, INSERT, LOW, part_steps, procedure_of
from tests.support.simulated_kits import kit_of, large_kit, line, one_of_each, two_board_kit

BOTH = pytest.mark.parametrize("procedure", [LOW, FLOW], ids=["low to high", "signal flow"])
KITS = Path(__file__).parents[2] / "kits"


def assert_complete(kit: Kit, plan: Plan) -> None:
    """Each part of the kit soldered, fitted or inserted exactly once, each socket once, joints all there."""
    wanted: Counter[str] = Counter()
    joints = 0
    for board in kit.boards:
        hardware: Counter[str] = Counter()
        for part in board.parts:
            names = list(part.refs)
            if not names:
                stem = f"~{part.value or part.kind}~"
                names = [f"{stem}{hardware[stem] + n}" for n in range(1, part.quantity + 1)]
                hardware[stem] += part.quantity
            wanted.update(f"{board.name}/{name}" for name in names)
            wanted.update(f"{board.name}/{name}#socket" for name in names if part.socket)
            joints += part.quantity * (part.joints + part.socket_joints)
    steps = [step for step in part_steps(plan) if step.action != "place"]
    assert Counter(item for step in steps for item in step.items) == wanted
    assert set(wanted.values()) <= {1}
    assert sum(step.joints for step in steps) == plan.joints == joints
    assert plan.count.total == wanted.total()
    finished: set[str] = set()
    for step in part_steps(plan):
        for item in step.items:
            if step.action == "place":
                assert item.endswith("#placed")
                assert item.removesuffix("#placed") not in finished, "placed after it was soldered"
            if step.action == "insert" and f"{item}#socket" in wanted:
                assert f"{item}#socket" in finished, "inserted before its socket was soldered"
        finished.update(step.items)
    for item in finished:
        if item.endswith("#placed"):
            assert item.removesuffix("#placed") in finished, "placed and never soldered"


def assert_sound(plan: Plan) -> None:
    """What must be true of every plan."""
    keys = [step.key for step in plan.steps]
    assert len(set(keys)) == len(keys)
    assert len({stage.key for stage in plan.stages}) == len(plan.stages)
    items = Counter(item for step in plan.steps for item in step.items)
    assert set(items.values()) <= {1}
    for stage in plan.stages:
        assert stage.steps
        assert stage.joints == sum(step.joints for step in stage.steps)
        for step in stage.steps:
            assert (step.stage, step.board) == stage.key
            assert step.action in ACTIONS
            if step.action in ("solder", "fit", "insert", "place"):
                assert len(step.refs) in (0, len(step.items))
            assert len({caution.casefold() for caution in step.cautions}) == len(step.cautions)


@st.composite
def kits(draw: st.DrawFn) -> Kit:
    """Kits of one to three boards that reuse designators, with sockets, hardware and every kind and mount."""
    boards = []
    for name in ("main", "control", "output")[: draw(st.integers(1, 3))]:
        lines: list[PartLine] = []
        number = 0
        for _ in range(draw(st.integers(0, 8))):
            kind = draw(st.sampled_from(sorted(KINDS)))
            count = draw(st.integers(1, 25))
            lettered = draw(st.booleans())
            refs = " ".join(f"X{number + at}" for at in range(count)) if lettered else ""
            number += count
            lines.append(
                line(
                    refs,
                    draw(st.sampled_from(["4k7", "4.7k", "47k", "TL072", "", "100n"])),
                    kind,
                    quantity=count,
                    mount=draw(st.sampled_from(MOUNTS)),
                    joints=draw(st.integers(0, 4)),
                    socket=draw(st.sampled_from(["", "", "DIP-8"])),
                    tolerance=draw(st.sampled_from(["", "1 %"])),
                    cautions=draw(st.sampled_from([(), ("mind the tab",)])),
                    section=draw(st.sampled_from(["", "power", "core"])),
                    optional=draw(st.booleans()),
                    height=draw(st.integers(1, 9)),
                )
            )
        boards.append(Board(name=name, parts=tuple(lines)))
    return Kit(name="Random", boards=tuple(boards), sections=draw(st.sampled_from([(), ("core", "power")])))


@BOTH
@settings(max_examples=60)
@given(kit=kits(), step_size=st.sampled_from([None, 1, 3, 10]))
def test_no_part_of_a_random_kit_is_lost_or_planned_twice(
    procedure: Procedure, kit: Kit, step_size: int | None
) -> None:
    plan = make_plan(kit, procedure, step_size)
    assert_complete(kit, plan)
    assert_sound(plan)
    assert make_plan(kit, procedure, step_size) == plan


@BOTH
def test_one_part_of_every_kind_in_every_mount_height_and_socket_is_planned(procedure: Procedure) -> None:
    kit = one_of_each()
    plan = make_plan(kit, procedure)
    assert_complete(kit, plan)
    assert_sound(plan)


@BOTH
def test_all_that_has_joints_is_soldered_before_power_and_ics_go_in_after_the_rails_are_checked(
    procedure: Procedure,
) -> None:
    """Common practice, no source: nothing is powered before the supply was measured for shorts."""
    plan = make_plan(one_of_each(), procedure)
    names = [stage.name for stage in plan.stages]
    before, first = names.index("Before power"), names.index("First power")
    soldering = [at for at, stage in enumerate(plan.stages) if any(s.action == "solder" for s in stage.steps)]
    inserting = [
        at
        for at, stage in enumerate(plan.stages)
        if any(s.action == "insert" for s in stage.steps) and stage.name != "Fuses and links"
    ]
    assert names.index("Fuses and links") < before
    assert max(soldering) < before < first < min(inserting) < names.index("Power with everything in")
    assert names.index("Power with everything in") < names.index("Does it work")


@BOTH
@pytest.mark.parametrize("path", sorted(KITS.glob("*.yaml")), ids=lambda path: path.stem)
def test_the_example_kits_are_planned_whole(path: Path, procedure: Procedure) -> None:
    kit = load_kit(path)
    plan = make_plan(kit, procedure)
    assert_complete(kit, plan)
    assert_sound(plan)


def test_low_to_high_places_parts_in_the_order_of_the_trade() -> None:
    """Common practice, no source: flat parts, sockets, small capacitors, upright parts, headers and
    electrolytics, panel parts; those only set in, then the panel, then soldered; knobs at the very end."""
    plan = make_plan(two_board_kit(), LOW)
    position = {item: at for at, step in enumerate(plan.steps) for item in step.items}
    order = [
        "main/D1", "main/U1#socket", "main/C1", "main/Q1", "main/J2", "main/C3", "control/RV1#placed",
        "control/~panel~1", "control/RV1", "control/~M3x11~1", "main/U1", "/!Trim!Scale", "control/~black~1",
    ]  # fmt: skip
    assert [position[item] for item in order] == sorted(position[item] for item in order)
    assert position["main/R1"] < position["main/U1#socket"]
    assert position["main/!Look over and clean!Wash off the flux"] < position["control/RV1#placed"]


def test_a_stage_runs_on_every_board_before_the_next_stage_begins() -> None:
    kit = Kit(
        name="Two",
        boards=tuple(
            Board(name=name, parts=(line("R1", "1k", "resistor"), line("C1", "100n", "ceramic capacitor")))
            for name in ("main", "control")
        ),
    )
    soldering = [stage.key for stage in make_plan(kit, LOW).stages if stage.joints]
    assert soldering == [
        ("Parts that lie flat", "main"), ("Parts that lie flat", "control"),
        ("Small capacitors and crystals", "main"), ("Small capacitors and crystals", "control"),
    ]  # fmt: skip


def test_signal_flow_goes_section_by_section_each_from_low_to_high() -> None:
    plan = make_plan(two_board_kit(), FLOW)
    heard = [stage.name for stage in plan.stages if stage.joints]
    assert heard == [
        "Power: low parts", "Power: small parts", "Power: tall parts", "Converter: low parts",
        "Converter: small parts", "Core: low parts", "Core: small parts", "Shapers: low parts",
        "Other low parts", "Other tall parts", "Other tall parts", "Solder the panel parts",
    ]  # fmt: skip


def test_signal_flow_without_sections_still_takes_every_part_and_says_so() -> None:
    kit = kit_of(line("R1", "1k", "resistor"))
    plan = make_plan(kit, FLOW)
    assert [stage.name for stage in plan.stages if stage.joints] == ["Other low parts"]
    assert any("no sections" in remark for remark in plan.remarks)
    assert not any("no sections" in remark for remark in make_plan(two_board_kit(), FLOW).remarks)


def test_the_plan_does_not_depend_on_the_order_of_lines_in_the_kit_file() -> None:
    kit = two_board_kit()
    dice = random.Random(5)
    for procedure in (LOW, FLOW):
        usual = make_plan(kit, procedure)
        boards = tuple(
            structs.replace(board, parts=tuple(dice.sample(board.parts, len(board.parts))))
            for board in kit.boards
        )
        assert make_plan(structs.replace(kit, boards=boards), procedure).stages == usual.stages


def test_a_socket_is_soldered_to_its_board_and_is_neither_lid_nor_panel_nor_off_the_board() -> None:
    sockets = [each for each in placements_of(two_board_kit()) if each.is_socket]
    assert sockets
    for each in sockets:
        assert not any((each.socketed, each.closes_box, each.carries_panel, each.surface, each.wired))


def test_designators_that_occur_on_two_boards_are_kept_apart() -> None:
    plan = make_plan(two_board_kit(), LOW)
    assert {step.board for step in plan.steps for item in step.items if item.endswith("/R1")} == {
        "main", "control",
    }  # fmt: skip
    module_wide = make_plan(two_board_kit(), procedure_of(ALL + "    per: module\n" + INSERT))
    resistors = [step for step in module_wide.steps if step.value == "4k7"]
    assert [step.items for step in resistors] == [
        ("main/R1", "main/R2", "main/R3", "main/R4", "main/R10"), ("control/R1", "control/R2"),
    ]  # fmt: skip
    assert [step.detail for step in resistors] == ["Listed under main.", "Listed under control."]
    assert not any(
        "Listed under" in step.detail for step in make_plan(two_board_kit(), LOW).steps if step.board
    )
    kit = structs.replace(two_board_kit(), boards=two_board_kit().boards[:1])
    alone = make_plan(kit, procedure_of(ALL + "    per: module\n" + INSERT))
    assert not any("Listed under" in step.detail for step in alone.steps)
    assert_sound(module_wide)


def test_joints_are_counted_only_where_some_are_made() -> None:
    plan = make_plan(two_board_kit(), LOW)
    assert {stage.name for stage in plan.stages if stage.joints} == {
        stage.name for stage in plan.stages if stage.count_joints
    }


def test_cautions_about_stacked_boards_are_given_only_in_kits_of_several_boards() -> None:
    def said(kit: Kit) -> bool:
        return any("stacked" in caution for step in make_plan(kit, LOW).steps for caution in step.cautions)

    standing = line("C1", "10u", "electrolytic capacitor")
    assert not said(kit_of(standing))
    both = (Board(name="main", parts=(standing,)), Board(name="control", parts=(standing,)))
    assert said(Kit(name="Two", boards=both))


def test_a_part_that_no_stage_takes_is_a_fault_that_names_its_line() -> None:
    kit = kit_of(
        line("R1 R2 R3", "1k", "resistor", line=12), line("D1", "1N4148", "diode", line=13),
        line("U1", "TL072", "IC", socket="DIP-8", line=14), file="my.yaml",
    )  # fmt: skip
    with pytest.raises(FileFaults) as caught:
        make_plan(kit, procedure_of("  - {name: A, takes: [{kind: [diode, IC socket]}]}\n"))
    found = [(fault.where, fault.what) for fault in caught.value.faults]
    assert [where for where, _ in found] == ["my.yaml:12", "my.yaml:14"]
    assert "'mine' takes main: R1-R3 1k (resistor, flat)" in found[0][1]
    assert "kind: resistor, mount: flat" in caught.value.faults[0].hint
    assert "puts into its socket main: U1" in found[1][1]
    assert "action: insert" in caught.value.faults[1].hint


def test_a_part_that_is_placed_and_never_soldered_is_a_fault() -> None:
    kit = kit_of(line("J1", "3.5 mm", "jack socket"))
    stages = "  - {name: A, takes: [{mount: panel}], action: place}\n  - {name: B, takes: [{kind: diode}]}\n"
    with pytest.raises(FileFaults, match=r"solders main: J1.*later stage has to take it"):
        make_plan(kit, procedure_of(stages))


def test_a_step_size_below_one_is_refused_and_none_leaves_it_to_the_procedure() -> None:
    kit = kit_of(line("R1 R2 R3", "1k", "resistor"))
    with pytest.raises(SoldersideError, match="a step of -1 parts"):
        make_plan(kit, LOW, -1)
    for unset in (None, 0):
        assert len(make_plan(kit, procedure_of(ALL, step_size=2), unset).steps) == 2


def test_an_empty_kit_has_a_plan_without_joints() -> None:
    plan = make_plan(kit_of(), LOW)
    assert (plan.joints, plan.count.total) == (0, 0)
    assert_sound(plan)


@BOTH
def test_a_kit_of_400_parts_is_planned_whole(procedure: Procedure) -> None:
    kit = large_kit(400)
    assert_complete(kit, make_plan(kit, procedure))


def test_a_kit_of_many_boards_takes_time_in_step_with_their_number() -> None:
    """Time of the processor, the better of two runs: four times the boards, not sixteen times the time."""

    def seconds(boards: int) -> float:
        def once() -> float:
            kit = Kit(
                name=f"{boards}",
                boards=tuple(
                    Board(name=f"b{n}", parts=(line("R1", "10k", "resistor"),)) for n in range(boards)
                ),
            )
            began = time.process_time()
            make_plan(kit, LOW)
            return time.process_time() - began

        return min(once(), once())

    assert seconds(1200) < 9 * seconds(300)
