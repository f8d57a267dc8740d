"""After which stages joints are counted: few counts, none of nothing, and all joints before a hold point."""

from __future__ import annotations

import pytest

from bench.kit.load import parse_kit
from bench.plan.plan import ENOUGH, Stage, counted_together, counted_with
from bench.plan.procedure import parse_procedure, shipped_procedures
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder


def stage(name: str, joints: int = 0, board: str = "main", *, hold: bool = False) -> Stage:
    return Stage(name=name, board=board, steps=(), joints=joints, hold=hold, count_joints=joints > 0)


def groups(*stages: Stage) -> list[list[str]]:
    return [[each.name for each in group] for group in counted_together(stages).values()]


def test_small_stages_of_a_board_are_counted_together() -> None:
    flat, sockets, tall = stage("flat", 20), stage("sockets", 16), stage("tall", 6)
    assert groups(flat, sockets, tall, stage("look over")) == [["flat", "sockets", "tall"]]


def test_a_large_stage_is_counted_at_once() -> None:
    assert groups(stage("flat", ENOUGH), stage("tall", 6)) == [["flat"], ["tall"]]


def test_boards_are_counted_apart() -> None:
    assert groups(stage("flat", 20, "a"), stage("flat", 20, "b"), stage("tall", 4, "a")) == [
        ["flat", "tall"],
        ["flat"],
    ]


def test_a_few_joints_wait_for_the_wiring_but_never_for_power() -> None:
    panel, wiring, power = stage("panel", 8), stage("wiring", 4, ""), stage("power", board="", hold=True)
    assert groups(panel, stage("screws", board=""), wiring, power, stage("late", 2)) == [
        ["panel", "wiring"],
        ["late"],
    ]
    assert groups(panel, power, wiring) == [["panel"], ["wiring"]]


def test_what_was_counted_names_all_stages() -> None:
    stages = (stage("flat", 20), stage("tall", 6))
    assert counted_with(stages, [("tall", "main")]) == {("flat", "main"), ("tall", "main")}


@pytest.mark.parametrize("kit", sorted(path.stem for path in shipped_kits_folder().glob("*.yaml")))
def test_every_joint_of_a_shipped_kit_is_counted_once_and_before_power(kit: str) -> None:
    source = parse_kit((shipped_kits_folder() / f"{kit}.yaml").read_bytes(), kit)
    plan = make_plan(source, parse_procedure(shipped_procedures()["low-to-high"].read_bytes(), "low-to-high"))
    found = counted_together(plan.stages)
    counted = [each.key for group in found.values() for each in group]
    assert sorted(counted) == sorted(each.key for each in plan.stages if each.count_joints and each.joints)
    at = {each.key: number for number, each in enumerate(plan.stages)}
    holds = [number for number, each in enumerate(plan.stages) if each.hold]
    for key, group in found.items():
        for each in group:
            assert not [hold for hold in holds if at[each.key] < hold < at[key]]
