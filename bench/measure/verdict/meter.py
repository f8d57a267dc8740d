"""How far a hand-held meter may be off: ± (percent of reading + counts of the range in use).

A count is one step of the last digit of the range in use, and the percentage is of the reading. Both parts
are summed as they are: a part smaller than one count is not dropped, as some makers do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal, InvalidOperation

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.parts.expectation import plural
from bench.parts.quantity import Quantity, QuantityError, parse_quantity

FUNCTIONS = {
    "volts": "volt", "volts_ac": "volt", "ohms": "ohm", "amps": "ampere", "amps_ac": "ampere",
    "farads": "farad", "hertz": "hertz",
}  # fmt: skip
"""What a meter may measure, and in what unit."""


class MeterError(SoldersideError):
    """A meter is described wrongly, or does not measure what is asked of it."""


class MeterRange(Struct, frozen=True, kw_only=True):
    """One range with its accuracy."""

    full_scale: Decimal
    """Greatest reading, base unit."""
    resolution: Decimal
    """One count, base unit."""
    percent: Decimal
    """Of the reading."""
    counts: Decimal

    def accuracy(self, reading: Decimal) -> Decimal:
        """The limit of the meter's error at a reading, base unit.

        >>> MeterRange(full_scale=Decimal(600), resolution=Decimal("0.1"), percent=Decimal(1),
        ...       counts=Decimal(3)).accuracy(Decimal(120))
        Decimal('1.5')
        """
        return abs(reading) * self.percent / 100 + self.counts * self.resolution


class Meter(Struct, frozen=True, kw_only=True):
    """A meter: its ranges for each function, each from small to large; an empty function is not there."""

    name: str
    volts: tuple[MeterRange, ...] = ()
    """DC."""
    volts_ac: tuple[MeterRange, ...] = ()
    ohms: tuple[MeterRange, ...] = ()
    amps: tuple[MeterRange, ...] = ()
    """DC."""
    amps_ac: tuple[MeterRange, ...] = ()
    farads: tuple[MeterRange, ...] = ()
    hertz: tuple[MeterRange, ...] = ()

    def ranges(self, unit: str, alternating: bool = False) -> tuple[MeterRange, ...]:
        """The ranges for a unit; empty when the meter does not measure it."""
        wanted = [name for name, its in FUNCTIONS.items() if its == unit]
        if len(wanted) > 1:
            wanted = [name for name in wanted if name.endswith("_ac") == alternating]
        found: tuple[MeterRange, ...] = getattr(self, wanted[0]) if wanted else ()
        return found


def choose_range(meter: Meter, amount: Decimal, unit: str, alternating: bool = False) -> MeterRange | None:
    """The smallest range that holds the amount, else the largest; None when the meter has none."""
    ranges = meter.ranges(unit, alternating)
    holding = [each for each in ranges if abs(amount) <= each.full_scale]
    return holding[0] if holding else (ranges[-1] if ranges else None)


def meter_from(mapping: Mapping[str, object], where: str = "meter") -> Meter:
    """A meter from plain data, as settings hold it; raises MeterError.

    Each function is a list of ranges, each with `full_scale`, `resolution` (numbers in base units, or texts
    such as `600 mV`), `percent` and `counts`. `accuracy` alone names one of CLASSES.
    """
    unknown = set(mapping) - {"name", "accuracy", *FUNCTIONS}
    if unknown:
        raise MeterError(
            f"{', '.join(sorted(unknown))}: unknown",
            where,
            f"a meter has name, accuracy, {', '.join(FUNCTIONS)}",
        )
    if "accuracy" in mapping:
        return _of_class(mapping, where)
    found: dict[str, tuple[MeterRange, ...]] = {}
    for function, unit in FUNCTIONS.items():
        listed = mapping.get(function, ())
        if isinstance(listed, (str, bytes)) or not isinstance(listed, Sequence):
            raise MeterError(f"{function} is not a list of ranges", where, "give one entry for each range")
        ranges = [_range(each, unit, f"{where}.{function}, range {n}") for n, each in enumerate(listed, 1)]
        found[function] = tuple(sorted(ranges, key=lambda each: each.full_scale))
    if not any(found.values()):
        raise MeterError("the meter has no ranges", where, "give ranges for volts at least")
    return Meter(name=str(mapping.get("name", "meter")), **found)


def _of_class(mapping: Mapping[str, object], where: str) -> Meter:
    """A meter that is described by its accuracy class alone."""
    accuracy = str(mapping["accuracy"]).strip().casefold()
    if accuracy not in CLASSES:
        raise MeterError(f"unknown accuracy {accuracy[:30]!r}", where, f"choose one of {', '.join(CLASSES)}")
    if set(mapping) & set(FUNCTIONS):
        raise MeterError("accuracy and ranges together", where, "give the one or the other")
    meter = CLASSES[accuracy]
    return replace(meter, name=str(mapping["name"])) if "name" in mapping else meter


def _range(entry: object, unit: str, where: str) -> MeterRange:
    if not isinstance(entry, Mapping) or set(entry) != {"full_scale", "resolution", "percent", "counts"}:
        raise MeterError(
            "a range needs full_scale, resolution, percent and counts, and nothing else",
            where,
            "such as full_scale = '6 V', resolution = '1 mV', percent = 0.5, counts = 3",
        )
    made = MeterRange(
        full_scale=_amount(entry["full_scale"], unit, where),
        resolution=_amount(entry["resolution"], unit, where),
        percent=_amount(entry["percent"], "", where),
        counts=_amount(entry["counts"], "", where),
    )
    if not 0 < made.resolution < made.full_scale:
        raise MeterError("one count is not smaller than full scale", where, "check the units of both")
    if made.percent > 20:
        raise MeterError(f"{made.percent} percent is not a possible accuracy", where, "give percent of reading")
    return made


def _amount(said: object, unit: str, where: str) -> Decimal:
    plain = str(said).strip()
    try:
        amount = Decimal(plain)
    except InvalidOperation:
        try:
            found = parse_quantity(plain, unit) if unit else Quantity(amount=Decimal("NaN"), unit="")
        except QuantityError as error:
            raise MeterError(error.what, where, error.hint) from error
        amount = found.amount if found.unit == unit else Decimal("NaN")
    if isinstance(said, bool) or not amount.is_finite() or amount < 0:
        raise MeterError(
            f"'{plain[:40]}' is not an amount{f' in {plural(unit)}' if unit else ''}",
            where,
            "give a number, not below zero",
        )
    return amount


def _decade(starts: str, counts: int, steps: int, percent: str, digits: str) -> tuple[MeterRange, ...]:
    """Ranges ten times apart with the same accuracy."""
    first = Decimal(starts)
    return tuple(
        MeterRange(
            full_scale=first.scaleb(n),
            resolution=(first / counts).scaleb(n),
            percent=Decimal(percent),
            counts=Decimal(digits),
        )
        for n in range(steps)
    )


DEFAULT_METER = Meter(
    name="a modest 6000-count hand-held",
    volts=_decade("0.6", 6000, 4, "0.8", "3"),
    volts_ac=_decade("0.6", 6000, 4, "1.5", "5"),
    ohms=(
        *_decade("600", 6000, 5, "1.2", "3"),
        MeterRange(
            full_scale=Decimal("6E+7"), resolution=Decimal("1E+4"), percent=Decimal("2.5"), counts=Decimal(5)
        ),
    ),
    amps=(
        *_decade("0.0006", 6000, 4, "1.5", "3"),
        MeterRange(
            full_scale=Decimal(10), resolution=Decimal("0.01"), percent=Decimal("2.5"), counts=Decimal(5)
        ),
    ),
    amps_ac=(
        *_decade("0.0006", 6000, 4, "2", "5"),
        MeterRange(full_scale=Decimal(10), resolution=Decimal("0.01"), percent=Decimal(3), counts=Decimal(5)),
    ),
    farads=_decade("6E-9", 6000, 7, "4", "5"),
    hertz=_decade("60", 6000, 5, "0.1", "3"),
)
"""Assumed until the settings describe the real one: our own figures, on the coarse side for a hand-held meter
with 6000 counts (0.6 V to 600 V, 600 ohm to 60 Mohm, 0.6 mA to 10 A, 6 nF to 6 mF), at 18 to 28 °C."""


def _hand_held(name: str, counts: int, spec: Mapping[str, str]) -> Meter:
    """A hand-held meter of one accuracy throughout each function; `spec`: function -> `percent digits`."""
    top = "2" if counts == 2000 else "6"

    def ranges(function: str, starts: str, steps: int) -> tuple[MeterRange, ...]:
        percent, digits = spec[function].split()
        return _decade(f"{top}E{starts}", counts, steps, percent, digits)

    return Meter(
        name=name,
        volts=ranges("volts", "-1", 4), volts_ac=ranges("volts_ac", "-1", 4), ohms=ranges("ohms", "2", 6),
        amps=ranges("amps", "-4", 5), amps_ac=ranges("amps_ac", "-4", 5), farads=ranges("farads", "-9", 7),
        hertz=ranges("hertz", "1", 5),
    )  # fmt: skip


CLASSES: dict[str, Meter] = {
    "basic": _hand_held("a basic meter", 2000, {
        "volts": "0.8 2", "volts_ac": "1.2 10", "ohms": "1.0 4", "amps": "1.5 3", "amps_ac": "2.0 5",
        "farads": "4 5", "hertz": "1.0 3",
    }),
    "good": _hand_held("a good meter", 6000, {
        "volts": "0.5 2", "volts_ac": "1.0 3", "ohms": "0.8 2", "amps": "1.0 3", "amps_ac": "1.5 3",
        "farads": "2 5", "hertz": "0.1 3",
    }),
    "precise": _hand_held("a precise meter", 60000, {
        "volts": "0.1 2", "volts_ac": "0.6 10", "ohms": "0.2 2", "amps": "0.3 5", "amps_ac": "0.8 10",
        "farads": "1 5", "hertz": "0.02 3",
    }),
}  # fmt: skip
"""Accuracy classes to choose from where nobody has the meter's leaflet at hand: 2000, 6000 and 60,000 counts,
± per cent of the reading and counts. Figures of the classes: common practice, no source; they lie within what
makers call typical, ± (0.7 % + 1) to ± (0.1 % + 1) on direct volts."""


def class_words(accuracy: str) -> str:
    """A class in the field's terms, by its direct volts.

    >>> class_words("good")
    'good: ± (0.5 % + 2 counts)'
    """
    first = CLASSES[accuracy].volts[0]
    return f"{accuracy}: ± ({first.percent:f} % + {first.counts:f} counts)"
