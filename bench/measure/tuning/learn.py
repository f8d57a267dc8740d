"""What turning did: where an oscillator is and how far each trimmer moves it, learned from passes.

The oscillator's state is (offset, scale, bend at the top); `Frame` says what each of them does to a pitch. The
offset trimmer moves the offset alone and the top trimmer the bend alone. The scale trimmer moves the scale and,
because an oscillator scales about a voltage of its own, the offset in a fixed proportion: the pivot. State and
sensitivities are estimated together by a Kalman filter: a pass adds readings, a turn adds doubt, so that passes
with little or nothing turned between them are averaged. The same filter under another `Cause` (a trimmer that
is dead or at its stop, an oscillator that drifts) tells how well that cause would explain the readings.

Source of the method: R. E. Kalman, J. Basic Eng. 82 (1960) 35; uncertainties as in JCGM 100:2008 (GUM).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from bench.measure.tuning.points import Point, TrackingError, cents, check_points

ROLES = ("scale", "offset", "top")
"""What a trimmer is for; `top` makes up for flattening at high frequency."""
TURN_DOUBT = 0.1
"""Relative standard uncertainty of a turn 'about' as long as asked (our assumption)."""
BACKLASH, SLACK = 0.025, 0.035
"""Turns that are usually lost when the direction is reversed; how uncertain every turn is (our assumption)."""
HINT_DOUBT = 0.35
"""Relative standard uncertainty of a range the kit states (our assumption)."""
PIVOT_DOUBT = 6.0
"""How far from the lowest note, in octaves, the pivot may lie before anything is known (our assumption)."""
USUAL_BEND, GREAT_BEND = 1.5, 50.0
"""Cents by which the top leaves the line where no trimmer mends it: usually, and when that is the trouble."""
USUAL_TURNS = 10.0
"""Turns of a trimmer of which the kit says nothing (our assumption)."""
USUAL_RANGE = {"scale": 120.0, "offset": 600.0, "top": 60.0}
USUAL_LINEAR_RANGE = {"scale": 200.0, "offset": 100.0, "top": 60.0}
"""Cents from stop to stop where the kit does not say, by role (our assumption)."""

_O, _S, _T, _SCALE_TURN, _SCALE_SHIFT, _OFFSET_TURN, _TOP_TURN = range(7)
_RATE = {"scale": _SCALE_TURN, "offset": _OFFSET_TURN, "top": _TOP_TURN}
_CENTS = 1200.0 / math.log(2.0)


class Trimmer(Struct, frozen=True, kw_only=True):
    """One trimmer and what is known of it before turning."""

    name: str
    """Designator or name, such as `RV4`."""
    role: str
    """One of `ROLES`."""
    turns: float = 0.0
    """Turns from stop to stop; 0 when not known."""
    range_cents: float = 0.0
    """What it moves from stop to stop: cents, for scale cents per octave; 0 when not known."""
    sense: int = 0
    """1 when clockwise raises, -1 when it lowers, 0 when not known."""


class Turn(Struct, frozen=True, kw_only=True):
    """A trimmer was turned."""

    trimmer: str
    turns: float
    """Turns, clockwise above zero."""


class Pass(Struct, frozen=True, kw_only=True):
    """One round of measuring, and what was turned since the round before."""

    points: tuple[Point, ...]
    turned: tuple[Turn, ...] = ()


class Frame(Struct, frozen=True, kw_only=True):
    """What offset, scale and top mean at a voltage.

    One octave a volt: the offset is the same at every voltage, the scale counts octaves from the reference,
    the bend grows as the frequency. Hertz per volt: what remains at 0 V is counted in cents at the lowest
    voltage, the scale is the same for all notes, the bend again grows as the frequency.
    """

    reference: Point
    """Wanted pitch and its voltage; for hertz per volt, the hertz wanted at 1 V."""
    low: float
    """Lowest voltage of any pass."""
    high: float
    """Highest voltage of any pass."""
    linear: bool = False

    def row(self, volts: float) -> tuple[float, float, float]:
        """Cents at a voltage for one cent of offset, scale and top."""
        if self.linear:
            return self.low / volts, 1.0, volts / self.high
        return 1.0, volts - self.reference.volts, math.exp2(volts - self.high)

    def wanted(self, volts: float) -> float:
        """The ideal frequency in hertz."""
        if self.linear:
            return self.reference.hertz / self.reference.volts * volts
        return self.reference.hertz * math.exp2(volts - self.reference.volts)

    def above(self, point: Point) -> float:
        """Cents above the ideal; hertz per volt counts in proportion, which is the same where it matters."""
        if self.linear:
            return _CENTS * (point.hertz / self.wanted(point.volts) - 1.0)
        return cents(point.hertz, self.reference.hertz) - 1200.0 * (point.volts - self.reference.volts)

    def hertz(self, volts: float, above: float) -> float:
        """The frequency that lies so many cents above the ideal."""
        if self.linear:
            return self.wanted(volts) * (1.0 + above / _CENTS)
        return self.wanted(volts) * math.exp2(above / 1200.0)


class Cause(Struct, frozen=True):
    """What might be at work."""

    kind: str
    """`dead`, `stop`, `drift` or `curve`."""
    role: str = ""
    """Of the trimmer, for `dead` and `stop`."""
    way: int = 0
    """Direction that is blocked: 1 clockwise, -1 anticlockwise."""
    room: float = 0.0
    """Turns from where it began to the stop, in that direction; for `drift`, how fast it is."""


class Estimate(Struct, frozen=True, kw_only=True):
    """A learned number with its standard uncertainty."""

    value: float
    doubt: float

    @property
    def known(self) -> bool:
        """True when its sign at least is beyond doubt."""
        return abs(self.value) > 2.0 * self.doubt


class TrimmerBelief(Struct, frozen=True, kw_only=True):
    """State and sensitivities after the last pass, as one normal distribution."""

    mean: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    likelihood: float
    """Natural logarithm of how likely the readings were."""
    effective: dict[str, float]
    """Turns that each role's trimmer made, stops left out, either way counted."""
    at: dict[str, float]
    """Where a trimmer with a stop is, by role: turns from where it began, towards the stop."""
    lost: dict[str, float]
    """Part of its last turn that a trimmer with a stop did not make, by role."""

    def state(self) -> tuple[float, float, float]:
        """Offset, scale and top, cents."""
        return self.mean[_O], self.mean[_S], self.mean[_T]

    def error(self, row: Sequence[float]) -> Estimate:
        """A sum of offset, scale and top, weighed by a row of a frame."""
        size = range(len(row))
        variance = sum(row[i] * row[j] * self.covariance[i][j] for i in size for j in size)
        value = sum(weight * self.mean[i] for i, weight in enumerate(row))
        return Estimate(value=value, doubt=math.sqrt(max(0.0, variance)))

    def rate(self, role: str) -> Estimate:
        """Cents for one clockwise turn."""
        at = _RATE[role]
        return Estimate(value=self.mean[at], doubt=math.sqrt(max(0.0, self.covariance[at][at])))

    def pivot(self) -> Estimate | None:
        """Cents of offset for each cent per octave of scale; None while the scale trimmer is not known."""
        per_turn = self.rate("scale")
        if not per_turn.known:
            return None
        a, b, p = self.mean[_SCALE_TURN], self.mean[_SCALE_SHIFT], self.covariance
        ratio = b / a
        crossed = p[_SCALE_SHIFT][_SCALE_SHIFT] - 2.0 * ratio * p[_SCALE_TURN][_SCALE_SHIFT]
        variance = (crossed + ratio**2 * p[_SCALE_TURN][_SCALE_TURN]) / a**2
        return Estimate(value=ratio, doubt=math.sqrt(max(0.0, variance)))


def frame_of(passes: Sequence[Pass], reference: Point, *, linear: bool = False) -> Frame:
    """The frame in which all these passes are compared; raises TrackingError for unusable points."""
    for done in passes:
        check_points(done.points)
    volts = [point.volts for done in passes for point in done.points]
    if linear and min(volts) <= 0:
        raise TrackingError("a hertz-per-volt oscillator has no pitch at or below 0 V", hint="measure above it")
    return Frame(reference=reference, low=min(volts), high=max(volts), linear=linear)


def guess(trimmer: Trimmer, *, linear: bool = False) -> float:
    """Cents that one turn may be expected to move, by the kit's figures or what is usual."""
    usual = (USUAL_LINEAR_RANGE if linear else USUAL_RANGE)[trimmer.role]
    return (trimmer.range_cents or usual) / (trimmer.turns or USUAL_TURNS)


def follow(
    passes: Sequence[Pass],
    trimmers: Sequence[Trimmer],
    frame: Frame,
    noise: float,
    causes: Sequence[Cause] = (),
) -> TrimmerBelief:
    """State and sensitivities after these passes under some causes; `noise` is of one reading, cents."""
    first = _filter(passes, trimmers, frame, noise, causes, None)
    return _filter(passes, trimmers, frame, noise, causes, first.mean)


def turns_of(trimmer: Trimmer, done: Pass) -> float:
    """Turns of one trimmer before a pass, clockwise above zero."""
    return sum(turn.turns for turn in done.turned if turn.trimmer == trimmer.name)


# -- the filter --------------------------------------------------------------------------------------
def _filter(
    passes: Sequence[Pass],
    trimmers: Sequence[Trimmer],
    frame: Frame,
    noise: float,
    causes: Sequence[Cause],
    rates: Sequence[float] | None,
) -> TrimmerBelief:
    bend = 0.0
    if can_bend(passes):
        adjustable = any(trimmer.role == "top" for trimmer in trimmers)
        bend = GREAT_BEND if adjustable or Cause("curve") in causes else USUAL_BEND
    x, p = _prior(trimmers, frame, causes, bend)
    stops = {cause.role: cause for cause in causes if cause.kind == "stop"}
    lost: dict[str, float] = {}
    said, before = 0.0, dict.fromkeys(ROLES, 0.0)
    effective, at = dict.fromkeys(ROLES, 0.0), dict.fromkeys(ROLES, 0.0)
    for number, done in enumerate(passes):
        if number:
            made = {trimmer.role: turns_of(trimmer, done) for trimmer in trimmers}
            asked = dict(made)
            cuts = {role: _stopped(made, at, stop) for role, stop in stops.items()}
            lost |= {role: cut / abs(asked[role]) for role, cut in cuts.items() if asked[role]}
            _turned(x, p, made, before, rates or x, cuts)
            _passed(p, frame, sum(cause.room for cause in causes if cause.kind == "drift"))
            for role, turns in made.items():
                effective[role] += abs(turns)
                before[role] = turns or before[role]
        for point in done.points:
            said += _read(x, p, frame.row(point.volts), frame.above(point), noise * noise)
    return TrimmerBelief(
        mean=tuple(x), covariance=tuple(map(tuple, p)), likelihood=said, effective=effective, at=at, lost=lost
    )


def _stopped(made: dict[str, float], at: dict[str, float], stop: Cause) -> float:
    """Cut a turn where the trimmer's stop is; gives the turns that were lost there."""
    role = stop.role
    after = min(at[role] + stop.way * made[role], stop.room)
    lost = abs(made[role]) - abs(after - at[role])
    made[role], at[role] = stop.way * (after - at[role]), after
    return lost


def can_bend(passes: Sequence[Pass]) -> bool:
    """Whether a pass has the four voltages that a bend takes."""
    return max(len({point.volts for point in done.points}) for done in passes) >= 4


def _prior(
    trimmers: Sequence[Trimmer], frame: Frame, causes: Sequence[Cause], bend: float
) -> tuple[list[float], list[list[float]]]:
    x = [0.0] * 7
    p = [[0.0] * 7 for _ in range(7)]
    p[_O][_O], p[_S][_S], p[_T][_T] = 2000.0**2, 1000.0**2, bend**2
    for trimmer in trimmers:
        at, size = _RATE[trimmer.role], guess(trimmer, linear=frame.linear)
        known = trimmer.range_cents > 0
        doubt = (HINT_DOUBT if known else 0.6) if trimmer.sense else (1.2 if known else 1.8)
        x[at], p[at][at] = trimmer.sense * size, (doubt * size) ** 2
        if Cause("dead", trimmer.role) in causes:
            x[at], p[at][at] = 0.0, (0.01 * size) ** 2
        if trimmer.role == "scale":
            far = 0.05 if frame.linear else PIVOT_DOUBT
            p[_SCALE_SHIFT][_SCALE_SHIFT] = far**2 * (x[at] ** 2 + p[at][at])
    return x, p


def _turned(
    x: list[float],
    p: list[list[float]],
    made: dict[str, float],
    before: dict[str, float],
    rates: Sequence[float],
    cuts: dict[str, float],
) -> None:
    """Move the state by what was turned, and widen it by how inexactly that is known."""
    moves = {role: _less_backlash(turns, before[role]) for role, turns in made.items() if turns}
    for role, turns in moves.items():
        pairs = {"scale": ((_S, _SCALE_TURN), (_O, _SCALE_SHIFT)), "offset": ((_O, _OFFSET_TURN),)}
        for to, source in pairs.get(role, ((_T, _TOP_TURN),)):
            x[to] += turns * x[source]
            p[to] = [a + turns * b for a, b in zip(p[to], p[source], strict=True)]
            for row in p:
                row[to] += turns * row[source]
    for role in made:
        turns = moves.get(role, 0.0)
        spread = (TURN_DOUBT * turns) ** 2 + (SLACK if turns else 0.0) ** 2 + (0.3 * cuts.get(role, 0.0)) ** 2
        if not spread:
            continue
        if role == "scale":
            a, b = rates[_SCALE_TURN], rates[_SCALE_SHIFT]
            p[_S][_S] += spread * a * a
            p[_O][_O] += spread * b * b
            p[_O][_S] += spread * a * b
            p[_S][_O] += spread * a * b
            moved = abs(a * turns)
            p[_SCALE_TURN][_SCALE_TURN] += (0.03 * a) ** 2
            p[_SCALE_SHIFT][_SCALE_SHIFT] += (0.03 * b) ** 2 + (0.002 * moved * a) ** 2
        else:
            at, to = _RATE[role], _O if role == "offset" else _T
            p[to][to] += spread * rates[at] ** 2
            p[at][at] += (0.03 * rates[at]) ** 2
            if role == "offset":
                p[_SCALE_SHIFT][_SCALE_SHIFT] += (rates[_SCALE_TURN] * rates[at] * turns / 1200.0) ** 2
    shift = abs(rates[_OFFSET_TURN] * moves.get("offset", 0.0))
    shift += (abs(rates[_SCALE_SHIFT]) + abs(rates[_SCALE_TURN])) * abs(moves.get("scale", 0.0))
    p[_T][_T] += (0.5 * x[_T] * min(1.0, shift / 1200.0)) ** 2


def _less_backlash(turns: float, before: float) -> float:
    """Turns that take effect: a reversal loses a little."""
    if turns * before >= 0:
        return turns
    return turns - math.copysign(lost_to_backlash(turns), turns)


def lost_to_backlash(turns: float) -> float:
    """Turns usually lost when the direction is reversed, a part of a small turn at most."""
    return min(0.3 * abs(turns), BACKLASH)


def _passed(p: list[list[float]], frame: Frame, drift: float) -> None:
    """What may have moved by itself since the pass before."""
    offset, scale = (0.05, 0.1) if frame.linear else (0.15, 0.03)
    if drift:
        offset, scale = (0.5 * drift, 5.0 * drift) if frame.linear else (8.0 * drift, 2.0 * drift)
    p[_O][_O] += offset * offset
    p[_S][_S] += scale * scale


def _read(x: list[float], p: list[list[float]], row: Sequence[float], above: float, variance: float) -> float:
    """Take a reading in; gives the logarithm of how likely it was."""
    gain = [row[0] * each[0] + row[1] * each[1] + row[2] * each[2] for each in p]
    total = row[0] * gain[0] + row[1] * gain[1] + row[2] * gain[2] + variance
    wrong = above - row[0] * x[0] - row[1] * x[1] - row[2] * x[2]
    for i, share in enumerate(gain):
        x[i] += share * wrong / total
        p[i] = [each - share * other / total for each, other in zip(p[i], gain, strict=True)]
    return -0.5 * (wrong * wrong / total + math.log(total))
