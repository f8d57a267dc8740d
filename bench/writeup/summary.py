"""What a story says in short: three sentences, and what the next builder should know."""

from __future__ import annotations

from bench.writeup.story_model import Advice, SnagRow, Story
from bench.writeup.words import (
    capital,
    counted,
    days,
    hours,
    lost,
    number,
    one_line,
    sentence,
    spelt,
    with_part,
)


def summarise(story: Story) -> tuple[str, str, str]:
    """How long it took, what went in, what went wrong: a sentence each."""
    return _time(story), _parts(story), _snags(story)


def with_article(name: str) -> str:
    """A kit's name in a sentence.

    >>> with_article("Small mixer"), with_article("The Small Mixer")
    ('the Small mixer', 'The Small Mixer')
    """
    name = one_line(name)
    return name if name.lower().startswith(("the ", "a ", "an ")) else f"the {name}"


def _time(story: Story) -> str:
    maker = one_line(story.maker)
    subject = capital(with_article(story.title)) + (f", a kit by {maker}," if maker else "")
    if story.first is None or story.last is None:
        return f"{subject} has not been started yet."
    when = days(story.first.day, story.last.day)
    sat = f"in {spelt(len(story.sittings), 'sitting')} {when}"
    if any(sitting.doubtful for sitting in story.sittings):
        sat += " (by a clock that was wrong at times)"
    if story.seconds <= 0:
        built = "was built" if story.finished else "is being built"
        return f"{subject} {built}, {sat}."
    took = "took" if story.finished else "has taken"
    so_far = "" if story.finished else " so far"
    return f"{subject} {took} {hours(story.minutes)} at the bench{so_far}, {sat}."


def _parts(story: Story) -> str:
    where = f" on {spelt(len(story.boards), 'board')}" if story.boards else ""
    joints = counted(story.joints, "solder joint")
    if story.finished:
        what = f"It has {counted(story.parts_placed, 'part')} and {joints}{where}"
        spared = sum(row.parts for row in story.left_out)
        are = "is" if spared == 1 else "are"
        return f"{what}; {spelt(spared, 'optional part')} {are} left out." if spared else f"{what}."
    if not story.parts_placed and not story.joints:
        planned = counted(story.parts_planned, "part")
        return f"It will have {planned} and {counted(story.joints_planned, 'solder joint')}{where}."
    are = "is" if story.parts_planned == 1 else "are"
    fitted = f"{story.parts_placed} of {counted(story.parts_planned, 'part')} {are} fitted"
    if story.joints == story.joints_planned:
        return f"{fitted}; all {joints} are made{where}." if story.joints > 1 else f"{fitted}."
    return f"{fitted} and {story.joints} of {counted(story.joints_planned, 'solder joint')} made{where}."


def _snags(story: Story) -> str:
    amount = len(story.snags)
    if not amount:
        return "Nothing went wrong worth a note." if story.finished else "Nothing has gone wrong so far."
    cost = f" and cost {lost(story.snag_minutes)}" if story.snag_minutes else ""
    start = (
        f"One thing went wrong{cost}" if amount == 1 else f"{capital(number(amount))} things went wrong{cost}"
    )
    unmended = sum(snag.open for snag in story.snags)
    if unmended == amount:
        return f"{start}; {'it is' if amount == 1 else 'all are'} still open."
    if unmended:
        return f"{start}; {number(unmended)} {'is' if unmended == 1 else 'are'} still open."
    worst = max(story.snags, key=lambda snag: snag.minutes)
    if amount > 2 and worst.minutes and one_line(worst.part):
        return f"{start}, most of it at {one_line(worst.part)}."
    return f"{start}."


def advise(story: Story) -> tuple[Advice, ...]:
    """What to tell the next builder, in the order of `model.ADVICE_SOURCES`."""
    tips = [
        Advice(drawn_from="tip", text=note.text, stage=note.stage, board=note.board)
        for note in story.notes
        if note.mark == "tip" and one_line(note.text)
    ]
    known = [
        Advice(drawn_from="kit's erratum", text=text, stage="", board="")
        for text in story.kit_errata
        if one_line(text)
    ]
    found = [
        Advice(drawn_from="erratum found", text=row.text, stage=row.stage, board=row.board)
        for row in story.errata
        if one_line(row.text)
    ]
    other_parts = [
        Advice(
            drawn_from="substitution",
            text=substitution(row.part, row.instead, row.why),
            stage=row.stage,
            board=row.board,
        )
        for row in story.substitutions
    ]
    snags = [
        Advice(drawn_from="snag", text=snag_lesson(snag), stage=snag.stage, board=snag.board)
        for snag in story.snags
        if not snag.open and one_line(snag.what)
    ]
    return (*tips, *known, *found, *other_parts, *snags, *_miscounts(story))


def substitution(part: str, instead: str, why: str) -> str:
    """A substitution in words.

    >>> substitution("C9", "a 22 µF", "the 10 µF was missing")
    'a 22 µF instead of C9: the 10 µF was missing'
    """
    said = f"{one_line(instead) or 'another part'} instead of {one_line(part) or 'the part listed'}"
    return f"{said}: {one_line(why)}" if one_line(why) else said


def snag_lesson(snag: SnagRow) -> str:
    """A snag and its fix in two sentences."""
    return f"{sentence(with_part(snag.what, snag.part))} Fix: {sentence(snag.fix)}"


def _miscounts(story: Story) -> list[Advice]:
    """The stages in which the first count was off."""
    seen: set[tuple[str, str]] = set()
    told: list[Advice] = []
    for row in story.counts:
        first = (row.stage, row.board) not in seen
        seen.add((row.stage, row.board))
        if first and row.counted != row.expected:
            told.append(
                Advice(
                    drawn_from="miscount",
                    text=f"the first count of joints came to {row.counted}, not {row.expected}",
                    stage=row.stage,
                    board=row.board,
                )
            )
    return told
