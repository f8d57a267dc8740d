"""Positions in a plan: each step knows its zones, and the hand moves little from part to part. Pure.

What a stage orders its steps by stays above this, and look-alikes stay apart: only steps of equal rank change
places, and the designators within a step.
"""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Mapping, Sequence
from itertools import groupby, pairwise

from msgspec import Struct
from msgspec.structs import replace

from bench.kit.kit import Kit
from bench.plan.path import Point, length, short_path
from bench.plan.plan import Stage, Step, part_of
from bench.plan.set_apart import alike
from bench.plan.zones import grid_of, spots_of


class Spots(Struct, frozen=True, kw_only=True):
    """Where the parts of a kit sit, by item: `BOARD/REF`."""

    places: Mapping[str, Point]
    """In mm, seen from the front."""
    zones: Mapping[str, str]
    sides: Mapping[str, str]
    """Only of parts whose side the kit gives."""


_Block = tuple[Step, ...]
"""All portions of one value."""


def spots_in(kit: Kit) -> Spots:
    """Where the parts of a kit sit."""
    places: dict[str, Point] = {}
    zones: dict[str, str] = {}
    sides: dict[str, str] = {}
    for board in kit.boards:
        for part in board.parts:
            if part.sides:
                sides.update(
                    (f"{board.name}/{ref}", side) for ref, side in zip(part.refs, part.sides, strict=True)
                )
        if grid := grid_of(board):
            for spot in spots_of(board):
                item = f"{board.name}/{spot.ref}"
                places[item] = spot.x, spot.y
                zones[item] = grid.zone_at(spot.x, spot.y)
    return Spots(places=places, zones=zones, sides=sides)


def with_zones(steps: Iterable[Step], spots: Spots) -> tuple[Step, ...]:
    """The steps with the zones of their designators and their side of the board."""
    if not (spots.zones or spots.sides):
        return tuple(steps)
    return tuple(_with_zones(step, spots) for step in steps)


def in_short_hops(stage: Stage, spots: Spots, ranks: Mapping[str, Hashable]) -> Stage:
    """The stage with steps of equal rank, and their designators, in short hops; ranks by a step's key.

    Steps without a rank stay where they are, in their own order.
    """
    if not spots.places:
        return stage
    steps: list[Step] = []
    for rank, run in groupby(stage.steps, key=lambda step: ranks.get(step.key)):
        if rank is None:
            steps += run
            continue
        blocks = _blocks(run)
        for block in _chained(blocks, spots, _hand(steps, blocks[0][0], spots)):
            for step in _from_near_end(block, spots, _hand(steps, block[0], spots)):
                steps.append(_hopped(step, spots, _hand(steps, step, spots)))
    return replace(stage, steps=tuple(steps))


def _with_zones(step: Step, spots: Spots) -> Step:
    if step.action == "adjust":
        items = [item for ref in step.refs for item in spots.places if item.endswith(f"/{ref}")]
        items = items if len(items) == len(step.refs) else []
    else:
        items = [part_of(item) for item in step.items] if step.refs else []
    zones = tuple(spots.zones.get(item, "") for item in items)
    side = next((spots.sides[item] for item in items if item in spots.sides), "")
    return replace(step, zones=zones if any(zones) else (), side=side) if side or any(zones) else step


def _places(step: Step, spots: Spots) -> list[Point]:
    return [spots.places[item] for item in map(part_of, step.items) if item in spots.places]


def _hand(done: Sequence[Step], step: Step, spots: Spots) -> Point | None:
    """Where the hand is when a step begins; None at the beginning and on another board or side."""
    if not done or _ground(done[-1]) != _ground(step):
        return None
    return next(reversed(_places(done[-1], spots)), None)


def _ground(step: Step) -> tuple[str, str]:
    return step.items[0].partition("/")[0], step.side


def _blocks(steps: Iterable[Step]) -> list[_Block]:
    blocks: list[_Block] = []
    for step in steps:
        if blocks and step.portion > 1:
            blocks[-1] = (*blocks[-1], step)
        else:
            blocks.append((step,))
    return blocks


def _chained(blocks: list[_Block], spots: Spots, hand: Point | None) -> list[_Block]:
    """Blocks of equal rank, look-alikes apart and near one another; as they were where that is no gain."""
    firsts = [place for block in blocks for place in _places(block[0], spots)[:1]]
    if len(firsts) < len(blocks):
        return blocks
    path = _from(hand, firsts, short_path(firsts))
    found = _unlike_in_turn([blocks[at] for at in path])
    return min(blocks, found, key=lambda order: (_likenesses(order), _far(order, spots, hand)))


def _unlike_in_turn(blocks: Sequence[_Block]) -> list[_Block]:
    """The blocks in their order, but one unlike the last is taken first where there is one."""
    found, left = [blocks[0]], list(blocks[1:])
    while left:
        at = next((at for at, block in enumerate(left) if not alike(found[-1][0], block[0])), 0)
        found.append(left.pop(at))
    return found


def _likenesses(blocks: Sequence[_Block]) -> int:
    return sum(alike(before[0], after[0]) for before, after in pairwise(blocks))


def _far(blocks: Sequence[_Block], spots: Spots, hand: Point | None) -> float:
    """What the hand moves over these blocks as they stand, in mm."""
    way = [hand] if hand else []
    return length(way + [place for block in blocks for step in block for place in _places(step, spots)])


def _from_near_end(block: _Block, spots: Spots, hand: Point | None) -> _Block:
    """The portions of a value from that end which is nearer to the hand."""

    def far(step: Step) -> float:
        return (
            min((math.dist(hand, place) for place in _places(step, spots)), default=math.inf) if hand else 0.0
        )

    if len(block) < 2 or far(block[0]) <= far(block[-1]):
        return block
    return tuple(replace(step, portion=number) for number, step in enumerate(reversed(block), 1))


def _hopped(step: Step, spots: Spots, hand: Point | None) -> Step:
    """The step with its designators in short hops; those without a position come last."""
    known = [at for at, item in enumerate(step.items) if part_of(item) in spots.places]
    if len(known) < 2 or len(step.refs) != len(step.items):
        return step
    places = [spots.places[part_of(step.items[at])] for at in known]
    order = [known[at] for at in _from(hand, places, short_path(places))]
    order += sorted(set(range(len(step.items))).difference(known))
    refs, items, zones = (tuple(each[at] for at in order) for each in (step.refs, step.items, step.zones))
    return replace(step, refs=refs, items=items, zones=zones)


def _from(hand: Point | None, places: Sequence[Point], path: tuple[int, ...]) -> tuple[int, ...]:
    """The path, begun at the end that is nearer to the hand."""
    if hand and math.dist(hand, places[path[-1]]) < math.dist(hand, places[path[0]]):
        return path[::-1]
    return path
