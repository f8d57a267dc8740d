"""Blocks of the step card, each a list of styled rows; pure, cells only."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from functools import lru_cache

from msgspec import Struct

from bench.log.events import ReadingTaken
from bench.log.progress import HeldStep
from bench.parts.designators import shorten
from bench.parts.english import counted
from bench.parts.printed_values import bears_bands, surface_mounted
from bench.plan.plan import Alike, Step
from bench.plan.zones import zone_words
from bench.session.view import StepView
from bench.ui.bands import band_strip
from bench.ui.big_type import can_draw, draw, width_of
from bench.ui.expected_print import marking_words
from bench.ui.text import cells, clean, cut, paragraphs, rows_of, wrap

KeyOf = Callable[[str], str]
"""From the name of a command to the key to show for it."""
Span = tuple[str, str]
"""Text and the name of a look."""
StyledRow = tuple[Span, ...]

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


class Sizes(Struct, frozen=True, kw_only=True):
    """How large the pieces of a card are."""

    value: int
    """Scale of the value, 0 for plain type."""
    refs: int
    """Rows of designators in large type, as large as the value; 0 for plain type."""
    strip: bool = False
    """Colour bands drawn, not in words."""
    art: bool = False
    """A drawing of which way round it goes."""
    air: bool
    """Blank rows between the blocks."""
    extras: bool = True
    """Remarks and what comes next."""


def lines(text: str, look: str, width: int, mark: str = "") -> list[StyledRow]:
    """Text in rows of one look; further rows hang under the text where the mark leaves room for that."""
    hang = len(mark) if 4 * len(mark) <= width else 2
    return [((line, look),) for line in wrap(mark + text, width, hang=hang)]


def head(view: StepView, width: int) -> list[StyledRow]:
    """Stage, board and step number."""
    stage = view.stage
    assert stage is not None
    name = clean(stage.name) + (f" · {clean(stage.board)}" if stage.board else "")
    if stage.hold:
        name = "HOLD POINT " + name
    count = f"step {view.step_number} of {view.steps_in_stage}"
    count += f" · {len(view.at_once) + 1} at once" if view.at_once else ""
    look = "hold" if stage.hold else "head"
    name = cut(name, width - len(count) - 1)
    return [((name, look), (" " * max(1, width - cells(name) - len(count)), "plain"), (count, "head"))]


def looking(view: StepView, width: int) -> list[StyledRow]:
    """That the step on screen is not the step at work."""
    if not view.looking:
        return []
    word = "Looking back: already done" if view.looking_done else "Looking ahead: not the current step"
    return lines(f"{word}. Right and left: other steps. Escape: back.", "loud", width)


def changed(view: StepView, width: int) -> list[StyledRow]:
    """What is new since the step before: the value, the tolerance, the side of the board."""
    rows: list[StyledRow] = []
    step = view.step
    if step is None or view.looking:
        return rows
    if view.value_changed:
        before, now = clean(view.previous_value, 60), clean(step.value, 60)
        rows += lines(f"New value: {now} (was {before})", "loud", width)
    elif view.previous_tolerance:
        before, now = clean(view.previous_tolerance, 30), clean(step.tolerance, 30) or "no tolerance given"
        rows += lines(f"Same value, different part: {now} (was {before})", "loud", width)
    return rows


def turned_over(view: StepView, width: int) -> list[StyledRow]:
    """That the parts of this step sit on the other side of the board."""
    if view.step is None or not view.turned_over:
        return []
    return lines(f"Turn the board over: work on its {view.step.side}", "loud", width)


def told(view: StepView, width: int) -> list[StyledRow]:
    """What the log knows of this step: what the kit changed, substitutes, the bag, what was held back."""
    rows: list[StyledRow] = []
    if view.open_again:
        rows += lines(clean(view.open_again, 300), "loud", width, mark="Open again: ")
    for text in view.substitutes:
        rows += lines(clean(text), "loud", width, mark="Substitute: ")
    for text in view.bag_words:
        look = "loud" if "NOT" in text else "caution" if "missing" in text else "plain"
        rows += lines(clean(text), look, width, mark="Bag: ")
    rows += still_open(view, width)
    if view.limit_fault:
        said = clean(view.limit_fault, 300)
        rows += lines(f"{said[:1].upper()}{said[1:]}.", "loud", width)
        rows += lines("Hold point still closed: measure, or override it with a reason.", "plain", width)
    if view.held_up_by:
        rows += lines("Held back before this hold point and not done yet:", "loud", width)
        for held in view.held_up_by:
            rows += lines(_held_words(held), "caution", width, mark="- ")
        rows += lines("Resume them, or override the hold point with a reason.", "plain", width)
    return rows


def still_open(view: StepView, width: int) -> list[StyledRow]:
    """What was found on the way and is not settled."""
    said = (lines(clean(text, 200), "caution", width, mark="Still open: ") for text in view.left_open)
    return [row for rows in said for row in rows]


def look_alikes(view: StepView, width: int, sizes: Sizes) -> list[StyledRow]:
    """What goes in can be mistaken for these: loud when one is the neighbour, always with the reason."""
    rows: list[StyledRow] = []
    step = view.step
    if step is None:
        return rows
    most = 3 if sizes.air else 2 if sizes.extras else 1
    for warned in view.alikes[:most]:
        alike = warned.alike
        said, why = f"≠ not {_other(alike, step.kind)} ({warned.where}): ", clean(alike.reason)
        if alike.value == step.value and alike.kind != step.kind:
            why = f"here the {clean(step.kind, 60)} goes in"
        if warned.neighbour:
            rows += lines(said.removeprefix("≠ ") + why, "loud", width, "≠ ")
        else:
            rows += _in_two_looks(said, why, ("caution", "plain"), width)
    if left := [_other(warned.alike, step.kind) for warned in view.alikes[most:]]:
        others = f" or {counted(len(left) - _NAMED, 'other')}" if left[_NAMED:] else ""
        more = f"also not {', '.join(left[:_NAMED])}{others}: measure before fitting"
        rows += lines(more, "caution", width, "≠ ")
    return rows


_NAMED = 4
"""Look-alikes that are named without a reason."""


def _other(alike: Alike, kind: str) -> str:
    """What a part can be mistaken for: its value, its kind where that is another one, its designators."""
    named = f"{alike.kind} " if alike.kind != kind else ""
    return clean(f"{clean(alike.value, 40)} {named}{shorten(alike.refs)}".strip(), 80)


def _in_two_looks(first: str, rest: str, looks: tuple[str, str], width: int) -> list[StyledRow]:
    """A text in rows whose beginning has a look of its own."""
    rows: list[StyledRow] = []
    left = len(first.replace(" ", ""))
    for row in wrap(first + rest, width, hang=2):
        at = 0
        while at < len(row) and left > 0:
            left -= row[at] != " "
            at += 1
        rows.append(tuple(span for span in ((row[:at], looks[0]), (row[at:], looks[1])) if span[0]))
    return rows


def _held_words(held: HeldStep) -> str:
    stage, board = held.place
    place = f"{stage}, {board}" if board else stage
    why = f" ({held.reason})" if held.reason else ""
    return clean(f"{held.value} {shorten(held.refs)}".strip() + f" in {place}{why}", 300)


def value(
    step: Step, width: int, sizes: Sizes, part: Step | None = None, left: int = 0
) -> tuple[list[StyledRow], list[StyledRow]]:
    """The value, with how many are left where nothing else says it; and what sort of part it is: `part`."""
    text = clean(step.amount(left or len(step.items))) or clean(step.kind)
    rows: list[StyledRow] = []
    scale = _fitting(text, sizes.value, width)
    is_part = step.action in ("solder", "place", "insert", "fit") and step.kind != ""
    if not is_part:
        scale = min(scale, 1 if step.action in ("check", "adjust") else 0)
    if scale and can_draw(text):
        rows += [((row, "value"),) for row in draw(text, scale)]
    else:
        rows += headline(text, width, sizes)
    about = _about(part or step)
    return rows, lines(about, "plain", width) if about else []


def _fitting(text: str, scale: int, width: int) -> int:
    """The largest scale, at most the given one, at which a text has room; 0 for plain type."""
    while scale and width_of(text, scale) > width:
        scale -= 1
    return scale


def headline(text: str, width: int, sizes: Sizes) -> list[StyledRow]:
    """A text in lines of large type, where the card has some and the text can be drawn; else in plain ones."""
    large = large_lines(text, width) if sizes.value else []
    return [((row, "value"),) for line in large for row in draw(line)] or lines(text, "value", width)


@lru_cache(maxsize=256)
def large_lines(text: str, width: int, most: int = 6) -> tuple[str, ...]:
    """A text in as few lines of large type as it can be, about evenly long; none when it cannot be drawn.

    >>> large_lines("amber 5 mm", 40)
    ('amber', '5 mm')
    """
    words = text.split()
    fewest = _filled(words, width)
    if not can_draw(text) or len(fewest) > most or any(width_of(line) > width for line in fewest):
        return ()
    even = (_filled(words, room) for room in range(width + 1))
    return next(found for found in even if len(found) == len(fewest))


def _filled(words: Sequence[str], room: int) -> tuple[str, ...]:
    """Words in lines of large type, each filled to this width."""
    found: list[str] = []
    for word in words:
        if found and width_of(f"{found[-1]} {word}") <= room:
            found[-1] += f" {word}"
        else:
            found.append(word)
    return tuple(found)


def _about(step: Step) -> str:
    if step.action in ("do", "check", "adjust"):
        return ""
    words = [step.kind, step.tolerance, step.voltage, step.package, _mounted(step)]
    said = f"{VERBS[step.action]}: " + ", ".join(clean(word) for word in words if word)
    if step.kind_guessed:
        said += " (kind guessed)"
    if step.portions > 1:
        said += f" ({step.portion} of {step.portions})"
    if step.optional:
        said += "; optional"
    return said


def on_the_part(step: Step, width: int, sizes: Sizes) -> list[StyledRow]:
    """What the part itself shows: colour bands, or what is printed on it."""
    if step.action not in ("solder", "place", "insert"):
        return []
    if bears_bands(step.kind, step.value, step.package) and not step.marking:
        return list(band_strip(step.value, step.tolerance, width, compact=not sizes.strip))
    words = marking_words(step.kind, step.value, step.tolerance, step.voltage, step.marking, step.package)
    return lines(words[:1].upper() + words[1:], "plain", width) if words else []


def _mounted(step: Step) -> str:
    if surface_mounted(step.kind, step.value, step.package):
        return "surface-mount"
    return {"flat": "lying flat", "upright": "standing upright", "laid flat": "bent flat"}.get(step.mount, "")


def refs(view: StepView, width: int, sizes: Sizes) -> list[StyledRow]:
    """The designators that are still to be done, and how many parts and joints that is."""
    step = view.step
    if step is None or not step.refs:
        return []
    names = [clean(ref, 40) for ref in (view.refs_left or step.refs)]
    where = places(view, names, width)
    most = sizes.refs
    scale = max(1, _fitting(clean(step.amount(view.items_left)), sizes.value, width))
    longest = max(names, key=len)
    scale = max(1, _fitting(longest, scale, width))
    if most and all(can_draw(name) and width_of(name, scale) <= width for name in names):
        rows = [*_drawn_refs(names, width, most, scale), *where]
    elif where:
        rows = [((text, "refs"),) for ((text, _),) in where]
    else:
        rows = [((line, "refs"),) for line in rows_of(names, width)]
    return rows + lines(clean(_tally(view, step)), "faint", width) if sizes.extras else rows


def _drawn_refs(names: list[str], width: int, most: int, scale: int) -> Iterator[StyledRow]:
    """Designators in large letters as far as there is room, the rest in small ones."""
    large, rest = _large_rows(names, width, most, scale)
    for number, row_refs in enumerate(large):
        if number and scale > 1:
            yield ()
        yield from (((line, "refs"),) for line in draw("  ".join(row_refs), scale))
    if rest:
        yield from (((line, "refs"),) for line in rows_of(["then", *rest], width))


def _tally(view: StepView, step: Step) -> str:
    many = len(step.items)
    left = view.items_left or many
    tally = counted(left, "part")
    if joints := step.joints - step.joints * (many - left) // many:
        tally += f", {counted(joints, 'joint')}"
    if view.refs_done and view.refs_left:
        tally += f"; done already: {shorten(view.refs_done)}"
    return tally


def places(view: StepView, names: Sequence[str], width: int) -> list[StyledRow]:
    """Side of the board and zone of each of these designators, where the kit has positions."""
    assert view.step is not None
    zones = view.zones_left if view.refs_left else view.step.zones
    side = view.step.side.capitalize()
    return lines(zone_words(names, zones), "plain", width, f"{side or 'Where'}: ") if any(zones) else []


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


def way(view: StepView, width: int) -> list[StyledRow]:
    """Which way round what goes in goes, in words."""
    return [row for text in view.ways for row in lines(clean(text), "way", width, mark="Which way: ")]


_MARKS = {
    "polarity": ("▲ POLARITY", "way"),
    "own": ("◆ THIS PART", "caution"),
    "part": ("◆ THIS PART", "caution"),
    "hazard": ("▲ DANGER", "hold"),
}
"""How a caution that never drops begins, and the look of that word: the word says it where colours do not."""


def strong_cautions(view: StepView, width: int, *, joined: bool = False) -> list[StyledRow]:
    """The cautions said at every step that they belong to: which way round, this part's own, hazards.

    `joined`: those of one sort behind one word, where rows are few.
    """
    said: list[tuple[str, str]] = []
    for each in view.cautions:
        if joined and said and said[-1][0] == each.sort:
            before = said[-1][1]
            end = "" if before.endswith((".", "!", "?")) else "."
            said[-1] = each.sort, f"{before}{end} {each.say}"
        elif each.sort in _MARKS:
            said.append((each.sort, each.say))
    task = not (view.step and view.step.kind)
    return [row for sort, text in said for row in _marked(text, *_MARKS[sort], width, task=task)]


def _marked(said: str, mark: str, look: str, width: int, *, task: bool) -> list[StyledRow]:
    """A caution behind its word, in rows; at a task no word speaks of a part."""
    if task and mark.startswith("◆"):
        mark = "▲"
    first, *more = wrap(f"{mark} {clean(said)}", width, hang=2)
    if not first.startswith(mark):  # too narrow for the word
        return [((line, "caution"),) for line in (first, *more)]
    begin: StyledRow = ((mark, look), (first[len(mark) :], "caution"))
    return [begin, *[((line, "caution"),) for line in more]]


def usual_cautions(view: StepView, width: int, key_of: KeyOf) -> list[StyledRow]:
    """The cautions of every part of the kind and every step of the stage, and how many were said before."""
    rows: list[StyledRow] = []
    for caution in view.cautions:
        if caution.sort not in _MARKS:
            rows += lines(clean(caution.say), "plain", width, mark="▲ ")
    if number := len(view.cautions_before):
        more = f"{counted(number, 'more caution')} shown before: {key_of('cautions')}"
        rows += lines(more, "faint", width)
    if view.reminder:
        rows += lines(clean(view.reminder), "caution", width, mark="▲ Your record: ")
    return rows


def readings(view: StepView, width: int, key_of: KeyOf) -> list[StyledRow]:
    """What is expected and what was read."""
    assert view.step is not None
    rows: list[StyledRow] = []
    if view.step.expect:
        rows += lines(clean(view.step.expect), "way", width, mark="Expect: ")
    for number, reading in enumerate(reversed(view.readings[-3:])):
        rows += _reading(reading, width, earlier=number > 0)
    if view.step.action == "adjust":
        rows += lines(f"{key_of('trim')} shows your passes and what to turn.", "next", width)
    return rows


GLYPHS = {"in": "✓ in", "out": "✗ OUT", "too close to call": "? too close to call"}


def _reading(reading: ReadingTaken, width: int, *, earlier: bool) -> list[StyledRow]:
    word = GLYPHS.get(reading.verdict, "")
    look = "faint" if earlier else {"in": "refs", "out": "loud"}.get(reading.verdict, "way")
    said = clean(reading.text, 60) + (f": {word}" if word else "")
    return lines(said, look, width, mark="Earlier: " if earlier else "Read: ")


def detail(step: Step, width: int, sizes: Sizes) -> list[StyledRow]:
    """How to do it."""
    if not step.detail or (not sizes.extras and step.action not in ("do", "check", "adjust")):
        return []
    first, *more = paragraphs(step.detail)
    return lines(first, "plain", width) + [row for text in more for row in lines(text, "plain", width, "- ")]


def at_once(
    view: StepView, width: int, sizes: Sizes, *, short: bool = False
) -> tuple[list[StyledRow], list[StyledRow]]:
    """The further tasks that the same press ticks, and each with how it is done and what can happen.

    `short`: all names first, and how they are done apart from them; else everything is in the second block.
    """
    names: list[StyledRow] = []
    told: list[StyledRow] = []
    for step in view.at_once:
        other = step.board if view.step is None or step.board != view.step.board else ""
        name = headline(clean(" · ".join(filter(None, (step.value, other)))), width, sizes)
        names += name
        told += [] if short else [*[()] * (sizes.air and bool(told)), *name]
        for text in paragraphs(step.detail) if step.detail else ():
            told += lines(text, "plain", width)
        for say in step.cautions:
            if view.step is None or say not in view.step.cautions:
                told += lines(clean(say), "caution", width, mark="▲ ")
    return (names if short else [], told)


def following(view: StepView, width: int, sizes: Sizes) -> list[StyledRow]:
    """What comes next."""
    if not sizes.extras:
        return []
    step = view.next_step
    if step is None:
        word = "This is the last step" + (" except for what you held back" if view.held else "")
    else:
        word = f"{clean(step.named, 80)}  {clean(shorten(step.refs), 80)}".strip()
        if view.step is not None and (step.stage, step.board) != (view.step.stage, view.step.board):
            word = f"{clean(step.stage)}{' · ' + clean(step.board) if step.board else ''}: {word}"
    return [((cut(f"Next: {word}", width), "next"),)]


def away(width: int, sizes: Sizes, key_of: KeyOf) -> list[StyledRow]:
    """The card during a break."""
    scale = min(sizes.value, 1) if width_of("Break") <= width else 0
    rows: list[StyledRow] = (
        [((line, "value"),) for line in draw("Break", scale)] if scale else [(("Break", "value"),)]
    )
    rows += lines("Clock paused. Is the iron off, or in its stand?", "plain", width)
    return rows + lines(f"{key_of('rest')} ends the break and brings you back to this step.", "next", width)


def nothing_left(view: StepView, width: int, sizes: Sizes, key_of: KeyOf) -> list[StyledRow]:
    """The card when no step is left, or only what was held back."""
    if view.held:
        rows = lines("Only what you held back is left:", "loud", width)
        for held in view.held:
            rows += lines(_held_words(held), "plain", width, mark="- ")
        return rows + lines(f"{key_of('take_up')} resumes it.", "next", width)
    word = "Built" if view.parts else "Empty"
    scale = min(sizes.value, 1) if width_of(word) <= width else 0
    rows = [((line, "value"),) for line in draw(word, scale)] if scale else [((word, "value"),)]
    rows += lines(f"{clean(view.kit)}: every step is done.", "plain", width) + still_open(view, width)
    said = f"{key_of('write')} opens the article, {key_of('afterwords')} asks for your verdict on the kit."
    return rows + lines(said, "next", width)
