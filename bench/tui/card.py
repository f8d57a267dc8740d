"""The step card: what stands on it and where, for any size; pure, cells only.

When room is short the drawings and the large type go first, then the remarks, then what comes next; a caution
never does. What still does not fit can be scrolled to, and the card says that there is more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bench.build.view import BenchView
from bench.plan.model import Step
from bench.tui import blocks
from bench.tui.bigtype import height_of
from bench.tui.blocks import Row, Sizes, lines
from bench.tui.drawings import orientation_drawing
from bench.tui.text import cells, clean

ART_WIDTH = 30
"""Cells that a drawing of which way round may take."""
BESIDE = 44 + ART_WIDTH
"""Width from which the drawing stands beside the text and costs no height."""

_FROM_LARGE_TO_SMALL = (
    Sizes(value=5, refs=2, refs_scale=3, strip=True, art=True, air=True),
    Sizes(value=4, refs=2, refs_scale=3, strip=True, art=True, air=True),
    Sizes(value=3, refs=2, refs_scale=2, strip=True, art=True, air=True),
    Sizes(value=3, refs=1, refs_scale=2, strip=True, art=True, air=True),
    Sizes(value=2, refs=1, refs_scale=2, strip=True, art=True, air=True),
    Sizes(value=2, refs=3, strip=True, art=True, air=True),
    Sizes(value=2, refs=2, strip=True, art=True, air=True),
    Sizes(value=2, refs=1, strip=True, art=True, air=True),
    Sizes(value=1, refs=2, strip=True, art=True, air=True),
    Sizes(value=1, refs=1, strip=True, art=True, air=True),
    Sizes(value=1, refs=1, strip=True, art=True, air=False),
    Sizes(value=1, refs=1, art=True, air=False),
    Sizes(value=1, refs=1, air=False),
    Sizes(value=1, refs=0, air=False),
    Sizes(value=0, refs=0, air=False),
    Sizes(value=0, refs=0, air=False, extras=False),
)


def lay_card(view: BenchView, width: int, height: int, notice: str = "") -> tuple[Row, ...]:
    """The card for a bench at one moment in `width` by `height` cells: all its rows, more where it must be.

    `notice` is a short word to the builder that stands first.
    """
    if width < 4 or height < 1:
        return ()
    rows: list[Row] = []
    once = _Once()
    for sizes in _FROM_LARGE_TO_SMALL:
        if height_of(sizes.value) > height:
            continue
        rows = _rows(view, width, sizes, notice, once)
        if len(rows) <= height:
            break
    return tuple(rows)


class _Once:
    """Blocks of one card that come out alike for several sizes: each is made once, and never changed."""

    def __init__(self) -> None:
        self._made: dict[object, list[Row]] = {}

    def __call__(self, key: object, make: Callable[[], list[Row]]) -> list[Row]:
        """The block of a key, which names all that it depends on beside the card's view and width."""
        made = self._made.get(key)
        if made is None:
            made = self._made[key] = make()
        return made


def _rows(view: BenchView, width: int, sizes: Sizes, notice: str, once: _Once) -> list[Row]:
    top = lines(clean(notice), "loud", width, mark="» ") if notice else []
    if view.on_break:
        return top + blocks.away(width, sizes)
    step = view.step
    if step is None:
        return top + blocks.nothing_left(view, width, sizes)
    art = once(("art", sizes.art), lambda: _art(step, width, sizes))
    beside = bool(art) and width >= BESIDE
    room = width - ART_WIDTH - 2 if beside else width
    value, about = blocks.value(step, room, sizes)
    part = [
        [*value, *about],
        once(("part", room, sizes.strip), lambda: blocks.on_the_part(step, room, sizes)),
        blocks.refs(view, room, sizes),
        once(("way", room), lambda: blocks.way(step, room)),
        art if not beside else [],
    ]
    rest = [
        once("cautions", lambda: blocks.cautions(view, width)),
        once(("detail", sizes.extras), lambda: blocks.detail(step, width, sizes)),
        once(("following", sizes.extras), lambda: blocks.following(view, width, sizes)),
    ]
    head = once("head", lambda: blocks.head(view, width))
    loud = once(("loud", sizes.air, sizes.extras), lambda: blocks.loud(view, width, sizes))
    middle = _join([block for block in part if block], sizes.air)
    if beside:
        middle = _side_by_side(middle, art, room)
    found = [head, loud, middle, *rest]
    if not sizes.air:
        found = _tight(view, step, width, sizes, head, loud, rest)
    return top + _join([block for block in found if block], sizes.air)


def _tight(
    view: BenchView,
    step: Step,
    width: int,
    sizes: Sizes,
    head: list[Row],
    loud: list[Row],
    rest: list[list[Row]],
) -> list[list[Row]]:
    """The blocks of a small card: value and designators first, so that they are on screen in any case."""
    value, about = blocks.value(step, width, sizes)
    tail = [blocks.on_the_part(step, width, sizes), blocks.way(step, width), _art(step, width, sizes)]
    return [
        head,
        value,
        blocks.refs(view, width, sizes),
        loud,
        about,
        *tail,
        *rest,
    ]


def _art(step: Step, width: int, sizes: Sizes) -> list[Row]:
    if not sizes.art or step.action not in ("solder", "place", "insert"):
        return []
    return list(orientation_drawing(step.kind, step.package, min(width, ART_WIDTH), step.value))


def _side_by_side(left: Sequence[Row], right: Sequence[Row], room: int) -> list[Row]:
    rows: list[Row] = []
    for number in range(max(len(left), len(right))):
        row = left[number] if number < len(left) else ()
        if number < len(right):
            used = sum(cells(text) for text, _ in row)
            row = (*row, (" " * (room + 2 - used), "plain"), *right[number])
        rows.append(row)
    return rows


def _join(found: Sequence[list[Row]], air: bool) -> list[Row]:
    rows: list[Row] = []
    for block in found:
        if air and rows:
            rows.append(())
        rows.extend(block)
    return rows
