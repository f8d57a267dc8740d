"""What a rule of a procedure can ask of a part: one record for each key; pure.

Reading a procedure, matching parts, the printed procedure and the manual all go by these records.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from functools import partial

from msgspec import Struct

from bench.kit.fields import Reader, quoted
from bench.kit.yaml_text import Map, Seq, Text
from bench.parts.advice import way_round
from bench.parts.english import join, plural
from bench.parts.kinds import KINDS, MOUNTS, kind_named
from bench.plan.placed_part import ROLES, PlacedPart

Wanted = tuple[str | int | bool, ...]
"""What a rule asks for: any one of these will do; `(True,)` or `(False,)` for yes or no."""
_HEIGHTS = re.compile(r"([1-9])(?:\s*(?:-|–|to)\s*([1-9]))?")
_SITS = {
    "flat": "lying flat",
    "upright": "upright",
    "laid flat": "laid flat",
    "panel": "on the panel",
    "board": "on the board",
    "chassis": "on the case",
    "cable": "on wires",
}


class Condition(Struct, frozen=True, kw_only=True):
    """One thing that a rule can ask of a part."""

    key: str
    """How a procedure file writes it."""
    example: str
    """What a file may have after the key."""
    about: str
    """Which parts it means, for the documentation."""
    read: Callable[[Reader, Map, str], Wanted]
    """What a file asks for under the key, with a fault for what it cannot; only called where the key is."""
    met: Callable[[PlacedPart, Wanted], bool]
    """Whether a part is one of those meant."""
    on_paper: Callable[[Wanted], str]
    """What a printed procedure says of it; empty where everything will do."""


def _yes_no(key: str, yes: str, no: str, about: str, of: Callable[[PlacedPart], bool]) -> Condition:
    """A condition that a file answers with yes or no; `yes` and `no` are what paper says."""
    return Condition(
        key=key,
        example="yes",
        about=about,
        read=lambda reader, entry, key: (reader.flag(entry, key),),
        met=lambda part, wanted: of(part) is wanted[0],
        on_paper=lambda wanted: yes if wanted[0] else no,
    )


def _folded(text: str) -> Wanted:
    return (" ".join(text.split()).casefold(),)


def _one_of(
    key: str,
    example: str,
    about: str,
    of: Callable[[PlacedPart], str | int],
    on_paper: Callable[[Wanted], str],
    take: Callable[[str], Wanted] = _folded,
    known: Collection[str] = (),
    hint: str = "",
) -> Condition:
    """A condition met by any one of several texts; `take` makes of each what it means, or nothing."""
    return Condition(
        key=key,
        example=example,
        about=about,
        read=partial(_texts, take=take, known=known, hint=hint),
        met=lambda part, wanted: of(part) in wanted,
        on_paper=on_paper,
    )


def _texts(
    reader: Reader,
    entry: Map,
    key: str,
    take: Callable[[str], Wanted] = _folded,
    known: Collection[str] = (),
    hint: str = "",
) -> Wanted:
    node, line = entry.get(key), entry.line_of(key)
    if (isinstance(node, Text) and not node.value.strip()) or (isinstance(node, Seq) and not node.items):
        reader.fault(line, f'"{key}" is empty', "fill it in or take it out")
    found: list[str | int | bool] = []
    for text in reader.texts(entry, key):
        meant = take(text)
        if not meant or (known and str(meant[0]) not in known):
            reader.fault(line, f"unknown {key} {quoted(text)}", hint or reader.suggest(text, known))
        found += meant
    return tuple(found)


def _heights(text: str) -> Wanted:
    ends = _HEIGHTS.fullmatch(text.strip())
    return tuple(range(int(ends[1]), int(ends[2] or ends[1]) + 1)) if ends else ()


def _heights_said(wanted: Wanted) -> str:
    if wanted == tuple(range(1, 10)):
        return ""
    if len(wanted) > 2 and wanted == tuple(range(int(wanted[0]), int(wanted[-1]) + 1)):
        return f"height {wanted[0]} to {wanted[-1]}"
    return f"height {_all(wanted)}"


def _mounts_said(wanted: Wanted) -> str:
    """Those that are meant or those that are not, whichever are fewer."""
    others = [mount for mount in MOUNTS if mount not in wanted]
    few = len(others) < len(wanted)
    named = join([_SITS[str(mount)] for mount in (others if few else wanted)], "or")
    return f"not {named}" if few and named else named


def _all(wanted: Wanted) -> str:
    return join([str(each) for each in wanted], "or")


def _says(part: PlacedPart, words: Wanted) -> bool:
    said = f"{part.value} {part.line.package} {part.line.note}".casefold()
    return any(str(word) in said for word in words)


def _words(key: str, about: str, *, has: bool) -> Condition:
    """A condition on what value, package and note say; `has`: one of the words, or else none of them."""
    return Condition(
        key=key,
        example="[mains, 230 V]",
        about=about,
        read=_texts,
        met=lambda part, wanted: _says(part, wanted) is has,
        on_paper=lambda wanted: f"{'' if has else 'not '}called {'/'.join(map(str, wanted))}",
    )


_TABLE = (
    _one_of(
        "kind", "[diode, LED]", "parts of these kinds",
        lambda part: part.kind,
        lambda wanted: ", ".join(plural(str(kind)) for kind in wanted),
        lambda text: (kind.name,) if (kind := kind_named(text)) else (), KINDS,
    ),
    _one_of(
        "height", "1-3", "parts of these height classes, 1 (flat on the board) to 9 (panel parts and above)",
        lambda part: part.height, _heights_said, _heights,
        hint="give classes from 1 (flat) to 9 (hardware): 1, [1, 2] or 1-3",
    ),
    _one_of(
        "mount", "[flat, board]", f"parts mounted like this: {', '.join(MOUNTS)}",
        lambda part: part.mount, _mounts_said,
        known=MOUNTS,
    ),
    _one_of(
        "section", "power", "parts of these sections of the kit",
        lambda part: part.line.section.casefold(), lambda wanted: f"of {_all(wanted)}",
    ),
    _one_of(
        "board", "main", "parts on these boards",
        lambda part: part.board.casefold(), lambda wanted: f"on {_all(wanted)}",
    ),
    _one_of(
        "value", "4k7", "parts with these values, as the kit writes them",
        lambda part: part.value.casefold(), lambda wanted: f"worth {_all(wanted)}",
    ),
    _yes_no(
        "socket", "for a socket", "not for a socket", "parts that go into a socket",
        lambda part: part.socketed,
    ),
    _yes_no(
        "joints", "with joints", "without joints", "parts with solder joints of their own",
        lambda part: part.joints > 0,
    ),
    _yes_no(
        "polarised", "polarised", "not polarised", "parts that go in only one way round",
        lambda part: bool(way_round(part.kind, part.value, part.traits())),
    ),
    _yes_no(
        "supply path", "carrying the supply", "not carrying the supply",
        "what carries the supply current (fuses, links, rectifiers): in before first power",
        lambda part: part.supply_path,
    ),
    _yes_no(
        "closes the box", "closing the box", "not closing the box", "knobs, lid and case: on after it works",
        lambda part: part.closes_box,
    ),
    _yes_no(
        "carries panel parts", "carrying panel parts", "not carrying panel parts",
        "the panel, or the case that the panel parts go through",
        lambda part: part.carries_panel,
    ),
    _yes_no(
        "surface mount", "surface-mount", "not surface-mount", "parts soldered to pads on the surface",
        lambda part: part.surface,
    ),
    _yes_no("wired", "on wires", "not on wires", "parts off the board, on wires", lambda part: part.wired),
    _one_of(
        "role", "[output, phones]", f"what is plugged into, by the label in its note: {', '.join(ROLES)}",
        lambda part: part.role, lambda wanted: f"for {_all(wanted)}", known=ROLES,
    ),
    _words("words", "parts whose value, package or note has one of these words", has=True),
    _words("no words", "parts whose value, package and note have none of these words", has=False),
    _yes_no(
        "several boards", "in kits of several boards", "in kits of one board",
        "parts of kits with more than one board to solder",
        lambda part: part.several_boards,
    ),
)  # fmt: skip
CONDITIONS = {condition.key: condition for condition in _TABLE}
"""All that a rule can ask, by key, in the order in which paper says it."""
