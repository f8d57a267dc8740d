"""What a suspicion is, and the order in which suspicions are looked into. Pure.

The order is common practice among builders, no source: what is cheap to look at and often wrong comes first,
an IC last of all.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct, structs

from bench.suspects.proximity import BEFORE, HERE, NearPart, Proximity, place_words
from bench.suspects.symptom import one_line

GROUPS = (
    "power", "joints", "left open", "path", "values", "polarity", "pinout", "seating", "valves", "fittings",
    "adjustment", "warmth", "documents", "ICs",
)  # fmt: skip
"""What can be wrong, in the order of looking where the complaint says nothing else (see `complaint`)."""
POWER = {"off": "power off", "on": "power on", "limited": "limited", "": ""}
"""How the supply has to be while looking, as it is said; empty for a kit that takes no power."""
_SAYS_OFF = re.compile(r"\b(?:off|out|dead|disconnected)\b")
LONGEST_QUOTE = 60
"""Characters of a person's words in a headline."""


class Suspicion(Struct, frozen=True, kw_only=True):
    """One thing to look into."""

    what: str
    """A headline, unique in its list; the log knows the suspicion by it."""
    group: str
    """One of `GROUPS`."""
    why: str
    """What speaks for it, in a sentence or two."""
    how: str
    """How to look, in a sentence or a few."""
    where: str = ""
    """Boards and designators, in words; empty for the module as a whole."""
    parts: tuple[tuple[str, str], ...] = ()
    """Board and designator of each part it names; all of them are parts of the kit."""
    power: str = "off"
    """How the supply has to be while looking, one of `POWER`."""
    own: bool = False
    """True when this build's own log points to it."""
    snag: int = 0
    """Number of the open snag that it is, 0 for none."""
    nearness: int = HERE
    """How near the nearest of its parts is; see `proximity`."""


def suspicion(
    proximity: Proximity, group: str, what: str, why: str, how: str, parts: Iterable[NearPart] = (), *,
    board: str = "", own: bool = False, snag: int = 0, power: str = "off",
) -> Suspicion:  # fmt: skip
    """A suspicion with its place in words and its nearness.

    `board` says how near it is when no part does; the place in words is that of the parts.
    """
    named = tuple(parts)
    nearness = min(map(proximity.nearness, named), default=proximity.board_nearness(board))
    return Suspicion(
        what=one_line(what),
        group=group,
        why=one_line(why),
        how=one_line(how),
        where=place_words(named, proximity.kit),
        parts=tuple((part.board, part.ref) for part in named),
        power="" if proximity.kit.passive else power,
        own=own,
        snag=snag,
        nearness=nearness,
    )


def in_order(found: Iterable[Suspicion], groups: Sequence[str] = GROUPS) -> tuple[Suspicion, ...]:
    """The order of looking, with headlines made unique.

    Group by group, in the order of `groups`; in each group first what this build's log says near the symptom,
    then what is usual, then what the log says of elsewhere.
    """
    ranked = sorted(found, key=lambda each: (groups.index(each.group), _turn(each)))
    seen: dict[str, int] = {}
    ordered = []
    for each in ranked:
        times = seen[each.what] = seen.get(each.what, 0) + 1
        ordered.append(structs.replace(each, what=f"{each.what} ({times})") if times > 1 else each)
    return tuple(ordered)


def _turn(each: Suspicion) -> tuple[int, int]:
    if not each.own:
        return (2, each.nearness) if each.group == "documents" and each.nearness > BEFORE else (1, 0)
    return (0, each.nearness) if each.nearness <= BEFORE else (2, each.nearness)


def how_to_look(each: Suspicion) -> str:
    """How to look, with how the supply has to be in front where the first sentence does not say so itself."""
    opening = each.how.partition(". ")[0]
    if (
        not each.power
        or each.group == "documents"
        or (each.power == "off" and _SAYS_OFF.search(opening))
        or each.power == "limited"
    ):
        return each.how
    return f"{POWER[each.power].capitalize()}. {each.how}"


def quote(text: str) -> str:
    """A person's words in a headline: on one line, in quotation marks, not too long.

    >>> quote('it says "no"')
    '"it says \\'no\\'"'
    """
    flat = one_line(text).replace('"', "'")
    return f'"{flat[: LONGEST_QUOTE - 1]}…"' if len(flat) > LONGEST_QUOTE else f'"{flat}"'


def sentence(text: str) -> str:
    """The text on one line with a full stop."""
    flat = one_line(text)
    return flat if not flat or flat.endswith((".", "!", "?", "…")) else f"{flat}."
