"""What carries the panel parts, what closes the box, and what carries the supply: told by kind and words. Pure.

Common practice, no source.
"""

from __future__ import annotations

import re

from msgspec import Struct

from bench.kit.kit import Kit, PartLine
from bench.parts.kinds import with_role

_LINK = re.compile(r"\b(?:jumpers?|links?|shunts?|straps?|fuses?|bridges? (?:plug|wire))\b", re.IGNORECASE)
_SHELL = re.compile(r"\b(?:case|enclosure|housing|box|chassis|cabinet)\b", re.IGNORECASE)
_LID = re.compile(
    r"\b(?:lid|cover|(?:bottom|back|rear|base|end) ?(?:plate|panel|cover)|feet|foot|rubber feet)\b",
    re.IGNORECASE,
)
_NOT_SHELL = re.compile(r"\b(?:label|sticker|screw|spacer|gasket|key|header)s?\b", re.IGNORECASE)


class Shell(Struct, frozen=True):
    """Lines of the parts list that are the outside of a module."""

    carries: tuple[PartLine, ...]
    """The panel, or the case that stands in for it: the panel parts go through it."""
    closes: tuple[PartLine, ...]
    """Knobs, and what closes the box."""


def carries_supply(kind: str, value: str) -> bool:
    """Whether a part carries the supply current, so that it has to be in before power.

    >>> carries_supply("fuse", "500 mA"), carries_supply("hardware", "jumper"), carries_supply("IC", "NE555")
    (True, True, False)
    """
    return kind in with_role("carries supply") or (
        kind in ("hardware", "pin socket") and bool(_LINK.search(value))
    )


def plugged_in(line: PartLine) -> bool:
    """Whether a part is pushed into a socket: it names one, or is a valve or IC without joints of its own."""
    return bool(line.socket) or (line.kind in with_role("plugged in") and line.joints == 0)


def shell_of(kit: Kit) -> Shell:
    """Which lines carry the panel parts and which close the box.

    Without a panel in the list a case carries the panel parts; a lid does only when nothing else could.
    """
    lines = [line for board in kit.boards for line in board.parts]
    outside = [line for line in lines if line.kind in ("panel", "hardware")]
    lids, cases = list(filter(_is_lid, outside)), list(filter(_is_case, outside))
    front = [line for line in outside if line.kind == "panel" and line not in (*lids, *cases)]
    drilled = [line for line in lids if line.kind == "panel"]
    carries = (front or drilled[:1] or cases) if any(map(_goes_through, lines)) else front
    knobs = [line for line in lines if line.kind == "knob"]
    closes = [line for line in (*knobs, *lids, *cases) if line not in carries]
    return Shell(tuple(carries), tuple(closes))


def _goes_through(line: PartLine) -> bool:
    """Whether a part goes through a hole of the panel or of the case."""
    if line.mount == "panel":
        return bool(line.joints or line.refs)
    return line.mount == "chassis" and bool(line.joints) and line.kind in with_role("through a hole")


def _is_case(line: PartLine) -> bool:
    return bool(_SHELL.search(line.value)) and not _NOT_SHELL.search(line.value) and not _is_lid(line)


def _is_lid(line: PartLine) -> bool:
    return bool(_LID.search(line.value)) and not _NOT_SHELL.search(line.value)
