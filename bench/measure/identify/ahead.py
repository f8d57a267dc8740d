"""A part's own reading: does it fit the sort of part it was taken from, or another one of the kit? Pure."""

from __future__ import annotations

import contextlib
from collections.abc import Collection
from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.kit.kit import Kit
from bench.measure.identify.by_meter import DIODE_TEST_ENDS
from bench.measure.identify.candidates import Candidate
from bench.measure.identify.kit_lines import KitLine, lines_of
from bench.measure.identify.match_kit import identify
from bench.measure.verdict.meter import DEFAULT_METER, Meter
from bench.measure.verdict.meter_input import MeterReading, parse_reading, read_against
from bench.measure.verdict.verdict import judge
from bench.parts.designators import shorten
from bench.parts.expectation import Expectation, limit_in
from bench.parts.junctions import JunctionDrop, drops_of
from bench.parts.meaning import PrintError
from bench.plan.bag import BagLine

SHORTED_BELOW = Decimal("0.05")
"""Volts: a diode test (about 1 mA) that shows no more has found a short, or a bridge of 50 ohms or less.
Common practice, no source."""


class PartVerdict(Struct, frozen=True, kw_only=True):
    """What a reading says of the part it was taken from."""

    answer: str
    """`in`, `out` or `too close to call`; empty where a part that is soldered in may read like that."""
    words: str
    """In a sentence or three."""
    expect: str
    """What a good one reads: `47 Ω ±1 %`."""
    guard_words: str
    """How far the meter may be off."""


def what_it_says(kit: Kit, line: BagLine, text: str, meter: Meter = DEFAULT_METER) -> str:
    """What a reading says of a part from this line of the bag, in a sentence or two.

    Raises SoldersideError, which says what was understood, when the reading cannot be read, and ReadingDoubt
    when it can be read in two ways.
    """
    wanted = {(board, ref) for board, refs in line.places for ref in refs}
    found = _line_of(kit, wanted)
    known = _expected(found)
    if _drops(found):
        with contextlib.suppress(SoldersideError):  # not volts: any other reading is told below
            if shorted := _shorted(parse_reading(text, "volt"), line.value):
                return shorted
    reading = read_against(text, known) if known else None
    said = _in_full(text, reading)
    words, _ = _words(kit, wanted, line.value, said, meter)
    if reads_wrong(words) and known is None and not _drops(found) and _is_reading(said):
        return f"{said} says nothing for or against {line.value}: go by what is printed on it."
    return words


def reads_wrong(said: str) -> bool:
    """Whether the last word on a part measured ahead is that it is not what it should be."""
    return said.startswith("NOT ")


def judge_part(
    kit: Kit, wanted: Collection[tuple[str, str]], text: str, meter: Meter = DEFAULT_METER
) -> PartVerdict | None:
    """Judge a reading against the parts at these places (board, designator) of a kit.

    None where measuring says nothing of such a part. Raises SoldersideError as `what_it_says`.
    """
    line = _line_of(kit, wanted)
    known = _expected(line)
    if line is None or known is None or known.low is None:
        return _judge_diode(kit, line, wanted, text, meter) if line else None
    reading = read_against(text, known)
    verdict = judge(known, reading, meter)
    words, others = _words(kit, wanted, line.part.value, _in_full(text, reading), meter)
    answer = "out" if verdict.answer == "out" else "too close to call" if others else "in"
    low = answer == "out" and known.unit == "ohm" and reading.amount is not None and reading.amount < known.low
    if low and others:
        words += " Soldered in, other parts can make a good one read low: lift one leg to be sure."
    elif low:
        answer = ""
        words = (
            f"Low for {line.part.value}. In circuit other parts can make a good one read low: lift one leg to "
            "be sure. On the table it is the wrong part."
        )
    return PartVerdict(answer=answer, words=words, expect=line.text, guard_words=verdict.guard_words)


def _judge_diode(
    kit: Kit, line: KitLine, wanted: Collection[tuple[str, str]], text: str, meter: Meter
) -> PartVerdict | None:
    """Judge volts of a diode test against what a diode of this class drops; None for anything else."""
    drops = _drops(line)
    reading = parse_reading(text, "volt") if drops else None
    if reading is None or reading.amount is None or not -SHORTED_BELOW <= reading.amount <= DIODE_TEST_ENDS:
        return None
    low, high = min(drop.low for drop in drops), max(drop.high for drop in drops)
    expect = f"{low:f}..{high:f} V"
    if low <= reading.amount <= high:
        words = f"{reading.words} is usual for a {line.part.kind} in a diode test ({expect})."
        return PartVerdict(answer="in", words=words, expect=expect, guard_words="")
    if shorted := _shorted(reading, line.part.value):
        shorted += " In circuit something beside it can bridge it: lift one leg to be sure."
        return PartVerdict(answer="out", words=shorted, expect=expect, guard_words="")
    said = f"{text.strip()} V" if reading.bare else text.strip()
    words, _ = _words(kit, wanted, line.part.value, said, meter)
    words += " In circuit, other parts can make a good one read low." if reading.amount < low else ""
    return PartVerdict(answer="out", words=words, expect=expect, guard_words="")


def _drops(line: KitLine | None) -> tuple[JunctionDrop, ...]:
    """What a diode test may show of a line's parts; empty where it says nothing."""
    return drops_of(line.part.kind, line.part.value, f"{line.part.marking} {line.part.note}") if line else ()


def _is_reading(text: str) -> bool:
    try:
        return parse_reading(text).amount is not None
    except SoldersideError:
        return False


def _shorted(reading: MeterReading, value: str) -> str:
    """A short in a diode test, in words; empty for a reading that is none."""
    if reading.amount is None or abs(reading.amount) > SHORTED_BELOW:
        return ""
    return f"NOT {value}: {reading.words} in a diode test is a short, if it stays so with the probes swapped."


def _line_of(kit: Kit, wanted: Collection[tuple[str, str]]) -> KitLine | None:
    """The line of the kit that has one of these places."""
    return next(
        (line for line in lines_of(kit) if any((line.board, ref) in wanted for ref in line.part.refs)), None
    )


def _expected(line: KitLine | None) -> Expectation | None:
    """What a good part of a line reads; None where measuring says nothing."""
    return limit_in(line.text) if line is not None and line.limits is not None else None


def _in_full(text: str, reading: MeterReading | None) -> str:
    """The text with its unit, where a number stood alone."""
    said = text.strip()
    marks = {"ohm": "ohm", "farad": "F", "henry": "H"}
    return f"{said} {marks[reading.unit]}" if reading and reading.bare and reading.unit in marks else said


def _words(
    kit: Kit, wanted: Collection[tuple[str, str]], value: str, said: str, meter: Meter
) -> tuple[str, bool]:
    """What it fits, in a sentence; and True when it fits another line."""
    try:
        found = identify(said, kit, meter).candidates
    except PrintError:
        found = ()
    own = [each for each in found if set(wanted) & set(each.refs)]
    others = [each for each in found if each.refs and not set(wanted) & set(each.refs)]
    if own and others:
        return f"{said} fits {own[0].text}, but {_told(others[0])} too: too close to call.", True
    if own:
        return f"{said} fits {own[0].text}.", False
    if others:
        return f"NOT {value}: {said} reads like {_told(others[0])}.", True
    return f"NOT {value}: {said} fits neither {value} nor any other line of this kit.", False


def _told(candidate: Candidate) -> str:
    boards: dict[str, list[str]] = {}
    for board, ref in candidate.refs:
        boards.setdefault(board, []).append(ref)
    places = "; ".join(f"{board} {shorten(refs)}" for board, refs in boards.items())
    return f"{candidate.text} ({places})"
