"""A class that builds one kit: what a builder's page came to, in a line, and the page for the group; pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import median

from msgspec import Struct

from bench.errors import SoldersideError
from bench.estimate.reminders import manner_of
from bench.parts.english import counted
from bench.plan.plan import Plan, Stage
from bench.writeup.table_page import Section, Span, table_page

EXAMPLE = "Anna; 12 30 - 45; 2: R4 bridged; 4: D1 the wrong way round"
_LONGEST = 4_000
_MOST_MINUTES = 10_000


class ClassResult(Struct, frozen=True, kw_only=True):
    """What one builder's page says."""

    builder: str
    minutes: tuple[float | None, ...]
    """For each stage in order; None where it was not noted."""
    wrong: tuple[tuple[int, str], ...] = ()
    """Number of a stage, from 1, and what went wrong in it."""


def parse_result(text: str, stages: int) -> ClassResult:
    """A builder's line: name; minutes of each stage; then `stage: what went wrong`, apart by semicolons.

    Raises SoldersideError, which says what is wrong with the line.

    >>> parse_result("Anna; 12 30 -; 2: R4 bridged", 4).wrong
    ((2, 'R4 bridged'),)
    """
    if len(text) > _LONGEST:
        raise _refused(f"the line is longer than {_LONGEST} characters", text)
    name, *rest = [each.strip() for each in text.split(";")]
    if not name:
        raise _refused("the line begins with no name", text)
    minutes = tuple(_minutes(word, text) for word in (rest[0].split() if rest else ()))
    if len(minutes) > stages:
        raise _refused(f"there are {len(minutes)} times for {counted(stages, 'stage')}", text)
    wrong = []
    for each in rest[1:]:
        if not each:
            continue
        number, colon, what = each.partition(":")
        if not (colon and what.strip() and number.strip().isascii() and number.strip().isdigit()):
            raise _refused(f"{each!r} is not a stage's number, a colon and what went wrong", text)
        if not 1 <= int(number) <= stages:
            raise _refused(f"there is no stage {int(number)}", text)
        wrong.append((int(number), what.strip()))
    return ClassResult(builder=name, minutes=minutes, wrong=tuple(wrong))


def _minutes(word: str, text: str) -> float | None:
    if word in ("-", "–"):
        return None
    try:
        found = float(word.replace(",", "."))
    except ValueError:
        found = math.nan
    if not 0 <= found <= _MOST_MINUTES:
        raise _refused(f"{word!r} is no time in minutes", text)
    return found


def _refused(what: str, text: str) -> SoldersideError:
    return SoldersideError(what, text[:60], f"write it like this: {EXAMPLE}")


def class_page(title: str, plan: Plan, results: Sequence[ClassResult]) -> str:
    """The page for the group as HTML."""
    taken = {number: _times(number, results) for number in range(1, len(plan.stages) + 1)}
    wrong: dict[int, list[str]] = {}
    for result in results:
        for number, what in result.wrong:
            wrong.setdefault(number, []).append(what)
    names = {number: _name(number, stage) for number, stage in enumerate(plan.stages, 1)}
    spans = tuple(
        Span(
            label=names[number],
            mark=median(times),
            low=min(times),
            high=max(times),
            said=f"{median(times):g} min ({min(times):g} to {max(times):g}), {counted(len(times), 'builder')}",
        )
        for number, times in taken.items()
        if times
    )
    worst = sorted(wrong, key=lambda number: (-len(wrong[number]), number))
    rows = tuple(
        (names[number], str(len(wrong[number])), _most(wrong[number]), "; ".join(wrong[number]))
        for number in worst
    )
    sections = [
        Section(
            title="What went wrong, by stage", heads=("Stage", "Times", "Mostly", "As it was noted"), rows=rows,
            lines=() if rows else ("Nothing was noted.",),
        ),
        Section(title="How long each stage took", spans=spans, about="The mark is the median of the class."),
        Section(
            title="What to say before it", heads=("Before", "Say"), rows=tuple(
                (names[number], _say(wrong[number], plan.stages[number - 1])) for number in sorted(wrong)
            ),
        ),
    ]  # fmt: skip
    return table_page(title, f"{counted(len(results), 'builder')}.", sections)


def _times(number: int, results: Sequence[ClassResult]) -> list[float]:
    found = (each.minutes[number - 1] for each in results if len(each.minutes) >= number)
    return [each for each in found if each is not None]


def _name(number: int, stage: Stage) -> str:
    return f"{number}. {stage.name}" + (f", {stage.board}" if stage.board else "")


def _most(said: Sequence[str]) -> str:
    """How most of them went wrong, where that is one of the ways that are known and came more than once."""
    manners = [manner for each in said if (manner := manner_of(each))]
    most = max(dict.fromkeys(manners), key=manners.count, default="")
    return f"{manners.count(most)} {most}" if manners.count(most) > 1 else ""


def _say(said: Sequence[str], stage: Stage) -> str:
    """What went wrong in the class, and the cautions of the stage that a teacher has at hand."""
    most = _most(said)
    words = f"Last time {most.replace(' ', ' were ', 1)}" if most else f"Last time: {said[0]}"
    ways = dict.fromkeys(step.orientation for step in stage.steps if step.orientation)
    caution = next(iter(ways), "").rstrip(".")
    way = f" Which way round: {caution}." if caution and "way round" in words else ""
    return f"{words}.{way}"
