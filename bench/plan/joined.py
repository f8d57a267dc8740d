"""Parts that must be joined to one another go in together: a heatsink and what it cools, a sensor and what it
touches, a pair, an LED on its spacer. Pure.

The kit says so with `with:` on a part line. Where it does not, a heatsink is taken to belong to the parts
of its board that its line names, else to those whose case is made to be screwed to one; a thermistor to what
its line says that it touches.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from msgspec import structs

from bench.kit.kit import PartLine
from bench.parts.designators import shorten
from bench.parts.kinds import with_role
from bench.plan.placed_part import Cluster, PlacedPart

LOOSE = with_role("loose")
"""Kinds without a place of their own in the order: they go where the part is that they hold."""
_COOLED = with_role("takes a heatsink")
_SENSED = with_role("temperature sensed")
_TOUCHES = re.compile(r"touch|press|against|thermal|heat-conduct|glued?\b", re.IGNORECASE)
"""How an author says that a thermistor senses the parts that its line names."""
_TAB = re.compile(r"\bTO-?\s?(?:3|3P|66|126|218|220\w*|247|264)\b|multiwatt|tab\b", re.IGNORECASE)
"""Cases that are screwed to a heatsink (JEDEC outlines; from memory)."""
_INSULATES = re.compile(
    r"\b(?:mica|sil-?pads?|thermal|heat[ -]?sink (?:compound|paste|pads?)|insulat\w*|bush(?:es|ing)?)\b",
    re.IGNORECASE,
)
"""What lies between a tab and its heatsink: once power is on, it is too late for it."""
_NO_TAB = re.compile(r"\bTO-?\s?(?:92|18|39|5)\b|\bS(?:OT|O|OIC)-?\d", re.IGNORECASE)


def with_clusters(parts: Sequence[PlacedPart]) -> tuple[PlacedPart, ...]:
    """The placements, those that belong together marked with their cluster."""
    boards: dict[int, list[int]] = {}
    for at, part in enumerate(parts):
        if not part.is_socket:
            boards.setdefault(part.board_number, []).append(at)
    found = list(parts)
    number = 0
    for places in boards.values():
        links = _links(parts, places)
        for members in _clusters(parts, links):
            number += 1
            ordered = sorted(members, key=lambda at: (_turn(parts[at], parts, members), at))
            for order, at in enumerate(ordered):
                said = _said(parts[at], [parts[other] for other in ordered if other in links[at]])
                found[at] = structs.replace(parts[at], cluster=Cluster(number=number, order=order, said=said))
    return tuple(found)


def slots_together(
    parts: Sequence[PlacedPart], slots_of: Mapping[int, Sequence[int]], before_power: int
) -> dict[int, int]:
    """For each part of a cluster, by identity, the slot to move it to: that of the latest of them.

    `slots_of` gives the slots of each part by itself: two for one that is set in place and soldered later,
    which stays in both, as does what goes into a socket. Nothing moves past `before_power`, the first slot in
    which power may be on.
    """
    clusters: dict[int, list[PlacedPart]] = {}
    for part in parts:
        if part.cluster is not None and id(part) in slots_of:
            clusters.setdefault(part.cluster.number, []).append(part)
    found: dict[int, int] = {}
    for members in clusters.values():
        fixed = [part for part in members if part.socketed or len(slots_of[id(part)]) > 1]
        holder = _holder(members, fixed, slots_of, before_power)
        if holder is not None:
            found |= {id(part): holder[part.kind in LOOSE] for part in members if part not in fixed}
    return {key: slot for key, slot in found.items() if slots_of[key][0] != slot}


def _holder(
    members: Sequence[PlacedPart],
    fixed: Sequence[PlacedPart],
    slots_of: Mapping[int, Sequence[int]],
    before_power: int,
) -> tuple[int, int] | None:
    """The slots of a cluster for its firm and for its loose parts; None where nothing says which."""
    firm = [slots_of[id(part)] for part in members if part.kind not in LOOSE and not part.socketed]
    last = max(((slots[-1], slots[0]) for slots in firm if slots[-1] < before_power), default=None)
    return last or max(((slots_of[id(part)][0],) * 2 for part in fixed), default=None)


def _links(parts: Sequence[PlacedPart], places: Sequence[int]) -> dict[int, set[int]]:
    """For each part of a board those that it is joined to, whichever of the two says so."""
    by_ref = {ref: at for at in places for ref in parts[at].line.refs}
    links: dict[int, set[int]] = {}
    for at in places:
        for other in _partners(parts[at], parts, places, by_ref):
            if other != at:
                links.setdefault(at, set()).add(other)
                links.setdefault(other, set()).add(at)
    return links


def _clusters(parts: Sequence[PlacedPart], links: Mapping[int, set[int]]) -> list[list[int]]:
    """The parts that are joined, directly or through others; screws for several make no cluster of these."""
    group = {at: at for at in links}

    def root(at: int) -> int:
        while group[at] != at:
            at = group[at]
        return at

    for at, others in sorted(links.items()):
        firm = sorted(other for other in others if parts[other].kind not in LOOSE)
        for other in firm[:1] if parts[at].kind in LOOSE else firm:
            group[root(other)] = root(at)
    found: dict[int, list[int]] = {}
    for at in links:
        found.setdefault(root(at), []).append(at)
    return [sorted(members) for members in found.values() if len(members) > 1]


def _partners(
    part: PlacedPart, parts: Sequence[PlacedPart], places: Sequence[int], by_ref: Mapping[str, int]
) -> list[int]:
    """What a part is joined to: as its line says under `with`, else as its kind and its author's words tell."""
    line = part.line
    if line.joined_with:
        return [by_ref[ref] for ref in line.joined_with if ref in by_ref]
    if part.kind in LOOSE and _INSULATES.search(f"{line.value} {line.note}"):
        sinks = any(parts[at].kind == "heatsink" for at in places)
        return [at for at in places if _has_tab(parts[at].line)] if sinks else []
    said = " ".join((line.value, line.note, *line.cautions))
    words = set(re.findall(r"\w+", said))
    kinds = {"heatsink": _COOLED, "thermistor": _SENSED if _TOUCHES.search(said) else ()}.get(part.kind, ())
    named = [at for ref, at in by_ref.items() if ref in words and parts[at].kind in kinds]
    if named or part.kind != "heatsink":
        return named
    return [at for at in places if not parts[at].line.joined_with and _has_tab(parts[at].line)]


def _has_tab(line: PartLine) -> bool:
    said = f"{line.package} {line.value}"
    if line.kind not in _COOLED or _NO_TAB.search(said):
        return False
    if _TAB.search(said):
        return True
    return line.kind == "voltage regulator" and not line.package and "L" not in line.value.upper()[2:4]


def _turn(part: PlacedPart, parts: Sequence[PlacedPart], members: Sequence[int]) -> int:
    """What is there first: what others are screwed or pressed to, then what names nobody, then the rest."""
    if part.kind == "heatsink":
        return 0
    if part.kind in LOOSE:
        return 4 if any(parts[at].socketed for at in members) else 1
    return 3 if part.line.joined_with or part.kind == "thermistor" else 2


def _said(part: PlacedPart, others: Sequence[PlacedPart]) -> str:
    """What it is joined to and what comes first; nothing where the author's own cautions name all of that."""
    words = set(re.findall(r"\w+", " ".join(part.line.cautions)))
    firm = [other for other in others if other.kind not in LOOSE] or others
    if all(other.line.refs and words.issuperset(other.line.refs) for other in firm):
        return ""
    sinks = [other for other in firm if other.kind == "heatsink"]
    if sinks and part.kind in _COOLED:
        return f"Screw it to {_named(sinks)} first, then solder it."
    if part.kind == "heatsink":
        return f"Goes together with {_named(firm)}: screw them together before {_named(firm)} is soldered."
    return f"Goes together with {_named(firm)}."


def _named(parts: Sequence[PlacedPart]) -> str:
    refs = [ref for part in parts for ref in part.line.refs]
    return shorten(refs) if refs else " and ".join(f"the {part.value or part.kind}" for part in parts)
