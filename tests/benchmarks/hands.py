"""Builders at the bench, made up for measuring forecasts; nothing here comes from the forecast or its guess.

Unlike in the forecast's own model nothing is log-normal and no effect is a power: a job takes a normal time
with an exponential tail, speeds are drawn evenly, days evenly or from a gamma distribution, what is learned
comes to a floor, work slows as a sitting grows long, and some slips are never told. All figures are invented.
"""

from __future__ import annotations

import copy
import math
import random
from collections.abc import Iterator, Sequence
from typing import Any

from bench.log import events as ev
from bench.log.clock import stamp_text
from bench.plan.plan import Plan, Step

FINGERS = {"resistor": 14, "ceramic capacitor": 16, "film capacitor": 17, "diode": 24, "IC socket": 15,
           "LED": 40, "electrolytic capacitor": 24, "transistor": 30, "potentiometer": 36,
           "jack socket": 22}  # fmt: skip
"""Seconds to find a part of a kind and get it in; every other kind takes 30."""
ELSEWHERE = {"place": 25, "insert": 40, "fit": 45, "do": 160, "check": 80, "adjust": 300}
"""Seconds for one thing of another action."""
JOINT, LOOK_UP = 8.0, 20.0
SITTING = 5400.0
"""After so many seconds somebody takes a break."""


class Hands:
    """One builder; `uneven` is by what share builds differ, drawn from 3 to 25 % when it is not given."""

    def __init__(self, seed: str, *, uneven: float | None = None, speed: float | None = None) -> None:
        chance = self.chance = random.Random(seed)
        self.pace = chance.uniform(0.45, 2.2) if speed is None else speed
        self.uneven = chance.uniform(0.03, 0.25) if uneven is None else uneven
        self.evenly = chance.random() < 0.5
        self.likes: dict[str, float] = {}
        self.tail = chance.uniform(0.15, 0.6)
        self.floor = chance.uniform(0.6, 1.0)
        self.forgets = chance.uniform(0.3, 0.7)
        self.tires = chance.uniform(0.0, 0.2)
        self.slips = chance.uniform(0.0, 0.02)
        self.slip_minutes = chance.uniform(2.0, 8.0)
        self.silent = chance.uniform(0.0, 0.3)
        self.hurries = random.Random(f"{seed} side by side").uniform(0.75, 1.0)
        """What the same handling takes when it was done a moment ago on the unit before."""

    def day(self) -> float:
        """How one build differs from the builder's others: mean 1, standard deviation `uneven`."""
        if self.evenly:
            return 1 + self.uneven * math.sqrt(3) * self.chance.uniform(-1, 1)
        return self.chance.gammavariate(self.uneven**-2, self.uneven**2)

    def usual(self, step: Step) -> float:
        """Seconds that a step takes on average at pace 1, apart from likes and dislikes."""
        many = len(step.items)
        if step.action == "solder":
            return LOOK_UP + many * FINGERS.get(step.kind, 30) + JOINT * step.joints
        return LOOK_UP + many * ELSEWHERE[step.action]

    def seconds(self, step: Step) -> float:
        """Seconds that a step takes this time, at pace 1."""
        like = self.likes.setdefault(step.kind or step.action, self.chance.uniform(0.6, 1.5))
        jobs = max(1, len(step.items))
        each = self.usual(step) * like / jobs
        steady = 1 - self.tail + self.chance.gauss(0, 0.1)
        return each * sum(max(0.1, steady + self.chance.expovariate(1 / self.tail)) for _ in range(jobs))

    def practised(self, times: int) -> float:
        """What is left of the first time after so many repeats."""
        return self.floor + (1 - self.floor) * self.forgets**times


def usual_seconds(plan: Plan) -> float:
    """What a plan takes a builder of pace 1 on average, without snags."""
    hands = Hands("nobody in particular")
    return sum(hands.usual(step) for stage in plan.stages for step in stage.steps)


class Diary:
    """The events of one build, written as its time goes by."""

    def __init__(self, hands: Hands, plan: Plan, pace: float, began: float) -> None:
        self.hands, self.plan, self.pace = hands, plan, pace
        self.now = self.sat_down = began
        self.run = f"run {began:.0f}"
        self.events: list[ev.AnyEvent] = []

    def note(self, kind: type[ev.AnyEvent], step: Step | None = None, **fields: Any) -> int:
        """Append an event; returns its number."""
        at = {"stage": step.stage, "board": step.board, "step": step.key} if step else {}
        n = len(self.events) + 1
        self.events.append(
            kind(n=n, at=stamp_text(self.now), mono=self.now - 2e9, run=self.run, **(at | fields))
        )
        return n

    def write(self) -> list[ev.AnyEvent]:
        """The whole build."""
        self.note(ev.Started, log=1, kit=self.plan.kit)
        self.note(ev.Opened)
        hidden = 0
        for stage in self.plan.stages:
            for step in stage.steps:
                self._spend(step, self.hands.seconds(step) * self._tired())
                met, hidden = self._slips(step, hidden)
                for _ in range(met):
                    self._mend(step)
                self.note(ev.Done, step, items=step.items, value=step.value, refs=step.refs, joints=step.joints)
            if stage.count_joints and stage.joints:
                self.now += (10 + 1.1 * stage.joints) * self.pace
                self.note(ev.JointsCounted, stage.steps[-1], counted=stage.joints, expected=stage.joints)
            self._rest()
        self.note(ev.Closed)
        return self.events

    def _tired(self) -> float:
        return 1 + self.hands.tires * min(1.0, (self.now - self.sat_down) / SITTING)

    def _slips(self, step: Step, hidden: int) -> tuple[int, int]:
        """How many slips are met in a step, and how many stay hidden after it."""
        chance = self.hands.chance
        made = sum(chance.random() < self.hands.slips for _ in range(step.joints))
        seen = sum(chance.random() < 0.5 for _ in range(made))
        hidden += made - seen
        if step.joints or not hidden:
            return seen, hidden
        found = sum(chance.random() < 0.3 for _ in range(hidden))
        return found, hidden - found

    def _mend(self, step: Step) -> None:
        chance = self.hands.chance
        minutes = min(50.0, chance.weibullvariate(self.hands.slip_minutes, 1.1))
        if chance.random() < self.hands.silent:
            self._spend(step, 60 * minutes, pace=1.0)
            return
        n = self.note(ev.Snagged, step, what="no joint at one lead", part=" ".join(step.refs[:1]))
        self._spend(step, 60 * minutes, pace=1.0)
        self.note(ev.Mended, step, of=n, fix="soldered again", minutes=max(1, round(minutes)))

    def _spend(self, step: Step, seconds: float, pace: float | None = None) -> None:
        left = seconds * (self.pace if pace is None else pace)
        while left > 700:
            self.now, left = self.now + 700, left - 700
            self.note(ev.Noted, step, text="going on")
        self.now += left

    def _rest(self) -> None:
        if self.now - self.sat_down > SITTING:
            self.note(ev.BreakBegan)
            self.now += self.hands.chance.uniform(300, 3000)
            self.note(ev.BreakEnded)
            self.sat_down = self.now


class Beside(Diary):
    """A later unit of several side by side: nothing is looked up, and the hands know the part already."""

    def write(self) -> list[ev.AnyEvent]:
        """The whole build."""
        usual, self.hands = self.hands, copy.copy(self.hands)
        self.hands.usual = lambda step: usual.hurries * (usual.usual(step) - LOOK_UP)  # type: ignore[method-assign]
        return super().write()


def side_by_side(hands: Hands, plan: Plan, before: int, number: int, units: int) -> Iterator[list[ev.AnyEvent]]:
    """Several units of a kit at once, in the same mood: the events of each, as if time had been dealt out."""
    pace = hands.pace * hands.day() * hands.practised(before)
    for unit in range(units):
        kind = Beside if unit else Diary
        yield kind(hands, plan, pace, 2e9 + 604_800 * number + 60 * unit).write()


def builds(hands: Hands, plans: Sequence[Plan]) -> Iterator[tuple[str, Plan, list[ev.AnyEvent]]]:
    """One module after the other, a week apart: name, plan, events."""
    met: dict[str, int] = {}
    for number, plan in enumerate(plans, 1):
        before = met.get(plan.kit, 0)
        met[plan.kit] = before + 1
        pace = hands.pace * hands.day() * hands.practised(before)
        yield f"module-{number}", plan, Diary(hands, plan, pace, 2e9 + 604_800 * number).write()
