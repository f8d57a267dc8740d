"""Is a reading within its limits, as far as this meter can tell: in, out, or too close to call.

Sources: JCGM 106:2012 (probability of conformity); ILAC-G8:09/2019 (guard band w = U with k = 2: less than
2.5 % false acceptance). A meter's stated accuracy is a limit, not a standard uncertainty, so it is divided by
the root of three. A reading nearer to a limit than the guard band, on either side, is too close to call.
"""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Literal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.measure.verdict.meaning import meaning, probes, size_counts
from bench.measure.verdict.meter import DEFAULT_METER, Meter, MeterError, MeterRange, choose_range
from bench.measure.verdict.meter_input import MeterReading, ReadingError, read_against
from bench.parts.expectation import Expectation, parse_expectation, plural, show_amount

Answer = Literal["in", "out", "too close to call"]
COVERAGE = 2
"""Coverage factor k of the guard band."""


class Verdict(Struct, frozen=True, kw_only=True):
    """The answer, and all that it rests on."""

    answer: Answer
    words: str
    """One sentence: the reading, the limits and where it lies."""
    guard_words: str = ""
    """How far the meter may be off and the guard band that follows, in words and numbers."""
    notes: tuple[str, ...] = ()
    """Anything the builder should know about this reading."""
    accuracy: Decimal | None = None
    """Limit of error of the meter at this reading, base unit; None where it plays no part."""
    guard: Decimal | None = None
    """Guard band, base unit; None where it plays no part."""
    probability: float | None = None
    """Probability that the true value is within the limits; None where it plays no part."""


def conformity(value: float, uncertainty: float, low: float | None, high: float | None) -> float:
    """Probability that the true value lies within the limits, for a normal error (JCGM 106:2012, 7).

    `uncertainty` is the standard uncertainty, in the unit of the others. Raises SoldersideError below zero.

    >>> round(conformity(-5.47, 0.05, None, -5.40), 2)
    0.92
    """
    if uncertainty < 0 or not math.isfinite(uncertainty):
        raise SoldersideError(f"{uncertainty} is not an uncertainty", hint="give a number, not below zero")
    if uncertainty == 0:
        return float((low is None or value >= low) and (high is None or value <= high))
    below = 0.0 if low is None else _normal((low - value) / uncertainty)
    above = 0.0 if high is None else _normal((value - high) / uncertainty)
    return max(0.0, 1.0 - below - above)


def _normal(z: float) -> float:
    """The normal distribution up to z."""
    return math.erfc(-z / math.sqrt(2.0)) / 2.0


def standard_uncertainty(accuracy: Decimal, rounding: Decimal = Decimal(0)) -> Decimal:
    """Standard uncertainty from two limits of error, both taken as rectangular: root of (a² + b²) / 3."""
    return ((accuracy * accuracy + rounding * rounding) / 3).sqrt()


def judge_text(expect: str, reading: str, meter: Meter = DEFAULT_METER) -> Verdict:
    """The verdict on a reading as typed against an expectation as written; raises SoldersideError."""
    expectation = parse_expectation(expect)
    return judge(expectation, read_against(reading, expectation), meter)


def judge(expectation: Expectation, reading: MeterReading, meter: Meter = DEFAULT_METER) -> Verdict:
    """Judge a reading, taken on the smallest range of the meter that holds it.

    Raises ReadingError for the wrong unit, MeterError for overload in a unit that the meter does not measure.

    >>> judge_text("5 V ± 4 %", "5.02").answer
    'in'
    """
    if expectation.unit and reading.unit != expectation.unit:
        raise ReadingError(
            f"'{reading.text.strip()}' is not in {plural(expectation.unit)}",
            hint=f"expected is {expectation.words}",
        )
    if expectation.open:
        return _judge_open(expectation, reading)
    if reading.amount is None:
        return _judge_overload(expectation, reading, meter)
    return _judge_amount(expectation, reading, reading.amount, meter)


def _judge_open(expectation: Expectation, reading: MeterReading) -> Verdict:
    if reading.unit not in ("ohm", ""):
        hint = "an open circuit is measured in ohms"
        raise ReadingError(f"'{reading.text.strip()}' is not in ohms", hint=hint)
    if reading.amount is None:
        return Verdict(answer="in", words=f"{reading.words}: no connection, as it should be")
    notes = tuple(meaning(reading.amount, Decimal(0), expectation))
    return Verdict(answer="out", words=f"{reading.words}: should be open, but is not", notes=notes)


def _judge_overload(expectation: Expectation, reading: MeterReading, meter: Meter) -> Verdict:
    """Overload says only that the value lies beyond the range in use."""
    ranges = meter.ranges(expectation.unit, expectation.alternating)
    if not ranges:
        raise MeterError(
            f"{meter.name} does not measure {plural(expectation.unit)}",
            hint="type what the meter shows, or describe the meter in the settings",
        )
    most = ranges[-1].full_scale
    least = -most if reading.negative and not size_counts(expectation) else most
    way = "less" if least < 0 else "more"
    named = f"{reading.words} means {way} than {show_amount(least, expectation.unit)}"
    ends = [abs(end) for end in (expectation.low, expectation.high) if end is not None]
    notes: tuple[str, ...] = ()
    if ranges[0].full_scale < max(ends):
        live = "power off, " if expectation.unit in ("volt", "ampere") else ""
        notes = (f"that holds on the meter's largest range; on a smaller one: {live}switch up and read again",)
    answer = _beyond(expectation, least)
    if answer == "in" and expectation.unit != "ohm":
        answer = "too close to call"  # a smaller range may be in use, or far more is there than anybody wants
    if answer == "out":
        notes = (*meaning(None, Decimal(0), expectation), *notes)
    where = {"out": "outside the limits", "in": "within the limits"}.get(answer, "which does not settle it")
    return Verdict(answer=answer, words=f"{named}, {where} ({expectation.words})", notes=notes)


def _beyond(expectation: Expectation, least: Decimal) -> Answer:
    """What is known of a value that lies beyond `least`, away from zero."""
    low, high = expectation.low, expectation.high
    if least < 0:  # as a mirror image
        low, high, least = _negated(high), _negated(low), -least
    if high is not None:
        return "out" if least >= high else "too close to call"
    return "in" if low is not None and least >= low else "too close to call"


def _negated(limit: Decimal | None) -> Decimal | None:
    return None if limit is None else -limit


def _judge_amount(expectation: Expectation, reading: MeterReading, amount: Decimal, meter: Meter) -> Verdict:
    unit, low, high = expectation.unit, expectation.low, expectation.high
    notes: list[str] = []
    in_use = choose_range(meter, amount, unit, expectation.alternating)
    accuracy = in_use.accuracy(amount) if in_use else Decimal(0)
    step = reading.resolution
    rounding = step / 2 if in_use is None or step > in_use.resolution else Decimal(0)
    guard = COVERAGE * standard_uncertainty(accuracy, rounding)
    value = amount
    if unit == "ohm" and amount < -guard:
        raise ReadingError(
            f"{reading.words}: a resistance cannot be negative",
            hint="there is voltage across the probes: power off, let it discharge, read again",
        )
    if size_counts(expectation) and amount < 0 and unit != "ohm":
        value = -amount
        notes.append("the minus sign was ignored: only the size counts here")
    answer = _answer(value, guard, low, high)
    ends = [None if end is None else float(end) for end in (low, high)]
    probability = conformity(float(value), float(guard) / COVERAGE, *ends)
    if amount == 0 and answer == "in" and unit == "ampere" and size_counts(expectation):
        notes.append(
            "no current at all: is the meter in series, its red lead in the ampere socket, its fuse whole?"
        )
    notes += _notes(expectation, amount, answer, guard, in_use, rounding, step)
    margin = ", but nearer to a limit than this meter can tell" if answer == "too close to call" else ""
    return Verdict(
        answer=answer,
        words=f"{reading.words} is {_place(amount, value, low, high)} ({expectation.words}){margin}",
        guard_words=_guard_words(guard, accuracy, rounding, in_use, unit, meter),
        notes=tuple(notes),
        accuracy=accuracy,
        guard=guard,
        probability=probability,
    )


def _answer(value: Decimal, guard: Decimal, low: Decimal | None, high: Decimal | None) -> Answer:
    if (low is not None and value < low - guard) or (high is not None and value > high + guard):
        return "out"
    if (low is None or value >= low + guard) and (high is None or value <= high - guard):
        return "in"
    return "too close to call"


def _place(amount: Decimal, value: Decimal, low: Decimal | None, high: Decimal | None) -> str:
    """Where the reading lies; below and above are said only where nothing has a minus sign."""
    under, over = low is not None and value < low, high is not None and value > high
    if not under and not over:
        return "within the limits"
    if amount < 0 or (high is not None and high < 0) or (low is not None and low < 0):
        return "outside the limits"
    return "below the limits" if under else "above the limits"


def _guard_words(
    guard: Decimal,
    accuracy: Decimal,
    rounding: Decimal,
    in_use: MeterRange | None,
    unit: str,
    meter: Meter,
) -> str:
    if in_use is None:
        start = f"{meter.name} has no accuracy for {plural(unit)}, so only the last digit typed counts"
    else:
        spec = f"± {in_use.percent.normalize():f} % and {in_use.counts:f} counts"
        start = (
            f"{meter.name} may be off by {show_amount(accuracy, unit, 2)} here "
            f"({spec}, range {show_amount(in_use.full_scale, unit)}, assumed: the smallest that holds it)"
        )
    if rounding and in_use is not None:
        start += f", and the last digit typed leaves {show_amount(rounding, unit, 2)} open"
    return f"{start}: guard band {show_amount(guard, unit, 2)} at each limit (k = {COVERAGE})"


def _notes(
    expectation: Expectation,
    amount: Decimal,
    answer: Answer,
    guard: Decimal,
    in_use: MeterRange | None,
    rounding: Decimal,
    step: Decimal,
) -> list[str]:
    notes: list[str] = []
    low, high = expectation.low, expectation.high
    if answer == "out":
        notes += meaning(amount, guard, expectation)
    finest = COVERAGE * standard_uncertainty(in_use.accuracy(amount)) if in_use else Decimal(0)
    if answer != "out" and low is not None and high is not None and 2 * finest > high - low:
        notes.append(
            "the limits are closer together than this meter can tell: no reading can be called within limits"
        )
    if rounding and in_use is not None and answer == "too close to call":
        notes.append("type every digit the meter shows")
    if in_use is not None and step < in_use.resolution:
        notes.append("more digits were typed than the meter in the settings has: describe yours there")
    if in_use is not None and abs(amount) > in_use.full_scale:
        notes.append("more than the meter's largest range holds: check the prefix")
    notes += probes(amount, expectation)
    return notes
