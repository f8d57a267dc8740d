"""A step in sentences, one a line, in the order in which they are needed at the iron; pure.

The words are those of the step card; signs that a voice would stumble over are words here.
"""

from __future__ import annotations

import re
from collections.abc import Set as AbstractSet

from msgspec.structs import replace

from bench.log.progress import Progress
from bench.log.unit_names import unit_words
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.parts.printed_values import bears_bands
from bench.plan.plan import Stage, Step
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


def step_lines(view: StepView, key_of: KeyOf = usual_key, told: AbstractSet[str] = frozenset()) -> list[str]:
    """Describe the current step, or what replaces it; `key_of` gives the key of a command.

    In the order in which it is needed at the iron: the value, or what to expect at a check; where it goes,
    which way round, what hurts; then what may be mixed up and all the rest, the place in the plan last. Of
    dangers in `told` only the word that says them is named.
    """
    if view.on_break:
        return _lines(blocks.away(_WIDTH, _SIZES, key_of))
    step = view.step
    if step is None:
        return _lines(blocks.nothing_left(view, _WIDTH, _SIZES, key_of))
    value, about = blocks.value(step, _WIDTH, _SIZES, view.part, view.items_left)
    named = _named(step, "".join(text for text, _ in value[0]))
    if view.value_changed and not view.looking:
        named += f" New value, was {clean(view.previous_value, 60)}."
        view = replace(view, value_changed=False)
    said = [*_unit(view), *_lines(blocks.looking(view, _WIDTH))]
    said.append(named)
    if step.refs:
        said.append(_tally(view))
    unexpected = replace(view, step=replace(step, expect=""))  # what to expect stands in the first line
    said += _lines(blocks.readings(unexpected, _WIDTH, key_of))
    said += [*_lines(blocks.way(view, _WIDTH)), *_lines(blocks.turned_over(view, _WIDTH))]
    said += _lines(blocks.told(view, _WIDTH)) + _strong_cautions(view, told)
    said += _lines(blocks.changed(view, _WIDTH)) + _lines(blocks.look_alikes(view, _WIDTH, _SIZES))
    part = view.part or step
    printed = _lines(blocks.on_the_part(part, _WIDTH, _SIZES))
    banded = bears_bands(part.kind, part.value, part.package) and not part.marking
    said += _lines(about) + _labelled("Bands" if banded else "", printed)
    how = [f"{line[:1].upper()}{line[1:]}" for line in _lines(blocks.detail(step, _WIDTH, _SIZES))]
    how = _labelled("Note" if step.kind else "", how)
    usual = view if view.step_number == 1 else replace(view, cautions_before=())
    said += [*_lines(blocks.usual_cautions(usual, _WIDTH, key_of)), *how]
    said += _lines([row for row in blocks.at_once(view, _WIDTH, _SIZES)[1] if row])
    return [*said, " ".join([_where(view), *_lines(blocks.following(view, _WIDTH, _SIZES))])]


def danger_lines(view: StepView) -> list[str]:
    """The dangers of a step in full."""
    dangers = tuple(caution for caution in view.cautions if caution.sort == "hazard")
    return _lines(blocks.strong_cautions(replace(view, cautions=dangers), _WIDTH)) or [
        "No danger is named at this step."
    ]


def hold_opens(stage: Stage, progress: Progress) -> str:
    """That a hold point begins, and how many of its checks are still to be met."""
    left = sum(not progress.done.issuperset(step.items) for step in stage.steps)
    many = len(stage.steps)
    said = f"Hold point. {clean(stage.name, 80)}: {counted(many, 'check')}"
    return f"{said}, {many - left} met already." if left < many else f"{said}."


def hold_met(stage: Stage, progress: Progress) -> str:
    """That a hold point is behind the builder, and which of its checks were met only by a word of theirs."""
    last = {reading.step: reading.verdict for reading in progress.readings}
    keys = {step.key for step in stage.steps if last.get(step.key) != "in"}
    passed = {each.step: each.about for each in progress.holds_overridden if each.step in keys}
    many, close = len(stage.steps), sum(about == "too close" for about in passed.values())
    overridden = sum(about == "check" for about in passed.values())
    said = f"{clean(stage.name, 80)}: "
    if not (close or overridden):
        return said + (f"all {many} checks met." if many > 1 else "its check is met.")
    said += f"{many - close - overridden} of {counted(many, 'check')} met"
    said += f", {close} accepted as too close to call" if close else ""
    return f"{said}{f', {overridden} overridden' if overridden else ''}."


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


def _named(step: Step, value: str) -> str:
    """What a step is about, in the first line: a value, or what to expect at a check."""
    value = value.rstrip(".")
    if step.action == "check" and not step.expect:
        return sentence(f"Check: {value}")
    return sentence(f"{value}: expect {clean(step.expect)}" if step.expect else value)


def _strong_cautions(view: StepView, told: AbstractSet[str]) -> list[str]:
    """What may hurt; dangers that were said in full before are not said again, which is said."""
    kept = tuple(each for each in view.cautions if each.sort != "hazard" or each.say not in told)
    said = _lines(blocks.strong_cautions(replace(view, cautions=kept), _WIDTH))
    return said if len(kept) == len(view.cautions) else [*said, "Dangers as before: dangers says them."]


def _labelled(label: str, said: list[str]) -> list[str]:
    """Lines, the first of them behind a label."""
    return [f"{label}: {said[0]}", *said[1:]] if label and said else said


def _where(view: StepView) -> str:
    stage = view.stage
    assert stage is not None
    board = f", board {clean(stage.board)}" if stage.board else ""
    number = f"Step {view.step_number}"
    if view.at_once:
        number = f"Steps {view.step_number} to {view.step_number + len(view.at_once)}"
    number += f" of {view.steps_in_stage}."
    if view.step_number > 1 and not view.looking:
        return number
    return f"Stage {view.stage_number} of {len(view.stages)}, {clean(stage.name)}{board}. {number}"


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


def place_line(view: StepView, seconds: str, left: str = "") -> str:
    """Progress of the build; `seconds` is the bench time in words, `left` the time left, empty when unknown.

    Share of parts and tasks, joints, time at the bench, the stage.
    """
    share = 100 * view.parts_done // view.parts if view.parts else 0
    held, stage = f", {len(view.held)} held back" if view.held else "", view.stage
    return (
        f"{clean(view.kit)}: {share} % done{held}, "
        f"{view.joints_done} of {view.joints} joints, {seconds} at the bench."
        f"{f' Stage {view.stage_number} of {len(view.stages)}, {clean(stage.name)}.' if stage else ''}"
        f"{f' Time left: {left}, in 8 of 10 cases.' if left else ''}"
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
_LIMITS = (
    (re.compile(r"(?<!\w)> ?(?=[-−]?\d)"), "more than "),
    (re.compile(r"(?<!\w)< ?(?=[-−]?\d)"), "less than "),
    (re.compile(r"(?<=\d) ?\.\. ?(?=[-−]?\d)"), " to "),
)
"""Signs at numbers that a voice leaves out (espeak-ng 1.51 does): a limit would be heard as a value."""


def spoken(text: str) -> str:
    """A line of the screen with words for its signs.

    >>> spoken("✗ OUT: 4.7 kΩ")
    'OUT: 4.7 kohm'
    >>> spoken("expect > 10 kΩ, 6..10.2 V, < 1 mA")
    'expect more than 10 kohm, 6 to 10.2 V, less than 1 mA'
    """
    for limit, word in _LIMITS:
        text = limit.sub(word, text)
    for sign, word in _SIGNS:
        text = text.replace(sign, word)
    return " ".join(text.split())
