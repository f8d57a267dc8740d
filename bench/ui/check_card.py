"""A check on the card: what should be read there, what was read, and what that means; pure, cells only.

What is expected and what was read stand in large type beside each other, for they are read from a metre away.
"""

from __future__ import annotations

from collections.abc import Sequence

from bench.log.events import ReadingTaken
from bench.session.view import StepView
from bench.ui.big_type import can_draw, draw, width_of
from bench.ui.card_blocks import GLYPHS, KeyOf, Sizes, StyledRow, lines
from bench.ui.text import cells, clean, cut

GAP = 4
"""Cells between what is expected and what was read, where they stand side by side."""
SAID = {"in": "IN", "out": "OUT", "too close to call": "TOO CLOSE"}
LOOKS = {"in": "refs", "out": "caution", "too close to call": "value"}
MOST_EARLIER = 2


def check_rows(view: StepView, width: int, sizes: Sizes, key_of: KeyOf) -> list[StyledRow]:
    """Where to measure, what is expected and what was read, large where there is room, and what it means."""
    step = view.step
    assert step is not None
    expected = clean(step.expect, 60)
    read = view.readings[-1] if view.readings else None
    place = lines(clean(step.value), "value", width)
    large = _large(expected, read, width) if sizes.value else []
    rows = [*place, *[()] * (sizes.air and bool(large)), *(large or _plain(expected, read, width))]
    if read is not None and view.verdict:
        said = f"{GLYPHS.get(read.verdict, read.verdict)}: {clean(view.verdict, 400)}"
        rows += [*[()] * sizes.air, *lines(said, "plain", width)]
        rows += lines(_what_next(read, key_of), "next", width)
    earlier = view.readings[-1 - MOST_EARLIER : -1] if sizes.extras else ()
    if earlier:
        said = ", ".join(_said(each) for each in reversed(earlier))
        rows += lines(clean(said, 200), "faint", width, "Earlier: ")
    return rows


def _what_next(reading: ReadingTaken, key_of: KeyOf) -> str:
    """The keys that lead on from a reading that is not within its limits."""
    again = f"{key_of('reading')} measures again, "
    if reading.verdict == "out":
        return again + f"{key_of('fault')} finds the fault, {key_of('override')} overrides it with a reason."
    return again + f"{key_of('override')} accepts it or tells how exact your meter is."


def _said(reading: ReadingTaken) -> str:
    return " ".join(filter(None, (clean(reading.text, 40), SAID.get(reading.verdict, ""))))


def _plain(expected: str, read: ReadingTaken | None, width: int) -> list[StyledRow]:
    rows = lines(expected, "way", width, mark="Expect: ")
    if read is not None:
        rows += lines(_said(read), LOOKS.get(read.verdict, "plain"), width, mark="Read: ")
    return rows


def _large(expected: str, read: ReadingTaken | None, width: int) -> list[StyledRow]:
    """Both in large type, side by side or below one another; no rows where they cannot be drawn."""
    pieces = [("expect", expected, "way")]
    if read is not None:
        pieces.append(("read", _said(read), LOOKS.get(read.verdict, "plain")))
    if not all(can_draw(text) and width_of(text) <= width for _, text, _ in pieces):
        return []
    blocks = [[((label, "faint"),), *[((row, look),) for row in draw(text)]] for label, text, look in pieces]
    if sum(width_of(text) for _, text, _ in pieces) + GAP <= width and len(blocks) == 2:
        return _beside(blocks[0], blocks[1], width_of(expected) + GAP)
    return [row for number, block in enumerate(blocks) for row in ([()] * bool(number) + block)]


def _beside(left: Sequence[StyledRow], right: Sequence[StyledRow], at: int) -> list[StyledRow]:
    rows: list[StyledRow] = []
    for number in range(max(len(left), len(right))):
        row = left[number] if number < len(left) else ()
        used = sum(cells(text) for text, _ in row)
        rows.append((*row, (" " * (at - used), "plain"), *(right[number] if number < len(right) else ())))
    return rows


def banner(reading: ReadingTaken, width: int, *, large: bool = True) -> list[StyledRow]:
    """A reading that has just settled another check, in large type where it has room: a glance tells it."""
    said, look = _said(reading), LOOKS.get(reading.verdict, "plain")
    place = clean(reading.point, 80)
    if not large or not can_draw(said) or width_of(said) > width:
        return [((cut(f"{place}: {said}", width), look),)]
    return [((cut(place, width), "faint"),), *[((row, look),) for row in draw(said)]]
