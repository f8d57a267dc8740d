"""How many cautions a builder reads in a build, and whether one that must not be missed is missing."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from msgspec.structs import replace

from bench.kit.danger import danger_of
from bench.kit.load import load_kit
from bench.log.progress import Progress
from bench.plan.default_checks import hazard_cautions
from bench.plan.stages import make_plan
from bench.session.view import Outline, bench_view
from tests.benchmarks import Figure
from tests.support.plans import SHIPPED

KIT = Path(__file__).parents[2] / "kits" / "twin-board-oscillator.yaml"
MOST = 90
"""Most caution lines in the steps that place a part."""


def run(seed: int, quick: bool) -> Iterable[Figure]:
    """Every step of the largest kit that ships, done in the order of the plan; nothing is drawn by lot."""
    kit = load_kit(KIT)
    hazards = set(hazard_cautions(danger_of(kit)))
    own = {said for board in kit.boards for line in board.parts for said in line.cautions}
    for name in ("low-to-high", "signal-flow"):
        outline = Outline(make_plan(kit, SHIPPED[name]))
        progress = Progress()
        steps = said = written = lost = 0
        for number, step in enumerate(outline.steps, 1):
            view = bench_view(outline, progress)
            if step.action in ("solder", "place", "insert"):
                steps += 1
                said += len(view.cautions)
                written += len(step.cautions)
            shown = {each.say for each in view.cautions}
            lost += len((own | hazards) & set(step.cautions) - shown)
            done_at = {**progress.done_at, **dict.fromkeys(step.items, number)}
            progress = replace(progress, done=frozenset(done_at), done_at=done_at)
        yield Figure(
            what=f"caution lines in the steps of the oscillator that place a part, {name}",
            value=said,
            goal=f"<= {MOST}",
            met=said <= MOST,
            detail=f"{steps} steps; {written} with every repetition",
        )
        yield Figure(
            what=f"cautions of the kit's author or about hazards that a card left out, {name}",
            value=lost,
            goal="0",
            met=lost == 0,
        )
