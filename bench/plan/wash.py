"""Which parts on a board mind being washed, said by designator; pure."""

from __future__ import annotations

import re
from collections.abc import Iterable

from bench.parts.designators import natural_key, shorten
from bench.parts.english import join, plural
from bench.parts.kinds import with_role
from bench.plan.placed_part import PlacedPart

_MINDS = re.compile(
    r"potentiometer|encoder|\bswitch|button|\bjack\b|relay|display|microphone|\bmic\b|capsule|speaker|buzzer|sounder"
    r"|trimmer|variable capacitor|valve socket|DC socket|battery|sensor|photoresistor|transformer|polystyrene"
    r"|\bmeter\b|\bmodule\b",
    re.IGNORECASE,
)
"""Words for what a solvent gets into or attacks: open contacts and tracks, membranes, windings, lenses
(common practice, no source)."""
_SEALED = re.compile(r"(?<!un)(?<!not )\b(?:sealed|washable|immersion)", re.IGNORECASE)


def minds_the_wash(part: PlacedPart) -> bool:
    """Whether solvent or water must be kept away from a part, as far as kind, value and package tell."""
    line = part.line
    said = f"{part.value} {'' if part.is_socket else line.package}"
    minds = part.kind in with_role("spoilt by washing") or _MINDS.search(said) is not None
    sealed = " ".join((line.value, line.package, line.note))
    return minds and not _SEALED.search(sealed)


def keep_dry(on_board: Iterable[PlacedPart]) -> str:
    """What is on a board and must not be washed, in a sentence."""
    named: dict[str, list[str]] = {}
    for part in on_board:
        if minds_the_wash(part):
            kind = part.kind if part.line.refs else f"{part.value} ({part.kind})"
            named.setdefault(kind, []).extend(part.line.refs)
    if not named:
        return "Nothing on this board so far is harmed by washing."
    ordered = sorted(named.items(), key=lambda pair: min(map(natural_key, pair[1] or [pair[0]])))
    said = [_said(kind, refs) for kind, refs in ordered]
    return f"Keep solvent and brush away from {join(said)}: it creeps inside. Wash only around them."


def _said(kind: str, refs: list[str]) -> str:
    unless = ", unless sealed" if kind in with_role("sold sealed too") else ""
    if not refs:
        return f"the {kind}"
    return f"{shorten(sorted(refs, key=natural_key))} ({kind if len(refs) == 1 else plural(kind)}{unless})"
