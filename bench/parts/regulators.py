"""What a supply rail may read: windows of regulators, and what diodes and resettable fuses take off.

Each figure carries its source: `seen` names a data sheet that was read, `from memory` one that was not. A
window needs the part's suffix and the condition: at 25 °C and a set load it is narrower than over the whole
range of input, load and temperature.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from msgspec import Struct

from bench.errors import SoldersideError

FROM_MEMORY = "from memory"


class PartUnknown(SoldersideError):
    """No figures are kept for this part."""


class Window(Struct, frozen=True, kw_only=True):
    """What a rail may read."""

    part: str
    nominal: Decimal
    """Volts; below zero for negative rails."""
    low: Decimal
    """Volts, the more negative end."""
    high: Decimal
    """Volts."""
    condition: str
    source: str
    notes: tuple[str, ...] = ()


class Dropout(Struct, frozen=True, kw_only=True):
    """What a part in the supply line takes off at most."""

    part: str
    most: Decimal
    """Volts."""
    condition: str
    source: str
    notes: tuple[str, ...] = ()


_OVER_ALL = "over input, load and temperature"
_FAMILIES: dict[str, dict[int, str]] = {
    "78": {
        5: "4.80 5.20 4.75 5.25", 6: "5.75 6.25 5.70 6.30", 8: "7.70 8.30 7.60 8.40", 9: "8.65 9.35 8.60 9.40",
        10: "9.60 10.40 9.50 10.50", 12: "11.5 12.5 11.4 12.6", 15: "14.4 15.6 14.25 15.75",
        18: "17.3 18.7 17.1 18.9", 24: "23.0 25.0 22.8 25.2",
    },
    "78A": {
        5: "4.90 5.10 4.80 5.20", 6: "5.88 6.12 5.76 6.24", 8: "7.84 8.16 7.70 8.30", 9: "8.82 9.18 8.65 9.35",
        10: "9.80 10.20 9.60 10.40", 12: "11.75 12.25 11.5 12.5", 15: "14.7 15.3 14.4 15.6",
        18: "17.64 18.36 17.3 18.7", 24: "23.5 24.5 23.0 25.0",
    },
    "78LA": {
        5: "4.80 5.20 4.75 5.25", 6: "5.75 6.25 5.70 6.30", 8: "7.70 8.30 7.60 8.40", 9: "8.64 9.36 8.55 9.45",
        10: "9.60 10.40 9.50 10.50", 12: "11.5 12.5 11.4 12.6", 15: "14.4 15.6 14.25 15.75",
        18: "17.3 18.7 17.1 18.9", 24: "23.0 25.0 22.8 25.2",
    },
    "78L": {
        5: "4.60 5.40 4.50 5.50", 6: "5.52 6.48 5.40 6.60", 8: "7.36 8.64 7.20 8.80", 9: "8.28 9.72 8.10 9.90",
        10: "9.20 10.80 9.00 11.00", 12: "11.1 12.9 10.8 13.2", 15: "13.8 16.2 13.5 16.5",
        18: "16.6 19.4 16.2 19.8", 24: "22.1 25.9 21.6 26.4",
    },
}  # fmt: skip
"""Volts, magnitudes: lowest and highest at 25 °C, lowest and highest over all."""
_SEEN = {
    ("78", 5): "seen: LM78XX data sheet rev. 1.3.1, 2006",
    ("78", 12): "seen: LM78XX data sheet, table for the LM7812",
    ("78A", 12): "seen: MC7800 series data sheet, page 8",
    ("78LA", 5): "seen: MC78LXXA/LM78LXXA data sheet rev. 1.0.6, 2004",
    ("78L", 5): "seen: L78L data sheet, DocID2145 rev. 23, 2014: ±8 % without an A; over all: from memory",
    ("79", 5): "seen: LM79XX data sheet, September 2001",
}
_FIXED = re.compile(r"[A-Z]{0,4}?(78|79)([LM]?)(05|06|08|09|10|12|15|18|24)(?![0-9])([A-Z0-9/\-]*)")


def regulator_window(part: str, at_25_celsius: bool = False) -> Window:
    """Return the output of a 78xx, 79xx, 78Lxx or 79Lxx (also M) by its full type number, in volts.

    By default over input, load and temperature; with `at_25_celsius` as tested cold at the sheet's own load.
    Raises PartUnknown.

    >>> window = regulator_window("LM7812CT")
    >>> str(window.low), str(window.high)
    ('11.4', '12.6')
    """
    match = _FIXED.fullmatch(part.strip().upper().replace(" ", ""))
    if match is None:
        raise PartUnknown(
            f"'{part.strip()[:30]}' is no fixed regulator known here",
            hint="give the whole type number, such as LM7812CT or 78L05A",
        )
    series, size, volts, suffix = match[1], match[2], int(match[3]), match[4]
    tight = suffix.startswith("A")
    family = ("78L" if size == "L" else "78") + ("A" if tight else "")
    numbers = [Decimal(number) for number in _FAMILIES[family][volts].split()]
    low, high = numbers[:2] if at_25_celsius else numbers[2:]
    sign = 1 if series == "78" else -1
    notes: list[str] = []
    if not suffix and size == "L":
        notes.append("without a suffix this is the wide grade; with an A it is held to about half of that")
    if series == "79":
        notes.append("its pins are not those of a 78xx")
    seen = "" if size == "M" else _SEEN.get((family.replace("78", series), volts), "")
    return Window(
        part=part.strip(),
        nominal=Decimal(sign * volts),
        low=low if sign > 0 else -high,
        high=high if sign > 0 else -low,
        condition="25 °C" if at_25_celsius else _OVER_ALL,
        source=seen or FROM_MEMORY,
        notes=tuple(notes),
    )


_SCHOTTKY = "seen: 1N5817 to 1N5819 data sheet"
_DIODES: dict[str, tuple[tuple[tuple[str, str], ...], str]] = {
    "1N5817": ((("1", "0.45"), ("3", "0.75")), _SCHOTTKY),
    "1N5818": ((("1", "0.55"), ("3", "0.875")), _SCHOTTKY),
    "1N5819": ((("1", "0.60"), ("3", "0.90")), _SCHOTTKY),
    **{f"1N400{n}": ((("1", "1.1"),), FROM_MEMORY) for n in range(1, 8)},
    "1N4148": ((("0.01", "1.0"),), FROM_MEMORY),
}
"""Amperes and greatest forward voltage there."""


def diode_drop(part: str, amps: Decimal) -> Dropout:
    """Return the largest drop of a series diode at a current in amperes, from the next tabulated current up.

    Raises PartUnknown, and SoldersideError when the current is beyond the table.

    >>> diode_drop("1N5817", Decimal("0.04")).most
    Decimal('0.45')
    """
    name = part.strip().upper()
    if name not in _DIODES:
        raise PartUnknown(
            f"'{part.strip()[:30]}' is no series diode known here", hint=f"known: {', '.join(_DIODES)}"
        )
    table, source = _DIODES[name]
    for current, volts in table:
        if Decimal(0) <= amps <= Decimal(current):
            return Dropout(
                part=name,
                most=Decimal(volts),
                condition=f"greatest at {current} A and 25 °C",
                source=source,
                notes=("less current, less drop",) if amps < Decimal(current) else (),
            )
    raise SoldersideError(f"{amps} A is outside the table of the {name}", hint=f"give 0 to {table[-1][0]} A")


class FuseFigures(Struct, frozen=True, kw_only=True):
    """A resettable fuse in still air at 20 °C."""

    hold: Decimal
    """Amperes it carries without tripping."""
    trip: Decimal
    """Amperes at which it is sure to trip; in between nothing is promised."""
    ohms: Decimal | None
    """Greatest resistance after tripping once or being soldered; None when not on file."""
    volts: Decimal


_FUSES = {
    name: FuseFigures(
        hold=Decimal(hold), trip=Decimal(trip), volts=Decimal(volts), ohms=Decimal(ohms) if ohms else None
    )
    for name, hold, trip, ohms, volts in (
        ("RXEF005", "0.05", "0.10", "20", "60"),
        ("RXEF010", "0.10", "0.20", "7.5", "60"),
        ("RXEF017", "0.17", "0.34", "8.0", "60"),
        ("RHEF050", "0.5", "0.9", "", "30"),
        ("RHEF070", "0.7", "1.4", "", "30"),
        ("RHEF100", "1.0", "1.8", "", "30"),
    )
}


def fuse_drop(part: str, amps: Decimal, ohms: Decimal | None = None) -> Dropout:
    """Return the largest drop of a resettable fuse at a current in amperes: current times largest resistance.

    `ohms` stands in for a part whose resistance is not on file. Raises PartUnknown or SoldersideError.

    >>> fuse_drop("RXEF005", Decimal("0.05")).most
    Decimal('1.00')
    """
    name = part.strip().upper()
    figures = _FUSES.get(name)
    resistance = ohms if ohms is not None else figures.ohms if figures else None
    if amps < 0 or (ohms is not None and ohms < 0):
        raise SoldersideError("current and resistance cannot be below zero", hint="give amperes and ohms")
    if resistance is None:
        raise PartUnknown(
            f"no resistance is on file for '{part.strip()[:30]}'",
            hint="measure the fuse cold, or give the greatest resistance of its data sheet",
        )
    notes: tuple[str, ...] = ()
    if figures and amps >= figures.trip:
        notes = (f"this trips: {name} is sure to trip at {figures.trip} A",)
    elif figures and amps > figures.hold:
        notes = (f"it may trip: {name} holds {figures.hold} A in still air at 20 °C, less when it is warmer",)
    source = "given" if ohms is not None else "seen: RXEF series data sheet"
    return Dropout(
        part=name, most=amps * resistance, condition="after its first trip, 20 °C", source=source, notes=notes
    )


def behind(window: Window, drops: Sequence[Dropout]) -> Window:
    """Return the window of a rail after parts in series: full drop at one end, none at the other.

    >>> rail = behind(regulator_window("7812"), [diode_drop("1N5817", Decimal("0.04"))])
    >>> str(rail.low), str(rail.high)
    ('10.95', '12.6')
    """
    taken = sum((drop.most for drop in drops), Decimal(0))
    positive = window.nominal >= 0
    low, high = (window.low - taken, window.high) if positive else (window.low, window.high + taken)
    return Window(
        part=", ".join([window.part, *(drop.part for drop in drops)]),
        nominal=window.nominal,
        low=low,
        high=high,
        condition="; ".join([window.condition, *(drop.condition for drop in drops)]),
        source="; ".join([window.source, *(drop.source for drop in drops)]),
        notes=(*window.notes, *(note for drop in drops for note in drop.notes)),
    )
