"""Schematics and netlists: which parts a circuit has, their values and nets, and nothing of places. Pure.

KiCad's `.kicad_sch` and netlists are S-expressions, its `.sch` before version 6 lines of text; from the
published descriptions (KiCad developer documentation, "Schematic file format"; "file_formats.pdf" for the old
one). Netlists with square brackets around parts and round ones around nets are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from bench.papers.boards.drawn import BoardFile, DrawnPart, Pad, put_together
from bench.papers.boards.sexpr import Node, child, children, items, word

_SHEET = frozenset(("symbol", "symbol_instances", "sheet", "sheet_instances", "version"))
_EMPTY = ("", "~", "$noname")
_A_SHEET = "one sheet of a schematic"
_FIELD = re.compile(r'F ([012]) "((?:[^"\\]|\\.)*)"')
_SHARED = re.compile(r'AR Path="[^"]*" Ref="([^"?]+)"')
_OLD_PART = re.compile(r"^ ?\( [^\s{]\S* +(\S+) +(\S+) +(\S+)")
_OLD_PIN = re.compile(r"^ +\( +(\S+) +(\S+) \)")
_BRACKETED = re.compile(r"^\[\s*\n([^\n\]]+)\n([^\n\]]*)\n([^\n\]]*)\n?[^\]]*\]", re.MULTILINE)
_BRACKETED_NET = re.compile(r"^\(\s*\n([^\n)]+)\n([^)]*)\)", re.MULTILINE)
_UNNUMBERED = re.compile(r"#.*|.*\?|")
Pins = dict[str, list[Pad]]


def _part(ref: str, value: str, footprint: str, line: int, pins: Pins, *, fitted: bool = True) -> DrawnPart:
    library, _, package = ("" if footprint in _EMPTY else footprint).rpartition(":")
    return DrawnPart(
        ref=ref, value="" if value in _EMPTY else value, package=package, library=library, side="front",
        x=0.0, y=0.0, pads=tuple(pins.get(ref, ())), fitted=fitted, line=line,
    )  # fmt: skip


def _connected(pins: Pins, net: str, ref: str, pin: str) -> None:
    pins.setdefault(ref, []).append(Pad(name=pin, x=0.0, y=0.0, through=True, net=net))


def _line(text: str, at: int) -> int:
    return text.count("\n", 0, at) + 1


def _circuit(name: str, form: str, parts: Iterable[DrawnPart]) -> BoardFile:
    """What was read, without the signs of supplies and what has no number yet."""
    return put_together(name, form, (part for part in parts if not _UNNUMBERED.fullmatch(part.ref)), None)


def read_sheet(text: str, name: str) -> BoardFile:
    """The parts on a sheet of a KiCad schematic (`.kicad_sch`).

    The first sheet of version 6 names those of all sheets. Raises SoldersideError when brackets do not match.
    """
    version, sheets, first = "", 0, False
    symbols: dict[str, DrawnPart] = {}
    named: list[DrawnPart] = []
    everywhere: list[DrawnPart] = []
    units: set[tuple[str, str]] = set()
    for node, at in items(text, name, _SHEET, frozenset(("kicad_sch",))):
        match node[0]:
            case "symbol":
                part = _symbol(node, _line(text, at))
                symbols[word(node, "uuid")] = part
                for ref, unit, deep in _instances(node, part.ref, word(node, "unit")):
                    sheets += deep
                    if (ref, unit) in units or ref not in {ref for ref, _ in units}:
                        named.append(replace(part, ref=ref))
                    units.add((ref, unit))
            case "symbol_instances":
                everywhere = list({part.ref: part for part in _everywhere(node, symbols)}.values())
            case "sheet":
                sheets += 1
            case "sheet_instances":
                first = True
            case "version":
                version = str(node[1]) if len(node) > 1 else ""
    found = _circuit(name, f"KiCad schematic {version}".strip(), everywhere or named)
    return replace(found, partly="" if everywhere or (first and not sheets) else _A_SHEET)


def _symbol(node: Node, line: int) -> DrawnPart:
    said = {str(each[1]): each[2] for each in children(node, "property") if len(each) > 2}
    texts = {key: value.strip() for key, value in said.items() if isinstance(value, str)}
    fitted = word(node, "dnp") != "yes" and texts.get("DNP", "").casefold() not in ("1", "dnp", "yes", "true")
    part = _part(
        texts.get("Reference", ""), texts.get("Value", ""), texts.get("Footprint", ""), line, {}, fitted=fitted
    )
    return replace(part, drawn_only="no" in (word(node, "in_bom"), word(node, "on_board")))


def _instances(node: Node, ref: str, unit: str) -> Iterator[tuple[str, str, bool]]:
    """Each designator that a symbol has, with its unit and whether it is on a sheet below the first."""
    projects = list(children(child(node, "instances"), "project"))
    found = [path for project in projects[:1] for path in children(project, "path")]
    for path in found:
        yield word(path, "reference"), word(path, "unit"), str(path[1]).count("/") > 1
    if not found:
        yield ref, unit, False


def _everywhere(node: Node, symbols: dict[str, DrawnPart]) -> Iterator[DrawnPart]:
    """The parts of all sheets, as the first one names them."""
    for path in children(node, "path"):
        known = symbols.get(str(path[1]).rpartition("/")[2])
        part = _part(word(path, "reference"), word(path, "value"), word(path, "footprint"), 0, {})
        yield (
            part
            if known is None
            else replace(part, line=known.line, fitted=known.fitted, drawn_only=known.drawn_only)
        )


def read_old_sheet(text: str, name: str) -> BoardFile:
    """The parts on a sheet of a KiCad schematic before version 6 (`.sch`)."""
    parts: dict[str, DrawnPart] = {}
    for found in re.finditer(r"^\$Comp$(.*?)^\$EndComp$", text, re.MULTILINE | re.DOTALL):
        fields = {key: said.replace('\\"', '"').strip() for key, said in _FIELD.findall(found[1])}
        for ref in dict.fromkeys(_SHARED.findall(found[1])) or (fields.get("0", ""),):
            part = _part(ref, fields.get("1", ""), fields.get("2", ""), _line(text, found.start()), {})
            parts.setdefault(ref, part)
    partly = _A_SHEET if "\n$Sheet\n" in text or not re.search(r"^Sheet 1 1$", text, re.MULTILINE) else ""
    return replace(_circuit(name, "KiCad schematic, old text format", parts.values()), partly=partly)


def read_net_list(text: str, name: str) -> BoardFile:
    """The parts and nets of a netlist out of a schematic, in one of three forms.

    Raises SoldersideError when the brackets of KiCad's do not match.
    """
    if text.lstrip().startswith("(export"):
        return _circuit(name, "KiCad netlist", _exported(text, name))
    if text.lstrip().startswith("["):
        return _circuit(name, "netlist of a schematic", _bracketed(text))
    return _circuit(name, "KiCad netlist, old text format", _old_net_list(text))


def _exported(text: str, name: str) -> Iterator[DrawnPart]:
    pins: Pins = {}
    comps = []
    opened = frozenset(("export", "components", "nets"))
    for node, at in items(text, name, frozenset(("comp", "net")), opened):
        if node[0] == "comp":
            comps.append((node, at))
        for each in children(node, "node"):
            _connected(pins, word(node, "name"), word(each, "ref"), word(each, "pin"))
    for node, at in comps:
        marks = {word(each, "name") for each in children(node, "property")}
        part = _part(
            word(node, "ref"), word(node, "value"), word(node, "footprint"), _line(text, at), pins,
            fitted="dnp" not in marks,
        )  # fmt: skip
        yield replace(part, drawn_only="exclude_from_bom" in marks and part.fitted)


def _old_net_list(text: str) -> Iterator[DrawnPart]:
    pins: Pins = {}
    found: list[tuple[str, str, str, int]] = []
    for number, line in enumerate(text.split("\n"), 1):
        if line.startswith("*"):
            break
        if part := _OLD_PART.match(line):
            found.append((part[2], part[3], part[1], number))
        elif found and (pin := _OLD_PIN.match(line)):
            _connected(pins, pin[2], found[-1][0], pin[1])
    return (_part(*each, pins) for each in found)


def _bracketed(text: str) -> Iterator[DrawnPart]:
    pins: Pins = {}
    for net in _BRACKETED_NET.finditer(text):
        for each in net[2].split():
            ref, _, pin = each.rpartition("-")
            _connected(pins, net[1].strip(), ref, pin)
    for part in _BRACKETED.finditer(text):
        ref, footprint, value = (each.strip() for each in part.groups())
        yield _part(ref, value, footprint, _line(text, part.start()), pins)
