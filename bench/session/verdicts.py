"""Readings against what the kit expects. Imports the verdict engine lazily."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TYPE_CHECKING

from bench.errors import SoldersideError
from bench.plan.plan import Step

if TYPE_CHECKING:
    from bench.kit.kit import Kit
    from bench.measure.identify.ahead import PartVerdict
    from bench.measure.verdict.meter import Meter
    from bench.measure.verdict.verdict import Verdict


def expects_a_number(expect: str) -> bool:
    """True when what is expected can be compared with a reading: `5 V ± 4 %`, but not `steady light`."""
    if not expect:
        return False
    from bench.parts.expectation import limit_in

    return limit_in(expect) is not None


@lru_cache(maxsize=512)
def limit_fault(expect: str) -> str:
    """Why a limit cannot be read or met, in a sentence; empty for one that can, and for words alone."""
    if not expect or expects_a_number(expect):
        return ""
    from bench.parts.expectation import meant_as_limit, parse_expectation

    if meant_as_limit(expect):
        try:
            parse_expectation(expect)
        except SoldersideError as error:
            return error.what
    return ""


def meter_of(settings: Mapping[str, object]) -> Meter:
    """The builder's meter, or a modest hand-held where the settings describe none; raises SoldersideError."""
    from bench.measure.verdict.meter import DEFAULT_METER, meter_from

    return meter_from(settings, "settings: meter") if settings else DEFAULT_METER


def verdict_on(
    step: Step, text: str, meter: Mapping[str, object], kit: Kit | None = None
) -> Verdict | PartVerdict | None:
    """The verdict on a reading at a step: against what is expected there, or against the step's own part.

    None where neither says what to measure. Raises SoldersideError, which says what was understood, for a
    reading that cannot be read, and ReadingDoubt for one that can be read in two ways.
    """
    if expects_a_number(step.expect):
        from bench.measure.verdict.verdict import judge_text

        return judge_text(step.expect, text, meter_of(meter))
    if kit is None or not step.refs or step.action not in ("solder", "place", "insert", "fit"):
        if step.action not in ("check", "adjust"):  # what a look shows may be said in words
            _require_a_figure(text)
        return None
    from bench.measure.identify.ahead import judge_part

    return judge_part(kit, {(step.board, ref) for ref in step.refs}, text, meter_of(meter))


def _require_a_figure(text: str) -> None:
    """Raise ReadingError for what no meter shows, where nothing else would tell."""
    from bench.measure.verdict.meter_input import ReadingError, parse_reading

    for unit in ("ohm", "volt", "ampere", "hertz", "farad", "henry"):
        with contextlib.suppress(SoldersideError):
            parse_reading(text, unit)
            return
    raise ReadingError(f"'{text.strip()[:40]}' is no reading", hint="type the figures; words go in a note")


def drifted(expect: str, earlier: str, later: str, meter: Mapping[str, object]) -> bool:
    """True when two readings of one point differ by more than the meter may be off for both together."""
    if not expects_a_number(expect):
        return False
    from bench.measure.verdict.meter_input import read_against
    from bench.measure.verdict.verdict import judge_text
    from bench.parts.expectation import parse_expectation

    try:
        first, second = (judge_text(expect, text, meter_of(meter)) for text in (earlier, later))
        if first.accuracy is None or second.accuracy is None:
            return first.answer != second.answer
        wanted = parse_expectation(expect)
        before, after = read_against(earlier, wanted).amount, read_against(later, wanted).amount
    except SoldersideError:
        return False
    if before is None or after is None:
        return before is not after
    return abs(after - before) > first.accuracy + second.accuracy


def meaning_of(text: str, judge: Callable[[str], Verdict | PartVerdict | None]) -> str:
    """What a reading outside its limits, or too close to them, means and what to do; empty where unknown."""
    try:
        verdict = judge(text)
    except SoldersideError:
        return ""
    if verdict is None:
        return ""
    return " ".join(
        f"{said[:1].upper()}{said[1:]}." for said in (verdict.words, *getattr(verdict, "notes", ()))
    )
