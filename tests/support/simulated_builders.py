"""Builders that never were: their logs, from a generator that knows nothing of the forecast's own model.

Everything is drawn anew for each builder: how fast, which kinds go well, how steady, how they learn, how much
one build differs from the next, how often something goes wrong and what that costs. Seconds by kind are a table
of their own. All invented.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.plan.plan import Plan, Stage, Step

PER_PART = {"resistor": 21, "diode": 26, "Schottky diode": 26, "ceramic capacitor": 20, "film capacitor": 22,
            "IC socket": 18, "transistor": 33, "JFET": 35, "trimmer": 25, "electrolytic capacitor": 28,
            "potentiometer": 26, "jack socket": 20, "toggle switch": 40, "LED": 50}  # fmt: skip
PER_JOINT = {"IC socket": 5.0, "box header": 6.0, "pin header": 6.5, "pin socket": 6.5, "potentiometer": 13.0}
BY_ACTION = {"place": 17.0, "insert": 60.0, "fit": 27.0, "do": 115.0, "check": 62.0, "adjust": 500.0}


@dataclass
class Builder:
    """One builder, with what only the simulation knows."""

    seed: int
    chance: random.Random = field(init=False)
    speed: float = field(init=False)

    def __post_init__(self) -> None:
        chance = self.chance = random.Random(self.seed)
        self.speed = chance.lognormvariate(0.05, 0.42)
        self.between = chance.uniform(0.03, 0.25)
        self.by_stage = chance.uniform(0.0, 0.15)
        self.learning = chance.uniform(0.82, 1.0)
        self.practice = chance.uniform(0.94, 1.0)
        self.shape = chance.uniform(2.0, 9.0)
        self.gamma = chance.random() < 0.5
        self.snag_rate = 0.012 * chance.lognormvariate(0, 0.8)
        self.snag_minutes = chance.uniform(2, 9)
        self.presses_at_once = chance.random() < 0.2
        self.kinds: dict[str, float] = {}

    def taste(self, kind: str) -> float:
        """How this builder gets on with one kind of work."""
        return self.kinds.setdefault(kind, self.chance.lognormvariate(0, 0.28))

    def noise(self, many: int) -> float:
        """A factor with mean 1: many small jobs even out."""
        shape = self.shape * max(1.0, many**0.7)
        if self.gamma:
            return self.chance.gammavariate(shape, 1 / shape)
        spread = math.sqrt(math.log1p(1 / shape))
        return self.chance.lognormvariate(-spread * spread / 2, spread)

    def seconds(self, step: Step) -> float:
        """What a step takes on average, before speed and learning."""
        if step.action == "solder":
            each = PER_PART.get(step.kind, 30) * len(step.items)
            return (12 + each + PER_JOINT.get(step.kind, 8.0) * step.joints) * self.taste(step.kind)
        if step.action in ("do", "check", "adjust"):
            own = random.Random(f"{step.stage} {step.value}").lognormvariate(-0.1, 0.5)
            return BY_ACTION[step.action] * own * self.taste(step.action)
        return (10 + BY_ACTION[step.action] * len(step.items)) * self.taste(step.action)


class Log:
    """Writes events with a clock that is moved by hand."""

    def __init__(self, kit: str, began: float) -> None:
        self.now = began
        self.run = f"{began:.0f}"
        self.events: list[ev.AnyEvent] = []
        self.add(ev.Started, log=1, kit=kit)
        self.add(ev.Opened)

    def add(self, kind: type[ev.AnyEvent], step: Step | None = None, **fields: Any) -> int:
        """Append an event at this moment; returns its number."""
        if step is not None:
            fields |= {"stage": step.stage, "board": step.board, "step": step.key}
        n = len(self.events) + 1
        self.events.append(kind(n=n, at=stamp_text(self.now), mono=self.now - 1.9e9, run=self.run, **fields))
        return n

    def work(self, step: Step, seconds: float) -> None:
        """Time on a step; the builder is not silent for so long that it would be asked about."""
        while seconds > 600:
            self.now += 600
            seconds -= 600
            self.add(ev.Noted, step, text="still at it")
        self.now += seconds

    def rest(self, minutes: float) -> None:
        """A break."""
        self.add(ev.BreakBegan)
        self.now += 60 * minutes
        self.add(ev.BreakEnded)


def build_log(builder: Builder, plan: Plan, of_kit: int, of_all: int, began: float) -> list[ev.AnyEvent]:
    """The log of one module, the `of_kit`-th of its kit and the `of_all`-th of all, from UTC `began` on."""
    chance = builder.chance
    log = Log(plan.kit, began)
    pace = builder.speed * math.exp(chance.gauss(0, builder.between))
    pace *= of_kit ** math.log2(builder.learning) * of_all ** math.log2(builder.practice)
    rate = builder.snag_rate * chance.gammavariate(1.5, 1 / 1.5)
    quiet = [step for stage in plan.stages for step in stage.steps if not step.joints]
    since_break = log.now
    for stage in plan.stages:
        mood = pace * math.exp(chance.gauss(0, builder.by_stage))
        _stage(log, builder, stage, mood, rate, 0.6 * plan.joints / len(quiet))
        if log.now - since_break > 5400:
            log.rest(chance.uniform(5, 40))
            since_break = log.now
    log.add(ev.Closed)
    return log.events


def _stage(log: Log, builder: Builder, stage: Stage, pace: float, rate: float, hidden: float) -> None:
    chance = builder.chance
    steps = list(stage.steps)
    while steps:
        many = chance.randint(1, 3) if builder.presses_at_once else 1
        together, steps = steps[:many], steps[many:]
        for step in together:
            log.work(step, builder.seconds(step) * pace * builder.noise(len(step.items)))
            if chance.random() < rate * (step.joints or hidden):
                minutes = min(55.0, builder.snag_minutes * chance.lognormvariate(0, 0.9))
                _snag(log, step, minutes)
        for number, step in enumerate(together):
            log.now += 0.8 * bool(number)
            log.add(ev.Done, step, items=step.items, value=step.value, refs=step.refs, joints=step.joints)
    if stage.count_joints and stage.joints:
        log.now += (15 + 0.9 * stage.joints) * pace
        log.add(ev.JointsCounted, stage.steps[-1], counted=stage.joints, expected=stage.joints)


def _snag(log: Log, step: Step, minutes: float) -> None:
    """A snag is written down, mended, and told with its minutes."""
    n = log.add(ev.Snagged, step, what="a bridge between two pads", part=" ".join(step.refs[:1]))
    log.work(step, minutes * 60)
    log.add(ev.Mended, step, of=n, fix="wick", minutes=round(minutes))


def career(builder: Builder, plans: Sequence[Plan]) -> list[tuple[str, Plan, list[ev.AnyEvent]]]:
    """One module after the other, two days apart: (name, plan, events)."""
    times: dict[str, int] = {}
    found = []
    for number, plan in enumerate(plans, 1):
        times[plan.kit] = times.get(plan.kit, 0) + 1
        events = build_log(builder, plan, times[plan.kit], number, 1.95e9 + number * 172_800)
        found.append((f"build-{number}", plan, events))
    return found
