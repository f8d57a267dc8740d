"""Whether anything in a kit keeps the mains away from its low rails. Pure.

A supply without a transformer or an isolating converter puts its 0 V, and all that hangs on it, at mains
voltage. Words and parts that tell: common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Collection

from bench.kit.kit import Kit, PartLine
from bench.kit.rails import ADAPTER, MAINS, rail_hazard
from bench.parts.kinds import with_role

_NOT = r"(?<!no )(?<!not a )(?<!without a )(?<!never a )(?<!instead of a )"
_SAID = re.compile(
    rf"{_NOT}\b(?:transformer-?less (?:mains |power |AC )?(?:supply|supplies|PSU)"
    r"|(?:cap|capacitor|capacitive|resistive|mains|series) dropper|capacitive (?:mains |power )?supply"
    r"|non-?isolated|not (?:galvanically |mains[ -])?isolated (?:from|supply|power)|(?:live|hot) chassis"
    r"|Kondensatornetzteil)\b",
    re.IGNORECASE,
)
_INLETS = (*with_role("inlet"), *with_role("power plug"))
_MAKES_DC = ("bridge rectifier", "diode", "Zener diode", "voltage regulator")
_ISOLATES = re.compile(
    r"\btransformers?\b|\bSMPS\b|\bPSU\b|\bpower supply\b|\bswitch(?:ed|ing)?[ -]mode\b|\bconverter\b"
    r"|\bAC ?[-/] ?DC\b|(?<!not )(?<!non-)(?<!non )\bisolated\b|\bflyback\b"
    r"|\bHLK-?[0-9]*P?M|\b(?:IRM|RAC|TMLM)-?[0-9]{2}",
    re.IGNORECASE,
)
_ONE_WINDING = re.compile(r"\bauto-?(?:transformer|former)\b|\bvariac\b", re.IGNORECASE)


def said_unisolated(kit: Kit) -> str:
    """The words by which a kit calls its supply not isolated; empty when it does not.

    A supply without a transformer is meant, not an amplifier's output without one.
    """
    texts = [kit.name, kit.about, kit.scenario, *kit.notes, *kit.errata]
    texts += [_text(part) for board in kit.boards for part in board.parts]
    texts += [check.how for point in kit.hold_points for check in point.checks]
    said = next((found[0] for found in map(_SAID.search, texts) if found), "")
    return said or _one_winding(kit)


def _one_winding(kit: Kit) -> str:
    """The word for a transformer of one winding where nothing else in the kit isolates; empty for none."""
    parts = [part for board in kit.boards for part in board.parts]
    if any(map(_isolates, parts)):
        return ""
    return next((found[0] for part in parts if (found := _ONE_WINDING.search(_text(part)))), "")


def unisolated_rails(kit: Kit) -> tuple[str, ...]:
    """Mains rails of a kit in which no part isolates: no transformer, no converter, no closed adapter."""
    if any(_isolates(part) for board in kit.boards for part in board.parts):
        return ()
    return tuple(rail.name for rail in kit.supply if rail_hazard(f"{rail.name} {rail.current}") == MAINS)


def fed_by_mains_alone(kit: Kit, live: Collection[int]) -> bool:
    """Whether low rails can come from nowhere but the mains: nothing isolates, and no other inlet is there.

    `live` are the lines of the parts that speak of the mains.
    """
    parts = [part for board in kit.boards for part in board.parts]
    inlets = [part for part in parts if part.kind in _INLETS and part.line not in live]
    low = any(not rail_hazard(f"{rail.name} {rail.current}") for rail in kit.supply)
    makes = any(part.kind in _MAKES_DC for part in parts)
    return bool(live) and low and makes and not inlets and not any(map(_isolates, parts))


def _isolates(part: PartLine) -> bool:
    text = _text(part)
    if _ONE_WINDING.search(text) or _SAID.search(text):
        return False
    return part.kind == "transformer" or bool(_ISOLATES.search(text) or ADAPTER.search(part.value))


def _text(part: PartLine) -> str:
    return ", ".join(filter(None, (part.value, part.note, part.package, part.marking, *part.cautions)))
