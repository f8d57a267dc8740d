"""One line of the parts list as the plan sees it, and what its kind, its words and its label tell of it; pure.

What carries the panel parts, closes the box, carries the supply or is plugged into: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.kit.kit import Kit, PartLine
from bench.parts.designators import shorten
from bench.parts.kinds import with_role
from bench.parts.traits import traits_of


class Cluster(Struct, frozen=True, kw_only=True):
    """A part's place among those that it is joined to."""

    number: int
    """Which cluster of the kit, from 1."""
    order: int
    """Its turn in the cluster, from 0."""
    said: str
    """What it is joined to and what comes first, in a sentence; empty where the kit's author says it."""


class PlacedPart(Struct, frozen=True, kw_only=True):
    """One line of the parts list as the plan sees it; a part in a socket gives two: socket and part."""

    line: PartLine
    board: str
    board_number: int
    """Position of the board in the kit, from 0."""
    kind: str
    value: str
    mount: str
    height: int
    joints: int
    """Solder joints for each part."""
    items: tuple[str, ...]
    """`BOARD/REF` or `BOARD/~VALUE~N` of each part, in the order of the line's designators."""
    socketed: bool = False
    """True for a part that is pushed into a socket and not soldered."""
    is_socket: bool = False
    """True for the socket of such a part."""
    cluster: Cluster | None = None
    """Its place among the parts that it is joined to; None when it is joined to none."""
    supply_path: bool = False
    """True for what carries the supply current: fuses, links, jumpers, rectifiers, switches."""
    closes_box: bool = False
    """True for knobs and for what closes the case: a lid, a cover, the case itself."""
    carries_panel: bool = False
    """True for the panel, or the case that the panel parts go through."""
    surface: bool = False
    """True for a part without legs for holes, soldered to pads on the surface."""
    wired: bool = False
    """True for a part off the board that is joined to it by wires; see `traits.on_wires`."""
    role: str = ""
    """One of `ends.ROLES` for a socket, post or terminal that something is plugged into; empty for others."""
    several_boards: bool = False
    """True when its kit has more than one board to solder."""
    side: str = ""
    """Side of the board that its parts sit on; empty when the kit does not say."""
    side_number: int = 0
    """Position of that side among the board's sides, from 0: the side of its first part comes first."""

    def traits(self, about: str = "") -> frozenset[str]:
        """What it shows beyond its kind (`traits.traits_of`); `about` is more that is said of its place."""
        line = self.line
        if self.is_socket:
            return traits_of(self.kind, self.value, self.value, self.mount)
        rated, said = f"{line.voltage} {line.marking}", f"{line.section} {line.note} {about}"
        return traits_of(self.kind, self.value, line.package, self.mount, rated, said)


def each_side(lines: Sequence[PartLine]) -> Iterator[tuple[PartLine, str]]:
    """The lines of a board with the side their parts sit on; a line with parts on both gives two."""
    for line in lines:
        sides = dict.fromkeys(line.sides)
        if len(sides) < 2:
            yield line, line.sides[0] if line.sides else ""
            continue
        for side in sides:
            chosen = [at for at, each in enumerate(line.sides) if each == side]
            part = replace(
                line,
                refs=tuple(line.refs[at] for at in chosen),
                quantity=len(chosen),
                positions=tuple(line.positions[at] for at in chosen) if line.positions else (),
                sides=(side,) * len(chosen),
            )
            yield part, side


ROLES = ("output", "input", "phones", "socket")
"""What something is plugged into: output, input, headphones, or nothing is known of it."""
_PLUGGED_INTO = frozenset(("jack socket", "connector", "terminal block"))
_PHONES = re.compile(r"\bhead-?phones?\b|\bphones\b|\bear-?phones?\b", re.IGNORECASE)
_OUT = re.compile(
    r"\bout(?:put)?s?\b|\bsend\b|\bthru\b|\bthrough\b|\bloudspeaker\b|\bspeaker\b|\bmix\b|\bline\b|\bsaw\b|"
    r"\btri(?:angle)?\b|\bsine\b|\bpulse\b|\bsquare\b|\benv(?:elope)?\b|\binv\b|\bnoise\b|"
    r"\bmake\b|\bbreak\b",
    re.IGNORECASE,
)
_IN = re.compile(
    r"\bin(?:put)?s?\b|\breturn\b|\bcv\b|\bv/oct\b|\bfm\b|\bam\b|\bpwm\b|\bsync\b|\bgate\b|\btrig(?:ger)?\b|"
    r"\breset\b|\bclock\b|\baerial\b|\bantenna\b|\bmic(?:rophone)?\b|\bcue\b",
    re.IGNORECASE,
)
_SAYS_OUT = re.compile(r"\bout(?:put)?s?\b", re.IGNORECASE)
_SAYS_IN = re.compile(r"\bin(?:put)?s?\b", re.IGNORECASE)
_RANGE = re.compile(r"\b([A-Z]{1,4})([0-9]{1,4})(?: to |-|\u2013)([A-Z]{0,4})([0-9]{1,4})\b")
_SUPPLY = re.compile(r"\bpower\b|\bsuppl|\bearth\b|\bground\b|^0 V\b|\brectifier\b|\bbatter", re.IGNORECASE)


def role_of(line: PartLine) -> str:
    """One of `ROLES` for what a signal is plugged into, empty for all else: by its label, then its section."""
    if line.kind not in _PLUGGED_INTO:
        return ""
    said = label_of(line)
    if line.kind != "jack socket" and (not said or _SUPPLY.search(f"{said}\n{line.section}") or line.nets):
        return "output" if _SAYS_OUT.search(said) else ""
    if _PHONES.search(f"{line.note} {line.value}"):
        return "phones"
    for text in (said, line.section):
        for role, pattern in (
            ("output", _SAYS_OUT), ("input", _SAYS_IN), ("input", _IN), ("output", _OUT),
        ):  # fmt: skip
            if pattern.search(text):
                return role
    return "socket"


def label_of(line: PartLine) -> str:
    """What is printed beside a part, by its note: the capitals up to the first comma, colon or bracket."""
    said = re.split(r"[,;:(]", line.note, maxsplit=1)[0].strip()
    return said if said == said.upper() else ""


def names_of(lines: Iterable[PartLine], told: str) -> tuple[str, ...]:
    """What parts are called, by label or designators, but for those that the text `told` names.

    One that is told of by its label or one of its designators is named; ranges count: `LED1 to LED3`.
    """
    spelled = _RANGE.sub(_spelled, told)
    found = []
    for line in lines:
        label, refs = label_of(line), shorten(line.refs)
        known = (*line.refs, *((label,) if label else ()))
        if not any(re.search(rf"(?<!\w){re.escape(each)}(?!\w)", spelled) for each in known):
            found.append(label or refs or line.value)
    return tuple(dict.fromkeys(found))


def _spelled(found: re.Match[str]) -> str:
    first, last = int(found[2]), int(found[4])
    if found[3] not in ("", found[1]) or not 0 < last - first < 100:
        return found[0]
    return " ".join(f"{found[1]}{number}" for number in range(first, last + 1))


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
