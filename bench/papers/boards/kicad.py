"""KiCad boards as S-expressions (`.kicad_pcb`), tried with files of versions 5 to 9. Pure.

Names of the format are those of its published description (KiCad developer documentation, "Board file format").
Its y grows downwards; here it grows upwards.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Sequence

from bench.papers.boards.drawn import (
    BoardFile,
    DrawnPart,
    Outline,
    Pad,
    arc_through,
    pads_centre,
    put_together,
    turned,
)
from bench.papers.boards.sexpr import Node, child, children, items, numbers

_EDGES = frozenset(f"gr_{shape}" for shape in ("line", "arc", "circle", "rect", "poly", "curve"))
_WANTED = _EDGES | {"footprint", "module", "version"}
_OPENED = frozenset(("kicad_pcb",))
_DENIED = ("['no']", "['n']", "['0']", "['false']")
_EDGE = "Edge.Cuts"


def read_kicad(text: str, name: str) -> BoardFile:
    """The board in the text of a `.kicad_pcb` file. Raises SoldersideError when its brackets do not match."""
    outline, parts, version = Outline(), [], ""
    breaks = [at.start() for at in re.finditer("\n", text)]
    for node, at in items(text, name, _WANTED, _OPENED):
        head = node[0]
        if head in ("footprint", "module"):
            parts.append(_part(node, bisect_right(breaks, at) + 1, outline))
        elif head == "version" and len(node) > 1:
            version = str(node[1])
        elif isinstance(head, str):
            _edge(node, outline, (0.0, 0.0), 0.0)
    return put_together(name, f"KiCad board {version}".strip(), parts, outline)


def _part(node: Node, line: int, outline: Outline) -> DrawnPart:
    library, _, package = str(node[1] if len(node) > 1 and isinstance(node[1], str) else "").rpartition(":")
    at = numbers(child(node, "at"))
    x, y, rotation = (*at, 0.0, 0.0, 0.0)[:3]
    ref, value = _texts(node)
    attributes = {str(word) for each in children(node, "attr") for word in each[1:]}
    properties = {
        str(each[1]).casefold()
        for each in children(node, "property")
        if len(each) > 1 and str(each[2:3]).casefold() not in _DENIED
    }
    pads = [pad for each in children(node, "pad") if (pad := _pad(each, x, y, rotation)) is not None]
    for each in node:
        if isinstance(each, list) and each and str(each[0]).startswith("fp_"):
            _edge(["gr" + str(each[0])[2:], *each[1:]], outline, (x, y), rotation)
    layer = child(node, "layer")
    fitted = "dnp" not in attributes and not {"dnp", "do not populate"} & properties
    centre = pads_centre(pads, (x, -y))
    return DrawnPart(
        ref=ref, value=value, package=package, library=library,
        side="back" if str(layer[1] if len(layer) > 1 else "").startswith("B.") else "front",
        x=centre[0], y=centre[1], rotation=rotation, pads=tuple(pads), line=line,
        fitted=fitted, drawn_only=not pads or (fitted and bool({"exclude_from_bom", "virtual"} & attributes)),
    )  # fmt: skip


def _texts(node: Node) -> tuple[str, str]:
    """Reference and value, as texts (to version 7) or as properties (from 8)."""
    found = {"reference": "", "value": ""}
    for each in node:
        if isinstance(each, list) and len(each) > 2 and each[0] in ("fp_text", "property"):
            sort = str(each[1]).casefold()
            if sort in found and isinstance(each[2], str) and not found[sort]:
                found[sort] = each[2]
    value = found["value"]
    return found["reference"].strip(), "" if value == "~" else value.strip()


def _pad(node: Node, x: float, y: float, rotation: float) -> Pad | None:
    """A pad in its place; None for a hole without copper."""
    sort = str(node[2]) if len(node) > 2 else ""
    if sort not in ("thru_hole", "smd", "connect"):
        return None
    at = (*numbers(child(node, "at")), 0.0, 0.0)[:2]
    right, up = turned(at[0], -at[1], rotation)
    net = child(node, "net")
    layers = [str(each) for each in child(node, "layers")[1:]]
    if sort == "smd" and layers and not any(".Cu" in each for each in layers):
        return None  # an opening in the paste
    return Pad(
        name=str(node[1]) if isinstance(node[1], str) else "", x=x + right, y=-y + up,
        through=sort == "thru_hole",
        net=str(net[-1]) if len(net) > 1 else "",
    )  # fmt: skip


def _edge(node: Node, outline: Outline, origin: tuple[float, float], rotation: float) -> None:
    """Take a drawn line into the outline when it lies on the layer of the edge."""
    layer = child(node, "layer")
    if len(layer) < 2 or layer[1] != _EDGE:
        return

    def place(point: Sequence[float]) -> tuple[float, float]:
        right, up = turned(point[0], -point[1], rotation)
        return origin[0] + right, -origin[1] + up

    named = {
        key: place(found)
        for key in ("start", "mid", "end", "center")
        if len(found := numbers(child(node, key))) >= 2
    }
    match node[0]:
        case "gr_arc" if "mid" in named:
            _add_arc(named, outline)
        case "gr_arc" if {"start", "end"} <= named.keys():  # to version 5: the centre and where it starts
            outline.add_arc(named["start"], named["end"], -next(iter(numbers(child(node, "angle"))), 0.0))
        case "gr_circle" if {"center", "end"} <= named.keys():
            outline.add_arc(named["center"], named["end"], 360.0)
        case "gr_line" | "gr_rect":
            outline.add(*named.values())
        case "gr_poly" | "gr_curve":
            points = [numbers(each) for each in child(node, "pts")[1:] if isinstance(each, list)]
            outline.add(*(place(point) for point in points if len(point) >= 2))


def _add_arc(named: dict[str, tuple[float, float]], outline: Outline) -> None:
    """An arc by three of its points, as from version 6 on."""
    outline.add(*named.values())
    if {"start", "end"} <= named.keys():
        found = arc_through(named["start"], named["mid"], named["end"])
        if found is not None:
            outline.add_arc(found[0], named["start"], found[1])
