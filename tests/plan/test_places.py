"""Positions in a plan: short hops, neighbourhoods, sides, zones; and nothing of it without positions."""

from __future__ import annotations

import random
from itertools import pairwise
from pathlib import Path

import pytest
from msgspec.structs import replace

from bench.kit.kit import Board, Kit, PartLine, Trim
from bench.plan.nearby import spots_in
from bench.plan.path import Point, length
from bench.plan.plan import Plan, Step, part_of
from bench.plan.procedure import load_procedure, shipped_procedures
from bench.plan.rules import Procedure
from bench.plan.set_apart import alike
from bench.plan.stages import make_plan
from tests.support.kit_values import METRONOME, OSCILLATOR, shipped
from tests.support.plans import ALL, FLOW, LOW, part_steps, procedure_of, words
from tests.support.simulated_kits import kit_of, line, two_board_kit

BOTH = pytest.mark.parametrize("procedure", [LOW, FLOW], ids=["low to high", "signal flow"])


def stripped(kit: Kit) -> Kit:
    """The kit without positions, sides and sizes."""
    boards = (
        replace(board, size=None, parts=tuple(replace(part, positions=(), sides=()) for part in board.parts))
        for board in kit.boards
    )
    return replace(kit, boards=tuple(boards))


def scattered(kit: Kit, seed: int = 1) -> Kit:
    """The kit with a place by chance for each designator."""
    chance = random.Random(seed)

    def placed(part: PartLine) -> PartLine:
        places = tuple((chance.uniform(0, 60), chance.uniform(0, 100)) for _ in part.refs)
        return replace(part, positions=places)

    return replace(kit, boards=tuple(replace(b, parts=tuple(map(placed, b.parts))) for b in kit.boards))


def ways(kit: Kit, steps: tuple[Step, ...] | list[Step]) -> list[Point]:
    """Where the hand goes over these steps."""
    places = spots_in(kit).places
    return [places[part_of(item)] for step in steps for item in step.items if part_of(item) in places]


def row(many: int, **fields: object) -> PartLine:
    return line(" ".join(f"R{number}" for number in range(1, many + 1)), "1k", "resistor", **fields)


@BOTH
@pytest.mark.parametrize("path", [OSCILLATOR, METRONOME])
def test_without_positions_the_steps_stand_in_natural_order_and_name_no_zone(
    procedure: Procedure, path: Path
) -> None:
    plan = make_plan(stripped(shipped(path)), procedure)
    assert not any(step.zones or step.side for step in plan.steps)
    assert all(list(step.refs) == sorted(step.refs, key=_number) for step in part_steps(plan))


def _number(ref: str) -> tuple[str, int]:
    letters = ref.rstrip("0123456789")
    return letters, int(ref[len(letters) :])


@BOTH
@pytest.mark.parametrize("kit", [stripped(shipped(OSCILLATOR)), two_board_kit()], ids=["demo", "made up"])
def test_positions_change_the_order_within_steps_and_nothing_else(procedure: Procedure, kit: Kit) -> None:
    before, after = make_plan(kit, procedure), make_plan(scattered(kit), procedure)

    def bare(plan: Plan) -> list[Step]:
        return [
            replace(step, refs=tuple(sorted(step.refs)), items=tuple(sorted(step.items)), zones=())
            for step in plan.steps
        ]

    def parts(steps: list[Step]) -> list[Step]:
        return sorted(steps, key=lambda step: (step.stage, step.board, step.key))

    assert parts(bare(before)) == parts(bare(after))
    assert [(s.stage, s.board, s.kind, s.value) for s in before.steps] == [
        (s.stage, s.board, s.kind, s.value) for s in after.steps
    ]


@BOTH
def test_the_hand_never_moves_further_within_a_step_than_in_natural_order(procedure: Procedure) -> None:
    kit = shipped(OSCILLATOR)
    plan = make_plan(kit, procedure)
    saved = 0.0
    for step in part_steps(plan):
        natural = sorted(zip(step.refs, step.items, strict=False), key=lambda pair: _number(pair[0]))
        given = length(ways(kit, [replace(step, items=tuple(item for _, item in natural))]))
        walked = length(ways(kit, [step]))
        assert walked <= given + 1e-9
        saved += given - walked
    assert saved > 0


def test_a_value_dealt_out_over_steps_is_dealt_by_neighbourhood() -> None:
    """Two clusters with designators in turn: each step stays in one of them."""
    places = tuple((float(10 * (at % 2) * 10), float(at)) for at in range(8))
    plan = make_plan(kit_of(row(8, positions=places)), procedure_of(ALL, step_size=4))
    assert [sorted(step.refs) for step in plan.steps] == [["R1", "R3", "R5", "R7"], ["R2", "R4", "R6", "R8"]]
    assert [(step.portion, step.portions) for step in plan.steps] == [(1, 2), (2, 2)]
    assert len({step.key for step in plan.steps}) == 2


def test_the_next_step_begins_at_the_end_that_is_nearer_to_the_hand() -> None:
    kit = kit_of(
        line("R1 R2", "1k", "resistor", positions=((0.0, 0.0), (50.0, 0.0))),
        line("R3 R4", "2k", "resistor", positions=((0.0, 5.0), (50.0, 5.0))),
    )
    assert words(make_plan(kit, procedure_of(ALL)).steps) == [("1k", "R1 R2"), ("2k", "R4 R3")]


def test_values_of_equal_rank_follow_one_another_in_short_hops() -> None:
    values = ["1k", "3k3", "560R", "820R"]
    across = [0.0, 40.0, 10.0, 30.0]
    kit = kit_of(
        *(
            line(f"R{at}", value, "resistor", positions=((x, 0.0),))
            for at, (value, x) in enumerate(zip(values, across, strict=True), 1)
        )
    )
    by_kind = procedure_of(ALL + "    order: [kind]\n")
    assert [step.refs[0] for step in make_plan(kit, by_kind).steps] == ["R1", "R3", "R4", "R2"]
    by_value = procedure_of(ALL + "    order: [kind, value]\n")
    assert [step.value for step in make_plan(kit, by_value).steps] == ["560R", "820R", "1k", "3k3"]


def test_a_stage_that_goes_by_designator_keeps_its_order() -> None:
    kit = kit_of(row(3, positions=((0.0, 0.0), (50.0, 0.0), (1.0, 0.0))))
    by_designator = procedure_of(ALL + "    order: [kind, designator]\n")
    assert words(make_plan(kit, by_designator).steps) == [("1k", "R1 R2 R3")]


def test_look_alikes_do_not_come_together_for_the_sake_of_a_shorter_way() -> None:
    values = {"4k7": 0.0, "47k": 1.0, "330R": 30.0, "820R": 60.0}
    kit = kit_of(
        *(
            line(f"R{at}", value, "resistor", tolerance="1 %", positions=((x, 0.0),))
            for at, (value, x) in enumerate(values.items(), 1)
        )
    )
    for order in ("[kind]", "[kind, value]"):
        steps = make_plan(kit, procedure_of(ALL + f"    order: {order}\n")).steps
        assert any(step.alike for step in steps)
        assert not any(alike(one, other) for one, other in pairwise(steps)), order


def test_the_demo_kit_keeps_its_look_alikes_apart_with_positions_as_without() -> None:
    for procedure in map(load_procedure, shipped_procedures().values()):
        with_places, without = make_plan(shipped(OSCILLATOR), procedure), make_plan(
            stripped(shipped(OSCILLATOR)), procedure
        )  # fmt: skip
        pairs = [
            sum(alike(one, other) for one, other in pairwise(plan.steps)) for plan in (with_places, without)
        ]
        assert pairs[0] <= pairs[1]


# -- sides ------------------------------------------------------------------------------------------
def test_parts_on_the_other_side_of_a_board_are_steps_of_their_own_after_all_of_the_first_side() -> None:
    kit = kit_of(
        row(4, sides=("front", "back", "front", "back")),
        line("R5", "10k", "resistor", sides=("front",)),
        line("R6", "22k", "resistor", sides=("back",)),
    )
    plan = make_plan(kit, procedure_of(ALL))
    assert [(step.value, step.refs, step.side) for step in plan.steps] == [
        ("1k", ("R1", "R3"), "front"),
        ("10k", ("R5",), "front"),
        ("1k", ("R2", "R4"), "back"),
        ("22k", ("R6",), "back"),
    ]
    assert sum(len(step.items) for step in plan.steps) == 6


def test_in_a_stage_for_the_whole_module_boards_stay_whole_and_sides_come_within_them() -> None:
    boards = (
        Board(name="a", parts=(line("R1 R2", "1k", "resistor", sides=("back", "front")),)),
        Board(name="b", parts=(line("R1", "1k", "resistor", sides=("front",)),)),
    )
    plan = make_plan(Kit(name="Two", boards=boards), procedure_of(ALL + "    per: module\n"))
    assert [(step.items[0], step.side) for step in plan.steps] == [
        ("a/R1", "back"),
        ("a/R2", "front"),
        ("b/R1", "front"),
    ]


# -- zones ------------------------------------------------------------------------------------------
def test_each_step_names_the_zones_of_its_designators_in_its_own_order() -> None:
    places = ((5.0, 95.0), (55.0, 5.0), (5.0, 75.0))
    board = Board(name="main", parts=(row(3, positions=places),), size=(60.0, 100.0))
    (step,) = make_plan(Kit(name="One", boards=(board,)), procedure_of(ALL)).steps
    assert dict(zip(step.refs, step.zones, strict=True)) == {"R1": "A1", "R3": "A2", "R2": "C5"}
    assert step.refs == ("R1", "R3", "R2")


def test_designators_without_a_position_come_last_and_say_so() -> None:
    kit = kit_of(
        line("R1", "1k", "resistor"), line("R2 R3", "1k", "resistor", positions=((0.0, 0.0), (9.0, 0.0)))
    )
    (step,) = make_plan(kit, procedure_of(ALL)).steps
    assert step.refs == ("R2", "R3", "R1")
    assert step.zones[2] == ""
    assert all(step.zones[:2])


def test_a_trim_names_the_zone_of_its_trimmer_unless_two_boards_have_one_of_that_name() -> None:
    trim = Trim(name="Scale", trimmer="RV4")
    part = line("RV4", "10k", "trimmer", positions=((1.0, 1.0),))
    one = kit_of(part, trims=(trim,))
    two = replace(one, boards=(*one.boards, Board(name="other", parts=(part,))))
    for kit, zones in ((one, ("A1",)), (two, ())):
        (step,) = (step for step in make_plan(kit, LOW).steps if step.action == "adjust")
        assert step.zones == zones


def test_a_value_in_portions_after_another_of_equal_rank_loses_and_doubles_nothing() -> None:
    """Ordered by kind alone two values are of equal rank; the second one fills three steps."""
    kit = scattered(kit_of(line("R1 R2", "22k", "resistor"), line("R3 R4 R5 R6 R7 R8", "1k", "resistor")))
    own = procedure_of("  - {name: All, takes: [{height: 1-9}], order: [kind], step size: 2}\n")
    steps = make_plan(kit, own).steps
    assert len(steps) == 4
    assert sorted(item for step in steps for item in step.items) == [
        f"main/R{number}" for number in range(1, 9)
    ]
    assert [step.value for step in steps] in (["22k"] + 3 * ["1k"], 3 * ["1k"] + ["22k"])
