"""Board files told apart by what stands in them, since `.brd` is the ending of three formats. Pure."""

from __future__ import annotations

import re

from bench.errors import SoldersideError
from bench.papers.boards.circuit import read_net_list, read_old_sheet, read_sheet
from bench.papers.boards.drawn import BoardFile
from bench.papers.boards.eagle import read_eagle
from bench.papers.boards.kicad import read_kicad
from bench.papers.boards.kicad_legacy import read_legacy_kicad
from bench.papers.boards.netlist import is_netlist, read_netlist

_BEGINS = {
    "kicad": re.compile(rb"\s*\(kicad_pcb\b"),
    "sheet": re.compile(rb"\s*\(kicad_sch\b"),
    "old sheet": re.compile(rb"EESchema Schematic File"),
    "net list": re.compile(
        rb"\s*\(\s*export\b|\s*(?:#[^\n]*\n\s*)?\( \{ EESchema Netlist"
        rb"|\s*\[\s*\n[^\n\]=]+\n[^\n\]=]*\n[^\]=]*\]\s*\n\s*[\[(]"
    ),
}
_LEGACY = re.compile(rb"PCBNEW-BOARD", re.IGNORECASE)
_EAGLE = re.compile(rb"<eagle[\s>]")
_BINARY = (b"\x10\x00", b"\x10\x80")
_LOOKED_AT, _LONGEST_HEAD = 4096, 65_536
_READERS = {
    "kicad": read_kicad, "legacy": read_legacy_kicad, "netlist": read_netlist, "sheet": read_sheet,
    "old sheet": read_old_sheet, "net list": read_net_list,
}  # fmt: skip


def is_board_file(data: bytes) -> bool:
    """Whether bytes are those of a board file, one that can be read or not."""
    return bool(_format(data))


def _format(data: bytes) -> str:
    head = data[:_LOOKED_AT].removeprefix(b"\xef\xbb\xbf")
    form = next((form for form, begins in _BEGINS.items() if begins.match(head)), "")
    if form:
        return form
    if _LEGACY.match(head):
        return "legacy"
    if _EAGLE.search(head):
        return "eagle"
    if head[:1] in (b"C", b"P", b"3") and is_netlist(_text(data[:_LONGEST_HEAD])):
        return "netlist"
    return "binary" if head.startswith(_BINARY) else ""


def _text(data: bytes) -> str:
    """Board files are UTF-8; old ones may hold other letters in their texts, never in their structure."""
    return data.removeprefix(b"\xef\xbb\xbf").decode("utf-8", "replace").replace("\r\n", "\n")


def read_board(data: bytes, name: str) -> BoardFile:
    """The board in the bytes of a file; `name` is the file as people know it.

    Raises SoldersideError for a file of none of the known formats, one that is damaged, and EAGLE's binary one.
    """
    form = _format(data)
    if form == "eagle":
        return read_eagle(data, name)
    if form in _READERS:
        return _READERS[form](_text(data), name)
    if form == "binary":
        hint = "open it in EAGLE 6 or later and save it again: that makes XML"
        raise SoldersideError("this is EAGLE's old binary format, which cannot be read", name, hint)
    raise SoldersideError(
        "no board file, schematic or netlist of a known format",
        name,
        "name the .kicad_pcb or .brd file",
    )
