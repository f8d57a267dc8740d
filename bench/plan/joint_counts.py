"""After which stages joints are counted, and of which stages together; pure.

A count tells something where enough joints wait for it, or before they go out of sight: small stages of a board
are counted with those after them, and nothing is left uncounted before a hold point.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from bench.plan.plan import Stage

ENOUGH = 60
"""Joints that are counted as soon as so many wait: more of them are miscounted (common practice, no source)."""
LEAST = 12
"""Fewer wait for the next stages, where there are some before a hold point."""


def counted_together(stages: Sequence[Stage]) -> Mapping[tuple[str, str], tuple[Stage, ...]]:
    """The stages after which joints are counted, each with those whose joints are counted then, itself last.

    Stages of one board are counted together, those of the module with all that wait.
    """
    found: dict[tuple[str, str], tuple[Stage, ...]] = {}
    waiting: dict[str, list[Stage]] = {}

    def count(board: str) -> None:
        if group := waiting.pop(board, []):
            found[group[-1].key] = tuple(group)

    for stage in stages:
        if stage.hold:
            for board in list(waiting):
                count(board)
        elif stage.count_joints and stage.joints:
            if stage.board:
                waiting.setdefault(stage.board, []).append(stage)
            else:
                waiting[""] = [each for group in waiting.values() for each in group] + [stage]
                for board in [each for each in waiting if each]:
                    del waiting[board]
            if _joints(waiting[stage.board]) >= ENOUGH:
                count(stage.board)
        else:
            for board in [each for each in waiting if not stage.board or each in ("", stage.board)]:
                if _joints(waiting[board]) >= LEAST:
                    count(board)
    for board in list(waiting):
        count(board)
    return found


def _joints(stages: Sequence[Stage]) -> int:
    return sum(stage.joints for stage in stages)


def counted_with(stages: Sequence[Stage], places: Collection[tuple[str, str]]) -> frozenset[tuple[str, str]]:
    """All stages whose joints are counted, once they were after those named by their keys."""
    groups = counted_together(stages)
    return frozenset(stage.key for place in places for stage in groups.get(place, ())).union(places)
