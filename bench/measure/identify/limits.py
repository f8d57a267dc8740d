"""What readings are held against: lines of a kit, classes of diodes, preferred values."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from msgspec import Struct

from bench.measure.identify.candidates import grouped
from bench.measure.identify.kit_lines import KitLine
from bench.parts.expectation import Expectation
from bench.parts.junctions import DROPS, JunctionDrop, drops_of
from bench.parts.quantity import Quantity, show
from bench.parts.series import nearest, next_higher, next_lower

SERIES_TRIED: dict[str, tuple[tuple[str, int], ...]] = {
    "ohm": (("E96", 1), ("E24", 5)), "farad": (("E12", 10), ("E6", 20)), "henry": (("E12", 10),),
}  # fmt: skip
"""Without a kit: the series whose values are tried, each with the ± per cent that goes with it."""
_EACH_WAY = 3
"""How many values of a series are tried below and above the nearest."""


class Limits(Struct, frozen=True, kw_only=True):
    """Something that a reading may be held against."""

    text: str
    """The part in words."""
    unit: str
    low: Decimal
    """Base unit."""
    high: Decimal
    """Base unit."""
    amount: Quantity | None = None
    """What the part is worth; None for a class of diodes."""
    kind: str = ""
    lines: tuple[KitLine, ...] = ()
    note: str = ""
    """What else belongs into the reasons."""

    @property
    def expectation(self) -> Expectation:
        """The same for `verdict.judge`."""
        nominal = self.amount.amount if self.amount else None
        return Expectation(text=self.text, unit=self.unit, low=self.low, high=self.high, nominal=nominal)


def limits_of_lines(lines: Sequence[KitLine], unit: str) -> Iterator[Limits]:
    """The lines whose value can be measured in this unit, equal ones together."""
    for group in grouped(line for line in lines if line.amount and line.amount.unit == unit):
        first = group[0]
        if (range_ := first.limits) is not None:
            usual = f"the kit gives no tolerance: ±{first.below:f} % is usual" if first.usual else ""
            yield Limits(
                text=first.text, unit=unit, low=range_[0], high=range_[1], amount=first.amount,
                kind=first.part.kind, lines=group, note=usual,
            )  # fmt: skip


def limits_of_drops(lines: Sequence[KitLine]) -> Iterator[Limits]:
    """The diodes of a kit with the forward voltages of their classes."""
    for group in grouped(lines):
        part = group[0].part
        for drop in drops_of(part.kind, part.value, f"{part.marking} {part.note}"):
            yield _of_drop(drop, f"{part.value} {part.kind}".strip(), group)


def limits_of_all_drops() -> Iterator[Limits]:
    """Every class of diodes, without a kit."""
    for drop in DROPS:
        yield _of_drop(drop, drop.name, ())


def _of_drop(drop: JunctionDrop, text: str, lines: tuple[KitLine, ...]) -> Limits:
    note = f"{drop.name}: {drop.low:f} to {drop.high:f} V forward in a diode test, common practice"
    return Limits(text=text, unit="volt", low=drop.low, high=drop.high, kind=drop.kind, lines=lines, note=note)


def limits_of_preferred(amount: Decimal, unit: str) -> Iterator[Limits]:
    """Preferred values around an amount above zero, with the tolerance that goes with their series."""
    for series, percent in SERIES_TRIED.get(unit, ()):
        low = high = nearest(amount, series)
        around = [low]
        for _ in range(_EACH_WAY):
            low, high = next_lower(low, series, strict=True), next_higher(high, series, strict=True)
            around += [low, high]
        for value in around:
            worth, share = Quantity(amount=value, unit=unit), value * percent / 100
            yield Limits(
                text=f"{show(worth)} ±{percent} %",
                unit=unit,
                low=value - share,
                high=value + share,
                amount=worth,
            )


def nearest_preferred(amount: Decimal, unit: str) -> str:
    """The preferred values nearest to an amount above zero, in words; nothing for a unit without series.

    >>> nearest_preferred(Decimal("4690"), "ohm")
    'nearest preferred values: 4.7 kΩ (E24), 4.64 kΩ (E96)'
    """
    if unit not in SERIES_TRIED:
        return ""
    by_value: dict[Decimal, list[str]] = {}
    for series, _ in reversed(SERIES_TRIED[unit]):
        by_value.setdefault(nearest(amount, series), []).append(series)
    said = [
        f"{show(Quantity(amount=value, unit=unit))} ({' and '.join(names)})"
        for value, names in by_value.items()
    ]
    return f"nearest preferred value{'s' if len(said) > 1 else ''}: {', '.join(said)}"
