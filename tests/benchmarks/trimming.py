"""Guided trimming on simulated oscillators, healthy and ill, by builders who turn and read inexactly.

The oscillators are physics of their own and share nothing with what advises but the shapes of its questions and
answers. Sources: an exponential converter gives f = f0 exp(V / (kT/q)) with k and q exact in the SI, so that
without compensation its scale falls by 1/T, -4.011 cents an octave and kelvin at 25 degrees; a reset that takes
a fixed time adds it to every cycle (common practice, no source). Ranges of trimmers, backlash of a twentieth of
a turn and turns inexact by a tenth are assumptions.
"""

from __future__ import annotations

import math
import random
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from bench.measure.tuning.advice import TrimAdvice, advise
from bench.measure.tuning.learn import Pass, Trimmer, Turn
from bench.measure.tuning.planning import Turning
from bench.measure.tuning.points import Point
from tests.benchmarks import Figure

BOLTZMANN_OVER_CHARGE = 8.617333262e-5
"""Volts per kelvin, CODATA 2018."""
ROOM = 298.15
LOWEST_HERTZ, HERTZ_PER_VOLT = 65.4064, 110.0
PLAY = 0.05
"""Turns lost when the direction is reversed."""
MOST_PASSES = 6
ILLS = ("dead", "stop", "drift", "curve")


@dataclass
class Knob:
    """A trimmer: a screw with play, between two stops."""

    role: str
    turns: float
    span: float
    """What it moves from stop to stop, in the oscillator's own terms."""
    sense: int
    right: float
    """Where it should be, 0 to 1; beyond for one that cannot get there."""
    screw: float
    slider: float = 0.0
    dead: bool = False

    def __post_init__(self) -> None:
        self.slider = min(1.0, max(0.0, self.screw))

    def turn(self, turns: float) -> float:
        """Turn the screw; gives the turns that it made before a stop."""
        before = self.screw
        play = PLAY / self.turns / 2
        self.screw = min(1.0 + play, max(-play, self.screw + turns / self.turns))
        self.slider = min(1.0, max(0.0, min(self.screw + play, max(self.screw - play, self.slider))))
        return (self.screw - before) * self.turns

    @property
    def off(self) -> float:
        """What it does beyond what would be right."""
        return 0.0 if self.dead else self.sense * self.span * (self.slider - self.right)


@dataclass
class Device:
    """An oscillator on the bench."""

    linear: bool
    volts: tuple[float, ...]
    knobs: dict[str, Knob]
    centre: float
    """Volts about which an exponential converter scales."""
    fixed: dict[str, float]
    """Error of each role that is there with a dead trimmer."""
    reset: float
    """Seconds that each cycle takes too long."""
    compensated: float
    """Share of the thermal voltage's change that is made up for."""
    cold: float
    """Kelvin below its final temperature at switching on; for hertz per volt, per mille of gain to come."""
    settle: float
    """Passes in which all but 1/e of that is made up."""
    ill: str = ""
    culprit: str = ""

    def _off(self, role: str) -> float:
        return (self.knobs[role].off if role in self.knobs else 0.0) + self.fixed.get(role, 0.0)

    def hertz(self, volts: float, number: int) -> float:
        """Frequency in a pass, the first being 1."""
        left = self.cold * math.exp(-(number - 1) / self.settle)
        if self.linear:
            pitch = HERTZ_PER_VOLT * (1.0 + self._off("scale")) * (volts + self._off("offset"))
            pitch *= 1.0 + 1e-3 * left
        else:
            kelvin = ROOM - left
            thermal = BOLTZMANN_OVER_CHARGE * kelvin
            per_octave = math.log(2.0) * BOLTZMANN_OVER_CHARGE * ROOM
            base = (volts - self.centre + self._off("offset")) * (1.0 + self._off("scale")) * per_octave
            base *= 1.0 + self.compensated * (kelvin / ROOM - 1.0)
            pitch = LOWEST_HERTZ * math.exp(base / thermal) * math.exp2(self.centre)
        pitch = max(pitch, 1e-2)
        spare = self.reset - self._off("top")
        return pitch / (1.0 + pitch * spare)

    def worst(self, number: int) -> float:
        """Greatest true error, cents."""
        return max(abs(1200.0 * math.log2(self.hertz(v, number) / self.ideal(v))) for v in self.volts)

    def ideal(self, volts: float) -> float:
        return HERTZ_PER_VOLT * volts if self.linear else LOWEST_HERTZ * math.exp2(volts)


@dataclass
class Person:
    """Reads with noise, turns with a tenth of error, and either watches a counter while turning or does not."""

    device: Device
    noise: float
    watches: bool
    chance: random.Random
    number: int = 1
    names: dict[str, str] = field(default_factory=dict)

    def read(self, volts: float, times: int) -> float:
        """Hertz, the mean of so many readings."""
        wrong = sum(self.chance.gauss(0.0, self.noise) for _ in range(times)) / times
        return self.device.hertz(volts, self.number) * math.exp2(wrong / 1200.0)

    def inexact(self, turns: float) -> float:
        """A turn as made or as remembered."""
        return turns * (1.0 + self.chance.uniform(-0.1, 0.1))

    def follow(self, turning: Turning) -> Turn:
        """Do as told; gives what is typed in afterwards."""
        knob = self.device.knobs[turning.role]
        if self.watches and turning.watch_hertz is not None and turning.watch_volts is not None:
            made = self._turn_until(knob, turning, turning.watch_volts, turning.watch_hertz)
            about = abs(made - turning.turns) < 0.4 * abs(turning.turns)
            if about and self.chance.random() < 0.5:
                return Turn(trimmer=turning.trimmer, turns=round(turning.turns, 2))
            return Turn(trimmer=turning.trimmer, turns=round(self.inexact(made), 2))
        asked = self.inexact(turning.turns)
        made = knob.turn(asked)
        noticed = knob.turns <= 1.0 or self.chance.random() < 0.5
        if abs(made) < 0.9 * abs(asked) and noticed:
            if turning.trial:
                made += knob.turn(-asked - made)
            return Turn(trimmer=turning.trimmer, turns=round(self.inexact(made), 2))
        return Turn(trimmer=turning.trimmer, turns=round(turning.turns, 2))

    def _turn_until(self, knob: Knob, turning: Turning, volts: float, hertz: float) -> float:
        """Turn in small steps until the counter shows a frequency, back when it moves away from it."""

        def gap() -> float:
            wrong = self.chance.gauss(0.0, self.noise / 2)
            return 1200.0 * math.log2(self.device.hertz(volts, self.number) / hertz) + wrong

        step = max(abs(turning.turns) / 12, 0.01 * knob.turns)
        way = math.copysign(1.0, turning.turns)
        made, here = 0.0, gap()
        most = max(2.5 * abs(turning.turns), 0.1 * knob.turns)
        turned_back, best, nearest = False, abs(here), 0.0
        for _ in range(400):
            if abs(here) < max(0.5, self.noise / 2) or step < 1e-4 * knob.turns:
                break
            moved = knob.turn(way * step)
            made += moved
            if knob.turns <= 1.0 and abs(moved) < 0.5 * step:
                break
            before, here = here, gap()
            if here * before < 0:
                way, step, turned_back = -way, step / 2.5, True
            elif abs(here) > best + 3.0 * self.noise and not turned_back:
                way, turned_back = -way, True
            elif abs(made) > most:
                break
            if abs(here) < best:
                best, nearest = abs(here), made
        if abs(here) > best + 3.0 * self.noise:
            made += knob.turn(nearest - made)
        return made


def _knob(role: str, span: float, chance: random.Random, turns: float) -> Knob:
    right = chance.uniform(0.2, 0.8)
    return Knob(
        role=role,
        turns=turns,
        span=span,
        sense=chance.choice((-1, 1)),
        right=right,
        screw=chance.uniform(0.05, 0.95),
    )


def _reset(linear: bool, volts: tuple[float, ...], cents: float) -> float:
    """Seconds of reset that flatten the top by so many cents."""
    top = HERTZ_PER_VOLT * volts[-1] if linear else LOWEST_HERTZ * math.exp2(volts[-1])
    return (math.exp2(cents / 1200.0) - 1.0) / top


def make(chance: random.Random, ill: str, *, linear: bool, one_turn: bool) -> Device:
    """An oscillator of a kind, its trimmers anywhere."""
    volts = (0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0) if linear else (0.0, 1.0, 2.0, 3.0, 4.0, 5.0)
    with_top = ill != "curve" and chance.random() < 0.3
    roles = ("scale", "offset", "top") if with_top else ("scale", "offset")
    flat = chance.uniform(4.0, 40.0) if with_top else chance.uniform(0.0, 3.0)
    if ill == "curve":
        flat = chance.uniform(35.0, 90.0)
    spans = {
        "scale": chance.uniform(0.06, 0.16),
        "offset": chance.uniform(0.02, 0.06) if linear else chance.uniform(0.2, 1.0),
        "top": _reset(linear, volts, chance.uniform(60.0, 120.0)),
    }
    sizes = (1.0,) if one_turn else (12.0, 25.0)
    knobs = {role: _knob(role, spans[role], chance, chance.choice(sizes)) for role in roles}
    if with_top:
        knobs["top"].right = chance.uniform(0.2, 0.8)
    device = Device(
        linear=linear,
        volts=volts,
        knobs=knobs,
        centre=0.0 if linear else chance.uniform(-3.0, 6.0),
        fixed={},
        reset=0.0 if with_top else _reset(linear, volts, flat),
        compensated=chance.choice((0.9, 0.97)),
        cold=0.0,
        settle=1.0,
        ill=ill,
    )
    _limit_scale(device, chance)
    if ill:
        _make_ill(device, ill, chance)
    return device


def _limit_scale(device: Device, chance: random.Random) -> None:
    """At most 8 % of scale error to begin with."""
    knob = device.knobs["scale"]
    reach = min(0.9, 0.08 / knob.span)
    knob.screw = knob.slider = min(0.97, max(0.03, knob.right + chance.uniform(-reach, reach)))


def _make_ill(device: Device, ill: str, chance: random.Random) -> None:
    if ill == "drift":
        cold = (25.0, 50.0) if device.linear else (10.0, 20.0)
        device.cold, device.settle = chance.uniform(*cold), chance.uniform(3.5, 6.0)
        device.compensated = 0.0
    if ill in ("dead", "stop"):
        role = device.culprit = chance.choice(tuple(device.knobs))
        knob = device.knobs[role]
        least = {"scale": 0.01, "offset": 0.002 if device.linear else 0.02, "top": 0.35 * knob.span}[role]
        if ill == "dead":
            knob.dead = True
            device.fixed[role] = chance.choice((-1, 1)) * chance.uniform(1.0, 3.0) * least
        else:
            beyond = chance.uniform(1.0, 2.5) * least / knob.span
            knob.right = 1.0 + beyond if chance.random() < 0.5 else -beyond
            start = chance.uniform(0.0, 0.35)
            knob.screw = knob.slider = 1.0 - start if knob.right > 1.0 else start


def _known(device: Device, chance: random.Random) -> tuple[Trimmer, ...]:
    """What the kit says of the trimmers: the turns always for single-turn ones, which show it."""
    hint = chance.choice(("none", "turns", "turns", "range"))
    top = HERTZ_PER_VOLT * device.volts[-1] if device.linear else LOWEST_HERTZ * math.exp2(device.volts[-1])
    unit = {
        "scale": 1200.0 / math.log(2.0) if device.linear else 1200.0,
        "offset": 1200.0 / math.log(2.0) / device.volts[0] if device.linear else 1200.0,
        "top": 1200.0 / math.log(2.0) * top,
    }
    trimmers = []
    for number, (role, knob) in enumerate(device.knobs.items(), 1):
        travel = knob.span * unit[role] * chance.uniform(0.75, 1.3)
        trimmers.append(
            Trimmer(
                name=f"RV{number}",
                role=role,
                turns=knob.turns if hint != "none" or knob.turns <= 1.0 else 0.0,
                range_cents=travel if hint == "range" else 0.0,
                sense=knob.sense if hint == "range" else 0,
            )
        )
    return tuple(trimmers)


@dataclass
class Outcome:
    """How one oscillator went."""

    ill: str
    noise: float
    linear: bool
    passes: int
    done: bool
    true_error: float
    named: bool
    """The right suspect, and no wrong one, in the last advice."""
    blamed: str
    """What was suspected in the last advice."""
    ever: str
    """What was suspected in any."""
    advice: list[TrimAdvice]
    """After each pass."""


def _kinds(advice: TrimAdvice) -> set[tuple[str, str]]:
    return {(each.kind, each.trimmer) for each in advice.suspects}


def one(seed: int, case: int, most: int = MOST_PASSES) -> Outcome:
    """Trim one oscillator as advised."""
    chance = random.Random(seed * 100_003 + case)
    ill = ILLS[case // 2 % 4] if case % 2 and case % 10 != 9 else ""
    linear, one_turn = chance.random() < 0.4, chance.random() < 0.3
    device = make(chance, ill, linear=linear, one_turn=one_turn)
    trimmers = _known(device, chance)
    person = Person(device, chance.uniform(0.5, 2.0), one_turn or chance.random() < 0.7, chance)
    names = {trimmer.role: trimmer.name for trimmer in trimmers}
    target = Point(volts=1.0, hertz=HERTZ_PER_VOLT) if linear else Point(volts=0.0, hertz=LOWEST_HERTZ)
    passes: list[Pass] = []
    turned: tuple[Turn, ...] = ()
    told: list[TrimAdvice] = []
    times = 1
    for number in range(1, most + 1):
        person.number = number
        points = tuple(Point(volts=volts, hertz=person.read(volts, times)) for volts in device.volts)
        passes.append(Pass(points=points, turned=turned))
        advice = advise(passes, trimmers, target, 2.0, linear=linear)
        told.append(advice)
        times = advice.readings
        if advice.done or (advice.suspects and not advice.turnings and not advice.repeat):
            break
        if number < most:
            turned = tuple(person.follow(each) for each in advice.turnings)
    culprit = names.get(device.culprit, "")
    right = {(ill, culprit)} | ({("range", culprit)} if ill == "stop" else set())
    found = _kinds(advice)
    return Outcome(
        ill=ill,
        noise=person.noise,
        linear=linear,
        passes=number,
        done=advice.done,
        true_error=device.worst(number),
        named=bool(found & right) and not {kind for kind in found - right if kind[0] != "slow"},
        blamed=", ".join(sorted(" ".join(each).strip() for each in found)),
        ever=", ".join(sorted({" ".join(kind).strip() for each in told for kind in _kinds(each)})),
        advice=told,
    )


def _share(part: list[Outcome], of: list[Outcome]) -> float:
    return len(part) / len(of) if of else math.nan


def run(seed: int, quick: bool) -> Iterator[Figure]:
    """Figures for guided trimming."""
    count = 60 if quick else 300
    found = [one(seed, case) for case in range(count)]
    healthy = [each for each in found if not each.ill]
    for low, high, goal in ((0.0, 1.2, 0.95), (1.2, 2.0, 0.85)):
        some = [each for each in healthy if low < each.noise <= high]
        share = _share([each for each in some if each.done], some)
        yield Figure(
            what=f"healthy oscillators finished within {MOST_PASSES} passes, noise {low:g} to {high:g} cents",
            value=share,
            goal=f">= {goal:g}",
            met=share >= goal,
            detail=f"{len(some)} of {count}, passes {dict(sorted(Counter(e.passes for e in some).items()))}",
        )
    false = [each for each in found if each.done and each.true_error > 3.0]
    yield Figure(
        what="called finished and truly over 3 cents off",
        value=len(false),
        goal="== 0",
        met=not false,
        detail=", ".join(f"{e.ill or 'healthy'} {e.true_error:.1f} cents" for e in false)
        or f"worst {max((e.true_error for e in found if e.done), default=0.0):.2f} cents",
    )
    for ill in ILLS:
        some = [each for each in found if each.ill == ill]
        share = _share([each for each in some if each.named], some)
        missed = Counter(each.blamed or ("done" if each.done else "nothing") for each in some if not each.named)
        detail = ", ".join(f"{n} x {said}" for said, n in missed.most_common(6))
        yield Figure(
            what=f"{ill}: the right suspect, and no other, by pass {MOST_PASSES}",
            value=share,
            goal=">= 0.95",
            met=share >= 0.95,
            detail=f"{len(some)}; missed: {detail}" if detail else f"{len(some)}",
        )
    blamed = [each for each in healthy if each.ever]
    yield Figure(
        what="healthy oscillators with anything suspected in any pass",
        value=len(blamed),
        goal="== 0",
        met=not blamed,
        detail=", ".join(f"{each.ever} at noise {each.noise:.1f}" for each in blamed[:6]),
    )
