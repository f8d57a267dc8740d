"""Steps that place no part: tasks, checks and adjustments."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import structs

from bench.kit.kit import Trim
from bench.plan.cautions import sorts_of
from bench.plan.default_checks import how_to_trim
from bench.plan.grouping import unique
from bench.plan.plan import Step


def side_step(
    stage: str,
    board: str,
    action: str,
    headline: str,
    *,
    detail: str = "",
    expect: str = "",
    cautions: Sequence[str] = (),
    refs: tuple[str, ...] = (),
    line: int = 0,
    own: bool = False,
) -> Step:
    """A step with one item, named by board, stage and headline; `own` as in `Step`."""
    item = f"{board}/!{stage}!{headline}"
    return Step(
        key=item,
        stage=stage,
        board=board,
        action=action,
        value=headline,
        refs=refs,
        items=(item,),
        cautions=(said := unique(cautions)),
        caution_sorts=sorts_of(said),
        detail=detail,
        expect=expect,
        line=line,
        own=own,
    )


def trim_step(stage: str, trim: Trim, cautions: Sequence[str], *, hands_off: bool = False) -> Step:
    """The step for one adjustment; `hands_off` as for `how_to_trim`."""
    refs = (trim.trimmer,) if trim.trimmer else ()
    return side_step(
        stage,
        "",
        "adjust",
        trim.name,
        detail=how_to_trim(trim, hands_off=hands_off),
        expect=trim.target,
        cautions=cautions,
        refs=refs,
        line=trim.line,
    )


def told_apart(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps of a stage, the second of two with one headline renamed: each has items of its own."""
    seen: dict[str, int] = {}
    found = []
    for step in steps:
        times = seen[step.key] = seen.get(step.key, 0) + 1
        if times > 1:
            key = f"{step.key} ({times})"
            step = structs.replace(step, key=key, items=(key,), value=f"{step.value} ({times})")
        found.append(step)
    return tuple(found)
