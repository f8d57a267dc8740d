"""Procedures, and short ways to ask what a plan says, for tests of plans."""

from __future__ import annotations

from collections.abc import Iterator

from bench.kit.kit import Board
from bench.plan.plan import Plan, Stage, Step
from bench.plan.procedure import load_procedure, parse_procedure, shipped_procedures
from bench.plan.rules import Procedure
from bench.plan.zones import grid_of, spots_of

SHIPPED = {name: load_procedure(path) for name, path in shipped_procedures().items()}
LOW, FLOW = SHIPPED.values()
ALL = "  - name: Everything\n    takes: [{height: 1-9}]\n"
INSERT = "  - {name: In, takes: [{socket: yes}], action: insert}\n"


def procedure_of(stages: str, step_size: int = 10) -> Procedure:
    text = f"procedure: 1\nname: mine\nstep size: {step_size}\nstages:\n{stages}"
    return parse_procedure(text.encode(), "mine.yaml")


def part_steps(plan: Plan) -> Iterator[Step]:
    return (step for step in plan.steps if step.action in ("solder", "fit", "insert", "place"))


def stage_named(plan: Plan, name: str, board: str = "") -> Stage:
    return next(stage for stage in plan.stages if stage.key == (name, board))


def words(steps: tuple[Step, ...]) -> list[tuple[str, str]]:
    return [(step.value, " ".join(step.refs)) for step in steps]


def zone_of(board: Board, ref: str) -> str:
    """The zone in which a part of the board sits, such as `C2`; empty when it has no position."""
    grid = grid_of(board)
    spot = next((spot for spot in spots_of(board) if spot.ref == ref), None)
    return grid.zone_at(spot.x, spot.y) if grid and spot else ""
