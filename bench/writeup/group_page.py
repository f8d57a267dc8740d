"""What units built side by side have in common and what differs, as one page; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from statistics import median

from msgspec import Struct

from bench.errors import SoldersideError
from bench.log.clock import spell
from bench.log.progress import Progress
from bench.log.unit_names import unit_words
from bench.measure.verdict.meter_input import MeterReading, parse_reading
from bench.parts.english import counted
from bench.parts.expectation import parse_expectation, show_amount
from bench.plan.plan import Plan
from bench.writeup.readings import with_signs, with_unit
from bench.writeup.shortage import sort_of
from bench.writeup.table_page import Section, Span, table_page
from bench.writeup.words import join

ODD = 3.5
"""Modified z-score from which a reading is the odd one out (Iglewicz and Hoaglin 1993; from memory)."""
_LEAST_SPREAD = 0.002
"""Readings nearer to each other than this share of their median are the same for most meters (own guess)."""


class UnitDone(Struct, frozen=True, kw_only=True):
    """One unit as its log tells it."""

    name: str
    plan: Plan
    progress: Progress

    @property
    def words(self) -> str:
        """What it is called."""
        return unit_words(self.name)


def odd_one(values: Sequence[float]) -> int | None:
    """Place of the value that is not like the others; None where there is none or more than one.

    >>> odd_one([12.02, 12.01, 11.2]), odd_one([12.02, 12.01, 12.03]), odd_one([1.0, 2.0])
    (2, None, None)
    """
    if len(values) < 3:
        return None
    middle = median(values)
    spread = max(median(abs(each - middle) for each in values), _LEAST_SPREAD * abs(middle), 1e-12)
    odd = [place for place, each in enumerate(values) if 0.6745 * abs(each - middle) / spread > ODD]
    return odd[0] if len(odd) == 1 else None


def group_page(title: str, units: Sequence[UnitDone], costs: Sequence[str] = ()) -> str:
    """The page of a group as HTML; `costs` are sentences about money, none unless they were asked for."""
    sections = [
        Section(title="In short", lines=tuple(_summary(units))),
        _stages(units),
        _readings(units),
        _snags(units),
        _bag(units),
        Section(title="What it cost", lines=tuple(costs)),
    ]
    return table_page(title, "", sections)


def _summary(units: Sequence[UnitDone]) -> Iterable[str]:
    for unit in units:
        progress = unit.progress
        state = "finished" if _finished(unit) else f"{_share(unit)} % done"
        aside = (
            f", set aside{': ' + progress.aside.why if progress.aside.why else ''}" if progress.aside else ""
        )
        words = [state + aside, f"{spell(progress.bench_seconds)} at the bench", _count(progress)]
        yield f"{unit.words[:1].upper()}{unit.words[1:]}: {', '.join(words)}."
    yield from _soldering(units)


def _count(progress: Progress) -> str:
    return counted(len(progress.snags), "snag") if progress.snags else "no snags"


def _items(unit: UnitDone) -> frozenset[str]:
    return frozenset(item for step in unit.plan.steps for item in step.items)


def _share(unit: UnitDone) -> int:
    items = _items(unit)
    return 100 * len(items & unit.progress.done) // max(1, len(items))


def _finished(unit: UnitDone) -> bool:
    return _items(unit) <= unit.progress.done


def beside_words(units: Sequence[UnitDone], name: str) -> str:
    """For a unit's own page: which ones it was built beside; empty where it is alone."""
    return join([unit.words for unit in units if unit.name != name])


def _soldering(units: Sequence[UnitDone]) -> Iterable[str]:
    """What each unit took for the soldering steps that all of them have done."""
    common = {
        step.key
        for step in units[0].plan.steps
        if step.joints and all(unit.progress.done.issuperset(step.items) for unit in units)
    }
    took = [sum(unit.progress.step_seconds.get(key, 0.0) for key in common) for unit in units]
    if all(took):
        each = [f"{spell(seconds)} on {unit.words}" for unit, seconds in zip(units, took, strict=True)]
        yield f"The {counted(len(common), 'soldering step')} done on all of them took {join(each)}."


def _stages(units: Sequence[UnitDone]) -> Section:
    rows, spans = [], []
    for stage in units[0].plan.stages:
        seconds = [unit.progress.stage_seconds.get(stage.key, 0.0) for unit in units]
        if not any(seconds):
            continue
        name = f"{stage.name}, {stage.board}" if stage.board else stage.name
        middle = median(seconds)
        rows.append((name, *map(spell, seconds), spell(max(seconds) - min(seconds))))
        said = f"{spell(min(seconds))} to {spell(max(seconds))}, median {spell(middle)}"
        spans.append(Span(label=name, said=said, mark=middle, low=min(seconds), high=max(seconds)))
    return Section(
        title="Time by stage",
        heads=("Stage", *(unit.words for unit in units), "Spread"),
        rows=tuple(rows),
        spans=tuple(spans),
        about="From the fastest unit to the slowest; the mark is the median.",
    )


def _parsed(text: str, expect: str) -> MeterReading | None:
    """A reading in the unit of its check; None for one that cannot be read."""
    try:
        return parse_reading(text, parse_expectation(expect).unit if expect else "")
    except SoldersideError:
        return None


def _apart(spread: float, parsed: Sequence[MeterReading | None]) -> str:
    unit = next((each.unit for each in parsed if each is not None and each.unit), "")
    return show_amount(Decimal(f"{spread:.3g}"), unit) if unit else f"{spread:.3g}"


def _last_readings(unit: UnitDone) -> Mapping[str, str]:
    return {each.step: each.text for each in unit.progress.readings}


def _readings(units: Sequence[UnitDone]) -> Section:
    read = [_last_readings(unit) for unit in units]
    rows = []
    for step in units[0].plan.steps:
        texts = [each.get(step.key, "") for each in read]
        if not any(texts):
            continue
        parsed = [_parsed(text, step.expect) for text in texts]
        numbers = [None if each is None or each.amount is None else float(each.amount) for each in parsed]
        known = [each for each in numbers if each is not None]
        spread = _apart(max(known) - min(known), parsed) if len({*known}) > 1 else ""
        place = odd_one(known) if len(known) == len(texts) else None
        odd = units[place].words if place is not None else ""
        told = [with_unit(text, step.expect) or "–" for text in texts]
        rows.append((step.value, with_signs(step.expect), *told, spread, odd))
    heads = ("Check", "Should be", *(unit.words for unit in units), "Spread", "Odd one out")
    return Section(title="Readings side by side", heads=heads, rows=tuple(rows))


def _snags(units: Sequence[UnitDone]) -> Section:
    rows = tuple(
        (
            unit.words,
            each.place[0] or "later",
            each.part,
            each.what,
            each.fix or "still open",
            f"{each.minutes:g}",
        )
        for unit in units
        for each in unit.progress.snags
    )
    return Section(
        title="Snags", heads=("Unit", "Stage", "Part", "What", "How it was fixed", "Minutes"), rows=rows
    )


def _bag(units: Sequence[UnitDone]) -> Section:
    """Shortages of all units, added up by sort of part."""
    short: dict[str, list[int]] = {}
    for place, unit in enumerate(units):
        for count in unit.progress.bag:
            missing = len(count.items) - count.found
            if missing > 0:
                short.setdefault(sort_of(count), [0] * len(units))[place] += missing
    rows = tuple(
        (sort, *(str(each) if each else "–" for each in many), str(sum(many))) for sort, many in short.items()
    )
    return Section(
        title="Missing from the bags", heads=("Part", *(unit.words for unit in units), "In all"), rows=rows
    )


def cost_words(price: str, rate: float, units: Sequence[UnitDone]) -> tuple[str, ...]:
    """What the kits and the hours come to; `rate` is for an hour, in the currency of the price.

    >>> cost_words("", 0.0, ())
    ('Neither the kit has a price nor the settings an hourly_rate.',)
    """
    found = re.search(r"\d+(?:[.,]\d+)?", price)
    each = float(found[0].replace(",", ".")) if found else 0.0
    currency = price.replace(found[0], "", 1).strip() if found else ""
    if not each and not rate:
        return ("Neither the kit has a price nor the settings an hourly_rate.",)
    hours = sum(unit.progress.bench_seconds for unit in units) / 3600
    lines, total = [], 0.0
    if each:
        total += each * len(units)
        lines.append(
            f"{counted(len(units), 'kit')} at {each:.2f} {currency}".rstrip() + f": {each * len(units):.2f}."
        )
    if rate:
        total += hours * rate
        lines.append(f"{hours:.1f} hours at {rate:.2f} an hour: {hours * rate:.2f}.")
    return (*lines, f"In all {total:.2f} {currency}".rstrip() + ".")
