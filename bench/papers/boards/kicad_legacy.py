"""KiCad boards of before 2013: the text format that begins with `PCBNEW-BOARD`. Pure.

Lengths are tenths of a mil or mm, as `Units` says; y grows downwards in the file and upwards here. From the
published description of the old format (KiCad, "file_formats.pdf").
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from bench.errors import SoldersideError
from bench.papers.boards.drawn import BoardFile, DrawnPart, Outline, Pad, pads_centre, put_together, turned

_DECIMIL = 0.00254
_EDGE, _BACK = "28", "0"
_STRING = re.compile(r'"((?:[^"\\]|\\.)*)"')


def read_legacy_kicad(text: str, name: str) -> BoardFile:
    """The board in a file of the old text format. Raises SoldersideError when it breaks off in a part."""
    lines = enumerate(text.split("\n"), 1)
    unit, outline, parts = _DECIMIL, Outline(), []
    for number, line in lines:
        words = line.split()
        if words[:1] == ["Units"]:
            unit = 1.0 if words[-1] == "mm" else _DECIMIL
        elif words[:1] == ["$MODULE"]:
            parts.append(_part(lines, number, words[1] if len(words) > 1 else "", unit, name))
        elif words[:1] == ["$DRAWSEGMENT"]:
            _segment(lines, unit, outline)
    return put_together(name, "KiCad board, old text format", parts, outline)


def _part(lines: Iterator[tuple[int, str]], line: int, package: str, unit: float, name: str) -> DrawnPart:
    x = y = rotation = 0.0
    side, texts, pads = "front", {"T0": "", "T1": ""}, list[Pad]()
    attributes: set[str] = set()
    for _, row in lines:
        words = row.split()
        head = words[0] if words else ""
        if head == "$EndMODULE":
            break
        if head == "Po" and len(words) > 4:
            x, y, rotation = _number(words[1]) * unit, -_number(words[2]) * unit, _number(words[3]) / 10
            side = "back" if words[4] == _BACK else "front"
        elif head in texts:
            said = _STRING.findall(row)
            texts[head] = said[-1] if said else words[-1].strip('"')
        elif head == "At":
            attributes.update(words[1:])
        elif head == "$PAD":
            pad = _pad(lines, unit)
            if pad is not None:
                right, up = turned(pad.x, pad.y, rotation)
                pads.append(Pad(name=pad.name, x=x + right, y=y + up, through=pad.through, net=pad.net))
    else:
        raise SoldersideError("the board file breaks off in a part", f"{name}:{line}", "get it anew")
    centre = pads_centre(pads, (x, y))
    value = texts["T1"].strip()
    return DrawnPart(
        ref=texts["T0"].strip(), value="" if value == "~" else value, package=package, side=side,
        x=centre[0], y=centre[1], rotation=rotation, pads=tuple(pads), line=line,
        drawn_only=not pads or "VIRTUAL" in attributes,
    )  # fmt: skip


def _pad(lines: Iterator[tuple[int, str]], unit: float) -> Pad | None:
    """A pad in its part; None for a hole without copper."""
    name, net, sort, x, y = "", "", "STD", 0.0, 0.0
    for _, row in lines:
        words = row.split()
        head = words[0] if words else ""
        if head == "$EndPAD":
            break
        if head == "Sh":
            said = _STRING.findall(row)
            name = said[0] if said else ""
        elif head == "At" and len(words) > 1:
            sort = words[1]
        elif head == "Ne":
            said = _STRING.findall(row)
            net = said[-1] if said else ""
        elif head == "Po" and len(words) > 2:
            x, y = _number(words[1]) * unit, -_number(words[2]) * unit
    return None if sort == "HOLE" else Pad(name=name, x=x, y=y, through=sort == "STD", net=net)


def _segment(lines: Iterator[tuple[int, str]], unit: float, outline: Outline) -> None:
    """Take a drawn line into the outline when it lies on the layer of the edge."""
    shape: list[float] = []
    layer, turn = "", 90.0
    for _, row in lines:
        words = row.split()
        head = words[0] if words else ""
        if head == "$EndDRAWSEGMENT":
            break
        if head == "Po":
            shape = [_number(word) for word in words[1:6]]
        elif head == "De" and len(words) > 3:
            layer, turn = words[1], _number(words[3]) / 10
    if layer != _EDGE or len(shape) < 5:
        return
    begin, end = (shape[1] * unit, -shape[2] * unit), (shape[3] * unit, -shape[4] * unit)
    if shape[0] == 1:
        outline.add_arc(begin, end, 360.0)
    elif shape[0] == 2:
        outline.add_arc(begin, end, -turn)
    else:
        outline.add(begin, end)


def _number(word: str) -> float:
    try:
        number = float(word)
    except ValueError:
        return 0.0
    return number if abs(number) < 1e9 else 0.0
