"""What is wrong, as far as it is known: a reading that is out, or a function that fails. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError
from bench.log.events import ReadingTaken
from bench.log.progress import Progress
from bench.measure.verdict.meter_input import read_against
from bench.measure.verdict.verdict import judge
from bench.parts.expectation import Expectation, limit_in, parse_expectation
from bench.plan.default_checks import same_place
from bench.plan.plan import Plan, Step
from bench.session.verdicts import drifted, expects_a_number, meter_of
from bench.suspects.complaint import complaints_in, of_trouble

LEFT_OF_IT = Decimal("0.1")
"""A voltage below this share of what it should be is taken for one that is not there at all."""
FAR_OFF = Decimal("0.2")
"""A rail that is out by more than this share has the supply switched off before anything else."""

_UNWANTED = ("no ", "nothing ", "without ")


class Symptom(Struct, frozen=True, kw_only=True):
    """One thing that is not as it should be."""

    words: str
    """On one line; what the search for its cause is known by in the log."""
    point: str = ""
    """Where it was measured or looked for: the headline of the check, empty when it is none."""
    step: str = ""
    """Key of that check or adjustment, empty when it is none."""
    about: str = ""
    """What the check says of how to go about it: it names parts, pins and rails."""
    read: str = ""
    """As typed."""
    trouble: str = ""
    """`short` (too few ohms, too much current), `missing`, `low`, `high` (volts far off), `reversed`, `off`,
    or empty when not known."""
    complaints: tuple[str, ...] = ()
    """What sorts of complaint it is, the weightiest first; see `complaint`."""
    powered: bool = True
    """False for what is measured with the supply off."""


def one_line(text: str) -> str:
    """The text with every run of blanks as one space."""
    return " ".join(text.split())


def fold(text: str) -> str:
    """The text as it is compared."""
    return one_line(text).casefold()


def told(reading: ReadingTaken) -> str:
    """A reading as a symptom says it."""
    expected = f" where {reading.expect} is expected" if reading.expect else ""
    return one_line(f"{reading.point}: {reading.text}{expected}")


def verdict_of(reading: ReadingTaken, meter: Mapping[str, object] | None = None) -> str:
    """`in`, `out` or `too close to call`, as the builder was told, else as judged now; empty for neither.

    `meter` describes the builder's meter as the settings do.
    """
    if reading.verdict or not expects_a_number(reading.expect):
        return reading.verdict
    try:
        expectation = parse_expectation(reading.expect)
        return judge(expectation, read_against(reading.text, expectation), meter_of(meter or {})).answer
    except SoldersideError:
        return ""


def latest_readings(progress: Progress) -> tuple[ReadingTaken, ...]:
    """The last reading of each point in each stage, oldest first."""
    last = {(reading.stage, reading.point): reading for reading in progress.readings}
    return tuple(sorted(last.values(), key=lambda reading: reading.n))


def out_readings(progress: Progress, meter: Mapping[str, object] | None = None) -> tuple[ReadingTaken, ...]:
    """Readings that are out and were not followed by a better one, oldest first."""
    return tuple(each for each in latest_readings(progress) if verdict_of(each, meter) == "out")


def unmet_before_power(
    plan: Plan, progress: Progress, meter: Mapping[str, object] | None = None
) -> tuple[str, ...]:
    """Headlines of the checks before power that were not made, or that were out when last read.

    They are those up to the last one that wants the supply off before the first that wants it on. None is told
    of a build in whose log nothing is done: it was built elsewhere.
    """
    if not progress.done:
        return ()
    checks = [step for step in plan.steps if step.action == "check"]
    powered = [_is_powered(limit_in(step.expect)) for step in checks]
    first = powered.index(True) if True in powered else len(checks)
    dead = [at for at in range(first) if powered[at] is False]
    out = {reading.step for reading in out_readings(progress, meter)}
    before = checks[: dead[-1] + 1] if dead else []
    open_ = [step for step in before if step.key in out or not progress.done >= set(step.items)]
    return tuple(one_line(step.value) for step in open_)


def _is_powered(expectation: Expectation | None) -> bool | None:
    """Whether what is expected is measured with the supply on; None where nothing is measured."""
    return None if expectation is None else not (expectation.unit == "ohm" or expectation.open)


def drifts(
    progress: Progress, meter: Mapping[str, object] | None = None
) -> tuple[tuple[ReadingTaken, ReadingTaken], ...]:
    """Points visited more than once whose last two readings differ by more than the meter can err."""
    visits: dict[tuple[str, str], list[ReadingTaken]] = {}
    for reading in progress.readings:
        visits.setdefault((reading.stage, reading.point), []).append(reading)
    pairs = [(found[-2], found[-1]) for found in visits.values() if len(found) > 1]
    return tuple(pair for pair in pairs if drifted(pair[1].expect, pair[0].text, pair[1].text, meter or {}))


def symptom_of(reading: ReadingTaken, plan: Plan) -> Symptom:
    """The symptom that a reading is."""
    step = next((each for each in plan.steps if each.key == reading.step), None)
    step = step or _check_named(reading.point, plan)
    expectation = limit_in(reading.expect)
    trouble = _trouble(expectation, reading.text)
    return Symptom(
        words=told(reading),
        point=reading.point,
        step=step.key if step else "",
        about=step.detail if step else "",
        read=reading.text,
        trouble=trouble or _trouble_in_words(reading.text),
        complaints=of_trouble(trouble) or complaints_in(reading.text) or _of_step(step, ""),
        powered=_is_powered(expectation) is not False,
    )


def symptom_named(words: str, plan: Plan, progress: Progress) -> Symptom:
    """The symptom that somebody typed: a reading of the log in its own words, a check by name, or neither."""
    words = one_line(words)
    for reading in reversed(latest_readings(progress)):
        if told(reading) == words:
            return symptom_of(reading, plan)
    step = _check_named(words, plan)
    expectation = limit_in(step.expect) if step else None
    return Symptom(
        words=words,
        point=step.value if step else "",
        step=step.key if step else "",
        about=step.detail if step else "",
        trouble=_trouble_in_words(words),
        complaints=_of_step(step, words) if step and fold(words) == fold(step.value) else complaints_in(words),
        powered=_is_powered(expectation) is not False,
    )


def likely_words(progress: Progress, step: Step | None, meter: Mapping[str, object] | None = None) -> str:
    """What is most likely looked for: a reading that is out, the check at work, or the search that is open.

    `step` is the step on screen. A reading of that step comes first, then the latest one that nobody has looked
    into yet. Empty when nothing is out.
    """
    out = out_readings(progress, meter)
    here = [told(reading) for reading in out if step and reading.step == step.key]
    last = progress.suspicions[-1] if progress.suspicions else None
    fresh = [told(reading) for reading in out if last is None or reading.n > last.n]
    unfinished = [last.symptom] if last and not last.found else []
    failing = [one_line(step.value)] if step and step.action in ("check", "adjust") else []
    words = [*here[-1:], *fresh[-1:], *unfinished, *[told(reading) for reading in out[-1:]], *failing]
    return next((each for each in words if each), "")


def _check_named(words: str, plan: Plan) -> Step | None:
    """The check or adjustment whose headline stands in the words, the longest one."""
    folded = fold(words)
    found = [
        step
        for step in _checks(plan)
        if (said := fold(step.value)) and re.search(rf"(?<!\w){re.escape(said)}(?!\w)", folded)
    ]
    same = [step for step in _checks(plan) if same_place(step.value) == same_place(words)]
    return max([*same, *found], key=lambda step: len(step.value), default=None)


def _checks(plan: Plan) -> Iterator[Step]:
    return (step for step in plan.steps if step.action in ("check", "adjust"))


def _trouble(expectation: Expectation | None, text: str) -> str:
    """What sort of trouble a reading points to."""
    if expectation is None:
        return ""
    try:
        reading = read_against(text, expectation)
    except SoldersideError:
        return ""
    low, high = expectation.low, expectation.high
    if expectation.open:
        return "" if reading.amount is None else "short"
    if reading.amount is None:
        return "missing" if expectation.unit == "ohm" and high is not None else ""
    amount = reading.amount
    below, above = low is not None and amount < low, high is not None and amount > high
    if not (below or above):
        return ""
    if expectation.unit in ("ohm", "ampere"):
        return "short" if below is (expectation.unit == "ohm") else "missing"
    return _trouble_in_volts(expectation, amount) if expectation.unit == "volt" else "off"


def _trouble_in_volts(expectation: Expectation, amount: Decimal) -> str:
    """What sort of trouble volts outside these limits point to."""
    low, high = expectation.low, expectation.high
    wanted = next((limit for limit in (expectation.nominal, low, high) if limit is not None), Decimal(0))
    size = abs(wanted)
    if size and abs(amount) < size * LEFT_OF_IT:
        return "missing"
    if amount * wanted > 0 and abs(amount) < size * (1 - FAR_OFF):
        return "low"
    if amount * wanted > 0 and abs(amount) > size * (1 + FAR_OFF):
        return "high"
    swapped = (low is None or -amount >= low) and (high is None or -amount <= high)
    return "reversed" if swapped else "off"


def _trouble_in_words(words: str) -> str:
    """What sort of trouble a builder's words point to.

    >>> _trouble_in_words("U3 gets hot"), _trouble_in_words("no sound at SAW"), _trouble_in_words("SAW drifts")
    ('short', 'missing', '')
    """
    found = set(complaints_in(words))
    if found & {"shock", "smoke", "hot", "short"}:
        return "short"
    return "missing" if found & {"dead", "silent", "lamp", "no effect"} else ""


def _of_step(step: Step | None, words: str) -> tuple[str, ...]:
    """The complaint that a check or an adjustment is by its headline, when it fails.

    What a headline wishes for is no complaint; what it says should not be is one.
    """
    if step is None:
        return ()
    if step.action == "adjust":
        return complaints_in(words) or ("setting",)
    if words.casefold().startswith(_UNWANTED):
        return complaints_in(words.partition(" ")[2])
    return () if step.expect or not words else ("no effect",)
