"""Which trimmer to turn, which way and how far, from what is believed of an oscillator."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct

from bench.measure.tuning.learn import (
    BACKLASH,
    PIVOT_DOUBT,
    TURN_DOUBT,
    USUAL_TURNS,
    Estimate,
    Frame,
    Pass,
    Trimmer,
    TrimmerBelief,
    guess,
    lost_to_backlash,
    turns_of,
)
from bench.measure.tuning.outliers import Weighed, bend_left, share_of
from bench.parts.english import counted

TRIAL_SHARES, HINTED_SHARE = (0.12, 0.25, 0.5), 0.3
"""The most of its travel that a trial turns a trimmer: first, second, later; with a range in the kit."""
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


class TurnCase(Struct, frozen=True, kw_only=True):
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
    belief: TrimmerBelief
    limit: float
    balked: dict[str, int] = {}
    """How often each trimmer was not turned for a trial, for want of room."""


def free_pitch(case: TurnCase) -> bool:
    """Whether only the intervals count, for want of a trimmer that sets the pitch."""
    return not case.frame.linear and "offset" not in case.trimmers


def rows_of(case: TurnCase) -> list[tuple[float, float, float]]:
    """The frame's row at every voltage; where only intervals count, from their mean."""
    rows = [case.frame.row(each) for each in case.volts]
    if not free_pitch(case):
        return rows
    middle = [sum(row[i] for row in rows) / len(rows) for i in range(3)]
    return [(0.0, row[1] - middle[1], row[2] - middle[2]) for row in rows]


# -- what to turn ------------------------------------------------------------------------------------
class TurnPlan:
    """Corrections in order, each from where the one before it leaves the oscillator."""

    def __init__(self, case: TurnCase, stuck: frozenset[str] = frozenset()) -> None:
        self.case = case
        self.stuck = stuck
        self.state = list(case.belief.state())
        best_offset, best_scale, _ = bend_left(case.belief, case.frame, case.volts)
        level = "top" in case.trimmers
        self.aim = (0.0, 0.0) if level else (best_offset, best_scale)
        worst = max(abs(case.belief.error(row).value) for row in rows_of(case))
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
            if role in self.case.trimmers and role not in self.stuck and not (self.blind and role == "offset"):
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
            moved = abs(error) if sure else abs(self.turnings[-1].turns) * guess(case.trimmers["scale"])
            self._lose_sight(pivot.doubt if pivot else PIVOT_DOUBT, moved)

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
    words += f"turn {trimmer.name} {_amount(abs(turns))} {way}"
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

    >>> _amount(2.25), _amount(1.0), _amount(0.9), _amount(0.004), _amount(0.0005)
    ('about 2.2 turns', 'about 1 turn', 'about 324 degrees', 'about 1 degree', 'less than a degree')
    """
    if turns * 360 < 1:
        return "less than a degree"
    if turns < 0.95:
        return f"about {counted(round(turns * 360), 'degree')}"
    said = f"{turns:.1f}".removesuffix(".0")
    return f"about {said} turn" if said == "1" else f"about {said} turns"
