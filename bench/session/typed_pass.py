"""A pass of measurement as a builder types it: points, recordings in their place, and what was turned."""

from __future__ import annotations

import math
import re
from pathlib import Path

from msgspec import Struct

from bench.errors import SoldersideError
from bench.measure.tuning.points import MOST_POINTS, Point, TrackingError, point_in

MOST_TURNS = 200.0
"""No trimmer has more turns than this, either way."""
DOUBTFUL_CENTS = 0.5
"""A recording that leaves more open than this is remarked on."""

MOST_SPREAD = 50.0
"""Readings of one note that lie farther apart, cents, are not readings of one note."""

_PIECES = re.compile(r"""(?:"[^"]*"|'[^']*'|,(?!\s|$)|[^;,\n"'])+""")
_RECORDING = re.compile(r"""\s*(\S+?)\s*(?:V|volts?)?\s+(["']?)(.+\.wave?)\2\s*""", re.IGNORECASE)
_PLAIN = r"\d+(?:[.,]\d+)?"
_SEVERAL = re.compile(rf"\s*([-+−]?{_PLAIN})\s*V?\s+((?:{_PLAIN}\s+)+{_PLAIN})\s*(?:Hz)?\s*", re.IGNORECASE)
_TURNS = re.compile(
    r"([-+−]?)\s*(?:(\d+(?:[.,]\d*)?|[.,]\d+)|(?:(\d+)\s+)?(\d+)/(\d+))\s*(°|deg(?:rees?)?)?\s*(?:turns?)?\s*"
    r"(clockwise|cw|anti-?clockwise|counter-?clockwise|ccw|acw)?",
    re.IGNORECASE,
)


class Typed(Struct, frozen=True, kw_only=True):
    """Points that were typed."""

    points: tuple[Point, ...]
    remarks: tuple[str, ...] = ()
    """What the recordings say beside their frequency."""


def read_typed(text: str, folder: Path) -> Typed:
    """Points from one line: `0 261.6, 1 523.2, 2 1046.5`, each with `1 file.wav` in place of hertz if wanted.

    Points are parted by a comma with a space behind it, or by a semicolon. Recordings are looked for from
    `folder`. Raises SoldersideError, which says which piece is wrong.
    """
    pieces = [piece.strip() for piece in _PIECES.findall(text) if piece.strip()]
    if not pieces:
        raise TrackingError("nothing was typed", hint="type volts, a space, hertz: 1 523.25")
    if len(pieces) > MOST_POINTS:
        raise TrackingError(f"{len(pieces)} points were typed", hint=f"a pass has 2 to {MOST_POINTS} points")
    points: list[Point] = []
    remarks: list[str] = []
    for piece in pieces:
        recording = _RECORDING.fullmatch(piece)
        if recording is None:
            points.append(_averaged(piece))
            continue
        hertz, said = measured(recording[3], folder)
        points.append(_point(f"{recording[1]} {hertz!r}"))
        remarks += said
    return Typed(points=tuple(points), remarks=tuple(remarks))


def _averaged(piece: str) -> Point:
    """One point, of several readings the mean in cents: `0 261.6 261.9 261.7`."""
    found = _SEVERAL.fullmatch(piece)
    if found is None:
        return _point(piece)
    read = [_point(f"{found[1]} {each}") for each in found[2].split()]
    spread = 1200.0 * math.log2(max(p.hertz for p in read) / min(p.hertz for p in read))
    if spread > MOST_SPREAD:
        raise TrackingError(
            f"the readings at {found[1]} V lie {spread:.0f} cents apart",
            hint="readings of one note go behind its voltage; a comma and a space part the points",
        )
    mean = sum(math.log2(point.hertz) for point in read) / len(read)
    return Point(volts=read[0].volts, hertz=2.0**mean)


def _point(piece: str) -> Point:
    """One point; the ends of a pass are checked when it is whole."""
    found = point_in(piece)
    if isinstance(found, Point):
        return found
    raise TrackingError(found[0], hint=found[1])


def measured(name: str, folder: Path) -> tuple[float, tuple[str, ...]]:
    """Hertz of the steady tone in a recording, and remarks; raises SoldersideError when there is none."""
    from bench.measure.pitch.pitch import NoTone, measure_pitch

    try:
        path = folder / Path(name.strip().strip("\"'")).expanduser()
    except RuntimeError as error:
        raise SoldersideError("there is no such home folder", name.strip(), "give the whole path") from error
    found = measure_pitch(path)
    if isinstance(found, NoTone):
        raise SoldersideError(
            f"no steady tone in {path.name}: {found.why}", "", "record two seconds of one note"
        )
    remarks = tuple(f"{path.name}: {remark}" for remark in found.remarks)
    if found.cents_uncertainty > DOUBTFUL_CENTS:
        remarks = (f"{path.name}: sure to {found.cents_uncertainty:.1f} cents only", *remarks)
    return found.hertz, remarks


def is_recording(text: str) -> bool:
    """Whether a text names a recording.

    >>> is_recording("low c.wav"), is_recording("261.6")
    (True, False)
    """
    return text.strip().strip("\"'").lower().endswith((".wav", ".wave"))


def read_turns(text: str) -> float:
    """Turns as typed, clockwise above zero; nothing typed is none. Raises SoldersideError.

    >>> read_turns("-2.5"), read_turns("1/4"), read_turns("45 degrees anticlockwise"), read_turns("")
    (-2.5, 0.25, -0.125, 0.0)
    """
    plain = " ".join(text.split())
    if not plain or plain.casefold() in ("none", "no", "-"):
        return 0.0
    hint = "type turns, clockwise above zero: 2.5, -1/4, 45 degrees anticlockwise; nothing for none"
    found = _TURNS.fullmatch(plain)
    if found is None or (found[5] and not int(found[5])):
        raise SoldersideError(f"'{plain[:40]}' is no number of turns", "", hint)
    sign, decimal, whole, part, parts, degrees, way = found.groups()
    turns = float(decimal.replace(",", ".")) if decimal else int(whole or 0) + int(part) / int(parts)
    turns = turns / 360.0 if degrees else turns
    if way and sign:
        raise SoldersideError(f"'{plain[:40]}' says the way twice", "", "give a sign or a word, not both")
    if turns > MOST_TURNS:
        raise SoldersideError(f"{turns:g} turns are more than any trimmer has", "", hint)
    back = sign in ("-", "−") or bool(way and way.lower() not in ("clockwise", "cw"))
    return -turns if back else turns
