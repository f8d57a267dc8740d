"""Tasks that one press ticks: neighbours that nobody can be hurt by and nothing turns on; pure.

Never among them: a hold point, a part, a check, a hazard, which way round something goes, what the kit's author
wrote, a task that takes a wait, and a task that is held back.
"""

from __future__ import annotations

import re
from functools import lru_cache

from bench.log.progress import Progress
from bench.plan.cautions import ALWAYS, cautions_of, sort_of
from bench.plan.plan import Step

_WAY = re.compile(
    r"\bstripes?\b|\bnotch|\bflat side|\bband\b|\bdot\b|way round|\bsolvent\b"
    r"|\b(?:connect|apply|plug|switch|turn)\w*\b[^.]*\b(?:supply|power|batter|mains|on\b)",
    re.IGNORECASE,
)
_WAIT = re.compile(r"\bmin(?:utes?)?\b|\bhours?\b|\bover ?night\b|\bdr(?:y|ies)\b", re.IGNORECASE)
MOST = 4
"""Tasks ticked by one press."""


@lru_cache(maxsize=512)
def harmless(step: Step) -> bool:
    """Whether a task may be ticked by one press with its neighbour.

    >>> task = Step(key="a", stage="s", board="", action="do", value="Get the tools ready", items=("a",))
    >>> harmless(task)
    True
    """
    said = f"{step.value} {step.detail}"
    return (
        step.action == "do"
        and not (step.kind or step.own or step.expect)
        and not any(each.sort in ALWAYS for each in cautions_of(step))
        and sort_of(said, "stage") == "stage"
        and not _WAY.search(said)
        and not _WAIT.search(said)
    )


def ticked_with(
    plan_steps: tuple[Step, ...], hold: bool, progress: Progress, held: frozenset[str], position: int
) -> tuple[Step, ...]:
    """The tasks that the press for the step at `position` ticks as well; `hold`: its stage is a hold point.

    These are neighbours in the stages of one name, on one board or on several.
    """
    first, found = plan_steps[position], list[Step]()
    if hold or first.items[0] in progress.reopened or not harmless(first):
        return ()
    for step in plan_steps[position + 1 : position + MOST]:
        taken = any(item in progress.done or item in held or item in progress.reopened for item in step.items)
        if taken or step.stage != first.stage or not harmless(step):
            break
        found.append(step)
    return tuple(found)
