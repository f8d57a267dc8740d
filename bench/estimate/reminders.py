"""What the builder's own snags say at the moment a part of that kind goes in; pure, and silent without enough.

A line is spoken only when snags of a kind come more often among the latest than its share of all joints would
bring by chance.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

from bench.estimate.observations import BuildDone, SnagDone
from bench.parts.kinds import KINDS, in_family

ENOUGH_SNAGS = 5
"""With fewer snags in all, nothing is said."""
WINDOWS = (5, 10, 20)
"""So many latest snags are looked at."""
BY_CHANCE = 0.1
"""A line is spoken when chance alone would bring as many less often than this."""

_MANNERS = (
    (r"wrong way|way round|revers|backward|polarity|turned round|upside", "the wrong way round"),
    (r"bridge|short", "bridged"),
    (
        r"cold|dry joint|no solder|not soldered|forgot|poor joint|bad joint|open joint",
        "with a poor or forgotten joint",
    ),
    (r"wrong value|mixed up|swapped|wrong part|instead of|wrong place", "mixed up"),
)


def family_of(kind: str) -> str:
    """What a builder calls the kinds that go together.

    >>> family_of("Zener diode"), family_of("crystal")
    ('diodes', 'crystals')
    """
    return KINDS[kind].family if kind in KINDS else f"{kind}s"


def reminders(builds: Sequence[BuildDone]) -> dict[str, str]:
    """Kind of part -> what the record says of it, for the kinds that it has something to say of."""
    snags = sorted((snag for build in builds for snag in build.snags if snag.kind), key=lambda each: each.at)
    if len(snags) < ENOUGH_SNAGS:
        return {}
    joints: dict[str, int] = {}
    kinds = {snag.kind for snag in snags}
    for build in builds:
        for kind in build.kinds:
            kinds.add(kind.kind)
            family = family_of(kind.kind)
            joints[family] = joints.get(family, 0) + kind.joints
    total = sum(joints.values())
    found: dict[str, str] = {}
    for family in {family_of(snag.kind) for snag in snags}:
        share = joints.get(family, 0) / total if total else 1.0
        line = _line(family, snags, share)
        if line:
            members = set(in_family(family)) | {kind for kind in kinds if family_of(kind) == family}
            found |= dict.fromkeys(members, line)
    return found


def _line(family: str, snags: Sequence[SnagDone], share: float) -> str:
    best, words = BY_CHANCE, ""
    for window in WINDOWS:
        latest = snags[-window:]
        those = [snag for snag in latest if family_of(snag.kind) == family]
        if len(latest) < window or len(those) < 2:
            continue
        chance = at_least(len(those), window, share)
        if chance < best:
            best = chance
            words = f"{len(those)} of your last {window} snags were {family}{_manner(those)}"
    return words


def _manner(snags: Sequence[SnagDone]) -> str:
    """How it went wrong, where that was the same each time."""
    for pattern, words in _MANNERS:
        if all(re.search(pattern, snag.what, re.IGNORECASE) for snag in snags):
            return f" {words}"
    return ""


def manner_of(what: str) -> str:
    """How something went wrong, in few words; empty where it is none of the ways that are known.

    >>> manner_of("solder bridge at U1"), manner_of("lost it")
    ('bridged', '')
    """
    return next((words for pattern, words in _MANNERS if re.search(pattern, what, re.IGNORECASE)), "")


def at_least(successes: int, trials: int, chance: float) -> float:
    """How likely so many or more successes are (binomial).

    >>> round(at_least(2, 5, 0.1), 5)
    0.08146
    """
    return math.fsum(
        math.comb(trials, n) * chance**n * (1 - chance) ** (trials - n) for n in range(successes, trials + 1)
    )
