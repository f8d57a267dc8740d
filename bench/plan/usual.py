"""What is usual at hold points and trims: checks of supply rails, cautions for hazards, how to adjust."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import combinations

from bench.kit.danger import high_rail
from bench.kit.model import Check, Kit, Rail, Trim
from bench.parts.quantity import QuantityError, parse_quantity
from bench.plan.rules import Placement, UsualCheck, any_matches

_GROUNDS = frozenset(("0v", "gnd", "ground", "agnd", "dgnd"))
_SIGNED_VOLTS = re.compile(r"[+\-\u2212]?\s*[0-9]+(?:[.,][0-9]+)?\s*V")
_HAZARDS = {
    "mains": (
        "Mains voltage can kill. Work on it only with the plug pulled out. Switch on only behind a "
        "residual-current device, with the right fuse in and the case closed.",
        "Local rules come first: where they ask for a licensed person, let that person do it.",
    ),
    "high voltage": (
        "High voltage can kill, also some time after switching off. Clip the probes on before switching "
        "on, one hand away from the work, never touch it live, never alone.",
        "Local rules come first: where they ask for a licensed person, let that person do it.",
    ),
    "stored charge": (
        "Charged capacitors can kill with the plug pulled out. Let them empty through a bleed resistor, "
        "then measure across each one until it reads next to nothing, before any hand goes in.",
    ),
}
_VOLTS_PER_OCTAVE = (
    "Let it warm up first. Measure the pitch at two control voltages one volt apart: the step between "
    "them has to be right to about 0.1 %, so measure both with the same meter. Turn until the upper pitch "
    "is twice the lower one. Every turn moves both pitches: measure both again each time. The step first, "
    "the absolute pitch last."
)
_GENERAL = "Turn a little, wait until the reading is steady, read again, and write the last reading down."
_STUCK = "If it does not get there or the trimmer is at its end, stop: the fault is somewhere else."


def hazard_cautions(hazards: Sequence[str]) -> tuple[str, ...]:
    """What can kill in a kit with these hazards, and whose rules come first; each sentence once."""
    said: list[str] = []
    for hazard in hazards:
        known = _HAZARDS.get(" ".join(hazard.split()).casefold())
        said += known or (f"The maker warns of {hazard}: follow the local rules for it.",)
    return tuple(dict.fromkeys(said))


def how_to_trim(trim: Trim) -> str:
    """How to make an adjustment: the kit's own words, or what is usual for its kind.

    >>> how_to_trim(Trim(name="Offset", turns=25, how="Read TP2."))
    'Read TP2. The trimmer has 25 turns from stop to stop.'
    """
    usual = _VOLTS_PER_OCTAVE if trim.kind == "volts per octave" else _GENERAL
    said = [trim.how] if trim.how else [usual, _STUCK]
    if trim.turns:
        said.append(f"The trimmer has {trim.turns} turn{'s' if trim.turns > 1 else ''} from stop to stop.")
    return " ".join(said)


def usual_checks(checks: Sequence[UsualCheck], kit: Kit, parts: Sequence[Placement]) -> tuple[Check, ...]:
    """A procedure's checks, filled in with the kit's supply rails; `line` stays 0.

    A kit that states no supply is asked for `each rail`. A check of a live rail above `MOST_LIVE` is left
    out: there the kit's own checks and local rules decide.
    """
    return tuple(
        found
        for check in checks
        if not check.when or any(any_matches(check.when, part) for part in parts)
        for found in _filled(check, rails_of(kit))
    )


def rails_of(kit: Kit) -> tuple[Rail, ...]:
    """The kit's supply rails without 0 V; one called `each rail` when it states none."""
    rails = tuple(rail for rail in kit.supply if _squeezed(rail.name) not in _GROUNDS)
    return rails or (Rail(name="each rail", current=""),)


def same_place(where: str) -> tuple[str, ...]:
    """What two checks have in common that look at the same place, however it is written.

    >>> same_place("0V and +12 V") == same_place("+12 V and 0 V")
    True
    """
    return tuple(sorted(_squeezed(end) for end in re.split(r"\s+and\s+|\s*&\s*", where)))


def _filled(check: UsualCheck, rails: Sequence[Rail]) -> Iterator[Check]:
    live = "{rail}" in check.expect or "{current}" in check.expect
    if "{other rail}" in check.where:
        pairs = tuple(combinations(rails, 2))
        if not pairs and not rails[0].current and rails[0].name == "each rail":
            pairs = ((rails[0], Rail(name="each other rail", current="")),)
        for rail, other in pairs:
            yield _with(check, rail, other.name)
    elif "{rail}" in check.where:
        for rail in rails:
            if not (live and high_rail(rail)):
                yield _with(check, rail, "")
    else:
        yield Check(where=check.where, expect=check.expect, how=check.how, unplug=check.unplug)


def _with(check: UsualCheck, rail: Rail, other: str) -> Check:
    """The check with its gaps filled; it expects nothing where the kit does not say what to expect."""

    def fill(text: str) -> str:
        text = text.replace("{rail}", rail.name).replace("{other rail}", other)
        return text.replace("{current}", rail.current or "what the maker states")

    knows_volts = _SIGNED_VOLTS.fullmatch(rail.name.strip()) is not None
    unknown = ("{rail}" in check.expect and not knows_volts) or (
        "{current}" in check.expect and not _is_current(rail.current)
    )
    expect = "" if unknown else fill(check.expect)
    return Check(where=fill(check.where), expect=expect, how=fill(check.how), unplug=check.unplug)


def _is_current(text: str) -> bool:
    try:
        return parse_quantity(text, "ampere").unit == "ampere"
    except QuantityError:
        return False


def _squeezed(text: str) -> str:
    return "".join(text.split()).casefold().replace("\u2212", "-")
