"""What a supply rail may read: windows of regulators, and what diodes and resettable fuses take off.

Each figure carries its source: `seen` names a data sheet that was read, `from memory` one that was not. A
window needs the part's suffix and the condition: at 25 °C and a set load it is narrower than over the whole
range of input, load and temperature.
"""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError

FROM_MEMORY = "from memory"


class PartUnknown(SoldersideError):
    """No figures are kept for this part."""


class Window(Struct, frozen=True, kw_only=True):
    """What a rail may read."""

    nominal: Decimal
    """Volts; below zero for negative rails."""
    low: Decimal
    """Volts, the more negative end."""
    high: Decimal
    """Volts."""
    source: str
    """`seen` with the data sheet that was read, or `FROM_MEMORY`."""


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
    family = ("78L" if size == "L" else "78") + ("A" if suffix.startswith("A") else "")
    numbers = [Decimal(number) for number in _FAMILIES[family][volts].split()]
    low, high = numbers[:2] if at_25_celsius else numbers[2:]
    sign = 1 if series == "78" else -1
    seen = "" if size == "M" else _SEEN.get((family.replace("78", series), volts), "")
    return Window(
        nominal=Decimal(sign * volts),
        low=low if sign > 0 else -high,
        high=high if sign > 0 else -low,
        source=seen or FROM_MEMORY,
    )


_DIODES: dict[str, tuple[tuple[str, str], ...]] = {
    "1N5817": (("1", "0.45"), ("3", "0.75")),
    "1N5818": (("1", "0.55"), ("3", "0.875")),
    "1N5819": (("1", "0.60"), ("3", "0.90")),
    **{f"1N400{n}": (("1", "1.1"),) for n in range(1, 8)},
    "1N4148": (("0.01", "1.0"),),
}
"""Amperes and greatest forward voltage there, 25 °C; seen: 1N5817 to 1N5819 data sheet; others from memory."""
_FUSES = {"RXEF005": Decimal(20), "RXEF010": Decimal("7.5"), "RXEF017": Decimal("8.0")}
"""Greatest ohms of resettable fuses after a trip or soldering, 20 °C; seen: RXEF series data sheet."""


def diode_drop(part: str, amps: Decimal) -> Decimal:
    """Return the most volts that a series diode drops at so many amperes, from the next tabulated current up.

    Raises PartUnknown, and SoldersideError when the current is beyond the table.

    >>> diode_drop("1N5817", Decimal("0.04"))
    Decimal('0.45')
    """
    table = _DIODES.get(part.strip().upper())
    if table is None:
        raise PartUnknown(
            f"'{part.strip()[:30]}' is no series diode known here", hint=f"known: {', '.join(_DIODES)}"
        )
    for current, volts in table:
        if 0 <= amps <= Decimal(current):
            return Decimal(volts)
    raise SoldersideError(f"{amps} A is outside the table of the {part}", hint=f"give 0 to {table[-1][0]} A")


def fuse_drop(part: str, amps: Decimal) -> Decimal:
    """Return the most volts that a resettable fuse drops: amperes times its largest resistance.

    Raises PartUnknown, and SoldersideError for a current below zero.

    >>> fuse_drop("RXEF005", Decimal("0.05"))
    Decimal('1.00')
    """
    if amps < 0:
        raise SoldersideError("a current cannot be below zero", hint="give amperes")
    ohms = _FUSES.get(part.strip().upper())
    if ohms is None:
        raise PartUnknown(f"no resistance is on file for '{part.strip()[:30]}'", hint="measure the fuse cold")
    return amps * ohms


def behind(window: Window, drop: Decimal) -> Window:
    """Return the window of a rail after a part in series: the full drop in volts at one end, none at the other.

    >>> rail = behind(regulator_window("7812"), diode_drop("1N5817", Decimal("0.04")))
    >>> str(rail.low), str(rail.high)
    ('10.95', '12.6')
    """
    if window.nominal >= 0:
        return replace(window, low=window.low - drop)
    return replace(window, high=window.high + drop)
