"""Where parts sit, from the labels on a placement drawing. Pure.

A label in the middle of its part says where the part is; one beside it is good to a few mm. Schematics, lists
and drawings whose labels stand in rows beside the board tell nothing of the kind: they are refused.
"""

from __future__ import annotations

import math
import statistics
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec import Struct

from bench.papers.lists.draft import Doubt, PlacementFile, PlacementRecord
from bench.papers.pdf.labels import FEWEST, are_hidden, labels_of, sort_of
from bench.papers.pdf.page import Page
from bench.papers.pdf.words import Word, words_of
from bench.parts.designators import shorten

MM = 25.4 / 72
"""Millimetres to a point."""
_BODY, _CLOSE = 1.2, 0.7
"""Times the height of a label: a body beside it is no smaller, and no further away."""
_AS_THE_PAGE = 0.85
"""Of the width and height of a page: a frame is no smaller."""
_COPIED = 0.8
"""Of all designators: so many stand in each copy of a board."""
_LARGEST = 120.0
"""Points: a part on a drawing is no wider."""

Box = tuple[float, float, float, float]
"""Left, bottom, right, top."""


class Placed(Struct, frozen=True, kw_only=True):
    """A designator on a page, in points."""

    ref: str
    x: float
    y: float
    back: bool
    """Whether its label is mirrored: the back of the board, seen through from the front."""
    inside: bool
    """Whether the label stands in the middle of something that is drawn."""


def placed_on(page: Page, words: Sequence[Word]) -> tuple[list[Placed], str]:
    """The designators on a page in their places, or none and the reason."""
    labels = labels_of(words)
    if why := sort_of(page, words, labels):
        return [], why
    bodies, hidden = _Bodies(page), are_hidden(words)
    held = {id(word) for word in labels if hidden or bodies.hold(word)}
    if len(held) < 0.5 * len(labels):
        held = set()  # most labels stand beside their parts: none is taken for exact
    places = {id(word): word.centre for word in labels} | ({} if held else bodies.beside(labels))
    return [
        Placed(
            ref=word.text,
            x=places[id(word)][0],
            y=places[id(word)][1],
            back=word.mirrored,
            inside=id(word) in held,
        )
        for word in labels
    ], ""


class _Bodies:
    """What is drawn on a page, asked whether a label stands in the middle of it."""

    def __init__(self, page: Page) -> None:
        self._shapes = [each for each in page.shapes if max(each[2] - each[0], each[3] - each[1]) < _LARGEST]
        self._upright = sorted((rule.x0, rule.y0, rule.y1) for rule in page.rules if rule.x1 - rule.x0 < 0.5)
        self._level = sorted((rule.y0, rule.x0, rule.x1) for rule in page.rules if rule.y1 - rule.y0 < 0.5)

    def hold(self, word: Word) -> bool:
        """Whether a drawn box, or lines around it, have the label in their middle."""
        x, y = word.centre
        area = (word.right - word.left) * (word.top - word.bottom)
        boxes = [
            each
            for each in self._shapes
            if each[0] < x < each[2] and each[1] < y < each[3] and _area(each) > 0.9 * area
        ]
        return any(_in_the_middle(x, y, box) for box in (*boxes, *self._drawn_around(x, y)))

    def beside(self, labels: Sequence[Word]) -> dict[int, tuple[float, float]]:
        """The middle of the body that each label stands at, where one stands so close; by the label's `id`.

        The closest pair goes first, and a body belongs to one label.
        """
        pairs = sorted(
            (gap, at, number)
            for at, word in enumerate(labels)
            for number, box in enumerate(self._shapes)
            if min(box[2] - box[0], box[3] - box[1]) > _BODY * _height(word)
            and (gap := _gap(word, box)) <= _CLOSE * _height(word)
        )
        found: dict[int, tuple[float, float]] = {}
        taken: set[int] = set()
        for _, at, number in pairs:
            if id(labels[at]) not in found and number not in taken:
                taken.add(number)
                box = self._shapes[number]
                found[id(labels[at])] = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
        return found

    def _drawn_around(self, x: float, y: float) -> list[Box]:
        """The box that the nearest lines make around a place, when they meet at its corners."""
        (left, right), (below, above) = _nearest(self._upright, x, y), _nearest(self._level, y, x)
        if left is None or right is None or below is None or above is None:
            return []
        meet = all(line[1] <= below[0] + 1 and line[2] >= above[0] - 1 for line in (left, right))
        meet = meet and all(line[1] <= left[0] + 1 and line[2] >= right[0] - 1 for line in (below, above))
        return [(left[0], below[0], right[0], above[0])] if meet else []


def _height(word: Word) -> float:
    """How high the writing is, whichever way it runs."""
    return min(word.right - word.left, word.top - word.bottom)


def _gap(word: Word, box: Box) -> float:
    """How far a label stands from a body, in points; 0 where they touch."""
    across = max(box[0] - word.right, word.left - box[2], 0.0)
    return max(across, box[1] - word.top, word.bottom - box[3])


_Line = tuple[float, float, float]


def _nearest(lines: Sequence[_Line], at: float, across: float) -> tuple[_Line | None, _Line | None]:
    """The nearest line before and after a place, among those that go past it."""
    begin = bisect_left(lines, (at, -math.inf, -math.inf))
    before = _first((lines[i] for i in range(begin - 1, -1, -1)), at, across)
    return before, _first((lines[i] for i in range(begin, len(lines))), at, across)


def _first(lines: Iterable[_Line], at: float, across: float) -> _Line | None:
    for line in lines:
        if abs(line[0] - at) > _LARGEST:
            break
        if line[1] - 0.5 <= across <= line[2] + 0.5:
            return line
    return None


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _in_the_middle(x: float, y: float, box: Box) -> bool:
    """Whether a place is off the middle of a box by no more than a sixth of it."""
    width, height = box[2] - box[0], box[3] - box[1]
    if not max(width, height) < _LARGEST:
        return False
    off_x, off_y = abs(x - (box[0] + box[2]) / 2), abs(y - (box[1] + box[3]) / 2)
    return off_x <= width / 6 + 0.4 and off_y <= height / 6 + 0.4


def drawing_of(
    pages: Sequence[Page], name: str, size: tuple[float, float] | None = None
) -> tuple[PlacementFile | None, str]:
    """The places on all drawings among pages, or None with the reason.

    `size` is the board's width and height in mm; without it a drawing is taken to be printed at full size.
    """
    reasons: list[str] = []
    records: dict[str, PlacementRecord] = {}
    doubts: list[Doubt] = []
    board = size
    for page in pages:
        found, why = placed_on(page, words_of(page))
        if not found:
            reasons.append(f"page {page.number}: {why}")
            continue
        found, copies = _one_copy(page, found)
        if copies > 1:
            what = f"page {page.number} shows the board {copies} times: places are those of one of them"
            doubts.append(Doubt(line=0, what=what))
        boards = _boards(page, found)
        if len(boards) > 1:
            named = " and ".join(shorten([each.ref for each in on_board][:40]) for on_board, _ in boards)
            what = (
                f"page {page.number} shows {len(boards)} boards ({named}): places count from the corner of each"
            )
            doubts.append(Doubt(line=0, what=what))
        doubts += _doubled(page.number, found)
        for on_board, edge in boards:
            scale = _scale(edge, size)
            if edge is not None and board is None:
                board = round((edge[2] - edge[0]) * scale[0], 2), round((edge[3] - edge[1]) * scale[1], 2)
            for each in on_board:
                records.setdefault(each.ref, _record(each, edge, scale))
    if not records:
        return None, "; ".join(reasons) or "it has no pages"
    beside = tuple(ref for ref, each in records.items() if not each.exact)
    if beside:
        what = f"{len(beside)} labels are not in the middle of a part: usually good to a few mm"
        doubts.append(Doubt(line=0, what=what, refs=beside))
    if size is None:
        what = "the drawing is taken to be printed at full size; give the board's size where it is not"
        doubts.append(Doubt(line=0, what=what))
    sides = any(each.side == "bottom" for each in records.values())
    placement = PlacementFile(
        name=name, places=tuple(records.values()), unit="mm", has_sides=sides, size=board, upwards=True,
        doubts=tuple(doubts),
    )  # fmt: skip
    return placement, ""


def _one_copy(page: Page, found: list[Placed]) -> tuple[list[Placed], int]:
    """The labels of one of several copies of a board, and how many there are; all of them and 1 for one board.

    Copies are boxes that each hold nearly all designators, and each of them once.
    """
    names = Counter(each.ref for each in found)
    if sum(number > 1 for number in names.values()) < _COPIED * len(names):
        return found, 1
    copies: list[tuple[float, list[Placed]]] = []
    for box in page.shapes:
        mine = [each for each in found if box[0] <= each.x <= box[2] and box[1] <= each.y <= box[3]]
        if _COPIED * len(names) <= len(mine) == len({each.ref for each in mine}):
            copies.append((_area(box), mine))
    if not copies:
        return found, 1
    best = min(copies, key=lambda copy: (-len(copy[1]), copy[0]))[1]
    return best, round(statistics.median(names.values()))


def _boards(page: Page, found: list[Placed]) -> list[tuple[list[Placed], Box | None]]:
    """The labels and the edge of each board, that with most labels first, where several lie apart on a page.

    Boards are boxes apart from each other that hold all labels between them, with no box around them but a
    frame of the whole page.
    """
    frame = _AS_THE_PAGE * page.width, _AS_THE_PAGE * page.height
    boxes: dict[frozenset[int], Box] = {}
    for box in sorted(page.shapes, key=_area, reverse=True):
        inside = frozenset(
            at for at, each in enumerate(found) if box[0] <= each.x <= box[2] and box[1] <= each.y <= box[3]
        )
        framed = box[2] - box[0] >= frame[0] and box[3] - box[1] >= frame[1]
        if len(inside) >= FEWEST and not framed and all(inside.isdisjoint(other) for other in boxes):
            boxes[inside] = box
    if len(boxes) < 2 or sum(map(len, boxes)) < len(found):
        return [(found, _outline(page, found))]
    return [([found[at] for at in sorted(each)], boxes[each]) for each in sorted(boxes, key=len, reverse=True)]


def _doubled(page: int, found: Sequence[Placed]) -> list[Doubt]:
    twice = tuple(sorted(ref for ref, number in Counter(each.ref for each in found).items() if number > 1))
    what = f"{', '.join(twice[:8])}: more than once on page {page}; the first of each counts"
    return [Doubt(line=0, what=what, kind="twice", refs=twice)] if twice else []


def _record(each: Placed, edge: Box | None, scale: tuple[float, float]) -> PlacementRecord:
    left, bottom = (edge[0], edge[1]) if edge else (0.0, 0.0)
    x, y, digits = (each.x - left) * scale[0], (each.y - bottom) * scale[1], 2 if each.inside else 0
    side = "bottom" if each.back else "top"
    return PlacementRecord(ref=each.ref, x=round(x, digits), y=round(y, digits), side=side, exact=each.inside)


def _outline(page: Page, found: Sequence[Placed]) -> Box | None:
    """The edge of the board: the nearest box or the nearest long lines around all labels."""
    xs, ys = sorted(each.x for each in found), sorted(each.y for each in found)
    labels = xs[0], ys[0], xs[-1], ys[-1]
    boxes = [each for each in (*page.shapes, _long_lines(page, labels)) if _holds(each, labels)]
    return min(boxes, key=_area, default=None)


def _holds(outer: Box, inner: Box) -> bool:
    if not all(map(math.isfinite, outer)):
        return False
    return outer[0] <= inner[0] and outer[1] <= inner[1] and outer[2] >= inner[2] and outer[3] >= inner[3]


def _long_lines(page: Page, box: Box) -> Box:
    """The nearest lines around a box that are longer than half of it; far away where there are none."""
    tall, wide = 0.5 * (box[3] - box[1]), 0.5 * (box[2] - box[0])
    upright = [rule.x0 for rule in page.rules if rule.x1 - rule.x0 < 1 and rule.y1 - rule.y0 > tall]
    level = [rule.y0 for rule in page.rules if rule.y1 - rule.y0 < 1 and rule.x1 - rule.x0 > wide]
    left, right = _around(upright, box[0], box[2])
    below, above = _around(level, box[1], box[3])
    return left, below, right, above


def _around(lines: Sequence[float], low: float, high: float) -> tuple[float, float]:
    before, after = [at for at in lines if at <= low], [at for at in lines if at >= high]
    return max(before, default=-math.inf), min(after, default=math.inf)


def _scale(edge: Box | None, size: tuple[float, float] | None) -> tuple[float, float]:
    """Millimetres to a point, across and up."""
    if edge is None or size is None:
        return MM, MM
    return size[0] / (edge[2] - edge[0]), size[1] / (edge[3] - edge[1])
