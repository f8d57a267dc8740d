"""What readings are held against: the lines of a kit, classes of diodes, preferred values."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal

from msgspec import Struct

from bench.kit.kit import Kit, PartLine
from bench.parts.advice import lacks_class
from bench.parts.designators import shorten
from bench.parts.expectation import Expectation
from bench.parts.junctions import DROPS, JunctionDrop, drops_of
from bench.parts.kinds import KINDS
from bench.parts.quantity import Quantity, read_value, show
from bench.parts.series import nearest, next_higher, next_lower


class KitLine(Struct, frozen=True, kw_only=True):
    """One line of a kit, read."""

    board: str
    part: PartLine
    amount: Quantity | None
    """What the part is worth; None for a type number."""
    below: Decimal | None
    """Tolerance below the value in per cent, as stated or usual; None where neither is known."""
    above: Decimal | None
    """The same above the value."""
    usual: bool
    """True when the tolerance is the usual one, not the kit's."""
    volts: Decimal | None
    """Rated voltage, volts."""

    @property
    def text(self) -> str:
        """The part in words: `4.7 kΩ ±1 %`, or its value as written."""
        if self.amount is None:
            return self.part.value or self.part.kind
        if self.below is None:
            return show(self.amount)
        if self.below != self.above:
            return f"{show(self.amount)} +{self.above:f}/−{self.below:f} %"
        return f"{show(self.amount)} ±{self.below:f} %"

    @property
    def refs(self) -> str:
        """Its designators in short, or its kind when it has none."""
        return shorten(self.part.refs) or self.part.kind

    @property
    def printed(self) -> str:
        """All that the kit says of its ratings."""
        part = self.part
        return " ".join((part.value, part.voltage, part.marking, part.note, part.package))

    def must_show(self, marked: str = "") -> str:
        """Which class for the mains a capacitor has to bear; empty where `marked` names one that does."""
        missing = lacks_class(self.printed, marked) if self.amount and self.amount.unit == "farad" else ()
        return (
            f"only with class {' and '.join(missing)} printed on it: this is for the mains" if missing else ""
        )

    @property
    def look(self) -> str:
        """What tells it apart at a glance: parts of another look are not mistaken for it."""
        kind = KINDS.get(self.part.kind)
        return (kind.look if kind else "") or self.part.kind

    @property
    def limits(self) -> tuple[Decimal, Decimal] | None:
        """The least and the most that a good part measures, base unit; None where measuring says nothing."""
        if self.amount is None or self.below is None or self.above is None or self.amount.amount <= 0:
            return None
        size = self.amount.amount
        return size * (1 - self.below / 100), size * (1 + self.above / 100)


def lines_of(kit: Kit) -> tuple[KitLine, ...]:
    """Every line of a kit, read, board by board."""
    return tuple(read_line(board.name, part) for board in kit.boards for part in board.parts)


def read_line(board: str, part: PartLine) -> KitLine:
    """One line of a kit, read; never raises, whatever its value."""
    kind = KINDS.get(part.kind)
    value = read_value(part.value, kind.unit if kind else "")
    stated = _tolerance(part.tolerance)
    if stated is None and value.tolerance_percent is not None:
        stated = value.tolerance_percent, value.tolerance_percent
    usual = Decimal(kind.percent) if kind and kind.percent is not None else None
    below, above = (stated or (usual, usual)) if usual is not None else (None, None)
    rated = read_value(part.voltage, "volt").main
    ratings = [found.amount for found in value.ratings if found.unit == "volt"]
    if rated is not None and rated.unit == "volt":
        ratings.insert(0, rated.amount)
    return KitLine(
        board=board, part=part, amount=value.main, below=below, above=above,
        usual=stated is None and below is not None, volts=ratings[0] if ratings else None,
    )  # fmt: skip


def _tolerance(text: str) -> tuple[Decimal, Decimal] | None:
    """Per cent below and above: `1 %`, `±5%`, `+80/-20 %`; None when it is not in per cent.

    >>> _tolerance("±5 %"), _tolerance("+80/-20 %"), _tolerance("")
    ((Decimal('5'), Decimal('5')), (Decimal('20'), Decimal('80')), None)
    """
    plain = text.replace(",", ".").replace("−", "-")
    if found := re.search(r"\+\s*(\d{1,3}(?:\.\d+)?)\s*%?\s*/?\s*-\s*(\d{1,2}(?:\.\d+)?)\s*%", plain):
        return Decimal(found[2]), Decimal(found[1])
    if found := re.fullmatch(r"\s*(?:±|\+/?-)?\s*(\d{1,2}(?:\.\d+)?)\s*%?\s*", plain):
        return Decimal(found[1]), Decimal(found[1])
    return None


def named(lines: Iterable[KitLine], boards: int = 1) -> str:
    """Designators of lines, with the board of each where the kit has more than one: `R1-R4 on main`."""
    if boards < 2:
        return ", ".join(line.refs for line in lines)
    by_board: dict[str, list[str]] = {}
    for line in lines:
        by_board.setdefault(line.board, []).append(line.refs)
    return ", ".join(f"{', '.join(refs)} on {board}" for board, refs in by_board.items())


def grouped(lines: Iterable[KitLine]) -> tuple[tuple[KitLine, ...], ...]:
    """Lines that ask for the same part put together, whatever their board, in the order of the first."""
    together: dict[tuple[object, ...], list[KitLine]] = {}
    for line in lines:
        worth = line.amount or line.part.value.casefold()
        key = (line.part.kind, worth, line.below, line.above, line.volts)
        together.setdefault(key, []).append(line)
    return tuple(map(tuple, together.values()))


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
