"""Readings as they are told to others: with units, and whether one too close to call was accepted. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from functools import lru_cache

from bench.errors import SoldersideError
from bench.log.events import HoldOverridden, ReadingTaken
from bench.log.progress import Progress
from bench.measure.verdict.meter_input import read_against
from bench.parts.expectation import parse_expectation, show_amount
from bench.plan.plan import Plan
from bench.writeup.words import one_line

_PLAIN = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_NO_UNIT = re.compile(r"[+-]?\d+(?:[.,]\d+)? ?[pnuµmkKMGR]?\d*")
_WITH_UNIT = re.compile(r"([+-]?\d+(?:[.,]\d+)?) ?([pnuµmkKMG]?)(V|A|Hz|F|H|[Oo]hms?|Ω)((?: ?(?:AC|DC))?)")
_SPAN = re.compile(r"(?<=\d)\s*\.{2,3}\s*(?=[+-]?\d)")
_NOMINAL = re.compile(r"(.*\d.*?) (?:±|\+/-) .*")


@lru_cache(maxsize=1024)
def with_unit(text: str, expect: str) -> str:
    """What was read, with the unit of what is expected there; as typed where none can be told.

    >>> with_unit("11.60", "11.4..12.6 V"), with_unit("7.4m", "< 40 mA"), with_unit("4k6", "> 1 kohm")
    ('11.60 V', '7.4 mA', '4.6 kΩ')
    >>> with_unit("OL", "> 1 kohm"), with_unit("12.1 V", "12 V"), with_unit("steady tone", "beeps")
    ('OL', '12.1 V', 'steady tone')
    >>> with_unit("1.2mA", "< 2 mA"), with_unit("5.7V", "5.8 V"), with_unit("120 ohm", "")
    ('1.2 mA', '5.7 V', '120 Ω')
    """
    text = one_line(text)
    if not _NO_UNIT.fullmatch(text):
        return with_signs(text) if _WITH_UNIT.fullmatch(text) else text
    try:
        reading = read_against(text, parse_expectation(expect))
    except SoldersideError:
        return text
    if not reading.unit or reading.amount is None:
        return text
    if reading.bare and _PLAIN.fullmatch(text):
        return f"{text} {show_amount(Decimal(1), reading.unit).split()[-1]}"
    return reading.words


def with_signs(text: str) -> str:
    """What is expected, for people: amounts with a space before their unit and with its sign, spans in words.

    >>> with_signs("> 1 kohm"), with_signs("OUT silent, 5V AC"), with_signs("6..10.2 kohm")
    ('> 1 kΩ', 'OUT silent, 5 V AC', '6 to 10.2 kΩ')
    """

    def sign(found: re.Match[str]) -> str:
        prefix, unit = found[2].replace("u", "µ"), found[3]
        return f"{found[1]} {prefix}{'Ω' if unit.lower().startswith('ohm') else unit}{found[4]}"

    return re.sub(rf"(?<![\w.]){_WITH_UNIT.pattern}(?!\w)", sign, _SPAN.sub(" to ", one_line(text)))


def what_it_read(point: str, text: str, expect: str) -> str:
    """A reading that was out, and what it should have been.

    >>> what_it_read("TP1", "0.3", "5 V ± 4 %"), what_it_read("+12 V and 0 V", "150", "> 200 ohm")
    ('TP1 read 0.3 V instead of 5 V', '+12 V and 0 V read 150 Ω (> 200 Ω expected)')
    """
    said = f"{one_line(point)} read {with_unit(text, expect)}"
    wanted = with_signs(expect)
    if nominal := _NOMINAL.fullmatch(wanted):
        return f"{said} instead of {nominal[1]}"
    return f"{said} ({wanted} expected)" if wanted else said


def overridden_checks(plan: Plan, progress: Progress) -> Iterator[tuple[HoldOverridden, str]]:
    """What was overridden and with which check, where that was not met since, oldest first."""
    checks = {step.key: step.value for step in plan.steps}
    met = {each.step: each.n for each in progress.readings if each.verdict == "in"}
    for each in progress.holds_overridden:
        check = checks.get(each.step, "")
        overridden = each.about == "check" and not too_close(each, progress.readings)
        if check and overridden and met.get(each.step, 0) < each.n:
            yield each, check


def too_close(passed: HoldOverridden, readings: Iterable[ReadingTaken]) -> bool:
    """Whether an overridden check had a reading too close to call for the meter, rather than none or a bad one.

    `readings` are those of the log, oldest first.
    """
    if passed.about != "check" or not passed.step:
        return passed.about == "too close"
    before = [each.verdict for each in readings if each.step == passed.step and each.n < passed.n]
    return before[-1:] == ["too close to call"]
