"""Trims made by reading until it is right: each reading against the target, and which way it goes; pure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from msgspec import Struct

from bench.build.judging import expects_a_number, meter_of
from bench.build.trimmers import CLOSE_ENOUGH, closeness, wanted_pitches
from bench.errors import BenchError
from bench.kit.model import Trim

FAR = 600.0
"""A pitch farther from every wanted one than this, cents, is told by its ratio to none of them."""


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


class AdjustView(Struct, frozen=True, kw_only=True):
    """A trim that is turned until its reading is right."""

    trim: Trim
    readings: tuple[Judged, ...]
    """Oldest first."""
    done: bool
    """True when the last reading is within the target."""
    headline: str
    """Where it stands and what to do next."""


def judge_reading(trim: Trim, text: str, meter: Mapping[str, object]) -> Judged:
    """A reading against the trim's target; raises BenchError when it cannot be read.

    A target with a tolerance is judged as at a hold point. One that names pitches is judged in cents from the
    nearest of them. Any other is for eye and ear.
    """
    if expects_a_number(trim.target):
        return _against_limits(trim.target, text, meter)
    pitches = wanted_pitches(trim.target)
    return _against_pitches(trim, text, pitches) if pitches else Judged(text=text, answer="", words="")


def adjust_view(trim: Trim, texts: Sequence[str], meter: Mapping[str, object]) -> AdjustView:
    """All readings of a trim as typed, oldest first, and what follows from them."""
    readings: list[Judged] = []
    for text in texts:
        try:
            readings.append(judge_reading(trim, text, meter))
        except BenchError as error:
            readings.append(Judged(text=text, answer="", words=error.what))
    done = bool(readings) and readings[-1].answer == "in"
    return AdjustView(trim=trim, readings=tuple(readings), done=done, headline=_headline(trim, readings))


def _against_limits(target: str, text: str, meter: Mapping[str, object]) -> Judged:
    from bench.measure.verdict import judge_text, parse_expectation, read_against

    verdict = judge_text(target, text, meter_of(meter))
    wanted = parse_expectation(target)
    amount = read_against(text, wanted).amount
    middle = wanted.nominal
    if middle is None and wanted.low is not None and wanted.high is not None:
        middle = (wanted.low + wanted.high) / 2
    aim = next((each for each in (middle, wanted.low, wanted.high) if each is not None), None)
    distance = float(amount - aim) if amount is not None and aim is not None else None
    return Judged(
        text=text,
        answer=verdict.answer,
        words=verdict.words,
        distance=distance,
        notes=verdict.notes,
        aim="the target",
    )


def _against_pitches(trim: Trim, text: str, pitches: Sequence[float]) -> Judged:
    from bench.measure.reading import ReadingError, parse_reading
    from bench.measure.temperament import cents

    amount = parse_reading(text, "hertz").amount
    if amount is None or amount <= 0:
        raise ReadingError(f"'{text.strip()[:40]}' is no pitch", hint="type hertz: 261.6")
    hertz = float(amount)
    nearest = min(pitches, key=lambda pitch: abs(cents(hertz, pitch)))
    above = cents(hertz, nearest)
    allowed = closeness(trim.target) or CLOSE_ENOUGH
    answer = "in" if abs(above) <= allowed else "out"
    way = "above" if above > 0 else "below"
    words = f"{hertz:.6g} Hz is {abs(above):.1f} cents {way} {nearest:g} Hz; {allowed:g} are allowed"
    return Judged(text=text, answer=answer, words=words, distance=above, aim=f"{nearest:g} Hz")


def _headline(trim: Trim, readings: Sequence[Judged]) -> str:
    if not readings:
        return "No reading yet: read, turn a little, wait until it is steady, read again."
    last = readings[-1]
    if last.answer == "in":
        return "Within the target: leave it."
    if not last.answer:
        return "The target is for eye and ear: judge it yourself, and write down what you read."
    if last.answer == "too close to call":
        said = "Too near to a limit for this meter to tell: turn towards the middle."
        return " ".join(filter(None, (said, _way(trim, last))))
    return " ".join(filter(None, ("Outside the target.", _trend(readings), _way(trim, last))))


def _trend(readings: Sequence[Judged]) -> str:
    last = readings[-1]
    before = next((each for each in reversed(readings[:-1]) if each.distance is not None), None)
    if before is None or before.distance is None or last.distance is None or before.aim != last.aim:
        return "Turn a little and read again."
    if before.distance * last.distance < 0:
        return "It went past: turn back, less than before."
    if abs(last.distance) < abs(before.distance):
        return "It comes closer: go on the same way."
    if abs(last.distance) > abs(before.distance):
        return "It went the wrong way: turn back."
    return "It did not move: is it the right trimmer, is it at its end, is its joint open?"


def _way(trim: Trim, last: Judged) -> str:
    """Which way, where the kit says what clockwise does."""
    if not last.distance or not trim.clockwise:
        return ""
    clockwise = (last.distance > 0) == (trim.clockwise == "lowers")
    return f"{trim.trimmer or 'The trimmer'} {'clockwise' if clockwise else 'anticlockwise'}."
