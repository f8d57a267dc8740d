"""From a kit's trim and the passes in the log to what the trim screen shows; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.kit.kit import Kit, Trim
from bench.log.events import PassMeasured
from bench.measure.tuning.advice import TrimAdvice, advise, done_words
from bench.measure.tuning.learn import Pass, Trimmer, Turn
from bench.measure.tuning.planning import Turning
from bench.measure.tuning.plot import LEAST_HEIGHT, LEAST_WIDTH, plot_cents
from bench.measure.tuning.points import Point, TrackingError, check_points
from bench.measure.tuning.thermal_drift import drift_words, warm_up_words
from bench.measure.tuning.tracking import LinearTracking, Tracking, analyse, analyse_linear
from bench.session.trimmers import CLOSE_ENOUGH, KnownTrimmer, closeness, is_sane, target_of, trimmers_of

WRONG_OCTAVE = 600.0
"""An offset of more cents than this is seldom a trimmer's."""
USUAL_OCTAVES = 5.0
"""Span taken for the warm-up before anything was measured."""


class PointLine(Struct, frozen=True, kw_only=True):
    """One point of a pass."""

    volts: float
    hertz: float
    cents: float | None
    """Above what it should be, cents; None when the pass cannot be used."""


class PassLine(Struct, frozen=True, kw_only=True):
    """One pass."""

    number: int
    """From 1."""
    points: tuple[PointLine, ...]
    """In order of voltage."""
    turned: tuple[Turn, ...]
    """What was turned before it."""

    @property
    def worst(self) -> float | None:
        """Greatest error of a point, cents; None when the pass cannot be used."""
        errors = [abs(point.cents) for point in self.points if point.cents is not None]
        return max(errors) if errors else None


class TrackingView(Struct, frozen=True, kw_only=True):
    """How an oscillator tracks, pass by pass, and what to do next."""

    trim: Trim
    trimmers: tuple[KnownTrimmer, ...]
    """Scale first."""
    close_enough: float
    """Cents that a point may be off."""
    passes: tuple[PassLine, ...]
    wanted: str = ""
    """The pitch aimed at, in words."""
    done: bool = False
    """True when every point of the last pass is close enough."""
    headline: str = ""
    """Where it stands, one sentence; empty before the first pass."""
    fitted: tuple[str, ...] = ()
    """Scale, offset and what bends, with their standard uncertainty."""
    turnings: tuple[Turning, ...] = ()
    """What to turn."""
    todo: tuple[str, ...] = ()
    """What to turn, in order, and what then; in words."""
    suspects: tuple[str, ...] = ()
    """What to look for when it does not come right, and what is odd about the points."""
    warm_up: tuple[str, ...] = ()
    """Drift to expect, and when to wait."""
    plotted: tuple[Pass, ...] = ()
    plot_target: Point | None = None

    @property
    def linear(self) -> bool:
        """True for a hertz-per-volt oscillator."""
        return self.trim.kind == "hertz per volt"


def tracking_view(kit: Kit, trim: Trim, measured: Sequence[PassMeasured]) -> TrackingView:
    """What the passes of this trim say; passes of other trims are left out of account."""
    own = [done for done in measured if done.trim == trim.name]
    view = TrackingView(
        trim=trim,
        trimmers=trimmers_of(kit, trim),
        close_enough=closeness(trim.target) or CLOSE_ENOUGH,
        passes=tuple(_bare(number, done) for number, done in enumerate(own, 1)),
    )
    usable, remarks = _usable(own, view)
    target = target_of(kit, trim)
    found = replace(view, wanted=_wanted(target, view.linear) if target else "")
    passes = [done for _, done in usable]
    if usable:
        try:
            found = _tracked(view, usable, target)
        except SoldersideError as error:
            remarks.append(f"{error.what}; {error.hint}" if error.hint else error.what)
    span = max((_span(done, view.linear) for done in passes), default=USUAL_OCTAVES)
    return replace(
        found,
        suspects=(*found.suspects, *remarks),
        warm_up=(*drift_words(passes), *warm_up_words(kit, round(span, 1), linear=view.linear)),
    )


def plot_rows(view: TrackingView, width: int, height: int) -> list[str]:
    """Cents over octaves, pass by pass, in exactly `height` lines; none when there is no room or no pass."""
    if width < LEAST_WIDTH or height < LEAST_HEIGHT or not view.plotted:
        return []
    try:
        lines = plot_cents(view.plotted, width, height, view.plot_target)
    except SoldersideError:
        return []
    return [line.replace("   volts|", " octaves|") for line in lines] if view.linear else lines


def check_pass(points: Sequence[Point], *, linear: bool) -> None:
    """Raise TrackingError, with what to do, when points cannot make a pass."""
    for point in points:
        if not is_sane(point):
            raise TrackingError(
                f"{point.volts:g} V with {point.hertz:g} Hz is no point of an oscillator",
                "",
                "give volts, then hertz",
            )
    check_points(points)
    if linear:
        analyse_linear(points)


def amount(cents: float) -> str:
    """Cents in words.

    >>> amount(1), amount(2.5)
    ('1 cent', '2.5 cents')
    """
    return f"{cents:g} cent" if cents == 1 else f"{cents:g} cents"


def turn_words(turned: Sequence[Turn]) -> str:
    """What was turned, clockwise above zero.

    >>> turn_words([Turn(trimmer="RV1", turns=2.25), Turn(trimmer="RV3", turns=-1)])
    'RV1 +2.25, RV3 -1'
    """
    return ", ".join(f"{turn.trimmer} {round(turn.turns, 2):+g}" for turn in turned)


# -- passes ------------------------------------------------------------------------------------------
def _usable(own: Sequence[PassMeasured], view: TrackingView) -> tuple[list[tuple[int, Pass]], list[str]]:
    """Passes that can be used with their places, and remarks; turns before one that cannot go to the next."""
    names = {each.trimmer.name for each in view.trimmers}
    found: list[tuple[int, Pass]] = []
    remarks: list[str] = []
    waiting: list[Turn] = []
    for place, done in enumerate(own):
        for name, turns in done.turned:
            if name in names and math.isfinite(turns):
                waiting.append(Turn(trimmer=name, turns=turns))
            else:
                remarks.append(f"before pass {place + 1} {name} was turned, which is none of these trimmers")
        points = tuple(Point(volts=volts, hertz=hertz) for volts, hertz in done.points)
        try:
            check_pass(points, linear=view.linear)
        except SoldersideError as error:
            remarks.append(f"pass {place + 1} is left out of account: {error.what}")
            continue
        found.append((place, Pass(points=points, turned=tuple(waiting))))
        waiting = []
    return found, remarks


def _bare(number: int, done: PassMeasured) -> PassLine:
    points = tuple(PointLine(volts=volts, hertz=hertz, cents=None) for volts, hertz in sorted(done.points))
    turned = tuple(Turn(trimmer=name, turns=turns) for name, turns in done.turned)
    return PassLine(number=number, points=points, turned=turned)


def _span(done: Pass, linear: bool) -> float:
    volts = [point.volts for point in done.points]
    return math.log2(max(volts) / min(volts)) if linear else max(volts) - min(volts)


def _wanted(target: Point, linear: bool) -> str:
    return f"{target.hertz:g} Hz per volt" if linear else f"{target.hertz:.5g} Hz at {target.volts:g} V"


def _filled(view: TrackingView, places: Sequence[int], errors: Sequence[Sequence[float]]) -> TrackingView:
    """The view with the cents of the passes at these places, each in order of voltage."""
    passes = list(view.passes)
    for place, cents in zip(places, errors, strict=True):
        lines = zip(passes[place].points, cents, strict=True)
        points = tuple(replace(point, cents=above) for point, above in lines)
        passes[place] = replace(passes[place], points=points)
    return replace(view, passes=tuple(passes))


# -- what the passes say -----------------------------------------------------------------------------
def _tracked(view: TrackingView, usable: Sequence[tuple[int, Pass]], target: Point | None) -> TrackingView:
    passes = [done for _, done in usable]
    trimmers = [each.trimmer for each in view.trimmers]
    remarks: tuple[str, ...] = ()
    few = min(len({point.volts for point in done.points}) for done in passes) < 4
    if few and any(trimmer.role == "top" for trimmer in trimmers):
        trimmers = [trimmer for trimmer in trimmers if trimmer.role != "top"]
        remarks = ("a pass with fewer than 4 voltages says nothing about the top octave",)
    said = advise(passes, trimmers, target, view.close_enough, linear=view.linear)
    if view.linear:
        view = _linear(view, usable, said, "" if target else ", as measured")
    else:
        view = _octaves(view, usable, said, trimmers)
    return replace(
        view,
        done=said.done,
        headline=_headline(said, view),
        turnings=said.turnings,
        todo=_todo(said),
        suspects=(*(each.words for each in said.suspects), *view.suspects, *remarks),
    )


def _octaves(
    view: TrackingView, usable: Sequence[tuple[int, Pass]], said: TrimAdvice, trimmers: Sequence[Trimmer]
) -> TrackingView:
    """The figures of an oscillator with one octave a volt."""
    found = [analyse(done.points, said.reference) for _, done in usable]
    remarks: tuple[str, ...] = ()
    with_offset = any(trimmer.role == "offset" for trimmer in trimmers)
    if with_offset and abs(found[-1].offset) > WRONG_OCTAVE:
        octaves = found[-1].offset / 1200.0
        remarks = (
            f"all notes lie about {octaves:+.1f} octaves off the wanted pitch: before you turn a trimmer, look "
            "whether the tuning knobs and the octave switch are where they belong",
        )
    lifts = [0.0 if with_offset else each.mean_offset for each in found]
    plotted = tuple(
        Pass(points=tuple(Point(volts=p.volts, hertz=p.hertz * 2.0 ** (-lift / 1200.0)) for p in each.points))
        for each, lift in zip(found, lifts, strict=True)
    )
    errors = [[point.cents - lift for point in each.points] for each, lift in zip(found, lifts, strict=True)]
    wanted = _wanted(said.reference, linear=False)
    return replace(
        _filled(view, [place for place, _ in usable], errors),
        wanted=wanted if with_offset else f"true octaves, whatever the pitch (about {wanted})",
        fitted=_fitted(found[-1], trimmers),
        suspects=remarks,
        plotted=plotted,
        plot_target=said.reference,
    )


def _headline(said: TrimAdvice, view: TrackingView) -> str:
    if said.done:
        words = done_words(said.limit, view.close_enough, said.scatter)
        return f"{words[:1].upper()}{words[1:]}."
    words = f"Worst point {said.worst:.1f} cents off, {view.close_enough:g} allowed."
    if said.limit > view.close_enough:
        words += (
            f" Your readings scatter by {amount(round(said.scatter, 1))}: within "
            f"{amount(round(said.limit, 1))} is as good as can be told."
        )
    if said.converging is None:
        return words
    if said.converging:
        return f"{words} It comes closer."
    return f"{words} No closer than the pass before." if len(view.passes) > 2 else words


def _todo(said: TrimAdvice) -> tuple[str, ...]:
    """What to turn and how to read the next pass, each a sentence."""
    if said.done or not (said.turnings or said.repeat):
        return ()
    words = [turning.words for turning in said.turnings]
    trials = [place for place, turning in enumerate(said.turnings) if turning.trial]
    for place in trials[1:]:
        words[place] = words[place].split("; if it stops")[0]
    if len(words) > 1 and said.turnings[1].role == "offset":
        words[1] = words[1].replace("is off by", "will then be off by", 1)
    if any(turning.watch_hertz is not None for turning in said.turnings):
        words.append("if the pitch moves away from that frequency, turn the other way")
    if said.repeat:
        words.append(
            "turn nothing, and measure every octave once more: that shows drift, and averages the readings"
        )
    else:
        words.append("then measure every octave again")
    if said.readings > 1:
        words[-1] += f"; read each note {said.readings} times and type them all: 0 261.6 261.9 261.7 261.5"
    return tuple(f"{word[:1].upper()}{word[1:]}." for word in words)


def _fitted(found: Tracking, trimmers: Sequence[Trimmer]) -> tuple[str, ...]:
    said = [f"scale {found.scale:+.2f}{_doubt(found.scale_uncertainty)} cents per octave"]
    if any(trimmer.role == "offset" for trimmer in trimmers):
        said.append(f"offset {found.offset:+.2f}{_doubt(found.offset_uncertainty)} cents")
    if found.bent:
        said.append(f"top {found.top:+.2f}{_doubt(found.top_uncertainty)} cents off the lower octaves' line")
    if found.scale_uncertainty is None:
        said.append("two points fit any line: no uncertainty")
    return tuple(said)


def _doubt(uncertainty: float | None) -> str:
    return "" if uncertainty is None else f" ± {max(0.01, uncertainty):.2f}"


# -- hertz per volt ----------------------------------------------------------------------------------
def _linear(view: TrackingView, usable: Sequence[tuple[int, Pass]], said: TrimAdvice, how: str) -> TrackingView:
    """The figures of an oscillator that is hertz per volt."""
    slope = said.reference.hertz
    found = [analyse_linear(done.points, slope, view.close_enough) for _, done in usable]
    errors = [[point.cents for point in each.points] for each in found]
    return replace(
        _filled(view, [place for place, _ in usable], errors),
        wanted=_wanted(said.reference, linear=True) + how,
        fitted=_fitted_linear(found[-1]),
        plotted=tuple(
            Pass(points=tuple(Point(volts=math.log2(p.volts), hertz=p.hertz) for p in each.points))
            for each in found
        ),
        plot_target=Point(volts=0.0, hertz=slope),
    )


def _fitted_linear(found: LinearTracking) -> tuple[str, ...]:
    return (
        f"slope {found.hertz_per_volt:.3f}{_doubt(found.hertz_per_volt_uncertainty)} Hz per volt",
        f"at 0 V {found.hertz_at_zero:+.3f}{_doubt(found.hertz_at_zero_uncertainty)} Hz",
    )
