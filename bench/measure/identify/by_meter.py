"""What a meter shows, its gain test too, held against the lines of a kit, or against preferred values.

A part is possible when its tolerance and the meter's own error, with the guard band of `verdict`, allow the
reading. Possible parts are ordered by how likely the reading is for each, all being equally likely before: the
probability that the true value lies within the part's limits, divided by their width.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec.structs import replace

from bench.measure.identify.candidates import Candidate, IdentifyAnswer, RuledOut, apart, distance
from bench.measure.identify.kit_lines import (
    KitLine,
    Limits,
    grouped,
    limits_of_all_drops,
    limits_of_drops,
    limits_of_lines,
    limits_of_preferred,
    named,
    nearest_preferred,
)
from bench.measure.verdict.meter import Meter
from bench.measure.verdict.meter_input import MeterReading, ReadingError, parse_reading
from bench.measure.verdict.verdict import Verdict, judge
from bench.parts.colours import encode
from bench.parts.junctions import GAIN_SLACK, GAINS, Gains, drops_of, gains_of
from bench.parts.meaning import CAPACITORS
from bench.parts.palette import ColourError
from bench.parts.quantity import Quantity, show

MEASURED = ("ohm", "farad", "henry", "volt")
"""Units of readings that say which part it is; volts are those of a diode test."""
MOST_PREFERRED = 5
"""Without a line of a kit, no more preferred values than this are offered."""
FEW_OHMS = Decimal(1)
"""Below this it can as well be a link or a short."""
_DIODE_TEST = "forward voltage, by a meter's diode test"
_LEAST = 1e-12
"""Probability below which all that is possible is equally unlikely."""
DIODE_TEST_ENDS = Decimal("3.6")
"""Volts: what a diode test can show at most, about: common practice."""
_COARSE = (
    f"a meter's gain test is coarse (a factor of {GAIN_SLACK} either way is allowed here), and gain grows with "
    "warmth and current: it tells groups apart, not types"
)


def by_meter(reading: MeterReading, lines: Sequence[KitLine], boards: int, meter: Meter) -> IdentifyAnswer:
    """What a reading in ohms, farads, henries or volts (a diode test) can be; 0 boards is no kit.

    Raises ReadingError for a resistance or capacitance below zero.
    """
    amount, unit = reading.amount, reading.unit
    if amount is None:
        return when_open(lines, meter)
    if amount < 0 and unit != "volt":
        raise ReadingError(
            f"{reading.words} is below zero", hint="switch off, discharge the part, and read again"
        )
    if not amount:
        return _nothing(unit, lines)
    remarks: list[str] = []
    if amount < 0:
        reading, amount = parse_reading(reading.text.strip().lstrip("-−"), unit), -amount
        remarks.append("negative: the probes are reversed")
    if unit == "volt" and amount > DIODE_TEST_ENDS:
        return IdentifyAnswer(remarks=(f"{reading.words} is more than a diode test shows",))
    if unit == "volt":
        source = _DIODE_TEST
        tried, otherwise = tuple(limits_of_drops(lines)), tuple(limits_of_all_drops())
        remarks.append("a junction of a transistor reads like a silicon diode")
    else:
        source = "meter reading"
        tried, otherwise = tuple(limits_of_lines(lines, unit)), tuple(limits_of_preferred(amount, unit))
    found, verdict = _weigh(reading, tried, meter, source)
    if not found.candidates:
        usual, other = _weigh(reading, otherwise, meter, source)
        candidates = usual.candidates if unit == "volt" else _nearest(usual.candidates, amount)
        out = found.ruled_out if boards else usual.ruled_out if unit == "volt" else ()
        found, verdict = IdentifyAnswer(candidates=candidates, ruled_out=out), other or verdict
    if unit == "ohm" and amount < FEW_OHMS:
        found = replace(found, candidates=(*found.candidates, *_link(lines)))
        remarks.append("at so few ohms subtract what the probes read when touched together")
    remarks[:0] = _too_close(found.candidates, boards)
    remarks.append(nearest_preferred(amount, unit))
    remarks.append(verdict.guard_words if verdict else "")
    return replace(found, remarks=tuple(filter(None, remarks)))


def when_open(lines: Sequence[KitLine], meter: Meter) -> IdentifyAnswer:
    """What a meter that shows OL says: nothing conducts, or it is more than the largest range."""
    ranges = meter.ranges("ohm")
    most = ranges[-1].full_scale if ranges else None
    beyond = [
        line for line in lines
        if most is not None and line.limits is not None and line.amount is not None
        and line.amount.unit == "ohm" and line.limits[1] > most
    ]  # fmt: skip
    diodes = tuple(line for line in lines if drops_of(line.part.kind, line.part.value))
    capacitors = tuple(line for line in lines if line.part.kind in CAPACITORS)
    found = [
        Candidate(text=group[0].text, source="meter shows OL", kind=group[0].part.kind, lines=group,
                  amount=group[0].amount, why=("more than the meter's largest range",))
        for group in grouped(beyond)
    ]  # fmt: skip
    found += [
        Candidate(text=text, source="meter shows OL", lines=its, why=(why,))
        for text, its, why in (
            ("a diode or LED with the probes reversed", diodes,
             "swap the probes; many meters cannot light blue and white LEDs and show OL both ways"),
            ("a capacitor on an ohms range", capacitors, "once charged a good one conducts nothing"),
            ("an open part, or probes that do not touch", (), "touch the probes together: that must read 0"),
        )
    ]  # fmt: skip
    said = f"more than {show(Quantity(amount=most, unit='ohm'))}, or no connection" if most else "no connection"
    return IdentifyAnswer(candidates=tuple(found), remarks=(f"OL means {said}",))


def _nearest(found: Sequence[Candidate], amount: Decimal) -> tuple[Candidate, ...]:
    """The few candidates nearest to the reading, nearest first, each value once with its first tolerance."""
    tightest = {each.amount.amount: each for each in reversed(found) if each.amount}
    return tuple(tightest[worth] for worth in sorted(tightest, key=lambda worth: distance(amount, worth)))[
        :MOST_PREFERRED
    ]


def _nothing(unit: str, lines: Sequence[KitLine]) -> IdentifyAnswer:
    """What a reading of just nothing can be."""
    if unit == "ohm":
        return IdentifyAnswer(candidates=tuple(_link(lines)))
    if unit == "volt":
        short = Candidate(text="a short", source=_DIODE_TEST)
        return IdentifyAnswer(candidates=(short,), remarks=("0 V both ways: the junction is shorted",))
    return IdentifyAnswer(remarks=(f"no {unit} at all: the part is open, or the probes do not touch",))


def _link(lines: Sequence[KitLine]) -> Iterator[Candidate]:
    """What nearly no ohms can be beside a resistor."""
    links = tuple(line for line in lines if line.part.kind == "wire link")
    yield Candidate(
        text="a link, or a short", source="meter reading", kind="wire link", lines=links,
        why=("a coil, a fuse or a bead reads the same",),
    )  # fmt: skip


def _too_close(found: Sequence[Candidate], boards: int) -> Iterator[str]:
    """What this reading cannot tell apart, one sentence for each look of parts."""
    by_look: dict[str, list[Candidate]] = {}
    for each in found:
        by_look.setdefault(each.lines[0].look if each.lines else "", []).append(each)
    for several in by_look.values():
        several = [each for each in several if each.weight]
        if len(several) < 2:
            continue
        texts = [f"{each.text} ({named(each.lines, boards)})" if each.lines else each.text for each in several]
        said = f"too close to call between {', '.join(texts[:-1])} and {texts[-1]}"
        bands = [" ".join(code) for each in several if (code := _bands(each))]
        if len(set(bands)) == len(several):
            said += f"; compare the bands: {'; or '.join(bands)}"
        yield said


def _bands(candidate: Candidate) -> tuple[str, ...]:
    """The bands of a resistor, empty for anything else."""
    ohms = candidate.amount_in("ohm")
    if candidate.kind != "resistor" or ohms is None:
        return ()
    try:
        return encode(ohms, candidate.lines[0].above if candidate.lines else None)
    except ColourError:
        return ()


def _weigh(
    reading: MeterReading, tried: Sequence[Limits], meter: Meter, source: str
) -> tuple[IdentifyAnswer, Verdict | None]:
    """Candidates, best first, and what is ruled out, nearest first; with a verdict for the meter's error."""
    fits: list[Candidate] = []
    out: list[tuple[float, RuledOut]] = []
    verdict = None
    for one in tried:
        verdict = judge(one.expectation, reading, meter)
        if verdict.answer == "out":
            off = min(distance(reading.number, edge) for edge in (one.low, one.high))
            out.append((off, _cannot(reading, one)))
        else:
            fits.append(_can(reading, one, verdict, source))
    fits.sort(key=lambda candidate: -candidate.weight)
    out.sort(key=lambda pair: pair[0])
    return IdentifyAnswer(candidates=tuple(fits), ruled_out=tuple(each for _, each in out)), verdict


def _can(reading: MeterReading, one: Limits, verdict: Verdict, source: str) -> Candidate:
    said = f"{reading.words} is {_where(reading, one)}"
    if verdict.answer == "too close to call":
        said += ", at the edge of what this meter can tell"
    return Candidate(
        text=one.text, source=source, amount=one.amount, kind=one.kind, lines=one.lines,
        why=tuple(filter(None, (said, one.note, one.lines[0].must_show() if one.lines else ""))),
        weight=max(verdict.probability or 0.0, _LEAST) / float(one.high - one.low),
    )  # fmt: skip


def _cannot(reading: MeterReading, one: Limits) -> RuledOut:
    why = f"{reading.words} is {_where(reading, one)}"
    if one.amount is None:
        return RuledOut(text=one.text, why=why, lines=one.lines)
    below, above = ((1 - one.low / one.amount.amount) * 100, (one.high / one.amount.amount - 1) * 100)
    allowed = f"±{_lean(above)} %" if below == above else f"+{_lean(above)}/−{_lean(below)} %"
    why += f", more than {allowed} and the meter's error allow"
    return RuledOut(text=f"{one.text}, {one.kind}".rstrip(", "), why=why, lines=one.lines)


def _lean(percent: Decimal) -> str:
    return f"{percent.normalize():f}"


def _where(reading: MeterReading, one: Limits) -> str:
    """Where the reading lies, against the value or against a class's limits."""
    measured = Quantity(amount=reading.number, unit=one.unit)
    if one.amount is not None:
        return apart(measured, one.amount)
    if measured.amount < one.low:
        return f"less than the {one.low:f} V from which such a part conducts"
    if measured.amount > one.high:
        return f"more than the {one.high:f} V that such a part drops"
    return f"between {one.low:f} and {one.high:f} V"


# -- the gain test -----------------------------------------------------------------------------------
def by_gain(gain: Decimal, lines: Sequence[KitLine]) -> IdentifyAnswer:
    """The transistors that can have this current gain (hFE), narrowest group first.

    Where no line fits, every known gain group that holds it.
    """
    transistors = grouped(line for line in lines if line.part.kind == "transistor")
    groups = [_tried(gain, gains_of(its[0].part.value), its[0].part.value, its) for its in transistors]
    if not any(isinstance(each, Candidate) for each in groups):
        known = [_tried(gain, (row,), _name(row), ()) for row in GAINS]
        groups += [each for each in known if isinstance(each, Candidate) or not lines]
    fits = [each for each in groups if isinstance(each, Candidate)]
    out = [each for each in groups if isinstance(each, tuple)]
    unknown = [
        line.part.value for line in lines if line.part.kind == "transistor" and not gains_of(line.part.value)
    ]
    remarks = [f"no gain data for {value}" for value in dict.fromkeys(unknown)]
    return IdentifyAnswer(
        candidates=tuple(sorted(fits, key=lambda each: -each.weight)),
        ruled_out=tuple(each for _, each in sorted(out, key=lambda pair: pair[0])),
        remarks=(*remarks, _COARSE),
    )


def _name(row: Gains) -> str:
    """The first type of a row with its group, and the others."""
    others = f" (as well {', '.join(row.bases[1:])})" if len(row.bases) > 1 else ""
    return f"{row.bases[0]}{row.group}{others}"


def _tried(
    gain: Decimal, rows: Sequence[Gains], name: str, lines: tuple[KitLine, ...]
) -> Candidate | tuple[float, RuledOut] | None:
    """A candidate when a group holds the gain; else how far off it is and why; None without groups."""
    if not rows:
        return None
    inside = [row for row in rows if row.low <= gain <= row.high]
    near = [row for row in rows if row.low / GAIN_SLACK <= gain <= row.high * GAIN_SLACK]
    if not near:
        ends = min(row.low for row in rows), max(row.high for row in rows)
        off = min(distance(gain, Decimal(end)) for end in ends)
        return off, RuledOut(text=name, why=f"its gain is {ends[0]} to {ends[1]}", lines=lines)
    said = [
        f"{f'group {row.group}' if row.group else 'this type'} has {row.low} to {row.high}"
        for row in inside or near
    ]
    if not inside:
        said.append(f"{gain} is outside, but within the meter's error")
    widest = max(row.high - row.low for row in inside or near)
    return Candidate(
        text=f"{name}, hFE {gain}", source="gain", kind="transistor", lines=lines, why=tuple(said),
        weight=(1.0 if inside else 0.1) / widest,
    )  # fmt: skip
