"""A step in sentences, one a line, in the order in which they are needed at the iron; pure.

The words are those of the step card; signs that a voice would stumble over are words here.
"""

from __future__ import annotations

from msgspec.structs import replace

from bench.log.unit_names import unit_words
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.plan.zones import zone_words
from bench.session.adjusting import AdjustView
from bench.session.board_map import WhereView
from bench.session.trimming import TrackingView
from bench.session.view import StepView
from bench.ui import card_blocks as blocks
from bench.ui.card_blocks import KeyOf, Sizes, StyledRow
from bench.ui.commands import usual_key
from bench.ui.text import clean

_WIDTH = 100_000
"""Cells to lay a block out in, so that each sentence stays on one line."""
_SIZES = Sizes(value=0, refs=0, air=False)


def step_lines(view: StepView, key_of: KeyOf = usual_key) -> list[str]:
    """Describe the current step, or what replaces it; `key_of` gives the key of a command.

    In the order in which it is needed at the iron: the value, where it goes, which way round, what hurts, what
    is to be read; then what may be mixed up and all the rest, the place in the plan last.
    """
    if view.on_break:
        return _lines(blocks.away(_WIDTH, _SIZES, key_of))
    step = view.step
    if step is None:
        return _lines(blocks.nothing_left(view, _WIDTH, _SIZES, key_of))
    value, about = blocks.value(step, _WIDTH, _SIZES, view.part, view.items_left)
    stage = view.stage
    named = sentence("".join(text for text, _ in value[0]))
    if view.value_changed and not view.looking:
        named += f" New value, was {clean(view.previous_value, 60)}."
        view = replace(view, value_changed=False)
    said = [*_unit(view), *_lines(blocks.looking(view, _WIDTH))]
    said.append(f"Hold point: {named}" if stage and stage.hold else named)
    if step.refs:
        said.append(_tally(view))
    readings, measured = _lines(blocks.readings(view, _WIDTH, key_of)), step.action in ("check", "adjust")
    said += [
        *(readings if measured else []),
        *_lines(blocks.way(view, _WIDTH)),
        *_lines(blocks.turned_over(view, _WIDTH)),
    ]
    said += _lines(blocks.told(view, _WIDTH)) + _lines(blocks.strong_cautions(view, _WIDTH))
    said += [] if measured else readings
    said += _lines(blocks.changed(view, _WIDTH)) + _lines(blocks.look_alikes(view, _WIDTH, _SIZES))
    said += _lines(about) + _lines(blocks.on_the_part(view.part or step, _WIDTH, _SIZES))
    how = [f"{line[:1].upper()}{line[1:]}" for line in _lines(blocks.detail(step, _WIDTH, _SIZES))]
    usual = view if view.step_number == 1 else replace(view, cautions_before=())
    said += [*_lines(blocks.usual_cautions(usual, _WIDTH, key_of)), *how]
    said += _lines([row for row in blocks.at_once(view, _WIDTH) if row])
    return [*said, *_lines(blocks.following(view, _WIDTH, _SIZES)), _where(view)]


def trim_lines(view: TrackingView | AdjustView) -> list[str]:
    """Describe an adjustment: its readings or last pass, and what to turn."""
    if isinstance(view, AdjustView):
        last = view.readings[-1:]
        said = [f"{view.trim.name}. Target: {view.trim.target or 'by eye and ear'}."]
        said += [f"Read {each.text}: {each.answer or each.words}." for each in last]
        return [sentence(clean(word, 600)) for word in (*said, view.headline) if word]
    said = [f"{view.trim.name}, pass {len(view.passes)}." if view.passes else f"{view.trim.name}, no pass yet."]
    for point in view.passes[-1].points if view.passes else ():
        off = "" if point.cents is None else f", {point.cents:+.1f} cents"
        said.append(f"{point.volts:g} V: {point.hertz:g} Hz{off}.")
    suspects = (f"Caution: {word}" for word in view.suspects)
    return [
        sentence(clean(word, 600))
        for word in (*said, view.headline, *view.todo, *suspects, *view.warm_up)
        if word
    ]


def where_lines(view: WhereView) -> list[str]:
    """Where the parts of a step sit, and how the board's zones run."""
    letters, rows = view.grid.letters(), view.grid.rows
    side = f", on the {view.side}" if view.side else ""
    said = [f"{view.value}, board {view.board}{side}: {view.words}."]
    if view.unplaced:
        said.append(f"No position: {', '.join(view.unplaced)}.")
    said.append(
        f"Zones, seen from the front: columns {letters[0]} to {letters[-1]} from the left, "
        f"rows 1 to {rows} from the top, each {view.grid.column_width:.0f} by {view.grid.row_height:.0f} mm."
    )
    return [sentence(clean(word, 600)) for word in said]


def _where(view: StepView) -> str:
    stage = view.stage
    assert stage is not None
    board = f", board {clean(stage.board)}" if stage.board else ""
    number = f"Step {view.step_number}"
    if view.at_once:
        number = f"Steps {view.step_number} to {view.step_number + len(view.at_once)}"
    return (
        f"Stage {view.stage_number} of {len(view.stages)}, {clean(stage.name)}{board}. "
        f"{number} of {view.steps_in_stage}."
    )


def _unit(view: StepView) -> list[str]:
    """Which of several units it is, on which this step is done, and which are passed over."""
    if not view.units:
        return []
    named = {
        state: ", ".join(clean(each.name, 60) for each in view.units if each.state == state)
        for state in ("done", "aside")
    }
    said = unit_words(view.unit)
    said = f"{clean(f'{said[:1].upper()}{said[1:]}', 80)}."
    said += f" Done on {named['done']}." if named["done"] else ""
    return [said + (f" Set aside: {named['aside']}." if named["aside"] else "")]


def _tally(view: StepView) -> str:
    step = view.step
    assert step is not None
    left = view.refs_left or step.refs
    names = [clean(ref, 40) for ref in left]
    zones = view.zones_left if view.refs_left else step.zones
    said = f"Designators: {zone_words(names, zones) or ', '.join(names)}."
    if step.side:
        said += f" On the {step.side}."
    if len(left) > 1:
        said += f" {len(left)} parts."
    if joints := step.joints - step.joints * (len(step.refs) - len(left)) // len(step.refs):
        said += f" {counted(joints, 'joint')}."
    if view.refs_done and view.refs_left:
        said += f" Done already: {shorten(view.refs_done)}."
    return said


def _lines(rows: list[StyledRow]) -> list[str]:
    return [sentence("".join(text for text, _ in row)) for row in rows]


def one_done(view: StepView) -> str:
    """What is said once the next part of the step of `view` is ticked: which one, and what is left."""
    step = view.step
    assert step is not None
    if view.items_left > len(view.refs_left):
        said, rest = f"One {clean(step.value, 80)}" if len(step.items) > 1 else clean(step.value, 80), ""
    else:
        first, *others = (clean(ref, 40) for ref in view.refs_left)
        said, rest = first, zone_words(others, view.zones_left[1:]) or ", ".join(others)
    if view.items_left > 1:
        rest = f": {rest}" if rest else ""
        return f"{said} done. {view.items_left - 1} left{rest}."
    return f"{said} done{', the last one' if len(step.items) > 1 else ''}."


def place_line(view: StepView, seconds: str) -> str:
    """Progress of the build in one sentence; `seconds` is the bench time in words.

    Share of parts and tasks, joints, time at the bench.
    """
    share = 100 * view.parts_done // view.parts if view.parts else 0
    held = f", {len(view.held)} held back" if view.held else ""
    return (
        f"{clean(view.kit)}: {share} % done{held}, "
        f"{view.joints_done} of {view.joints} joints, {seconds} at the bench."
    )


def sentence(text: str) -> str:
    """A line that ends like a sentence, with blanks as between words; signs stand as words, list marks go.

    >>> sentence("10k   R1 R2"), sentence("- R4, held back")
    ('10k R1 R2.', 'R4, held back.')
    """
    said = spoken(text).removeprefix("- ")
    return said if not said or said.endswith((".", "!", "?", ":")) else f"{said}."


_SIGNS = (
    ("▲ DANGER", "Danger:"),
    ("▲ POLARITY", "Polarity:"),
    ("◆ THIS PART", "This part:"),
    ("▲ ", "Caution: "),
    ("≠ ", "Look-alike: "),
    ("✓ in", "in"),
    ("✗ OUT", "OUT"),
    ("✗ ", "Wrong: "),
    ("? too", "too"),
    ("Right and left: other steps. Escape: back.", "later and earlier: other steps; back: return."),
    (" · ", ", "),
    ("▼ ", ""),
    ("» ", ""),
    ("Ω", "ohm"),
)


def spoken(text: str) -> str:
    """A line of the screen with words for its signs.

    >>> spoken("✗ OUT: 4.7 kΩ")
    'OUT: 4.7 kohm'
    """
    for sign, word in _SIGNS:
        text = text.replace(sign, word)
    return " ".join(text.split())
