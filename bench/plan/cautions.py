"""What a caution is about, and which cautions a builder need not read again; pure.

A hazard, which way round, what the kit's author wrote and what concerns this part alone are said at every
step that they belong to. What goes for every part of a type or kind is said at the first of them, what goes for
every step of a stage at the first on each board; the later ones keep it one key away.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Sequence
from functools import lru_cache

from msgspec import Struct, structs

from bench.parts.kinds import KINDS, said_of_kind
from bench.plan.plan import Stage, Step
from bench.plan.rules import Procedure

SORTS = ("polarity", "own", "part", "hazard", "type", "kind", "stage")
"""In the order in which a card says them: which way round, or a supply that is turned round by it; what the
kit's author wrote; what follows from this part, its value or its look-alikes; what can hurt or burn; what goes
for every part of its type, such as a pin order; for every part of its kind; for every step of its stage."""
ALWAYS = frozenset(SORTS[:4])
"""Sorts that are said at every step."""

_HAZARD = re.compile(
    r"\bkills?\b(?! the module)|deadly|lethal|\bmains\b|high voltage|licen[sc]"
    r"|local (?:rules|regulations|codes)"
    r"|warns of|(?<!not )\bcharged?\b|discharge|\bbursts?\b|explo[ds]|implod|\bfire\b|\bburns?\b"
    r"|electric shock|\blive\b"
    r"|(?:^|[.:;] )off\b|\bat 0 V\b|power (?:first )?comes on|phones off|never bridge|\bneon\b"
    r"|power (?:is )?off|switch(?:ed)? off|\boff first\b|unplug|never a bigger|\bbatter(?:y|ies)\b|\bcells?\b",
    re.IGNORECASE,
)
_POLARITY = re.compile(
    r"backwards|\brevers|wrong way round|polarity|\bminus\b|\bplus\b|\+ leg|cathode|anode|\bpin 1\b"
    r"|\bits input\b|\bis \+|ordinary electrolytic",
    re.IGNORECASE,
)
_TYPE = re.compile(r"pin ?out|pin order|\bthe type\b", re.IGNORECASE)


class Caution(Struct, frozen=True, kw_only=True):
    """One caution of a step."""

    say: str
    sort: str
    """One of `SORTS`."""


@lru_cache(maxsize=4096)
def sort_of(said: str, otherwise: str) -> str:
    """The sort of a caution of a procedure or of a kind, by its words; `otherwise` where they name no harm.

    A word too many only means that a caution stays on the card.

    >>> sort_of("Reversed, it can burst.", "kind"), sort_of("The stripe is the minus.", "kind")
    ('hazard', 'polarity')
    >>> sort_of("Touch earthed metal first.", "kind")
    'kind'
    """
    if _HAZARD.search(said):
        return "hazard"
    if _POLARITY.search(said):
        return "polarity"
    return "type" if otherwise == "kind" and _TYPE.search(said) else otherwise


def sorts_of(
    cautions: Sequence[str], own: Collection[str] = (), part: Collection[str] = (), kind: str = ""
) -> tuple[str, ...]:
    """The sort of each caution of a step; `own` are the kit author's, `part` those about this part alone."""
    usual = said_of_kind(kind) if kind in KINDS else frozenset()
    known = {said: sort for sort, texts in (("part", part), ("own", own)) for said in texts}
    return tuple(known.get(said) or sort_of(said, "kind" if said in usual else "stage") for said in cautions)


def never_dropped(procedure: Procedure, hazards: Collection[str]) -> frozenset[str]:
    """The cautions of a procedure that are said at every step, whatever their words.

    These are those of a kit's `hazards`, those marked `always`, those that depend on what can kill, and those
    of hold points and of stages in which parts go into a module that has had power.
    """
    found = set(hazards)
    for rule in procedure.stages:
        live = bool(rule.hold) or rule.action == "insert"
        found.update(each.say for each in rule.cautions if live or each.always or each.can_kill is not None)
    return frozenset(found)


def with_hazards(stage: Stage, hazards: Collection[str]) -> Stage:
    """The stage with these texts sorted as hazards, but for the author's own and what a part alone wants."""
    if not any(said in hazards for step in stage.steps for said in step.cautions):
        return stage

    def sorts(step: Step) -> tuple[str, ...]:
        pairs = zip(step.cautions, step.caution_sorts, strict=True)
        return tuple("hazard" if said in hazards and sort not in ALWAYS else sort for said, sort in pairs)

    steps = [structs.replace(step, caution_sorts=sorts(step)) for step in stage.steps]
    return structs.replace(stage, steps=tuple(steps))


def cautions_of(step: Step) -> tuple[Caution, ...]:
    """The cautions of a step, in the order of `SORTS`."""
    sorts = step.caution_sorts or sorts_of(step.cautions, kind=step.kind)
    found = [Caution(say=say, sort=sort) for say, sort in zip(step.cautions, sorts, strict=True)]
    return tuple(sorted(found, key=lambda each: SORTS.index(each.sort)))


class FirstOfKind:
    """Which steps of a plan carry the same usual caution; made once for each plan."""

    def __init__(self, steps: Sequence[Step]) -> None:
        self._steps = steps
        self._cautions = tuple(cautions_of(step) for step in steps)
        self._carriers: dict[tuple[str, ...], list[int]] = {}
        for position, step in enumerate(steps):
            for each in self._cautions[position]:
                if each.sort not in ALWAYS:
                    self._carriers.setdefault(_subject(step, each), []).append(position)

    def split(
        self, position: int, said_before: Callable[[int], bool]
    ) -> tuple[tuple[Caution, ...], tuple[Caution, ...]]:
        """The cautions to say at a step, and those that an earlier step has said.

        `said_before` tells of the position of another step whether it was on the bench before this one.
        """
        to_say: list[Caution] = []
        said: list[Caution] = []
        step = self._steps[position]
        for each in self._cautions[position]:
            again = each.sort not in ALWAYS and any(
                said_before(other) for other in self._carriers[_subject(step, each)] if other != position
            )
            (said if again else to_say).append(each)
        return tuple(to_say), tuple(said)


def _subject(step: Step, caution: Caution) -> tuple[str, ...]:
    """What a usual caution is said once for: a board, a type of part, or the whole build."""
    match caution.sort:
        case "type":
            return (caution.say, step.kind, step.value.casefold())
        case "stage":
            return (caution.say, step.board)
        case _:
            return (caution.say,)
