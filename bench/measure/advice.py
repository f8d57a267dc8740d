"""What to turn next on an oscillator, in plain words and as data, and when turning cannot mend it."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from bench.errors import BenchError
from bench.measure.learn import PIVOT_DOUBT, ROLES, Estimate, Learned, Pass, State, Trimmer, learn, state_of
from bench.measure.points import Point
from bench.measure.tracking import analyse

SCALE_AND_OFFSET = (
    Trimmer(name="scale trimmer", role="scale"),
    Trimmer(name="offset trimmer", role="offset"),
)
"""The usual two, with nothing known about them."""
TRIAL_SHARE = 0.08
"""A trial turn is this part of a trimmer's whole travel: 2 turns of 25."""


class Turning(Struct, frozen=True, kw_only=True):
    """One trimmer to turn."""

    trimmer: str
    role: str
    turns: float
    """Clockwise above zero."""
    trial: bool
    """True when the turn is there to learn what the trimmer does."""
    watch_volts: float | None = None
    """Set this control voltage and turn until `watch_hertz` is read; None when turns must do."""
    watch_hertz: float | None = None
    words: str = ""
    """The same for people."""

    @property
    def direction(self) -> str:
        """`clockwise` or `anticlockwise`."""
        return "clockwise" if self.turns > 0 else "anticlockwise"


class Advice(Struct, frozen=True, kw_only=True):
    """What the passes say, and what to do next."""

    done: bool
    """True when every point is within the limit."""
    worst: float
    """Greatest error of a point in the last pass, cents."""
    turnings: tuple[Turning, ...]
    """To be made in this order, then measure again; empty when done or when turning cannot help."""
    converging: bool | None
    """Whether passes come closer; None before there are two."""
    suspects: tuple[str, ...]
    """What to look for when it does not come right."""
    words: tuple[str, ...]
    """All of it for people, in order."""
    learned: Learned
    reference: Point
    """Wanted pitch and its voltage."""


def advise(
    passes: Sequence[Pass],
    trimmers: Sequence[Trimmer] = SCALE_AND_OFFSET,
    target: Point | None = None,
    close_enough: float = 2.0,
) -> Advice:
    """Say what to turn next after one or more passes.

    `target` is the wanted pitch at a voltage; by default the equal-tempered note nearest to the lowest point
    of the last pass. `close_enough` is in cents. Raises TrackingError for unusable points, BenchError for
    trimmers that make no sense.
    """
    _check(passes, trimmers)
    last = analyse(passes[-1].points, target)
    reference = last.reference
    roles = {trimmer.role: trimmer for trimmer in trimmers}
    top_volts = max(p.volts for done in passes for p in done.points) if "top" in roles else None
    states = [state_of(done.points, reference, top_volts) for done in passes]
    state = states[-1]
    errors = [_worst(each, "offset" in roles) for each in states]
    learned = learn(states, passes, trimmers)
    converging = None if len(errors) < 2 else errors[-1] <= close_enough or errors[-1] < 0.7 * errors[-2]
    if errors[-1] <= close_enough:
        return Advice(
            done=True,
            worst=errors[-1],
            turnings=(),
            converging=converging,
            suspects=(),
            words=(f"every point is within {close_enough:g} cents: leave it",),
            learned=learned,
            reference=reference,
        )
    turnings = _turnings(state, learned, roles, reference, close_enough)
    best = max(abs(value) for value in state.fit.residuals)
    suspects = _suspects(errors, best, learned, turnings, roles, close_enough)
    if best > close_enough and errors[-1] - best < close_enough / 2:
        turnings = ()
    words = (f"the worst point is {errors[-1]:.1f} cents off", *(turning.words for turning in turnings))
    if turnings:
        words += ("measure every octave again",)
    return Advice(
        done=False,
        worst=errors[-1],
        turnings=turnings,
        converging=converging,
        suspects=suspects,
        words=words + suspects,
        learned=learned,
        reference=reference,
    )


def _check(passes: Sequence[Pass], trimmers: Sequence[Trimmer]) -> None:
    if not passes:
        raise BenchError("nothing was measured yet", hint="measure the oscillator at every octave first")
    roles = [trimmer.role for trimmer in trimmers]
    if not set(roles) <= set(ROLES) or len(set(roles)) < len(roles) or "scale" not in roles:
        raise BenchError(
            f"trimmers for {', '.join(roles) or 'nothing'} cannot be advised on",
            hint="name one scale trimmer, and at most one each for offset and top",
        )
    names = {trimmer.name for trimmer in trimmers}
    for done in passes:
        for turn in done.turned:
            if turn.trimmer not in names:
                raise BenchError(
                    f"{turn.trimmer!r} was turned but is no trimmer of this oscillator",
                    hint=f"it has {', '.join(sorted(names))}",
                )


def _worst(state: State, with_offset: bool) -> float:
    lift = 0.0 if with_offset else state.offset
    return max(abs(value - lift) for value in state.above)


def _turnings(
    state: State, learned: Learned, roles: dict[str, Trimmer], reference: Point, close_enough: float
) -> tuple[Turning, ...]:
    """Scale first, then offset with what the scale will have moved, the top last."""
    span = state.volts[-1] - state.volts[0]
    turnings: list[Turning] = []
    pivot, scale_move = learned.pivot, 0.0
    if abs(state.scale) * span > close_enough / 4 or "offset" not in roles:
        scale = roles["scale"]
        rate = learned.scale_per_turn
        sure = rate is not None and rate.known and scale.name not in learned.idle
        turns = _needed(-state.scale, rate, scale) if sure else _trial(scale, learned, state.scale)
        watch = _scale_watch(state, pivot, reference) if pivot is not None and sure else None
        turnings.append(_turning(scale, turns, not sure, watch, state.scale, "cents per octave"))
        if not sure or (pivot is None and abs(state.scale) * PIVOT_DOUBT > close_enough):
            return tuple(turnings)
        scale_move = -state.scale
    after = state.offset + (pivot.value if pivot else 0.0) * scale_move
    if "offset" in roles and abs(after) > close_enough / 4:
        offset = roles["offset"]
        rate = learned.offset_per_turn
        sure = rate is not None and rate.known and offset.name not in learned.idle
        turns = _needed(-after, rate, offset) if sure else _trial(offset, learned, after)
        centre = (state.volts[0] + state.volts[-1]) / 2
        middle = min(range(len(state.volts)), key=lambda i: abs(state.volts[i] - centre))
        watch = _watch(state, reference, middle, state.fit.residuals[middle])
        turnings.append(_turning(offset, turns, not sure, watch, after, "cents"))
    if "top" in roles and abs(state.top) > close_enough / 4:
        top = roles["top"]
        rate = learned.top_per_turn
        sure = rate is not None and rate.known and top.name not in learned.idle
        turns = _needed(-state.top, rate, top) if sure else _trial(top, learned, state.top)
        watch = _watch(state, reference, len(state.volts) - 1, state.fit.residuals[-1])
        turnings.append(_turning(top, turns, not sure, watch, state.top, "cents at the top"))
    return tuple(turnings)


def _needed(move: float, rate: Estimate | None, trimmer: Trimmer) -> float:
    assert rate is not None
    turns = move / rate.value
    return max(-trimmer.turns, min(trimmer.turns, turns)) if trimmer.turns else turns


def _trial(trimmer: Trimmer, learned: Learned, error: float) -> float:
    """A turn to learn from: against the error where the sense is known, else clockwise.

    One that taught too little is doubled; one that moved nothing is made the other way.
    """
    size = trimmer.turns * TRIAL_SHARE if trimmer.turns else 1.0
    per_turn = trimmer.range_cents / trimmer.turns if trimmer.turns and trimmer.range_cents else 0.0
    if per_turn:
        size = max(size / 2, min(size * 2, abs(error) / per_turn / 3))
    direction = -1.0 if trimmer.sense and error * trimmer.sense > 0 else 1.0
    if trimmer.name in learned.idle:
        return -direction * size
    return direction * size * 2.0 ** min(3, learned.tries.get(trimmer.name, 0))


def _scale_watch(state: State, pivot: Estimate, reference: Point) -> tuple[float, float]:
    """The end of the range that will move more, and what it should read when the scale is right."""
    reach = [pivot.value + volts - reference.volts for volts in (state.volts[0], state.volts[-1])]
    end = 0 if abs(reach[0]) > abs(reach[1]) else -1
    return _watch(state, reference, end, state.above[end] - state.scale * reach[end])


def _watch(state: State, reference: Point, index: int, wanted_above: float) -> tuple[float, float]:
    volts = state.volts[index]
    return volts, reference.hertz * 2.0 ** (volts - reference.volts + wanted_above / 1200.0)


def _turning(
    trimmer: Trimmer, turns: float, trial: bool, watch: tuple[float, float] | None, error: float, unit: str
) -> Turning:
    way = "clockwise" if turns > 0 else "anticlockwise"
    words = f"{trimmer.role} is off by {error:+.1f} {unit}: "
    words += f"turn {trimmer.name} about {_amount(abs(turns))} {way}"
    if trial:
        words += ", as a trial; if it stops or clicks before that, turn it as far the other way"
    if watch is not None:
        words += f"; at {watch[0]:g} V stop where the frequency is {watch[1]:.2f} Hz"
    return Turning(
        trimmer=trimmer.name,
        role=trimmer.role,
        turns=turns,
        trial=trial,
        words=words,
        watch_volts=watch[0] if watch else None,
        watch_hertz=watch[1] if watch else None,
    )


def _amount(turns: float) -> str:
    """Whole turns from about one up, degrees below.

    >>> _amount(2.25), _amount(1.0), _amount(0.125), _amount(0.0005)
    ('2.2 turns', '1 turn', '45 degrees', 'less than a degree')
    """
    if turns * 360 < 1:
        return "less than a degree"
    if turns < 0.95:
        return f"{turns * 360:.0f} degrees"
    said = f"{turns:.1f}".removesuffix(".0")
    return f"{said} turn" if said == "1" else f"{said} turns"


def _suspects(
    errors: Sequence[float],
    best: float,
    learned: Learned,
    turnings: Sequence[Turning],
    roles: dict[str, Trimmer],
    close_enough: float,
) -> tuple[str, ...]:
    said = [
        f"{name} was turned and nothing moved: it may be at its stop, it may be another trimmer, "
        "or its track or a joint is open"
        for name in learned.idle
    ]
    for turning in turnings:
        trimmer = roles[turning.role]
        if not turning.trial and trimmer.turns and abs(turning.turns) >= trimmer.turns:
            said.append(
                f"{trimmer.name} does not have enough turns for this: look for a wrong resistor value "
                f"or a bad joint in the {turning.role} network"
            )
    if best > close_enough and "top" not in roles:
        said.append(
            f"the points lie up to {best:.1f} cents off any straight line, and no scale or offset trimmer "
            "mends that: check each control voltage with the meter, then look at flattening of the top octave"
        )
    elif best > close_enough:
        said.append(
            f"the points scatter by {best:.1f} cents at any setting: check each control voltage with the "
            "meter, and wait until it is warm"
        )
    if len(errors) > 3 and min(errors[-2:]) > max(0.7 * min(errors[:-2]), 2.0 * close_enough):
        said.append(
            "it does not come closer: it may still be warming up (4 cents for each octave and kelvin without "
            "compensation), a trimmer may be at its stop or not the one named, or the control voltages are "
            "not exact to 0.1 %"
        )
    return tuple(said)
