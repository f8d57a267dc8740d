"""Placement files: designator, x, y, rotation and side of each part, as drawing programs write them."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.errors import SoldersideError
from bench.kit.kit import Board, Kit, PartLine
from bench.papers.lists.delimited import delimited
from bench.papers.lists.draft import Doubt, PlacementFile, PlacementRecord, SourceRow
from bench.papers.lists.encoding import decode
from bench.papers.lists.refs import find_refs
from bench.papers.lists.vocabulary import heading_roles
from bench.parts.designators import shorten
from bench.parts.footprints import surface

MOST_MM = 10_000.0
_MOST_NETS = 12
_MM = {
    "mm": 1.0,
    "mil": 0.0254,
    "mils": 0.0254,
    "in": 25.4,
    "inch": 25.4,
    "inches": 25.4,
    '"': 25.4,
    "cm": 10.0,
    "um": 0.001,
    "µm": 0.001,
}
_NUMBER = re.compile(
    r"\s*([+-]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]{1,2})?)\s*(mm|mils?|inch(?:es)?|in|cm|[uµ]m|\")?\s*"
)
_TWO_WORDS = re.compile(
    r"\b(mid|ref|pad|center|centre|pos|position|centroid|x|y)[ -]+(x|y|pos|position)\b", re.IGNORECASE
)
_UNIT_SAID = re.compile(r"\bunits?\b[^\n]{0,20}?\b(mm|millimet\w+|mils?|inch(?:es)?)\b", re.IGNORECASE)
_UNIT_IN_HEAD = re.compile(r"[(\[](mm|mils?|inch(?:es)?|in|cm|um)[)\]]", re.IGNORECASE)
_BOTTOM = re.compile(r"b|bot|bottom|back|b\.cu|bottomlayer|bottom ?layer|2|unten|lower", re.IGNORECASE)


class _Table(Struct, frozen=True, kw_only=True):
    columns: dict[str, int]
    heads: dict[str, str]
    rows: tuple[SourceRow, ...]


def read_placement(data: bytes, name: str) -> PlacementFile:
    """The positions in the bytes of a placement file; `name` is the file as people know it.

    Raises SoldersideError when it is no text, or has no columns of designators, x and y.
    """
    decoded = decode(data, name)
    table = next(_tables(decoded.lines), None)
    if table is None:
        hint = "a placement file has a heading with designator, x and y above its columns"
        raise SoldersideError("no columns of designators, x and y were found", name, hint)
    said = next((found[1] for line in decoded.lines[:60] if (found := _UNIT_SAID.search(line))), "")
    in_head = _UNIT_IN_HEAD.search(table.heads["x"])
    unit = _plain_unit(in_head[1] if in_head else said)
    doubts = [Doubt(line=line, what=what) for line, what in decoded.doubts]
    places: dict[str, PlacementRecord] = {}
    units: set[str] = set()
    for row in table.rows:
        place, found_unit, wrong = _place(row, table.columns, unit or "mm")
        if place is None:
            doubts += [Doubt(line=row.line, what=wrong)] if wrong else []
        elif place.ref in places:
            doubts.append(
                Doubt(
                    line=row.line, what=f"{place.ref} is listed twice; the first position counts", kind="twice"
                )
            )
        else:
            places[place.ref] = place
            units.add(found_unit)
    if not places:
        raise SoldersideError("no line gives a designator with its x and y", name, "look at the file's columns")
    if not unit and units == {""}:
        doubts.append(Doubt(line=0, what="the file does not say its unit: positions are read as millimetres"))
    return PlacementFile(
        name=name,
        places=tuple(places.values()),
        unit=unit or next(iter(units - {""}), "mm"),
        has_sides="side" in table.columns,
        doubts=tuple(doubts),
    )


def add_positions(kit: Kit, placement: PlacementFile, board: str = "") -> tuple[Kit, tuple[Doubt, ...]]:
    """The kit with the positions of a placement file on one of its boards, and what did not fit.

    `board` names the board; without it the board with most of the designators is taken. A parts line gets
    positions only when all its designators have one. Raises SoldersideError when no board fits, or two as well.
    """
    known = {place.ref: place for place in placement.places}
    chosen = _board(kit, known, board, placement.name)
    parts = tuple(_placed(part, known, has_sides=placement.has_sides) for part in chosen.parts)
    missing = [
        ref for part in chosen.parts if not _all_known(part, known) for ref in part.refs if ref not in known
    ]
    doubts: list[Doubt] = []
    if missing:
        doubts.append(Doubt(line=0, what=f"without a position: {shorten(missing)}", refs=tuple(missing)))
    on_board = {ref for part in chosen.parts for ref in part.refs}
    strange = [place for place in placement.places if place.ref not in on_board]
    if strange:
        what = f"not in the kit's board {chosen.name}: {', '.join(place.ref for place in strange[:12])}"
        doubts.append(Doubt(line=strange[0].line, what=what, refs=tuple(place.ref for place in strange)))
    done = replace(chosen, parts=parts, size=chosen.size or placement.size)
    boards = tuple(done if each is chosen else each for each in kit.boards)
    return replace(kit, boards=boards), tuple(doubts)


def _all_known(part: PartLine, known: Mapping[str, PlacementRecord]) -> bool:
    return bool(part.refs) and all(ref in known for ref in part.refs)


def _placed(part: PartLine, known: Mapping[str, PlacementRecord], *, has_sides: bool) -> PartLine:
    """The line with the places of its designators, where all have one."""
    if not _all_known(part, known):
        return part
    places = [known[ref] for ref in part.refs]
    sides = tuple("back" if place.side == "bottom" else "front" for place in places)
    positions = tuple((place.x, place.y) for place in places)
    return _with_pads(replace(part, positions=positions, sides=sides if has_sides else part.sides), places)


def _with_pads(part: PartLine, places: Sequence[PlacementRecord]) -> PartLine:
    """The line with what the pads at its places say: on the surface or not, joints, named nets."""
    nets = tuple(dict.fromkeys(net for place in places for net in place.nets))
    part = replace(part, nets=part.nets or nets[:_MOST_NETS])
    if all(place.surface for place in places) and not part.socket and surface(part.package, part.value) is None:
        part = replace(part, package=f"{part.package} SMD".strip())
    counts = {place.joints for place in places}
    if len(counts) != 1 or not (joints := counts.pop()):
        return part
    if part.socket:
        return replace(part, socket_joints=joints)
    return replace(part, joints=joints, joints_guessed=False)


def _board(kit: Kit, known: Mapping[str, PlacementRecord], name: str, file: str) -> Board:
    """The board that the positions are for."""
    if name:
        found = [board for board in kit.boards if board.name.casefold() == name.casefold()]
        if not found:
            names = ", ".join(board.name for board in kit.boards)
            raise SoldersideError(f"the kit has no board '{name}'", file, f"its boards are: {names}")
        return found[0]
    counts = [sum(ref in known for part in board.parts for ref in part.refs) for board in kit.boards]
    most = max(counts, default=0)
    if not most:
        raise SoldersideError("none of the file's designators is in the kit", file, "is it the right file?")
    if counts.count(most) > 1:
        raise SoldersideError("the file fits two boards of the kit as well", file, "name the board")
    return kit.boards[counts.index(most)]


def _tables(lines: Sequence[str]) -> Iterator[_Table]:
    """Tables that have designators, x and y by their headings."""
    for layout in delimited(lines):
        for table in layout.tables:
            found = _headed(table.rows)
            if found is not None:
                yield found
    spaced = [
        SourceRow(line=at, cells=tuple(_TWO_WORDS.sub(r"\1_\2", line.lstrip("# ")).split()))
        for at, line in enumerate(lines, 1)
    ]
    found = _headed(spaced)
    if found is not None:
        yield found


def _headed(rows: Sequence[SourceRow]) -> _Table | None:
    for at, row in enumerate(rows[:200]):
        if len(row.cells) < 3:
            continue
        columns: dict[str, tuple[float, int]] = {}
        for place, cell in enumerate(row.cells[:40]):
            for role, weight in heading_roles(cell.strip("# ")).items():
                if role in ("ref", "x", "y", "rotation", "side") and weight > columns.get(role, (0.29, 0))[0]:
                    columns[role] = (weight, place)
        if {"ref", "x", "y"} <= columns.keys():
            taken = {role: place for role, (_, place) in columns.items()}
            return _Table(
                columns=taken,
                heads={role: row.cells[place] for role, place in taken.items()},
                rows=tuple(rows[at + 1 :]),
            )
    return None


def _place(row: SourceRow, columns: dict[str, int], unit: str) -> tuple[PlacementRecord | None, str, str]:
    """The place in one row with the unit that stands there, or what is wrong with the row."""
    cells = {role: row.cells[at].strip() if at < len(row.cells) else "" for role, at in columns.items()}
    mark = cells["ref"].startswith(("#", "-", "=")) or row.cells == ("End",)
    if not any(cells.values()) or not cells["ref"] or mark:
        return None, "", ""
    found = find_refs(cells["ref"])
    x, y = _NUMBER.fullmatch(cells["x"]), _NUMBER.fullmatch(cells["y"])
    if len(found.refs) != 1 or x is None or y is None:
        text = " ".join(row.cells)[:60]
        return None, "", f"no designator with x and y in '{text}'"
    said = _plain_unit(x[2] or "")
    factor = _MM[said or unit]
    mm = [float(number[1].replace(",", ".")) * factor for number in (x, y)]
    turned = _NUMBER.fullmatch(cells.get("rotation", ""))
    if not all(math.isfinite(each) and abs(each) <= MOST_MM for each in mm):
        return None, "", f"{found.refs[0]} lies more than {MOST_MM:.0f} mm away"
    side = "bottom" if _BOTTOM.fullmatch(cells.get("side", "")) else "top"
    rotation = float(turned[1].replace(",", ".")) if turned else 0.0
    place = PlacementRecord(
        ref=found.refs[0],
        x=round(mm[0], 4),
        y=round(mm[1], 4),
        rotation=rotation if math.isfinite(rotation) else 0.0,
        side=side,
        line=row.line,
    )
    return place, said, ""


def _plain_unit(text: str) -> str:
    plain = text.casefold()
    if plain.startswith("millimet"):
        return "mm"
    return {"mils": "mil", "inches": "inch", "in": "inch", '"': "inch"}.get(plain, plain)
