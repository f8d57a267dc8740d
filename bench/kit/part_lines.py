"""One line of a kit file's parts list, and what follows from it when the file does not say."""

from __future__ import annotations

import math
import re
from collections import Counter
from collections.abc import Sequence
from typing import TypeVar

from bench.errors import SoldersideError
from bench.kit.fields import Reader, counted, quoted, shape
from bench.kit.kit import SIDES, PartLine
from bench.kit.quantities import check_part
from bench.kit.yaml_text import Map, Node, Seq, Text
from bench.parts.designators import class_letters, natural_key, parse_refs
from bench.parts.guessing import guess_kind
from bench.parts.kinds import KINDS, MOUNTS, height_for, kind_named
from bench.parts.pins import joints_for, pins_of
from bench.parts.printed_values import surface_mounted

PART_KEYS = (
    "refs", "value", "quantity", "kind", "mount", "height", "joints", "package", "socket", "tolerance",
    "voltage", "marking", "section", "caution", "note", "optional", "at", "side", "nets", "with",
)  # fmt: skip
"""The keys of a parts line."""
MOST_PARTS = 10_000
"""Most parts in one line."""
MOST_MM = 10_000.0
"""Farthest position from the origin, in mm."""
_SIDE_WORDS = {"front": "front", "top": "front", "back": "back", "bottom": "back"}

T = TypeVar("T")


def part_line(
    reader: Reader, entry: Map, written: Sequence[str], sections: Sequence[str], usual_side: str = ""
) -> PartLine | None:
    """The parts line in `entry` with its designators; None, with faults noted, when it is not sound.

    `usual_side` is the side of the board where the line does not say.
    """
    if not entry.entries:
        return None
    reader.known(entry, PART_KEYS)
    faults_before = reader.count
    value = reader.text(entry, "value")
    package, socket = reader.text(entry, "package"), _socket(reader, entry)
    quantity = _quantity(reader, entry, written)
    kind, guessed = _kind(reader, entry, written, value, package)
    mount = reader.choice(entry, "mount", MOUNTS)
    height = reader.whole(entry, "height", least=1, most=9)
    joints = reader.whole(entry, "joints", most=1000)
    section = reader.choice(entry, "section", sections) if sections else reader.text(entry, "section")
    places = _positions(reader, entry, quantity or 0)
    sides = read_sides(reader, entry, quantity or 0) or (usual_side,) * len(written if usual_side else ())
    texts = {
        key: reader.text(entry, key, lines=key == "note") for key in ("tolerance", "voltage", "marking", "note")
    }
    cautions = reader.texts(entry, "caution")
    optional = reader.flag(entry, "optional")
    check_part(reader, entry, kind, value)
    _want_value(reader, entry, kind, value, named=bool(written))
    if quantity is None or not kind or reader.count > faults_before:
        return None
    mount = mount or usual_mount(kind, value, package)
    order = sorted(range(len(written)), key=lambda at: natural_key(written[at]))
    about = (kind, package, value, socket)
    soldered = usual_joints(*about) if joints is None else joints
    return PartLine(
        refs=_in_order(written, order),
        value=value,
        kind=kind,
        kind_guessed=guessed,
        quantity=quantity,
        joints=0 if socket else soldered,
        joints_guessed=joints is None and not joints_certain(*about),
        mount=mount,
        height=height_for(kind, mount) if height is None else height,
        package=package,
        socket=socket,
        socket_joints=soldered if socket else 0,
        section=section,
        cautions=cautions,
        optional=optional,
        positions=_in_order(places, order) if written else places,
        sides=_in_order(sides, order),
        nets=reader.texts(entry, "nets"),
        joined_with=joined_refs(reader, entry, written),
        line=entry.line,
        **texts,
    )


def _in_order(things: Sequence[T], order: Sequence[int]) -> tuple[T, ...]:
    """What stands at these places; nothing where nothing is given."""
    return tuple(things[at] for at in order) if things else ()


def _socket(reader: Reader, entry: Map) -> str:
    """The size of the socket; a fault where it is only said that there is one."""
    socket = reader.text(entry, "socket")
    if socket.strip().casefold() in ("yes", "no", "true", "false"):
        what = f'"socket" is {quoted(socket)}'
        reader.fault(entry.line_of("socket"), what, "write its size, such as DIP-8, or leave `socket` out")
    return socket


def _want_value(reader: Reader, entry: Map, kind: str, value: str, *, named: bool) -> None:
    """A fault where a line has no value and cannot do without; `named` when it has designators."""
    without = not value.strip() and isinstance(entry.get("value"), Text | None)
    if kind and without and (KINDS[kind].needs_value or not named):
        need = f"a {kind} without a value" if named else "a line with neither designator nor value"
        reader.fault(entry.line, need, "add `value: ...`")


def usual_joints(kind: str, package: str, value: str, socket: str) -> int:
    """Solder joints of one such part when the file does not say: its socket's when it has one."""
    return joints_for(KINDS[kind].socket, socket, value) if socket else joints_for(kind, package, value)


def joints_certain(kind: str, package: str, value: str, socket: str) -> bool:
    """True when the usual number of joints is no guess: by the nature of the part, or stated by its package.

    >>> joints_certain("resistor", "", "4k7", ""), joints_certain("IC", "DIP-8", "TL072", "")
    (True, True)
    >>> joints_certain("relay", "", "5 V", ""), joints_certain("pin header", "", "2x5", "")
    (False, True)
    >>> joints_certain("IC", "", "TL072", "DIP-8"), joints_certain("relay", "", "5 V", "yes")
    (True, False)
    """
    if socket:
        return pins_of(KINDS[kind].socket, socket, value) is not None
    return KINDS[kind].joints_sure or not joints_for(kind) or pins_of(kind, package, value) is not None


def likely_kind(refs: Sequence[str], value: str, package: str, note: str = "") -> str | None:
    """The kind that class letters and value point to, when all designators agree on one."""
    letters = {class_letters(ref) for ref in refs} or {""}
    kinds = {guess_kind(each, value, package, note) for each in letters}
    return kinds.pop() if len(kinds) == 1 else None


def written_refs(reader: Reader, entry: Map) -> tuple[str, ...]:
    """The designators of the parts line in `entry`, in the order of the file."""
    line = entry.line_of("refs")
    node = entry.get("refs")
    if node is None:
        return ()
    faults_before = reader.count
    text = ", ".join(reader.texts(entry, "refs"))
    if not text:
        if reader.count == faults_before:
            reader.fault(line, '"refs" is empty', "give designators, or take `refs` out for hardware")
        return ()
    if _stands_for(text) > MOST_PARTS:
        reader.fault(line, f"more than {MOST_PARTS} designators in one line", "is a range mistyped?")
        return ()
    try:
        refs = parse_refs(text)
    except SoldersideError as error:
        reader.fault(line, error.what, error.hint or 'write designators such as "R1-R4, R9"')
        return ()
    if not refs:
        reader.fault(line, f"no designators in {quoted(text)}", 'write designators such as "R1-R4, R9"')
    for ref, times in Counter(refs).items():
        if times > 1:
            reader.fault(line, f"{ref} stands {times} times in this line", "keep it once")
    return refs


def _stands_for(text: str) -> int:
    """How many designators a text names, roughly, without writing them out.

    >>> _stands_for("R1-R4, R9")
    5
    """
    ranges = re.findall(
        r"([0-9]{1,12})\s*(?:[-~…\u2010-\u2015\u2212]|\.\.+|to|bis)\s*[^\W\d]*\$?([0-9]{1,12})", text
    )
    return len(re.split(r"[\s,;]+", text)) + sum(max(0, int(last) - int(first)) for first, last in ranges)


def joined_refs(reader: Reader, entry: Map, own: Sequence[str]) -> tuple[str, ...]:
    """The designators under `with`, those of the line itself being a fault."""
    refs = other_refs(reader, entry, "with")
    for ref in refs:
        if ref in own:
            reader.fault(entry.line_of("with"), f"{ref} is to go in with itself", "take it out of `with`")
    return refs


def other_refs(reader: Reader, entry: Map, key: str) -> tuple[str, ...]:
    """The designators under a key that may be left out."""
    if entry.get(key) is None:
        return ()
    line, text = entry.line_of(key), ", ".join(reader.texts(entry, key))
    hint = f"name designators of this board, such as `{key}: Q1`"
    try:
        refs = parse_refs(text) if _stands_for(text) <= MOST_PARTS else ()
    except SoldersideError as error:
        reader.fault(line, error.what, error.hint or hint)
        return ()
    if not refs:
        reader.fault(line, f'no designators in "{key}": {quoted(text)}', hint)
    return tuple(dict.fromkeys(refs))


def usual_mount(kind: str, value: str, package: str) -> str:
    """How such a part sits when nobody says; one without legs sits on its board, also an LED."""
    usual = KINDS[kind].mount
    return "board" if usual in ("panel", "chassis") and surface_mounted(kind, value, package) else usual


def _quantity(reader: Reader, entry: Map, refs: Sequence[str]) -> int | None:
    """How many parts; None after a fault."""
    stated = reader.whole(entry, "quantity", least=1, most=MOST_PARTS)
    if entry.get("quantity") is not None and stated is None:
        return None
    if refs and stated is not None and stated != len(refs):
        reader.fault(
            entry.line_of("quantity"),
            f'"quantity" is {stated}, but the line has {counted(len(refs), "designator")}',
            "find out which is right; with designators `quantity` can be left out",
        )
        return None
    return len(refs) or stated or 1


def _kind(reader: Reader, entry: Map, refs: Sequence[str], value: str, package: str) -> tuple[str, bool]:
    """Name of the kind, empty after a fault, and whether it was guessed."""
    stated = reader.text(entry, "kind")
    if stated.strip():
        kind = kind_named(stated)
        if kind is None:
            reader.fault(entry.line_of("kind"), f"unknown kind {quoted(stated)}", reader.suggest(stated, KINDS))
            return "", False
        return kind.name, False
    if not refs and entry.get("refs") is not None:
        return "", False
    guess = likely_kind(refs, value, package, reader.peek(entry, "note"))
    if guess is None:
        named = refs[0] if refs else quoted(value)
        what = f"the kind of {named} cannot be told from designator and value"
        hint = "add a kind, such as `kind: resistor`, or split the line"
        if len({class_letters(ref) for ref in refs}) > 1:
            what = "designators of different kinds in one line"
        elif refs and class_letters(refs[0]).upper() == "TR":
            hint = "TR is used for both: say `kind: transformer` or `kind: transistor`"
        reader.fault(entry.line, what, hint)
        return "", False
    return guess, True


def read_sides(reader: Reader, entry: Map, parts: int) -> tuple[str, ...]:
    """The side of the board that each part sits on: one for all of them, or a list in the order of the file."""
    words = reader.texts(entry, "side")
    line = entry.line_of("side")
    found = []
    for word in words:
        plain = word.strip().casefold()
        if plain not in _SIDE_WORDS:
            reader.fault(line, f'"side" is {quoted(word)}', reader.suggest(word, SIDES))
            return ()
        found.append(_SIDE_WORDS[plain])
    if len(found) == 1:
        return tuple(found * parts)
    if parts and found and len(found) != parts:
        what = f"{counted(len(found), 'side')} for {counted(parts, 'part')}"
        reader.fault(line, what, "give one side for all of them, or one for each")
        return ()
    return tuple(found)


def _positions(reader: Reader, entry: Map, parts: int) -> tuple[tuple[float, float], ...]:
    """Positions in the order of the file."""
    node = entry.get("at")
    if node is None:
        return ()
    line = entry.line_of("at")
    hint = "write a pair of numbers in mm for each part: at: [[10, 20], [15, 20]]"
    if not isinstance(node, Seq):
        reader.fault(line, f'"at" should be a list of positions, not {shape(node)}', hint)
        return ()
    pairs: Sequence[Node] = node.items
    if all(isinstance(item, Text) for item in pairs):
        pairs = (node,)
    found = []
    for pair in pairs:
        numbers = [_mm(item) for item in pair.items] if isinstance(pair, Seq) else []
        match numbers:
            case [float() as x, float() as y]:
                found.append((x, y))
            case _:
                reader.fault(pair.line, "a position that is not a pair of numbers in mm", hint)
                return ()
    if parts and len(found) != parts:
        reader.fault(line, f"{counted(len(found), 'position')} for {counted(parts, 'part')}", hint)
    return tuple(found)


def size_of(reader: Reader, entry: Map) -> tuple[float, float] | None:
    """Width and height of a board in mm; None when not given or wrong."""
    node = entry.get("size")
    if node is None:
        return None
    match [_mm(item) for item in node.items] if isinstance(node, Seq) else []:
        case [float() as width, float() as height] if width > 0 and height > 0:
            return width, height
    reader.fault(entry.line_of("size"), '"size" is no width and height in mm', "write `size: [60, 100]`")
    return None


def _mm(node: Node) -> float | None:
    if not isinstance(node, Text) or not re.fullmatch(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)", node.value.strip()):
        return None
    number = float(node.value)
    return number if math.isfinite(number) and abs(number) <= MOST_MM else None
