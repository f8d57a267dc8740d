"""The batch on a screen of any width: one line for each kit, and all about the chosen one. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from bench.batch.gather import Gathered, Member
from bench.batch.order import Order, Placed
from bench.estimate.hours import about, between, in_full, in_words
from bench.log.clock import spell
from bench.parts.bars import bar_text
from bench.parts.english import counted
from bench.ui.card_blocks import StyledRow
from bench.ui.text import cells, clean, cut

StyledLine = tuple[str, str]
"""Text and look."""

HEADS = {
    "easiest": "easiest first",
    "shortest": "shortest first",
    "needs": "what others need first",
}
_BAR = 10
MIDDLE, WIDE = 60, 100
"""Widths from which hours, and class and hours spent, have room beside the title."""


def kit_row(placed: Placed, member: Member, width: int, most: float) -> StyledRow:
    """One kit in a row of `width` cells: place, title, then as much as there is room for.

    `most` are the seconds that the longest kit of the batch has left: the bar of the time left is drawn against
    it. `*` stands for a pin, `!` for something held or a deadly hazard; both are said in words below the list.
    """
    look = "faint" if member.finished else "plain"
    share = "built" if member.finished else f"{member.percent} %" if member.build else "new"
    marks = ("*" if placed.pinned else " ") + ("!" if member.held_words or member.hazards else " ")
    ends: list[tuple[str, str]] = [(f"  {share:>5}", look)]
    if width >= MIDDLE:
        full, rest = bar_text(member.left.likely / most if most and not member.finished else 0.0, _BAR)
        ends = [(f"  {member.difficulty.points:>4}", look), *ends]
        ends += [(f"  {_left(member):>12}", look), ("  ", look), (full, "value"), (rest, "faint")]
    if width >= WIDE:
        spent = spell(member.seconds_spent) if member.build else ""
        ends = [(f"  {member.difficulty.level_words:<18}", look), *ends, (f"  {spent:>12}", look)]
    ends.append((f"  {marks}", "caution"))
    room = max(8, width - sum(cells(text) for text, _ in ends) - 4)
    title = cut(clean(member.title, 300), room)
    return (f"{placed.place:>2}  ", "faint"), (title + " " * (room - cells(title)), look), *ends


def batch_head(width: int) -> StyledRow:
    """The names of the columns of `kit_row`, over rows that are two cells further in."""
    words = f"  {'done':>5}"
    if width >= MIDDLE:
        words = f"  {'hard':>4}{words}  {'time left':>12}  {'':<{_BAR}}"
    if width >= WIDE:
        words = f"  {'how hard':<18}{words}  {'at the bench':>12}"
    words += "    "
    lead = " In this order "
    return (lead, "head"), ("─" * max(0, width + 2 - cells(lead) - cells(words)), "faint"), (words, "faint")


def _left(member: Member) -> str:
    return "" if member.finished else f"~{about(member.left.likely)}"


def about_kit(placed: Placed, member: Member) -> Iterator[StyledLine]:
    """Everything about one kit: why here, what holds it, how far it is, what makes it hard."""
    for hazard in member.hazards:
        yield f"{hazard.upper()} CAN KILL: local rules and licensed practice come first.", "caution"
    yield clean(f"{placed.place}. {member.title}: {placed.why}", 600), "value"
    if member.held_words:
        yield clean(member.held_words, 1000), "caution"
    yield clean(_progress(member), 300), "plain"
    shares = [f"{each.what} {member.difficulty.share(each)} %" for each in member.difficulty.reasons]
    hard = f"Difficulty {member.difficulty.points}, {member.difficulty.level_words}: {', '.join(shares)}."
    yield clean(hard, 1000), "plain"
    trade = [
        f"{word} {', '.join(words)}"
        for word, words in (("gives", member.kit.gives), ("needs", member.kit.needs))
        if words
    ]
    if trade:
        yield clean(f"For tests it {'; '.join(trade)}.", 600), "plain"


def _progress(member: Member) -> str:
    if member.finished:
        return f"Built: {spell(member.seconds_spent)} at the bench."
    left = f", {in_words(member.left)} left"
    holds = f", {counted(member.holds_left, 'hold point')} ahead"
    if not member.build:
        return f"Not started{left}{holds}."
    now = f", at {member.stage}" if member.stage else ""
    return f"{member.percent} % done{now}; {spell(member.seconds_spent)} spent{left}{holds}."


def head_line(order: Order, members: Sequence[Member], gathered: Gathered) -> str:
    """The batch in one line, what matters most first."""
    faults = gathered.faults
    built = sum(member.finished for member in members)
    kits = f"{counted(len(members), 'kit')}"
    words = [f"{kits}, {HEADS[order.by]}"]
    if gathered.left.likely:
        words.append(f"~{about(gathered.left.likely)} left ({between(gathered.left)})")
    if faults:
        words.insert(0, f"{counted(len(faults), 'fault')} (r)")
    if order.remarks:
        words.append(f"{counted(len(order.remarks), 'remark')} (r)")
    if built:
        words.append(f"{built} built")
    return "; ".join(words)


def all_reasons(order: Order, members: Sequence[Member], gathered: Gathered) -> Iterator[StyledLine]:
    """A page with everything: remarks and faults first, then each kit."""
    yield f"The batch, {HEADS[order.by]}", "head"
    for fault in gathered.faults:
        yield clean(f"{fault.where}: {fault.what}", 600), "loud"
        yield clean(f"  {fault.hint}", 600), "way"
    yield from ((clean(remark, 600), "way") for remark in order.remarks)
    for placed, member in zip(order.placed, members, strict=True):
        yield "", "plain"
        yield from about_kit(placed, member)
    yield "", "plain"
    if gathered.left.likely:
        yield (
            f"All together: {in_full(gathered.left)}. {gathered.hours_from}.",
            "faint",
        )
