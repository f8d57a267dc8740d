"""Cents over octaves drawn with plain characters."""

from __future__ import annotations

from collections.abc import Sequence

from bench.errors import SoldersideError
from bench.measure.tuning.learn import Pass
from bench.measure.tuning.points import Point
from bench.measure.tuning.tracking import Tracking, analyse

LEAST_WIDTH = 24
LEAST_HEIGHT = 6
MOST_PASSES = 9
_LABEL = 8


def plot_cents(passes: Sequence[Pass], width: int, height: int, target: Point | None = None) -> list[str]:
    """Draw each pass with its own digit, 1 the earliest; `height` lines, none longer than `width`.

    Cents stand at the left, volts below, and the last pass's cents below those, as far as they fit. With more
    than nine passes the last nine are drawn. Raises SoldersideError when there is nothing to draw or no room.
    """
    if width < LEAST_WIDTH or height < LEAST_HEIGHT:
        raise SoldersideError(
            f"{width} by {height} characters are too few for a plot",
            hint=f"give at least {LEAST_WIDTH} by {LEAST_HEIGHT}",
        )
    if not passes:
        raise SoldersideError("nothing was measured yet", hint="measure the oscillator at every octave first")
    reference = analyse(passes[-1].points, target).reference
    drawn = [analyse(done.points, reference) for done in passes[-MOST_PASSES:]]
    volts = [point.volts for found in drawn for point in found.points]
    low, high = min(volts), max(volts)
    reach = _reach(drawn)
    rows, columns = height - 3 - height % 2, width - _LABEL - 1
    grid = [[" "] * columns for _ in range(rows)]
    zero = rows // 2
    grid[zero] = ["-"] * columns
    for number, found in enumerate(drawn, 1):
        for point in found.points:
            row = min(rows - 1, max(0, round((reach - point.cents) / (2 * reach) * (rows - 1))))
            grid[row][_column(point.volts, low, high, columns)] = str(number)
    first = len(passes) - len(drawn) + 1
    lines = [f"cents in pass {first} to {len(passes)}, drawn as 1 to {len(drawn)}"[:width]]
    lines += [
        (_cents_label(reach - 2 * reach * row / (rows - 1) if row != zero else 0.0) + "|" + "".join(grid[row]))
        for row in range(rows)
    ]
    if height % 2:
        lines.append(" " * _LABEL + "+" + "-" * columns)
    last = drawn[-1].points
    places = [_column(point.volts, low, high, columns) for point in last]
    lines.append("volts".rjust(_LABEL) + "|" + _along(places, [f"{p.volts:g}" for p in last], columns))
    cents = [f"{round(p.cents, 1) + 0.0:+.1f}" for p in last]
    lines.append("cents".rjust(_LABEL) + "|" + _along(places, cents, columns))
    return [line.rstrip() for line in lines]


def _reach(drawn: Sequence[Tracking]) -> float:
    """A round number of cents that holds all points: 1, 2 or 5 times a power of ten, at least 5."""
    worst = max(found.worst for found in drawn)
    step = 5.0
    while step < worst:
        step *= 2.0 if str(step)[0] in "15" else 2.5
    return step


def _cents_label(value: float) -> str:
    return f"{value:+.1f}".rjust(_LABEL)[:_LABEL] if abs(value) >= 0.05 else "0".rjust(_LABEL)


def _column(volts: float, low: float, high: float, columns: int) -> int:
    return round((volts - low) / (high - low) * (columns - 1))


def _along(places: Sequence[int], texts: Sequence[str], columns: int) -> str:
    """Texts centred at their places, those left out that would touch one already there; both ends go first."""
    line = [" "] * columns
    order = sorted(range(len(places)), key=lambda i: (0 < i < len(places) - 1, i))
    for index in order:
        text = texts[index]
        start = min(max(0, places[index] - len(text) // 2), columns - len(text))
        around = line[max(0, start - 1) : start + len(text) + 1]
        if start >= 0 and all(character == " " for character in around):
            line[start : start + len(text)] = text
    return "".join(line)
