"""A class that builds one kit: what a builder's page came to, in a line, and the page for the group; pure."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from statistics import median

from msgspec import Struct

from bench.errors import SoldersideError
from bench.estimate.reminders import manner_of
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.plan.plan import Plan, Stage, Step
from bench.writeup.table_page import Section, Span, table_page

EXAMPLE = "Anna; 12 30 - 45; 2: two bridges; 4.1: cold joint; R4: wrong value"
_STEP = re.compile(r"([0-9]{1,3})(?:\.([0-9]{1,3}))?")
_LONGEST = 4_000
_MOST_MINUTES = 10_000


class ClassResult(Struct, frozen=True, kw_only=True):
    """What one builder's page says."""

    builder: str
    minutes: tuple[float | None, ...]
    """For each stage in order; None where it was not noted."""
    wrong: tuple[tuple[int, int, str], ...] = ()
    """Number of a stage and of a step in it, from 1 (0: no step was named), and what went wrong there."""


def parse_result(text: str, stages: Sequence[Stage]) -> ClassResult:
    """A builder's line: name; minutes of each stage; then where and what went wrong, apart by semicolons.

    Where is the number of a stage, `2.3` for its third step, or a designator. Raises SoldersideError, which
    says what is wrong with the line.
    """
    if len(text) > _LONGEST:
        raise _refused(f"the line is longer than {_LONGEST} characters", text)
    name, *rest = [each.strip() for each in text.split(";")]
    if not name:
        raise _refused("the line begins with no name", text)
    minutes = tuple(_minutes(word, text) for word in (rest[0].split() if rest else ()))
    if len(minutes) > len(stages):
        raise _refused(f"there are {len(minutes)} times for {counted(len(stages), 'stage')}", text)
    wrong = []
    for each in rest[1:]:
        if not each:
            continue
        where, colon, what = each.partition(":")
        if not (colon and what.strip()):
            raise _refused(
                f"{each!r} is not a stage, a step or a designator, a colon and what went wrong", text
            )
        wrong.append((*_where(where.strip(), stages, text), what.strip()))
    return ClassResult(builder=name, minutes=minutes, wrong=tuple(wrong))


def _where(word: str, stages: Sequence[Stage], text: str) -> tuple[int, int]:
    """Number of the stage and of the step that a word means: `2`, `2.3`, `R4`."""
    found = _STEP.fullmatch(word)
    for number, stage in enumerate(stages, 1):
        for at, step in enumerate(stage.steps, 1):
            if word.casefold() in map(str.casefold, step.refs) or (found and (number, at) == _numbers(found)):
                return number, at
    number, at = _numbers(found) if found else (0, 0)
    if not 1 <= number <= len(stages) or at:
        raise _refused(f"there is no stage {word}" if word.isdigit() else f"no step is {word!r}", text)
    return number, 0


def _numbers(found: re.Match[str]) -> tuple[int, int]:
    return int(found[1]), int(found[2] or 0)


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
    by_step: dict[tuple[int, int], list[str]] = {}
    for result in results:
        for number, at, what in result.wrong:
            wrong.setdefault(number, []).append(what)
            if at:
                by_step.setdefault((number, at), []).append(what)
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
    rows = _rows({names[number]: said for number, said in sorted(wrong.items())})
    steps = {
        f"{number}.{at} {_step_words(plan.stages[number - 1].steps[at - 1])}": said
        for (number, at), said in sorted(by_step.items())
    }
    sections = [
        Section(
            title="What went wrong, by stage", heads=("Stage", "Times", "Mostly", "As it was noted"), rows=rows,
            lines=() if rows else ("Nothing was noted.",),
        ),
        Section(title="By step", heads=("Step", "Times", "Mostly", "As it was noted"), rows=_rows(steps)),
        Section(title="How long each stage took", spans=spans, about="The mark is the median of the class."),
        Section(
            title="What to say before it", heads=("Before", "Say"), rows=tuple(
                (names[number], _say(wrong[number], plan.stages[number - 1])) for number in sorted(wrong)
            ),
        ),
    ]  # fmt: skip
    return table_page(title, f"{counted(len(results), 'builder')}.", sections)


def _rows(wrong: Mapping[str, Sequence[str]]) -> tuple[tuple[str, ...], ...]:
    """Rows for what went wrong, by place, the worst first."""
    worst = sorted(wrong, key=lambda place: -len(wrong[place]))
    return tuple(
        (place, str(len(wrong[place])), _most(wrong[place]), "; ".join(wrong[place])) for place in worst
    )


def _step_words(step: Step) -> str:
    return " ".join(filter(None, (step.value, shorten(step.refs) if step.refs else "")))


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
