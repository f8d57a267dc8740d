"""A board file as frozen values. Pure.

Positions are in mm, x to the right and y upwards, seen from the front; the origin is the lower left corner of
the board's outline, or that of the file where no outline is drawn.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.papers.lists.draft import Doubt


class Pad(Struct, frozen=True, kw_only=True):
    """One pad of a part."""

    name: str
    """Its number or name; empty where it has none."""
    x: float
    y: float
    through: bool
    """True for a plated hole."""
    net: str = ""


class DrawnPart(Struct, frozen=True, kw_only=True):
    """One part as the board file places it."""

    ref: str
    value: str
    """As written; empty where the file gives none."""
    package: str
    """The footprint's name, without its library."""
    library: str = ""
    side: str
    """`front` or `back`."""
    x: float
    """The centre of its pads; the part's own origin where it has none."""
    y: float
    rotation: float = 0.0
    """Degrees, counter-clockwise."""
    pads: tuple[Pad, ...] = ()
    fitted: bool = True
    """False where the file marks it as left out."""
    drawn_only: bool = False
    """True for what is only drawn on the board: a logo, a bare hole, what the parts list leaves out."""
    line: int = 0
    """Line of the file where it begins, from 1."""

    @property
    def joints(self) -> int:
        """Solder joints: its pads, without vias under a pad of the same name."""
        flat = {pad.name for pad in self.pads if not pad.through and pad.name}
        return sum(not (pad.through and pad.name in flat) for pad in self.pads)

    @property
    def surface(self) -> bool:
        """Whether all its joints are pads on the surface."""
        through = {pad.name for pad in self.pads if pad.through}
        return bool(self.pads) and through <= {pad.name for pad in self.pads if not pad.through and pad.name}

    @property
    def nets(self) -> tuple[str, ...]:
        """The nets of its pads, each once."""
        return tuple(dict.fromkeys(pad.net for pad in self.pads if pad.net))


class BoardFile(Struct, frozen=True, kw_only=True):
    """A board file as understood."""

    name: str
    format: str
    """How people call the format, with its version where it says."""
    parts: tuple[DrawnPart, ...]
    size: tuple[float, float] | None = None
    """Width and height of the outline in mm; None where no outline is drawn."""
    placed: bool = True
    """False for a schematic or a netlist that says nothing of places: all its positions are 0."""
    partly: str = ""
    """What it is, where it need not name all parts of the board."""
    doubts: tuple[Doubt, ...] = ()

    @property
    def nets(self) -> dict[str, tuple[str, ...]]:
        """Net -> its pads, as `R1-2`."""
        found: dict[str, list[str]] = {}
        for part in self.parts:
            for pad in part.pads:
                if pad.net:
                    found.setdefault(pad.net, []).append(f"{part.ref}-{pad.name}")
        return {net: tuple(pads) for net, pads in sorted(found.items())}


class Outline:
    """The box around the lines of a board's edge, in the file's own coordinates."""

    def __init__(self) -> None:
        self._xs: list[float] = []
        self._ys: list[float] = []

    def add(self, *points: tuple[float, float]) -> None:
        """Take in points of the edge."""
        for x, y in points:
            self._xs.append(x)
            self._ys.append(y)

    def add_arc(self, centre: tuple[float, float], start: tuple[float, float], turn: float) -> None:
        """Take in an arc round `centre` from `start` by `turn` degrees, counter-clockwise with y upwards."""
        radius = math.hypot(start[0] - centre[0], start[1] - centre[1])
        begins = math.degrees(math.atan2(start[1] - centre[1], start[0] - centre[0]))
        low, high = sorted((begins, begins + turn))
        quarters = range(math.ceil(low / 90), math.floor(high / 90) + 1) if math.isfinite(high - low) else ()
        angles = [low, high, *(90.0 * each for each in quarters[:5])]
        self.add(*((centre[0] + radius * _cos(angle), centre[1] + radius * _sin(angle)) for angle in angles))

    def box(self) -> tuple[float, float, float, float] | None:
        """Left, bottom, right, top; None without an edge that encloses anything."""
        if not self._xs:
            return None
        box = min(self._xs), min(self._ys), max(self._xs), max(self._ys)
        return box if box[2] - box[0] > 0.1 and box[3] - box[1] > 0.1 else None


def _cos(degrees: float) -> float:
    return round(math.cos(math.radians(degrees)), 12)


def _sin(degrees: float) -> float:
    return round(math.sin(math.radians(degrees)), 12)


def turned(x: float, y: float, degrees: float) -> tuple[float, float]:
    """A point turned about the origin, counter-clockwise with y upwards."""
    return x * _cos(degrees) - y * _sin(degrees), x * _sin(degrees) + y * _cos(degrees)


def arc_through(
    start: tuple[float, float], middle: tuple[float, float], end: tuple[float, float]
) -> tuple[tuple[float, float], float] | None:
    """Centre and turn in degrees of the arc through three points; None where they lie on a line."""
    (ax, ay), (bx, by), (cx, cy) = start, middle, end
    double = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    if abs(double) < 1e-9:
        return None
    aa, bb, cc = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    x = (aa * (by - cy) + bb * (cy - ay) + cc * (ay - by)) / double
    y = (aa * (cx - bx) + bb * (ax - cx) + cc * (bx - ax)) / double
    angles = [math.degrees(math.atan2(py - y, px - x)) for px, py in (start, middle, end)]
    to_middle, to_end = (angles[1] - angles[0]) % 360, (angles[2] - angles[0]) % 360
    return (x, y), to_end if to_middle <= to_end else to_end - 360


def pads_centre(pads: Sequence[Pad], otherwise: tuple[float, float]) -> tuple[float, float]:
    """The middle of the box around pads."""
    if not pads:
        return otherwise
    xs, ys = [pad.x for pad in pads], [pad.y for pad in pads]
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def put_together(
    name: str, form: str, parts: Iterable[DrawnPart], outline: Outline | None, doubts: Iterable[Doubt] = ()
) -> BoardFile:
    """The board with its origin in the lower left corner of its outline, and each designator once.

    Without an `outline` it is a paper that says nothing of places.
    """
    box = outline.box() if outline else None
    left, bottom = (box[0], box[1]) if box else (0.0, 0.0)
    kept: dict[str, DrawnPart] = {}
    said = list(doubts)
    for part in parts:
        if not part.ref or part.ref.endswith("*"):
            continue
        if part.ref in kept:
            said.append(
                Doubt(line=part.line, what=f"{part.ref} is in the file twice; the first counts", kind="twice",
                      refs=(part.ref,))
            )  # fmt: skip
            continue
        kept[part.ref] = _moved(part, left, bottom)
    if outline and not box:
        said.append(Doubt(line=0, what="no outline is drawn: positions count from the file's own origin"))
    size = (round(box[2] - box[0], 3), round(box[3] - box[1], 3)) if box else None
    return BoardFile(
        name=name, format=form, parts=tuple(kept.values()), size=size, placed=outline is not None,
        doubts=tuple(said),
    )  # fmt: skip


def _moved(part: DrawnPart, left: float, bottom: float) -> DrawnPart:
    pads = tuple(replace(pad, x=round(pad.x - left, 4), y=round(pad.y - bottom, 4)) for pad in part.pads)
    return replace(part, x=round(part.x - left, 4), y=round(part.y - bottom, 4), pads=pads)
