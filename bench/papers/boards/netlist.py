"""Netlists for the test of bare boards, IPC-D-356: which pad is on which net, and where it is. Pure.

Columns after IPC-D-356A (from memory). Lengths are ten-thousandths of an inch, or thousandths of a mm where the
parameter `UNITS CUST 1` says so; y grows upwards. Such a file has no values and no packages.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence

from bench.papers.boards.drawn import BoardFile, DrawnPart, Outline, Pad, pads_centre, put_together
from bench.papers.lists.draft import Doubt

_INCH, _METRIC = 0.00254, 0.001
"""Millimetres to a unit."""
_RECORD = re.compile(r"(?:317|327)(?P<net>.{14})   (?P<ref>.{6})[- ](?P<pin>.{4})(?P<rest>.*)")
_PLACE = re.compile(r"X\s*([+-]?[0-9]{1,7})\s*Y\s*([+-]?[0-9]{1,7})")
_ACCESS = re.compile(r"A([0-9]{2})")
_HOLE = re.compile(r"D[0-9]{4}")
_UNITS = re.compile(r"P\s+UNITS\s+CUST\s*([012])", re.IGNORECASE)
_ALIAS = re.compile(r"P\s+(NNAME[0-9]+)\s+(\S.*)")
_EDGE = re.compile(r"[03]89")
_FRONT = "01"
_NO_NET = ("N/C", "NC", "")
_LONGEST = 6
"""Signs of a designator."""
_SHOWS = 2
"""Records of pads among the first lines of such a file, at least."""


def is_netlist(head: str) -> bool:
    """Whether the first lines of a text are records of such a netlist."""
    return sum(bool(_RECORD.match(line) and _PLACE.search(line)) for line in head.split("\n")) >= _SHOWS


def read_netlist(text: str, name: str) -> BoardFile:
    """The parts, pads and nets in a netlist."""
    unit, outline = _INCH, Outline()
    aliases: dict[str, str] = {}
    pads: dict[str, list[Pad]] = defaultdict(list)
    begins: dict[str, int] = {}
    sides: dict[str, set[str]] = defaultdict(set)
    for number, line in enumerate(text.split("\n"), 1):
        if found := _UNITS.match(line):
            unit = _METRIC if found[1] == "1" else _INCH
        elif found := _ALIAS.match(line):
            aliases[found[1]] = found[2].strip()
        elif _EDGE.match(line):
            outline.add(*((int(x) * unit, int(y) * unit) for x, y in _PLACE.findall(line)))
        elif (record := _RECORD.match(line)) and (place := _PLACE.search(record["rest"])):
            ref, net = record["ref"].strip(), record["net"].strip()
            if not ref or ref == "VIA":
                continue
            through, access = bool(_HOLE.search(record["rest"])), _ACCESS.search(record["rest"])
            if not through:
                sides[ref].add(access[1] if access else _FRONT)
            pad = Pad(
                name=record["pin"].strip(), x=int(place[1]) * unit, y=int(place[2]) * unit, through=through,
                net="" if net in _NO_NET else aliases.get(net, net),
            )  # fmt: skip
            pads[ref].append(pad)
            begins.setdefault(ref, number)
    parts = [_part(ref, each, sides[ref], begins[ref]) for ref, each in pads.items()]
    return put_together(name, "IPC-D-356 netlist", parts, outline, _doubts(parts))


def _part(ref: str, pads: Sequence[Pad], sides: set[str], line: int) -> DrawnPart:
    """A part of its pads; one whose flat pads are all reached from elsewhere than the front is on the back."""
    x, y = pads_centre(pads, (0.0, 0.0))
    side = "back" if sides and _FRONT not in sides else "front"
    return DrawnPart(ref=ref, value="", package="", side=side, x=x, y=y, pads=tuple(pads), line=line)


def _doubts(parts: Sequence[DrawnPart]) -> list[Doubt]:
    doubts = [Doubt(line=0, what="a netlist has no values: lay it beside the list")]
    long = tuple(part.ref for part in parts if len(part.ref) == _LONGEST)
    if long:
        what = f"{', '.join(long[:4])}: a netlist holds six signs of a designator; longer ones are cut off"
        doubts.append(Doubt(line=0, what=what, refs=long))
    return doubts
