"""What turning did: how far each trimmer moves an oscillator, learned from passes of measurement.

State of an oscillator: (offset in cents, scale in cents per octave, bend at the top in cents). The offset
trimmer moves the offset alone and the top trimmer the bend alone. The scale trimmer moves the scale and,
because an oscillator scales about a voltage of its own, the offset in a fixed proportion: the pivot.
How much of a turn was really made is never known well, so turns teach sensitivity roughly, but the pivot
follows from readings alone and is learned sharply.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from bench.measure.fit import Fit, least_squares
from bench.measure.points import Point, TrackingError, check_points
from bench.measure.temperament import cents

ROLES = ("scale", "offset", "top")
"""What a trimmer is for; `top` makes up for flattening at high frequency."""
TURN_DOUBT = 0.07
"""Relative standard uncertainty of a turn 'about' as long as asked (our assumption: within 10 to 15 %)."""
HINT_DOUBT = 0.3
"""Relative standard uncertainty of a range the kit states (our assumption)."""
PIVOT_DOUBT = 6.0
"""How far from the lowest note, in octaves, the pivot may lie before anything is known (our assumption)."""
NOISE_CENTS = 0.3
"""Standard uncertainty of one frequency reading, cents (our assumption)."""


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


class State(Struct, frozen=True, kw_only=True):
    """Where an oscillator stands, all three zero when it is right."""

    offset: float
    """Cents at the reference voltage."""
    scale: float
    """Cents per octave."""
    top: float
    """Cents by which the highest point leaves the line; 0 when not looked for."""
    fit: Fit
    above: tuple[float, ...]
    """Cents above the ideal, one for each point in order of voltage."""
    volts: tuple[float, ...]


class Estimate(Struct, frozen=True, kw_only=True):
    """A learned number with its standard uncertainty."""

    value: float
    doubt: float

    @property
    def known(self) -> bool:
        """True when its sign at least is beyond doubt."""
        return abs(self.value) > 2.0 * self.doubt


class Learned(Struct, frozen=True, kw_only=True):
    """What the passes taught; None where nothing was learned yet."""

    scale_per_turn: Estimate | None
    """Cents per octave for one clockwise turn of the scale trimmer."""
    pivot: Estimate | None
    """Cents of offset that come with one cent per octave of scale."""
    offset_per_turn: Estimate | None
    """Cents for one clockwise turn of the offset trimmer."""
    top_per_turn: Estimate | None
    """Cents at the highest point for one clockwise turn of the top trimmer."""
    idle: tuple[str, ...]
    """Trimmers that were turned before the last pass and moved nothing."""
    tries: dict[str, int]
    """How often each trimmer was turned, by name."""


def state_of(points: Sequence[Point], reference: Point, top_volts: float | None) -> State:
    """The oscillator's state from one pass; with `top_volts`, the bend is told from the line.

    Raises TrackingError for points that cannot be used, also when a bend is wanted of fewer than 4 points.
    """
    check_points(points)
    ordered = sorted(points, key=lambda point: point.volts)
    octaves = [point.volts - reference.volts for point in ordered]
    above = [cents(p.hertz, reference.hertz) - 1200.0 * n for p, n in zip(ordered, octaves, strict=True)]
    if top_volts is None:
        fit = least_squares([(1.0, n) for n in octaves], above)
    else:
        if len(set(octaves)) < 4:
            raise TrackingError("a bend at the top needs at least 4 points", hint="measure every octave")
        rows = [(1.0, p.volts - reference.volts, math.exp2(p.volts - top_volts)) for p in ordered]
        fit = least_squares(rows, above)
    return State(
        offset=fit.coefficients[0],
        scale=fit.coefficients[1],
        top=fit.coefficients[2] if top_volts is not None else 0.0,
        fit=fit,
        above=tuple(above),
        volts=tuple(point.volts for point in ordered),
    )


def learn(states: Sequence[State], passes: Sequence[Pass], trimmers: Sequence[Trimmer]) -> Learned:
    """Sensitivities from what each turn moved, later turns counting more; hints serve until then."""
    by_role = {trimmer.role: trimmer for trimmer in trimmers}
    moved = [
        (later.scale - earlier.scale, later.offset - earlier.offset, later.top - earlier.top)
        for earlier, later in pairwise(states)
    ]
    turned = {
        role: [_turns_of(by_role[role], done) if role in by_role else 0.0 for done in passes[1:]]
        for role in ROLES
    }
    span = max(states[-1].volts) - min(states[-1].volts)
    scale_noise = 2.0 * NOISE_CENTS / span
    scale = _per_turn(
        turned["scale"], [move[0] for move in moved], [scale_noise] * len(moved), by_role.get("scale")
    )
    top = _per_turn(turned["top"], [move[2] for move in moved], _top_noise(states), by_role.get("top"))
    pivot, offset = _pivot_and_offset(
        [move[0] for move in moved], [move[1] for move in moved], turned["offset"], by_role.get("offset")
    )
    if not any(abs(move[0]) > 4.0 * scale_noise for move in moved):
        pivot = None
    idle: list[str] = []
    if moved:
        scale_move, offset_move, top_move = moved[-1]
        rest = offset_move - (pivot.value if pivot else 0.0) * scale_move
        for role, move, noise, rate in (
            ("scale", scale_move, 3.0 * scale_noise, scale),
            ("offset", rest, 3.0 * NOISE_CENTS, offset),
            ("top", top_move, 1.0, top),
        ):
            turns = turned[role][-1]
            expected = abs(rate.value * turns) if rate and rate.known else math.inf
            if turns and abs(move) < noise and expected > 3.0 * noise:
                idle.append(by_role[role].name)
    return Learned(
        scale_per_turn=scale,
        pivot=pivot,
        offset_per_turn=offset,
        top_per_turn=top,
        idle=tuple(idle),
        tries={by_role[role].name: sum(map(bool, turned[role])) for role in by_role},
    )


def _top_noise(states: Sequence[State]) -> list[float]:
    """What may change the bend besides its trimmer: reading noise, and the pitch it is proportional to."""
    return [
        3.0 * NOISE_CENTS
        + abs(earlier.top) * (math.exp2(abs(later.above[-1] - earlier.above[-1]) / 1200.0) - 1.0)
        for earlier, later in pairwise(states)
    ]


def _turns_of(trimmer: Trimmer, done: Pass) -> float:
    return sum(turn.turns for turn in done.turned if turn.trimmer == trimmer.name)


def hint(trimmer: Trimmer | None) -> float:
    """What the kit's hint says one clockwise turn moves; 0 when it says nothing."""
    if trimmer is None or trimmer.turns <= 0 or trimmer.range_cents <= 0:
        return 0.0
    return trimmer.sense * trimmer.range_cents / trimmer.turns


def _per_turn(
    turns: Sequence[float], moves: Sequence[float], noises: Sequence[float], trimmer: Trimmer | None
) -> Estimate | None:
    """Weighted mean of move over turn; a hint with known sense counts as one rough observation."""
    seen: list[tuple[float, float]] = []
    newest_first = zip(reversed(turns), reversed(moves), reversed(noises), strict=True)
    for age, (turn, move, noise) in enumerate(newest_first):
        if turn and abs(move) > 3.0 * noise:
            rate = move / turn
            seen.append((rate, (1 + age) ** 0.5 * ((TURN_DOUBT * rate) ** 2 + 2.0 * (noise / turn) ** 2)))
    expected = hint(trimmer)
    if expected:
        seen.append((expected, (HINT_DOUBT * expected) ** 2))
    if not seen:
        return None
    weight = sum(1.0 / variance for _, variance in seen)
    return Estimate(value=sum(rate / variance for rate, variance in seen) / weight, doubt=weight**-0.5)


def _pivot_and_offset(
    scale_moves: Sequence[float],
    offset_moves: Sequence[float],
    turns: Sequence[float],
    trimmer: Trimmer | None,
) -> tuple[Estimate | None, Estimate | None]:
    """Solve `offset move = pivot * scale move + offset_per_turn * turns` with priors for both unknowns."""
    expected = hint(trimmer)
    rate, rate_weight = expected, (1.0 / (HINT_DOUBT * expected) ** 2 if expected else 0.0)
    pivot_weight, any_turn = 1.0 / PIVOT_DOUBT**2, any(turns)
    pivot, pivot_doubt, rate_doubt = 0.0, PIVOT_DOUBT, abs(HINT_DOUBT * expected)
    for _ in range(4):
        a, b, c = pivot_weight, 0.0, rate_weight
        right_pivot, right_rate = 0.0, rate_weight * expected
        for age, (moved, offset, turn) in enumerate(
            zip(reversed(scale_moves), reversed(offset_moves), reversed(turns), strict=True)
        ):
            variance = 2.0 * NOISE_CENTS**2 + (1 + age) ** 0.5 * (TURN_DOUBT * rate * turn) ** 2
            a += moved * moved / variance
            b += moved * turn / variance
            c += turn * turn / variance
            right_pivot += moved * offset / variance
            right_rate += turn * offset / variance
        if not (any_turn or expected):
            pivot, pivot_doubt = right_pivot / a, a**-0.5
            break
        determinant = max(a * c - b * b, pivot_weight * c)
        pivot = (right_pivot * c - right_rate * b) / determinant
        rate = (a * right_rate - b * right_pivot) / determinant
        pivot_doubt, rate_doubt = (c / determinant) ** 0.5, (a / determinant) ** 0.5
    return (
        Estimate(value=pivot, doubt=pivot_doubt) if scale_moves else None,
        Estimate(value=rate, doubt=rate_doubt) if any_turn or expected else None,
    )
