"""Layout of the step card for any size; pure, cells only.

A card says what can hurt before anything else: the value, its designators, which way round, this part's own
cautions, hazards; then look-alikes and the rest. From `TWO_COLUMNS` on the part stands left, with what is told
of it right: which way round, cautions, look-alikes, and a map where positions are known. When room is short
large type and drawings go first, then remarks; a caution never does. What still does not fit can be scrolled
to, and the card says that there is more. One card has one size of large type.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from bench.log.events import ReadingTaken
from bench.session.at_once import to_be_read
from bench.session.board_map import WhereView
from bench.session.view import StepView
from bench.ui import card_blocks as blocks
from bench.ui import check_card
from bench.ui.big_type import height_of
from bench.ui.board_map import small_map
from bench.ui.card_blocks import KeyOf, Sizes, StyledRow, lines
from bench.ui.commands import usual_key
from bench.ui.drawings import orientation_drawing
from bench.ui.text import cells, clean
from bench.ui.unit_forms import unit_line

ART_WIDTH = 30
"""Cells that a drawing of which way round may take."""
TWO_COLUMNS = 72
"""Cells from which a card has two columns."""
LEFT_LEAST = 40
"""Cells of the left one, so that colour bands can be drawn in it."""
GAP = 3
"""Cells between them."""
LOW = 14
"""Rows of a card that has none to spare."""
MAP_ROWS, MAP_OF_HIGH, HIGH = 9, 13, 34
"""Rows of the map, where it has room; more on a card of so many rows. It has one size on every card."""

_FROM_LARGE_TO_SMALL = (
    Sizes(value=5, refs=2, strip=True, art=True, air=True),
    Sizes(value=4, refs=2, strip=True, art=True, air=True),
    Sizes(value=3, refs=2, strip=True, art=True, air=True),
    Sizes(value=3, refs=1, strip=True, art=True, air=True),
    Sizes(value=2, refs=2, strip=True, art=True, air=True),
    Sizes(value=2, refs=1, strip=True, art=True, air=True),
    Sizes(value=1, refs=3, strip=True, art=True, air=True),
    Sizes(value=1, refs=2, strip=True, art=True, air=True),
    Sizes(value=1, refs=1, strip=True, art=True, air=True),
    Sizes(value=1, refs=1, strip=True, art=True, air=False),
    Sizes(value=1, refs=1, art=True, air=False),
    Sizes(value=1, refs=1, air=False),
    Sizes(value=1, refs=0, air=False),
    Sizes(value=0, refs=0, air=False),
    Sizes(value=0, refs=0, air=False, extras=False),
)
_LARGE = Sizes(value=1, refs=1, air=True)
_SMALL = (
    Sizes(value=0, refs=0, air=True),
    Sizes(value=0, refs=0, air=False),
    Sizes(value=0, refs=0, air=False, extras=False),
)
_OF_A_TASK = (_LARGE, replace(_LARGE, air=False), *_SMALL)
_OF_TASKS = (_LARGE, *_SMALL)


class Laid(Struct, frozen=True, kw_only=True):
    """A card in rows."""

    rows: tuple[StyledRow, ...]
    must: int = 0
    """Rows from the top with which everything is seen that a step is not done without: which way round, its own
    cautions, hazards, what it is substituted by; all of them where several tasks are done at once."""
    mapped: bool = False
    """True when the map had room."""


class _Block(Struct, frozen=True):
    """Rows that belong together, and whether a step is not done before they were seen."""

    rows: list[StyledRow]
    must: bool = False


def card_of(
    view: StepView,
    width: int,
    height: int,
    notice: str = "",
    key_of: KeyOf = usual_key,
    where: WhereView | None = None,
    passed: ReadingTaken | None = None,
) -> Laid:
    """The card for a bench at one moment in `width` by `height` cells: all its rows, more where it must be.

    `notice` is a short word to the builder that stands first; `key_of` gives the key of a command; `where` are
    the places of the step's parts, if they are known. `passed` is a reading that has just settled another
    check.
    """
    if width < 4 or height < 1:
        return Laid(rows=())
    made = _Card(view, width, height, notice, key_of)
    if passed is not None:
        made.top = [*check_card.banner(passed, width), *([()] if height > LOW else [])]
    laid, sizes = made.fitted()
    cramped = height <= LOW and len(laid.rows) > height
    if (passed is not None or len(made.top) == 1) and (cramped or (not sizes.art and made.art())):
        word = check_card.banner(passed, width, large=False)[0] if passed is not None else made.top[0]
        made.top = []  # a word that would cost the drawing, or a line, stands in the place of stage and step
        laid, sizes = made.fitted()
        laid = Laid(rows=(word, *laid.rows[1:]), must=laid.must)
    return made.with_map(laid, where) if where is not None else laid


class _Card:
    """One card in several sizes; blocks that come out alike are made once, and never changed."""

    def __init__(self, view: StepView, width: int, height: int, notice: str, key_of: KeyOf) -> None:
        self.view, self.width, self.height, self.key_of = view, width, height, key_of
        self.top = lines(clean(notice), "loud", width, mark="» ") if notice else []
        step = view.step
        self.is_part = step is not None and bool(step.kind) and step.action not in ("check", "adjust", "do")
        self.two = width >= TWO_COLUMNS and self.is_part
        self.left = max(LEFT_LEAST, (width - GAP + 1) // 2) if self.two else width
        self.right = width - GAP - self.left if self.two else width
        self._made: dict[object, list[StyledRow]] = {}
        self._used, self._body_at = (0, 0), 0

    def once(self, key: object, make: Callable[[], list[StyledRow]]) -> list[StyledRow]:
        """The block of a key, which names all that it depends on beside the card's own."""
        made = self._made.get(key)
        if made is None:
            made = self._made[key] = make()
        return made

    def fitted(self) -> tuple[Laid, Sizes]:
        """The card in the largest sizes in which it fits, else in the smallest."""
        laid, sizes = Laid(rows=()), _FROM_LARGE_TO_SMALL[-1]
        task = _OF_TASKS if self.view.at_once else _OF_A_TASK
        for sizes in _FROM_LARGE_TO_SMALL if self.is_part else task:
            if height_of(sizes.value) > self.height:
                continue
            laid = self.laid(sizes)
            if len(laid.rows) <= self.height:
                break
        return laid, sizes

    def art(self) -> list[StyledRow]:
        """The drawing of which way round; empty for what has none."""
        width = self.right if self.two else self.width
        return self.once("art", lambda: self._art(width))

    def laid(self, sizes: Sizes) -> Laid:
        """The card in these sizes."""
        view, width = self.view, self.width
        unit = self.once("unit", lambda: unit_line(view, width))
        if view.on_break:
            return Laid(rows=(*self.top, *unit, *blocks.away(width, sizes, self.key_of)))
        if view.step is None:
            return Laid(rows=(*self.top, *unit, *blocks.nothing_left(view, width, sizes, self.key_of)))
        place = self.once("head", lambda: [*blocks.head(view, width), *unit, *blocks.looking(view, width)])
        head = [*self.top, *place]
        if sizes.air:
            head = [*head, ()]
        if self.two:
            return self._columns(head, sizes)
        body, must = _joined(self._part(sizes) if self.is_part else self._task(sizes), air=sizes.air)
        return Laid(rows=(*head, *body), must=len(head) + must if must else 0)

    def _columns(self, head: list[StyledRow], sizes: Sizes) -> Laid:
        """The part left, what is told of it right, what comes next in the last row."""
        left, _ = _joined(self._shown(sizes, self.left), air=sizes.air)
        right, must = self._told_beside(sizes)
        after = blocks.following(self.view, self.width, sizes)
        room = self.height - len(head) - len(after)
        if sizes.art and len(right) > room >= len(left) + len(drawn := self.art()) + sizes.air:
            left = [*left, *[()] * sizes.air, *drawn]
            right, must = self._told_beside(replace(sizes, art=False))
        rows = [*head, *_side_by_side(left, right, self.left)]
        free = self.height - len(rows) - len(after)
        rows += [()] * max(sizes.air, free) + after if after else []
        self._used, self._body_at = (len(left), len(right)), len(head)
        return Laid(rows=tuple(rows), must=len(head) + must if must else 0)

    def with_map(self, laid: Laid, where: WhereView) -> Laid:
        """The card with a map in its right column, where that has room."""
        if not self.two or self.view.on_break or len(laid.rows) > self.height:
            return laid
        room = MAP_OF_HIGH if self.height >= HIGH else MAP_ROWS
        on_right = self._body_at + self._used[1] + 1 + room <= self.height - 2
        at = self._body_at + self._used[on_right] + 1
        if at + room > self.height - 2:
            return laid
        rows = [*laid.rows, *[()] * (self.height - len(laid.rows))]
        drawn = small_map(where, min(self.left, self.right), room)
        if not drawn:
            return laid
        for number, row in enumerate(drawn, at):
            other = rows[number]
            rows[number] = _beside(other, row, self.left) if on_right else _before(row, other, self.left)
        return Laid(rows=tuple(rows), must=laid.must, mapped=True)

    def _told_beside(self, sizes: Sizes) -> tuple[list[StyledRow], int]:
        key = ("right", sizes.art, sizes.air, sizes.extras)
        must_key = (*key, "must")
        rows = self._made.get(key)
        if rows is None:
            rows, must = _joined(self._told(sizes, self.right), air=sizes.air)
            self._made[key], self._made[must_key] = rows, [()] * must
        return rows, len(self._made[must_key])

    def _part(self, sizes: Sizes) -> list[_Block]:
        """Everything about a part, below one another: what hurts first."""
        readings = self._readings()
        view, width = self.view, self.width
        step = view.step
        assert step is not None
        part = view.part or step
        value, about = blocks.value(step, width, sizes, part, view.items_left)
        way, strong, told, alikes, usual = self._told_blocks(sizes, width)
        changed = self.once("changed", lambda: self._changed(width))
        printed = self.once(("printed", sizes.strip), lambda: blocks.on_the_part(part, width, sizes))
        drawn = self.art() if sizes.art else []
        if sizes.air:
            shown = [_Block([*changed, *value, *about]), _Block(printed), *self._refs(sizes, width)]
            return [
                *shown,
                readings,
                _Block([*drawn, *way.rows], True),
                strong,
                told,
                alikes,
                usual,
                *self._end(sizes),
            ]
        named = _in_one_row(value, [row for block in self._refs(sizes, width) for row in block.rows], width)
        first = [_Block(named), readings, way, strong, told, _Block(changed), alikes]
        return [*first, _Block(about), _Block(printed), _Block(drawn), usual, *self._end(sizes)]

    def _end(self, sizes: Sizes) -> list[_Block]:
        step, width = self.view.step, self.width
        assert step is not None
        detail = self.once(("detail", sizes.extras), lambda: blocks.detail(step, width, sizes))
        after = self.once(("next", sizes.extras), lambda: blocks.following(self.view, width, sizes))
        return [_Block(detail, "\n" in step.detail), _Block(after)]

    def _shown(self, sizes: Sizes, width: int) -> list[_Block]:
        """The part itself: what is new, value, what it is and shows, designators."""
        view = self.view
        step = view.step
        assert step is not None
        part = view.part or step
        value, about = blocks.value(step, width, sizes, part, view.items_left)
        changed = self.once("changed", lambda: self._changed(width))
        if changed and sizes.air:
            changed = [*changed, ()]
        printed = self.once(("printed", sizes.strip), lambda: blocks.on_the_part(part, width, sizes))
        detail = self.once(("detail", sizes.extras), lambda: blocks.detail(step, width, sizes))
        top = _Block([*changed, *value, *about])
        return [top, _Block(printed), *self._refs(sizes, width), self._readings(width), _Block(detail)]

    def _told(self, sizes: Sizes, width: int) -> list[_Block]:
        """What is told of the part, what hurts first."""
        way, *others = self._told_blocks(sizes, width)
        drawn = self.art() if sizes.art else []
        return [_Block([*drawn, *way.rows], True), *others]

    def _told_blocks(self, sizes: Sizes, width: int) -> tuple[_Block, _Block, _Block, _Block, _Block]:
        """Which way round; the cautions said at every step; what the log knows; look-alikes; usual cautions."""
        view, few = self.view, not sizes.air and self.height <= LOW
        return (
            _Block(self.once("way", lambda: blocks.way(view, width)), True),
            _Block(self.once(("strong", few), lambda: blocks.strong_cautions(view, width, joined=few)), True),
            _Block(self.once("told", lambda: blocks.told(view, width)), bool(view.substitutes)),
            _Block(self.once(("alikes", sizes.air), lambda: blocks.look_alikes(view, width, sizes))),
            _Block(self.once("usual", lambda: blocks.usual_cautions(view, width, self.key_of))),
        )

    def _readings(self, width: int = 0) -> _Block:
        return _Block(
            self.once("readings", lambda: blocks.readings(self.view, width or self.width, self.key_of))
        )

    def _changed(self, width: int) -> list[StyledRow]:
        return [*blocks.turned_over(self.view, width), *blocks.changed(self.view, width)]

    def _refs(self, sizes: Sizes, width: int) -> list[_Block]:
        key = ("refs", sizes.value, sizes.refs, sizes.extras)
        return [_Block(self.once(key, lambda: blocks.refs(self.view, width, sizes)))]

    def _art(self, width: int) -> list[StyledRow]:
        step = self.view.step
        if step is None or step.action not in ("solder", "place", "insert"):
            return []
        part = self.view.part or step
        return list(orientation_drawing(part.kind, part.package, min(width, ART_WIDTH), part.value))

    def _task(self, sizes: Sizes) -> list[_Block]:
        """A task, a check, an adjustment: what to do, what is expected and was read, what can happen."""
        view, width = self.view, self.width
        step = view.step
        assert step is not None
        _, strong, told, _, usual = self._told_blocks(sizes, width)
        read = to_be_read((step, *view.at_once))
        short = not (sizes.air or read)
        readings = self._readings().rows
        if not all(blocks.large_lines(clean(each.value), width) for each in view.at_once):
            sizes = replace(sizes, value=0)
        if step.expect and step.action == "check":
            shown = _Block(check_card.check_rows(view, width, sizes, self.key_of))
        else:
            value, about = blocks.value(step, width, sizes, step, view.items_left)
            refs = blocks.refs(view, width, sizes)
            between = [()] * (sizes.air and bool(refs))
            shown = _Block([*value, *about, *between, *refs, *readings])
        changed = _Block(self.once("changed", lambda: self._changed(width)))
        names, also = blocks.at_once(view, width, sizes, short=short)
        detail, after = self._end(sizes)
        return [changed, shown, _Block(names), told, strong, detail, _Block(also, read), usual, after]


def _in_one_row(value: list[StyledRow], refs: list[StyledRow], width: int) -> list[StyledRow]:
    """The value and its designators, in one row where both have one of plain type."""
    if len(value) == 1 and refs and _cells(value[0]) + 2 + _cells(refs[0]) <= width:
        return [(*value[0], ("  ", "plain"), *refs[0]), *refs[1:]]
    return [*value, *refs]


def _cells(row: StyledRow) -> int:
    return sum(cells(text) for text, _ in row)


def _side_by_side(left: Sequence[StyledRow], right: Sequence[StyledRow], room: int) -> list[StyledRow]:
    rows: list[StyledRow] = []
    for number in range(max(len(left), len(right))):
        row = left[number] if number < len(left) else ()
        rows.append(_beside(row, right[number], room) if number < len(right) else row)
    return rows


def _beside(row: StyledRow, other: StyledRow, room: int) -> StyledRow:
    """A row with another one from the second column on."""
    if not other:
        return row
    return (*row, (" " * (room + GAP - _cells(row)), "plain"), *other)


def _before(row: StyledRow, other: StyledRow, room: int) -> StyledRow:
    """A row in the empty first column of another one."""
    if len(other) < 2:
        return row
    return (*row, (" " * (room + GAP - _cells(row)), "plain"), *other[1:])


def _joined(found: Iterable[_Block], air: bool) -> tuple[list[StyledRow], int]:
    """Blocks below one another, and the rows down to the last one that must be seen."""
    rows: list[StyledRow] = []
    must = 0
    for block in found:
        if not block.rows:
            continue
        if air and rows:
            rows.append(())
        rows.extend(block.rows)
        must = len(rows) if block.must else must
    return rows, must
