"""How hard a kit is to build: a number that explains itself. Pure.

The weights are our own, set so that a first kit comes to about 15 points and a densely built oscillator on two
boards to about 100; they are there to compare the kits of a batch, not to measure a builder.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from bench.kit.counts import boards_to_solder
from bench.kit.danger import danger_of
from bench.kit.kit import Board, Kit, PartLine
from bench.kit.rails import HIGH_VOLTAGE
from bench.parts.english import counted
from bench.parts.kinds import KINDS, with_role
from bench.parts.lookalikes import POSSIBLE, LookalikePart, find_lookalikes
from bench.parts.panels import PanelError, panel_slots
from bench.parts.printed_values import surface_mounted

ONE_BOARD, BOARDS, TRACKING, DEADLY = range(4)
"""Which modules come first for a beginner: those on one board, then boards that are joined, then those whose
tracking has to be trimmed (common practice, no source), then those that can kill (our own addition)."""
CLASS_WORDS = ("one board", "boards to join", "tracking to adjust", "can kill")
"""The classes in words, by their number."""

_TRACKING_KINDS = ("volts per octave", "hertz per volt")
_FEW_PER_HP = 3.0
"""Parts per HP of panel and board that leave room for the iron; points begin above it."""
_FEW_PER_CM2 = 0.6
"""The same per square centimetre of board."""


class Reason(Struct, frozen=True, kw_only=True):
    """One thing that makes a kit harder."""

    what: str
    """In words, with its count: `3 trims`."""
    points: int
    """Its share of the number, from 1 up."""


class Difficulty(Struct, frozen=True, kw_only=True):
    """How hard a kit is."""

    points: int
    """The sum of the reasons' points."""
    level: int
    """Class, 0 to 3; see `CLASS_WORDS`."""
    reasons: tuple[Reason, ...]
    """The largest share first."""

    @property
    def level_words(self) -> str:
        """The class in words."""
        return CLASS_WORDS[self.level]

    def share(self, reason: Reason) -> int:
        """A reason's share in whole per cent."""
        return round(100 * reason.points / self.points) if self.points else 0


def difficulty_of(kit: Kit) -> Difficulty:
    """The difficulty of a kit, with every reason that counted."""
    found = [
        Reason(what=what, points=max(1, round(points)))
        for what, points in (*_building(kit), *_looking(kit), *_testing(kit))
        if points > 0
    ]
    found.sort(key=lambda reason: -reason.points)
    return Difficulty(points=sum(reason.points for reason in found), level=_level(kit), reasons=tuple(found))


def _level(kit: Kit) -> int:
    if danger_of(kit).deadly:
        return DEADLY
    if any(trim.kind in _TRACKING_KINDS for trim in kit.trims):
        return TRACKING
    return BOARDS if len(boards_to_solder(kit)) > 1 else ONE_BOARD


def _soldered(board: Board) -> Iterator[PartLine]:
    return (part for part in board.parts if part.joints or part.socket_joints)


def _building(kit: Kit) -> Iterator[tuple[str, float]]:
    """What the hands have to do: joints, boards, parts that want care."""
    boards = boards_to_solder(kit)
    parts = [part for board in kit.boards for part in _soldered(board)]
    joints = sum((part.joints + part.socket_joints) * part.quantity for part in parts)
    yield counted(joints, "joint"), joints / 15
    yield f"{len(boards)} boards to join", 10.0 * (len(boards) - 1)
    upright = sum(part.quantity for part in parts if part.mount == "upright")
    yield counted(upright, "upright part"), upright / 3
    flat = sum(part.quantity for part in parts if part.mount == "laid flat")
    yield f"{counted(flat, 'part')} laid flat to save height", flat / 2
    bare = sum(part.quantity for part in parts if surface_mounted(part.kind, part.value, part.package))
    yield f"{counted(bare, 'surface-mount part')}", bare / 3
    headers = sum(part.quantity for part in parts if part.kind in with_role("mates")) if len(boards) > 1 else 0
    yield f"{counted(headers, 'header')} to line up from board to board", 2.0 * headers
    yield from _density(kit, boards)


def _density(kit: Kit, boards: Sequence[Board]) -> Iterator[tuple[str, float]]:
    """Parts per square centimetre where positions are given, else per HP of panel and board."""
    measured = [found for board in boards if (found := _per_cm2(board)) is not None]
    if measured:
        most = max(measured)
        yield f"{most:.1f} parts per cm²", 8 * (most - _FEW_PER_CM2)
        return
    try:
        slots = panel_slots(kit.panel_width).hp if kit.panel_width and boards else 0
    except PanelError:
        slots = 0
    if slots:
        lettered = sum(len(part.refs) for board in boards for part in _soldered(board))
        dense = lettered / slots / len(boards)
        yield f"{dense:.1f} parts per HP of each board", 1.5 * (dense - _FEW_PER_HP)


def _per_cm2(board: Board) -> float | None:
    """Parts for each square centimetre that they spread over; None without the places of most parts."""
    places = [place for part in board.parts for place in part.positions]
    lettered = sum(len(part.refs) for part in board.parts)
    if len(places) < 4 or 2 * len(places) < lettered:
        return None
    width, height = (max(axis) - min(axis) for axis in zip(*places, strict=True))
    return len(places) / (width * height / 100) if width and height else None


def _looking(kit: Kit) -> Iterator[tuple[str, float]]:
    """What the eyes have to do: look-alikes, and parts that go in one way round only."""
    pairs = lookalike_pairs(kit)
    yield f"{counted(pairs, 'look-alike pair')}", pairs / 2
    polarised = sum(
        part.quantity
        for board in kit.boards
        for part in board.parts
        if (part.joints or part.socket_joints) and KINDS[part.kind].polarised
    )
    yield f"{counted(polarised, 'polarised part')}", polarised / 5


def lookalike_pairs(kit: Kit) -> int:
    """Pairs of different values on one board that can be mistaken for one another (ranks 1 to 3)."""
    pairs = set()
    for board in kit.boards:
        parts = [
            LookalikePart(board=board.name, value=part.value, kind=part.kind,
                 tolerance=part.tolerance, marking=part.marking, package=part.package)
            for part in board.parts
            if part.joints or part.socket
        ]  # fmt: skip
        for found in find_lookalikes(parts):
            if found.rank <= POSSIBLE and found.a.value != found.b.value:
                ends = frozenset(((found.a.value, found.a.kind), (found.b.value, found.b.kind)))
                pairs.add((board.name, ends))
    return len(pairs)


def _testing(kit: Kit) -> Iterator[tuple[str, float]]:
    """What has to be measured and trimmed, and what can hurt."""
    tracking = sum(trim.kind in _TRACKING_KINDS for trim in kit.trims)
    other = len(kit.trims) - tracking
    yield f"{counted(tracking, 'tracking adjustment')}", 10.0 * tracking
    yield counted(other, "trim"), 2.0 * other
    yield counted(len(kit.hold_points), "hold point"), float(len(kit.hold_points))
    danger = danger_of(kit)
    for hazard in danger.hazards:
        worst = hazard == danger.kills[0] if danger.deadly else False
        yield hazard, 40.0 if worst or hazard == HIGH_VOLTAGE else 5.0
