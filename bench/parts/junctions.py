"""What a meter's diode test and its gain test say about diodes and transistors.

Forward voltages are those at the milliampere or so that a hand-held's diode test sends, near 25 °C: common
practice, and coarse. Gains are the groups of the usual data sheets, at the current named there; a hand-held
measures at a few milliamperes or less, so the true limits are a little wider (see GAIN_SLACK).
"""

from __future__ import annotations

import re
from decimal import Decimal

from msgspec import Struct

from bench.parts.type_numbers import facts

GAIN_SLACK = Decimal("1.25")
"""A hand-held's gain may be off by this factor, up or down: common practice, no source."""


class JunctionDrop(Struct, frozen=True, kw_only=True):
    """A class of diodes with the forward voltage that a diode test shows."""

    name: str
    low: Decimal
    """Volts."""
    high: Decimal
    """Volts."""
    kind: str
    """The name of an entry of `kinds`."""
    colours: tuple[str, ...] = ()
    """LED: words for its colour."""


def _drop(name: str, low: str, high: str, kind: str, *colours: str) -> JunctionDrop:
    return JunctionDrop(name=name, low=Decimal(low), high=Decimal(high), kind=kind, colours=colours)


DROPS: tuple[JunctionDrop, ...] = (
    _drop("Schottky diode", "0.12", "0.45", "Schottky diode"),
    _drop("germanium diode", "0.15", "0.45", "diode"),
    _drop("silicon diode", "0.45", "0.8", "diode"),
    _drop("Zener diode", "0.5", "0.85", "Zener diode"),
    _drop("bridge rectifier", "0.45", "0.8", "bridge rectifier"),
    _drop("infrared LED", "0.9", "1.35", "LED", "infrared", "ir"),
    _drop("red LED", "1.5", "2.1", "LED", "red"),
    _drop("orange LED", "1.6", "2.2", "LED", "orange", "amber"),
    _drop("yellow LED", "1.7", "2.3", "LED", "yellow"),
    _drop("green LED", "1.7", "3.3", "LED", "green"),
    _drop("blue or white LED", "2.3", "3.6", "LED", "blue", "white", "violet", "uv", "pink", "warm"),
)
"""By forward voltage. Infrared, red and so on overlap: the colour seen decides, the voltage only helps."""

ANY_LED = JunctionDrop(name="LED", low=Decimal("1.5"), high=Decimal("3.6"), kind="LED")
"""An LED whose colour nobody states; infrared ones are left out."""


class Gains(Struct, frozen=True, kw_only=True):
    """One gain group of some transistors."""

    bases: tuple[str, ...]
    """Types as in `type_numbers`."""
    group: str
    """What stands behind the type: `B`, `-25`, `GR`; empty for types without groups."""
    low: int
    high: int


def _gains(bases: str, groups: str) -> tuple[Gains, ...]:
    """Rows of the table; each group as `B 200 450`, or `100 300` where a type has none, with commas between."""
    rows = ([*group.split()] for group in groups.split(","))
    return tuple(
        Gains(bases=tuple(bases.split()), group=" ".join(row[:-2]), low=int(row[-2]), high=int(row[-1]))
        for row in rows
    )


GAINS: tuple[Gains, ...] = (
    *_gains("BC546 BC547 BC548 BC549 BC550 BC556 BC557 BC558 BC559 BC560", "A 110 220, B 200 450, C 420 800"),
    *_gains("BC337 BC338 BC327 BC328", "-16 100 250, -25 160 400, -40 250 630"),
    *_gains("BC635 BC637 BC639 BC636 BC638 BC640", "40 250, -10 63 160, -16 100 250"),
    *_gains("2SC1815", "O 70 140, Y 120 240, GR 200 400, BL 350 700"),
    *_gains("2SA1015", "O 70 140, Y 120 240, GR 200 400"),
    *_gains("2N3904 2N3906 2N4401 2N4403 PN2222 PN2907 2N2222 2N2907", "100 300"),
    *_gains("2N5088", "300 900"),
    *_gains("2N5089", "400 1200"),
    *_gains("2N5087", "250 800"),
    *_gains("2N5551", "80 250"),
    *_gains("2N5401", "60 240"),
)
"""Groups by data sheet, at 2 mA (BC54x, BC55x, 2SC1815, 2SA1015), 100 mA (BC33x, BC32x), 150 mA (BC63x,
2N440x, PN2222 and its like), 10 mA (2N390x, 2N5551, 2N5401) and 0.1 mA (2N508x); from memory, except where a
test names a source."""


def drops_of(kind: str, value: str, words: str = "") -> tuple[JunctionDrop, ...]:
    """Find the forward drops that a part of this kind and value can have; `words` may name an LED's colour.

    Empty when a diode test says nothing about such a part.

    >>> [found.name for found in drops_of("diode", "1N4148")], [d.name for d in drops_of("LED", "amber 5 mm")]
    (['silicon diode'], ['orange LED'])
    """
    if kind == "LED":
        said = set(re.findall(r"[a-z]+", f"{value} {words}".lower()))
        return tuple(drop for drop in DROPS if said & set(drop.colours)) or (ANY_LED,)
    known = facts(value)
    germanium = known is not None and known.role == "germanium diode"
    if known is not None and known.role == "Schottky diode":
        kind = "Schottky diode"
    return tuple(
        drop for drop in DROPS
        if drop.kind == kind and (kind != "diode" or drop.name.startswith("germanium") == germanium)
    )  # fmt: skip


def gains_of(type_number: str) -> tuple[Gains, ...]:
    """Find the gain groups of a type: one when the type names it, else all; empty when unknown.

    >>> [(g.low, g.high) for g in gains_of("BC547B")], [(g.low, g.high) for g in gains_of("BC337")]
    ([(200, 450)], [(100, 250), (160, 400), (250, 630)])
    """
    plain = re.sub(r"[\s_-]+", "", type_number.upper())
    rows = [
        (row, plain.removeprefix(base)) for row in GAINS for base in row.bases
        if re.fullmatch(rf"{base}(?:[A-Z]*|10|16|25|40)[A-Z]*", plain)
    ]  # fmt: skip
    named = tuple(row for row, behind in rows if row.group and behind.startswith(row.group.strip("-")))
    return named or tuple(row for row, _ in rows)
