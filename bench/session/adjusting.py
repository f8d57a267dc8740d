"""Trims made by reading until it is right: each reading against the target, and which way it goes; pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from itertools import pairwise

from msgspec import Struct

from bench.errors import SoldersideError
from bench.kit.kit import Kit, Trim
from bench.log.events import ReadingTaken
from bench.plan.plan import Step
from bench.session.trimmers import CLOSE_ENOUGH, closeness, is_tracking, wanted_pitches
from bench.session.verdicts import expects_a_number, meter_of

MANY = 6
"""Readings after which a trim that is not there yet is suspect."""


_COUNTED = re.compile(r"\s*(\d{1,6}) ([a-z]{3,20})\b")
"""A target that is counted: a whole number of things."""


class Judged(Struct, frozen=True, kw_only=True):
    """One reading of a trim."""

    text: str
    """As typed."""
    answer: str
    """`in`, `out`, `too close to call`; empty where the target cannot be reckoned with."""
    words: str
    """The reading against the target, one sentence; empty where it cannot be told."""
    distance: float | None = None
    """How far above the target, in its unit or in cents; None where it cannot be told."""
    notes: tuple[str, ...] = ()
    """What else to know about this reading."""
    aim: str = ""
    """What `distance` is counted from: two readings compare only when this is the same."""
    stop: str = ""
    """Where to stop turning, with its unit."""


class AdjustView(Struct, frozen=True, kw_only=True):
    """A trim that is turned until its reading is right."""

    trim: Trim
    readings: tuple[Judged, ...]
    """Oldest first."""
    done: bool
    """True when the last reading is within the target, and each pitch that the target names was read so."""
    headline: str
    """Where it stands and what to do next."""


def judge_reading(trim: Trim, text: str, meter: Mapping[str, object]) -> Judged:
    """A reading against the trim's target; raises SoldersideError when it cannot be read.

    A target with a tolerance is judged as at a hold point. One that names pitches is judged in cents from the
    nearest of them, one that is counted (`104 beats in 30 s`) is right to one. Any other is for eye and ear.
    """
    if expects_a_number(trim.target):
        return _against_limits(trim.target, text, meter)
    if pitches := wanted_pitches(trim.target):
        return _against_pitches(trim, text, pitches)
    count = _COUNTED.match(trim.target)
    return _against_a_count(int(count[1]), count[2], text) if count else Judged(text=text, answer="", words="")


def wants_a_figure(trim: Trim) -> bool:
    """Whether a trim's target can be judged by a reading typed at its step; not one made by passes."""
    figure = expects_a_number(trim.target) or wanted_pitches(trim.target) or _COUNTED.match(trim.target)
    return bool(figure) and not is_tracking(trim)


def _against_a_count(wanted: int, things: str, text: str) -> Judged:
    said = re.fullmatch(rf"\s*(\d{{1,6}})\s*(?:{things}?)?\s*", text, re.IGNORECASE)
    if said is None:
        raise SoldersideError(f"'{text.strip()[:40]}' is no number of {things}", "", f"such as {wanted}")
    off = int(said[1]) - wanted
    words = f"{abs(off)} {'more' if off > 0 else 'fewer'} than {wanted}" if off else f"{wanted}, as wanted"
    return Judged(
        text=text,
        answer="in" if abs(off) <= 1 else "out",
        words=words,
        distance=float(off),
        aim="the target",
        stop=f"{wanted} {things}",
    )


def trim_of(kit: Kit, step: Step) -> Trim | None:
    """The trim that a step is; None for any other step."""
    return next((each for each in kit.trims if step.action == "adjust" and each.name == step.value), None)


def trim_judged(kit: Kit, step: Step, text: str, meter: Mapping[str, object]) -> Judged | None:
    """A reading of a trim as judged on its screen; None at any other step."""
    trim = trim_of(kit, step)
    return judge_reading(trim, text, meter) if trim is not None else None


def odd(kit: Kit, step: Step, readings: Sequence[ReadingTaken]) -> str:
    """Why a step should not be done yet by its own readings, in a sentence; empty where nothing says so.

    The last reading is out, or a trim whose target is a figure was not read.
    """
    if readings:
        last = readings[-1]
        return f"{last.text} is out ({last.expect} is wanted)." if last.verdict == "out" else ""
    trim = trim_of(kit, step)
    return "Nothing was read here yet." if trim is not None and wants_a_figure(trim) else ""


def adjust_view(trim: Trim, texts: Sequence[str], meter: Mapping[str, object]) -> AdjustView:
    """All readings of a trim as typed, oldest first, and what follows from them."""
    readings: list[Judged] = []
    for text in texts:
        try:
            readings.append(judge_reading(trim, text, meter))
        except SoldersideError as error:
            readings.append(Judged(text=text, answer="", words=error.what))
    done = bool(readings) and readings[-1].answer == "in" and not _unread(trim, readings)
    return AdjustView(trim=trim, readings=tuple(readings), done=done, headline=_headline(trim, readings))


def _against_limits(target: str, text: str, meter: Mapping[str, object]) -> Judged:
    from bench.measure.verdict.meaning import not_yet_adjusted
    from bench.measure.verdict.meter_input import read_against
    from bench.measure.verdict.verdict import judge_text
    from bench.parts.expectation import parse_expectation
    from bench.parts.quantity import Quantity, show

    verdict = judge_text(target, text, meter_of(meter))
    wanted = parse_expectation(target)
    amount = read_against(text, wanted).amount
    middle = wanted.nominal
    if middle is None and wanted.low is not None and wanted.high is not None:
        middle = (wanted.low + wanted.high) / 2
    aim = next((each for each in (middle, wanted.low, wanted.high) if each is not None), None)
    distance = float(amount - aim) if amount is not None and aim is not None else None
    fault = not_yet_adjusted(amount, verdict.guard or Decimal(0), wanted) if amount is not None else ()
    return Judged(
        text=text,
        answer=verdict.answer,
        words=verdict.words,
        distance=distance,
        notes=tuple(each for each in verdict.notes if each not in fault),
        aim="the target",
        stop=show(Quantity(amount=aim, unit=wanted.unit)) if aim is not None else "",
    )


def _against_pitches(trim: Trim, text: str, pitches: Sequence[float]) -> Judged:
    from bench.measure.tuning.points import cents
    from bench.measure.verdict.meter_input import ReadingError, parse_reading

    amount = parse_reading(text, "hertz").amount
    if amount is None or amount <= 0:
        raise ReadingError(f"'{text.strip()[:40]}' is no pitch", hint="type hertz: 261.6")
    hertz = float(amount)
    nearest = min(pitches, key=lambda pitch: abs(cents(hertz, pitch)))
    above = cents(hertz, nearest)
    allowed = closeness(trim.target) or CLOSE_ENOUGH
    answer = "in" if abs(above) <= allowed else "out"
    way = "above" if above > 0 else "below"
    aim = f"{nearest:g} Hz"
    words = f"{hertz:.6g} Hz is {abs(above):.1f} cents {way} {aim}; {allowed:g} are allowed"
    return Judged(text=text, answer=answer, words=words, distance=above, aim=aim, stop=aim)


def _headline(trim: Trim, readings: Sequence[Judged]) -> str:
    if not readings:
        start = f"turn {trim.trimmer or 'it'} {_first_turn(trim)}"
        return f"No reading yet: read, {start}, wait until it is steady, read again."
    last = readings[-1]
    if last.answer == "in":
        left = _unread(trim, readings)
        if left:
            return f"Within the target here. Still to be read: {', '.join(f'{hertz:g} Hz' for hertz in left)}."
        return "Within the target: leave it."
    if not last.answer:
        return "The target is for eye and ear: judge it yourself, and write down what you read."
    if last.answer == "too close to call":
        said = "Too near to a limit for this meter to tell: turn towards the middle."
        return " ".join(filter(None, (said, _way(trim, last))))
    stop = f"Stop at {last.stop}." if last.stop else ""
    pieces = ("Outside the target.", _trend(trim, readings), _way(trim, last), stop, _suspect(readings))
    return " ".join(filter(None, pieces))


def _first_turn(trim: Trim) -> str:
    """How far to turn at first: about a tenth of the travel, a little where that is not known.

    >>> _first_turn(Trim(name="Bias", turns=25)), _first_turn(Trim(name="Bias", turns=1))
    ('about 2 turns', 'about 30 degrees')
    """
    if not trim.turns:
        return "a little"
    return f"about {trim.turns / 12:.0f} turns" if trim.turns >= 18 else f"about {trim.turns * 30} degrees"


def _unread(trim: Trim, readings: Sequence[Judged]) -> list[float]:
    """The pitches of a target whose last reading is not within it, or that were not read."""
    if expects_a_number(trim.target):
        return []
    last = {each.aim: each.answer for each in readings}
    return [hertz for hertz in wanted_pitches(trim.target) if last.get(f"{hertz:g} Hz") != "in"]


def _alike(readings: Sequence[Judged]) -> list[float]:
    """Distances of the last readings that have the same aim, oldest first."""
    found: list[float] = []
    for each in reversed(readings):
        if each.distance is None or each.aim != readings[-1].aim:
            break
        found.append(each.distance)
    return found[::-1]


def _trend(trim: Trim, readings: Sequence[Judged]) -> str:
    """What the last turn did, and how far to turn next, counted in that turn."""
    known = _alike(readings)
    if len(known) < 2:
        return f"Turn {_first_turn(trim)} and read again."
    before, last = known[-2:]
    moved = last - before
    if abs(moved) < 0.02 * abs(last):
        return "It did not move: is it the right trimmer, is it at its end, is its joint open?"
    part = _part(abs(last / moved))
    if before * last < 0:
        return f"It went past: turn back {part}."
    if abs(last) < abs(before):
        return f"It comes closer: go on the same way, {part}."
    return f"It went the wrong way: turn back {part}."


def _part(ratio: float) -> str:
    """A turn compared with the last one, in words.

    >>> _part(0.05), _part(0.3), _part(2.4), _part(30)
    ('a touch', 'about a third of that turn', 'about twice that turn', 'some 5 times that turn')
    """
    if ratio < 0.15:
        return "a touch"
    for limit, words in (
        (0.29, "a quarter of"),
        (0.42, "a third of"),
        (0.58, "half of"),
        (0.85, "three quarters of"),
    ):
        if ratio < limit:
            return f"about {words} that turn"
    if ratio < 1.4:
        return "about that turn"
    if ratio < 2.5:
        return "about twice that turn"
    return f"some {min(5.0, ratio):.0f} times that turn"


def _suspect(readings: Sequence[Judged]) -> str:
    """What to look for when it does not get there."""
    known = _alike(readings)
    if len(known) < 3:
        return ""
    still = all(abs(b - a) < 0.02 * abs(known[-1]) for a, b in zip(known[-3:], known[-2:], strict=False))
    if still:
        return (
            "Two turns and nothing moved: suspect the trimmer's joints or track, or that it is another trimmer."
        )
    if len(known) >= MANY and known[0] * known[-1] > 0 and abs(known[-1]) > 0.5 * abs(known[0]):
        return "It does not get there: suspect a trimmer at its end, or a wrong resistor beside it."
    if len(known) >= MANY and any(a * b < 0 for a, b in pairwise(known)):
        return "It keeps going past: suspect a drift or a loose joint; wait until it is warm, then read twice."
    return ""


def _way(trim: Trim, last: Judged) -> str:
    """Which way, where the kit says what clockwise does."""
    if not last.distance or not trim.clockwise:
        return ""
    clockwise = (last.distance > 0) == (trim.clockwise == "lowers")
    return f"{trim.trimmer or 'The trimmer'} {'clockwise' if clockwise else 'anticlockwise'}."
