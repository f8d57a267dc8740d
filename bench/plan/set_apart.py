"""Look-alikes in a plan: each step knows what its parts can be mistaken for, and such steps are set apart.

Only steps on the same board count, and only pairs that `parts.lookalikes` ranks as at least possible.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from itertools import groupby

from msgspec.structs import replace

from bench.parts.designators import natural_key, shorten
from bench.parts.english import counted
from bench.parts.kinds import with_role
from bench.parts.lookalikes import LIKELY, POSSIBLE, LookAlike, LookalikePart, find_lookalikes
from bench.plan.placed_part import PlacedPart
from bench.plan.plan import Alike, Stage, Step

_PLACING = ("solder", "place", "insert")
_SOCKETS = (*with_role("socket"), "pin socket")


def with_alikes(stages: Sequence[tuple[Stage, Sequence[str]]]) -> list[Stage]:
    """The stages with look-alikes noted on their steps, worst first, and set apart where that is free.

    Each stage comes with what it orders its steps by.

    The order is free among steps of one kind that sit alike, where the stage orders by value: neighbours
    that can be mistaken for one another are moved apart as far as there are other values between them.
    """
    steps = [
        step for stage, _ in stages for step in stage.steps
        if step.action in _PLACING and step.kind and step.kind not in _SOCKETS
    ]  # fmt: skip
    parts = [
        LookalikePart(
            board=step.board, value=step.value, kind=step.kind, tolerance=step.tolerance,
            marking=step.marking, package=step.package,
        )
        for step in steps
    ]  # fmt: skip
    steps_of = {id(part): step for part, step in zip(parts, steps, strict=True)}
    found: dict[str, dict[tuple[str, str], Alike]] = defaultdict(dict)
    for pair in find_lookalikes(parts, on_one_board=True):
        other_kind = pair.a.kind != pair.b.kind
        if pair.rank > POSSIBLE and not other_kind:
            continue
        here, other = steps_of[id(pair.a)], steps_of[id(pair.b)]
        if here.value != other.value or other_kind:
            _add(found[here.key], other, pair)
            _add(found[other.key], here, pair)
    noted: list[Stage] = []
    for stage, order in stages:
        marked = tuple(_noted(step, found[step.key].values()) for step in stage.steps)
        free = "value" in order and not {"designator", "section"} & set(order)
        noted.append(replace(stage, steps=_set_apart(marked) if free else marked))
    return noted


def values_of(parts: Sequence[PlacedPart]) -> tuple[str, ...]:
    """Each value with its designators, in their order; with its kind where there are several."""
    found: dict[tuple[str, str], list[str]] = {}
    for part in sorted(parts, key=_first_ref):
        if not part.is_socket:
            found.setdefault((part.value, part.kind), []).extend(part.line.refs)
    several = len({kind for _, kind in found}) > 1
    return tuple(
        f"{value} {shorten(refs)}{f' ({kind})' if several else ''}".strip()
        for (value, kind), refs in found.items()
    )


def mixed_up(parts: Sequence[PlacedPart]) -> tuple[str, ...]:
    """Pairs of values of these parts that are easily mistaken for one another, the worst first."""
    known = [
        LookalikePart(
            board=part.board, value=part.value, kind=part.kind,
            tolerance=part.line.tolerance, marking=part.line.marking, package=part.line.package,
        )
        for part in sorted(parts, key=_first_ref)
    ]  # fmt: skip
    pairs = [pair for pair in find_lookalikes(known) if pair.rank <= LIKELY and pair.a.value != pair.b.value]
    said = tuple(dict.fromkeys(f"{pair.a.value} and {pair.b.value}" for pair in pairs))
    more = len(said) - _PAIRS_MOST
    return said if more <= 0 else (*said[:_PAIRS_MOST], counted(more, "more pair"))


def _first_ref(part: PlacedPart) -> tuple[object, ...]:
    return natural_key(min(part.line.refs, key=natural_key, default=part.value))


_PAIRS_MOST = 6
"""Pairs that are named before the first joint; each step names its own later."""


def _add(alikes: dict[tuple[str, str], Alike], other: Step, pair: LookAlike) -> None:
    known = alikes.get((other.value, other.kind))
    alikes[other.value, other.kind] = Alike(
        value=other.value,
        refs=tuple(dict.fromkeys((*(known.refs if known else ()), *other.refs))),
        kind=other.kind,
        reason=pair.reason,
        rank=min(pair.rank, POSSIBLE),
    )


def _noted(step: Step, alikes: Iterable[Alike]) -> Step:
    ordered = tuple(sorted(alikes, key=lambda each: each.rank))
    return replace(step, alike=ordered) if ordered else step


def _set_apart(steps: Sequence[Step]) -> tuple[Step, ...]:
    out: list[Step] = []
    for _, run in groupby(
        steps, key=lambda step: (step.board, step.side, step.action, step.kind, step.mount, step.joined)
    ):
        steps_of_run = list(run)
        out.extend(steps_of_run if steps_of_run[0].joined else apart(steps_of_run))
    return tuple(out)


def apart(run: list[Step]) -> list[Step]:
    """The steps of a run, each value in one block, neighbours unlike one another as far as possible.

    The first block that is unlike the last one placed comes next, so the order by value is kept where it
    does no harm; when some block is like most of what is left, the one with most likenesses goes first, while
    there is choice. Blocks left over at the end are put where they do least harm.
    """
    blocks = [list(block) for _, block in groupby(run, key=lambda step: step.value)]
    if len(blocks) < 3:
        return run
    like = _likenesses(blocks)
    if not any(like):
        return run
    left = list(range(1, len(blocks)))
    degree = {here: len(like[here] - {0}) for here in left}
    placed = [0]
    while left:
        fitting = [here for here in left if here not in like[placed[-1]]]
        if not fitting:
            break
        crowded = 2 * max(map(degree.__getitem__, left)) >= len(left)
        chosen = max(fitting, key=degree.__getitem__) if crowded else fitting[0]
        placed.append(chosen)
        left.remove(chosen)
        for there in like[chosen]:
            if there in degree:
                degree[there] -= 1
    for here in left:
        placed.insert(_best_gap(placed, like[here], like), here)
    return [step for here in placed for step in blocks[here]]


def _likenesses(blocks: Sequence[list[Step]]) -> list[frozenset[int]]:
    """For each block the numbers of the blocks whose parts can be mistaken for its own."""
    numbers: dict[tuple[str, str], list[int]] = defaultdict(list)
    for number, block in enumerate(blocks):
        numbers[block[0].value, block[0].kind].append(number)
    like: list[set[int]] = [set() for _ in blocks]
    for number, block in enumerate(blocks):
        for each in block[0].alike:
            for other in numbers.get((each.value, each.kind), ()):
                like[number].add(other)
                like[other].add(number)
    return [frozenset(others - {number}) for number, others in enumerate(like)]


def _best_gap(placed: Sequence[int], own: frozenset[int], like: Sequence[frozenset[int]]) -> int:
    """Where among the blocks placed one more does least harm; `own` are those it is like."""

    def harm(gap: int) -> tuple[int, int]:
        before = gap > 0 and placed[gap - 1] in own
        after = gap < len(placed) and placed[gap] in own
        mended = 0 < gap < len(placed) and placed[gap] in like[placed[gap - 1]]
        return (before + after - mended, -gap)

    return min(range(len(placed) + 1), key=harm)


def alike(step: Step, other: Step) -> bool:
    """True when the parts of one step can be mistaken for those of the other."""
    return any((each.value, each.kind) == (other.value, other.kind) for each in step.alike)
