"""What to turn next on an oscillator, in plain words and as data, and when turning cannot mend it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import BenchError
from bench.measure.learn import (
    BACKLASH,
    PIVOT_DOUBT,
    ROLES,
    TURN_DOUBT,
    USUAL_TURNS,
    Belief,
    Estimate,
    Frame,
    Learned,
    Pass,
    Trimmer,
    follow,
    frame_of,
    guess,
    lost_to_backlash,
    noise_of,
    quiet_moves,
    scatter_of,
    turns_of,
)
from bench.measure.linear import analyse_linear
from bench.measure.points import Point, TrackingError
from bench.measure.suspects import Suspect, Weighed, bend_left, curve, named, share_of, weigh, wild
from bench.measure.tracking import analyse

SCALE_AND_OFFSET = (
    Trimmer(name="scale trimmer", role="scale"),
    Trimmer(name="offset trimmer", role="offset"),
)
"""The usual two, with nothing known about them."""
WIDEST = 3.0
"""The finish line is never wider than this for the sake of noisy readings, cents."""
SURE = 2.0
"""How many standard uncertainties the error must stay within the widest finish line."""
TRIAL_SHARES, HINTED_SHARE = (0.12, 0.25, 0.5), 0.3
"""The most of its travel that a trial turns a trimmer: first, second, later; with a range in the kit."""
RESTLESS, MOST_READINGS = 1.0, 3
"""Readings that scatter by more than so many cents are to be taken so often, and averaged."""
NEAR = 0.6
"""Within this part of the finish line nothing is turned any more: more readings tell more than turns."""
LEAST_SHARE = 0.02
"""A trial turn is at least this part of the travel: less is lost in backlash."""


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
    """True when every point is within the finish line, as far as the readings can tell."""
    worst: float
    """Greatest error of a point in the last pass as read, cents."""
    limit: float
    """The finish line, cents: what was asked for, or what the readings allow."""
    scatter: float
    """Standard deviation of one reading, cents."""
    turnings: tuple[Turning, ...]
    """To be made in this order, then measure again; empty when done or when turning cannot help."""
    readings: int
    """How often each note should be read in the next pass, and averaged."""
    repeat: bool
    """True when nothing should be turned and everything measured once more."""
    converging: bool | None
    """Whether passes come closer; None before there are two."""
    suspects: tuple[Suspect, ...]
    """What to look for when it does not come right."""
    words: tuple[str, ...]
    """All of it for people, in order."""
    learned: Learned
    reference: Point
    """Wanted pitch and its voltage."""


class _Case(Struct, frozen=True, kw_only=True):
    """What the parts of an answer are made from."""

    passes: Sequence[Pass]
    trimmers: dict[str, Trimmer]
    frame: Frame
    volts: tuple[float, ...]
    """All voltages of all passes."""
    noise: float
    """Standard uncertainty of a reading, cents."""
    scatter: float
    """Of the readings so far, cents."""
    weighed: tuple[Weighed, ...]
    belief: Belief
    limit: float
    balked: dict[str, int] = {}
    """How often each trimmer was not turned for a trial, for want of room."""


def advise(
    passes: Sequence[Pass],
    trimmers: Sequence[Trimmer] = SCALE_AND_OFFSET,
    target: Point | None = None,
    close_enough: float = 2.0,
    *,
    linear: bool = False,
) -> Advice:
    """Say what to turn next after one or more passes.

    `target` is the wanted pitch at a voltage (for hertz per volt, the hertz wanted at 1 V); by default the
    equal-tempered note nearest to the lowest point of the last pass, or the slope as it is. `close_enough` is
    in cents. Raises TrackingError for unusable points, BenchError for trimmers that make no sense.
    """
    _check(passes, trimmers)
    if linear:
        slope = target.hertz / target.volts if target else analyse_linear(passes[-1].points).hertz_per_volt
        reference = Point(volts=1.0, hertz=slope)
    else:
        reference = analyse(passes[-1].points, target).reference
    frame = frame_of(passes, reference, linear=linear)
    roles = {trimmer.role: trimmer for trimmer in trimmers}
    if "top" in roles and min(len({point.volts for point in done.points}) for done in passes) < 4:
        raise TrackingError("a bend at the top needs at least 4 points", hint="measure every octave")
    scatter, freedom = scatter_of(passes, frame)
    noise = noise_of(scatter, freedom)
    weighed = weigh(passes, trimmers, frame, noise)
    case = _Case(
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


def _answer(case: _Case, close_enough: float) -> Advice:
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
        turnings, needed = _Plan(case).made()
        suspects += named(case.weighed, tuple(case.trimmers.values()), case.passes, case.frame, needed, refused)
        suspects += _no_room(turnings, case)
        turnings = _still_to_turn(turnings, suspects, case, errors)
        if not suspects and _plain(case) < 0.5 and _is_slow(errors, case.limit):
            suspects.append(_slow())
    repeat = not done and not turnings and not {each.kind for each in suspects} & {"dead", "stop", "curve"}
    return Advice(
        done=done,
        worst=errors[-1],
        limit=case.limit,
        scatter=case.scatter,
        turnings=turnings,
        readings=MOST_READINGS if case.scatter > RESTLESS else 1,
        repeat=repeat,
        converging=converging,
        suspects=tuple(suspects),
        words=_words(case, done, errors[-1], turnings, repeat, suspects, close_enough),
        learned=_learned(case.belief, case.trimmers, len(case.passes)),
        reference=case.frame.reference,
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


# -- where it is -------------------------------------------------------------------------------------
def _free_pitch(case: _Case) -> bool:
    """Whether only the intervals count, for want of a trimmer that sets the pitch."""
    return not case.frame.linear and "offset" not in case.trimmers


def _worst_read(done: Pass, case: _Case) -> float:
    above = [case.frame.above(point) for point in done.points]
    lift = 0.0
    if _free_pitch(case):
        lift = _line(case.frame, [point.volts for point in done.points], above)[0]
    return max(abs(each - lift) for each in above)


def _line(frame: Frame, volts: Sequence[float], above: Sequence[float]) -> tuple[float, ...]:
    from bench.measure.fit import least_squares

    return least_squares([frame.row(each)[:2] for each in volts], above).coefficients


def _rows(case: _Case) -> list[tuple[float, float, float]]:
    """The frame's row at every voltage; where only intervals count, from their mean."""
    rows = [case.frame.row(each) for each in case.volts]
    if not _free_pitch(case):
        return rows
    middle = [sum(row[i] for row in rows) / len(rows) for i in range(3)]
    return [(0.0, row[1] - middle[1], row[2] - middle[2]) for row in rows]


def _is_right(case: _Case) -> bool:
    """Whether the error is within the finish line at every voltage, and surely not far outside of it.

    Under every cause that is at all likely: where it is depends on what is at work.
    """
    surely = max(case.limit, min(1.5 * case.limit, WIDEST))
    if share_of(case.weighed, "drift") > 0.3:
        return False
    beliefs = [each.belief for each in case.weighed if each.share > 0.1]
    for belief in beliefs:
        errors = [belief.error(row) for row in _rows(case)]
        if max(abs(each.value) for each in errors) > case.limit:
            return False
        if max(abs(each.value) + SURE * each.doubt for each in errors) > surely:
            return False
    return True


def _learned(belief: Belief, roles: dict[str, Trimmer], count: int) -> Learned:
    rates = {role: belief.rate(role) if role in roles and count > 1 else None for role in ROLES}
    return Learned(
        scale_per_turn=rates["scale"],
        pivot=belief.pivot() if count > 1 else None,
        offset_per_turn=rates["offset"],
        top_per_turn=rates["top"],
    )


# -- what to turn ------------------------------------------------------------------------------------
class _Plan:
    """Corrections in order, each from where the one before it leaves the oscillator."""

    def __init__(self, case: _Case, stuck: frozenset[str] = frozenset()) -> None:
        self.case = case
        self.stuck = stuck
        self.state = list(case.belief.state())
        best_offset, best_scale, _ = bend_left(case.belief, case.frame, case.volts)
        level = "top" in case.trimmers
        self.aim = (0.0, 0.0) if level else (best_offset, best_scale)
        worst = max(abs(case.belief.error(row).value) for row in _rows(case))
        self.far = worst > NEAR * case.limit
        self.turnings: list[Turning] = []
        self.needed: dict[str, tuple[float, str]] = {}
        self.great: dict[str, bool] = {}
        """Whether what a trimmer has to correct is well beyond the finish line."""
        self.blind = False
        """True once a trial of the scale leaves the offset unknown."""

    def made(self) -> tuple[tuple[Turning, ...], dict[str, tuple[float, str]]]:
        """What to turn, and what each trimmer that is off would need, in turns and in words."""
        order = ("offset", "scale", "top") if self.case.frame.linear else ("scale", "offset", "top")
        for role in order:
            masked = role == "top" and "scale" in self.stuck
            if role in self.case.trimmers and role not in self.stuck and not (self.blind and role == "offset"):
                if masked:
                    continue
                getattr(self, f"_{role}")()
        return tuple(self.turnings), self.needed

    def _doubt(self, row: tuple[float, float, float]) -> float:
        return self.case.belief.error(row).doubt

    def _worth_it(self, role: str, effect: float, doubt: float, reach: float = 1.0) -> bool:
        """Whether a correction is worth a turn: more than chance, and more than the turn itself leaves open."""
        limit = self.case.limit
        if abs(effect) < max(limit / 5, 0.6 * doubt):
            return False
        if not self._sure(role) and abs(effect) < max(limit / 2, 1.5 * doubt):
            return False
        left = BACKLASH * abs(self.case.belief.rate(role).value) * reach
        return self.far or abs(effect) > 2.0 * left

    def _scale(self) -> None:
        case, frame = self.case, self.case.frame
        reach = 1.0 if frame.linear else (case.volts[-1] - case.volts[0]) / 2
        error, doubt = self.state[1] - self.aim[1], self._doubt((0.0, 1.0, 0.0))
        if not self._worth_it("scale", error * reach, doubt * reach, reach):
            return
        self.great["scale"] = abs(error * reach) > 2.0 * case.limit + 2.0 * doubt * reach
        pivot = case.belief.pivot()
        sure = self._sure("scale")
        watch = None
        if frame.linear:
            watch = self._watch(case.volts[-1], (self.state[0], self.aim[1], self.state[2]))
        elif sure and pivot is not None:
            watch = self._scale_watch(pivot, error)
        unit = "cents" if frame.linear else "cents per octave"
        self._turn("scale", error, doubt, watch, unit)
        self.state[1] = self.aim[1]
        if not frame.linear and pivot is not None:
            self.state[0] -= pivot.value * error
        if not frame.linear:
            self._lose_sight(pivot.doubt if pivot else PIVOT_DOUBT, abs(error) if sure else self._trial_moves())

    def _trial_moves(self) -> float:
        """Cents per octave that the trial of the scale trimmer just planned will likely move."""
        return abs(self.turnings[-1].turns) * guess(self.case.trimmers["scale"])

    def _lose_sight(self, spread: float, moved: float) -> None:
        """Whether turning the scale leaves the offset too uncertain to be corrected in the same round."""
        self.blind = spread * moved > max(50.0, 0.3 * abs(self.state[0] - self.aim[0]))

    def _scale_watch(self, pivot: Estimate, error: float) -> tuple[float, float] | None:
        """The end of the range that will move more, and what it should read when the scale is right."""
        case, at = self.case, self.case.frame.reference.volts
        volts = max((case.volts[0], case.volts[-1]), key=lambda each: abs(pivot.value + each - at))
        if pivot.doubt > TURN_DOUBT * abs(pivot.value + volts - at):
            return None
        return self._watch(volts, (self.state[0] - pivot.value * error, self.aim[1], self.state[2]))

    def _offset(self) -> None:
        case, frame = self.case, self.case.frame
        if frame.linear:
            error, row, volts = self.state[0] - self.aim[0], (1.0, 0.0, 0.0), case.volts[0]
        else:
            centre = (case.volts[0] + case.volts[-1]) / 2
            volts = min(case.volts, key=lambda each: abs(each - centre))
            octaves = volts - frame.reference.volts
            error = self.state[0] - self.aim[0] + (self.state[1] - self.aim[1]) * octaves
            row = (1.0, octaves, 0.0)
        doubt = self._doubt(row)
        if not self._worth_it("offset", error, doubt):
            return
        unit = f"cents at {volts:g} V" if frame.linear else "cents"
        after = (self.state[0] - error, self.state[1], self.state[2])
        self._turn("offset", error, doubt, self._watch(volts, after), unit)
        self.blind = not frame.linear and self.turnings[-1].trial
        self.state[0] -= error

    def _top(self) -> None:
        error, doubt = self.state[2], self._doubt((0.0, 0.0, 1.0))
        if not self._worth_it("top", error, doubt):
            return
        after = (self.state[0], self.state[1], 0.0)
        watch = None if self.blind else self._watch(self.case.volts[-1], after)
        self._turn("top", error, doubt, watch, "cents at the top")
        self.state[2] = 0.0

    def _watch(self, volts: float, state: tuple[float, float, float]) -> tuple[float, float]:
        above = sum(a * b for a, b in zip(self.case.frame.row(volts), state, strict=True))
        return volts, self.case.frame.hertz(volts, above)

    def _sure(self, role: str) -> bool:
        rate = self.case.belief.rate(role)
        least = 0.1 * guess(self.case.trimmers[role], linear=self.case.frame.linear)
        return abs(rate.value) > max(least, 2.5 * rate.doubt)

    def _turn(
        self, role: str, error: float, doubt: float, watch: tuple[float, float] | None, unit: str
    ) -> None:
        trimmer, sure = self.case.trimmers[role], self._sure(role)
        sure = sure and not self._in_vain(trimmer)
        turns = self._correction(trimmer, error) if sure else self._trial(trimmer, error, doubt)
        watch = watch if sure else None
        self.great.setdefault(role, abs(error) > 2.0 * self.case.limit + 2.0 * doubt)
        self.needed[role] = turns, f"{error:+.1f} {unit}"
        self.turnings.append(_turning(trimmer, turns, not sure, watch, error, unit))

    def _correction(self, trimmer: Trimmer, error: float) -> float:
        """The turn that leaves least error on average: a rate in doubt makes it shorter."""
        rate = self.case.belief.rate(trimmer.role)
        turns = -error * rate.value / (rate.value**2 * (1.0 + TURN_DOUBT**2) + rate.doubt**2)
        before = self._last_turn(trimmer)
        if before * turns < 0:
            turns += math.copysign(lost_to_backlash(turns), turns)
        travel = trimmer.turns or 4.0 * USUAL_TURNS
        if not trimmer.range_cents:
            travel = min(travel, max(0.4 * travel, 8.0 * self.case.belief.effective[trimmer.role]))
        return max(-travel, min(travel, turns))

    def _last_turn(self, trimmer: Trimmer) -> float:
        made = [turns_of(trimmer, done) for done in self.case.passes[1:]]
        return next((turns for turns in reversed(made) if turns), 0.0)

    def _in_vain(self, trimmer: Trimmer) -> bool:
        """Whether a trimmer was turned one way only and probably moved nothing."""
        made = [turns_of(trimmer, done) for done in self.case.passes[1:]]
        if not any(made) or min(made) < 0 < max(made):
            return False
        way = 1 if sum(made) > 0 else -1
        dead, stop = (
            share_of(self.case.weighed, kind, trimmer.role, at) for kind, at in (("dead", 0), ("stop", way))
        )
        return dead + stop > 0.5 and dead > 0.1

    def _trial(self, trimmer: Trimmer, error: float, doubt: float) -> float:
        """A turn to learn from: as long as the error and the trimmer's likely range ask for, within bounds.

        It should move more than the readings scatter. After one that moved nothing, the other way; after more
        of them, farther.
        """
        case, role = self.case, trimmer.role
        travel, usual = trimmer.turns or USUAL_TURNS, guess(trimmer, linear=case.frame.linear)
        rate, before = case.belief.rate(role), self._last_turn(trimmer)
        made = sum(bool(turns_of(trimmer, done)) for done in case.passes[1:])
        spread = usual if not before else max(0.1 * usual, min(usual, math.hypot(rate.value, rate.doubt)))
        most = max(HINTED_SHARE if trimmer.range_cents else 0.0, TRIAL_SHARES[min(made, len(TRIAL_SHARES) - 1)])
        size = max(0.8 * abs(error), 8.0 * doubt) / spread
        size = max(LEAST_SHARE * travel, 4.0 * BACKLASH, min(most * travel, size))
        balked = case.balked.get(role, 0)
        size *= 0.3**balked
        if (before and abs(rate.value) < 1.5 * rate.doubt) or self._in_vain(trimmer):
            return -math.copysign(size, before)
        sense = math.copysign(1.0, rate.value) if before else trimmer.sense
        way = -math.copysign(size, error * sense) if sense else size
        return -way if balked % 2 else way


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


def _no_room(turnings: Sequence[Turning], case: _Case) -> list[Suspect]:
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
    planned: tuple[Turning, ...], suspects: Sequence[Suspect], case: _Case, errors: Sequence[float]
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
    return _Plan(case, stuck).made()[0]


def _may_drift(planned: Sequence[Turning], case: _Case, errors: Sequence[float]) -> bool:
    """Whether a pass with nothing turned is the way to find out."""
    if quiet_moves(case.passes):
        return False
    stuck = len(errors) > 3 and errors[-1] > max(2.0 * case.limit, 0.4 * errors[-2])
    known = not any(each.trial for each in planned)
    return (stuck and (known or _plain(case) < 0.5)) or share_of(case.weighed, "drift") > 0.5


def _plain(case: _Case) -> float:
    """Probability that the trimmers do as they are told and nothing moves by itself."""
    return sum(each.share for each in case.weighed if all(cause.kind == "curve" for cause in each.causes))


def _asked(case: _Case) -> list[tuple[Turning | None, dict[str, Turning]]]:
    """For every pass but the first, the first great correction and all turns that were asked for before it."""
    asked = []
    for place in range(1, len(case.passes)):
        before = case.passes[:place]
        belief = follow(before, tuple(case.trimmers.values()), case.frame, case.noise)
        plan = _Plan(replace(case, passes=before, belief=belief))
        turnings = plan.made()[0]
        great = next((each for each in turnings if plan.great[each.role]), None)
        asked.append((great, {each.role: each for each in turnings}))
    return asked


def _refused(case: _Case) -> tuple[dict[str, int], dict[str, int]]:
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


def _is_slow(errors: Sequence[float], limit: float) -> bool:
    return len(errors) > 4 and min(errors[-2:]) > max(0.7 * min(errors[:-2]), 2.0 * limit)


def _slow() -> Suspect:
    return Suspect(
        kind="slow",
        words="it does not come closer: it may still be warming up (4 cents for each octave and kelvin "
        "without compensation), a trimmer may be at its stop or not the one named, or the control voltages "
        "are not exact to 0.1 %",
    )


# -- in words ----------------------------------------------------------------------------------------
def _words(
    case: _Case,
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
