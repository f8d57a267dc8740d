"""Which way round the part in hand goes, and what to mind with it."""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet
from functools import lru_cache

from bench.parts.kinds import KINDS
from bench.parts.type_numbers import TypeFacts, facts, leg_words

NOT_ALL = (
    "These cautions are the usual ones and not a complete list: the maker's guide, the data sheets and your "
    "local regulations come first."
)
"""Said once wherever cautions begin."""
_INSULATE = "insulate it from heatsink and case, then check with the meter."
_SAFE_TABS = ("ground", "insulated")


@lru_cache(maxsize=4096)
def way_round(kind: str, value: str = "", traits: AbstractSet[str] = frozenset()) -> str:
    """Say which way round a part goes; empty when it goes in either way.

    `traits` are those of `traits.traits_of`, `kind` is a name of `kinds.KINDS`.

    >>> way_round("voltage regulator", "78L05", frozenset({"small"}))
    'Flat side as printed on the board. Legs, print towards you: output, ground, input.'
    """
    entry = KINDS[kind]
    way = next((each.say for each in entry.ways if each.holds(traits)), entry.orientation)
    known = facts(value) if traits & {"small", "tab", "tab-pad"} else None
    if not known or not way:
        return way
    legs = f" Legs, print towards you: {', '.join(words)}." if (words := leg_words(known)) else ""
    tab = f" Tab: {known.tab}." if known.tab and "small" not in traits else ""
    return f"{way}{legs}{tab}"


@lru_cache(maxsize=4096)
def cautions_about(kind: str, value: str = "", traits: AbstractSet[str] = frozenset()) -> tuple[str, ...]:
    """List what usually goes wrong with such a part: first what is true of it alone, then of its kind.

    >>> cautions_about("diode", "1N4007", frozenset({"flat"}))
    ('Bend the legs away from the body, not at it.',)
    """
    entry = KINDS[kind]
    own = tuple(each.say for each in entry.sometimes if each.holds(traits))
    return (*_tab(kind, value, traits), *own, *entry.cautions)


def instead_of(listed: str, kind: str, value: str) -> tuple[str, ...]:
    """List what to mind when a part of another type replaces the listed one; empty when nothing.

    >>> instead_of("2N3904", "transistor", "BC550C")
    ('Different pin order: BC550 is collector, base, emitter; 2N3904 is emitter, base, collector.',)
    """
    old, new = facts(listed), facts(value)
    if not old or not new or old.base == new.base:
        return ()
    said = []
    if old.legs and new.legs and leg_words(old) != leg_words(new):
        said.append(
            f"Different pin order: {new.base} is {', '.join(leg_words(new))}; "
            f"{old.base} is {', '.join(leg_words(old))}."
        )
    if new.tab and old.tab and new.tab != old.tab:
        said.append(f"Different tab: {new.tab} on the {new.base}, {old.tab} on the {old.base}.")
    if old.role != new.role:
        said.append(f"{new.base} is {_a(new)}, {old.base} is {_a(old)}.")
    return tuple(said)


def _a(known: TypeFacts) -> str:
    return f"{'an' if re.match('[AEIOaeio]|NPN|N-', known.role) else 'a'} {known.role}"


def _tab(kind: str, value: str, traits: AbstractSet[str]) -> tuple[str, ...]:
    body = "tab" if "tab" in traits else "case" if "can" in traits else ""
    if not body:
        return ()
    known = facts(value)
    if known and known.tab:
        if known.tab in _SAFE_TABS:
            return ()
        return (f"The {body} of the {known.base} is its {known.tab}: {_INSULATE}",)
    usual = KINDS[kind].tab
    return (f"Its {body} is usually the {usual}: {_INSULATE}",) if usual else ()
