"""Measured points of an oscillator, volts in, hertz out, as a person typed them; cents and notes."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from msgspec import Struct

from bench.errors import Fault, FileFaults, SoldersideError
from bench.parts.english import counted

MOST_POINTS = 12
_NUMBER = r"[-+−]?(?:\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE][-+]?\d+)?"
_LINE = re.compile(
    rf"\s*({_NUMBER})\s*(?:V|volts?)?\s*[\s;,:=]\s*({_NUMBER})\s*(k?)(?:Hz|hertz)?\s*", re.IGNORECASE
)
_TWO_WAYS = re.compile(r"[-+−]?\d+,\d+,\d+")


A4_HERTZ = 440.0
"""Standard tuning pitch, ISO 16:1975."""
_NAMES = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")


class TrackingError(SoldersideError):
    """These points say nothing about tracking."""


class Point(Struct, frozen=True, kw_only=True):
    """One measured point."""

    volts: float
    """Control voltage, volts."""
    hertz: float
    """Frequency, hertz."""


class PointResult(Struct, frozen=True, kw_only=True):
    """One point compared with the ideal."""

    volts: float
    hertz: float
    cents: float
    """Above the ideal through the wanted pitch, cents."""


def cents(hertz: float, reference: float) -> float:
    """How far one frequency lies above another, in cents; raises SoldersideError unless both are above zero.

    >>> round(cents(442, 440), 4)
    7.8514
    """
    if not (hertz > 0 and reference > 0 and math.isfinite(hertz) and math.isfinite(reference)):
        raise SoldersideError("cents need two frequencies above zero", hint="give both in hertz")
    return 1200.0 * math.log2(hertz / reference)


def nearest_note(hertz: float) -> tuple[str, float]:
    """Name of the nearest equal-tempered note and how many cents the frequency lies above it.

    Octaves are numbered so that A4 is the tuning pitch and C4 is note 60; some makers count otherwise.

    >>> name, above = nearest_note(445)
    >>> name, round(above)
    ('A4', 20)
    """
    number = 69.0 + cents(hertz, A4_HERTZ) / 100.0
    nearest = math.floor(number + 0.5)
    return f"{_NAMES[nearest % 12]}{nearest // 12 - 1}", 100.0 * (number - nearest)


def parse_points(text: str, name: str = "points") -> tuple[Point, ...]:
    """Read lines of `volts hertz`; blank lines and what follows `#` are passed over.

    Units may stand behind the numbers; a comma may be the decimal sign. Raises FileFaults.

    >>> [(p.volts, p.hertz) for p in parse_points("0 65.4  # lowest C\\n1 V; 130,9 Hz")]
    [(0.0, 65.4), (1.0, 130.9)]
    """
    points: list[Point] = []
    faults: list[Fault] = []
    for number, line in enumerate(text.splitlines(), 1):
        said = line.lstrip("\ufeff").split("#", 1)[0].strip()
        if not said:
            continue
        found = point_in(said)
        if isinstance(found, Point):
            points.append(found)
        else:
            faults.append(Fault(what=found[0], where=f"{name}:{number}", hint=found[1]))
    if faults:
        raise FileFaults(faults)
    check_points(points, name)
    return tuple(points)


def point_in(said: str) -> Point | tuple[str, str]:
    """The point in a line, or what is wrong with it and what to do."""
    if _TWO_WAYS.fullmatch(said):
        return f"{said!r} can be read in two ways", "put a space between volts and hertz"
    match = _LINE.fullmatch(said)
    if match is None:
        return f"{said[:60]!r} is not a point", "write volts, a space, then hertz: 1.000 130.81"
    volts, hertz = (float(number.replace("−", "-").replace(",", ".")) for number in match.group(1, 2))
    hertz *= 1000.0 if match[3] else 1.0
    if not (hertz > 0 and math.isfinite(hertz) and math.isfinite(volts)):
        return f"{match[2]} is not a frequency", "a frequency is a number of hertz above zero"
    return Point(volts=volts, hertz=hertz)


def check_points(points: Sequence[Point], where: str = "") -> None:
    """Raise TrackingError unless there are 2 to 12 usable points over at least half a volt."""
    if not 2 <= len(points) <= MOST_POINTS:
        raise TrackingError(
            f"{counted(len(points), 'point')} given", where, f"measure 2 to {MOST_POINTS} points"
        )
    for point in points:
        if not (math.isfinite(point.volts) and math.isfinite(point.hertz) and point.hertz > 0):
            raise TrackingError(
                f"{point.volts} V, {point.hertz} Hz is not a point",
                where,
                "give volts and a frequency above zero",
            )
    volts = [point.volts for point in points]
    if max(volts) - min(volts) < 0.5:
        raise TrackingError("all points lie within half a volt", where, "spread them over several octaves")
