"""The step card: what stands on it and where, for any size; pure, cells only.

When room is short the large type goes first, then the remarks, then what comes next; a caution never
does. What still does not fit can be scrolled to, and the card says that there is more.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from bench.build.view import BenchView
from bench.log.progress import Held
from bench.parts.designators import shorten
from bench.plan.model import Step
from bench.tui.bigtype import can_draw, draw, width_of
from bench.tui.text import cells, clean, cut, paragraphs, rows_of, wrap

Span = tuple[str, str]
"""Text and the name of a look."""
Row = tuple[Span, ...]

LOOKS = ("plain", "faint", "head", "value", "refs", "way", "caution", "loud", "hold", "next")
"""Names of looks; a theme gives each a colour, and none means anything by colour alone."""

VERBS = {
    "solder": "Solder in",
    "place": "Set in place, do not solder",
    "insert": "Push into its socket",
    "fit": "Fit",
    "do": "Do",
    "check": "Check",
    "adjust": "Adjust",
}


class Laid(Struct, frozen=True, kw_only=True):
    """A card laid out: all its rows, of which the first `height` are on screen before scrolling."""

    rows: tuple[Row, ...]


class _Sizes(Struct, frozen=True, kw_only=True):
    value: int
    """Scale of the value, 0 for plain type."""
    refs: int
    """Rows of designators in large type, 0 for plain type."""
    refs_scale: int = 1
    """Scale of the designators."""
    air: bool
    """Blank rows between the blocks."""
    extras: bool = True
    """Remarks and what comes next."""


_FROM_LARGE_TO_SMALL = (
    _Sizes(value=3, refs=2, refs_scale=2, air=True),
    _Sizes(value=3, refs=1, refs_scale=2, air=True),
    _Sizes(value=2, refs=1, refs_scale=2, air=True),
    _Sizes(value=2, refs=3, air=True),
    _Sizes(value=2, refs=2, air=True),
    _Sizes(value=2, refs=1, air=True),
    _Sizes(value=1, refs=2, air=True),
    _Sizes(value=1, refs=1, air=True),
    _Sizes(value=1, refs=1, air=False),
    _Sizes(value=1, refs=0, air=False),
    _Sizes(value=0, refs=0, air=False),
    _Sizes(value=0, refs=0, air=False, extras=False),
)


def lay_card(view: BenchView, width: int, height: int, notice: str = "") -> Laid:
    """The card for a bench at one moment in `width` by `height` cells.

    `notice` is a short word to the builder that stands first.
    """
    if width < 4 or height < 1:
        return Laid(rows=())
    rows: list[Row] = []
    for sizes in _FROM_LARGE_TO_SMALL:
        rows = _rows(view, width, sizes, notice)
        if len(rows) <= height:
            break
    return Laid(rows=tuple(rows))


def _rows(view: BenchView, width: int, sizes: _Sizes, notice: str) -> list[Row]:
    top = [*_lines(clean(notice), "loud", width, mark="» ")] if notice else []
    if view.on_break:
        return top + _break(width, sizes)
    if view.step is None:
        return top + _nothing_left(view, width, sizes)
    blocks = [
        _head(view, width),
        _loud(view, width),
        _value(view.step, width, sizes),
        _refs(view, width, sizes),
        _way(view.step, width),
        _cautions(view, width),
        _detail(view.step, width, sizes),
        _next(view, width, sizes),
    ]
    return top + _join([block for block in blocks if block], sizes.air)


def _join(blocks: Sequence[list[Row]], air: bool) -> list[Row]:
    rows: list[Row] = []
    for block in blocks:
        if air and rows:
            rows.append(())
        rows.extend(block)
    return rows


def _lines(text: str, look: str, width: int, mark: str = "") -> list[Row]:
    return [((line, look),) for line in wrap(mark + text, width, hang=len(mark))]


def _head(view: BenchView, width: int) -> list[Row]:
    stage = view.stage
    assert stage is not None
    name = clean(stage.name) + (f" · {clean(stage.board)}" if stage.board else "")
    if stage.hold:
        name = "HOLD POINT " + name
    count = f"step {view.step_number} of {view.steps_in_stage}"
    look = "hold" if stage.hold else "head"
    name = cut(name, width - len(count) - 1)
    return [((name, look), (" " * max(1, width - cells(name) - len(count)), "plain"), (count, "head"))]


def _loud(view: BenchView, width: int) -> list[Row]:
    rows: list[Row] = []
    if view.looking:
        word = "Looking back: this is done" if view.looking_done else "Looking ahead: not the step at work"
        rows += _lines(f"{word}. Right and left move, Escape returns.", "loud", width)
    elif view.value_changed:
        before, now = clean(view.previous_value, 60), clean(view.step.value if view.step else "", 60)
        rows += _lines(f"Another value now: {now}, no longer {before}", "loud", width)
    elif view.previous_tolerance and view.step:
        now = clean(view.step.tolerance, 30) or "no tolerance given"
        rows += _lines(
            f"Same value, another part: {now}, no longer {clean(view.previous_tolerance, 30)}", "loud", width
        )
    rows += _look_alikes(view, width)
    for text in view.substitutes:
        rows += _lines(clean(text), "loud", width, mark="Substitute: ")
    if view.held_up_by:
        rows += _lines("Held back before this hold point, and still open:", "loud", width)
        for held in view.held_up_by:
            rows += _lines(_held_words(held), "caution", width, mark="- ")
        rows += _lines("Take them up, or go on with a typed reason.", "plain", width)
    return rows


MOST_ALIKES = 3
"""Look-alikes told on the card; the rest is counted."""


def _look_alikes(view: BenchView, width: int) -> list[Row]:
    """What goes in can be mistaken for these: loud when one is the neighbour, always with the reason."""
    rows: list[Row] = []
    for warned in view.alikes[:MOST_ALIKES]:
        other = f"{clean(warned.alike.value, 40)} {shorten(warned.alike.refs)}".strip()
        where = "in already" if warned.placed else "still to come"
        look = "loud" if warned.neighbour else "caution"
        rows += _lines(f"not {clean(other, 60)} ({where}): {clean(warned.alike.reason)}", look, width, "≠ ")
    left = len(view.alikes) - MOST_ALIKES
    if left > 0:
        rows += _lines(
            f"and {left} more look-alikes on this board: measure before it goes in", "caution", width, "≠ "
        )
    return rows


def _held_words(held: Held) -> str:
    stage, board = held.place
    place = f"{stage}, {board}" if board else stage
    why = f" ({held.reason})" if held.reason else ""
    return clean(f"{held.value} {shorten(held.refs)}".strip() + f" in {place}{why}", 300)


def _value(step: Step, width: int, sizes: _Sizes) -> list[Row]:
    value = clean(step.value) or clean(step.kind)
    rows: list[Row] = []
    scale = sizes.value
    while scale and width_of(value, scale) > width:
        scale -= 1
    is_part = step.action in ("solder", "place", "insert", "fit") and step.kind != ""
    if not is_part:
        scale = min(scale, 1 if step.action in ("check", "adjust") else 0)
    if scale and can_draw(value):
        rows += [((row, "value"),) for row in draw(value, scale)]
    else:
        rows += _lines(value, "value", width)
    about = _about(step)
    if about:
        rows += _lines(about, "plain", width)
    return rows


def _about(step: Step) -> str:
    if step.action in ("do", "check", "adjust"):
        return ""
    words = [step.kind, step.tolerance, step.voltage, step.package, _mounted(step.mount)]
    said = f"{VERBS[step.action]}: " + ", ".join(clean(word) for word in words if word)
    if step.kind_guessed:
        said += " (kind guessed)"
    if step.marking:
        said += f"; printed {clean(step.marking)}"
    if step.portions > 1:
        said += f"; portion {step.portion} of {step.portions}"
    if step.optional:
        said += "; optional"
    return said


def _mounted(mount: str) -> str:
    return {"flat": "lying flat", "upright": "standing upright", "laid flat": "bent flat"}.get(mount, "")


def _refs(view: BenchView, width: int, sizes: _Sizes) -> list[Row]:
    step = view.step
    if step is None or not step.refs:
        return []
    refs = [clean(ref, 40) for ref in (view.refs_left or step.refs)]
    rows: list[Row] = []
    scale = sizes.refs_scale
    if scale > 1 and width_of("  ".join(refs), scale) > width * sizes.refs:
        scale = 1
    if sizes.refs and all(can_draw(ref) and width_of(ref, scale) <= width for ref in refs):
        large, rest = _large_rows(refs, width, sizes.refs * (3 if scale < sizes.refs_scale else 1), scale)
        for number, row_refs in enumerate(large):
            if number and scale > 1:
                rows.append(())
            rows += [((line, "refs"),) for line in draw("  ".join(row_refs), scale)]
        if rest:
            rows += [((line, "refs"),) for line in rows_of(["then", *rest], width)]
    else:
        rows += [((line, "refs"),) for line in rows_of(refs, width)]
    tally = f"{len(step.items)} part" + ("s" if len(step.items) != 1 else "")
    if step.joints:
        tally += f", {step.joints} joint" + ("s" if step.joints != 1 else "")
    if view.refs_done and view.refs_left:
        tally += f"; done already: {shorten(view.refs_done)}"
    if sizes.extras:
        rows += _lines(clean(tally), "faint", width)
    return rows


def _large_rows(refs: list[str], width: int, most: int, scale: int) -> tuple[list[list[str]], list[str]]:
    rows: list[list[str]] = []
    for position, ref in enumerate(refs):
        if rows and width_of("  ".join([*rows[-1], ref]), scale) <= width:
            rows[-1].append(ref)
        elif len(rows) < most:
            rows.append([ref])
        else:
            return rows, refs[position:]
    return rows, []


def _way(step: Step, width: int) -> list[Row]:
    return _lines(clean(step.orientation), "way", width, mark="Which way: ") if step.orientation else []


def _cautions(view: BenchView, width: int) -> list[Row]:
    assert view.step is not None
    rows: list[Row] = []
    if view.step.expect:
        rows += _lines(clean(view.step.expect), "way", width, mark="Expect: ")
    for caution in view.step.cautions:
        rows += _lines(clean(caution), "caution", width, mark="▲ ")
    return rows


def _detail(step: Step, width: int, sizes: _Sizes) -> list[Row]:
    if not step.detail or (not sizes.extras and step.action not in ("do", "check", "adjust")):
        return []
    first, *more = paragraphs(step.detail)
    return _lines(first, "plain", width) + [row for text in more for row in _lines(text, "plain", width, "- ")]


def _next(view: BenchView, width: int, sizes: _Sizes) -> list[Row]:
    if not sizes.extras:
        return []
    step = view.next_step
    if step is None:
        word = "This is the last step" + (" but for what is held back" if view.held else "")
    else:
        word = f"{clean(step.value, 80)}  {clean(shorten(step.refs), 80)}".strip()
        if view.step is not None and (step.stage, step.board) != (view.step.stage, view.step.board):
            word = f"{clean(step.stage)}{' · ' + clean(step.board) if step.board else ''}: {word}"
    return [((cut(f"Next: {word}", width), "next"),)]


def _break(width: int, sizes: _Sizes) -> list[Row]:
    scale = min(sizes.value, 1) if width_of("Break") <= width else 0
    rows: list[Row] = (
        [((line, "value"),) for line in draw("Break", scale)] if scale else [(("Break", "value"),)]
    )
    rows += _lines("The bench clock stands still. Iron off, or in its stand?", "plain", width)
    return rows + _lines("The break key brings you back to where you were.", "next", width)


def _nothing_left(view: BenchView, width: int, sizes: _Sizes) -> list[Row]:
    if view.held:
        rows = _lines("Only what was held back is left:", "loud", width)
        for held in view.held:
            rows += _lines(_held_words(held), "plain", width, mark="- ")
        return rows + _lines("The take-up key puts it on the bench again.", "next", width)
    word = "Built" if view.parts else "Empty"
    scale = min(sizes.value, 1) if width_of(word) <= width else 0
    rows = [((line, "value"),) for line in draw(word, scale)] if scale else [((word, "value"),)]
    rows += _lines(f"{clean(view.kit)}: every step is done.", "plain", width)
    return rows + _lines("Its retrospective: solderside retro, with the name of the build.", "next", width)
