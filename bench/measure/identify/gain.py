"""What a meter's gain test says: which transistors of a kit it can be, or which gain groups."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from bench.measure.identify.candidates import Candidate, IdentifyAnswer, RuledOut, distance, grouped
from bench.measure.identify.kit_lines import KitLine
from bench.parts.junctions import GAIN_SLACK, GAINS, Gains, gains_of

_SOURCE = "gain"
_COARSE = (
    f"a meter's gain test is coarse (a factor of {GAIN_SLACK} either way is allowed here), and gain grows with "
    "warmth and current: it tells groups apart, not types"
)


def by_gain(gain: Decimal, lines: Sequence[KitLine]) -> IdentifyAnswer:
    """The transistors that can have this current gain (hFE), narrowest group first.

    Where no line fits, every known gain group that holds it.
    """
    transistors = grouped(line for line in lines if line.part.kind == "transistor")
    groups = [_tried(gain, gains_of(its[0].part.value), its[0].part.value, its) for its in transistors]
    if not any(isinstance(each, Candidate) for each in groups):
        known = [_tried(gain, (row,), _name(row), ()) for row in GAINS]
        groups += [each for each in known if isinstance(each, Candidate) or not lines]
    fits = [each for each in groups if isinstance(each, Candidate)]
    out = [each for each in groups if isinstance(each, tuple)]
    unknown = [
        line.part.value for line in lines if line.part.kind == "transistor" and not gains_of(line.part.value)
    ]
    remarks = [f"no gain data for {value}" for value in dict.fromkeys(unknown)]
    return IdentifyAnswer(
        candidates=tuple(sorted(fits, key=lambda each: -each.weight)),
        ruled_out=tuple(each for _, each in sorted(out, key=lambda pair: pair[0])),
        remarks=(*remarks, _COARSE),
    )


def _name(row: Gains) -> str:
    """The first type of a row with its group, and the others."""
    others = f" (as well {', '.join(row.bases[1:])})" if len(row.bases) > 1 else ""
    return f"{row.bases[0]}{row.group}{others}"


def _tried(
    gain: Decimal, rows: Sequence[Gains], name: str, lines: tuple[KitLine, ...]
) -> Candidate | tuple[float, RuledOut] | None:
    """A candidate when a group holds the gain; else how far off it is and why; None without groups."""
    if not rows:
        return None
    inside = [row for row in rows if row.low <= gain <= row.high]
    near = [row for row in rows if row.low / GAIN_SLACK <= gain <= row.high * GAIN_SLACK]
    if not near:
        ends = min(row.low for row in rows), max(row.high for row in rows)
        off = min(distance(gain, Decimal(end)) for end in ends)
        return off, RuledOut(text=name, why=f"its gain is {ends[0]} to {ends[1]}", lines=lines)
    said = [f"{_group(row)} has {row.low} to {row.high}" for row in inside or near]
    if not inside:
        said.append(f"{gain} is outside, but within the meter's error")
    widest = max(row.high - row.low for row in inside or near)
    return Candidate(
        text=f"{name}, hFE {gain}", source=_SOURCE, kind="transistor", lines=lines, why=tuple(said),
        weight=(1.0 if inside else 0.1) / widest,
    )  # fmt: skip


def _group(row: Gains) -> str:
    """The group in words."""
    return f"group {row.group}" if row.group else "this type"
