"""When trimming does not help: the likelihood of each possible cause, by a Kalman filter under each of them.

Also how far the readings scatter, and whether the pitch stays when nothing is turned.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from bench.measure.fit import least_squares
from bench.measure.tuning.learn import (
    Cause,
    Frame,
    Pass,
    Trimmer,
    TrimmerBelief,
    can_bend,
    follow,
    guess,
    turns_of,
)

NAMED, NAMED_LATE = 0.95, 0.75
"""Probability at which a cause is named, at first and from pass `LATE` on."""
LATE = 6
_PRIOR = {"drift": -3.5, "dead": -3.0, "stop": -2.5, "curve": -2.5}
"""Natural logarithm of how likely a cause is beforehand, against none (our assumption)."""
WILD_CENTS = 4.0
"""Readings that scatter by more are a fault, not the bench's usual noise."""
NOISE_CENTS, NOISE_FREEDOM = 0.6, 2
"""Scatter of one frequency reading before any is known, cents, and how many readings that is worth."""
SCATTER_PASSES = 3
"""Last passes that the scatter of the readings is taken from."""
LEAST_NOISE = 0.15
"""No counter at a bench reads a live oscillator better than this, cents (our assumption)."""


class Suspect(Struct, frozen=True, kw_only=True):
    """What to look for."""

    kind: str
    """`dead`, `stop`, `range`, `drift`, `curve`, `voltage`, `gross` (no matter of trimming), or `slow` when
    nothing better can be said."""
    words: str
    trimmer: str = ""


class Weighed(Struct, frozen=True, kw_only=True):
    """Causes that are at work together, and what follows from them."""

    causes: tuple[Cause, ...]
    """None for an oscillator that does as it is told; two at most."""
    share: float
    """Their probability among all that were tried."""
    belief: TrimmerBelief


def weigh(
    passes: Sequence[Pass], trimmers: Sequence[Trimmer], frame: Frame, noise: float
) -> tuple[Weighed, ...]:
    """No cause, every single one, and the likeliest with each other one; the likeliest first.

    `noise` is of one reading, cents.
    """
    single = possible_causes(passes, trimmers, frame, noise)
    alike = Counter((cause.kind, cause.role, cause.way) for cause in single)
    prior = {cause: _PRIOR[cause.kind] - math.log(alike[cause.kind, cause.role, cause.way]) for cause in single}

    def tried(causes: tuple[Cause, ...]) -> tuple[float, tuple[Cause, ...], TrimmerBelief]:
        belief = follow(passes, trimmers, frame, noise, causes)
        return belief.likelihood + sum(prior[each] for each in causes), causes, belief

    found = [tried(()), *(tried((cause,)) for cause in single)]
    best = max(found, key=lambda each: each[0])[1]
    if best:
        first = best[0]
        others = (each for each in single if (each.kind, each.role) != (first.kind, first.role))
        found += [tried((first, each)) for each in others if not each.role or each.role != first.role]
    most = max(each[0] for each in found)
    whole = sum(math.exp(each[0] - most) for each in found)
    weighed = (
        Weighed(causes=causes, share=math.exp(said - most) / whole, belief=belief)
        for said, causes, belief in found
    )
    return tuple(sorted(weighed, key=lambda each: -each.share))


def share_of(weighed: Sequence[Weighed], kind: str, role: str = "", way: int = 0) -> float:
    """Probability of a kind of cause, wherever a stop may be; 0 for either `way`."""
    return sum(
        each.share
        for each in weighed
        if any((c.kind, c.role) == (kind, role) and way in (0, c.way) for c in each.causes)
    )


def possible_causes(
    passes: Sequence[Pass], trimmers: Sequence[Trimmer], frame: Frame, noise: float
) -> tuple[Cause, ...]:
    """Everything that could be at work after what was turned; no drift where it stayed when left alone."""
    found: list[Cause] = []
    if can_bend(passes) and all(trimmer.role != "top" for trimmer in trimmers):
        found.append(Cause("curve"))
    if len(passes) > 1 and moved_alone(passes, frame, noise) is not False:
        found += [Cause("drift", room=fast) for fast in (1.0, 4.0)]
    for trimmer in trimmers:
        turns = [turns_of(trimmer, done) for done in passes[1:]]
        if not any(turns):
            continue
        found.append(Cause("dead", trimmer.role))
        for way in (1, -1):
            found += [Cause("stop", trimmer.role, way, room) for room in _rooms([way * n for n in turns])]
    return tuple(found)


def _rooms(turns: Sequence[float]) -> list[float]:
    """Where a stop may be, in turns from the start: within each turn that went farther than any before."""
    at = farthest = 0.0
    rooms = []
    for turn in turns:
        if at + turn > farthest:
            rooms += [farthest + share * (at + turn - farthest) for share in (0.0, 0.35, 0.7)]
            farthest = at + turn
        at += turn
    return rooms[-6:]


def bend_left(belief: TrimmerBelief, frame: Frame, volts: Sequence[float]) -> tuple[float, float, float]:
    """Offset and scale that make the best of a bend, and the cents that it still leaves at the worst point."""
    rows = [frame.row(each) for each in volts]
    top = belief.state()[2]
    fit = least_squares([row[:2] for row in rows], [top * row[2] for row in rows])
    return -fit.coefficients[0], -fit.coefficients[1], max(abs(each) for each in fit.residuals)


def curve(
    weighed: Sequence[Weighed], passes: Sequence[Pass], frame: Frame, volts: Sequence[float], limit: float
) -> Suspect | None:
    """A bend that no trimmer of this oscillator mends."""
    bent = next((each.belief for each in weighed if Cause("curve") in each.causes), None)
    if bent is None or len(passes) < 2 or share_of(weighed, "curve") < NAMED:
        return None
    top = bent.state()[2]
    left = bend_left(bent, frame, volts)[2]
    if left <= limit:
        return None
    return Suspect(
        kind="curve",
        words=f"the top is {abs(top):.0f} cents {'flat' if top < 0 else 'sharp'} of the lower octaves' line, "
        f"and no scale or offset trimmer corrects that: {left:.1f} cents remain at best. Suspect a slow reset: "
        "look for a high-frequency trimmer or resistor, and check the value of the timing capacitor",
    )


def wild(passes: Sequence[Pass], frame: Frame, scatter: float, limit: float) -> Suspect | None:
    """A voltage that is off every time, or readings that scatter more than a bench does."""
    if scatter > WILD_CENTS:
        return Suspect(
            kind="voltage",
            words=f"the readings scatter by {scatter:.1f} cents: check each control voltage with the meter, "
            "wait until it is warm, and let the counter average longer",
        )
    left: dict[float, list[float]] = {}
    for done in passes:
        if len(done.points) < 5:
            continue
        rows = [frame.row(point.volts) for point in done.points]
        fit = least_squares(rows, [frame.above(point) for point in done.points])
        for point, each in zip(done.points, fit.residuals, strict=True):
            left.setdefault(point.volts, []).append(each)
    means = {volts: sum(each) / len(each) for volts, each in left.items() if len(each) >= 4}
    if not means:
        return None
    inside = [(each - means[volts]) ** 2 for volts in means for each in left[volts]]
    pure = math.sqrt(sum(inside) / max(1, len(inside) - len(means)))
    worst = max(means, key=lambda volts: abs(means[volts]))
    if abs(means[worst]) > max(limit, 5.0 * pure / math.sqrt(len(left[worst]))):
        return Suspect(
            kind="voltage",
            words=f"{worst:g} V reads {means[worst]:+.1f} cents off the line every time: check that control "
            "voltage with the meter",
        )
    return None


def named(
    weighed: Sequence[Weighed],
    trimmers: Sequence[Trimmer],
    passes: Sequence[Pass],
    frame: Frame,
    needed: dict[str, tuple[float, str]],
    refused: dict[str, int],
) -> list[Suspect]:
    """Causes likely enough to be named.

    `needed` has turns and the error in words for each role that is off; `refused` how often in a row a trimmer
    was hardly turned although it was to be.
    """
    enough = NAMED_LATE if len(passes) >= LATE else NAMED
    seen = quiet_moves(passes) or len(passes) >= LATE
    if seen and share_of(weighed, "drift") > NAMED:
        return [_DRIFT]
    found: list[Suspect] = []
    for trimmer in trimmers:
        if trimmer.role not in needed:
            continue
        move, error = needed[trimmer.role]
        made = [turns for done in passes[1:] if (turns := turns_of(trimmer, done))]
        if refused.get(trimmer.role, 0) > 1:
            found.append(at_stop(trimmer, move, error, made=False))
        elif made and min(made) < 0 < max(made) and _is_dead(weighed, trimmer, frame, enough):
            turns = sum(map(abs, made))
            words = f"{trimmer.name} was turned {turns:.2g} turns in all and the pitch did not follow: "
            words += "it is not the trimmer named here, or its track or a joint is open"
            found.append(Suspect(kind="dead", trimmer=trimmer.name, words=words))
        elif made and _is_stopped(weighed, trimmer.role, move) > enough:
            found.append(at_stop(trimmer, move, error, made=True))
    return found


_DRIFT = Suspect(
    kind="drift",
    words="the pitch moves by itself: still warming up (4 cents for each octave and kelvin without "
    "compensation), or in a draught. Wait 20 minutes with the cover closed, then go on",
)


def _is_dead(weighed: Sequence[Weighed], trimmer: Trimmer, frame: Frame, enough: float) -> bool:
    """Whether a trimmer that was turned both ways does less than a tenth of what it should."""
    if share_of(weighed, "dead", trimmer.role) > enough:
        return True
    rate = weighed[0].belief.rate(trimmer.role)
    return abs(rate.value) + 2.0 * rate.doubt < 0.1 * guess(trimmer, linear=frame.linear)


def _is_stopped(weighed: Sequence[Weighed], role: str, move: float) -> float:
    """Probability that a trimmer which has moved the pitch has not enough room left for a turn."""
    way = 1 if move > 0 else -1
    share = 0.0
    for each in weighed:
        stop = next((c for c in each.causes if (c.kind, c.role, c.way) == ("stop", role, way)), None)
        if stop is None or not each.belief.rate(role).known or each.belief.lost.get(role, 0.0) < 0.5:
            continue
        if abs(move) > 2.0 * (stop.room - each.belief.at[role]):
            share += each.share
    return share


def at_stop(trimmer: Trimmer, move: float, error: str, *, made: bool) -> Suspect:
    """A trimmer that would have to go farther than it can; `made` when it was turned and nothing moved."""
    way = "clockwise" if move > 0 else "anticlockwise"
    said = (
        "is at its stop" if made else "was hardly turned when asked: if it clicks or stops, it is at its stop"
    )
    return Suspect(
        kind="stop",
        trimmer=trimmer.name,
        words=f"{trimmer.name} {said} {way}, and {error} remain: look for a wrong resistor value in the "
        f"{trimmer.role} network",
    )


# -- scatter -----------------------------------------------------------------------------------------
def scatter_of(passes: Sequence[Pass], frame: Frame) -> tuple[float, int]:
    """Scatter of the readings about the line or bend of their pass: root mean square in cents, and freedom.

    Pooled over the last passes only: how carefully someone reads may change.
    """
    squares, freedom = 0.0, 0
    for done in passes[-SCATTER_PASSES:]:
        width = 3 if len({point.volts for point in done.points}) >= 4 else 2
        if len(done.points) > width:
            rows = [frame.row(point.volts)[:width] for point in done.points]
            fit = least_squares(rows, [frame.above(point) for point in done.points])
            squares += math.fsum(each * each for each in fit.residuals)
            freedom += fit.freedom
    return math.sqrt(squares / freedom) if freedom else 0.0, freedom


def noise_of(scatter: float, freedom: int) -> float:
    """Standard uncertainty of one reading, cents: what is usual and the scatter seen, each as it weighs."""
    squares = NOISE_FREEDOM * NOISE_CENTS**2 + freedom * scatter**2
    return max(LEAST_NOISE, math.sqrt(squares / (NOISE_FREEDOM + freedom)))


def quiet_moves(passes: Sequence[Pass]) -> list[tuple[Pass, Pass]]:
    """Pairs of passes with nothing turned between them."""
    return [(a, b) for a, b in pairwise(passes) if not any(turn.turns for turn in b.turned)]


def moved_alone(passes: Sequence[Pass], frame: Frame, noise: float) -> bool | None:
    """Whether the pitch moved between passes with nothing turned, beyond chance; None where there are none."""
    pairs = quiet_moves(passes)
    for before, after in pairs:
        earlier = {point.volts: frame.above(point) for point in before.points}
        moved = [frame.above(p) - earlier[p.volts] for p in after.points if p.volts in earlier]
        if not moved:
            continue
        count, spread = len(moved), 2.0 * noise * noise
        together = abs(sum(moved)) / math.sqrt(count * spread)
        squares = sum(each * each for each in moved) / spread
        if together > 4.0 or squares > count + 4.5 * math.sqrt(2.0 * count):
            return True
    return False if pairs else None
