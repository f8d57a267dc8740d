"""How many parts a kit has: one count, said in the same words everywhere. Pure."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from msgspec import Struct

from bench.kit.kit import Board, Kit, PartLine
from bench.parts.kinds import KINDS, with_role

SOCKETS = with_role("socket")
"""Kinds that are sockets where the parts list has them in lines of their own."""


class PartCount(Struct, frozen=True, kw_only=True):
    """The parts of a kit by what is done with them; a socket and what goes into it are two."""

    solder: int = 0
    """Parts that are soldered themselves."""
    plug: int = 0
    """Parts that are pushed into a socket or a holder."""
    sockets: int = 0
    hardware: int = 0
    """What is screwed, put on or laid beside: no joints and nothing to plug it into."""
    joints: int = 0

    @property
    def total(self) -> int:
        """All parts: as many as are in the bag, and as many as the plan places."""
        return self.solder + self.plug + self.sockets + self.hardware

    def words(self) -> str:
        """The count in words.

        >>> PartCount(solder=119, plug=12, sockets=12, hardware=25).words()
        '168 parts: 119 to solder, 12 to plug in, 12 sockets, 25 pieces of hardware'
        >>> PartCount(solder=1).words(), PartCount().words()
        ('1 part to solder', 'no parts')
        """
        said = [
            f"{self.solder} to solder" if self.solder else "",
            f"{self.plug} to plug in" if self.plug else "",
            _many(self.sockets, "socket"),
            _many(self.hardware, "piece of hardware", "pieces of hardware"),
        ]
        kinds = [each for each in said if each]
        total = _many(self.total, "part")
        if not kinds:
            return "no parts"
        if len(kinds) == 1 and self.total in (self.solder, self.plug):
            return f"{total} {kinds[0].split(' ', 1)[1]}"
        return f"{total}: {', '.join(kinds)}"


_ON_BOARDS = frozenset(("flat", "upright", "laid flat", "board"))


def boards_to_solder(kit: Kit) -> tuple[Board, ...]:
    """The boards that parts are soldered to; a list of what hangs on wires in case or panel is none."""
    return tuple(board for board in kit.boards if any(map(_soldered_to_it, board.parts)))


def _soldered_to_it(line: PartLine) -> bool:
    placed = line.mount in _ON_BOARDS or (line.mount == "panel" and bool(line.positions))
    return placed and bool(line.joints or line.socket_joints)


def count_kit(kit: Kit) -> PartCount:
    """The parts and joints of a whole kit."""
    return count_lines(line for board in kit.boards for line in board.parts)


def count_lines(lines: Iterable[PartLine]) -> PartCount:
    """The parts and joints of lines of a parts list."""
    found = Counter[str]()
    for line in lines:
        found["joints"] += (line.joints + line.socket_joints) * line.quantity
        for sort in _sorts(line):
            found[sort] += line.quantity
    return PartCount(**found)


def _sorts(line: PartLine) -> tuple[str, ...]:
    """What each part of a line counts as, by the fields of `PartCount`."""
    if line.socket:
        return ("sockets", "plug")
    if line.kind in SOCKETS:
        return ("sockets",)
    if line.joints:
        return ("solder",)
    return ("plug",) if KINDS[line.kind].socketable else ("hardware",)


def _many(number: int, one: str, more: str = "") -> str:
    return f"{number} {one if number == 1 else more or f'{one}s'}" if number else ""
