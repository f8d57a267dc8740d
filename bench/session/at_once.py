"""Tasks that one press ticks: neighbours that nobody can be hurt by and nothing turns on; pure.

Never among them: a part, a reading, a hazard, what the kit's author wrote, a task that takes a wait or power,
and a task that is held back. At hold points only checks by eye are ticked together.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from bench.log.progress import Progress
from bench.plan.cautions import ALWAYS, cautions_of, sort_of
from bench.plan.plan import Step

_WAY = re.compile(r"\bstripes?\b|\bnotch|\bflat side|\bband\b|\bdot\b|way round|\bprint\b", re.IGNORECASE)
_ALONE = re.compile(
    r"\bsolvent\b|\b(?:connect|apply|plug|switch|turn)\w*\b[^.]*\b(?:supply|power|batter|mains|on\b)"
    r"|\bmin(?:utes?)?\b|\bhours?\b|\bover ?night\b|\bdr(?:y|ies)\b",
    re.IGNORECASE,
)
"""What takes a solvent, power or a wait."""
MOST, MOST_BY_EYE = 4, 12
"""Tasks, and checks by eye at a hold point, ticked by one press."""


@lru_cache(maxsize=512)
def harmless(step: Step) -> bool:
    """Whether a task or a check by eye may be ticked by one press with its neighbour.

    >>> task = Step(key="a", stage="s", board="", action="do", value="Get the tools ready", items=("a",))
    >>> harmless(task)
    True
    """
    said = f"{step.value} {step.detail}"
    return (
        step.action in ("do", "check")
        and not (step.kind or step.own or step.expect)
        and not any(each.sort in ALWAYS for each in cautions_of(step))
        and sort_of(said, "stage") != "hazard"
        and not _ALONE.search(said)
    )


def to_be_read(steps: Sequence[Step]) -> bool:
    """Whether every line is to be seen before tasks are ticked together: checks, and which way round."""
    said = " ".join(f"{step.value} {step.detail}" for step in steps)
    way = _WAY.search(said) or sort_of(said, "stage") != "stage"
    return bool(way) or any(step.action == "check" for step in steps)


def ticked_with(
    plan_steps: tuple[Step, ...], hold: bool, progress: Progress, held: frozenset[str], position: int
) -> tuple[Step, ...]:
    """The tasks that the press for the step at `position` ticks as well; `hold`: its stage is a hold point.

    These are neighbours in the stages of one name, on one board or on several.
    """
    first, found = plan_steps[position], list[Step]()
    by_eye = hold and first.action == "check"
    if (hold and not by_eye) or first.items[0] in progress.reopened or not harmless(first):
        return ()
    for step in plan_steps[position + 1 : position + (MOST_BY_EYE if by_eye else MOST)]:
        taken = any(item in progress.done or item in held or item in progress.reopened for item in step.items)
        if taken or (step.stage, step.action) != (first.stage, first.action) or not harmless(step):
            break
        found.append(step)
    return tuple(found)
