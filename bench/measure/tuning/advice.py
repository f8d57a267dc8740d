"""What to turn next on an oscillator, in plain words and as data, and when turning cannot mend it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.measure.fit import least_squares
from bench.measure.tuning.learn import (
    BACKLASH,
    ROLES,
    Pass,
    Trimmer,
    follow,
    frame_of,
    turns_of,
)
from bench.measure.tuning.outliers import (
    Suspect,
    curve,
    named,
    noise_of,
    quiet_moves,
    scatter_of,
    share_of,
    weigh,
    wild,
)
from bench.measure.tuning.planning import TurnCase, Turning, TurnPlan, free_pitch, rows_of
from bench.measure.tuning.points import Point, TrackingError
from bench.measure.tuning.tracking import analyse, analyse_linear

SCALE_AND_OFFSET = (
    Trimmer(name="scale trimmer", role="scale"),
    Trimmer(name="offset trimmer", role="offset"),
)
"""The usual two, with nothing known about them."""
WIDEST = 3.0
"""The finish line is never wider than this for the sake of noisy readings, cents."""
SURE = 2.4
"""How many standard uncertainties the error must stay within the widest finish line."""
RESTLESS, MOST_READINGS = 0.9, 4
"""Readings that scatter by more than so many cents are to be taken so often, and averaged."""


class TrimAdvice(Struct, frozen=True, kw_only=True):
    """What the passes say, and what to do next."""

    done: bool
    """True when every point is within the finish line, as far as the readings can tell."""
    worst: float
    """Greatest error of a point in the last pass as read, cents."""
    limit: float
    """The finish line, cents: what was asked for, or what the readings allow."""
    scatter: float = 0.0
    """Standard deviation of one reading, cents."""
    turnings: tuple[Turning, ...] = ()
    """To be made in this order, then measure again; empty when done or when turning cannot help."""
    readings: int = 1
    """How often each note should be read in the next pass, and averaged."""
    repeat: bool = False
    """True when nothing should be turned and everything measured once more."""
    converging: bool | None = None
    """Whether passes come closer; None before there are two."""
    suspects: tuple[Suspect, ...] = ()
    """What to look for when it does not come right."""
    words: tuple[str, ...]
    """All of it for people, in order."""
    reference: Point
    """Wanted pitch and its voltage."""


def advise(
    passes: Sequence[Pass],
    trimmers: Sequence[Trimmer] = SCALE_AND_OFFSET,
    target: Point | None = None,
    close_enough: float = 2.0,
    *,
    linear: bool = False,
) -> TrimAdvice:
    """Say what to turn next after one or more passes.

    `target` is the wanted pitch at a voltage (for hertz per volt, the hertz wanted at 1 V); by default the
    equal-tempered note nearest to the lowest point of the last pass, or the slope as it is. `close_enough` is
    in cents. Raises TrackingError for unusable points, SoldersideError for trimmers that make no sense.
    """
    _check(passes, trimmers)
    if linear:
        slope = target.hertz / target.volts if target else analyse_linear(passes[-1].points).hertz_per_volt
        reference = Point(volts=1.0, hertz=slope)
    else:
        found = analyse(passes[-1].points, target)
        if found.gross:
            return TrimAdvice(  # nothing to turn: what is wrong is no matter of trimming
                done=False, worst=found.worst, limit=close_enough, reference=found.reference,
                suspects=(Suspect(kind="gross", words=found.gross),), words=(found.gross,),
            )  # fmt: skip
        reference = found.reference
    frame = frame_of(passes, reference, linear=linear)
    roles = {trimmer.role: trimmer for trimmer in trimmers}
    if "top" in roles and min(len({point.volts for point in done.points}) for done in passes) < 4:
        raise TrackingError("a bend at the top needs at least 4 points", hint="measure every octave")
    scatter, freedom = scatter_of(passes, frame)
    noise = noise_of(scatter, freedom)
    weighed = weigh(passes, trimmers, frame, noise)
    case = TurnCase(
        passes=passes,
        trimmers=roles,
        frame=frame,
        volts=tuple(sorted({point.volts for done in passes for point in done.points})),
        noise=noise,
        scatter=scatter,
        weighed=weighed,
        belief=weighed[0].belief,
        limit=max(close_enough, min(WIDEST, 2.0 * scatter)),
    )
    return _answer(case, close_enough)


def _answer(case: TurnCase, close_enough: float) -> TrimAdvice:
    errors = [_worst_read(done, case) for done in case.passes]
    suspect = wild(case.passes, case.frame, case.scatter, case.limit)
    bent = curve(case.weighed, case.passes, case.frame, case.volts, case.limit)
    suspects = [each for each in (bent, suspect) if each]
    converging = None
    if len(errors) > 1:
        converging = errors[-1] <= case.limit or errors[-1] < 0.7 * errors[-2]
    done = not suspects and _is_right(case)
    turnings: tuple[Turning, ...] = ()
    if not done:
        refused, balked = _refused(case)
        case = replace(case, balked=balked)
        if bent:  # no turn reaches the pitches wanted on a curve: that says nothing about stops
            refused = {}
        turnings, needed = TurnPlan(case).made()
        suspects += named(case.weighed, tuple(case.trimmers.values()), case.passes, case.frame, needed, refused)
        suspects += _no_room(turnings, case)
        turnings = _still_to_turn(turnings, suspects, case, errors)
        slow = len(errors) > 4 and min(errors[-2:]) > max(0.7 * min(errors[:-2]), 2.0 * case.limit)
        if not suspects and _plain(case) < 0.5 and slow:
            suspects.append(_SLOW)
    repeat = not done and not turnings and not {each.kind for each in suspects} & {"dead", "stop", "curve"}
    return TrimAdvice(
        done=done,
        worst=errors[-1],
        limit=case.limit,
        scatter=case.scatter,
        turnings=turnings,
        readings=MOST_READINGS if _is_restless(case) else 1,
        repeat=repeat,
        converging=converging,
        suspects=tuple(suspects),
        words=_words(case, done, errors[-1], turnings, repeat, suspects, close_enough),
        reference=case.frame.reference,
    )


def _check(passes: Sequence[Pass], trimmers: Sequence[Trimmer]) -> None:
    if not passes:
        raise SoldersideError("nothing was measured yet", hint="measure the oscillator at every octave first")
    roles = [trimmer.role for trimmer in trimmers]
    if not set(roles) <= set(ROLES) or len(set(roles)) < len(roles) or "scale" not in roles:
        raise SoldersideError(
            f"trimmers for {', '.join(roles) or 'nothing'} cannot be advised on",
            hint="name one scale trimmer, and at most one each for offset and top",
        )
    names = {trimmer.name for trimmer in trimmers}
    for done in passes:
        for turn in done.turned:
            if turn.trimmer not in names:
                raise SoldersideError(
                    f"{turn.trimmer!r} was turned but is no trimmer of this oscillator",
                    hint=f"it has {', '.join(sorted(names))}",
                )


# -- where it is -------------------------------------------------------------------------------------
def _is_restless(case: TurnCase) -> bool:
    """Whether the readings scatter so that each is to be repeated; once so, it stays so."""
    counts = range(1, len(case.passes) + 1)
    return any(scatter_of(case.passes[:count], case.frame)[0] > RESTLESS for count in counts)


def _worst_read(done: Pass, case: TurnCase) -> float:
    above = [case.frame.above(point) for point in done.points]
    lift = 0.0
    if free_pitch(case):
        rows = [case.frame.row(point.volts)[:2] for point in done.points]
        lift = least_squares(rows, above).coefficients[0]
    return max(abs(each - lift) for each in above)


def _is_right(case: TurnCase) -> bool:
    """Whether the error is within the finish line at every voltage, and surely not far outside of it.

    Under every cause that is at all likely: where it is depends on what is at work.
    """
    surely = max(case.limit, min(1.5 * case.limit, WIDEST))
    if share_of(case.weighed, "drift") > 0.3:
        return False
    beliefs = [each.belief for each in case.weighed if each.share > 0.1]
    for belief in beliefs:
        errors = [belief.error(row) for row in rows_of(case)]
        if max(abs(each.value) for each in errors) > case.limit:
            return False
        if max(abs(each.value) + SURE * each.doubt for each in errors) > surely:
            return False
    return True


def _no_room(turnings: Sequence[Turning], case: TurnCase) -> list[Suspect]:
    """Trimmers with fewer turns than the error needs."""
    return [
        Suspect(
            kind="range",
            trimmer=each.trimmer,
            words=f"{each.trimmer} does not have enough turns for this: look for a wrong resistor value or a "
            f"bad joint in the {each.role} network",
        )
        for each in turnings
        if not each.trial
        and 0 < case.trimmers[each.role].turns <= abs(each.turns)
        and case.belief.effective[each.role] > 0.3 * case.trimmers[each.role].turns
        and case.belief.rate(each.role).doubt < 0.2 * abs(case.belief.rate(each.role).value)
        and share_of(case.weighed, "dead", each.role) + share_of(case.weighed, "stop", each.role) < 0.5
    ]


def _still_to_turn(
    planned: tuple[Turning, ...], suspects: Sequence[Suspect], case: TurnCase, errors: Sequence[float]
) -> tuple[Turning, ...]:
    """What turning can still help.

    Nothing while the pitch moves by itself, or may do; nothing when only more readings can tell. Not a
    suspected trimmer; the others make the best of what it leaves.
    """
    if any(each.kind == "drift" for each in suspects) or _may_drift(planned, case, errors):
        return ()
    ill = {each.trimmer for each in suspects if each.kind in ("dead", "stop")}
    if not ill:
        return planned
    stuck = frozenset(role for role, trimmer in case.trimmers.items() if trimmer.name in ill)
    return TurnPlan(case, stuck).made()[0]


def _may_drift(planned: Sequence[Turning], case: TurnCase, errors: Sequence[float]) -> bool:
    """Whether a pass with nothing turned is the way to find out."""
    if quiet_moves(case.passes):
        return False
    stuck = len(errors) > 3 and errors[-1] > max(2.0 * case.limit, 0.4 * errors[-2])
    known = not any(each.trial for each in planned)
    return (stuck and (known or _plain(case) < 0.5)) or share_of(case.weighed, "drift") > 0.5


def _plain(case: TurnCase) -> float:
    """Probability that the trimmers do as they are told and nothing moves by itself."""
    return sum(each.share for each in case.weighed if all(cause.kind == "curve" for cause in each.causes))


def _asked(case: TurnCase) -> list[tuple[Turning | None, dict[str, Turning]]]:
    """For every pass but the first, the first great correction and all turns that were asked for before it."""
    asked = []
    for place in range(1, len(case.passes)):
        before = case.passes[:place]
        belief = follow(before, tuple(case.trimmers.values()), case.frame, case.noise)
        plan = TurnPlan(replace(case, passes=before, belief=belief))
        turnings = plan.made()[0]
        great = next((each for each in turnings if plan.great[each.role]), None)
        asked.append((great, {each.role: each for each in turnings}))
    return asked


def _refused(case: TurnCase) -> tuple[dict[str, int], dict[str, int]]:
    """How often a trimmer was hardly turned although it was to be: in a row when known, in all for trials."""
    known, trials = dict.fromkeys(case.trimmers, 0), dict.fromkeys(case.trimmers, 0)
    for done, (great, asked) in zip(case.passes[1:], _asked(case), strict=True):
        for role, trimmer in case.trimmers.items():
            made = turns_of(trimmer, done)
            told = great.turns if great and great.role == role and not great.trial else 0.0
            hardly = abs(told) > 2.5 * BACKLASH and made * math.copysign(1.0, told) < 0.3 * abs(told)
            known[role] = known[role] + 1 if hardly else 0
            trials[role] += role in asked and asked[role].trial and not made
    return known, trials


_SLOW = Suspect(
    kind="slow",
    words="it is not converging: it may still be warming up (4 cents for each octave and kelvin "
    "without compensation), a trimmer may be at its stop or not the one named, or the control voltages "
    "are not exact to 0.1 %",
)


# -- in words ----------------------------------------------------------------------------------------
def _words(
    case: TurnCase,
    done: bool,
    worst: float,
    turnings: Sequence[Turning],
    repeat: bool,
    suspects: Sequence[Suspect],
    close_enough: float,
) -> tuple[str, ...]:
    if done:
        return (done_words(case.limit, close_enough, case.scatter),)
    words = [f"the worst point is {worst:.1f} cents off", *(turning.words for turning in turnings)]
    if turnings:
        words.append("measure every octave again")
    elif repeat:
        words.append("turn nothing and measure every octave once more")
    return (*words, *(each.words for each in suspects))


def done_words(limit: float, close_enough: float, scatter: float) -> str:
    """That it is finished, and why the finish line is where it is."""
    if limit <= close_enough:
        return f"every point is within {close_enough:g} {'cent' if close_enough == 1 else 'cents'}: leave it"
    return (
        f"your readings scatter by {scatter:.1f} cents: within {round(limit, 1):g} cents is as good as can be "
        "told, and every point is: leave it"
    )
