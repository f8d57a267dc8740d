"""What the keys of a kit file mean: from a YAML tree to a `Kit`, with all faults at once."""

from __future__ import annotations

import re
from collections.abc import Container, Sequence

from bench.errors import Fault, FileFaults
from bench.kit.danger import HAZARDS
from bench.kit.fields import Reader, counted, quoted, shape
from bench.kit.kit import Board, Check, HoldPoint, Kit, PartLine, Rail, Trim
from bench.kit.part_lines import other_refs, part_line, read_sides, size_of, written_refs
from bench.kit.quantities import check_limit, check_panel, check_places, check_rail, check_range, check_target
from bench.kit.yaml_text import Map, Node, Text

KIT_FORMAT = 1
"""The version of the format that is read and written."""
TRIM_KINDS = ("general", "volts per octave", "hertz per volt")
TRIM_ROLES = ("scale", "offset", "top")
"""What a trimmer does to tracking: how wide the octaves are, all notes alike, the highest notes alone."""
MOST_IN_KIT = 20_000
"""Most parts in one kit."""
MOST_BOARDS = 2_000
"""Most boards in one kit."""

KIT_KEYS = (
    "kit", "name", "maker", "revision", "about", "scenario", "price", "hazards", "errata", "panel", "supply",
    "sections", "tools", "notes", "gives", "needs", "boards", "hold_points", "trims",
)  # fmt: skip
PANEL_KEYS = ("width", "height", "depth", "case")
HOLD_KEYS = ("name", "checks")
BOARD_KEYS = ("name", "count", "joints", "size", "side", "not_fitted", "parts")
CHECK_KEYS = ("between", "at", "look", "expect", "how", "unplug", "nets")
TRIM_KEYS = ("name", "kind", "trimmer", "turns", "role", "range", "clockwise", "target", "how")


def kit_from_tree(tree: Node, name: str, *, lenient: bool = False) -> Kit:
    """The kit in the tree of the file `name`; raises FileFaults with all faults, sorted by line.

    `lenient` passes over quantities that make no sense, for a build that was begun with them.
    """
    reader = Reader(name, lenient=lenient)
    top = _whole_file(reader, tree)
    reader.known(top, KIT_KEYS)
    sections = _sections(reader, top)
    panel = _mapping(reader, top, "panel", PANEL_KEYS)
    own_case = reader.choice(panel, "case", ("rack", "own")) == "own"
    check_panel(reader, panel, own_case=own_case)
    boards, refs = _boards(reader, top, sections)
    kit = Kit(
        name=reader.text(top, "name", needed=True),
        maker=reader.text(top, "maker"),
        revision=reader.text(top, "revision"),
        about=reader.text(top, "about", lines=True),
        scenario=reader.text(top, "scenario", lines=True),
        price=reader.text(top, "price"),
        hazards=() if _says_none(top, "hazards") else _hazards(reader, top),
        harmless=_says_none(top, "hazards"),
        errata=reader.texts(top, "errata"),
        panel_width=reader.text(panel, "width"),
        panel_depth=reader.text(panel, "depth"),
        panel_height=reader.text(panel, "height"),
        own_case=own_case,
        supply=() if _says_none(top, "supply") else _supply(reader, top),
        passive=_says_none(top, "supply"),
        sections=sections,
        boards=boards,
        hold_points=_hold_points(reader, top),
        trims=_trims(reader, top, refs),
        tools=reader.texts(top, "tools"),
        notes=reader.texts(top, "notes"),
        gives=reader.texts(top, "gives"),
        needs=reader.texts(top, "needs"),
        file=name,
    )
    reader.finish()
    return kit


def _whole_file(reader: Reader, tree: Node) -> Map:
    """The file's mapping; raises FileFaults at once when this is no kit file that could be read on."""
    if not isinstance(tree, Map) or tree.get("kit") is None:
        found = "no `kit: 1` in it" if isinstance(tree, Map) else f"it holds {shape(tree)}"
        hint = f"a kit file begins with `kit: {KIT_FORMAT}`; `solderside read` reads a maker's list"
        raise FileFaults([Fault(what=f"this is not a kit file: {found}", where=f"{reader.name}:1", hint=hint)])
    version = tree.get("kit") or tree
    text = version.value.strip() if isinstance(version, Text) else ""
    where = f"{reader.name}:{tree.line_of('kit')}"
    if re.fullmatch(r"[0-9]{1,9}", text) and int(text) > KIT_FORMAT:
        what = f"this kit file is of format {text}, and this program knows formats up to {KIT_FORMAT}"
        raise FileFaults([Fault(what=what, where=where, hint="get a newer version of the program")])
    if text != str(KIT_FORMAT):
        what = f'"kit" should be the version of the format, not {shape(version)}'
        reader.fault(tree.line_of("kit"), what, f"write `kit: {KIT_FORMAT}`, and the kit's name under `name`")
    return tree


def _mapping(reader: Reader, top: Map, key: str, keys: Sequence[str]) -> Map:
    """The mapping under `key`; an empty one when it is not there."""
    node = top.get(key)
    if node is None or (isinstance(node, Text) and not node.value.strip()):
        return Map(entries=(), line=top.line_of(key))
    found = reader.mapping(node, quoted(key))
    if keys:
        reader.known(found, keys)
    return found


def _sections(reader: Reader, top: Map) -> tuple[str, ...]:
    sections = reader.texts(top, "sections")
    names: dict[str, int] = {}
    for section in sections:
        _own_name(reader, names, "sections", section, top.line_of("sections"))
    return sections


def _hazards(reader: Reader, top: Map) -> tuple[str, ...]:
    """Hazards, spelled as in `HAZARDS`: one that nobody understands would warn nobody."""
    found = []
    for text in reader.texts(top, "hazards"):
        plain = " ".join(text.casefold().split())
        if plain in HAZARDS:
            found.append(plain)
        else:
            hint = f"{reader.suggest(text, HAZARDS)} (other dangers go under `notes`)"
            reader.fault(top.line_of("hazards"), f"unknown hazard {quoted(text)}", hint)
    return tuple(dict.fromkeys(found))


def _says_none(top: Map, key: str) -> bool:
    said = top.get(key)
    return isinstance(said, Text) and said.value.strip().casefold() == "none"


def _supply(reader: Reader, top: Map) -> tuple[Rail, ...]:
    rails = _mapping(reader, top, "supply", ())
    found = []
    for rail, line, _ in rails.entries:
        current = reader.text(rails, rail)
        if not rail.strip():
            reader.fault(line, "a supply rail without a name", 'write `"+12 V": 38 mA`')
        else:
            check_rail(reader, line, rail, current)
        found.append(Rail(name=rail, current=current))
    return tuple(found)


def _boards(reader: Reader, top: Map, sections: Sequence[str]) -> tuple[tuple[Board, ...], frozenset[str]]:
    """The boards that could be read, and all designators of the kit, also those of lines with faults."""
    boards: list[Board] = []
    names: dict[str, int] = {}
    all_refs: set[str] = set()
    parts = 0
    for entry in reader.mappings(top, "boards", "board", needed=True):
        reader.known(entry, BOARD_KEYS)
        name = reader.text(entry, "name", needed=True)
        if "/" in name:
            reader.fault(entry.line_of("name"), f"a slash in the board name {quoted(name)}", "leave it out")
        _own_name(reader, names, "boards", name, entry.line_of("name"))
        size, usual_side = size_of(reader, entry), "".join(read_sides(reader, entry, 1))
        faults_before = reader.count
        lines: list[PartLine] = []
        seen: dict[str, int] = {}
        for part_entry in reader.mappings(entry, "parts", "part", needed=True):
            refs = written_refs(reader, part_entry)
            _taken(reader, seen, refs, part_entry.line)
            part = part_line(reader, part_entry, refs, sections, usual_side)
            all_refs.update(refs)
            parts += part.quantity if part else 0
            lines += (part,) if part else ()
            if reader.full or parts > MOST_IN_KIT:
                break
        _joined(reader, lines, seen)
        check_places(reader, name, size, lines)
        _counts(reader, entry, lines, sound=reader.count == faults_before)
        empty = other_refs(reader, entry, "not_fitted")
        for ref in empty:
            if ref in seen:
                what, hint = (
                    f"{ref} is not fitted, and is a part of line {seen[ref]}",
                    "take it out of one of them",
                )
                reader.fault(entry.line_of("not_fitted"), what, hint)
        boards.append(Board(name=name, parts=tuple(lines), size=size, not_fitted=empty, line=entry.line))
        too_many = "parts" if parts > MOST_IN_KIT else "boards" if len(boards) > MOST_BOARDS else ""
        if too_many:
            most = MOST_IN_KIT if too_many == "parts" else MOST_BOARDS
            reader.fault(entry.line, f"more than {most} {too_many} in one kit", "is it the right file?")
        if reader.full or too_many:
            break
    return tuple(boards), frozenset(all_refs)


def _taken(reader: Reader, seen: dict[str, int], refs: Sequence[str], line: int) -> None:
    """Note in `seen` the line of each designator, and a fault when an earlier line of the board has it."""
    for ref in dict.fromkeys(refs):
        if ref in seen:
            what = f"{ref} stands in two lines of this board, {seen[ref]} and {line}"
            reader.fault(line, what, "find out which value is right and take it out of the other line")
        seen.setdefault(ref, line)


def _joined(reader: Reader, lines: Sequence[PartLine], known: Container[str]) -> None:
    """Faults for parts that are to go in with one that the board does not have."""
    for part in lines:
        for ref in part.joined_with:
            if ref not in known:
                hint = "name a designator of the same board, or take it out of `with`"
                reader.fault(part.line, f'"with" names {ref}, which is not on this board', hint)


def _counts(reader: Reader, entry: Map, lines: Sequence[PartLine], *, sound: bool) -> None:
    """Faults where the maker's own counts of a board disagree with its lines, if these were `sound`."""
    stated_parts = reader.whole(entry, "count", most=MOST_IN_KIT)
    stated_joints = reader.whole(entry, "joints", most=100 * MOST_IN_KIT)
    if not sound:
        return
    lettered = sum(part.quantity for part in lines if part.refs)
    every = sum(part.quantity for part in lines)
    if stated_parts is not None and stated_parts not in (lettered, every):
        found = counted(lettered, "part") + (f" ({every} with hardware)" if every != lettered else "")
        reader.fault(
            entry.line_of("count"),
            f'"count" is {stated_parts}, but the lines of this board have {found}',
            "look for a line that is missing or listed twice, or correct the count",
        )
    joints = sum((part.joints + part.socket_joints) * part.quantity for part in lines)
    if stated_joints is not None and stated_joints != joints:
        guessed = sum(part.joints_guessed for part in lines)
        usual = f", or a part with another number than usual ({counted(guessed, 'line')} guessed)"
        reader.fault(
            entry.line_of("joints"),
            f'"joints" is {stated_joints}, but the lines of this board make {joints}',
            f"look for a missing line{usual if guessed else ''}, or correct the number",
        )


def _hold_points(reader: Reader, top: Map) -> tuple[HoldPoint, ...]:
    points = []
    names: dict[str, int] = {}
    for entry in reader.mappings(top, "hold_points", "hold point"):
        reader.known(entry, HOLD_KEYS)
        name = reader.text(entry, "name", needed=True)
        _own_name(reader, names, "hold points", name, entry.line_of("name"))
        checks = tuple(
            _check(reader, check) for check in reader.mappings(entry, "checks", "check", needed=True)
        )
        points.append(HoldPoint(name=name, checks=checks, line=entry.line))
    return tuple(points)


def _check(reader: Reader, entry: Map) -> Check:
    reader.known(entry, CHECK_KEYS)
    places = {key: reader.text(entry, key) for key in ("between", "at", "look")}
    given = [key for key, place in places.items() if place.strip()]
    if len(given) != 1:
        what = "a check that says " + (" and ".join(given) if given else "neither where nor what to look at")
        hint = "give one of `between: +12 V and 0 V`, `at: TP1`, `look: ...`"
        reader.fault(entry.line, what, hint)
    check_limit(reader, entry)
    return Check(
        where="".join(places[key] for key in given[:1]),
        expect=reader.text(entry, "expect"),
        how=reader.text(entry, "how", lines=True),
        unplug=reader.text(entry, "unplug"),
        nets=reader.texts(entry, "nets"),
        line=entry.line,
    )


def _trims(reader: Reader, top: Map, refs: frozenset[str]) -> tuple[Trim, ...]:
    trims = []
    names: dict[str, int] = {}
    for entry in reader.mappings(top, "trims", "trim"):
        reader.known(entry, TRIM_KEYS)
        name = reader.text(entry, "name", needed=True)
        _own_name(reader, names, "trims", name, entry.line_of("name"))
        trimmer = reader.text(entry, "trimmer")
        if trimmer.strip() and trimmer not in refs:
            what = f"trimmer {quoted(trimmer)} is on no board"
            reader.fault(entry.line_of("trimmer"), what, "write its designator as in the parts list")
        check_target(reader, entry)
        trims.append(
            Trim(
                name=name,
                kind=reader.choice(entry, "kind", TRIM_KINDS) or "general",
                trimmer=trimmer,
                target=reader.text(entry, "target"),
                how=reader.text(entry, "how", lines=True),
                turns=reader.whole(entry, "turns", least=0 if reader.lenient else 1, most=100) or 0,
                role=reader.choice(entry, "role", TRIM_ROLES),
                range_cents=_range_cents(reader, entry),
                clockwise=reader.choice(entry, "clockwise", ("raises", "lowers")),
                line=entry.line,
            )
        )
    return tuple(trims)


def _range_cents(reader: Reader, entry: Map) -> int:
    """What a trimmer moves from stop to stop; 0 when it is not said."""
    text = reader.text(entry, "range").strip()
    if entry.get("range") is None:
        return 0
    found = re.fullmatch(r"([0-9]{1,5})\s*cents?(?: per octave| an octave)?", text, re.IGNORECASE)
    if found is None or not int(found[1]):
        reader.fault(
            entry.line_of("range"),
            f'"range" is {quoted(text)}',
            "write whole cents from stop to stop: 300 cents",
        )
        return 0
    check_range(reader, entry.line_of("range"), int(found[1]))
    return int(found[1])


def _own_name(reader: Reader, names: dict[str, int], things: str, name: str, line: int) -> None:
    """A fault when another of the `things` has this name."""
    folded = " ".join(name.casefold().split())
    if folded and folded in names:
        what = f"two {things} have the name {quoted(name)} (the first in line {names[folded]})"
        reader.fault(line, what, "give each a name of its own")
    names.setdefault(folded, line)
