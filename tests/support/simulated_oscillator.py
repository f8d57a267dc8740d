"""An exponential oscillator with trimmers that interact, and a builder who follows advice inexactly."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from bench.measure.tuning.advice import TrimAdvice, advise
from bench.measure.tuning.learn import Pass, Trimmer, Turn
from bench.measure.tuning.planning import Turning
from bench.measure.tuning.points import Point

TARGET = Point(volts=0.0, hertz=440.0 * 2.0 ** (-33 / 12))
VOLTS = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0)


@dataclass
class Oscillator:
    """Control voltages and the tune trimmer are summed, scaled by the scale trimmer, then exponentiated.

    Positions run from 0 to 1 between the stops. The frequency then suffers a fixed dead time in each cycle,
    against which a top trimmer feeds a little of the output back.
    """

    scale_span: float
    """Scale at one stop over scale at the other, minus 1."""
    offset_span: float
    """Travel of the offset trimmer, volts."""
    sum_volts: float
    """Fixed part of the summed voltage with the offset trimmer where it belongs."""
    right: dict[str, float]
    """Positions at which it tracks."""
    sense: dict[str, int]
    dead_time: float = 0.0
    """Seconds."""
    top_span: float = 0.0
    """Octaves fed back at 1 kHz over the travel of the top trimmer."""
    at: dict[str, float] = field(default_factory=dict)

    def _law(self, role: str, position: float) -> float:
        turned = position if self.sense[role] > 0 else 1.0 - position
        return 1.0 / (1.0 + self.scale_span * (1.0 - turned)) if role == "scale" else turned

    def hertz(self, volts: float) -> float:
        gain = self._law("scale", self.at["scale"]) / self._law("scale", self.right["scale"])
        off = self._law("offset", self.at["offset"]) - self._law("offset", self.right["offset"])
        lift = self.offset_span * off
        octaves = gain * (volts + self.sum_volts + lift) - self.sum_volts
        ideal = TARGET.hertz * math.exp2(octaves)
        if self.top_span or self.dead_time:
            made_up = (self._law("top", self.at["top"]) - self._law("top", self.right["top"])) * self.top_span
            ideal *= math.exp2(made_up * ideal / 1000.0 + self.dead_time * ideal / math.log(2.0))
            return 1.0 / (1.0 / ideal + self.dead_time)
        return ideal

    def worst(self) -> float:
        """Greatest true error over the octaves, cents."""
        return max(abs(1200.0 * (math.log2(self.hertz(v) / TARGET.hertz) - v)) for v in VOLTS)


@dataclass
class Builder:
    """Turns about as far as told, within 10 %; with a counter in view, stops within a cent of a frequency."""

    oscillator: Oscillator
    trimmers: Sequence[Trimmer]
    turns: dict[str, float]
    chance: random.Random
    watches: bool
    turn_error: float = 0.10
    stop_error: float = 1.0
    reading_error: float = 0.2

    def measure(self) -> tuple[Point, ...]:
        def read(volts: float) -> float:
            wrong = self.chance.uniform(-self.reading_error, self.reading_error)
            return self.oscillator.hertz(volts) * math.exp2(wrong / 1200.0)

        return tuple(Point(volts=volts, hertz=read(volts)) for volts in VOLTS)

    def follow(self, turning: Turning) -> Turn:
        at, role = self.oscillator.at, turning.role
        start, travel = at[role], self.turns[role]
        asked = turning.turns / travel * (1.0 + self.chance.uniform(-self.turn_error, self.turn_error))
        if turning.trial and not 0.0 <= start + asked <= 1.0:
            asked = -asked
        at[role] = min(1.0, max(0.0, start + asked))
        if self.watches and turning.watch_hertz is not None and turning.watch_volts is not None:
            self._turn_until(role, turning.watch_volts, turning.watch_hertz)
        made = (at[role] - start) * travel
        believed = made * (1.0 + self.chance.uniform(-self.turn_error, self.turn_error))
        if not self.watches and at[role] == start + asked:
            believed = math.copysign(abs(turning.turns), made)
        return Turn(trimmer=turning.trimmer, turns=believed)

    def _turn_until(self, role: str, volts: float, hertz: float) -> None:
        at = self.oscillator.at
        wanted = hertz * math.exp2(self.chance.uniform(-self.stop_error, self.stop_error) / 1200.0)

        def over(position: float) -> bool:
            at[role] = position
            return self.oscillator.hertz(volts) > wanted

        low, high = 0.0, 1.0
        if over(low) == over(high):
            raise AssertionError(f"{role} cannot reach {hertz} Hz at {volts} V")
        rising = over(high)
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (low, middle) if over(middle) == rising else (middle, high)
        at[role] = (low + high) / 2


def any_oscillator(
    chance: random.Random, roles: Sequence[str] = ("scale", "offset")
) -> tuple[Oscillator, dict[str, float]]:
    """An oscillator that can be put right, its trimmers anywhere; and the turns of each trimmer."""
    dead_time = chance.uniform(2e-6, 1e-5) if "top" in roles else 0.0
    made = Oscillator(
        scale_span=chance.uniform(0.03, 0.09),
        offset_span=chance.uniform(0.2, 1.0),
        sum_volts=chance.uniform(-6.0, 3.0),
        right={role: chance.uniform(0.15, 0.85) for role in roles},
        sense={role: chance.choice((-1, 1)) for role in roles},
        dead_time=dead_time,
        top_span=chance.uniform(0.02, 0.05) if "top" in roles else 0.0,
        at={role: chance.uniform(0.0, 1.0) for role in roles},
    )
    return made, {role: chance.choice((1.0, 4.0, 12.0, 15.0, 20.0, 25.0)) for role in roles}


def known_trimmers(
    oscillator: Oscillator, turns: dict[str, float], hints: str, chance: random.Random
) -> tuple[Trimmer, ...]:
    """What the builder knows: `none` (but a single-turn trimmer shows), `turns`, or `range`.

    `range` is turns, travel in cents to within about 20 %, and which way raises.
    """
    travel = {
        "scale": 1200.0 * oscillator.scale_span,
        "offset": 1200.0 * oscillator.offset_span,
        "top": 1200.0 * oscillator.top_span * 32 * TARGET.hertz / 1000.0,
    }
    return tuple(
        Trimmer(
            name=f"RV{number}",
            role=role,
            turns=turns[role] if hints != "none" or turns[role] <= 1.0 else 0.0,
            range_cents=travel[role] * chance.uniform(0.8, 1.25) if hints == "range" else 0.0,
            sense=oscillator.sense[role] if hints == "range" else 0,
        )
        for number, role in enumerate(turns, 1)
    )


def bring_in(
    builder: Builder, most: int, close_enough: float = 1.8, see: Callable[[TrimAdvice], None] | None = None
) -> tuple[int | None, list[Pass]]:
    """Follow the advice; which pass finds it in tune (None: none of the first `most`), and all passes."""
    passes: list[Pass] = []
    turned: tuple[Turn, ...] = ()
    for number in range(1, most + 1):
        passes.append(Pass(points=builder.measure(), turned=turned))
        advice = advise(passes, builder.trimmers, TARGET, close_enough)
        if see is not None:
            see(advice)
        if advice.done:
            return number, passes
        turned = tuple(builder.follow(turning) for turning in advice.turnings)
    return None, passes


def points_with(scale: float, offset: float, volts: Sequence[float] = VOLTS, bend: float = 0.0) -> list[Point]:
    """Points with a known scale error and offset, and `bend` cents at the top, growing as the frequency."""
    top = max(volts)
    return [
        Point(volts=v, hertz=TARGET.hertz * 2 ** (v + (scale * v + offset + bend * 2 ** (v - top)) / 1200))
        for v in volts
    ]
