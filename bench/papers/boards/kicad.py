"""KiCad boards as S-expressions (`.kicad_pcb`), tried with files of versions 5 to 9. Pure.

Names of the format are those of its published description (KiCad developer documentation, "Board file format").
Its y grows downwards; here it grows upwards.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence

from bench.errors import SoldersideError
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

Node = list["str | Node"]
_TOKEN = re.compile(r'"((?:[^"\\]|\\.)*)"|([()])|([^\s()"]+)')
_ESCAPED = re.compile(r"\\(.)")
_WANTED = frozenset(
    (
        "footprint",
        "module",
        "gr_line",
        "gr_arc",
        "gr_circle",
        "gr_rect",
        "gr_poly",
        "gr_curve",
        "version",
    )
)
_DENIED = ("['no']", "['n']", "['0']", "['false']")
_DEEPEST = 60
_EDGE = "Edge.Cuts"


def read_kicad(text: str, name: str) -> BoardFile:
    """The board in the text of a `.kicad_pcb` file. Raises SoldersideError when its brackets do not match."""
    outline, parts, version = Outline(), [], ""
    breaks = [at.start() for at in re.finditer("\n", text)]
    for node, at in _items(text, name):
        head = node[0]
        if head in ("footprint", "module"):
            parts.append(_part(node, bisect_right(breaks, at) + 1, outline))
        elif head == "version" and len(node) > 1:
            version = str(node[1])
        elif isinstance(head, str):
            _edge(node, outline, (0.0, 0.0), 0.0)
    return put_together(name, f"KiCad board {version}".strip(), parts, outline)


def _items(text: str, name: str) -> Iterator[tuple[Node, int]]:
    """The wanted items of the board, each as a tree with its place in the text; the others are skipped."""
    tokens = _TOKEN.finditer(text)
    whole = False
    for token in tokens:
        if token[2] != "(":
            whole = whole or token[2] == ")"
            continue
        head = next(tokens, token)
        if head[3] in _WANTED:
            yield _tree(head[3], tokens, name), token.start()
        elif head[3] != "kicad_pcb":
            _skip(tokens, name)
    if not whole:
        raise _cut(name)


def _tree(head: str, tokens: Iterator[re.Match[str]], name: str) -> Node:
    """The item that begins with this word, up to its closing bracket."""
    stack: list[Node] = [[head]]
    for token in tokens:
        quoted, bracket, word = token.groups()
        if bracket == "(":
            node: Node = []
            stack[-1].append(node)
            stack.append(node)
            if len(stack) > _DEEPEST:
                raise SoldersideError("brackets lie too deep for a board file", name, "is it a board file?")
        elif bracket:
            done = stack.pop()
            if not stack:
                return done
        elif word is not None:
            stack[-1].append(word)
        else:
            stack[-1].append(_ESCAPED.sub(r"\1", quoted) if "\\" in quoted else quoted)
    raise _cut(name)


def _skip(tokens: Iterator[re.Match[str]], name: str) -> None:
    """Go past the item whose first word was read."""
    depth = 1
    for token in tokens:
        bracket = token[2]
        if bracket:
            depth += 1 if bracket == "(" else -1
            if not depth:
                return
    raise _cut(name)


def _cut(name: str) -> SoldersideError:
    return SoldersideError("the board file breaks off, or its brackets do not match", name, "get it anew")


def _part(node: Node, line: int, outline: Outline) -> DrawnPart:
    library, _, package = str(node[1] if len(node) > 1 and isinstance(node[1], str) else "").rpartition(":")
    at = _numbers(_child(node, "at"))
    x, y, rotation = (*at, 0.0, 0.0, 0.0)[:3]
    ref, value = _texts(node)
    attributes = {str(word) for each in _children(node, "attr") for word in each[1:]}
    properties = {
        str(each[1]).casefold()
        for each in _children(node, "property")
        if len(each) > 1 and str(each[2:3]).casefold() not in _DENIED
    }
    pads = [pad for each in _children(node, "pad") if (pad := _pad(each, x, y, rotation)) is not None]
    for each in node:
        if isinstance(each, list) and each and str(each[0]).startswith("fp_"):
            _edge(["gr" + str(each[0])[2:], *each[1:]], outline, (x, y), rotation)
    layer = _child(node, "layer")
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
    at = (*_numbers(_child(node, "at")), 0.0, 0.0)[:2]
    right, up = turned(at[0], -at[1], rotation)
    net = _child(node, "net")
    layers = [str(each) for each in _child(node, "layers")[1:]]
    if sort == "smd" and layers and not any(".Cu" in each for each in layers):
        return None  # an opening in the paste
    return Pad(
        name=str(node[1]) if isinstance(node[1], str) else "", x=x + right, y=-y + up,
        through=sort == "thru_hole",
        net=str(net[-1]) if len(net) > 1 else "",
    )  # fmt: skip


def _edge(node: Node, outline: Outline, origin: tuple[float, float], rotation: float) -> None:
    """Take a drawn line into the outline when it lies on the layer of the edge."""
    layer = _child(node, "layer")
    if len(layer) < 2 or layer[1] != _EDGE:
        return

    def place(point: Sequence[float]) -> tuple[float, float]:
        right, up = turned(point[0], -point[1], rotation)
        return origin[0] + right, -origin[1] + up

    named = {
        key: place(numbers)
        for key in ("start", "mid", "end", "center")
        if len(numbers := _numbers(_child(node, key))) >= 2
    }
    match node[0]:
        case "gr_arc" if "mid" in named:
            _add_arc(named, outline)
        case "gr_arc" if {"start", "end"} <= named.keys():  # to version 5: the centre and where it starts
            outline.add_arc(named["start"], named["end"], -next(iter(_numbers(_child(node, "angle"))), 0.0))
        case "gr_circle" if {"center", "end"} <= named.keys():
            outline.add_arc(named["center"], named["end"], 360.0)
        case "gr_line" | "gr_rect":
            outline.add(*named.values())
        case "gr_poly" | "gr_curve":
            points = [_numbers(each) for each in _child(node, "pts")[1:] if isinstance(each, list)]
            outline.add(*(place(point) for point in points if len(point) >= 2))


def _add_arc(named: dict[str, tuple[float, float]], outline: Outline) -> None:
    """An arc by three of its points, as from version 6 on."""
    outline.add(*named.values())
    if {"start", "end"} <= named.keys():
        found = arc_through(named["start"], named["mid"], named["end"])
        if found is not None:
            outline.add_arc(found[0], named["start"], found[1])


def _children(node: Node, name: str) -> Iterator[Node]:
    return (each for each in node if isinstance(each, list) and each and each[0] == name)


def _child(node: Node, name: str) -> Node:
    return next(_children(node, name), [])


def _numbers(node: Node) -> list[float]:
    """The numbers of a node, as far as they are some."""
    found = []
    for each in node[1:]:
        try:
            number = float(each) if isinstance(each, str) else None
        except ValueError:
            continue
        if number is not None and abs(number) < 1e6:
            found.append(number)
    return found
