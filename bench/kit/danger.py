"""What in a kit can kill: the one place where that is decided. Pure.

The limits of voltage are in `rails`, what a line of the parts list gives away in `tell_tales`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

from msgspec import Struct

from bench.kit.isolation import fed_by_mains_alone, said_unisolated, unisolated_rails
from bench.kit.kit import Kit
from bench.kit.rails import (  # fmt: skip
    ADAPTER,
    BOUGHT,
    HIGH_VOLTAGE,
    IS_AC,
    MAINS,
    MOST_DC,
    MOST_LIVE,
    high_rail,
    is_mains,
    most_of,
    rail_hazard,
    says_mains,
    volts_in,
)
from bench.kit.tell_tales import (
    CHARGED_FROM,
    STORED_CHARGE,
    Sign,
    battery_volts,
    comes_closed,
    multiplier,
    part_signs,
    rating,
)
from bench.parts.english import cut, join
from bench.parts.kinds import marked_by

UNISOLATED = "non-isolated supply"
HAZARDS = (MAINS, UNISOLATED, HIGH_VOLTAGE, STORED_CHARGE)
"""What a kit file may say under `hazards`."""


class Danger(Struct, frozen=True, kw_only=True):
    """What is deadly in a kit, and why."""

    hazards: tuple[str, ...]
    """Of `HAZARDS`, what the kit states and what was found, in that order; then the maker's own warnings."""
    deadly: bool
    """True when somebody has to answer for it before power."""
    reasons: tuple[Sign, ...]
    """What was found, by line; without what `hazards: none` answers."""
    undeclared: tuple[str, ...]
    """Hazards found that the kit does not state."""
    hands_off: bool = False
    """True when nothing generic is to be proposed live and no finger is put to a part: the kit is deadly, or
    has a rail above `MOST_LIVE`."""
    harmless: bool = False
    """True when the kit says `hazards: none`."""
    closed_mains: bool = False
    """True when all that speaks of the mains is such a closed side: the work begins behind it."""
    questions: tuple[Sign, ...] = ()
    """Slight signs of something deadly in a kit that nothing else speaks against: asked about, no gate."""

    @property
    def kills(self) -> tuple[str, ...]:
        """What somebody has to answer for before power, of `HAZARDS`; empty when the kit is not deadly."""
        return tuple(hazard for hazard in self.hazards if hazard in HAZARDS) if self.deadly else ()

    @property
    def warning(self) -> str:
        """What a page or a letter about the kit says first; empty when it is not deadly."""
        if not self.kills:
            return ""
        named = join(self.kills)
        return (
            f"{named[:1].upper()}{named[1:]}: this kit can kill. Do not work on it by this text: the maker's "
            "instructions, your local codes and licensed practice come first."
        )

    @property
    def brief(self) -> str:
        """The same in one line, for a label; empty when it is not deadly."""
        named = self.warning.partition(":")[0]
        return f"{named}: can kill. Maker's instructions and local codes first." if named else ""

    @property
    def omission(self) -> str:
        """One sentence on what the kit file omits, with what speaks for it; empty when it omits nothing."""
        if self.questions:
            asked = "; ".join(dict.fromkeys(sign.what for sign in self.questions))
            return (
                f"The kit file states only low voltages, but lists {asked}. If the mains is on it, stop, and "
                "say `hazards: [mains]` there; if nothing in it is above 50 V, say `hazards: none`."
            )
        if not self.undeclared:
            return ""
        said = f"The kit file does not state {join(self.undeclared)}, but lists {self.why}."
        return f"{said} If nothing in it is above 50 V, say `hazards: none` there." if self.doubted else said

    @property
    def why(self) -> str:
        """What speaks for hazards that the kit does not state, the first three: `T1: transformer for 230 V`."""
        found = list(dict.fromkeys(sign.what for sign in self.reasons if sign.hazard in self.undeclared))
        more = f"; and {len(found) - 3} more" if len(found) > 3 else ""
        return "; ".join(found[:3]) + more

    @property
    def doubted(self) -> bool:
        """True when all that was found of what is not stated can also be harmless: worth asking the author."""
        return bool(self.undeclared) and not any(
            sign.certain for sign in self.reasons if sign.hazard in self.undeclared
        )


@lru_cache(maxsize=64)
def danger_of(kit: Kit) -> Danger:
    """All that in a kit can kill, stated or found."""
    found = sorted(
        (sign for sign in _signs(kit) if sign.certain or not kit.harmless), key=lambda sign: sign.line
    )
    if found and all(sign.slight for sign in found) and _only_low(kit):
        return _danger_from(kit, (), questions=tuple(found))
    live = {sign.line for sign in found if sign.hazard == MAINS and sign.line and not sign.closed}
    if fed_by_mains_alone(kit, live) and not any(sign.hazard == UNISOLATED for sign in found):
        sure = any(sign.certain for sign in found if sign.line in live)
        what = "nothing isolates the low rails from it, and nothing else feeds them"
        found.append(Sign(hazard=UNISOLATED, what=what, certain=sure))
    return _danger_from(kit, tuple(found))


def _danger_from(kit: Kit, found: tuple[Sign, ...], questions: tuple[Sign, ...] = ()) -> Danger:
    """What follows from the signs found and from what the kit states itself."""
    kinds = {sign.hazard for sign in found}
    stated = {" ".join(hazard.split()).casefold(): hazard for hazard in kit.hazards}
    known = tuple(hazard for hazard in HAZARDS if hazard in stated or hazard in kinds)
    charged = STORED_CHARGE in kinds or (STORED_CHARGE in stated and _charge_unknown(kit))
    deadly = charged or not {MAINS, UNISOLATED, HIGH_VOLTAGE}.isdisjoint(known)
    fed = [sign.closed for sign in found if sign.hazard == MAINS]
    return Danger(
        hazards=(*known, *(hazard for folded, hazard in stated.items() if folded not in known)),
        deadly=deadly,
        hands_off=deadly or any(map(high_rail, kit.supply)) or _battery_volts(kit) > MOST_LIVE,
        reasons=found,
        undeclared=tuple(hazard for hazard in known if hazard not in stated),
        harmless=kit.harmless,
        closed_mains=bool(fed) and all(fed),
        questions=questions,
    )


def _battery_volts(kit: Kit) -> float:
    return max((battery_volts(part) for board in kit.boards for part in board.parts), default=0.0)


def _only_low(kit: Kit) -> bool:
    """Whether the kit states low direct voltages alone, and neither says nor lists what feeds on the mains."""
    rails = [rail.name for rail in kit.supply]
    if not rails or kit.hazards or any(not volts_in(name) or IS_AC.search(name) for name in rails):
        return False
    said = [kit.about, kit.scenario, *kit.notes, *kit.errata, *kit.tools, *kit.sections]
    said += [f"{check.where} {check.how}" for point in kit.hold_points for check in point.checks]
    said += [text for trim in kit.trims for text in (trim.name, trim.how)]
    said += [text for board in kit.boards for part in board.parts for text in part.cautions]
    kinds = {part.kind for board in kit.boards for part in board.parts}
    return not kinds & {"transformer", "mains inlet"} and not any(map(says_mains, said))


# -- what is found ---------------------------------------------------------------------------------


def _signs(kit: Kit) -> Iterator[Sign]:
    yield from _supply(kit)
    for board in kit.boards:
        if hazard := rail_hazard(board.name):
            yield Sign(hazard=hazard, what=f'board "{board.name}"', line=board.line)
        for part in board.parts:
            yield from part_signs(part, kit)
    for section in kit.sections:
        if hazard := rail_hazard(section):
            inside = [part for board in kit.boards for part in board.parts if part.section == section]
            closed = bool(inside) and all(map(comes_closed, inside))
            yield Sign(hazard=hazard, what=f'section "{section}"', closed=closed)
    yield from _expected(kit)
    yield from _told(kit)
    yield from multiplier(kit)
    if said := said_unisolated(kit):
        yield Sign(hazard=MAINS, what=f'"{said}"')
        yield Sign(hazard=UNISOLATED, what=f'"{said}"')
    for rail in unisolated_rails(kit):
        yield Sign(hazard=UNISOLATED, what=f'no transformer or converter that isolates it from "{rail}"')


def _supply(kit: Kit) -> Iterator[Sign]:
    for rail in kit.supply:
        if hazard := rail_hazard(f"{rail.name} {rail.current}"):
            yield Sign(hazard=hazard, what=f'supply rail "{rail.name}"')
    ends = [
        (max(volts), name)
        for rail in kit.supply
        if (name := rail.name.strip()) and (volts := volts_in(name)) and not BOUGHT.search(name)
    ]
    plus = max((volts for volts, name in ends if not name.startswith(("-", "\u2212"))), default=0.0)
    minus = max((volts for volts, name in ends if name.startswith(("-", "\u2212", "±"))), default=0.0)
    if plus + minus > MOST_DC and max(plus, minus) <= MOST_DC:
        what = f"{plus + minus:g} V between the supply rails"
        yield Sign(hazard=HIGH_VOLTAGE, what=what)


def _expected(kit: Kit) -> Iterator[Sign]:
    """Readings and targets that the kit itself states."""
    said = [(check.where, check.expect, check.line) for point in kit.hold_points for check in point.checks]
    said += [(trim.name, trim.target, trim.line) for trim in kit.trims]
    for where, expect, line in said:
        if max(volts_in(expect), default=0.0) > most_of(expect if IS_AC.search(expect) else f"+{expect}"):
            yield Sign(hazard=HIGH_VOLTAGE, what=f"{where}: {expect} expected", line=line)


_RUNS_ON_MAINS = re.compile(
    r"\bplug(?:s|ged) (?:straight |directly )?into (?:the |a )?(?:wall|mains|socket|outlet)\b|"
    r"\b(?:runs?|works?|fed|powered|operated) (?:straight |directly )?(?:from|on|off|by) (?:the )?mains\b|"
    r"\bmains[ -](?:powered|operated|fed)\b",
    re.IGNORECASE,
)
_ASIDE = re.compile(
    r"\b(?:ranges?|rated?|stands?|CAT|insulat\w*|isolat\w*|contacts?|tested|not|never|no|without|instead|unlike|"
    r"hum|noise|types?|old|originals?)\b",
    re.IGNORECASE,
)
"""A sentence with one of these speaks of something else than what is in the kit."""


def _told(kit: Kit) -> Iterator[Sign]:
    """What the kit tells of itself in sentences."""
    texts = [(text, 0) for text in (kit.about, kit.scenario, *kit.notes, *kit.errata)]
    texts += [(check.how, check.line) for point in kit.hold_points for check in point.checks]
    texts += [(trim.how, trim.line) for trim in kit.trims]
    for text, line in texts:
        for sentence in re.split(r"[.;!?](?:\s|$)|\n", text):
            if _ASIDE.search(sentence) or ADAPTER.search(sentence):
                continue
            most = max(volts_in(sentence), default=0.0)
            hazard = MAINS if _RUNS_ON_MAINS.search(sentence) or is_mains(most) else HIGH_VOLTAGE
            if hazard == MAINS or most > MOST_DC:
                yield Sign(hazard=hazard, what=f'"{cut(sentence.strip())}"', line=line, certain=False)


def _charge_unknown(kit: Kit) -> bool:
    """Whether a stated stored charge may be a deadly one: not when each larger capacitor is rated too low."""
    rated = [
        rating(part, part.value)
        for board in kit.boards
        for part in board.parts
        if part.kind in marked_by("microfarads")
    ]
    return not rated or any(volts == 0 or volts > CHARGED_FROM for volts in rated)
