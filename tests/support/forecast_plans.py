"""Plans of the example kits, made once, and what simulated builders make of them."""

from __future__ import annotations

import functools
import random

from bench.estimate.log_observations import observations_of
from bench.estimate.observations import BuildDone
from bench.kit.load import load_kit
from bench.plan.plan import Plan
from bench.plan.stages import make_plan
from bench.settings import shipped_kits_folder
from tests.support.plans import LOW
from tests.support.simulated_builders import Builder, career

KITS = shipped_kits_folder()
SMALL_KIT, LARGE_KIT = KITS / "first-evening-metronome.yaml", KITS / "twin-board-oscillator.yaml"


@functools.cache
def plans() -> tuple[Plan, Plan]:
    """The small kit's plan and the large one's."""
    return make_plan(load_kit(SMALL_KIT), LOW), make_plan(load_kit(LARGE_KIT), LOW)


ORDERS = ("ssss", "llll", "slsl", "lssl", "ssll", "ssss")
"""Kits that simulated builders build one after the other: small or large."""


def modules_of(builder: Builder) -> list[Plan]:
    """Four kits, alike or not."""
    small, large = plans()
    order = random.Random(builder.seed).choice(ORDERS)
    return [small if letter == "s" else large for letter in order]


def built(seed: int) -> list[BuildDone]:
    """What four modules of one simulated builder tell of speed."""
    builder = Builder(seed)
    return [
        observations_of(events, plan, name)[0] for name, plan, events in career(builder, modules_of(builder))
    ]
