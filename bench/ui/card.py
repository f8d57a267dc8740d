"""Layout of the step card for any size; pure, cells only.

When room is short the drawings and the large type go first, then the remarks, then what comes next; a caution
never does. A small card says what can hurt before anything else: the value, its designators, which way round,
this part's own cautions, hazards; then look-alikes and the rest. What still does not fit can be scrolled to,
and the card says that there is more.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from bench.session.view import StepView
from bench.ui import blocks
from bench.ui.big_type import height_of
from bench.ui.blocks import KeyOf, Sizes, StyledRow, lines
from bench.ui.commands import usual_key
from bench.ui.drawings import orientation_drawing
from bench.ui.text import cells, clean
from bench.ui.unit_forms import unit_line

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


MUST_SEE = frozenset(("way", "hold"))
"""Looks of the rows about which way round and hazards: a step is not done while one of them is out of sight."""


def lay_card(
    view: StepView, width: int, height: int, notice: str = "", key_of: KeyOf = usual_key
) -> tuple[StyledRow, ...]:
    """The card for a bench at one moment in `width` by `height` cells: all its rows, more where it must be.

    `notice` is a short word to the builder that stands first; `key_of` gives the key of a command.
    """
    if width < 4 or height < 1:
        return ()
    rows: list[StyledRow] = []
    once = _Once()
    for sizes in _FROM_LARGE_TO_SMALL:
        if height_of(sizes.value) > height:
            continue
        rows = _rows(view, width, sizes, notice, once, key_of)
        if len(rows) <= height:
            break
    return tuple(rows)


class _Once:
    """Blocks of one card that come out alike for several sizes: each is made once, and never changed."""

    def __init__(self) -> None:
        self._made: dict[object, list[StyledRow]] = {}

    def __call__(self, key: object, make: Callable[[], list[StyledRow]]) -> list[StyledRow]:
        """The block of a key, which names all that it depends on beside the card's view and width."""
        made = self._made.get(key)
        if made is None:
            made = self._made[key] = make()
        return made


def _rows(view: StepView, width: int, sizes: Sizes, notice: str, once: _Once, key_of: KeyOf) -> list[StyledRow]:
    top = lines(clean(notice), "loud", width, mark="» ") if notice else []
    if view.on_break:
        return top + unit_line(view, width) + blocks.away(width, sizes, key_of)
    step = view.step
    if step is None:
        return top + unit_line(view, width) + blocks.nothing_left(view, width, sizes, key_of)
    part = view.part or step
    head = once(
        "head", lambda: [*blocks.head(view, width), *unit_line(view, width), *blocks.looking(view, width)]
    )
    changed = once("changed", lambda: [*blocks.changed(view, width), *blocks.turned_over(view, width)])
    alikes = once(("alikes", sizes.air, sizes.extras), lambda: blocks.look_alikes(view, width, sizes))
    told = once("told", lambda: blocks.told(view, width))
    strong = once("strong", lambda: blocks.strong_cautions(view, width))
    usual = once("usual", lambda: blocks.usual_cautions(view, width, key_of))
    readings = once("readings", lambda: blocks.readings(view, width, key_of))
    rest = [
        once(("detail", sizes.extras), lambda: blocks.detail(step, width, sizes)),
        once(("following", sizes.extras), lambda: blocks.following(view, width, sizes)),
    ]
    if not sizes.air:
        value, about = blocks.value(step, width, sizes, part, view.items_left)
        first = [head, value, blocks.refs(view, width, sizes), blocks.way(view, width), told, strong, readings]
        beside_it = [changed, alikes, about, blocks.on_the_part(part, width, sizes), _art(view, width, sizes)]
        return top + _join([*first, *beside_it, usual, *rest], air=False)
    art = once(("art", sizes.art), lambda: _art(view, width, sizes))
    beside = bool(art) and width >= BESIDE
    room = width - ART_WIDTH - 2 if beside else width
    value, about = blocks.value(step, room, sizes, part, view.items_left)
    shown = [
        [*value, *about],
        once(("part", room, sizes.strip), lambda: blocks.on_the_part(part, room, sizes)),
        blocks.refs(view, room, sizes),
        once(("way", room), lambda: blocks.way(view, room)),
        art if not beside else [],
    ]
    middle = _join([block for block in shown if block], air=True)
    if beside:
        middle = _side_by_side(middle, art, room)
    found = [head, [*changed, *alikes, *told], middle, [*readings, *strong, *usual], *rest]
    return top + _join([block for block in found if block], air=True)


def _art(view: StepView, width: int, sizes: Sizes) -> list[StyledRow]:
    step = view.step
    if step is None or not sizes.art or step.action not in ("solder", "place", "insert"):
        return []
    part = view.part or step
    return list(orientation_drawing(part.kind, part.package, min(width, ART_WIDTH), part.value))


def _side_by_side(left: Sequence[StyledRow], right: Sequence[StyledRow], room: int) -> list[StyledRow]:
    rows: list[StyledRow] = []
    for number in range(max(len(left), len(right))):
        row = left[number] if number < len(left) else ()
        if number < len(right):
            used = sum(cells(text) for text, _ in row)
            row = (*row, (" " * (room + 2 - used), "plain"), *right[number])
        rows.append(row)
    return rows


def _join(found: Sequence[list[StyledRow]], air: bool) -> list[StyledRow]:
    rows: list[StyledRow] = []
    for block in found:
        if air and rows:
            rows.append(())
        rows.extend(block)
    return rows
